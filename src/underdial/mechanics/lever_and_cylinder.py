"""Impulse of the club-tooth lever, shared between pallet and tooth, and the lift of a cylinder.

In a club-tooth lever the tip of the tooth first pushes along the pallet's face, then the face of the tooth pushes on
the pallet's edge. In a cylinder the sloping back of the tooth pushes the lip aside. Statics and plane geometry; angles
in radians inside. Limits: at mid action of each face; no inertia.
"""

from __future__ import annotations

import math

from underdial.errors import OutOfRange
from underdial.formula import formula
from underdial.mechanics.escapement_action import impulse_efficiency_ratio


@formula("club_tooth_efficiency")
def club_tooth_efficiency_ratio(
    *,
    pallet_lift_rad: float,
    pallet_wheel_rad: float,
    tooth_lift_rad: float,
    tooth_wheel_rad: float,
    arm_over_radius_ratio: float = 0.5,
    friction_ratio: float = 0.15,
) -> float:
    """Part of the wheel's work that a club-tooth lever passes on to its pallets.

    Parameters
    ----------
    pallet_lift_rad : float
        Lift given by the face of the pallet [rad], 0.001 to 0.3.
    pallet_wheel_rad : float
        Turn of the wheel meanwhile [rad], 0.001 to 0.3.
    tooth_lift_rad : float
        Lift given by the face of the tooth [rad], 0.001 to 0.3.
    tooth_wheel_rad : float
        Turn of the wheel meanwhile [rad], 0.001 to 0.3.
    arm_over_radius_ratio : float
        Arm of the pallet over radius of the wheel, 0.05 to 5.
    friction_ratio : float
        Coefficient of friction, 0 to 1.

    Returns
    -------
    float
        Efficiency over both faces.

    Notes
    -----
    Under a steady torque the wheel does work in proportion to its turn, so each face counts by the turn spent on it.
    Source: statics.
    """
    faces = ((pallet_lift_rad, pallet_wheel_rad), (tooth_lift_rad, tooth_wheel_rad))
    passed = sum(
        turn
        * impulse_efficiency_ratio(
            lift_rad=lift,
            wheel_angle_rad=turn,
            arm_over_radius_ratio=arm_over_radius_ratio,
            friction_ratio=friction_ratio,
        )
        for lift, turn in faces
    )
    return passed / (pallet_wheel_rad + tooth_wheel_rad)


@formula("cylinder_lift")
def cylinder_lift_rad(*, tooth_height_m: float, cylinder_radius_m: float) -> float:
    """Turn of the balance while one tooth passes a lip of the cylinder.

    Parameters
    ----------
    tooth_height_m : float
        Rise of the sloping back of the tooth from point to heel [m], 0.000001 to 0.01.
    cylinder_radius_m : float
        Mean radius of the cylinder's shell [m], 0.0001 to 0.02.

    Returns
    -------
    float
        Lift of one lip [rad].

    Notes
    -----
    The lip is pushed aside by the rise, a chord of its circle: 2 arcsin(h/2r). Half the lift lies on each side of the
    middle when the clock is in beat. Source: plane geometry.
    """
    if tooth_height_m >= 2.0 * cylinder_radius_m:
        raise OutOfRange("tooth_height_m", tooth_height_m, 0.0, 2.0 * cylinder_radius_m, "m")
    return 2.0 * math.asin(tooth_height_m / (2.0 * cylinder_radius_m))
