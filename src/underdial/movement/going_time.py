"""How long a clock goes on one winding: turns of the great wheel, line and drum, fusee, stop work.

Great wheel turns, the ratio up to the hour arbor, and the length of line on the drum settle it; no friction comes in.
Exact arithmetic. Sources: [Derham1696]_ ch. II and X; [Goodrich1905]_ ch. XIV and XV.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from underdial.errors import BadInput
from underdial.formula import formula


@formula("going_time")
def going_time_h(
    *, turns: float, wheels: Sequence[int], pinions: Sequence[int], last_pinion_period_h: float = 1.0
) -> float:
    """Going time from the turns of the great wheel and the counts up to the arbor that turns once an hour.

    Parameters
    ----------
    turns : float
        Turns of the great wheel from wound to down, 0 to 10000.
    wheels : list of int
        Teeth of the wheels from the great wheel up to the hour pinion, 1 to 2000.
    pinions : list of int
        Leaves of the pinions they drive; the last turns once an hour, 1 to 2000.
    last_pinion_period_h : float
        Time of one turn of the last pinion [h], 0.001 to 100000.

    Returns
    -------
    float
        Going time [h].

    Notes
    -----
    Exact. Source: [Derham1696]_ ch. X s. 2 to 6.
    """
    return turns * _ratio(wheels, pinions) * last_pinion_period_h


@formula("turns_for_going_time")
def turns_for_going_time(
    *, going_time_h: float, wheels: Sequence[int], pinions: Sequence[int], last_pinion_period_h: float = 1.0
) -> float:
    """Turns of the great wheel that a going time asks for: `going_time` read the other way.

    Parameters
    ----------
    going_time_h : float
        Going time [h], 0 to 100000.
    wheels : list of int
        Teeth of the wheels from the great wheel up to the hour pinion, 1 to 2000.
    pinions : list of int
        Leaves of the pinions they drive; the last turns once an hour, 1 to 2000.
    last_pinion_period_h : float
        Time of one turn of the last pinion [h], 0.001 to 100000.

    Returns
    -------
    float
        Turns of the great wheel.

    Notes
    -----
    Exact. Source: [Derham1696]_ ch. X s. 2 to 6, solved for the turns.
    """
    return going_time_h / (_ratio(wheels, pinions) * last_pinion_period_h)


@formula("wheel_product")
def wheel_product(*, going_time_h: float, turns: float, pinions: Sequence[int]) -> float:
    """Product of the wheels that make a clock of the wanted going time with given pinions and turns.

    Parameters
    ----------
    going_time_h : float
        Going time [h], 0.01 to 100000.
    turns : float
        Turns of the great wheel, 0.01 to 10000.
    pinions : list of int
        Leaves of the pinions up to the hour arbor, 1 to 2000.

    Returns
    -------
    float
        Product of the teeth of the wheels, to be split into wheels.

    Notes
    -----
    Exact; the last pinion turns once an hour. Source: [Grimthorpe1903]_ sect. Year clocks.
    """
    return going_time_h / turns * math.prod(pinions)


@formula("duration_ratio")
def duration_ratio(*, from_d: float, to_d: float) -> float:
    """Ratio of the wheel and pinion to be put in to lengthen the going time.

    Parameters
    ----------
    from_d : float
        Going time as it is [d], 0.01 to 10000.
    to_d : float
        Going time wanted [d], 0.01 to 10000.

    Returns
    -------
    float
        Wheel over pinion of the extra mesh.

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. XIV.
    """
    return to_d / from_d


@formula("line_turns")
def line_turns(*, drop_m: float, drum_m: float, falls_count: float = 1.0, line_m: float = 0.0) -> float:
    """Turns of the drum while the weight falls.

    Parameters
    ----------
    drop_m : float
        Fall of the weight [m], 0 to 200.
    drum_m : float
        Diameter of the drum [m], 0.001 to 5.
    falls_count : float
        Parts of line that carry the weight: 1 direct, 2 with a pulley, 1 to 12.
    line_m : float
        Diameter of the line [m], 0 to 0.05.

    Returns
    -------
    float
        Turns.

    Notes
    -----
    The line lies at the drum's diameter plus its own. One layer. Source: [Goodrich1905]_ ch. XIV.
    """
    return drop_m * falls_count / (math.pi * (drum_m + line_m))


@formula("drum_circumference")
def drum_circumference_m(*, drop_m: float, falls_count: float, going_time_h: float, turn_h: float) -> float:
    """Line that one turn of the drum must take up, from fall, going time and time of a turn.

    Parameters
    ----------
    drop_m : float
        Fall of the weight [m], 0 to 200.
    falls_count : float
        Parts of line that carry the weight, 1 to 12.
    going_time_h : float
        Going time [h], 0.01 to 100000.
    turn_h : float
        Time of one turn of the drum [h], 0.001 to 100000.

    Returns
    -------
    float
        Circumference at the middle of the line [m].

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. XIV.
    """
    return drop_m * falls_count * turn_h / going_time_h


@formula("line_width_on_drum")
def line_width_m(*, turns: float, line_m: float) -> float:
    """Width of drum that the line covers, turn beside turn.

    Parameters
    ----------
    turns : float
        Turns of line, 0 to 10000.
    line_m : float
        Diameter of the line [m], 0 to 0.05.

    Returns
    -------
    float
        Width [m].

    Notes
    -----
    Exact for a line laid close. Source: [Cunynghame1906]_.
    """
    return turns * line_m


def _ratio(wheels: Sequence[int], pinions: Sequence[int]) -> float:
    if len(wheels) != len(pinions):
        raise BadInput("pinions", len(pinions), f"as many as there are wheels, {len(wheels)}")
    return math.prod(wheels) / math.prod(pinions)
