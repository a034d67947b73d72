"""Which numbers can be true of a clock at all: a reading or a told figure beyond them is a slip, and is sent back.

Bounds are wide; they catch a lost point, a wrong unit and a wrong sign, not a bad clock.

Limits: bounds are ours, by common sense of the trade: [assumption]. Signed are only rate, beat offset, rate spread and
temperature.
"""

from __future__ import annotations

import math
from typing import Any

from underdial.errors import BadInput

_DEG = math.pi / 180.0
# (quantity or kind) -> least and most in SI (rates in s/day), and whether the least itself will do.
_BOUNDS: dict[str, tuple[float, float, bool]] = {
    "half_arc": (0.0, 360.0 * _DEG, False),
    "total_arc": (0.0, 720.0 * _DEG, False),
    "overswing": (0.0, 360.0 * _DEG, True),
    "beat_offset": (-90.0 * _DEG, 90.0 * _DEG, True),
    "lock": (0.0, 45.0 * _DEG, True),
    "drop": (0.0, 45.0 * _DEG, True),
    "beat_error": (0.0, 2.0, True),
    "periodic_error": (0.0, 2.0, True),
    "rate": (-43_200.0, 43_200.0, True),
    "rate_spread": (0.0, 43_200.0, True),
    "runout": (0.0, 0.02, True),
    "flat_diameter": (0.0, 0.005, False),
    "temperature": (-40.0, 80.0, True),
    "escape_torque": (0.0, 50.0, False),
    "main_torque": (0.0, 5_000.0, False),
    "torque": (0.0, 5_000.0, False),
    "minute_of_stop": (0.0, 3_600.0, True),
    "duration": (0.0, 2.0 * 366 * 86_400.0, True),
    "decay": (0.0, 100_000.0, True),
    "length": (0.0, 60.0, True),
    "mass": (0.0, 5_000.0, True),
    "time": (0.0, 2.0 * 366 * 86_400.0, True),
}
_MOST_RUN_S = 2.0 * 366 * 86_400.0
_MOST_RATE_S_PER_DAY = 43_200.0
_MOST_PENDULUM_DEG = 45.0


def check_reading(field: str, quantity: str, kind: str, *, given: float, factor: float, unit: str) -> None:
    """Refuse a reading that no clock gives; `given` is the number as written, `factor` brings it to SI.

    Raises BadInput with the field, the value and what would do, in the unit it was given in.
    """
    bounds = _BOUNDS.get(quantity) or _BOUNDS.get(kind)
    if bounds is None:
        return
    low, high, least_will_do = bounds
    value = given * factor
    if low <= value <= high * (1.0 + 1e-9) and (least_will_do or value > low):
        return
    words = quantity.replace("_", " ")
    allowed = f"{'' if least_will_do else 'above '}{low / factor:g} to {high / factor:g} {unit}"
    hint = " (half the sum of both sides is meant; there is no sign)" if quantity == "half_arc" and given < 0 else ""
    raise BadInput(
        field, given, allowed, f"{field}: a {words} of {given:g} {unit} cannot be; allowed: {allowed}{hint}."
    )


def check_pendulum_swing(field: str, half_arc_rad: float) -> None:
    """Refuse a pendulum's half arc beyond any escapement."""
    if half_arc_rad > _MOST_PENDULUM_DEG * _DEG:
        shown = math.degrees(half_arc_rad)
        raise BadInput(
            field,
            shown,
            f"above 0 to {_MOST_PENDULUM_DEG:g} deg",
            f"{field}: no pendulum clock swings {shown:.3g} deg to each side; allowed: above 0 to "
            f"{_MOST_PENDULUM_DEG:g} deg of half arc.",
        )


def check_told(name: str, field: str, value: float) -> None:
    """Refuse a run time or a rate that nobody's clock has."""
    if field == "rate_s_per_day" and abs(value) > _MOST_RATE_S_PER_DAY:
        raise BadInput(
            name,
            value,
            f"-{_MOST_RATE_S_PER_DAY:g} to {_MOST_RATE_S_PER_DAY:g} s a day",
            f"{name}: {value:g} s a day is beyond sense; allowed: -{_MOST_RATE_S_PER_DAY:g} to "
            f"{_MOST_RATE_S_PER_DAY:g}.",
        )
    if field in ("runs_for_s", "runs_dial_up_for_s") and value > _MOST_RUN_S:
        raise BadInput(
            name,
            value,
            f"0 to {_MOST_RUN_S:g} s",
            f"{name}: {value:g} s is more than two years; allowed: 0 to {_MOST_RUN_S:g}.",
        )


def check_size(name: str, value: Any, value_si: float) -> None:
    """Refuse a finding's size below nothing or of more than a tower."""
    if not 0.0 <= value_si <= _BOUNDS["length"][1]:
        raise BadInput(
            f"{name}.value",
            value,
            "0 or more",
            f"{name}.value: {value:g} cannot be the size of a fault; allowed: 0 or more.",
        )
