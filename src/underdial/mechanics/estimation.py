"""How long a job takes, from three guesses: least, likely, most.

Each piece of work has a least, a likely and a longest time. Mean and spread by the rule of sixths or of the beta
distribution; a chain of works adds up; the chance to be done by a day follows from the normal law.

Limits: works independent; the chain taken is the longest. Source: [Malcolm1959]_ (rule of sixths), [Vose2008]_ (beta).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from underdial.errors import BadInput, OutOfRange
from underdial.formula import formula


@formula("three_point_mean")
def three_point_mean(*, least: float, likely: float, most: float) -> float:
    """Expected duration from three guesses.

    Parameters
    ----------
    least : float
        Shortest time, 0 to 1e9.
    likely : float
        Likeliest time, 0 to 1e9.
    most : float
        Longest time, 0 to 1e9.

    Returns
    -------
    float
        Mean, in the unit of the guesses.

    Raises
    ------
    OutOfRange
        The likely time does not lie between the others.

    Notes
    -----
    (a + 4 m + b)/6. Source: [Malcolm1959]_.
    """
    _ordered(least, likely, most)
    return (least + 4.0 * likely + most) / 6.0


@formula("three_point_deviation")
def three_point_deviation(*, least: float, likely: float, most: float) -> float:
    """Standard deviation of a duration from three guesses.

    Parameters
    ----------
    least : float
        Shortest time, 0 to 1e9.
    likely : float
        Likeliest time, 0 to 1e9.
    most : float
        Longest time, 0 to 1e9.

    Returns
    -------
    float
        Standard deviation, in the unit of the guesses.

    Raises
    ------
    OutOfRange
        The likely time does not lie between the others.

    Notes
    -----
    (b - a)/6, some 10 % low against the beta distribution. Source: [Malcolm1959]_.
    """
    _ordered(least, likely, most)
    return (most - least) / 6.0


@formula("three_point_variance")
def three_point_variance(*, least: float, likely: float, most: float) -> float:
    """Variance of a duration from three guesses.

    Parameters
    ----------
    least : float
        Shortest time, 0 to 1e9.
    likely : float
        Likeliest time, 0 to 1e9.
    most : float
        Longest time, 0 to 1e9.

    Returns
    -------
    float
        Variance, in the square of the unit of the guesses.

    Notes
    -----
    ((b - a)/6)^2. Source: [Malcolm1959]_.
    """
    return three_point_deviation(least=least, likely=likely, most=most) ** 2


@formula("chain_duration")
def chain_duration(least: Sequence[float], likely: Sequence[float], most: Sequence[float]) -> tuple[float, float]:
    """Mean and variance of works done one after the other.

    Parameters
    ----------
    least : list of float
        Shortest time of each, 0 to 1e9.
    likely : list of float
        Likeliest time of each, 0 to 1e9.
    most : list of float
        Longest time of each, 0 to 1e9.

    Returns
    -------
    mean : float
        Mean of the whole.
    variance : float
        Variance of the whole.

    Notes
    -----
    Means and variances add. Source: [Malcolm1959]_.
    """
    if not len(least) == len(likely) == len(most):
        raise BadInput("likely", len(likely), f"as many as there are least times, {len(least)}")
    works = list(zip(least, likely, most, strict=True))
    return (math.fsum(three_point_mean(least=a, likely=m, most=b) for a, m, b in works),
            math.fsum(three_point_variance(least=a, likely=m, most=b) for a, m, b in works))


@formula("done_by_probability")
def done_by_probability(*, due: float, mean: float, variance: float) -> float:
    """Chance that a chain of works is done by a day.

    Parameters
    ----------
    due : float
        Time allowed, -1e9 to 1e9.
    mean : float
        Mean of the whole, -1e9 to 1e9.
    variance : float
        Variance of the whole, 1e-18 to 1e18.

    Returns
    -------
    float
        Probability.

    Notes
    -----
    Normal law. Source: [Malcolm1959]_.
    """
    return 0.5 * math.erfc((mean - due) / math.sqrt(2.0 * variance))


@formula("due_for_probability")
def due_for_probability(*, probability: float, mean: float, variance: float) -> float:
    """Time to promise so that the works are done with a given chance: `done_by_probability` read the other way.

    Parameters
    ----------
    probability : float
        Chance wanted, 0.000001 to 0.999999.
    mean : float
        Mean of the whole, -1e9 to 1e9.
    variance : float
        Variance of the whole, 1e-18 to 1e18.

    Returns
    -------
    float
        Time.

    Notes
    -----
    Normal law. Source: [Malcolm1959]_.
    """
    from statistics import NormalDist

    return NormalDist(mean, math.sqrt(variance)).inv_cdf(probability)


@formula("beta_duration")
def beta_duration(*, least: float, likely: float, most: float, weight: float = 4.0) -> tuple[float, float]:
    """Mean and standard deviation of a duration after the beta distribution.

    Parameters
    ----------
    least : float
        Shortest time, 0 to 1e9.
    likely : float
        Likeliest time, 0 to 1e9.
    most : float
        Longest time, 0 to 1e9.
    weight : float
        Weight of the likeliest time, 0 to 1000.

    Returns
    -------
    mean : float
        Mean.
    deviation : float
        Standard deviation.

    Raises
    ------
    OutOfRange
        The three times are alike or out of order.

    Notes
    -----
    alpha = 1 + w (m - a)/(b - a), beta = 1 + w (b - m)/(b - a), exact. Source: [Vose2008]_.
    """
    _ordered(least, likely, most)
    if most <= least:
        raise OutOfRange("most", most, least, 1e9)
    up, down = 1.0 + weight * (likely - least) / (most - least), 1.0 + weight * (most - likely) / (most - least)
    whole = up + down
    return (least + (most - least) * up / whole,
            (most - least) * math.sqrt(up * down / (whole * whole * (whole + 1.0))))


def _ordered(least: float, likely: float, most: float) -> None:
    if not least <= likely <= most:
        raise OutOfRange("likely", likely, least, most)
