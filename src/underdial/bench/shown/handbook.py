"""The handbook: every computation of movement, mechanics and gauging, read from the functions themselves.

Nothing is written here a second time: names, units, ranges and sources come from the docstrings (see
`underdial.formula`). At this edge angles are in degrees; inside they are radians.
"""

from __future__ import annotations

import difflib
import importlib
import inspect
import math
import pkgutil
import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any

import underdial.gauging
import underdial.mechanics
import underdial.movement
from underdial import units
from underdial.errors import BadInput, NotFound, OutOfRange
from underdial.formula import Formula, Parameter, formula, read_formula
from underdial.uncertain import propagate

_ROOMS = (underdial.movement, underdial.mechanics, underdial.gauging)
# Loops compiled by numba hold no formula and take a second to load.
_NOT_LOADED = ("kernel", "kernel_loops", "kernel_blocks")
_DEG = 180.0 / math.pi
_KINDS = {
    "m": "length",
    "rad": "angle",
    "s": "time",
    "h": "time",
    "d": "time",
    "s/day": "rate",
    "kg": "mass",
    "N m": "torque",
    "kg m2": "inertia",
    "Pa": "pressure",
    "m/s2": "acceleration",
    "degC": "temperature",
    "K": "span",
    "1/K": "expansion",
    "N": "force",
    "kg/m3": "density",
    "kg/m": "line density",
}
_RAISED = str.maketrans("−0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_SPAN = re.compile(r"\s*\[[^\]]+\]|[,;]?\s*-?[\d.]+(?:e-?\d+)? to -?[\d.]+(?:e-?\d+)?(?=\.?$)")
_NO_ERROR_TOLD = "No uncertainty was told of what was put in, so none is carried: u is 0."
# The unit of a formula -> those its range is told in, the finest first.
_TOLD_IN = {
    "m": ("µm", "mm", "m"),
    "kg": ("mg", "g", "kg"),
    "N m": ("µNm", "mNm", "Nm"),
    "Pa": ("Pa", "MPa", "GPa"),
    "kg m2": ("gcm2", "kgm2"),
}
_SPOKEN_UNIT = {"µNm": "µN m", "mNm": "mN m", "Nm": "N m", "gcm2": "g cm²", "kgm2": "kg m²"}
_SIZES = {"h": 3600.0, "d": 86400.0}
_PLAIN = re.compile(r"float|int|str|Sequence\[(?:float|int)\]|list\[(?:float|int)\]")


@cache
def pages() -> Mapping[str, Formula]:
    """Every formula by its name, in the order of the rooms."""
    found: dict[str, Formula] = {}
    for room in _ROOMS:
        for module in sorted(one.name for one in pkgutil.iter_modules(room.__path__)):
            if module not in _NOT_LOADED:
                for page in _pages_of(importlib.import_module(f"{room.__name__}.{module}")):
                    name = page.name if page.name not in found else f"{module}_{page.name}"
                    found[name] = page if name == page.name else read_formula(page.function, name=name)
    return found


def list_formulas() -> dict[str, Any]:
    """The handbook as a list."""
    shown = [_shown(page) for page in pages().values()]
    return {
        "formulas": shown,
        "warnings": [],
        "sources": sorted({key for one in pages().values() for key in _keys(one.source)}),
    }


def show_formula(name: str) -> dict[str, Any]:
    """One page of the handbook."""
    page = _page(name)
    return {**_shown(page), "warnings": [], "sources": _keys(page.source)}


