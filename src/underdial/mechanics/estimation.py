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
def three_point_mean_d(*, least_d: float, likely_d: float, most_d: float) -> float:
    """Expected duration from three guesses.

    Parameters
    ----------
    least_d : float
        Shortest time [d], 0 to 1e9.
    likely_d : float
        Likeliest time [d], 0 to 1e9.
    most_d : float
        Longest time [d], 0 to 1e9.

    Returns
    -------
    float
        Mean [d].

    Raises
    ------
    OutOfRange
        The likely time does not lie between the others.

    Notes
    -----
    (a + 4 m + b)/6. Source: [Malcolm1959]_.
    """
    _ordered(least_d, likely_d, most_d)
    return (least_d + 4.0 * likely_d + most_d) / 6.0


@formula("three_point_deviation")
def three_point_deviation_d(*, least_d: float, likely_d: float, most_d: float) -> float:
    """Standard deviation of a duration from three guesses.

    Parameters
    ----------
    least_d : float
        Shortest time [d], 0 to 1e9.
    likely_d : float
        Likeliest time [d], 0 to 1e9.
    most_d : float
        Longest time [d], 0 to 1e9.

    Returns
    -------
    float
        Standard deviation [d].

    Raises
    ------
    OutOfRange
        The likely time does not lie between the others.

    Notes
    -----
    (b - a)/6, some 10 % low against the beta distribution. Source: [Malcolm1959]_.
    """
    _ordered(least_d, likely_d, most_d)
    return (most_d - least_d) / 6.0


@formula("three_point_variance")
def three_point_variance_d2(*, least_d: float, likely_d: float, most_d: float) -> float:
    """Variance of a duration from three guesses.

    Parameters
    ----------
    least_d : float
        Shortest time [d], 0 to 1e9.
    likely_d : float
        Likeliest time [d], 0 to 1e9.
    most_d : float
        Longest time [d], 0 to 1e9.

    Returns
    -------
    float
        Variance [d2].

    Notes
    -----
    ((b - a)/6)^2. Source: [Malcolm1959]_.
    """
    return three_point_deviation_d(least_d=least_d, likely_d=likely_d, most_d=most_d) ** 2


@formula("chain_duration")
def chain_duration(least_d: Sequence[float], likely_d: Sequence[float], most_d: Sequence[float]) -> tuple[float, float]:
    """Mean and variance of works done one after the other.

    Parameters
    ----------
    least_d : list of float
        Shortest time of each [d], 0 to 1e9.
    likely_d : list of float
        Likeliest time of each [d], 0 to 1e9.
    most_d : list of float
        Longest time of each [d], 0 to 1e9.

    Returns
    -------
    mean_d : float
        Mean of the whole.
    variance_d2 : float
        Variance of the whole [d2].

    Notes
    -----
    Means and variances add. Source: [Malcolm1959]_.
    """
    if not len(least_d) == len(likely_d) == len(most_d):
        raise BadInput("likely_d", len(likely_d), f"as many as there are least times, {len(least_d)}")
    works = list(zip(least_d, likely_d, most_d, strict=True))
    return (
        math.fsum(three_point_mean_d(least_d=a, likely_d=m, most_d=b) for a, m, b in works),
        math.fsum(three_point_variance_d2(least_d=a, likely_d=m, most_d=b) for a, m, b in works),
    )


@formula("done_by_probability")
def done_by_probability(*, due_d: float, mean_d: float, variance_d2: float) -> float:
    """Chance that a chain of works is done by a day.

    Parameters
    ----------
    due_d : float
        Time allowed [d], -1e9 to 1e9.
    mean_d : float
        Mean of the whole [d], -1e9 to 1e9.
    variance_d2 : float
        Variance of the whole [d2], 1e-18 to 1e18.

    Returns
    -------
    float
        Probability.

    Notes
    -----
    Normal law. Source: [Malcolm1959]_.
    """
    return 0.5 * math.erfc((mean_d - due_d) / math.sqrt(2.0 * variance_d2))


@formula("due_for_probability")
def due_d(*, probability: float, mean_d: float, variance_d2: float) -> float:
    """Time to promise so that the works are done with a given chance: `done_by_probability` read the other way.

    Parameters
    ----------
    probability : float
        Chance wanted, 0.000001 to 0.999999.
    mean_d : float
        Mean of the whole [d], -1e9 to 1e9.
    variance_d2 : float
        Variance of the whole [d2], 1e-18 to 1e18.

    Returns
    -------
    float
        Time [d].

    Notes
    -----
    Normal law. Source: [Malcolm1959]_.
    """
    from statistics import NormalDist

    return NormalDist(mean_d, math.sqrt(variance_d2)).inv_cdf(probability)


@formula("beta_duration")
def beta_duration(*, least_d: float, likely_d: float, most_d: float, weight_ratio: float = 4.0) -> tuple[float, float]:
    """Mean and standard deviation of a duration after the beta distribution.

    Parameters
    ----------
    least_d : float
        Shortest time [d], 0 to 1e9.
    likely_d : float
        Likeliest time [d], 0 to 1e9.
    most_d : float
        Longest time [d], 0 to 1e9.
    weight_ratio : float
        Weight of the likeliest time, 0 to 1000.

    Returns
    -------
    mean_d : float
        Mean.
    deviation_d : float
        Standard deviation [d].

    Raises
    ------
    OutOfRange
        The three times are alike or out of order.

    Notes
    -----
    alpha = 1 + w (m - a)/(b - a), beta = 1 + w (b - m)/(b - a), exact. Source: [Vose2008]_.
    """
    _ordered(least_d, likely_d, most_d)
    if most_d <= least_d:
        raise OutOfRange("most_d", most_d, least_d, 1e9)
    up, down = (
        1.0 + weight_ratio * (likely_d - least_d) / (most_d - least_d),
        1.0 + weight_ratio * (most_d - likely_d) / (most_d - least_d),
    )
    whole = up + down
    return (
        least_d + (most_d - least_d) * up / whole,
        (most_d - least_d) * math.sqrt(up * down / (whole * whole * (whole + 1.0))),
    )


def _ordered(least_d: float, likely_d: float, most_d: float) -> None:
    if not least_d <= likely_d <= most_d:
        raise OutOfRange("likely_d", likely_d, least_d, most_d, "d")
