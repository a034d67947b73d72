"""The balance: period, stiffness, arcs, loss, and what warmth does to it with its spring.

Arcs are to one side of rest. Rates: + gains. Sources by key: docs/reference/sources.md.
"""

from __future__ import annotations

import math

from underdial.errors import OutOfRange
from underdial.formula import formula


@formula("balance_stiffness")
def stiffness_n_m_per_rad(*, inertia_kg_m2: float, beats_per_hour: float) -> float:
    """Stiffness of the spring that makes a balance beat so often.

    Parameters
    ----------
    inertia_kg_m2 : float
        Moment of inertia of the balance [kg m2], 1e-13 to 10.
    beats_per_hour : float
        Beats (single swings) in an hour [1/h], 1 to 200000.

    Returns
    -------
    float
        Stiffness [N m/rad].

    Notes
    -----
    I (2 pi f)^2 with f = beats / 7200; loss left out (1/8Q^2 of itself). Source: [Defossez1950]_ ch. II.
    """
    return inertia_kg_m2 * (2.0 * math.pi * beats_per_hour / 7200.0) ** 2


@formula("balance_beats")
def beats_per_hour(*, inertia_kg_m2: float, stiffness_n_m_per_rad: float) -> float:
    """Beats in an hour of a balance or torsion pendulum with its spring.

    Parameters
    ----------
    inertia_kg_m2 : float
        Moment of inertia [kg m2], 1e-13 to 10.
    stiffness_n_m_per_rad : float
        Stiffness of spring or suspension strip [N m/rad], 1e-12 to 100.

    Returns
    -------
    float
        Beats in an hour [1/h].

    Notes
    -----
    The stiffness solved for the beats. Source: [Defossez1950]_ ch. II.
    """
    return 7200.0 / (2.0 * math.pi) * math.sqrt(stiffness_n_m_per_rad / inertia_kg_m2)


@formula("balance_inertia")
def inertia_kg_m2(*, stiffness_n_m_per_rad: float, beats_per_hour: float) -> float:
    """Moment of inertia of a balance from its spring and its beats.

    Parameters
    ----------
    stiffness_n_m_per_rad : float
        Stiffness of the spring [N m/rad], 1e-12 to 100.
    beats_per_hour : float
        Beats in an hour [1/h], 1 to 200000.

    Returns
    -------
    float
        Moment of inertia [kg m2].

    Notes
    -----
    The stiffness solved for the inertia. Source: [Defossez1950]_ ch. II.
    """
    return stiffness_n_m_per_rad / (2.0 * math.pi * beats_per_hour / 7200.0) ** 2


@formula("balance_radius_rate")
def radius_change_rate_s_per_day(*, radius_change_ratio: float) -> float:
    """Change of rate when a balance grows at constant mass.

    Parameters
    ----------
    radius_change_ratio : float
        Change of its radius over the radius, -0.5 to 1.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Notes
    -----
    Exact: 86400 (1/(1 + x) - 1), inertia going as the square of the radius. Source: [Defossez1950]_ ch. II.
    """
    return 86400.0 * (1.0 / (1.0 + radius_change_ratio) - 1.0)


@formula("balance_temperature_rate")
def temperature_rate_s_per_day_per_k(
    *, modulus_change_per_k: float = 0.0, spring_expansion_per_k: float = 0.0, balance_expansion_per_k: float = 0.0
) -> float:
    """Change of rate for one degree of warmth of a plain balance with its spring.

    Parameters
    ----------
    modulus_change_per_k : float
        Relative change of the spring's modulus for a kelvin (about -0.00024 for steel) [1/K], -0.001 to 0.001.
    spring_expansion_per_k : float
        Linear expansion of the spring [1/K], -0.0001 to 0.0001.
    balance_expansion_per_k : float
        Linear expansion of the balance [1/K], -0.0001 to 0.0001.

    Returns
    -------
    float
        Change of rate for a kelvin, + gains [s/day/K].

    Notes
    -----
    86400 ((beta + 3 a_spring)/2 - a_balance); first order. With nought for the spring it is the balance's own part.
    Source: [Defossez1950]_ ch. VII.
    """
    return 86400.0 * ((modulus_change_per_k + 3.0 * spring_expansion_per_k) / 2.0 - balance_expansion_per_k)


@formula("half_arc_of_motion")
def half_arc_rad(*, turns: float) -> float:
    """Half arc of a balance whose whole vibration is given in turns.

    Parameters
    ----------
    turns : float
        Whole vibration from one turning point to the other, in turns, 0 to 2.

    Returns
    -------
    float
        Arc to one side of rest [rad].

    Notes
    -----
    Exact. Source: [Kleinlein1920]_ ch. XI no. 51.
    """
    return math.pi * turns


@formula("supplementary_arc")
def supplementary_arc_rad(*, vibration_rad: float, fork_rad: float, impulse_ratio: float) -> float:
    """Part of a balance's vibration during which the fork does not touch it.

    Parameters
    ----------
    vibration_rad : float
        Whole vibration from one turning point to the other [rad], 0 to 12.6.
    fork_rad : float
        Angle the fork moves through [rad], 0 to 1.
    impulse_ratio : float
        Turn of the balance for one of the fork, 0.1 to 20.

    Returns
    -------
    float
        Free arc [rad].

    Notes
    -----
    Exact for a constant ratio of levers. Source: [Playtner1910]_.
    """
    return vibration_rad - fork_rad * impulse_ratio


@formula("quality_from_decay")
def quality_ratio(*, fraction_left_ratio: float, periods_count: float = 1.0) -> float:
    """Quality factor of a free oscillator from how far its arc has fallen over counted periods.

    Parameters
    ----------
    fraction_left_ratio : float
        Arc at the end over arc at the start, 1e-9 to 0.999999999.
    periods_count : float
        Whole oscillations between the two, 0.001 to 1e8.

    Returns
    -------
    float
        Quality factor Q.

    Raises
    ------
    OutOfRange
        The arc did not fall.

    Notes
    -----
    pi n / -ln(fraction); exact for loss in proportion to speed. Source: [Rawlings1948]_ ch. on Q.
    """
    if fraction_left_ratio >= 1.0:
        raise OutOfRange("fraction_left_ratio", fraction_left_ratio, 1e-9, 0.999999999)
    return math.pi * periods_count / -math.log(fraction_left_ratio)
