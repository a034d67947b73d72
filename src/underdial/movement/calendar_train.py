"""Moon, calendar and other slow trains: the period they give, its error, and counts that come nearer.

Exact arithmetic on counts. The mean synodic month is 29.530588853 d at J2000, the tropical year 365.24219 d, the
sidereal day 86164.0905 s. Sources: trains from [Grimthorpe1903]_ sect. Moon dials; lengths of month, year and
sidereal day [Seidelmann1992]_ (from memory, to the digits given).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from underdial.errors import BadInput
from underdial.formula import formula

SYNODIC_MONTH_D = 29.530588853


@formula("calendar_period")
def calendar_period_h(drivers: Sequence[int], driven: Sequence[int], *, first_arbor_h: float) -> float:
    """Time of one turn of the last wheel of a slow train.

    Parameters
    ----------
    drivers : list of int
        Counts of the driving wheels or pinions, 1 to 2000.
    driven : list of int
        Counts of the wheels they drive, 1 to 2000.
    first_arbor_h : float
        Time of one turn of the first driver [h], 0.001 to 100000.

    Returns
    -------
    float
        Time of one turn [h].

    Notes
    -----
    Exact. Source: [Grimthorpe1903]_ sect. Clock cases and moon dials.
    """
    if len(drivers) != len(driven):
        raise BadInput("driven", len(driven), f"as many as there are drivers, {len(drivers)}")
    return first_arbor_h * math.prod(driven) / math.prod(drivers)


@formula("moon_error")
def moon_error_s(*, period_h: float) -> float:
    """Error of a moon train in one lunation: above nought the dial's moon is late.

    Parameters
    ----------
    period_h : float
        Time of one lunation as the train gives it [h], 100 to 2000.

    Returns
    -------
    float
        Train's lunation less the mean synodic month [s].

    Notes
    -----
    The month itself wanders by some 6 h; the mean is meant. Source: [Seidelmann1992]_.
    """
    return period_h * 3600.0 - SYNODIC_MONTH_D * 86400.0


@formula("slow_train_counts")
def slow_train_counts(*, period_h: float, first_arbor_h: float, largest_product_count: int = 10000) -> tuple[int, int]:
    """Driven over driver, as two whole numbers, that come nearest to a wanted period.

    Parameters
    ----------
    period_h : float
        Period wanted [h], 0.001 to 1e7.
    first_arbor_h : float
        Time of one turn of the first driver [h], 0.001 to 100000.
    largest_product_count : int
        Largest product of the drivers' counts, 1 to 1000000.

    Returns
    -------
    driven_count : int
        Product of the driven counts.
    drivers_count : int
        Product of the drivers' counts.

    Notes
    -----
    Best rational approximation (continued fractions), so no pair of products with smaller drivers comes nearer.
    Whether the products split into wheels that can be cut is another question. Source: [HardyWright1938]_ ch. X.
    """
    best = Fraction(period_h / first_arbor_h).limit_denominator(int(largest_product_count))
    return best.numerator, best.denominator
