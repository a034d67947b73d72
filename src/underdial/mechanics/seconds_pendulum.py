"""Pendulums reckoned from the seconds pendulum of the place, as old books do: by squares and roots alone.

Exact; what it says depends on the seconds pendulum taken (39.14 in, 39.2 in, 440.56 Paris lines).
Sources: [Derham1696]_ p. 76; [Goodrich1905]_ ch. II.
"""

from __future__ import annotations

import math

from underdial.formula import formula


@formula("pendulum_length_by_rule")
def length_by_rule_m(*, beat_s: float, seconds_pendulum_m: float) -> float:
    """Length of a pendulum from the seconds pendulum of the place, by the square of the beat.

    Parameters
    ----------
    beat_s : float
        Time of one beat [s], 0.001 to 10000.
    seconds_pendulum_m : float
        Length of the pendulum that beats seconds [m], 0.01 to 3.

    Returns
    -------
    float
        Length [m].

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. II; [Derham1696]_ p. 76.
    """
    return seconds_pendulum_m * beat_s**2


@formula("pendulum_beat_by_rule")
def beat_by_rule_s(*, length_m: float, seconds_pendulum_m: float) -> float:
    """Beat of a pendulum from the seconds pendulum of the place, by the root of the length.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation [m], 1e-6 to 1e8.
    seconds_pendulum_m : float
        Length of the pendulum that beats seconds [m], 0.01 to 3.

    Returns
    -------
    float
        Time of one beat [s].

    Notes
    -----
    Exact. Source: [Derham1696]_ p. 78.
    """
    return math.sqrt(length_m / seconds_pendulum_m)


@formula("pendulum_length_by_rule_for_beats")
def length_by_rule_for_beats_m(*, beats_per_hour: float, seconds_pendulum_m: float) -> float:
    """Length of a pendulum for a number of beats, from the seconds pendulum of the place.

    Parameters
    ----------
    beats_per_hour : float
        Beats in an hour [1/h], 0.5 to 1e6.
    seconds_pendulum_m : float
        Length of the pendulum that beats seconds [m], 0.01 to 3.

    Returns
    -------
    float
        Length [m].

    Notes
    -----
    Exact. Source: [Derham1696]_ p. 76.
    """
    return length_by_rule_m(beat_s=3600.0 / beats_per_hour, seconds_pendulum_m=seconds_pendulum_m)


@formula("pendulum_beats_by_rule")
def beats_by_rule_per_hour(*, length_m: float, seconds_pendulum_m: float) -> float:
    """Beats in an hour of a pendulum, from the seconds pendulum of the place.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation [m], 1e-6 to 1e8.
    seconds_pendulum_m : float
        Length of the pendulum that beats seconds [m], 0.01 to 3.

    Returns
    -------
    float
        Beats in an hour [1/h].

    Notes
    -----
    Exact. Source: [Derham1696]_ p. 78.
    """
    return 3600.0 / beat_by_rule_s(length_m=length_m, seconds_pendulum_m=seconds_pendulum_m)
