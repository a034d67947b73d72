"""How a clock's rate varies from recording to recording: over positions, over the wind, with the swing; and how the
swing runs down.

Readings heard by one recorder share its clock's error, which leaves their differences alone: there the fit's error is
taken. Readings of several recorders, or written by hand, keep their whole error.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from underdial.bench.by_ear.heard_over_time import DIFFERS_PROBABILITY
from underdial.mechanics.rate_variation import unsteadiness, weighted_slope
from underdial.record.measurement import Measurement


@dataclass(frozen=True, slots=True, kw_only=True)
class OneRate:
    """One rate with its error, and the position, hours since winding and swing each side that belong to it."""

    rate_s_per_day: float
    rate_u_s_per_day: float
    position: str | None = None
    since_winding_h: float | None = None
    swing_deg: float | None = None
    swing_u_deg: float | None = None


def rates_of_answers(answers: Sequence[Mapping[str, Any]]) -> tuple[OneRate, ...]:
    """The accepted answers of one command, heard by one recorder: the error of each is that of its fit."""
    return tuple(
        OneRate(
            rate_s_per_day=one["rate_s_per_day"],
            rate_u_s_per_day=one["rate_u_parts"]["fit_s_per_day"],
            position=one["position"],
            since_winding_h=one["since_winding_h"],
            swing_deg=one["amplitude_deg"],
            swing_u_deg=one["amplitude_u_deg"],
        )
        for one in answers
        if one["rate_s_per_day"] is not None and one["rate_u_parts"]["fit_s_per_day"]
    )


def rates_of_readings(readings: Iterable[Measurement], heard: Mapping[str, Mapping[str, Any]]) -> tuple[OneRate, ...]:
    """The rates of a clock's record. `heard` holds the answers of its recordings by the id of their sound."""
    kept = [one for one in readings if one.standing != "rejected" and not one.lent_parts]
    rates = [one for one in kept if one.quantity == "rate" and one.unit == "s/d" and one.u]
    devices = {heard.get(_sound(one) or "", {}).get("device") for one in rates}
    same = len(devices) == 1 and None not in devices
    out = []
    for one in rates:
        answer = heard.get(_sound(one) or "", {})
        u = float(answer["answer"]["rate_u_parts"]["fit_s_per_day"]) if same else float(one.u or 0.0)
        swing = next(
            (each for each in kept if each.quantity == "half_arc" and each.unit == "deg" and _goes_with(each, one)),
            None,
        )
        # Both were read to the last place kept; that is the least that two of them can differ by.
        out.append(
            OneRate(
                rate_s_per_day=one.value,
                rate_u_s_per_day=max(u, 0.01),
                position=one.position,
                since_winding_h=one.since_winding_h,
                swing_deg=swing.value if swing else None,
                swing_u_deg=swing.u if swing else None,
            )
        )
    return tuple(out)


def variation_keys(rates: Sequence[OneRate]) -> dict[str, Any]:
    """What several rates say together: over positions, over the wind, with the swing, and how the swing runs down; null
    where it cannot be told.
    """
    told: dict[str, Any] = {
        "rates_count": len(rates),
        "positions": [],
        "position_spread_s_per_day": None,
        "position_chance_probability": None,
        "wind_s_per_day_per_h": None,
        "wind_u_s_per_day_per_h": None,
        "isochronism_s_per_day_per_deg": None,
        "isochronism_u_s_per_day_per_deg": None,
        "run_down_deg_per_h": None,
        "run_down_u_deg_per_h": None,
    }
    places = [
        _mean(name, [one for one in rates if one.position == name])
        for name in dict.fromkeys(one.position for one in rates if one.position)
    ]
    told["positions"] = [{"position": name, "rate_s_per_day": mean, "rate_u_s_per_day": u} for name, mean, u in places]
    if len(places) > 1:
        found = unsteadiness([mean for _, mean, _ in places], [u for _, _, u in places])
        told |= {
            "position_spread_s_per_day": found.spread_s_per_day,
            "position_chance_probability": found.chance_probability,
        }
    # Along the wind and the swing only one position is compared with itself: the one with the most readings.
    for names, rows in (
        ("wind", [one for one in rates if one.since_winding_h is not None]),
        ("isochronism", [one for one in rates if one.swing_deg is not None]),
    ):
        rows = _of_one_position(rows)
        along = [(one.since_winding_h if names == "wind" else one.swing_deg) or 0.0 for one in rows]
        if len(set(along)) > 2:
            unit = "h" if names == "wind" else "deg"
            slope, u = weighted_slope(
                *map(np.asarray, (along, [one.rate_s_per_day for one in rows], [one.rate_u_s_per_day for one in rows]))
            )
            told |= {f"{names}_s_per_day_per_{unit}": slope, f"{names}_u_s_per_day_per_{unit}": u}
    swings = _of_one_position(
        [one for one in rates if one.since_winding_h is not None and one.swing_deg is not None and one.swing_u_deg]
    )
    if len({one.since_winding_h for one in swings}) > 2:
        slope, u = weighted_slope(
            *map(
                np.asarray,
                (
                    [one.since_winding_h or 0.0 for one in swings],
                    [one.swing_deg or 0.0 for one in swings],
                    [one.swing_u_deg or 0.0 for one in swings],
                ),
            )
        )
        told |= {"run_down_deg_per_h": slope, "run_down_u_deg_per_h": u}
    return told


