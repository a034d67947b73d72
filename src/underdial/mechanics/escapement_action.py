"""What an escapement does with its energy: impulse efficiency, draw, recoil, pins and cylinder.

Sliding impulse faces lose by friction on a wedge; draw pulls the pallet in while friction holds it; a recoil face turns
the wheel back. Sources: statics of the wedge; [Playtner1910]_ for draw and drops, [Goodrich1905]_ ch. XII, XIII for
cylinder and pins. Angles in radians inside.
"""

from __future__ import annotations

import math

from underdial.errors import OutOfRange
from underdial.formula import formula


@formula("impulse_efficiency")
def impulse_efficiency_ratio(
    *, lift_rad: float, wheel_angle_rad: float, arm_over_radius_ratio: float = 1.0, friction_ratio: float = 0.15
) -> float:
    """Part of the wheel's work that an inclined impulse face passes on.

    Parameters
    ----------
    lift_rad : float
        Lift of the pallet while the tooth slides over the face [rad], 0.001 to 0.5.
    wheel_angle_rad : float
        Turn of the wheel meanwhile [rad], 0.001 to 0.6.
    arm_over_radius_ratio : float
        Arm of the pallet over radius of the wheel, 0.05 to 5.
    friction_ratio : float
        Coefficient of friction, 0 to 1.

    Returns
    -------
    float
        Efficiency; 0 when the face is too flat to be pushed.

    Notes
    -----
    Tooth and pallet move at right angles; on a face of slope s = arm lift / (radius turn) the force leans by the
    angle of friction: (1 - mu s)/(1 + mu/s). Holds at mid action. Source: statics.
    """
    slope = arm_over_radius_ratio * lift_rad / wheel_angle_rad
    return max(0.0, (1.0 - friction_ratio * slope) / (1.0 + friction_ratio / slope))


@formula("escapement_efficiency")
def escapement_efficiency_ratio(
    *, drop_ratio: float, impulse_efficiency_ratio: float, unlocking_ratio: float = 0.0
) -> float:
    """Part of the escape wheel's work that reaches the oscillator.

    Parameters
    ----------
    drop_ratio : float
        Part of the wheel's travel lost in drop, 0 to 1.
    impulse_efficiency_ratio : float
        Efficiency of the impulse, 0 to 1.
    unlocking_ratio : float
        Work of unlocking over the wheel's work in a beat, 0 to 1.

    Returns
    -------
    float
        Efficiency; below 0 the escapement cannot sustain a swing.

    Notes
    -----
    (1 - drop) eta - u. Source: docs/explanation/model.md.
    """
    return (1.0 - drop_ratio) * impulse_efficiency_ratio - unlocking_ratio


@formula("draw_torque")
def draw_torque_n_m(*, tooth_force_n: float, arm_m: float, draw_rad: float, friction_ratio: float = 0.15) -> float:
    """Torque that draws a locked pallet against its banking.

    Parameters
    ----------
    tooth_force_n : float
        Force of the tooth along its path [N], 0 to 100.
    arm_m : float
        Arm of the locking corner about the pallet centre [m], 1e-5 to 1.
    draw_rad : float
        Angle of the locking face from an arc about the pallet centre [rad], -0.6 to 0.6.
    friction_ratio : float
        Coefficient of friction, 0 to 1.

    Returns
    -------
    float
        Torque; at or below 0 the lever is not drawn in [N m].

    Notes
    -----
    F a tan(draw - atan mu): friction of 0.15 eats 8.5 deg of draw. Source: statics; 12 deg in [Playtner1910]_.
    """
    return tooth_force_n * arm_m * math.tan(draw_rad - math.atan(friction_ratio))


@formula("unlocking_torque")
def unlocking_torque_n_m(*, tooth_force_n: float, arm_m: float, draw_rad: float, friction_ratio: float = 0.15) -> float:
    """Torque at the pallets that unlocks a tooth against draw and friction.

    Parameters
    ----------
    tooth_force_n : float
        Force of the tooth along its path [N], 0 to 100.
    arm_m : float
        Arm of the locking corner about the pallet centre [m], 1e-5 to 1.
    draw_rad : float
        Angle of the locking face from an arc about the pallet centre [rad], -0.6 to 0.6.
    friction_ratio : float
        Coefficient of friction, 0 to 1.

    Returns
    -------
    float
        Torque [N m].

    Notes
    -----
    F a tan(draw + atan mu). Source: statics.
    """
    return tooth_force_n * arm_m * math.tan(draw_rad + math.atan(friction_ratio))


