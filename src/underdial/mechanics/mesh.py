"""A wheel driving a pinion, tooth by tooth, with friction: speed ripple and efficiency against depth.

The wheel's faces are epicycloids cut off at 0.95 of their height, the leaves have radial flanks and round ends. For
each position of the wheel the pinion stands at the furthest angle that any tooth has pushed it to (the envelope of
all contacts). At the contact the force leans by the angle of friction against the sliding, which gives the torque
passed on and so the efficiency.

Limits: one pair drives at a time, teeth rigid and equal, no wear; contacts before the line of centres with friction
above about 0.3 can lock and are then given as efficiency nought. Sources: [Willis1841]_ for the form; the action is
derived. A depth error is + when the centres are too far apart.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from underdial.errors import OutOfRange
from underdial.formula import formula
from underdial.movement.tooth_form import leaf_thickness_ratio, wheel_face

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class MeshAction:
    """One pitch of action: wheel angle [rad], speed ratio against the mean, efficiency; and their summary."""

    wheel_angle_rad: FloatArray
    velocity_ratio: FloatArray
    efficiency_at_ratio: FloatArray
    efficiency_ratio: float
    least_velocity_ratio: float
    greatest_velocity_ratio: float


def mesh_action(
    wheel_count: int,
    pinion_count: int,
    *,
    depth_error_modules: float = 0.0,
    friction_ratio: float = 0.15,
    shortening_ratio: float = 0.95,
    leaf_thickness_modules: float | None = None,
    steps_count: int = 400,
) -> MeshAction:
    """Simulate one pitch of a wheel driving a pinion.

    Parameters
    ----------
    wheel_count, pinion_count : int
        Teeth of the wheel and leaves of the pinion, 6 to 500 and 5 to 100.
    depth_error_modules : float
        Centre distance less the right one, in modules, + too far apart, -0.6 to 1.2.
    friction_ratio : float
        Coefficient of friction, 0 to 0.5.
    shortening_ratio : float
        Part of the pointed height of the wheel's tooth that is left, 0.5 to 1.
    leaf_thickness_modules : float or None
        Thickness of a leaf on the pitch circle in modules; None for common practice.
    steps_count : int
        Positions over one pitch, 50 to 5000.

    Returns
    -------
    MeshAction
        Speed ratio and efficiency over one pitch; an efficiency is torque times speed out over in.

    Raises
    ------
    OutOfRange
        The centres are so far apart, or so close, that the teeth do not act.

    Notes
    -----
    Error from the grid below 0.002 in efficiency and 0.02 in the extremes of speed at 400 steps.
    """
    _hold("depth_error_modules", depth_error_modules, -0.6, 1.2)
    _hold("friction_ratio", friction_ratio, 0.0, 0.5)
    _hold("wheel_count", wheel_count, 6, 500)
    _hold("pinion_count", pinion_count, 5, 100)
    centres = (wheel_count + pinion_count) / 2.0 + depth_error_modules
    thickness = (
        leaf_thickness_ratio(pinion_count=pinion_count) if leaf_thickness_modules is None else leaf_thickness_modules
    )
    contacts = _contacts(wheel_count, pinion_count, centres, thickness, shortening_ratio, steps_count)
    if contacts is None:
        raise OutOfRange("depth_error_modules", depth_error_modules, -0.6, 1.2, "modules")
    theta, psi, points = contacts
    step = theta[1] - theta[0]
    speed = np.diff(np.append(psi, psi[0] + 2.0 * math.pi / pinion_count)) / step * pinion_count / wheel_count
    turns = speed * wheel_count / pinion_count
    # Torque passed on over what would be passed on without friction: the grid's own error cancels.
    whole = _torque_ratio(points, centres, turns, 0.0)
    passed = _torque_ratio(points, centres, turns, friction_ratio)
    efficiency = np.clip(np.where(whole > 0.0, passed / np.where(whole > 0.0, whole, 1.0), np.nan), 0.0, 1.0)
    felt = _over_a_twentieth(speed)
    return MeshAction(theta, speed, efficiency, float(np.nanmean(efficiency)), float(felt.min()), float(felt.max()))


@formula("mesh_efficiency")
def mesh_efficiency_ratio(
    *, wheel_count: int, pinion_count: int, friction_ratio: float = 0.15, depth_error_modules: float = 0.0
) -> float:
    """Mean efficiency of a wheel driving a pinion.

    Parameters
    ----------
    wheel_count : int
        Teeth of the wheel, 6 to 500.
    pinion_count : int
        Leaves of the pinion, 5 to 100.
    friction_ratio : float
        Coefficient of friction, 0 to 0.5.
    depth_error_modules : float
        Centre distance less the right one, in modules, + too far apart, -0.6 to 1.2.

    Returns
    -------
    float
        Ratio of work passed on.

    Notes
    -----
    Simulated over one pitch, error below 0.002 of the grid. Source: derived; form of teeth [Willis1841]_.
    """
    return mesh_action(
        int(wheel_count), int(pinion_count), friction_ratio=friction_ratio, depth_error_modules=depth_error_modules
    ).efficiency_ratio


@formula("mesh_velocity_ripple")
def mesh_velocity_ratios(
    *, wheel_count: int, pinion_count: int, depth_error_modules: float = 0.0
) -> tuple[float, float]:
    """Least and greatest speed of a pinion over its mean, within one pitch.

    Parameters
    ----------
    wheel_count : int
        Teeth of the wheel, 6 to 500.
    pinion_count : int
        Leaves of the pinion, 5 to 100.
    depth_error_modules : float
        Centre distance less the right one, in modules, + too far apart, -0.6 to 1.2.

    Returns
    -------
    least_ratio : float
        Least speed over the mean.
    greatest_ratio : float
        Greatest speed over the mean.

    Notes
    ----- Means over a twentieth of a pitch, so that no single step of the grid counts. Source: derived; form of teeth
    [Willis1841]_.
    """
    action = mesh_action(int(wheel_count), int(pinion_count), depth_error_modules=depth_error_modules)
    return action.least_velocity_ratio, action.greatest_velocity_ratio


def _contacts(
    wheel_count: int, pinion_count: int, centres: float, thickness: float, shortening: float, steps: int
) -> tuple[FloatArray, FloatArray, FloatArray] | None:
    """Wheel angle, pinion angle and point of contact over one pitch of the envelope; None when nothing acts."""
    face = wheel_face(wheel_count, pinion_count, shortening_ratio=shortening, points_count=200)
    # The driving face is the one ahead in the sense of turning; mirror it to positive y, which leads.
    profile = np.vstack((_flank(wheel_count, face), face * np.array([1.0, -1.0])))
    pitch = 2.0 * math.pi / wheel_count
    pinion_pitch = 2.0 * math.pi / pinion_count
    theta: FloatArray = np.arange(steps, dtype=np.float64) * (pitch / steps)
    best: FloatArray = np.full(steps, -np.inf)
    points = np.zeros((steps, 2))
    for tooth in range(-3, 4):
        angle = theta + tooth * pitch
        x = np.cos(angle)[:, None] * profile[:, 0] - np.sin(angle)[:, None] * profile[:, 1]
        y = np.sin(angle)[:, None] * profile[:, 0] + np.cos(angle)[:, None] * profile[:, 1]
        reach = np.hypot(centres - x, y)
        leaf = _leaf_half_angle(reach, pinion_count, thickness)
        # Pinion angle, in its own sense of turning, at which its flank touches this point.
        pushed = np.arctan2(y, centres - x) + leaf
        pushed = np.where(np.isfinite(leaf) & (np.abs(np.arctan2(y, centres - x)) < 1.2), pushed, -np.inf)
        index = np.argmax(pushed, axis=1)
        row = np.arange(steps)
        psi = pushed[row, index] - tooth * pinion_pitch
        better = psi > best
        best = np.where(better, psi, best)
        points[better] = np.column_stack((x[row, index], y[row, index]))[better]
    if not np.all(np.isfinite(best)) or best.max() - best.min() > 2.5 * pinion_pitch:
        return None
    return theta, best, points


def _over_a_twentieth(speed: FloatArray) -> FloatArray:
    """Mean speed over a twentieth of a pitch: what inertia lets through, and independent of the grid."""
    width = max(1, len(speed) // 20)
    wrapped = np.concatenate((speed, speed[:width]))
    total = np.concatenate(([0.0], np.cumsum(wrapped)))
    return (total[width : width + len(speed)] - total[: len(speed)]) / width


def _flank(wheel_count: int, face: FloatArray) -> FloatArray:
    """The wheel's radial flank below the pitch circle, leading side."""
    start = face[0] * np.array([1.0, -1.0])
    radius = float(np.hypot(*start))
    depth = np.linspace(min(1.6, 0.3 * radius), 0.0, 40)[:-1]
    return np.asarray(start * ((radius - depth) / radius)[:, None], dtype=np.float64)