def variation_lines(told: Mapping[str, Any]) -> list[str]:
    """The same as sentences; what cannot be told yet says what is wanting."""
    lines = []
    if len(told["positions"]) > 1:
        each = ", ".join(
            f"{one['position'].replace('_', ' ')} {one['rate_s_per_day']:+.1f} ± {one['rate_u_s_per_day']:.2g}"
            for one in told["positions"]
        )
        chance = told["position_chance_probability"]
        lines.append(
            f"Over {len(told['positions'])} positions it spreads {told['position_spread_s_per_day']:.1f} s a day "
            f"({each}): "
            + ("more than the errors explain." if chance < DIFFERS_PROBABILITY else "no more than the errors explain.")
        )
    lines += [
        line
        for line in (
            _slope_line(told, "wind_{}s_per_day_per_h", "With every hour since winding its rate changes by", "s a day"),
            _slope_line(
                told, "isochronism_{}s_per_day_per_deg", "With every degree of swing its rate changes by", "s a day"
            ),
            _slope_line(told, "run_down_{}deg_per_h", "With every hour since winding its swing changes by", "deg"),
        )
        if line
    ]
    return lines


def variation_wanting(told: Mapping[str, Any]) -> list[str]:
    """What to record so that the rest can be told."""
    wanting = []
    if len(told["positions"]) < 2:
        wanting.append("Over positions: record it in two positions or more, and name them.")
    if told["wind_s_per_day_per_h"] is None:
        wanting.append("Over the wind: record it three times in one position, with the hours since winding.")
    if told["isochronism_s_per_day_per_deg"] is None:
        wanting.append(
            "With the swing: three swings of one position are wanted, heard with the lift told or written from a scale."
        )
    return wanting


def _slope_line(told: Mapping[str, Any], names: str, words: str, unit: str) -> str | None:
    slope, u = told[names.format("")], told[names.format("u_")]
    if slope is None:
        return None
    return f"{words} {slope:+.2g} {unit}, give or take {u:.2g}" + (
        "." if abs(slope) > 2.0 * u else ": no more than the errors explain."
    )


def _mean(name: str, rows: Sequence[OneRate]) -> tuple[str, float, float]:
    if len(rows) == 1:
        return name, rows[0].rate_s_per_day, rows[0].rate_u_s_per_day
    found = unsteadiness([one.rate_s_per_day for one in rows], [one.rate_u_s_per_day for one in rows])
    return name, found.mean_s_per_day, found.mean_u_s_per_day


def _of_one_position(rows: list[OneRate]) -> list[OneRate]:
    if not rows:
        return rows
    names = [one.position for one in rows]
    most = max(dict.fromkeys(names), key=names.count)
    return [one for one in rows if one.position == most]


def _sound(one: Measurement) -> str | None:
    return next((each.source for each in one.evidence if each.kind == "sound"), None)


def _goes_with(swing: Measurement, rate: Measurement) -> bool:
    if _sound(swing) is not None and _sound(swing) == _sound(rate):
        return True
    return (swing.position, swing.since_winding_h) == (
        rate.position,
        rate.since_winding_h,
    ) and rate.since_winding_h is not None
