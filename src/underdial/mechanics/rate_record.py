"""Records of a clock's error read once a day: daily rates, spread over positions, error of temperature.

Readings are cumulative, + fast. Source: [Kleinlein1920]_ part II, rating cards.
"""

from __future__ import annotations

from collections.abc import Sequence

from underdial.errors import BadInput
from underdial.formula import formula


@formula("daily_rates")
def daily_rates_s_per_day(readings_s: Sequence[float]) -> list[float]:
    """Daily rates from errors read once a day; the clock was set right the day before the first.

    Parameters
    ----------
    readings_s : list of float
        Errors read, + fast [s], -1e7 to 1e7.

    Returns
    -------
    list of float
        Rate of each day, + gains [s/day].

    Notes
    -----
    Each reading less the one before. Source: [Kleinlein1920]_ part II.
    """
    return [now - before for before, now in zip([0.0, *readings_s][: len(readings_s)], readings_s, strict=True)]


@formula("rate_spread")
def rate_spread_s_per_day(rates_s_per_day: Sequence[float]) -> float:
    """Largest rate less the smallest, over positions or days.

    Parameters
    ----------
    rates_s_per_day : list of float
        Rates, + gains [s/day], -1e6 to 1e6.

    Returns
    -------
    float
        Spread [s/day].

    Notes
    -----
    Source: [Kleinlein1920]_ part II.
    """
    if not rates_s_per_day:
        raise BadInput("rates_s_per_day", 0, "one rate or more")
    return max(rates_s_per_day) - min(rates_s_per_day)


@formula("temperature_record_error")
def temperature_record_error_s_per_day(*, heat_s_per_day: float, cold_s_per_day: float) -> float:
    """Size of the difference of rate between heat and cold.

    Parameters
    ----------
    heat_s_per_day : float
        Rate in the heat [s/day], -1e6 to 1e6.
    cold_s_per_day : float
        Rate in the cold [s/day], -1e6 to 1e6.

    Returns
    -------
    float
        Size of the difference [s/day].

    Notes
    -----
    Source: [Kleinlein1920]_ no. 12.
    """
    return abs(cold_s_per_day - heat_s_per_day)


@formula("middle_temperature_error")
def middle_temperature_error_s_per_day(*, curvature_s_per_day_per_k2: float, half_span_k: float) -> float:
    """Rate in the middle when a compensated balance is right at both ends of a span of temperature.

    Parameters
    ----------
    curvature_s_per_day_per_k2 : float
        Second-order coefficient of the rate, as a size [s/day/K2], 0 to 1.
    half_span_k : float
        Half of the span between the two right temperatures [K], 0 to 100.

    Returns
    -------
    float
        Gain in the middle [s/day].

    Notes
    -----
    A parabola. The coefficient is about 0.03 for steel and brass. Source: [Kleinlein1920]_ no. 77.
    """
    return curvature_s_per_day_per_k2 * half_span_k**2
