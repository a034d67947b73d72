"""The figures of a computed answer as rows that can be read: name in words, value with its error, unit of the shop.

The unit is told by the tail of a key (`bore_m`), the error by its twin (`bore_u_m`). What is a verdict, a sentence or a
source is no figure and is left out. Limits: an answer nested more than two deep is shown by its first two floors.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

# Tail of a key -> by what to multiply, unit as it is kept, unit as it is shown; the longest that fits is taken.
_TAILS: dict[str, tuple[float, str, str]] = {
    "_s_per_day_per_turn": (1.0, "s/d", "s/d a turn"),
    "_s_per_day_per_um": (1.0, "s/d", "s/d a µm"),
    "_s_per_day_per_k": (1.0, "s/d", "s/d a degree"),
    "_s_per_day_per_m": (1e-3, "s/d", "s/d a mm"),
    "_s_per_day": (1.0, "s/d", "s/d"),
    "_n_m_per_rad": (1e6, "uNm", "µN m a radian"),
    "_rev_per_hour": (1.0, "", "turns an hour"),
    "_kg_per_m3": (1.0, "kg/m3", "kg/m³"),
    "_kg_m2": (1e7, "gcm2", "g cm²"),
    "_per_hour": (1.0, "", "an hour"),
    "_m_per_m": (1e3, "um", "µm a mm"),
    "_n_m": (1e3, "mNm", "mN m"),
    "_deg": (1.0, "deg", "deg"),
    "_rad": (180.0 / math.pi, "deg", "deg"),
    "_pa": (1e-6, "MPa", "MPa"),
    "_mg": (1.0, "mg", "mg"),
    "_kg": (1e3, "g", "g"),
    "_deg_c": (1.0, "degC", "degC"),
    "_m_per_s2": (1.0, "m/s2", "m/s²"),
    "_per_m": (1.0, "", "a metre"),
    "_per_k": (1.0, "", "a degree"),
    "_modules": (1.0, "", "modules"),
    "_ratio": (1.0, "", ""),
    "_count": (1.0, "", ""),
    "_probability": (1.0, "", ""),
    "_bit": (1.0, "", "bit"),
    "_n": (1.0, "N", "N"),
    "_j": (1.0, "J", "J"),
    "_h": (1.0, "h", "h"),
    "_s": (1.0, "s", "s"),
    "_m": (1e3, "mm", "mm"),
}
# Smaller than this many of the unit, a figure is shown in the finer one. [common practice]
_COARSER_MPA = 1e4
_FINER = {"mm": (0.1, 1e3, "um", "µm"), "mNm": (0.1, 1e3, "uNm", "µN m")}
# An error so much smaller than its value is rounding of the sums, not knowledge. [numerical]
_LEAST_ERROR_RATIO = 1e-9
_NO_FIGURE = frozenset(
    {
        "verdict",
        "reason",
        "reason_id",
        "advice",
        "warnings",
        "sources",
        "assumed",
        "words",
        "staff_words",
        "bic",
        "model",
        "seen_as",
        "forbids",
        "settled",
        "to_make",
        "searched_count",
        "fitting_count",
        "next_test",
        "next_test_bit",
        "at_edge",
        "kind",
        "others",
        "chosen",
        "off_ratio",
        "exact",
    }
)
_WORDS = {
    "tir": "movement",
    "z": "from the chuck",
    "bic": "evidence",
    "tir_at_end": "movement at the free end",
    "smallest_tir": "smallest bend that would show",
    "false_alarm": "chance of a false alarm",
    "noise": "noise of one reading",
    "hoop": "stress at the bore",
    "push_out": "force that pushes it out",
    "bore_before": "bore before it is pressed in",
    "bore_closes": "bore closes by",
    "cleans_up": "smallest bush that takes the wear away",
    "centre_offset": "true centre from the middle of the hole",
    "centre_toward": "towards",
    "largest_interference": "most interference",
    "depth_change": "change of depth",
    "beats": "beats",
    "blows_per_12h": "blows in twelve hours",
    "blows_per_great_turn": "blows in a turn of the great wheel",
    "blows_per_wind": "blows in a wind",
    "oval": "long way of the oval",
    "nut": "one turn of the nut",
    "nut_with_rod": "one turn of the nut, with the rod",
    "thickness": "a micrometre thicker",
    "temperature": "a degree warmer",
    "velocity": "speed, least to greatest",
    "torque_against": "strength against the old spring",
    "fill": "share of the room filled",
    "as_set": "as they come",
    "rate": "rate",
    "searched": "sets tried",
    "fitting": "sets that fit",
    "probability": "chance",
    "left": "left unexplained",
    "dial_up": "dial up",
    "index": "dividing",
    "rate_s_per_day_per_m": "a millimetre longer",
    "escape_rev_per_hour": "escape wheel",
    "rev_per_hour": "turns",
    "escape_count": "teeth of the escape wheel",
    "radius_m": "radius of the wheel",
    "rate_u_s_per_day": "error of a rate",
    "quality_u_ratio": "error of the quality",
    "pendulum_u_m": "error of the pendulum",
    "going_time_u_ratio": "error of the going time",
    "effective_radius": "friction radius",
    "face_tir": "movement at the face",
    "face_angle": "face stands out at",
    "eccentricity_angle": "off its centre towards",
    "gaps": "readings between teeth",
    "flank_back": "flank moves back",
    "turning_depth": "turns below the chops",
    "suspension_rate": "gained by the other suspension spring",
    "wanted_tir_m": "bend that must not be overlooked",
    "rate_s_per_day": "rate",
    "error_ratio": "off by",
}


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: key in the answer, that key as a word without its unit, name in words, value and standard error (None
    where it has none) in `unit`, and as it is shown.
    """

    key: str
    word: str
    name: str
    value: float
    u: float | None
    unit: str
    shown: str


