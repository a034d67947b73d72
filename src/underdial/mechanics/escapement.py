"""Escapement geometry: pallets laid out from wheel, span and lift; angle budgets of lever and pin-pallet.

The wheel's centre and the pallets' stand so that the tangents at half the span meet in the pallet centre. Locking and
releasing corners lie at the wheel's radius plus and minus half the pallet's width (seen along the tangent).
Sources: [Goodrich1905]_ ch. VIII; [Playtner1910]_; [Britannica1910]_ art. Clock. Angles in radians inside.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from underdial.errors import BadInput, OutOfRange
from underdial.formula import formula


class Pallet(NamedTuple):
    """One pallet: radii about the pallet centre, length of its impulse face, drop and lock."""

    locking_radius_m: float
    releasing_radius_m: float
    impulse_face_m: float
    drop_rad: float
    lock_rad: float


class Pallets(NamedTuple):
    """A pair of pallets laid out: centre distance, mean pallet radius, width, both pallets, wheel turn over pallet
    turn.
    """

    centre_distance_m: float
    pallet_radius_m: float
    width_m: float
    entry: Pallet
    exit: Pallet
    turn_ratio: float


@formula("pallet_centre")
def pallet_centre_m(*, radius_m: float, span_rad: float) -> float:
    """Distance of the pallet centre from the centre of the escape wheel.

    Parameters
    ----------
    radius_m : float
        Radius of the wheel at the locking corners [m], 1e-5 to 10.
    span_rad : float
        Angle the pallets span, seen from the wheel's centre [rad], 0.05 to 3.0.

    Returns
    -------
    float
        Centre distance [m].

    Notes
    -----
    R / cos(span/2): tangents at the span meet there. Source: [Goodrich1905]_ ch. VIII.
    """
    return radius_m / math.cos(span_rad / 2.0)


@formula("beat_angle")
def beat_angle_rad(*, escape_count: float, beats_per_tooth: float = 2.0) -> float:
    """Turn of the escape wheel in one beat.

    Parameters
    ----------
    escape_count : float
        Teeth of the wheel, 1 to 500.
    beats_per_tooth : float
        Beats for each tooth, 0.5 to 4.

    Returns
    -------
    float
        Angle [rad].

    Notes
    -----
    Half a tooth's angle as a rule. Source: [Derham1696]_ ch. II s. 6.
    """
    return 2.0 * math.pi / (escape_count * beats_per_tooth)


@formula("angle_budget")
def angle_budget_rad(parts_rad: Sequence[float], less_rad: Sequence[float] = ()) -> float:
    """Sum of the angles that share a movement (tooth, pallet, drop; lift, lock, run) less others.

    Parameters
    ----------
    parts_rad : list of float
        Angles that add [rad], -7 to 7.
    less_rad : list of float
        Angles to be taken off [rad], -7 to 7.

    Returns
    -------
    float
        Angle left [rad].

    Notes
    -----
    Exact. Source: [Playtner1910]_.
    """
    return math.fsum(parts_rad) - math.fsum(less_rad)


@formula("impulse_ratio")
def impulse_ratio(*, roller_rad: float, fork_rad: float) -> float:
    """Turn of the balance during impulse for the turn of the fork.

    Parameters
    ----------
    roller_rad : float
        Turn of the roller in contact with the fork [rad], 0.001 to 6.3.
    fork_rad : float
        Turn of the fork [rad], 0.001 to 2.

    Returns
    -------
    float
        Ratio.

    Notes
    -----
    A quotient. Source: [Playtner1910]_.
    """
    return roller_rad / fork_rad


@formula("angle_at_balance")
def angle_at_balance_rad(*, fork_angle_rad: float, impulse_ratio: float) -> float:
    """An angle of the fork (lock, lift) as the balance sees it.

    Parameters
    ----------
    fork_angle_rad : float
        Angle of the fork [rad], 0 to 2.
    impulse_ratio : float
        Turn of the balance for that of the fork, 0.1 to 20.

    Returns
    -------
    float
        Angle of the balance [rad].

    Notes
    -----
    A product, for a constant ratio of levers. Source: [Playtner1910]_.
    """
    return fork_angle_rad * impulse_ratio


@formula("impulse_pin_width")
def impulse_pin_width_rad(*, fork_rad: float, freedom_rad: float) -> float:
    """Width of the impulse pin as an angle of the fork.

    Parameters
    ----------
    fork_rad : float
        Whole turn of the fork [rad], 0 to 2.
    freedom_rad : float
        Freedom in the slot [rad], 0 to 0.5.

    Returns
    -------
    float
        Angle [rad].

    Notes
    -----
    Half the fork's turn less the freedom. Source: [Playtner1910]_.
    """
    return fork_rad / 2.0 - freedom_rad


@formula("arc_length")
def arc_length_m(*, radius_m: float, angle_rad: float) -> float:
    """Length of an arc: a drop at the rim of a wheel, degrees on a plate below a pendulum.

    Parameters
    ----------
    radius_m : float
        Radius [m], 0 to 1000.
    angle_rad : float
        Angle [rad], -7 to 7.

    Returns
    -------
    float
        Length [m].

    Notes
    -----
    Exact. Source: definition of the radian.
    """
    return radius_m * angle_rad


def lay_out_pallets(
    *,
    escape_count: int,
    radius_m: float,
    span_teeth: float,
    kind: Literal["deadbeat", "recoil", "pin"] = "deadbeat",
    lift_rad: float = math.radians(2.0),
    drop_rad: float = math.radians(1.5),
    lock_rad: float = math.radians(1.0),
) -> Pallets:
    """Lay out a pair of pallets from wheel, span, lift, drop and lock.

    Parameters
    ----------
    escape_count : int
        Teeth of the escape wheel, 6 to 200.
    radius_m : float
        Radius of the wheel [m], 0.0005 to 1.
    span_teeth : float
        Spaces between the pallets, an odd number of halves, 1.5 to escape_count/2 - 0.5.
    kind : str
        `deadbeat`: faces are arcs about the pallet centre; `recoil`: tangents in their place; `pin`: two pins, the
        wheel's teeth carry the lift.
    lift_rad, drop_rad, lock_rad : float
        Lift of the pallets and lock, seen from the pallet centre; drop, seen from the wheel's centre.

    Returns
    -------
    Pallets
        Sizes in metres and radians.

    Raises
    ------
    OutOfRange
        Span, drop or lift leave no pallet.
    BadInput
        The kind is unknown, or the span no odd number of halves.

    Notes
    -----
    The face runs from the locking to the releasing corner turned back by the lift. Source: [Goodrich1905]_ ch. VIII.
    """
    if kind not in ("deadbeat", "recoil", "pin"):
        raise BadInput("kind", kind, "deadbeat, recoil, pin")
    if not 6 <= escape_count <= 200:
        raise OutOfRange("escape", escape_count, 6, 200)
    if not 1.5 <= span_teeth <= escape_count / 2.0 - 0.5:
        raise OutOfRange("span", span_teeth, 1.5, escape_count / 2.0 - 0.5, "spaces")
    if abs((2.0 * span_teeth) % 2.0 - 1.0) > 1e-9:
        raise BadInput(
            "span",
            span_teeth,
            "whole spaces and a half, such as 7.5",
            f"span: {span_teeth:g} spaces would let both pallets lock at once; allowed: whole spaces and a half, "
            "such as 7.5",
        )
    pitch = 2.0 * math.pi / escape_count
    if not 0.0 <= drop_rad < pitch / 2.0:
        raise OutOfRange("drop", math.degrees(drop_rad), 0.0, math.degrees(pitch / 2.0), "deg")
    if not 0.0 < lift_rad <= 0.5:
        raise OutOfRange("lift", math.degrees(lift_rad), 0.01, math.degrees(0.5), "deg")
    half = span_teeth * pitch / 2.0
    centres, arm = radius_m / math.cos(half), radius_m * math.tan(half)
    width = radius_m * (pitch / 2.0 - drop_rad)
    outer, inner = arm + width / 2.0, arm - width / 2.0
    face = math.sqrt(outer**2 + inner**2 - 2.0 * outer * inner * math.cos(lift_rad))
    return Pallets(
        centres,
        arm,
        width,
        Pallet(outer, inner, face, drop_rad, lock_rad),
        Pallet(inner, outer, face, drop_rad, lock_rad),
        (pitch / 2.0 - drop_rad) / lift_rad,
    )