def _leaf_half_angle(reach: FloatArray, pinion_count: int, thickness: float) -> FloatArray:
    """Half the angle a leaf takes at a radius: even on the flank, then that of a half circle about the pitch circle,
    none beyond.
    """
    radius = pinion_count / 2.0
    half = thickness / 2.0
    # Where on the half circle a point at this reach lies: 90 deg at its foot, 0 at its crown.
    cosine = (reach**2 - radius**2 - half**2) / (2.0 * radius * half)
    crown = np.clip(cosine, 0.0, 1.0)
    # The flank is the radius through the half circle's foot, so that one goes over into the other.
    round_end = np.arctan2(half * np.sqrt(1.0 - crown**2), radius + half * crown)
    angle = np.where(cosine < 1.0, round_end, np.nan)
    return np.where(reach > radius - 2.2, angle, np.nan)


def _torque_ratio(points: FloatArray, centres: float, speed: FloatArray, friction: float) -> FloatArray:
    """Torque passed to the pinion over torque at the wheel, from the direction of the contact force."""
    x, y = points[:, 0], points[:, 1]
    # The common normal passes the line of centres where it divides it by the speeds (law of gearing).
    pole = centres * speed / (1.0 + speed)
    nx, ny = pole - x, -y
    flip = np.where(x * ny - y * nx < 0.0, -1.0, 1.0)
    size = np.hypot(nx, ny)
    # At the pole itself the normal is square to the line of centres.
    nx, ny = np.where(size > 1e-9, flip * nx / size, 0.0), np.where(size > 1e-9, flip * ny / size, 1.0)
    tx, ty = -ny, nx
    # Velocity of wheel and pinion material at the contact (pinion turns the other way): sliding of wheel on leaf.
    sliding = -y * tx + x * ty - (speed * y * tx + speed * (centres - x) * ty)
    lean = friction * np.sign(sliding)
    fx, fy = nx + lean * tx, ny + lean * ty
    wheel = x * fy - y * fx
    pinion = (centres - x) * fy + y * fx
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(wheel > 0.0, pinion / wheel, 0.0)


def _hold(field: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise OutOfRange(field, value, low, high)