@dataclass(frozen=True, slots=True)
class Rows:
    """A table of an answer: title (empty for the answer's own figures), heads, and rows of words."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def figures_of(result: Mapping[str, Any]) -> tuple[Figure, ...]:
    """Every single figure of an answer, in its order, those of its parts with the part's name before."""
    return tuple(_figures(result, "", ""))


def tables_of(result: Mapping[str, Any]) -> tuple[Rows, ...]:
    """The figures of an answer as tables: its own first, then one for each list in it (stations, candidates,
    arbors).
    """
    singles = tuple((one.name, one.shown) for one in figures_of(result))
    lists = [
        (name, rows)
        for name, rows in result.items()
        if isinstance(rows, list) and rows and isinstance(rows[0], Mapping) and name not in _NO_FIGURE
    ]
    return (
        *((Rows("", ("What", "Value"), singles),) if singles else ()),
        *(_listed(name, rows) for name, rows in lists),
    )


def value_words(key: str, value: Any) -> str:
    """One assumed value in words: `modulus 205000 MPa`."""
    if isinstance(value, bool | int | float):
        one = _figure(key, key, float(value), None, "")
        return f"{one.name} {one.shown}"
    return f"{_name(key, '')}: {value}"


def with_error(value: float, u: float | None) -> str:
    """The error to two figures and the value to the same place; four figures where there is no error."""
    if not u or not math.isfinite(u) or u < _LEAST_ERROR_RATIO * abs(value):
        text = f"{value:.4g}"
        plain = (
            f"{float(text):.0f}"
            if "e+" in text
            else f"{float(text):.9f}".rstrip("0").rstrip(".")
            if "e-" in text
            else text
        )
        return plain.replace("-", "−")
    places = max(0, 1 - math.floor(math.log10(u)))
    # Adding nought turns a minus nought into nought.
    return f"{round(value, places) + 0.0:.{places}f} ± {u:.{places}f}".replace("-", "−")


def chance_words(value: float) -> str:
    """A chance as it is said: `91 in 100`, `below 1 in 1000`."""
    return (
        "below 1 in 1000"
        if value < 1e-3
        else f"{1000 * value:.2g} in 1000"
        if value < 0.01
        else "above 99 in 100"
        if value > 0.99
        else f"{100 * value:.2g} in 100"
    )