def compute(name: str, given: Sequence[str]) -> dict[str, Any]:
    """A formula with values as typed (`length_m=250mm`, `half_arc_deg=2+-0.1`), uncertainties carried through.

    A list given where one number is taken computes one value for each.
    """
    page = _page(name)
    inputs, us = _read(page, given)
    told = any(u for one in us.values() for u in (one if isinstance(one, list) else [one]))
    rows = _rows(page, inputs, us)
    try:
        computed = [_one(page, row, row_us) for row, row_us in rows]
    except OutOfRange as wrong:
        raise _in_degrees(wrong) from wrong
    names = [_outer(one) for one, _ in page.returns]
    unit_names = [_outer_unit(one, unit) for one, unit in page.returns]
    answer: dict[str, Any] = {
        "name": name,
        "source": _plain_source(page.source),
        "assumed": _assumed(page, inputs),
        "warnings": [] if told else [_NO_ERROR_TOLD],
        "sources": _keys(page.source),
    }
    listed = len(rows) > 1 or _gives_list(computed[0][0])
    if len(page.returns) == 1 and not listed:
        value, u = computed[0]
        return {**answer, "value": value, "u": u, "unit": unit_names[0]}
    if len(page.returns) == 1:
        values = [value for value, _ in computed] if len(rows) > 1 else computed[0][0]
        return {
            **answer,
            "values": values,
            "u": [u for _, u in computed] if len(rows) > 1 else computed[0][1],
            "unit": unit_names[0],
        }
    by_name = {
        one: [value[k] for value, _ in computed] if len(rows) > 1 else computed[0][0][k] for k, one in enumerate(names)
    }
    us_by_name = {
        one: [u[k] for _, u in computed] if len(rows) > 1 else computed[0][1][k] for k, one in enumerate(names)
    }
    return {**answer, "values": by_name, "u": us_by_name, "unit": dict(zip(names, unit_names, strict=True))}


def _pages_of(module: Any) -> list[Formula]:
    found = []
    for function_name, function in vars(module).items():
        if not inspect.isfunction(function) or function.__module__ != module.__name__ or function_name.startswith("_"):
            continue
        name = getattr(function, "__formula_name__", None)
        if name is None and not _could_be_formula(function):
            continue
        # A function that is not marked is held to the ranges of its docstring here.
        found.append(read_formula(function if name else formula(function_name)(function), name=name or function_name))
    return found


def _could_be_formula(function: Callable[..., Any]) -> bool:
    """A public function of plain numbers whose docstring tells parameters and returns."""
    signature = inspect.signature(function)
    doc = inspect.getdoc(function) or ""
    plain = signature.parameters and all(
        _PLAIN.fullmatch(str(one.annotation).replace(" ", "")) for one in signature.parameters.values()
    )
    if not plain or str(signature.return_annotation) not in ("float", "list[float]") or "\nReturns\n" not in doc:
        return False
    try:
        read_formula(function, name=function.__name__)
    except BadInput:
        return False
    return True


def _page(name: str) -> Formula:
    if name not in pages():
        near = difflib.get_close_matches(name, pages(), n=3, cutoff=0.4)
        hint = f"near it: {', '.join(near)}" if near else "see underdial formula"
        raise NotFound("formula", name, hint, f"formula: {name} is not in the handbook; {hint}")
    return pages()[name]


def _shown(page: Formula) -> dict[str, Any]:
    return {
        "name": page.name, "title": _in_words(page.title),
        "parameters": [_shown_parameter(one) for one in page.parameters],
        "returns": [{"name": _outer(name), "unit": _outer_unit(name, unit)} for name, unit in page.returns],
        "source": _plain_source(page.source),
        "room": page.function.__module__.split(".")[1],
    }  # fmt: skip


def _shown_parameter(one: Parameter) -> dict[str, Any]:
    scale = _DEG if _outer(one.name) != one.name else 1.0

    def out(value: object) -> object:
        return (
            round(value * scale, 9)
            if scale != 1.0 and isinstance(value, int | float)
            else list(value)
            if isinstance(value, tuple)
            else value
        )

    return {
        "name": _outer(one.name),
        "unit": _outer_unit(one.name, one.unit),
        "low": out(one.low),
        "high": out(one.high),
        "default": out(one.default),
        "takes": one.takes,
        "text": _SPAN.sub("", one.text).strip(" ,.;") + ".",
    }


def parameter_label(shown: Mapping[str, Any]) -> str:
    """A parameter as a person reads it: its words, the unit of a bare number, and the range in units of the bench."""
    unit = str(shown["unit"])
    tail = f"_{unit.replace('/', '_per_').replace(' ', '_').lower()}"
    words = str(shown["name"]).removesuffix("_ratio").removesuffix(tail)
    words = re.sub(r"_(?:s_per_day|per_k)$", "", words).replace("_", " ")
    # A letter stays the letter that the textbook has.
    words = words if len(words) == 1 else words[:1].upper() + words[1:]
    label = words + (f", in {unit}" if unit else "")
    if shown["low"] is None:
        return label
    return f"{label}; {_edge(shown['low'], unit)} to {_edge(shown['high'], unit)}"


