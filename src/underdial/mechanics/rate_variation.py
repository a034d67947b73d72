"""How a rate varies: whether readings differ by more than their errors, and how it follows wind, swing or warmth.

Each reading comes with its own standard uncertainty, and weighs by it.
Sources: [GUM2008]_ H.3 (line); chi-square test of a common mean and the factor on its error [Birge1932]_.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from underdial.errors import BadInput

FloatArray = npt.NDArray[np.float64]


class Unsteadiness(NamedTuple):
    """Weighted mean, its standard uncertainty, largest less smallest [s/day], and the chance that errors alone spread
    readings so far.
    """

    mean_s_per_day: float
    mean_u_s_per_day: float
    spread_s_per_day: float
    chance_probability: float


def unsteadiness(rates_s_per_day: Sequence[float], rates_u_s_per_day: Sequence[float]) -> Unsteadiness:
    """Mean and spread of rates that should be one, and whether their errors alone explain the spread.

    Parameters
    ----------
    rates_s_per_day : list of float
        Rates, + gains [s/day], two or more.
    rates_u_s_per_day : list of float
        Their standard uncertainties [s/day], above 0.

    Returns
    -------
    mean_s_per_day : float
        Weighted mean [s/day].
    mean_u_s_per_day : float
        Its standard uncertainty, times the factor by which the readings spread beyond their errors [s/day].
    spread_s_per_day : float
        Largest less smallest [s/day].
    chance_probability : float
        Chance of a spread this large from the errors alone.

    Raises
    ------
    BadInput
        Fewer than two readings, lists of two lengths, or an uncertainty not above 0.

    Notes
    -----
    Source: [Birge1932]_.
    """
    from scipy.special import chdtrc

    rates, u = _checked(rates_s_per_day, rates_u_s_per_day, 2)
    weight = 1.0 / u**2
    mean = float(weight @ rates / weight.sum())
    excess = float(weight @ (rates - mean) ** 2)
    factor = max(1.0, (excess / (rates.size - 1)) ** 0.5)
    return Unsteadiness(
        mean, factor / float(weight.sum()) ** 0.5, float(np.ptp(rates)), float(chdtrc(rates.size - 1, excess))
    )


def weighted_slope(x: FloatArray, y: FloatArray, y_u: FloatArray) -> tuple[float, float]:
    """Slope of a straight line through readings that each have their own error, with its standard uncertainty.

    Parameters
    ----------
    x : array, shape (n,)
        Where the readings were taken; three or more, not all alike.
    y : array, shape (n,)
        Readings.
    y_u : array, shape (n,)
        Their standard uncertainties, above 0.

    Returns
    -------
    slope : float
        Slope.
    slope_u : float
        Its standard uncertainty, times the factor by which the readings miss the line beyond their errors.

    Raises
    ------
    BadInput
        Fewer than three readings, lists of two lengths, an uncertainty not above 0, or all at one place.

    Notes
    -----
    Weighted least squares. Sources: [GUM2008]_ H.3; [Birge1932]_.
    """
    values, u = _checked(y, y_u, 3)
    along = np.asarray(x, dtype=np.float64)
    if along.size != values.size or np.ptp(along) == 0.0:
        raise BadInput("x", along.size, "as many places as readings, not all alike")
    weight = 1.0 / u**2
    centred = along - weight @ along / weight.sum()
    sxx = float(weight @ centred**2)
    slope = float(weight @ (centred * values)) / sxx
    left = values - weight @ values / weight.sum() - slope * centred
    factor = max(1.0, (float(weight @ left**2) / (values.size - 2)) ** 0.5)
    return slope, factor / sxx**0.5


def _checked(readings: npt.ArrayLike, u: npt.ArrayLike, least: int) -> tuple[FloatArray, FloatArray]:
    values, errors = np.asarray(readings, dtype=np.float64), np.asarray(u, dtype=np.float64)
    if values.size < least or values.size != errors.size:
        raise BadInput("y", values.size, f"{least} readings or more, each with its uncertainty")
    if not np.all(errors > 0.0):
        raise BadInput("y_u", float(errors.min()), "above 0")
    return values, errors
