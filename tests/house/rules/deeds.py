"""A public function of `bench` is a deed of the repairer, so it is done from somewhere: from `web`, from `cli`, or by
another deed that is.

A name counts as called wherever it stands as a name or an attribute: in `web` and `cli`, in what the modules of `bench`
hold beside their functions (tables of sums, classes), and in the bodies of functions that count as called themselves.
Two functions of one name count together. So one without a door may be missed here, but none is named wrongly.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

_DOORS = ("web", "cli")
_Function = ast.FunctionDef | ast.AsyncFunctionDef


def doorless_deeds(package: Path) -> list[str]:
    """One line for each public function of `bench` that nothing with a door calls."""
    deeds: dict[str, list[tuple[str, _Function]]] = {}
    called = {name for door in _DOORS for path in (package / door).rglob("*.py") for name in _names(_read(path))}
    for path in sorted((package / "bench").rglob("*.py")):
        for node in _read(path).body:
            if isinstance(node, _Function):
                deeds.setdefault(node.name, []).append((path.relative_to(package).as_posix(), node))
            elif not isinstance(node, ast.Import | ast.ImportFrom):
                called |= set(_names(node))
    waiting = [name for name in called if name in deeds]
    while waiting:
        fresh = {name for _, node in deeds[waiting.pop()] for name in _names(node)} - called
        called |= fresh
        waiting += [name for name in fresh if name in deeds]
    return [
        f"{where}: {name} has no door"
        for name, many in deeds.items()
        if name not in called and not name.startswith("_")
        for where, _ in many
    ]


def _read(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _names(node: ast.AST) -> Iterator[str]:
    for one in ast.walk(node):
        if isinstance(one, ast.Name):
            yield one.id
        elif isinstance(one, ast.Attribute):
            yield one.attr
