"""Striking: blows by the hour, pin wheels, count wheels, rack and snail.

Blows go 1 to 12 and round again, with one at the half if the clock strikes halves. Exact arithmetic. The steps of a
snail are read against the fall of the rack tail.

Sources: [Derham1696]_ ch. X; [Goodrich1905]_ ch. XVI. The rack's geometry is derived: a tail of length l that falls
by s turns the rack by s / l (chord taken as arc, error below 0.4 % for a turn up to 0.3 rad).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underdial.errors import BadInput
from underdial.formula import formula


@formula("strike_blows")
def strike_blows(*, hours_count: int, first_hour: int = 1, blows_at_half: int = 0) -> float:
    """Blows struck over a number of hours.

    Parameters
    ----------
    hours_count : int
        Hours struck, one after the other, 0 to 100000.
    first_hour : int
        The first hour struck, 1 to 12.
    blows_at_half : int
        Blows at each half hour, 0 to 12.

    Returns
    -------
    float
        Blows.

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. XVI.
    """
    turns, rest = divmod(int(hours_count), 12)
    struck = 78 * turns + sum((first_hour - 1 + j) % 12 + 1 for j in range(rest))
    return float(struck + blows_at_half * int(hours_count))


@formula("blows_in_days")
def blows_in_days(*, blows_per_day_count: float, duration_d: float) -> float:
    """Blows over a number of days.

    Parameters
    ----------
    blows_per_day_count : float
        Blows in 24 hours (156 for hours, 180 with halves), 0 to 10000.
    duration_d : float
        Days [d], 0 to 10000.

    Returns
    -------
    float
        Blows.

    Notes
    -----
    Exact for whole half days. Source: [Goodrich1905]_ ch. XVI.
    """
    return blows_per_day_count * duration_d


@formula("pin_wheel_turns")
def pin_wheel_turns(*, blows_count: float, pins_count: float) -> float:
    """Turns of the pin wheel for a number of blows.

    Parameters
    ----------
    blows_count : float
        Blows, 0 to 1e7.
    pins_count : float
        Pins that lift the hammer, 1 to 200.

    Returns
    -------
    float
        Turns.

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. XVI.
    """
    return blows_count / pins_count


@formula("blows_per_great_turn")
def blows_per_great_turn(wheels: Sequence[int], pinions: Sequence[int], pins_count: float) -> float:
    """Blows for one turn of the strike's great wheel.

    Parameters
    ----------
    wheels : list of int
        Teeth of the wheels from the great wheel up to the pin-wheel pinion; none when the pins are on it, 1 to 2000.
    pinions : list of int
        Leaves of the pinions they drive, 1 to 2000.
    pins_count : float
        Pins on the pin wheel, 1 to 200.

    Returns
    -------
    float
        Blows to a turn.

    Notes
    -----
    Exact. Source: [Derham1696]_ ch. X s. 2.
    """
    if len(wheels) != len(pinions):
        raise BadInput("pinions", len(pinions), f"as many as there are wheels, {len(wheels)}")
    return math.prod(wheels) / math.prod(pinions) * pins_count


@formula("strike_going_time")
def strike_going_time_h(*, blows_per_great_turn: float, turns: float, blows_per_12h_count: float = 78.0) -> float:
    """Going time of a strike train on one winding.

    Parameters
    ----------
    blows_per_great_turn : float
        Blows for one turn of the great wheel, 0.01 to 1e6.
    turns : float
        Turns of the great wheel from wound to down, 0 to 10000.
    blows_per_12h_count : float
        Blows in twelve hours: 78, or 90 with a blow at each half, 1 to 1000.

    Returns
    -------
    float
        Going time [h].

    Notes
    -----
    Exact over whole turns of twelve hours. Source: [Derham1696]_ ch. X s. 2.
    """
    return 12.0 * blows_per_great_turn * turns / blows_per_12h_count


@dataclass(frozen=True, slots=True)
class RackHour:
    """What the rack gathers at one hour: blows, and how far (in teeth) the tail stands from the middle of that step."""

    hour: int
    blows_count: int
    off_ratio: float


def rack_hours(
    hours: Sequence[int], snail_radii_m: Sequence[float], *, tail_m: float, tooth_angle_rad: float
) -> tuple[RackHour, ...]:
    """Blows at each hour from the snail's radii.

    The rack falls until the tail meets the snail; one blow is struck for each tooth gathered. The step of one
    o'clock is taken as one tooth. `off_ratio` is the part of a tooth by which a step misses a whole number.

    Raises BadInput when an hour is missing or doubled, or a radius, the tail or the tooth angle is not above nought.
    """
    for field, size, unit in (("tail", tail_m * 1e3, "mm"), ("tooth-angle", math.degrees(tooth_angle_rad), "deg")):
        if not size > 0.0:
            raise BadInput(field, f"{size:g}{unit}", f"above 0 {unit}")
    by_hour = dict(zip(hours, snail_radii_m, strict=True))
    if len(by_hour) != len(hours) or 1 not in by_hour:
        raise BadInput("hour", ",".join(map(str, hours)), "each hour once, with hour 1 among them")
    wrong = [(hour, radius) for hour, radius in by_hour.items() if not (1 <= hour <= 12 and 0 < radius < 1)]
    if wrong:
        raise BadInput("snail_radius_mm", wrong[0][1] * 1e3, "above 0 to 1000 mm, for hours 1 to 12")
    found = []
    for hour in sorted(by_hour):
        turned = 2.0 * math.asin(min(1.0, max(-1.0, (by_hour[1] - by_hour[hour]) / (2.0 * tail_m))))
        teeth = 1.0 + turned / tooth_angle_rad
        blows = round(teeth)
        found.append(RackHour(hour, max(0, blows), teeth - blows))
    return tuple(found)