def told_plainly(sentence: str) -> str:
    """A sentence whose numbers are written without the computer's e."""
    return re.sub(r"-?\d+(?:\.\d+)?e[-+]?\d+", lambda found: _figure(float(found[0])), sentence)


def _edge(value: float, unit: str) -> str:
    """One end of a range: in the unit in which it is no long string of noughts."""
    told = [one for one in _TOLD_IN.get(unit, ()) if value and abs(value) >= units.factor(one)[1]]
    fitting = told[-1] if told else next(iter(_TOLD_IN.get(unit, ())), None)
    if not value or fitting is None:
        return _figure(value)
    return f"{_figure(value / units.factor(fitting)[1])} {_SPOKEN_UNIT.get(fitting, fitting)}"


def _figure(value: float) -> str:
    """A number without the computer's e: 0.000001, or 10 to a power where that is long."""
    text = f"{value:g}".replace("-", "−")
    if "e" not in text:
        return text
    if 1e-7 < abs(value) < 1e10:
        return f"{value:.10f}".rstrip("0").rstrip(".").replace("-", "−")
    many, power = text.split("e")
    power = power.replace("+", "").replace("−0", "−").lstrip("0").translate(_RAISED)
    return f"10{power}" if many == "1" else f"{many} × 10{power}"


def _in_words(title: str) -> str:
    """A title without the program's marks: a formula that is named in it is called by its words."""
    return re.sub(r"`([^`]+)`", lambda found: f"“{found[1].replace('_', ' ')}”", title)


def _outer(name: str) -> str:
    """The name at the edge: an angle in radians is shown in degrees."""
    return f"{name[:-4]}_deg" if name.endswith("_rad") and not name.endswith("_per_rad") else name


def _outer_unit(name: str, unit: str) -> str:
    return "deg" if unit == "rad" and _outer(name) != name else unit


def _read(page: Formula, given: Sequence[str]) -> tuple[dict[str, Any], dict[str, Any]]:
    known = {_outer(one.name): one for one in page.parameters}
    inputs: dict[str, Any] = {}
    us: dict[str, Any] = {}
    for text in given:
        field, equals, typed = text.partition("=")
        if not equals:
            raise BadInput(
                field,
                text,
                "parameter=value, such as length_m=250mm",
                f"{text}: not a parameter with its value, such as length_m=250mm",
            )
        if field not in known:
            raise BadInput(
                field,
                typed,
                ", ".join(known),
                f"{field}: not a parameter of {page.name}; allowed: {', '.join(f'{one}=value' for one in known)}",
            )
        one = known[field]
        if one.name in inputs:
            raise BadInput(field, typed, "each parameter once")
        if one.takes.startswith("str"):
            inputs[one.name], us[one.name] = typed, 0.0
            continue
        pairs = [_number(one, field, part) for part in typed.split(",") if part.strip()] if typed.strip() else []
        if not pairs and not one.takes.startswith("list"):
            raise BadInput(field, "(nothing)", "a number")
        alone = len(pairs) == 1 and not one.takes.startswith("list")
        inputs[one.name] = pairs[0][0] if alone else [value for value, _ in pairs]
        us[one.name] = pairs[0][1] if alone else [u for _, u in pairs]
    for field, one in known.items():
        if one.name not in inputs and one.default is None:
            raise BadInput(
                field, "(nothing)", _allowed(one), f"{field}: {page.name} needs it; allowed: {_allowed(one)}"
            )
    return inputs, us


def _allowed(one: Parameter) -> str:
    shown = _shown_parameter(one)
    if shown["low"] is None:
        return one.takes or "a value"
    return f"{shown['low']:g} to {shown['high']:g} {shown['unit']}".strip()


