"""Names that say nothing: modules called after nobody's trade, functions that get or process.

A module is one noun of the trade; `utils` is where things go that nobody could name. `get_` and `process_` hide whether
something is read, reckoned or guessed: `read_`, `parse_`, `estimate_`, `predict_` or a plain noun says it. Methods are
left alone, since a library may call them by such a name.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable
from pathlib import Path

EMPTY_MODULES = frozenset(
    {"utils", "util", "helpers", "helper", "manager", "managers", "common", "misc", "core", "base", "tools", "handler"}
)
EMPTY_VERBS = ("get_", "process_", "handle_", "do_", "manage_")


def plain_name_problems(files: Iterable[Path], root: Path) -> list[str]:
    """One line for each module and each function of a module whose name says nothing."""
    found = []
    for path in files:
        where = path.relative_to(root).as_posix()
        if path.stem in EMPTY_MODULES:
            found.append(f"{where}: {path.stem} is no noun of the trade")
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.name.lstrip("_").startswith(
                EMPTY_VERBS
            ):
                found.append(f"{where}:{node.lineno}: {node.name} does not say what it does")
    return found
