"""Shop units to SI and back, at the edge of the house only: the one reader of values that are typed.

A value as typed or spoken: `1.42mm`, `1.42+-0.005mm`, `6thou`, `two thou`, `3/4in`, `9 3/4"`, `2.5deg`, `-35s/d`,
`loses 4 min a day`, `2h30`. The part behind `+-` is one standard deviation. Inside the house every number is SI (angles
in radians), save rates, which are kept per day because that is how they are spoken of, and counts, which are kept as
counted (beats to the hour).

Limits: no compound units are built; the table below is all there is. Sources of the factors: inch 25.4 mm and pound
0.45359237 kg exactly (international yard and pound agreement, 1959); a hundredweight is the long one, 112 lb; day
86400 s; 0 degC = 273.15 K; 1 lbf is one pound under 9.80665 m/s2. A span of temperature is not a temperature.
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from underdial.errors import BadInput
from underdial.spoken_values import in_figures, in_signs


class Quantity(NamedTuple):
    """A value in the SI unit of its kind, its standard uncertainty (0 when none was said) and the kind."""

    value: float
    u: float
    kind: str


_POUND_KG = 0.45359237
_DEG = math.pi / 180.0
# The units of each kind, those of the bench first: so they are listed to who wrote another.
_TABLE: dict[str, dict[str, float]] = {
    "length": {"mm": 1e-3, "thou": 2.54e-5, "in": 0.0254, "um": 1e-6, "µm": 1e-6, "cm": 1e-2, "m": 1.0, "ft": 0.3048},
    "angle": {"deg": _DEG, "arcmin": _DEG / 60.0, "rad": 1.0},
    "time": {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0, "d": 86400.0},
    "rate": {"s/d": 1.0, "min/d": 60.0, "s/week": 1.0 / 7.0, "min/week": 60.0 / 7.0, "s/h": 24.0, "min/h": 1440.0},
    "mass": {"g": 1e-3, "kg": 1.0, "mg": 1e-6, "lb": _POUND_KG, "oz": _POUND_KG / 16.0, "cwt": 112.0 * _POUND_KG},
    "torque": {"mNm": 1e-3, "uNm": 1e-6, "µNm": 1e-6, "Nm": 1.0},
    "inertia": {"kgm2": 1.0, "gcm2": 1e-7},
    "pressure": {
        "MPa": 1e6,
        "GPa": 1e9,
        "Pa": 1.0,
        "N/mm2": 1e6,
        "psi": _POUND_KG * 9.80665 / 0.0254**2,
        "kgf/mm2": 9.80665e6,
    },
    "acceleration": {"m/s2": 1.0},
    "temperature": {"degC": 1.0},
    "span": {"K": 1.0, "degF": 5.0 / 9.0},
    "expansion": {"/K": 1.0, "/degC": 1.0, "/degF": 1.8},
    "force": {"N": 1.0, "mN": 1e-3, "lbf": _POUND_KG * 9.80665},
    "density": {"kg/m3": 1.0, "g/cm3": 1e3, "lb/in3": _POUND_KG / 0.0254**3, "oz/in3": _POUND_KG / 16.0 / 0.0254**3},
    "line density": {"kg/m": 1.0, "lb/in": _POUND_KG / 0.0254},
    "taper": {"mm/m": 1e-3, "in/ft": 1.0 / 12.0},
    "beats": {"/h": 1.0, "/min": 60.0},
    "turns": {"turns": 1.0},
    "counted": {"swings": 1.0, "strands": 1.0, "teeth": 1.0, "leaves": 1.0, "blows": 1.0},
    "resistance": {"MOhm": 1e6},
    "dose rate": {"uSv/h": 1.0},
}
KINDS = tuple(_TABLE)
_UNITS = {unit: (kind, factor) for kind, units in _TABLE.items() for unit, factor in units.items()}
# How a unit of the table is also written or said; small letters, without a full stop.
_SPOKEN: dict[str, dict[str, str]] = {
    "length": {
        **dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters", "mms", "mil"), "mm"),
        **dict.fromkeys(("thous", "thousandth", "thousandths", "thousandths of an inch"), "thou"),
        **dict.fromkeys(("inch", "inches", "ins", '"', "''"), "in"),
        **dict.fromkeys(("micron", "microns", "micrometre", "micrometres"), "um"),
        **dict.fromkeys(("centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
        **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
        **dict.fromkeys(("foot", "feet", "'"), "ft"),
    },
    "angle": {
        **dict.fromkeys(("°", "degree", "degrees", "degs"), "deg"),
        **dict.fromkeys(("'", "minutes of arc"), "arcmin"),
        **dict.fromkeys(("radian", "radians"), "rad"),
    },
    "time": {
        **dict.fromkeys(("sec", "secs", "second", "seconds"), "s"),
        **dict.fromkeys(("msec", "millisecond", "milliseconds"), "ms"),
        **dict.fromkeys(("mins", "minute", "minutes"), "min"),
        **dict.fromkeys(("hr", "hrs", "hour", "hours"), "h"),
        **dict.fromkeys(("day", "days"), "d"),
    },
    "mass": {
        **dict.fromkeys(("gram", "grams", "gramme", "grammes", "gm", "gms"), "g"),
        **dict.fromkeys(("kilo", "kilos", "kilogram", "kilograms", "kgs"), "kg"),
        **dict.fromkeys(("milligram", "milligrams"), "mg"),
        **dict.fromkeys(("pound", "pounds", "lbs"), "lb"),
        **dict.fromkeys(("ounce", "ounces", "ozs"), "oz"),
        **dict.fromkeys(("hundredweight", "hundredweights"), "cwt"),
    },
    "temperature": dict.fromkeys(("°c", "c", "deg c", "degrees c", "degrees celsius", "celsius"), "degC"),
    "beats": {
        **dict.fromkeys(("bph", "beats/h", "beats an hour", "beats per hour"), "/h"),
        **dict.fromkeys(("bpm", "beats/min", "beats a minute", "beats per minute"), "/min"),
    },
    "turns": {"turn": "turns"},
    "counted": {"swing": "swings", "strand": "strands", "tooth": "teeth", "leaf": "leaves", "blow": "blows"},
    "resistance": dict.fromkeys(("megohm", "megohms", "mohm"), "MOhm"),
}
# A lesser unit may follow a greater one (`5 ft 3 in`, `2h30`, `4 lb 2 oz`), and so many of it make the greater.
_LESSER = {
    "ft": ("in", 12.0),
    "cwt": ("lb", 112.0),
    "lb": ("oz", 16.0),
    "kg": ("g", 1000.0),
    "d": ("h", 24.0),
    "h": ("min", 60.0),
    "min": ("s", 60.0),
    "deg": ("arcmin", 60.0),
}
_IN_STEPS = ("length", "mass", "time", "rate", "angle")
# Signs that a keyboard or a copied text may have, and ours.
_KEYS = {"−": "-", "–": "-", "μ": "µ", "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "⁄": "/"}
_FRACTIONS = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_NUMBER = r"[+-]?(?:\d+(?:\s+|-)\d+/\d+|\d+/\d+|\d+(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?)"
_VALUE = re.compile(rf"^\s*({_NUMBER})\s*(?:(?:\+-|±|\+/-)\s*({_NUMBER}))?\s*([^\d\s].*?)?\s*$")
# A value whose unit stands on both sides of the sign: `12 mm +- 1 mm`.
_UNIT_TWICE = re.compile(rf"^({_NUMBER})\s*([^\d\s+±/-][^\d+±]*?)\s*((?:\+-|±|\+/-)\s*{_NUMBER})\s*\2$")
_STEP_NUMBER = r"\d+(?:\s+|-)\d+/\d+|\d+/\d+|\d+(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+"
_STEP = re.compile(rf"\s*(?:and\s+)?({_STEP_NUMBER})\s*([^\d\s.+±-][^\d+±-]*?)?\s*(?=(?:and\s+)?[\d.]|$)")
_CLOCK_TIME = re.compile(r"^(\d+):([0-5]\d)(?::([0-5]\d))?\s*(\D*)$")
# The span a rate is told over: `/d`, `a day`, `in 24 hours`, `per week`.
_PER = re.compile(
    r"^(.*?)\s*(?:/|\bper\b|\bin an?\b|\bin(?= 24)|\ban?\b|\beach\b|\bevery\b)\s*"
    r"(day|d|24 ?h(?:ours)?|week|w|hour|hr|h)$",
    re.IGNORECASE,
)
_SPANS = {"d": "d", "2": "d", "w": "week", "h": "h"}


def parse(text: str, *, kind: str, field: str = "value", bare: str | None = None) -> Quantity:
    """Read `1.42+-0.005mm` as a length in metres with its standard uncertainty; `two thou` and `9 3/4"` as well.

    `bare` is the unit of a number that stands alone, where the place it is typed in names one; a rate is then told over
    its day, `loses 4 min` too. Raises BadInput, naming the field, when the text is no number, has no unit, or one of
    another kind.
    """
    shown, units = text.strip(), _TABLE[kind]
    example = next((u for u in ("mm", "deg", "s/d", "g", "s", "uNm") if u in units), next(iter(units)))
    said, sign = _plain(text), 1.0
    if kind == "rate":
        said, sign = _signed(said, field, shown)
    steps = _in_steps(said, kind, field, shown, bare)
    if steps is not None:
        return Quantity(sign * steps, 0.0, kind)
    number, u, unit = _split(said, field, f"a number with a unit, such as 134.7{example}", shown)
    if unit is None and bare is None:
        like = f"{shown if shown[-1:].isdigit() else f'{number:g}'}{example}"
        raise BadInput(field, shown, allowed_units(kind), f"{field}: {shown} needs a unit, such as {like}")
    name = _canonical(unit or bare or "", kind, bare)
    if name is not None:
        return Quantity(sign * number * units[name], u * units[name], kind)
    time = _canonical(unit or "", "time") if kind == "rate" else None
    if time is not None and f"{time}/d" in units:
        each = f"{number * sign:g}{time}"
        message = f"{field}: {shown} in a day or in a week; write {each}/d or {each}/week."
    else:
        known = (
            "another kind of unit" if any(_canonical(unit or "", one) for one in _TABLE) else "not a unit known here"
        )
        message = f"{field}: {shown} has {unit}, {known}; allowed: {allowed_units(kind)}"
    raise BadInput(field, shown, allowed_units(kind), message)


def allowed_units(kind: str) -> str:
    """The units of a kind as they are told to a person, those of the bench first."""
    return ", ".join(one for one in _TABLE[kind] if not one.startswith("µ"))


def parse_number(text: str, *, field: str = "value") -> tuple[float, float]:
    """Read a count or ratio such as `9778+-20`: the value and its standard uncertainty."""
    number, u, unit = _split(_plain(text), field, "a bare number, such as 9778 or 9778+-20", text.strip())
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
    """The kind of a unit and its size in the SI unit of that kind; BadInput for an unknown one.

    A unit may be written as it is said (`inches`); what two kinds share is that of the first.
    """
    if unit in _UNITS:
        return _UNITS[unit]
    for kind, units in _TABLE.items():
        name = _canonical(unit, kind)
        if name is not None:
            return kind, units[name]
    raise BadInput("unit", unit, ", ".join(_UNITS), f"unit: {unit} is not known here; allowed: {', '.join(_UNITS)}")


def is_bare(text: str) -> bool:
    """Whether a number stands without a unit."""
    match = _VALUE.match(_plain(text))
    return match is not None and match[3] is None


def unit_said(text: str) -> str:
    """The unit that stands behind a number as the table names it; empty where none does, or one not known here."""
    match = _VALUE.match(_plain(text))
    said = (match[3] if match else None) or ""
    return next((name for kind in _TABLE if (name := _canonical(said, kind)) is not None), "")


def _plain(text: str) -> str:
    """The text with the signs of the keys (one minus, one micro, `"` for inches), fractions written out, words as
    figures.
    """
    for one, other in _KEYS.items():
        text = text.replace(one, other)
    text = re.sub("[¼½¾⅛⅜⅝⅞]", lambda found: f" {_FRACTIONS[found[0]]}", text)
    return _UNIT_TWICE.sub(r"\1\3\2", in_figures(" ".join(text.split())))


def _signed(said: str, field: str, shown: str) -> tuple[str, float]:
    """A rate without the word that says which way it goes, and its sign."""
    rest, sign = in_signs(said)
    if sign and rest.startswith(("-", "+")):
        raise BadInput(
            field, shown, "a sign or a word", f"{field}: {shown} has a sign and a word for it; write one of them."
        )
    return rest, sign or 1.0


def _canonical(unit: str, kind: str, bare: str | None = None) -> str | None:
    """The unit's name in the table of its kind, else None; a time stands for a rate where `bare` is one."""
    units, said = _TABLE[kind], unit.strip()
    if said in units:
        return said
    if kind == "rate":
        return _rate_unit(said, bare)
    said = said.rstrip(".").strip()
    small = said.casefold()
    if small in _SPOKEN.get(kind, {}):
        return _SPOKEN[kind][small]
    joined = re.sub(r"[\s·*^]", "", said.replace("²", "2").replace("³", "3"))
    if joined in units:
        return joined
    return small if kind in ("length", "angle", "time", "mass") and small in units else None