def _number(one: Parameter, field: str, text: str) -> tuple[float, float]:
    """A number as typed, in the unit that the function takes."""
    text = text.strip()
    degrees = _outer(one.name) != one.name
    try:
        value, u = units.parse_number(text, field=field)
        scale = 1.0 / _DEG if degrees else 1.0
    except BadInput:
        kind = _KINDS.get(one.unit)
        if kind is None or not re.search(r"[A-Za-zµ/]", text):
            raise
        read = units.parse(text, kind=kind, field=field)
        value, u, scale = read.value, read.u, 1.0 / _SIZES.get(one.unit, 1.0)
    if "int" in one.takes:
        if value != round(value):
            raise BadInput(field, text, "a whole number")
        if u:
            raise BadInput(field, text, "a whole number without an uncertainty")
        return int(value), 0.0
    return value * scale, u * scale


def _rows(
    page: Formula, inputs: Mapping[str, Any], us: Mapping[str, Any]
) -> list[tuple[dict[str, Any], dict[str, Any]]]:
    """One set of inputs for each value of the lists that were given where one number is taken."""
    takes_one = {one.name for one in page.parameters if not one.takes.startswith("list")}
    lists = {name: value for name, value in inputs.items() if name in takes_one and isinstance(value, list)}
    lengths = {len(value) for value in lists.values()}
    if len(lengths) > 1:
        raise BadInput(_outer(next(iter(lists))), len(next(iter(lists.values()))), "lists of one length")
    if not lists:
        return [(dict(inputs), dict(us))]
    return [
        (
            {**inputs, **{name: value[k] for name, value in lists.items()}},
            {**us, **{name: us[name][k] for name in lists}},
        )
        for k in range(lengths.pop())
    ]


def _one(page: Formula, inputs: Mapping[str, Any], us: Mapping[str, Any]) -> tuple[Any, Any]:
    """Value and standard uncertainty of one evaluation; lists and several returns part by part."""
    result = _at_edge(page, page.function(**inputs))
    flat = _flat_inputs(inputs)
    flat_us = {
        key: u
        for name in us
        for key, u in _flat_inputs({name: us[name]}).items()
        if isinstance(u, int | float) and u > 0.0
    }

    def part(index: int | None) -> Callable[..., float]:
        def value(**moved: float) -> float:
            found = _at_edge(page, page.function(**_gathered(inputs, moved)))
            return float(found if index is None else found[index])

        return value

    if not isinstance(result, list):
        return result, propagate(part(None), flat, flat_us).u if flat_us else 0.0
    return result, [propagate(part(k), flat, flat_us).u if flat_us else 0.0 for k in range(len(result))]


def _flat_inputs(inputs: Mapping[str, Any]) -> dict[str, Any]:
    return {
        f"{name}.{k}" if isinstance(value, list) else name: one
        for name, value in inputs.items()
        for k, one in enumerate(value if isinstance(value, list) else [value])
        if not isinstance(one, str)
    }


def _gathered(inputs: Mapping[str, Any], flat: Mapping[str, float]) -> dict[str, Any]:
    return {
        name: [flat[f"{name}.{k}"] for k in range(len(value))] if isinstance(value, list) else flat.get(name, value)
        for name, value in inputs.items()
    }


def _at_edge(page: Formula, result: Any) -> Any:
    """A plain number or list, angles in degrees."""
    names = [name for name, _ in page.returns]
    if len(names) > 1:
        return [one * _DEG if _outer(name) != name else one for name, one in zip(names, result, strict=True)]
    scale = _DEG if _outer(names[0]) != names[0] else 1.0
    return [one * scale for one in result] if isinstance(result, list | tuple) else result * scale


def _gives_list(value: Any) -> bool:
    return isinstance(value, list)


def _assumed(page: Formula, inputs: Mapping[str, Any]) -> dict[str, Any]:
    return {
        shown["name"]: shown["default"]
        for one, shown in ((one, _shown_parameter(one)) for one in page.parameters)
        if one.name not in inputs
    }


def _in_degrees(wrong: OutOfRange) -> OutOfRange:
    if _outer(wrong.field) == wrong.field:
        return wrong
    assert isinstance(wrong.value, float)
    return OutOfRange(_outer(wrong.field), wrong.value * _DEG, wrong.low * _DEG, wrong.high * _DEG, "deg")


def _plain_source(source: str) -> str:
    return re.sub(r"\[(\w+)\]_", r"\1", source).rstrip(".")


def _keys(source: str) -> list[str]:
    """Keys of the list of sources that a source names."""
    return sorted(set(re.findall(r"\[(\w+)\]_", source)))
