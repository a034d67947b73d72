"""Temperature and air on a pendulum's rate.

A rod that lengthens with warmth loses; denser air carries part of the bob's weight, is dragged along, and so loses.
Rates: + gains. Rods and bobs of several metals are in `compensation`.

Sources: [Britannica1910]_ art. Clock; [Grimthorpe1903]_ p. 55 to 73.
"""

from __future__ import annotations

import math

from underdial.errors import OutOfRange
from underdial.formula import formula


@formula("temperature_rate")
def temperature_rate_s_per_day_per_k(*, expansion_per_k: float) -> float:
    """Change of a pendulum's rate for one degree of warmth, from its rod.

    Parameters
    ----------
    expansion_per_k : float
        Linear expansion of the rod [1/K], -0.0001 to 0.001.

    Returns
    -------
    float
        Change of rate for a kelvin, + gains [s/day/K].

    Notes
    -----
    -43200 alpha; first order. Source: [Grimthorpe1903]_ p. 55.
    """
    return -43200.0 * expansion_per_k


@formula("temperature_error")
def temperature_error_s_per_day(*, expansion_per_k: float, change_k: float) -> float:
    """Change of a pendulum's rate for a change of temperature, from its rod.

    Parameters
    ----------
    expansion_per_k : float
        Linear expansion of the rod [1/K], -0.0001 to 0.001.
    change_k : float
        Change of temperature, + warmer [K], -200 to 200.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Notes
    -----
    Exact for a rod that grows evenly: 86400 (1/sqrt(1 + alpha dT) - 1). Source: [Grimthorpe1903]_ p. 55.
    """
    return 86400.0 * (1.0 / math.sqrt(1.0 + expansion_per_k * change_k) - 1.0)


@formula("days_to_error")
def days_to_error_d(*, error_s: float, rate_s_per_day: float) -> float:
    """Days until a steady rate has added up to an error.

    Parameters
    ----------
    error_s : float
        Error to be reached [s], -1e7 to 1e7.
    rate_s_per_day : float
        Rate, + gains [s/day], -86400 to 86400.

    Returns
    -------
    float
        Days [d].

    Raises
    ------
    OutOfRange
        The rate is nought or goes the other way.

    Notes
    -----
    Exact. Source: definition of a rate.
    """
    if error_s * rate_s_per_day <= 0.0:
        raise OutOfRange("rate_s_per_day", rate_s_per_day, *((1e-9, 86400.0) if error_s > 0 else (-86400.0, -1e-9)), "s/day")
    return error_s / rate_s_per_day


@formula("observed_rate_per_k")
def observed_rate_per_k(*, rate_change_s_per_day: float, change_k: float) -> float:
    """Temperature coefficient from a change of rate that was observed over a change of temperature.

    Parameters
    ----------
    rate_change_s_per_day : float
        Change of rate, + gains [s/day], -10000 to 10000.
    change_k : float
        Change of temperature [K], -200 to 200.

    Returns
    -------
    float
        Coefficient [s/day/K].

    Raises
    ------
    OutOfRange
        The temperature did not change.

    Notes
    -----
    A quotient; take the readings far apart. Source: definition.
    """
    if change_k == 0.0:
        raise OutOfRange("change_k", change_k, 1e-6, 200.0, "K")
    return rate_change_s_per_day / change_k


@formula("buoyancy_rate")
def buoyancy_rate_s_per_day(*, air_over_bob_ratio: float, entrained_ratio: float = 1.0) -> float:
    """What the air takes from a pendulum's rate against the same in a vacuum.

    Parameters
    ----------
    air_over_bob_ratio : float
        Density of the air over that of the bob, 0 to 0.1.
    entrained_ratio : float
        Factor for the air that moves along: 1 buoyancy alone, about 1.5 to 2 in all, 1 to 5.

    Returns
    -------
    float
        Change of rate, + gains, so 0 or below [s/day].

    Notes
    -----
    86400 (sqrt(1 - x) - 1), which is -43200 x in first order, x = ratio times factor. Source: [Britannica1910]_ art. Clock.
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
        Factor for the air that moves along: 1 buoyancy alone, about 1.5 to 2 in all, 1 to 5.

    Returns
    -------
    float
        Change of rate for a pascal, + gains [s/day/Pa].

    Notes
    -----
    -43200 times factor times density ratio over pressure; first order. Source: [Britannica1910]_ art. Clock.
    """
    return -43200.0 * entrained_ratio * air_kg_per_m3 / bob_kg_per_m3 / pressure_pa
