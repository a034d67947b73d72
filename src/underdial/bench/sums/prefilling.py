"""What a bench sum can take from the record of a clock: values that were read or told, written as they are typed.

Only what was said of this clock is taken, never what clocks of its kind usually have. The newest reading counts; a
reading with a part of the shop on the clock says nothing of it and is left out.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from underdial.bench.shop import ClockPage
from underdial.bench.sums.filling import Sum
from underdial.record.measurement import Measurement


@dataclass(frozen=True, slots=True)
class _Taken:
    """A field's readings: quantity, the parts it is a reading of (empty for any), and the position it was taken in."""

    quantity: str
    of: tuple[str, ...] = ()
    position: tuple[str | None, ...] = ()


_SPRING, _STAFF, _PENDULUM = (
    ("mainspring", "open_spring"),
    ("balance_staff", "balance", "cone_pivot", "platform"),
    ("pendulum", "pendulum_rod", "bob"),
)
_UPRIGHT = (None, "12_up", "upright", "3_up", "6_up", "9_up")
_FIELDS: Mapping[str, Mapping[str, _Taken]] = {
    "spring": {
        "thickness": _Taken("thickness", _SPRING),
        "height": _Taken("height", _SPRING),
        "length": _Taken("length", _SPRING),
        "barrel": _Taken("diameter", ("barrel",)),
        "arbor": _Taken("diameter", ("barrel_arbor", "winding_arbor")),
    },
    "hairspring": {
        "thickness": _Taken("thickness", ("hairspring",)),
        "height": _Taken("height", ("hairspring",)),
        "length": _Taken("length", ("hairspring",)),
        "rate": _Taken("rate"),
    },
    "pendulum": {
        "length": _Taken("length", _PENDULUM),
        "rate": _Taken("rate"),
        "half-arc": _Taken("half_arc"),
        "bob-mass": _Taken("mass", ("bob",)),
        "bob-diameter": _Taken("diameter", ("bob",)),
    },
    "cone": {
        "flat-diameter": _Taken("flat_diameter"),
        "end-shake": _Taken("end_shake", _STAFF),
        "mass": _Taken("mass", ("balance", "balance_staff")),
        "amplitude-dial-up": _Taken("half_arc", (), ("dial_up", "on_its_back")),
        "amplitude-upright": _Taken("half_arc", (), _UPRIGHT),
        "staff-length": _Taken("length", ("balance_staff",)),
    },
    "train": {"weight-drop": _Taken("fall", ("weight",)), "drum": _Taken("diameter", ("weight_barrel", "barrel"))},
    "missing": {"pendulum": _Taken("length", _PENDULUM)},
}
_ESCAPE_FIELD = ("train", "missing", "pallets")
_BEATS_FIELD = ("poise", "hairspring", "cone", "pendulum")


def prefilled(page: ClockPage, one: Sum) -> dict[str, str]:
    """Fields of a sum that the record of a clock answers, as they would be typed; empty when it answers none."""
    readings = [each for each in page.measurements if each.standing != "rejected" and not each.lent_parts]
    found = {
        field: text
        for field, taken in _FIELDS.get(one.name, {}).items()
        if (text := _read(readings, taken)) is not None
    }
    if (
        "rate" in {field.name for field in one.fields}
        and "rate" not in found
        and page.visit.complaint.rate_s_per_day is not None
    ):
        found["rate"] = f"{page.visit.complaint.rate_s_per_day:g}s/d"
    if one.name == "bush":
        found |= _hole(page, readings)
    counts, escape = str(page.clock.movement.get("train") or ""), page.clock.movement.get("escape")
    if one.name in ("train", "missing") and counts:
        found["train"] = counts
    if one.name in _ESCAPE_FIELD and escape:
        found["escape"] = f"{escape:g}" if isinstance(escape, int | float) else str(escape)
    if one.name in _BEATS_FIELD and "length" not in found and (beats := _beats(page, readings)):
        found["beats-per-hour"] = beats
    known = {field.name for field in one.fields}
    return {name: text for name, text in found.items() if name in known and text}


def _read(readings: Sequence[Measurement], taken: _Taken) -> str | None:
    those = [
        each
        for each in readings
        if each.quantity == taken.quantity
        and (not taken.of or _part(each.of) in taken.of)
        and (not taken.position or each.position in taken.position)
    ]
    return _typed(those[-1]) if those else None


def _typed(one: Measurement) -> str:
    return f"{one.value:.10g}{f'+-{one.u:.6g}' if one.u else ''}{one.unit}"


def _part(of: str | None) -> str:
    return re.split(r"[.:]", of or "")[-1]


def _hole(page: ClockPage, readings: Sequence[Measurement]) -> dict[str, str]:
    """Pivot and hole of the one arbor whose hole was measured; nothing where several holes were."""
    holes = [each for each in readings if each.quantity == "hole_diameter"]
    if len({(each.of, each.place) for each in holes}) != 1:
        return {}
    those = sorted((each for each in holes if each.unit == holes[-1].unit), key=lambda each: each.value)
    found = {"hole": _typed(those[0])}
    if len(those) > 1 and those[-1].value > those[0].value:
        found["hole-long"] = _typed(those[-1])
    pivots = [each for each in readings if each.quantity == "diameter" and each.of in (holes[-1].of, "pivot")]
    plates = [
        each
        for each in readings
        if each.quantity == "thickness" and _part(each.of) in ("plates", "plate", "back_plate", "front_plate")
    ]
    return {
        **found,
        **({"pivot": _typed(pivots[-1])} if pivots else {}),
        **({"plate": _typed(plates[-1])} if plates else {}),
    }


def _beats(page: ClockPage, readings: Sequence[Measurement]) -> str:
    """Beats in an hour by the counts of this clock, else as they were counted."""
    from underdial.bench.clock.drawing import movement_of

    movement = movement_of(page) if page.clock.movement.get("train") and page.clock.movement.get("escape") else None
    if movement is not None:
        return f"{movement.oscillator.beats_per_hour:.10g}"
    counted = [each for each in readings if each.quantity == "beat_rate"]
    return f"{counted[-1].value:.10g}{f'+-{counted[-1].u:.6g}' if counted[-1].u else ''}" if counted else ""
