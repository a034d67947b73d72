"""A straight line through readings: slope, intercept, what it says elsewhere, and how sure that is.

Least squares with equal weights. Source: [GUM2008]_ H.3.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from underdial.errors import BadInput
from underdial.formula import formula


class LineFit(NamedTuple):
    """A least-squares line: slope, intercept, their standard uncertainties, and the scatter about it (n - 2)."""

    slope: float
    intercept: float
    slope_u: float
    intercept_u: float
    scatter: float


@formula("line_fit")
def line_fit(x: Sequence[float], y: Sequence[float]) -> LineFit:
    """Least-squares line y = slope x + intercept.

    Parameters
    ----------
    x : list of float
        Where the readings were taken.
    y : list of float
        Readings, three or more.

    Returns
    -------
    slope : float
        Slope.
    intercept : float
        Value at x = 0.
    slope_u : float
        Standard uncertainty of the slope.
    intercept_u : float
        Standard uncertainty of the intercept.
    scatter : float
        Standard deviation of the readings about the line, with n - 2.

    Raises
    ------
    BadInput
        The lists differ in length, hold fewer than three readings, or all x are alike.

    Notes
    -----
    About the mean of x, so that no digits are lost. Source: [GUM2008]_ H.3.
    """
    n = len(x)
    if n != len(y) or n < 3:
        raise BadInput("y", len(y), f"three readings or more, as many as there are x ({n})")
    mean_x, mean_y = math.fsum(x) / n, math.fsum(y) / n
    sxx = math.fsum((one - mean_x) ** 2 for one in x)
    if sxx == 0.0:
        raise BadInput("x", x[0], "at least two different places")
    slope = math.fsum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True)) / sxx
    intercept = mean_y - slope * mean_x
    residual = math.fsum((b - slope * a - intercept) ** 2 for a, b in zip(x, y, strict=True))
    scatter = math.sqrt(residual / (n - 2))
    return LineFit(slope, intercept, scatter / math.sqrt(sxx), scatter * math.sqrt(1.0 / n + mean_x**2 / sxx), scatter)


@formula("line_prediction")
def line_prediction(x: Sequence[float], y: Sequence[float], *, at: float) -> tuple[float, float]:
    """Value of a least-squares line somewhere, with its standard uncertainty.

    Parameters
    ----------
    x : list of float
        Where the readings were taken.
    y : list of float
        Readings, three or more.
    at : float
        Where the value is wanted, -1e12 to 1e12.

    Returns
    -------
    value : float
        Value of the line.
    value_u : float
        Its standard uncertainty (of the line, not of a further reading).

    Raises
    ------
    BadInput
        As for `line_fit`.

    Notes
    -----
    s sqrt(1/n + (at - mean)^2/Sxx). Source: [GUM2008]_ H.3.
    """
    found = line_fit(x, y)
    n = len(x)
    mean_x = math.fsum(x) / n
    sxx = math.fsum((one - mean_x) ** 2 for one in x)
    return found.slope * at + found.intercept, found.scatter * math.sqrt(1.0 / n + (at - mean_x) ** 2 / sxx)
