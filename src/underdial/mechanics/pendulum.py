"""The simple pendulum: length, beats, period.

A point bob on a weightless rod. Extended bobs and rods are in `compound_pendulum`, the spring it hangs by in
`suspension`, the old reckoning from a seconds pendulum in `seconds_pendulum`. Rates: + gains. Sources by key:
docs/reference/sources.md.
"""

from __future__ import annotations

import math

from underdial.formula import formula
from underdial.mechanics.circular_error import period_ratio

STANDARD_GRAVITY_M_PER_S2 = 9.80665


@formula("pendulum_length")
def length_m(*, beats_per_hour: float, g_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2) -> float:
    """Length of the simple pendulum that makes so many beats in an hour.

    Parameters
    ----------
    beats_per_hour : float
        Beats (single swings) in an hour [1/h], 0.5 to 1e6.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.

    Returns
    -------
    float
        Pivot to centre of oscillation [m].

    Notes
    -----
    Exact for vanishing swings. Source: [Huygens1673]_ part IV; [Grimthorpe1903]_ p. 38.
    """
    return g_m_per_s2 * (3600.0 / (math.pi * beats_per_hour)) ** 2


@formula("pendulum_length_for_beat")
def length_for_beat_m(*, beat_s: float, g_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2) -> float:
    """Length of the simple pendulum whose beat (half a period) lasts a given time.

    Parameters
    ----------
    beat_s : float
        Time of one beat [s], 0.001 to 10000.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.

    Returns
    -------
    float
        Pivot to centre of oscillation [m].

    Notes
    -----
    Exact for vanishing swings. Source: [Huygens1673]_ part IV.
    """
    return g_m_per_s2 * (beat_s / math.pi) ** 2


@formula("pendulum_beats")
def beats_per_hour(*, length_m: float, g_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2) -> float:
    """Beats in an hour of a simple pendulum of a given length.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation [m], 1e-6 to 1e8.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.

    Returns
    -------
    float
        Beats in an hour [1/h].

    Notes
    -----
    Exact for vanishing swings. Source: [Huygens1673]_ part IV.
    """
    return 3600.0 / (math.pi * math.sqrt(length_m / g_m_per_s2))


@formula("pendulum_period")
def period_s(*, length_m: float, g_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2, half_arc_rad: float = 0.0) -> float:
    """Time of one full swing, there and back, of a simple pendulum.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation [m], 1e-6 to 1e8.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.
    half_arc_rad : float
        Arc to one side of rest [rad], 0 to 3.1.

    Returns
    -------
    float
        Period [s].

    Notes
    -----
    Exact (complete elliptic integral by the arithmetic-geometric mean, error below 1e-15).
    Source: [Whittaker1937]_ s. 44.
    """
    return 2.0 * math.pi * math.sqrt(length_m / g_m_per_s2) * period_ratio(half_arc_rad=half_arc_rad)


@formula("pendulum_beat")
def beat_s(*, length_m: float, g_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2, half_arc_rad: float = 0.0) -> float:
    """Time of one beat, a swing to one side, of a simple pendulum.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation [m], 1e-6 to 1e8.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.
    half_arc_rad : float
        Arc to one side of rest [rad], 0 to 3.1.

    Returns
    -------
    float
        Time of one beat [s].

    Notes
    -----
    Half the period; exact. Source: [Whittaker1937]_ s. 44.
    """
    return period_s(length_m=length_m, g_m_per_s2=g_m_per_s2, half_arc_rad=half_arc_rad) / 2.0


@formula("gravity_from_pendulum")
def gravity_m_per_s2(*, length_m: float, period_s: float, half_arc_rad: float = 0.0) -> float:
    """Gravity from the length and the period of a simple pendulum.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation [m], 1e-6 to 1e8.
    period_s : float
        Time of one full swing [s], 1e-4 to 1e5.
    half_arc_rad : float
        Arc to one side of rest [rad], 0 to 3.1.

    Returns
    -------
    float
        Gravity [m/s2].

    Notes
    -----
    The period solved for gravity; exact. Source: [Whittaker1937]_ s. 44.
    """
    return length_m * (2.0 * math.pi * period_ratio(half_arc_rad=half_arc_rad) / period_s) ** 2
