"""A name at the head of a module is used somewhere: by the program, by the scripts beside it, or at the least by a
test.

What is decorated is found by its decorator (a route, a command, a formula), a migration by alembic, and of a row of
numbered names (`A, B, C = range(3)`) some may be there for the count alone. A name counts as used wherever its word
stands a second time, so that one may be missed here, but none is named wrongly.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path


def dead_names(modules: Iterable[Path], beside: Iterable[Path], root: Path) -> list[str]:
    """The names that stand nowhere but where they are made. `beside` is read for uses only."""
    sources = {path: path.read_text(encoding="utf-8") for path in modules}
    words = Counter(
        word
        for text in (*sources.values(), *(path.read_text(encoding="utf-8") for path in beside))
        for word in re.findall(r"\w+", text)
    )
    return [
        f"{path.relative_to(root)}: {name} is used nowhere"
        for path, text in sources.items()
        if "migrations" not in path.parts
        for name in _names(ast.parse(text))
        if words[name] == 1
    ]


def _names(module: ast.Module) -> Iterator[str]:
    for one in module.body:
        if isinstance(one, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) and not one.decorator_list:
            yield one.name
        elif isinstance(one, ast.Assign | ast.AnnAssign):
            for target in one.targets if isinstance(one, ast.Assign) else [one.target]:
                if isinstance(target, ast.Name) and not target.id.startswith("__"):
                    yield target.id
