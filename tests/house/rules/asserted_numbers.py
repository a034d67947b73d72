"""An asserted number says beside it where it is from: `Source:`, `Derived:` or `Pinned:`.

An asserted number is a number literal that stands in an `assert` as something expected: on its own, inside a list,
in arithmetic, or as an argument of a comparison (`approx`, `isclose`, `allclose`, `array_equal` and the like) or of a
plain wrapper (`abs`, `round`, `array`, `float`, `min`, `max`, `sum`). Not asserted are

* an input: an argument of any other call, an index, a slice;
* what is structure and not measure: 0, 1, -1; lengths (`len`, `shape`, `ndim`, `size`); codes (`exit_code`,
  `returncode`, `status_code`);
* a tolerance up to 1e-6 (`abs`, `rel`, `atol`, `rtol`): rounding of the machine. A wider one is a claim and is marked.

The word stands on a line of the assert, or on one of the three lines above it or above the unbroken run of asserts it
is in. For
a test with parameters, an expected parameter (one that the assert names where a number would stand) is marked in or
up to three lines above its `parametrize`, or beside the assert.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from pathlib import Path

MARKS = ("Source:", "Derived:", "Pinned:")
ABOVE = 3
_COMPARISONS = {
    "approx",
    "isclose",
    "allclose",
    "assert_allclose",
    "array_equal",
    "array_equiv",
    "abs",
    "round",
    "array",
    "float",
    "int",
    "min",
    "max",
    "sum",
    "tuple",
    "list",
    "set",
    "sorted",
    "asarray",
    "all",
    "any",
}
_STRUCTURE = {"shape", "ndim", "size", "exit_code", "returncode", "status_code"}
_TOLERANCES = {"abs", "rel", "atol", "rtol", "abs_tol", "rel_tol"}
_SMALL = 1e-6


def asserted_number_problems(files: Iterable[Path], root: Path) -> list[str]:
    """One line for each assert that holds a number and does not say where it is from."""
    found = []
    for path in files:
        text = path.read_text(encoding="utf-8")
        lines = text.splitlines()
        where = path.relative_to(root).as_posix()
        for run, given in _runs(ast.parse(text)):
            marked_above = _marked(lines, run[0].lineno - ABOVE, run[0].lineno - 1)
            for one in run:
                if marked_above or _marked(lines, one.lineno - ABOVE, one.end_lineno or one.lineno):
                    continue
                numbers = sorted({str(number) for number in _numbers(one.test)})
                if numbers:
                    found.append(
                        f"{where}:{one.lineno}: {', '.join(numbers)} asserted without Source:, Derived: or Pinned:"
                    )
                named = {name for name in _expected_names(one.test) if name in given}
                for decorator in {id(given[name]): given[name] for name in sorted(named)}.values():
                    if _has_number(decorator) and not _marked(
                        lines, decorator.lineno - ABOVE, decorator.end_lineno or decorator.lineno
                    ):
                        found.append(
                            f"{where}:{one.lineno}: {', '.join(sorted(named))} expected without Source:, Derived: or "
                            "Pinned:"
                        )
    return found


def _runs(tree: ast.AST) -> Iterator[tuple[list[ast.Assert], dict[str, ast.Call]]]:
    """Unbroken runs of asserts, each with the names that `parametrize` gives to the test it stands in."""

    def walk(node: ast.AST, given: dict[str, ast.Call]) -> Iterator[tuple[list[ast.Assert], dict[str, ast.Call]]]:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            given = {**given, **_parameters(node)}
        for field in ("body", "orelse", "finalbody", "handlers", "cases"):
            statements = getattr(node, field, None)
            if not isinstance(statements, list):
                continue
            run: list[ast.Assert] = []
            for one in statements:
                if isinstance(one, ast.Assert):
                    run.append(one)
                    continue
                if run:
                    yield run, given
                    run = []
                yield from walk(one, given)
            if run:
                yield run, given

    yield from walk(tree, {})


def _parameters(node: ast.FunctionDef | ast.AsyncFunctionDef) -> dict[str, ast.Call]:
    found: dict[str, ast.Call] = {}
    for one in node.decorator_list:
        if isinstance(one, ast.Call) and ast.unparse(one.func).endswith("parametrize") and one.args:
            names = [n.value for n in ast.walk(one.args[0]) if isinstance(n, ast.Constant) and isinstance(n.value, str)]
            found |= {name.strip(): one for text in names for name in text.split(",")}
    return found


def _numbers(node: ast.AST) -> Iterator[float]:
    """Number literals that stand as something expected."""
    if isinstance(node, ast.Constant):
        if isinstance(node.value, int | float) and not isinstance(node.value, bool) and node.value not in (0, 1):
            yield node.value
        return
    if isinstance(node, ast.Compare) and any(_is_structure(one) for one in (node.left, *node.comparators)):
        return
    for child in _inside(node):
        yield from _numbers(child)


def _expected_names(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Name):
        yield node.id
    elif isinstance(node, ast.Compare) and any(_is_structure(one) for one in (node.left, *node.comparators)):
        return
    else:
        for child in _inside(node):
            yield from _expected_names(child)


def _inside(node: ast.AST) -> Iterator[ast.AST]:
    """The parts of an expression in which a number would be expected and not an input."""
    if isinstance(node, ast.Call):
        name = ast.unparse(node.func).rpartition(".")[2]
        if name in _COMPARISONS:
            yield from node.args
            yield from (word.value for word in node.keywords if not (word.arg in _TOLERANCES and _is_small(word.value)))
    elif isinstance(node, ast.Subscript | ast.Attribute):
        yield from _inside(node.value)
    elif isinstance(node, ast.GeneratorExp | ast.ListComp | ast.SetComp):
        yield node.elt
    elif isinstance(node, ast.expr | ast.comprehension):
        yield from ast.iter_child_nodes(node)


def _is_structure(node: ast.AST) -> bool:
    if isinstance(node, ast.Call):
        return ast.unparse(node.func) == "len"
    while isinstance(node, ast.Subscript):
        node = node.value
    return isinstance(node, ast.Attribute) and node.attr in _STRUCTURE


def _is_small(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, int | float) and abs(node.value) <= _SMALL


def _has_number(node: ast.Call) -> bool:
    rows = [*node.args[1:], *(word.value for word in node.keywords if word.arg == "argvalues")]
    return any(
        isinstance(one, ast.Constant)
        and isinstance(one.value, int | float)
        and not isinstance(one.value, bool)
        and one.value not in (0, 1)
        for row in rows
        for one in ast.walk(row)
    )


def _marked(lines: list[str], first: int, last: int) -> bool:
    return any(mark in line for line in lines[max(first - 1, 0) : last] for mark in MARKS)
