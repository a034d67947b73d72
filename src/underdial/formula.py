"""A computation that carries its own page of the handbook: title, parameters, units, ranges, source.

A function marked with `formula` keeps what its numpydoc docstring says in one place. The ranges written there are
also the ranges that are enforced: a number outside raises OutOfRange with field, value and range. So neither the
handbook nor the checks repeat anything.

How a parameter is written: `length_m : float` and below it a sentence holding the unit in square brackets (none for
a count or a ratio) and the range as `0.001 to 100`. A parameter that takes several numbers says `list of float`.

Limits: ranges are closed intervals of numbers; what cannot be said so is raised by the function itself.
"""

from __future__ import annotations

import functools
import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ParamSpec, TypeVar

from underdial.errors import BadInput, OutOfRange

P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class Parameter:
    """One input of a formula: SI unit ("" for a count or ratio), closed range, default (None when it must be given)."""

    name: str
    unit: str
    low: float | None
    high: float | None
    default: object
    takes: str
    text: str


@dataclass(frozen=True, slots=True)
class Formula:
    """One page of the handbook, read from a function."""

    name: str
    title: str
    parameters: tuple[Parameter, ...]
    returns: tuple[tuple[str, str], ...]
    source: str
    function: Callable[..., Any]


def formula(name: str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Mark a function as a formula of the handbook under this name and hold its inputs to the ranges it states."""

    def mark(function: Callable[P, R]) -> Callable[P, R]:
        page = read_formula(function, name=name)
        bounds = {one.name: one for one in page.parameters if one.low is not None}
        names = tuple(inspect.signature(function).parameters)

        @functools.wraps(function)
        def within(*args: P.args, **kwargs: P.kwargs) -> R:
            for field, value in (*zip(names, args, strict=False), *kwargs.items()):
                if field in bounds:
                    _hold(field, value, bounds[field])
            return function(*args, **kwargs)

        within.__formula_name__ = name  # type: ignore[attr-defined]
        return within

    return mark


def read_formula(function: Callable[..., Any], *, name: str) -> Formula:
    """The page of a function, from its signature and its numpydoc docstring.

    Raises BadInput when a parameter of the function is not in its docstring, or nothing is said of what it returns.
    """
    doc = inspect.getdoc(function) or ""
    sections = _sections(doc)
    said = dict(_entries(sections.get("Parameters", "")))
    parameters = tuple(_parameter(one, said, name) for one in inspect.signature(function).parameters.values())
    returns = tuple(_returns(sections.get("Returns", ""), function.__name__))
    if not returns:
        raise BadInput("formula", name, "a docstring that says what is returned")
    source = re.search(r"Source:\s*(.+?)(?:\n\s*\n|\Z)", doc, re.DOTALL)
    title = " ".join(sections[""].split("\n\n")[0].split()).rstrip(".")
    return Formula(name, title, parameters, returns, " ".join(source[1].split()) if source else "", function)


_NUMBER = r"-?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_RANGE = re.compile(rf"({_NUMBER}) to ({_NUMBER})")
_UNIT = re.compile(r"\[([^\]]+)\]")


def _hold(field: str, value: Any, said: Parameter) -> None:
    assert said.low is not None
    assert said.high is not None
    if value is None or isinstance(value, str):
        return
    if isinstance(value, int | float):
        if not said.low <= value <= said.high:
            raise OutOfRange(field, float(value), said.low, said.high, said.unit)
        return
    for one in value:
        _hold(field, one, said)


def _parameter(one: inspect.Parameter, said: dict[str, tuple[str, str]], formula_name: str) -> Parameter:
    if one.name not in said:
        raise BadInput(
            "formula",
            formula_name,
            "a docstring that names every parameter",
            f"formula {formula_name}: its docstring does not name {one.name}",
        )
    takes, text = said[one.name]
    # The range stands last, after whatever spans the sentence speaks of.
    unit, span = _UNIT.search(text), next(reversed(list(_RANGE.finditer(text))), None)
    default = None if one.default is inspect.Parameter.empty else one.default
    low, high = (float(span[1]), float(span[2])) if span else (None, None)
    return Parameter(one.name, unit[1] if unit else "", low, high, default, takes, text)


def _returns(text: str, function_name: str) -> list[tuple[str, str]]:
    found = []
    for name, (takes, says) in _entries(text):
        unit = _UNIT.search(says)
        found.append((name if takes else function_name, unit[1] if unit else ""))
    return found


def _sections(doc: str) -> dict[str, str]:
    parts = re.split(r"^(\w[\w ]*)\n-{3,}\n", doc, flags=re.MULTILINE)
    return {"": parts[0], **{parts[i]: parts[i + 1] for i in range(1, len(parts) - 1, 2)}}


def _entries(text: str) -> list[tuple[str, tuple[str, str]]]:
    """Pairs of name and (type, sentence); an unnamed return has its type as the name and no type."""
    found: list[tuple[str, tuple[str, str]]] = []
    for line in text.splitlines():
        if not line.strip():
            continue
        if line[0] != " ":
            name, _, takes = line.partition(" : ")
            found.append((name.strip(), (takes.strip(), "")))
        elif found:
            name, (takes, says) = found[-1]
            found[-1] = (name, (takes, f"{says} {line.strip()}".strip()))
    return found
