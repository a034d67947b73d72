"""A mainspring in its barrel: turns, length, fill. Barrel and arbor are diameters, inside and outside.

The strip fills a ring against the wall when down and a ring round the arbor when wound; counting coils in both gives
the turns. Most turns come at a half-full barrel. Torque is in `mainspring`.

Limits: coils lie close in both states; hook and bracing ends are left out. Source: [Goodrich1905]_ ch. XV; the closed
forms are derived.
"""

from __future__ import annotations

import math

from underdial.errors import OutOfRange
from underdial.formula import formula


@formula("barrel_turns")
def barrel_turns(*, barrel_m: float, arbor_m: float, thickness_m: float, length_m: float) -> float:
    """Turns that a mainspring gives in its barrel.

    Parameters
    ----------
    barrel_m : float
        Inside diameter of the barrel [m], 0.001 to 1.
    arbor_m : float
        Diameter of the arbor [m], 0.0001 to 0.5.
    thickness_m : float
        Thickness of the spring [m], 1e-6 to 0.01.
    length_m : float
        Length of the spring [m], 0.001 to 100.

    Returns
    -------
    float
        Turns from wound to down.

    Raises
    ------
    OutOfRange
        The spring does not go into the barrel beside the arbor.

    Notes
    -----
    [sqrt(r^2 + L t/pi) - r]/t - [R - sqrt(R^2 - L t/pi)]/t. Source: [Goodrich1905]_ ch. XV, in closed form.
    """
    return coils_wound(arbor_m=arbor_m, thickness_m=thickness_m, length_m=length_m) - _coils_down(
        barrel_m, arbor_m, thickness_m, length_m
    )


@formula("barrel_coils_wound")
def coils_wound(*, arbor_m: float, thickness_m: float, length_m: float) -> float:
    """Coils of a mainspring wound close round its arbor.

    Parameters
    ----------
    arbor_m : float
        Diameter of the arbor [m], 0.0001 to 0.5.
    thickness_m : float
        Thickness of the spring [m], 1e-6 to 0.01.
    length_m : float
        Length of the spring [m], 0.001 to 100.

    Returns
    -------
    float
        Coils.

    Notes
    -----
    From the area of the strip seen on edge. Source: [Goodrich1905]_ ch. XV, in closed form.
    """
    r = arbor_m / 2.0
    return (math.sqrt(r * r + length_m * thickness_m / math.pi) - r) / thickness_m


@formula("barrel_best_length")
def best_length_m(*, barrel_m: float, arbor_m: float, thickness_m: float) -> float:
    """Length of spring that gives most turns: it fills half the room beside the arbor.

    Parameters
    ----------
    barrel_m : float
        Inside diameter of the barrel [m], 0.001 to 1.
    arbor_m : float
        Diameter of the arbor [m], 0.0001 to 0.5.
    thickness_m : float
        Thickness of the spring [m], 1e-6 to 0.01.

    Returns
    -------
    float
        Length [m].

    Notes
    -----
    pi (R^2 - r^2) / (2 t). Source: [Goodrich1905]_ ch. XV.
    """
    _room(barrel_m, arbor_m)
    return math.pi * (barrel_m**2 - arbor_m**2) / 8.0 / thickness_m


@formula("barrel_most_turns")
def most_turns(*, barrel_m: float, arbor_m: float, thickness_m: float) -> float:
    """Most turns that a barrel can give with a spring of this thickness.

    Parameters
    ----------
    barrel_m : float
        Inside diameter of the barrel [m], 0.001 to 1.
    arbor_m : float
        Diameter of the arbor [m], 0.0001 to 0.5.
    thickness_m : float
        Thickness of the spring [m], 1e-6 to 0.01.

    Returns
    -------
    float
        Turns.

    Notes
    -----
    (2 sqrt((R^2 + r^2)/2) - R - r)/t. Source: derived from [Goodrich1905]_ ch. XV.
    """
    _room(barrel_m, arbor_m)
    big, small = barrel_m / 2.0, arbor_m / 2.0
    return (2.0 * math.sqrt((big**2 + small**2) / 2.0) - big - small) / thickness_m


@formula("barrel_fill")
def fill_ratio(*, barrel_m: float, arbor_m: float, thickness_m: float, length_m: float) -> float:
    """Part of the room beside the arbor that the spring fills.

    Parameters
    ----------
    barrel_m : float
        Inside diameter of the barrel [m], 0.001 to 1.
    arbor_m : float
        Diameter of the arbor [m], 0.0001 to 0.5.
    thickness_m : float
        Thickness of the spring [m], 1e-6 to 0.01.
    length_m : float
        Length of the spring [m], 0.001 to 100.

    Returns
    -------
    float
        Ratio; most turns at 0.5, above 1 the spring does not go in.

    Notes
    -----
    L t over pi (R^2 - r^2). Source: [Goodrich1905]_ ch. XV.
    """
    _room(barrel_m, arbor_m)
    return length_m * thickness_m / (math.pi * (barrel_m**2 - arbor_m**2) / 4.0)


@formula("barrel_wall_ratio")
def wall_ratio(*, arbor_over_barrel_ratio: float) -> float:
    """Thickness of the coils on the wall over the room beside the arbor, at most turns.

    Parameters
    ----------
    arbor_over_barrel_ratio : float
        Diameter of the arbor over that of the barrel, 0.001 to 0.999.

    Returns
    -------
    float
        Ratio; 0.382 for an arbor of a third.

    Notes
    -----
    (1 - sqrt((1 + q^2)/2)) / (1 - q). Source: [Goodrich1905]_ ch. XV, exact form derived.
    """
    q = arbor_over_barrel_ratio
    return (1.0 - math.sqrt((1.0 + q * q) / 2.0)) / (1.0 - q)


@formula("spring_thickness_by_parts")
def thickness_by_parts_m(
    *, barrel_m: float, turns: float, wound_parts: float = 41.0, unwound_parts: float = 26.0, parts: float = 100.0
) -> float:
    """Thickness of spring for a number of turns by the rule of parts of the barrel's radius.

    Parameters
    ----------
    barrel_m : float
        Inside diameter of the barrel [m], 0.001 to 1.
    turns : float
        Turns wanted, 0.1 to 100.
    wound_parts : float
        Parts of the radius that the coils take when wound, 0 to 100.
    unwound_parts : float
        Parts of the radius that they take when down, 0 to 100.
    parts : float
        Parts that make up the radius, 1 to 1000.

    Returns
    -------
    float
        Thickness [m].

    Notes
    -----
    A rule for an arbor of a third; 0.05 of the turns too few against the exact form. Source: [Weebly]_ page mainspring.
    """
    return (wound_parts - unwound_parts) / parts * barrel_m / 2.0 / turns


def _room(barrel_m: float, arbor_m: float) -> None:
    if arbor_m >= barrel_m:
        raise OutOfRange("arbor_m", arbor_m, 0.0001, barrel_m, "m")


def _coils_down(barrel_m: float, arbor_m: float, thickness_m: float, length_m: float) -> float:
    _room(barrel_m, arbor_m)
    most = math.pi * (barrel_m**2 - arbor_m**2) / 4.0 / thickness_m
    if length_m > most:
        raise OutOfRange("length_m", length_m, 0.001, most, "m")
    big = barrel_m / 2.0
    return (big - math.sqrt(big * big - length_m * thickness_m / math.pi)) / thickness_m
