"""The air on a pendulum's rate: it carries part of the bob's weight, is dragged along, and so makes the clock lose.

Rates: + gains. Sources: [Britannica1910]_ art. Clock; [Grimthorpe1903]_ p. 71 to 73.
"""

from __future__ import annotations

import math

from underdial.formula import formula


@formula("buoyancy_rate")
def buoyancy_rate_s_per_day(*, air_over_bob_ratio: float, entrained_ratio: float = 1.0) -> float:
    """What the air takes from a pendulum's rate against the same in a vacuum.

    Parameters
    ----------
    air_over_bob_ratio : float
        Density of the air over that of the bob, 0 to 0.1.
    entrained_ratio : float
        Factor for the air that moves along: 1 buoyancy alone, some 1.5 to 3 in all, 1 to 5.

    Returns
    -------
    float
        Change of rate, + gains, so 0 or below [s/day].

    Notes
    ----- 86400 (sqrt(1 - x) - 1), which is -43200 x in first order, x = ratio times factor. Source: [Britannica1910]_
    art. Clock.
    """
    return 86400.0 * (math.sqrt(1.0 - min(0.999, air_over_bob_ratio * entrained_ratio)) - 1.0)


@formula("barometric_rate")
def barometric_rate_s_per_day(*, rate_s_per_day: float, height_m: float, change_m: float) -> float:
    """Change of rate when the barometer moves, from the change over a known span of it.

    Parameters
    ----------
    rate_s_per_day : float
        Change of rate over the whole span [s/day], -1000 to 1000.
    height_m : float
        That span, as height of mercury [m], 1e-5 to 10.
    change_m : float
        Movement of the barometer [m], -10 to 10.

    Returns
    -------
    float
        Change of rate [s/day].

    Notes
    -----
    The effect is proportional to the air's density. Source: [Britannica1910]_ art. Clock.
    """
    return rate_s_per_day * change_m / height_m


@formula("barometric_rate_per_pa")
def barometric_rate_s_per_day_per_pa(
    *, air_kg_per_m3: float, bob_kg_per_m3: float, pressure_pa: float = 101325.0, entrained_ratio: float = 1.0
) -> float:
    """Change of a pendulum's rate for one pascal of air pressure.

    Parameters
    ----------
    air_kg_per_m3 : float
        Density of the air at that pressure [kg/m3], 0 to 10.
    bob_kg_per_m3 : float
        Density of the bob [kg/m3], 100 to 25000.
    pressure_pa : float
        Pressure of the air [Pa], 1000 to 200000.
    entrained_ratio : float
        Factor for the air that moves along: 1 buoyancy alone, some 1.5 to 3 in all, 1 to 5.

    Returns
    -------
    float
        Change of rate for a pascal, + gains [s/day/Pa].

    Notes
    -----
    -43200 times factor times density ratio over pressure; first order. Source: [Britannica1910]_ art. Clock.
    """
    return -43200.0 * entrained_ratio * air_kg_per_m3 / bob_kg_per_m3 / pressure_pa