def _rate_unit(said: str, bare: str | None) -> str | None:
    """`min a day`, `secs/week`: a time and the span it is told over."""
    time, span = _over(said, bare)
    name = f"{_canonical(time, 'time')}/{span}"
    return name if name in _TABLE["rate"] else None


def _over(said: str, bare: str | None) -> tuple[str, str]:
    """What is told of a rate without its span, and the span: of `bare` where none is said, else empty."""
    found = _PER.match(said)
    return (found[1], _SPANS[found[2][0].lower()]) if found else (said, (bare or "").partition("/")[2])


def _in_steps(said: str, kind: str, field: str, shown: str, bare: str | None) -> float | None:
    """`2:30 h`, `2h30`, `5 ft 3 in`, `1 min 40 s a day` in SI; None where the text is of one number."""
    if kind == "time" and (clock := _CLOCK_TIME.match(said)) is not None:
        return _clock_time_s(clock, field, shown, bare)
    if kind not in _IN_STEPS:
        return None
    sign, rest = (-1.0, said[1:]) if said.startswith("-") else (1.0, said.removeprefix("+"))
    size = 1.0
    if kind == "rate":
        rest, span = _over(rest, bare)
        kind, size = "time", _TABLE["rate"].get(f"s/{span}", 1.0)
    steps, at = [], 0
    while at < len(rest):
        one = _STEP.match(rest, at)
        if one is None:
            return None
        steps.append((_fraction(one[1], field), one[2]))
        at = one.end()
    return None if len(steps) < 2 else sign * size * _added_si(steps, kind, field, shown)


