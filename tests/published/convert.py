"""Units of the sources on the way in and on the way out; nothing else is computed between a row and our function."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from underdial import units

# Per-degree and compound units of old books, as (size of one in SI).
_MORE = {
    "per_1000F": 1.8e-3, "per_180F": 1e-2, "per_F": 1.8, "per_C": 1.0,
    "in2": 0.0254**2, "ton": 2000 * 0.45359237 * 9.80665, "ton/in3": 2000 * 0.45359237 * 9.80665 / 0.0254**3,
    "gr": 64.79891e-6, "bpm": 60.0, "s/week": 1 / 7.0, "nm": 1e-9, "week": 1.0, "1/in": 1 / 0.0254, "s/day": 1.0,
    "s/day/degF": 1.8, "Mpsi": 6894.757e6, "1e-6/C": 1e-6, "percent": 0.01,
}  # fmt: skip


def si(value: Any, unit: str) -> Any:
    """A value, or a list of them, in SI."""
    size = _MORE[unit] if unit in _MORE else units.factor(unit)[1]
    if isinstance(value, list | tuple):
        return [si(one, unit) for one in value]
    return value * size


def shop(value: Any, unit: str) -> Any:
    """A value in SI, or a list of them, in the unit of the source."""
    size = _MORE[unit] if unit in _MORE else units.factor(unit)[1]
    if isinstance(value, list | tuple):
        return [shop(one, unit) for one in value]
    return value / size


def each(function: Any, values: Iterable[Any]) -> list[Any]:
    """The function of every value of a list."""
    return [function(one) for one in values]
