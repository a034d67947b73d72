"""Warmth on a pendulum's rate: a rod that lengthens loses.

Rates: + gains. Rods and bobs of several metals are in `compensation`, the air in `air_on_pendulum`.
Source: [Grimthorpe1903]_ p. 55 to 58.
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
        raise OutOfRange(
            "rate_s_per_day", rate_s_per_day, *((1e-9, 86400.0) if error_s > 0 else (-86400.0, -1e-9)), "s/day"
        )
    return error_s / rate_s_per_day


@formula("observed_rate_per_k")
def observed_rate_s_per_day_per_k(*, rate_change_s_per_day: float, change_k: float) -> float:
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


@formula("rate_change_with_temperature")
def rate_change_s_per_day(*, coefficient_s_per_day_per_k: float, change_k: float) -> float:
    """Change of rate over a change of temperature, from a known coefficient.

    Parameters
    ----------
    coefficient_s_per_day_per_k : float
        Change of rate for a kelvin, + gains [s/day/K], -1000 to 1000.
    change_k : float
        Change of temperature, + warmer [K], -200 to 200.

    Returns
    -------
    float
        Change of rate [s/day].

    Notes
    -----
    A product; first order. Source: definition.
    """
    return coefficient_s_per_day_per_k * change_k
