"""A balance out of poise: the rate in a hanging position, and the arc at which it vanishes.

A heavy spot acts as a small pendulum hung on the balance. With the spot straight down at rest the clock gains at
small arcs; the effect shrinks, is nought at 219.54 deg to each side, and is reversed beyond.

Source: [Defossez1950]_ ch. V; J1 is the Bessel function, by its power series (error below 1e-13 up to 8 rad).
"""

from __future__ import annotations

import math

from underdial.formula import formula

# First zero of J1. Source: [AbramowitzStegun1964]_ table 9.5.
VANISHING_HALF_ARC_RAD = 3.8317059702075125


@formula("poise_factor")
def poise_factor_ratio(*, half_arc_rad: float) -> float:
    """How strongly a heavy spot acts at an arc: J1(A)/A.

    Parameters
    ----------
    half_arc_rad : float
        Arc of the balance to one side of rest [rad], 0 to 8.

    Returns
    -------
    float
        Factor: one half at vanishing arcs, nought at 3.8317 rad.

    Notes
    -----
    Averaging over a sine motion; exact in first order of the mass. Source: [Defossez1950]_ ch. V.
    """
    quarter, term, total = half_arc_rad**2 / 4.0, 0.5, 0.0
    for n in range(1, 60):
        total += term
        term *= -quarter / (n * (n + 1))
        if abs(term) < 1e-18:
            break
    return total


@formula("poise_rate")
def poise_rate_s_per_day(
    *,
    moment_kg_m: float,
    stiffness_n_m_per_rad: float,
    half_arc_rad: float,
    g_m_per_s2: float = 9.80665,
    angle_rad: float = 0.0,
) -> float:
    """Change of rate from a heavy spot, in one hanging position.

    Parameters
    ----------
    moment_kg_m : float
        Mass of the spot times its distance from the staff [kg m], 0 to 0.001.
    stiffness_n_m_per_rad : float
        Stiffness of the hairspring [N m/rad], 1e-12 to 100.
    half_arc_rad : float
        Arc of the balance to one side of rest [rad], 0 to 8.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.
    angle_rad : float
        Where the spot stands at rest, from straight down [rad], -7 to 7.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Notes
    -----
    86400 (m r g cos(angle)/k) J1(A)/A; first order. Source: [Defossez1950]_ ch. V.
    """
    return (
        86400.0
        * moment_kg_m
        * g_m_per_s2
        * math.cos(angle_rad)
        / stiffness_n_m_per_rad
        * poise_factor_ratio(half_arc_rad=half_arc_rad)
    )


@formula("poise_moment")
def poise_moment_kg_m(
    *, rate_s_per_day: float, stiffness_n_m_per_rad: float, half_arc_rad: float, g_m_per_s2: float = 9.80665
) -> float:
    """Heavy spot, straight down, that accounts for a change of rate.

    Parameters
    ----------
    rate_s_per_day : float
        Change of rate, + gains [s/day], -10000 to 10000.
    stiffness_n_m_per_rad : float
        Stiffness of the hairspring [N m/rad], 1e-12 to 100.
    half_arc_rad : float
        Arc to one side of rest; from 200 to 240 deg nothing can be told [rad], 0 to 3.4906585.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.

    Returns
    -------
    float
        Mass times distance from the staff; negative when the spot is straight up [kg m].

    Notes
    -----
    The rate solved for the moment. Source: [Defossez1950]_ ch. V.
    """
    return (
        rate_s_per_day * stiffness_n_m_per_rad / (86400.0 * g_m_per_s2 * poise_factor_ratio(half_arc_rad=half_arc_rad))
    )
