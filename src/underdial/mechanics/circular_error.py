"""Circular error: a pendulum takes longer the wider it swings.

The arc is that to one side of rest; old books also quote the whole swing. `circular_error_s_per_day` is a rate
(+ gains, so never above nought); `circular_loss_s_per_day` is the excess of the period, which books tabulate.
The two differ by their own square over a day: 0.3 s/d at 10 deg.

Sources: [Whittaker1937]_ s. 44 for the integral; [Bessel1826]_ for use with clocks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from underdial.formula import formula

SECONDS_A_DAY = 86400.0


@formula("circular_period_ratio")
def period_ratio(*, half_arc_rad: float) -> float:
    """Period of a pendulum over its period at vanishing swing.

    Parameters
    ----------
    half_arc_rad : float
        Arc to one side of rest [rad], 0 to 3.1.

    Returns
    -------
    float
        Ratio, 1 or more.

    Notes
    -----
    1 / agm(1, cos(a/2)), which equals (2/pi) K(sin(a/2)); error below 1e-15. Source: [Whittaker1937]_ s. 44.
    """
    a, b = 1.0, math.cos(half_arc_rad / 2.0)
    # Each step doubles the digits that agree; seven are enough up to 3.1 rad, and a fixed number cannot hang on
    # rounding.
    for _ in range(9):
        a, b = (a + b) / 2.0, math.sqrt(a * b)
    return 1.0 / a


@formula("circular_error")
def circular_error_s_per_day(*, half_arc_rad: float) -> float:
    """Rate of a pendulum against itself at vanishing swing, exact.

    Parameters
    ----------
    half_arc_rad : float
        Arc to one side of rest [rad], 0 to 3.1.

    Returns
    -------
    float
        Rate, + gains, so 0 or below [s/day].

    Notes
    -----
    86400 (T0/T - 1). Exact. Source: [Whittaker1937]_ s. 44.
    """
    return SECONDS_A_DAY * (1.0 / period_ratio(half_arc_rad=half_arc_rad) - 1.0)


@formula("circular_loss")
def circular_loss_s_per_day(*, half_arc_rad: float) -> float:
    """Excess of the period over that at vanishing swing, reckoned over a day, exact.

    Parameters
    ----------
    half_arc_rad : float
        Arc to one side of rest [rad], 0 to 3.1.

    Returns
    -------
    float
        Loss, 0 or above [s/day].

    Notes
    -----
    86400 (T/T0 - 1), the figure that books tabulate. Source: [Whittaker1937]_ s. 44.
    """
    return SECONDS_A_DAY * (period_ratio(half_arc_rad=half_arc_rad) - 1.0)


@formula("circular_loss_difference")
def circular_loss_difference_s_per_day(*, from_half_arc_rad: float, to_half_arc_rad: float) -> float:
    """What a pendulum loses more when its arc grows from one value to another.

    Parameters
    ----------
    from_half_arc_rad : float
        Arc to one side of rest before [rad], 0 to 3.1.
    to_half_arc_rad : float
        Arc to one side of rest after [rad], 0 to 3.1.

    Returns
    -------
    float
        Loss, above 0 when the arc grows [s/day].

    Notes
    -----
    Difference of two exact losses. Source: [Whittaker1937]_ s. 44.
    """
    return circular_loss_s_per_day(half_arc_rad=to_half_arc_rad) - circular_loss_s_per_day(
        half_arc_rad=from_half_arc_rad
    )


@formula("circular_loss_first_term")
def circular_loss_first_term_s_per_day(*, half_arc_rad: float) -> float:
    """Circular loss by the first term of the series, 5400 a^2.

    Parameters
    ----------
    half_arc_rad : float
        Arc to one side of rest [rad], 0 to 0.35.

    Returns
    -------
    float
        Loss [s/day].

    Notes
    -----
    Too small by 11/192 a^2 of itself: 0.7 % at 0.35 rad. Source: [Grimthorpe1903]_ p. 40.
    """
    return SECONDS_A_DAY * half_arc_rad**2 / 16.0


@formula("circular_series")
def circular_series_ratio(*, half_arc_rad: float) -> float:
    """Period over that at vanishing swing, by the series to the sixth power of the arc.

    Parameters
    ----------
    half_arc_rad : float
        Arc to one side of rest [rad], 0 to 1.

    Returns
    -------
    float
        Ratio, 1 or more.

    Notes
    -----
    Left-out term 1.74e-5 a^8. Source: [Whittaker1937]_ s. 44, multiplied out in powers of the arc.
    """
    second, fourth, sixth = circular_coefficients(powers=[2, 4, 6])
    return 1.0 + second * half_arc_rad**2 + fourth * half_arc_rad**4 + sixth * half_arc_rad**6


@formula("circular_coefficients")
def circular_coefficients(*, powers: Sequence[int]) -> list[float]:
    """Coefficients of the period's series in even powers of the arc.

    Parameters
    ----------
    powers : list of int
        Even powers wanted, 0 to 20.

    Returns
    -------
    list of float
        Coefficient of each power; nought for an odd one.

    Notes
    -----
    Sum of [(2n)! / (4^n n!^2)]^2 sin(a/2)^(2n) multiplied out, exact in floating point.
    Source: [Whittaker1937]_ s. 44.
    """
    most = max(powers, default=0) // 2
    sine_squared = _sine_squared_series(most)
    total, power = [0.0] * (most + 1), [1.0] + [0.0] * most
    for n in range(most + 1):
        weight = (math.comb(2 * n, n) / 4.0**n) ** 2
        total = [t + weight * p for t, p in zip(total, power, strict=True)]
        power = [sum(power[i] * sine_squared[j - i] for i in range(j + 1)) for j in range(most + 1)]
    return [0.0 if one % 2 else total[one // 2] for one in powers]


def _sine_squared_series(most: int) -> list[float]:
    """Coefficients of a^(2j) in sin(a/2)^2 = (1 - cos a)/2."""
    return [0.0] + [(-1.0) ** (j + 1) / (2.0 * math.factorial(2 * j)) for j in range(1, most + 1)]