def _figures(result: Mapping[str, Any], path: str, title: str) -> Iterator[Figure]:
    for key, value in result.items():
        if key in _NO_FIGURE or value is None or isinstance(value, bool) or _is_error(key, result):
            continue
        name = f"{title}: {_name(key, _tail(key))}" if title else _name(key, _tail(key))
        if isinstance(value, int | float):
            yield _figure(f"{path}{key}", key, float(value), _error_of(key, result), title)
        elif isinstance(value, Mapping) and path.count(".") < 2:
            yield from _figures(
                value,
                f"{path}{key}.",
                f"{title}, {_WORDS.get(key, key.replace('_', ' '))}"
                if title
                else _WORDS.get(key, key.replace("_", " ")),
            )
        elif isinstance(value, list) and len(value) == 2 and all(isinstance(one, int | float) for one in value):
            low, high = (_figure(key, key, float(one), None, "").shown for one in value)
            yield Figure(
                f"{path}{key}", _word(f"{path}{key}", _tail(key)), name, float(value[0]), None, "", f"{low} to {high}"
            )


def _listed(name: str, rows: Sequence[Mapping[str, Any]]) -> Rows:
    keys = [key for key in rows[0] if key not in _NO_FIGURE and not _is_error(key, rows[0])]
    cells = tuple(tuple(_cell(key, row) for key in keys) for row in rows)
    return Rows(_WORDS.get(name, name.replace("_", " ")), tuple(_name(key, _tail(key)) for key in keys), cells)


def _cell(key: str, row: Mapping[str, Any]) -> str:
    value = row.get(key)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _figure(key, key, float(value), _error_of(key, row), "").shown
    if isinstance(value, list):
        return "; ".join(str(one) for one in value) or "nothing"
    return "" if value is None else str(value).replace("_", " ")


def _figure(path: str, key: str, value: float, u: float | None, title: str) -> Figure:
    tail = _tail(key)
    factor, unit, shown = _TAILS.get(tail, (1.0, "turns", "") if key == "turns" else (1.0, "", ""))
    value, u = value * factor, None if u is None else u * factor
    finer = _FINER.get(unit) if shown in ("mm", "mN m") else None
    while finer is not None and 0.0 < abs(value) < finer[0]:
        value, u = value * finer[1], None if u is None else u * finer[1]
        unit, shown = finer[2], finer[3]
        finer = (0.1, 1e3, "nNm", "nN m") if unit == "uNm" else None
    if unit == "MPa" and abs(value) >= _COARSER_MPA:
        value, u, unit, shown = value / 1e3, None if u is None else u / 1e3, "GPa", "GPa"
    name = _name(key, tail)
    said = (
        chance_words(value)
        if tail == "_probability"
        else _time(value)
        if tail == "_s"
        else f"{with_error(value, u)} {shown}".strip()
    )
    return Figure(path, _word(path, tail), f"{title}: {name}" if title else name, value, u, unit, said)


def _time(value_s: float) -> str:
    return (
        f"{value_s / 3600:.4g} h"
        if value_s >= 7200
        else f"{value_s / 60:.4g} min"
        if value_s >= 120
        else f"{value_s:.4g} s"
    )


def _tail(key: str) -> str:
    return max((one for one in _TAILS if f"_{key}".endswith(one)), key=len, default="")


def _name(key: str, tail: str) -> str:
    stem = key.removesuffix(tail) if tail else key
    return _WORDS.get(key) or _WORDS.get(stem, stem.replace("_", " "))


def _word(path: str, tail: str) -> str:
    return re.sub("[^a-z0-9]+", "_", path.removesuffix(tail).lower()).strip("_")


def _error_of(key: str, result: Mapping[str, Any]) -> float | None:
    tail = _tail(key)
    found = result.get(f"{key.removesuffix(tail)}_u{tail}" if tail else f"{key}_u")
    return float(found) if isinstance(found, int | float) and found else None


def _is_error(key: str, result: Mapping[str, Any]) -> bool:
    """Whether a key is the error of another that stands beside it."""
    tail = _tail(key)
    stem = key.removesuffix(tail) if tail else key
    return stem.endswith("_u") and f"{stem.removesuffix('_u')}{tail}" in result
