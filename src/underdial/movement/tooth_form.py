"""Epicycloidal teeth: how high a wheel's tooth stands, and how far its action reaches past the centres.

The wheel's face is the epicycloid of a circle that rolls on its pitch circle; that circle has half the pinion's
pitch diameter for leaves with radial flanks, and all of it for a lantern pinion. The faces of a tooth half a pitch
thick meet in a point; makers stop at about 0.95 of that height. Lengths are in modules, angles in radians.

Sources: geometry of the epicycloid [Willis1841]_; the 0.95 is the practice of BS 978-2, from memory, its tables not
seen; leaf thickness 1.05 modules up to 10 leaves, 1.25 above, likewise from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from underdial.errors import OutOfRange
from underdial.formula import formula

FloatArray = npt.NDArray[np.float64]


@formula("addendum")
def addendum_ratio(
    *,
    wheel_count: float,
    pinion_count: float,
    shortening_ratio: float = 0.95,
    generating_ratio: float = 0.5,
    thickness_ratio: float = 0.5,
) -> float:
    """Height of a wheel's tooth above the pitch circle, in modules.

    Parameters
    ----------
    wheel_count : float
        Teeth of the wheel (the driver), 3 to 2000.
    pinion_count : float
        Leaves of the pinion, 3 to 2000.
    shortening_ratio : float
        Part of the pointed height that is left: 1 pointed, 0.95 in practice, 0.1 to 1.
    generating_ratio : float
        Rolling circle over the pinion's pitch circle: 0.5 leaves, 1 lantern, 0.05 to 1.
    thickness_ratio : float
        Thickness of the tooth over the pitch, on the pitch circle, 0.1 to 0.9.

    Returns
    -------
    float
        Height in modules.

    Notes
    -----
    Height of the epicycloid over the middle of the tooth, root found to 1e-14. Source: [Willis1841]_.
    """
    roll = _roll_to_point(wheel_count, pinion_count, generating_ratio, thickness_ratio)
    x, y = _epicycloid(wheel_count / 2.0, generating_ratio * pinion_count / 2.0, roll)
    return shortening_ratio * (math.hypot(x, y) - wheel_count / 2.0)


@formula("addendum_by_radius_rule")
def addendum_by_radius_rule_ratio(*, pinion_count: float, fraction_of_radius_ratio: float) -> float:
    """Height of a wheel's tooth by the old rule of a fraction of the pinion's pitch radius, in modules.

    Parameters
    ----------
    pinion_count : float
        Leaves of the pinion, 3 to 2000.
    fraction_of_radius_ratio : float
        Fraction of the pinion's pitch radius (5/12, 2/5, 7/20, 2/7 for 6, 7, 8, 12 leaves), 0 to 1.

    Returns
    -------
    float
        Height in modules.

    Notes
    -----
    Near 0.9 to 0.95 of the pointed height; the printed 2/5 for 10 leaves is beyond it. Source: [Goodrich1905]_ ch. XIV.
    """
    return fraction_of_radius_ratio * pinion_count / 2.0


@formula("pitches_of_action")
def pitches_of_action(
    *, driver_count: float, follower_count: float, generating_ratio: float = 0.5, shortening_ratio: float = 1.0
) -> float:
    """How far past the line of centres a driver's tooth still drives, in pitches.

    Parameters
    ----------
    driver_count : float
        Teeth of the driver, 3 to 2000.
    follower_count : float
        Teeth of the follower, 3 to 100000.
    generating_ratio : float
        Rolling circle over the follower's pitch circle: 0.5 leaves, 1 lantern, 0.05 to 1.
    shortening_ratio : float
        Part of the pointed height that is left, 0.1 to 1.

    Returns
    -------
    float
        Pitches; below 1 the next tooth must begin before the line of centres.

    Notes
    -----
    Roll of the generating circle until the face is cut off. Source: [Willis1841]_.
    """
    radius, circle = driver_count / 2.0, generating_ratio * follower_count / 2.0
    roll = _roll_to_point(driver_count, follower_count, generating_ratio, 0.5)
    if shortening_ratio < 1.0:
        x, y = _epicycloid(radius, circle, roll)
        height = shortening_ratio * (math.hypot(x, y) - radius)
        roll = _bisect(lambda t: math.hypot(*_epicycloid(radius, circle, t)) - radius - height, roll)
    return roll * radius / math.pi


@formula("least_leaves")
def least_leaves(*, driver_count: float, pitches_of_action: float = 1.0, generating_ratio: float = 0.5) -> float:
    """Least number of teeth a follower needs for action wholly past the line of centres.

    Parameters
    ----------
    driver_count : float
        Teeth of the driver, 3 to 2000.
    pitches_of_action : float
        Pitches that the action must reach past the centres, 0.1 to 3.
    generating_ratio : float
        Rolling circle over the follower's pitch circle: 0.5 leaves, 1 lantern, 0.05 to 1.

    Returns
    -------
    float
        Teeth of the follower.

    Raises
    ------
    OutOfRange
        No follower of up to 100000 teeth does it.

    Notes
    -----
    Exact geometry by halving; Willis's printed table differs by one or two. Source: [Willis1841]_.
    """

    def action(count: int) -> float:
        return _reach(driver_count=driver_count, follower_count=count, generating_ratio=generating_ratio)

    low, high = 3, 100000
    if action(high) < pitches_of_action:
        raise OutOfRange("pitches_of_action", pitches_of_action, 0.1, action(high))
    while low < high:
        middle = (low + high) // 2
        if action(middle) >= pitches_of_action:
            high = middle
        else:
            low = middle + 1
    return float(low)


@formula("leaf_thickness")
def leaf_thickness_ratio(*, pinion_count: float) -> float:
    """Thickness of a pinion leaf on the pitch circle, in modules, as common practice has it.

    Parameters
    ----------
    pinion_count : float
        Leaves of the pinion, 3 to 200.

    Returns
    -------
    float
        Thickness in modules.

    Notes
    -----
    1.05 up to 10 leaves, 1.25 above. Source: practice of BS 978-2, from memory; its tables were not seen.
    """
    return 1.05 if pinion_count <= 10 else 1.25


@formula("fraction_of_turn")
def tooth_angle_rad(*, teeth_count: float, teeth_spanned: float = 1.0) -> float:
    """Angle at the centre that one tooth and its space take, or several.

    Parameters
    ----------
    teeth_count : float
        Teeth of the wheel, 1 to 2000.
    teeth_spanned : float
        Teeth with their spaces, halves allowed, 0 to 2000.

    Returns
    -------
    float
        Angle [rad].

    Notes
    -----
    2 pi n / N. Source: definition.
    """
    return 2.0 * math.pi * teeth_spanned / teeth_count


@formula("versed_sine")
def versed_sine_ratio(*, angle_rad: float) -> float:
    """Versed sine: how far an arc stands over its tangent point, over the radius.

    Parameters
    ----------
    angle_rad : float
        Angle [rad], -7 to 7.

    Returns
    -------
    float
        1 - cos(angle), as a ratio.

    Notes
    -----
    As 2 sin^2 of the half, so that small angles keep their digits. Source: [Goodrich1905]_ ch. XIII.
    """
    return 2.0 * math.sin(angle_rad / 2.0) ** 2


_reach = pitches_of_action


def wheel_face(
    wheel_count: float,
    pinion_count: float,
    *,
    shortening_ratio: float = 0.95,
    generating_ratio: float = 0.5,
    points_count: int = 60,
) -> FloatArray:
    """Face of one wheel tooth, from the pitch circle to the tip, as points (x, y) in modules.

    The x axis runs through the middle of the tooth; y of the face is negative to nought (the other face is its
    mirror). Shape (points_count, 2). Source: [Willis1841]_.
    """
    radius, circle = wheel_count / 2.0, generating_ratio * pinion_count / 2.0
    top = _roll_to_point(wheel_count, pinion_count, generating_ratio, 0.5)
    if shortening_ratio < 1.0:
        height = addendum_ratio(
            wheel_count=wheel_count,
            pinion_count=pinion_count,
            shortening_ratio=shortening_ratio,
            generating_ratio=generating_ratio,
        )
        top = _bisect(lambda t: math.hypot(*_epicycloid(radius, circle, t)) - radius - height, top)
    # The power makes steps even in height: near the pitch circle height grows with the square of the roll.
    roll = np.linspace(0.0, 1.0, points_count) ** 0.7 * top
    x = (radius + circle) * np.cos(roll) - circle * np.cos((radius + circle) / circle * roll)
    y = (radius + circle) * np.sin(roll) - circle * np.sin((radius + circle) / circle * roll)
    turn = -math.pi / (2.0 * wheel_count)
    return np.column_stack((x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)))


def _epicycloid(radius: float, circle: float, roll: float) -> tuple[float, float]:
    whole = radius + circle
    return (
        whole * math.cos(roll) - circle * math.cos(whole / circle * roll),
        whole * math.sin(roll) - circle * math.sin(whole / circle * roll),
    )


def _roll_to_point(wheel_count: float, pinion_count: float, generating_ratio: float, thickness_ratio: float) -> float:
    """Roll at which the face stands over the middle of the tooth."""
    radius, circle = wheel_count / 2.0, generating_ratio * pinion_count / 2.0
    half = thickness_ratio * math.pi / wheel_count  # half of thickness_ratio times 2 pi / N

    def beyond(roll: float) -> float:
        x, y = _epicycloid(radius, circle, roll)
        return math.atan2(y, x) - half

    # Up to half a roll of the circle the polar angle grows all the way.
    most = min(math.pi * circle / radius, math.pi)
    if beyond(most * (1 - 1e-12)) < 0.0:
        raise OutOfRange("pinion_count", pinion_count, 3, 2000)
    return _bisect(beyond, most)


def _bisect(function: Callable[[float], float], high: float, low: float = 0.0) -> float:

    for _ in range(100):
        middle = (low + high) / 2.0
        if function(middle) < 0.0:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
