"""Sizes ratchet: a module over 600 lines or a body over 70 is refused unless listed with its size; lists only shrink.

A body is counted from its first statement after the docstring to its last line. The list says the present size of
each thing that is over, so that growing is noticed, and so is shrinking: then the list is to be shortened.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Mapping
from pathlib import Path

MODULE_LINES, BODY_LINES = 600, 70


def sizes(files: Iterable[Path], root: Path) -> dict[str, int]:
    """Modules and bodies over the limits with their lines: `path`, or `path::Class.function`."""
    found: dict[str, int] = {}
    for path in files:
        text = path.read_text(encoding="utf-8")
        name = path.relative_to(root).as_posix()
        lines = len(text.splitlines())
        if lines > MODULE_LINES:
            found[name] = lines
        for where, body in _bodies(ast.parse(text), name + "::"):
            if body > BODY_LINES:
                found[where] = body
    return found


def size_problems(now: Mapping[str, int], listed: Mapping[str, int]) -> list[str]:
    """One line for each thing over the limits that is not listed, has grown, or has shrunk below its listed size."""
    found = []
    for name, lines in now.items():
        if name not in listed:
            found.append(f"{name}: {lines} lines, over the limit of {BODY_LINES if '::' in name else MODULE_LINES}")
        elif lines != listed[name]:
            found.append(
                f"{name}: {lines} lines, listed with {listed[name]}; "
                + ("make it smaller" if lines > listed[name] else "list the smaller size")
            )
    found += [f"{name}: no longer over the limit; take it off the list" for name in listed if name not in now]
    return found


def _bodies(node: ast.AST, prefix: str) -> Iterable[tuple[str, int]]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
            body = child.body[1:] if ast.get_docstring(child) is not None else child.body
            yield (
                prefix + child.name,
                (max(one.end_lineno or one.lineno for one in body) - body[0].lineno + 1) if body else 0,
            )
        name = getattr(child, "name", "")
        yield from _bodies(
            child,
            f"{prefix}{name}."
            if name and isinstance(child, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
            else prefix,
        )