@formula("recoil_angle")
def recoil_wheel_angle_rad(*, overswing_rad: float, arm_over_radius_ratio: float, face_slope_rad: float) -> float:
    """Turn of the wheel backwards when a recoil pallet swings on beyond the drop.

    Parameters
    ----------
    overswing_rad : float
        Swing of the pallets beyond the drop [rad], 0 to 0.3.
    arm_over_radius_ratio : float
        Arm of the pallet over radius of the wheel, 0.05 to 5.
    face_slope_rad : float
        Angle of the face from an arc about the pallet centre [rad], 0 to 1.2.

    Returns
    -------
    float
        Turn back [rad].

    Notes
    -----
    First order in the overswing: arm/radius x tan(slope) x overswing; nought for a dead face. Source: geometry.
    """
    return overswing_rad * arm_over_radius_ratio * math.tan(face_slope_rad)


@formula("pin_lift")
def pin_lift_rad(*, pin_diameter_m: float, arm_m: float, tooth_slope_rad: float, face_m: float) -> float:
    """Lift of a pin pallet: what the pin's roundness gives and what the tooth's slope gives.

    Parameters
    ----------
    pin_diameter_m : float
        Diameter of the pin [m], 0 to 0.01.
    arm_m : float
        Arm of the pins about the pallet centre [m], 1e-4 to 1.
    tooth_slope_rad : float
        Slope of the tooth's face from the wheel's rim [rad], 0 to 1.
    face_m : float
        Length of the tooth's face along the rim [m], 0 to 0.05.

    Returns
    -------
    float
        Lift about the pallet centre [rad].

    Notes
    -----
    (pin radius + face tan(slope)) / arm: the tooth's heel leaves when the pin's middle stands over it.
    Source: geometry; [Goodrich1905]_ ch. XIII.
    """
    return (pin_diameter_m / 2.0 + face_m * math.tan(tooth_slope_rad)) / arm_m


@formula("cylinder_diameter")
def cylinder_diameter_m(
    *, wheel_diameter_m: float, escape_count: float = 15.0, freedom_ratio: float = 0.0
) -> tuple[float, float]:
    """Inside and outside diameter of a cylinder from its wheel.

    Parameters
    ----------
    wheel_diameter_m : float
        Diameter of the wheel over the teeth [m], 0.001 to 0.1.
    escape_count : float
        Teeth of the wheel, 6 to 60.
    freedom_ratio : float
        Drop, as a part of half the pitch, 0 to 0.3.

    Returns
    -------
    mean_diameter_m : float
        Diameter between inside and outside: half the pitch less the drop [m].
    pitch_m : float
        Pitch at the rim [m].

    Notes
    ----- A tooth fits inside, the cylinder between two teeth: pi D / 2N on average; 0.105 D for 15 teeth, the old
    factor 0.115 gives the outside. Source: [Goodrich1905]_ ch. XII.
    """
    pitch = math.pi * wheel_diameter_m / escape_count
    return pitch / 2.0 * (1.0 - freedom_ratio), pitch


@formula("arbor_room")
def arbor_room_m(*, distance_m: float, less_m: float) -> float:
    """Diameter that is left for an arbor beside others.

    Parameters
    ----------
    distance_m : float
        From the arbor's middle to what it must clear [m], 0 to 1.
    less_m : float
        Thickness and freedom to be taken off [m], 0 to 1.

    Returns
    -------
    float
        Diameter [m].

    Raises
    ------
    OutOfRange
        Nothing is left.

    Notes
    -----
    Twice the difference. Source: [Playtner1910]_.
    """
    if less_m >= distance_m:
        raise OutOfRange("less_m", less_m, 0.0, distance_m, "m")
    return 2.0 * (distance_m - less_m)
