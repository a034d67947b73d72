"""Bringing a pendulum to time: length, rating nut, small weights.

Rates: + gains. Lengthening loses, a turn of the nut that raises the bob gains, a small weight laid between pivot and
bob gains. A measured rate is corrected by `right_length_m`; a wished change of rate by `length_change_m`.

Sources: [Grimthorpe1903]_ p. 39 to 48, [Goodrich1905]_ ch. II; the exact forms are derived.
"""

from __future__ import annotations

import math

from underdial.formula import formula

SECONDS_A_DAY = 86400.0


@formula("length_change_rate")
def length_change_rate_s_per_day(*, length_m: float, change_m: float) -> float:
    """Change of rate when a pendulum is made longer or shorter.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation before [m], 1e-6 to 1e8.
    change_m : float
        Change of that length, + longer [m], -1e7 to 1e8.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Raises
    ------
    OutOfRange
        Nothing of the pendulum would be left.

    Notes
    -----
    Exact: 86400 (sqrt(L/(L + c)) - 1). First order: -43200 c/L. Source: [Goodrich1905]_ ch. II.
    """
    from underdial.errors import OutOfRange

    if change_m <= -length_m:
        raise OutOfRange("change_m", change_m, -length_m, 1e8, "m")
    return SECONDS_A_DAY * (math.sqrt(length_m / (length_m + change_m)) - 1.0)


@formula("length_change_for_rate")
def length_change_m(*, length_m: float, rate_s_per_day: float) -> float:
    """Change of length that changes the rate by a wished amount.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation before [m], 1e-6 to 1e8.
    rate_s_per_day : float
        Wished change of rate, + gains [s/day], -80000 to 86400.

    Returns
    -------
    float
        Change of length, + longer [m].

    Notes
    -----
    Exact: L ((86400/(86400 + r))^2 - 1). First order: -2 L r / 86400. Source: [Goodrich1905]_ ch. II.
    """
    return length_m * ((SECONDS_A_DAY / (SECONDS_A_DAY + rate_s_per_day)) ** 2 - 1.0)


@formula("right_length")
def right_length_m(*, length_m: float, rate_s_per_day: float) -> float:
    """Length that brings a clock to time, from its length now and the rate observed.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation now [m], 1e-6 to 1e8.
    rate_s_per_day : float
        Rate observed, + gains [s/day], -80000 to 86400.

    Returns
    -------
    float
        Length wanted [m].

    Notes
    -----
    Exact: in a true day the clock shows 86400 + r seconds, so L (1 + r/86400)^2. Source: [Huygens1673]_ part IV.
    """
    return length_m * (1.0 + rate_s_per_day / SECONDS_A_DAY) ** 2


@formula("nut_rate_per_turn")
def nut_s_per_day_per_turn(*, length_m: float, pitch_m: float, turn_ratio: float = 1.0) -> float:
    """What one turn of the rating nut, or a part of a turn, does to the rate.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation [m], 1e-4 to 1e8.
    pitch_m : float
        Rise of the nut in one turn [m], 1e-6 to 0.1.
    turn_ratio : float
        Part of a turn, 0 to 1000.

    Returns
    -------
    float
        Change of rate when the bob rises [s/day].

    Notes
    -----
    First order: 43200 pitch / L; the rod's own weight lessens it by a few per cent. Source: [Goodrich1905]_ ch. II.
    """
    return SECONDS_A_DAY / 2.0 * pitch_m * turn_ratio / length_m


@formula("nut_pitch")
def nut_pitch_m(*, length_m: float, rate_s_per_day: float) -> float:
    """Pitch of thread at which one turn changes the rate by a wished amount.

    Parameters
    ----------
    length_m : float
        Pivot to centre of oscillation [m], 1e-4 to 1e8.
    rate_s_per_day : float
        Change of rate wished for one turn [s/day], 0.001 to 10000.

    Returns
    -------
    float
        Pitch [m].

    Notes
    -----
    First order: 2 L r / 86400. Source: [Goodrich1905]_ ch. II.
    """
    return 2.0 * length_m * rate_s_per_day / SECONDS_A_DAY


@formula("added_weight_rate")
def added_weight_rate_s_per_day(*, added_kg: float, bob_kg: float, depth_ratio: float) -> float:
    """Change of rate when a small weight is laid on a pendulum.

    Parameters
    ----------
    added_kg : float
        Mass added [kg], 0 to 100.
    bob_kg : float
        Mass of the bob, taken as a point at the centre of oscillation [kg], 1e-6 to 1e5.
    depth_ratio : float
        Depth of the added mass below the pivot over the pendulum's length, 0 to 3.

    Returns
    -------
    float
        Change of rate, + gains while the depth is below 1 [s/day].

    Notes
    -----
    Exact for two points: 86400 (sqrt((1 + q c)/(1 + q c^2)) - 1). First order 43200 q c (1 - c).
    Source: [Grimthorpe1903]_ p. 45.
    """
    q, c = added_kg / bob_kg, depth_ratio
    return SECONDS_A_DAY * (math.sqrt((1.0 + q * c) / (1.0 + q * c * c)) - 1.0)


@formula("added_weight_for_rate")
def added_weight_ratio(*, rate_s_per_day: float, depth_ratio: float) -> float:
    """Weight to lay on a pendulum, over that of the bob, for a wished change of rate.

    Parameters
    ----------
    rate_s_per_day : float
        Change of rate wished, + gains [s/day], 0 to 10000.
    depth_ratio : float
        Depth of the added mass below the pivot over the pendulum's length, 0.001 to 0.999.

    Returns
    -------
    float
        Mass added over mass of the bob.

    Raises
    ------
    OutOfRange
        No weight at that depth gains so much.

    Notes
    -----
    Exact for two points. Source: [Grimthorpe1903]_ p. 45, solved for the weight.
    """
    from underdial.errors import OutOfRange

    c = depth_ratio
    p = (1.0 + rate_s_per_day / SECONDS_A_DAY) ** 2
    if p * c >= 1.0:
        raise OutOfRange("rate_s_per_day", rate_s_per_day, 0.0, SECONDS_A_DAY * (math.sqrt(1.0 / c) - 1.0), "s/day")
    return (p - 1.0) / (c * (1.0 - p * c))