def _clock_time_s(said: re.Match[str], field: str, shown: str, bare: str | None) -> float:
    """`2:30` in seconds: of hours or of minutes, as its unit says."""
    unit = _canonical(said[4] or bare or "", "time")
    if unit not in ("h", "min") or (said[3] and unit == "min"):
        raise BadInput(
            field,
            shown,
            "2h30min or 2min30s",
            f"{field}: {shown} may be of hours or of minutes; write it as 2h30min or 2min30s.",
        )
    first, second, third = (float(one or 0.0) for one in said.group(1, 2, 3))
    return _TABLE["time"][unit] * (first + (second + third / 60.0) / 60.0)


def _added_si(steps: list[tuple[float, str | None]], kind: str, field: str, shown: str) -> float:
    """A value told in greater and lesser units, in SI; BadInput where one is none of the unit before it."""
    total, before = 0.0, ""
    for number, unit in steps:
        lesser, count = _LESSER.get(before, ("", math.inf))
        name = lesser if unit is None and before else _canonical(unit or "", kind)
        if not name or (before and (name != lesser or number >= count)):
            raise BadInput(
                field,
                shown,
                allowed_units(kind),
                f"{field}: {shown} cannot be read; allowed: a number with a unit, of {allowed_units(kind)}.",
            )
        total, before = total + number * _TABLE[kind][name], name
    return total


def _split(text: str, field: str, allowed: str, shown: str) -> tuple[float, float, str | None]:
    match = _VALUE.match(text)
    if match is None:
        raise BadInput(field, shown, allowed, f"{field}: {shown or '(nothing)'} cannot be read; allowed: {allowed}")
    number = _fraction(match[1], field)
    u = _fraction(match[2], field) if match[2] else 0.0
    if not math.isfinite(number) or not math.isfinite(u) or u < 0:
        raise BadInput(field, shown, allowed)
    return number, u, match[3]


def _fraction(text: str, field: str) -> float:
    sign = -1.0 if text.lstrip().startswith("-") else 1.0
    total = 0.0
    for part in re.split(r"\s+|(?<=\d)-(?=\d+/)", text.strip().lstrip("+-")):
        if "/" in part:
            above, below = part.split("/")
            if float(below) == 0:
                raise BadInput(field, text, "a fraction whose lower number is not nought")
            total += float(above) / float(below)
        else:
            total += float(part)
    return sign * total
