"""Shop units to SI and back, at the edge of the house only.

A value as typed or spoken: `1.42mm`, `1.42+-0.005mm`, `6thou`, `3/4in`, `2.5deg`, `-35s/d`. The part behind
`+-` is one standard deviation. Inside the house every number is SI (angles in radians), save rates, which are
kept per day because that is how they are spoken of.

Limits: no compound units are built; the table below is all there is. Sources of the factors: inch 25.4 mm and pound
0.45359237 kg exactly (international yard and pound agreement, 1959); day 86400 s; 0 degC = 273.15 K; 1 lbf is one pound
under 9.80665 m/s2. A span of temperature is not a temperature.
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from underdial.errors import BadInput


class Quantity(NamedTuple):
    """A value in the SI unit of its kind, its standard uncertainty (0 when none was said) and the kind."""

    value: float
    u: float
    kind: str


_POUND_KG = 0.45359237
_TABLE: dict[str, dict[str, float]] = {
    "length": {"m": 1.0, "cm": 1e-2, "mm": 1e-3, "um": 1e-6, "µm": 1e-6, "in": 0.0254, "thou": 2.54e-5},
    "angle": {"rad": 1.0, "deg": math.pi / 180.0},
    "time": {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0, "d": 86400.0},
    "rate": {"s/d": 1.0, "min/d": 60.0, "s/week": 1.0 / 7.0, "min/week": 60.0 / 7.0},
    "mass": {"kg": 1.0, "g": 1e-3, "mg": 1e-6, "oz": _POUND_KG / 16.0, "lb": _POUND_KG},
    "torque": {"Nm": 1.0, "mNm": 1e-3, "uNm": 1e-6, "µNm": 1e-6},
    "inertia": {"kgm2": 1.0, "gcm2": 1e-7},
    "pressure": {"Pa": 1.0, "MPa": 1e6, "GPa": 1e9, "psi": _POUND_KG * 9.80665 / 0.0254**2, "kgf/mm2": 9.80665e6},
    "acceleration": {"m/s2": 1.0},
    "temperature": {"degC": 1.0},
    "span": {"K": 1.0, "degF": 5.0 / 9.0},
    "expansion": {"/K": 1.0, "/degC": 1.0, "/degF": 1.8},
    "force": {"N": 1.0, "mN": 1e-3, "lbf": _POUND_KG * 9.80665},
    "density": {"kg/m3": 1.0, "g/cm3": 1e3, "lb/in3": _POUND_KG / 0.0254**3, "oz/in3": _POUND_KG / 16.0 / 0.0254**3},
    "line density": {"kg/m": 1.0, "lb/in": _POUND_KG / 0.0254},
    "taper": {"mm/m": 1e-3, "in/ft": 1.0 / 12.0},
}
KINDS = tuple(_TABLE)
_UNITS = {unit: (kind, factor) for kind, units in _TABLE.items() for unit, factor in units.items()}
_NUMBER = r"[+-]?(?:\d+\s+\d+/\d+|\d+/\d+|\d+(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?)"
_VALUE = re.compile(rf"^\s*({_NUMBER})\s*(?:(?:\+-|±|\+/-)\s*({_NUMBER}))?\s*([^\d\s].*?)?\s*$")


def parse(text: str, *, kind: str, field: str = "value") -> Quantity:
    """Read `1.42+-0.005mm` as a length in metres with its standard uncertainty.

    Raises BadInput, naming the field, when the text is no number, has no unit, or one of another kind.
    """
    units = _TABLE[kind]
    example = next(iter(u for u in ("mm", "deg", "s/d", "g", "s", "uNm") if u in units), next(iter(units)))
    number, u, unit = _split(text, field, f"a number with a unit, such as 134.7{example}")
    if unit is None:
        shown = text.strip()
        raise BadInput(field, shown, ", ".join(units), f"{field}: {shown} needs a unit, such as {shown}{example}")
    if unit not in units:
        known = "another kind of unit" if unit in _UNITS else "not a unit known here"
        raise BadInput(
            field,
            text.strip(),
            ", ".join(units),
            f"{field}: {text.strip()} has {unit}, {known}; allowed: {', '.join(units)}",
        )
    return Quantity(number * units[unit], u * units[unit], kind)


def parse_number(text: str, *, field: str = "value") -> tuple[float, float]:
    """Read a count or ratio such as `9778+-20`: the value and its standard uncertainty."""
    number, u, unit = _split(text, field, "a bare number, such as 9778 or 9778+-20")
    if unit is not None:
        raise BadInput(
            field, text.strip(), "a bare number", f"{field}: {text.strip()} carries a unit; a bare number is wanted"
        )
    return number, u


def shown(value: float, unit: str, *, digits: int = 3) -> str:
    """Print an SI value in a shop unit: `shown(0.00142, 'mm')` gives `1.42 mm`."""
    factor = _UNITS[unit][1]
    text = f"{value / factor:.{digits}g}"
    if "e" in text:
        text = f"{value / factor:g}"
    return f"{text.replace('-', '−')} {unit.replace('u', 'µ', 1) if unit in ('um', 'uNm') else unit}"


def factor(unit: str) -> tuple[str, float]:
    """The kind of a unit and its size in the SI unit of that kind; BadInput for an unknown one."""
    try:
        return _UNITS[unit]
    except KeyError:
        raise BadInput(
            "unit", unit, ", ".join(_UNITS), f"unit: {unit} is not known here; allowed: {', '.join(_UNITS)}"
        ) from None


def _split(text: str, field: str, allowed: str) -> tuple[float, float, str | None]:
    match = _VALUE.match(text)
    if match is None:
        raise BadInput(
            field, text.strip(), allowed, f"{field}: {text.strip() or '(nothing)'} cannot be read; allowed: {allowed}"
        )
    number = _fraction(match[1], field)
    u = _fraction(match[2], field) if match[2] else 0.0
    if not math.isfinite(number) or not math.isfinite(u) or u < 0:
        raise BadInput(field, text.strip(), allowed)
    return number, u, match[3]


def _fraction(text: str, field: str) -> float:
    sign = -1.0 if text.lstrip().startswith("-") else 1.0
    parts = text.strip().lstrip("+-").split()
    total = 0.0
    for part in parts:
        if "/" in part:
            above, below = part.split("/")
            if float(below) == 0:
                raise BadInput(field, text, "a fraction whose lower number is not nought")
            total += float(above) / float(below)
        else:
            total += float(part)
    return sign * total
