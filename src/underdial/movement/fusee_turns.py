"""Fusee turns and stop work as counts: beats to a turn, turns left, coils up and down.

No torque here (that is `mechanics.fusee`). Exact arithmetic. Sources: [Derham1696]_ ch. II s. 8 and 9;
[Goodrich1905]_ ch. XV.
"""

from __future__ import annotations

from underdial.formula import formula


@formula("beats_per_turn")
def beats_per_turn(*, going_time_h: float, beats_per_hour: float, turns: float) -> float:
    """Beats while the fusee or great wheel turns once.

    Parameters
    ----------
    going_time_h : float
        Going time on all the turns [h], 0 to 100000.
    beats_per_hour : float
        Beats in an hour [1/h], 1 to 200000.
    turns : float
        Turns of the fusee from wound to down, 0.01 to 10000.

    Returns
    -------
    float
        Beats to one turn.

    Notes
    -----
    Exact. Source: [Derham1696]_ ch. II s. 9.
    """
    return going_time_h * beats_per_hour / turns


@formula("going_time_from_beats")
def going_time_from_beats_h(*, turns: float, beats_per_turn: float, beats_per_hour: float) -> float:
    """Going time from the beats of one turn: `beats_per_turn` read the other way.

    Parameters
    ----------
    turns : float
        Turns of the fusee from wound to down, 0 to 10000.
    beats_per_turn : float
        Beats to one turn, 0 to 1e9.
    beats_per_hour : float
        Beats in an hour [1/h], 1 to 200000.

    Returns
    -------
    float
        Going time [h].

    Notes
    -----
    Exact. Source: [Derham1696]_ ch. II s. 8.
    """
    return turns * beats_per_turn / beats_per_hour


@formula("coil_turns")
def coil_turns(*, coils_up_count: float, coils_down_count: float) -> float:
    """Turns a mainspring gives: coils counted wound less coils counted down.

    Parameters
    ----------
    coils_up_count : float
        Coils round the arbor when wound, 0 to 200.
    coils_down_count : float
        Coils against the wall when down, 0 to 200.

    Returns
    -------
    float
        Turns of the barrel.

    Notes
    -----
    Exact for coils that lie close in both states. Source: [Goodrich1905]_ ch. XV.
    """
    return coils_up_count - coils_down_count


@formula("turns_unused")
def turns_unused(*, total_turns: float, used_turns: float, set_up_turns: float) -> float:
    """Turns of a spring that the stop work leaves at the top.

    Parameters
    ----------
    total_turns : float
        Turns the spring has in its barrel, 0 to 200.
    used_turns : float
        Turns the clock uses, 0 to 200.
    set_up_turns : float
        Turns of set-up that stay in the spring when the clock is down, 0 to 200.

    Returns
    -------
    float
        Turns left over.

    Notes
    -----
    Exact; below nought means that the stop work cannot be fitted so. Source: [Goodrich1905]_ ch. XV.
    """
    return total_turns - used_turns - set_up_turns
