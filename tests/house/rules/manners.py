"""Manners of tests: a name that is a sentence, something asserted, and neither sleep nor stop-watch.

A test asserts when it, or a function of its own module that it calls, holds an `assert`, a `pytest.raises` or `warns`,
or a call of a function named `assert_…`, `check_…` (ours raise when something is wrong) or `expect`. A name is a
sentence from three words on behind `test_`.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from pathlib import Path

LEAST_WORDS = 3
_WATCHES = {
    "time.sleep",
    "time.time",
    "time.perf_counter",
    "time.monotonic",
    "time.process_time",
    "sleep",
    "perf_counter",
    "monotonic",
    "process_time",
}
_ASSERTING = {"raises", "warns", "expect", "fail"}


def manners_problems(files: Iterable[Path], root: Path) -> list[str]:
    """One line for each test that is named by a label, asserts nothing, or looks at a watch."""
    found = []
    for path in files:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        where = path.relative_to(root).as_posix()
        own = {one.name: one for one in ast.walk(tree) if isinstance(one, ast.FunctionDef | ast.AsyncFunctionDef)}
        asserting = _asserting(own)
        for name, node in own.items():
            if not name.startswith("test_"):
                continue
            if len(name.split("_")) - 1 < LEAST_WORDS:
                found.append(f"{where}:{node.lineno}: {name} is a label, no sentence")
            if name not in asserting:
                found.append(f"{where}:{node.lineno}: {name} asserts nothing")
        found += [f"{where}:{line}: {call} has no place in a test" for line, call in _watches(tree)]
    return found


def _asserting(own: dict[str, ast.FunctionDef | ast.AsyncFunctionDef]) -> set[str]:
    """Names of functions that assert, by themselves or through others of the module."""
    known = {name for name, node in own.items() if any(_asserts(one) for one in ast.walk(node))}
    calls = {
        name: {ast.unparse(one.func) for one in ast.walk(node) if isinstance(one, ast.Call)}
        for name, node in own.items()
    }
    while more := {name for name, called in calls.items() if called & known} - known:
        known |= more
    return known


def _asserts(node: ast.AST) -> bool:
    if isinstance(node, ast.Assert):
        return True
    name = ast.unparse(node.func).rpartition(".")[2] if isinstance(node, ast.Call) else ""
    return name in _ASSERTING or name.startswith(("assert_", "check_"))


def _watches(tree: ast.AST) -> Iterator[tuple[int, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and ast.unparse(node.func) in _WATCHES:
            yield node.lineno, ast.unparse(node.func)
