"""A room's `__init__.py` holds the sign on its door, a docstring that says what lives here and what never does.

`cli` may import `main` beside it, because the installed program enters there.
"""

from __future__ import annotations

import ast
from pathlib import Path


def door_problems(package: Path) -> list[str]:
    """One line for each room without a sign, or with more than a sign at its door."""
    found = []
    for path in sorted(package.glob("*/__init__.py")):
        room = path.parent.name
        tree = ast.parse(path.read_text(encoding="utf-8"))
        sign = ast.get_docstring(tree) or ""
        if "never here:" not in sign.lower() or "lives here:" not in sign.lower():
            found.append(f"{room}/__init__.py: the sign has to say 'Lives here:' and 'Never here:'")
        rest = tree.body[1:] if sign else tree.body
        allowed = [one for one in rest if room == "cli" and _brings_main(one)]
        if len(rest) != len(allowed):
            found.append(f"{room}/__init__.py: holds more than the sign on the door")
    return found


def _brings_main(node: ast.stmt) -> bool:
    if isinstance(node, ast.ImportFrom):
        return node.module == "__future__" or [alias.name for alias in node.names] == ["main"]
    return isinstance(node, ast.Assign) and [getattr(one, "id", "") for one in node.targets] == ["__all__"]
