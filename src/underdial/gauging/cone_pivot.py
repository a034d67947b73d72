"""A cone pivot in its cup: where it rubs, how much it brakes dial up and upright, its shake, and the staff left to
re-point.

Dial up the staff stands on one tip: a round tip smaller than the cup's bottom touches a point (Hertz), a worn flat a
disc, a tip larger than the bottom hangs on a ring of the wall. Upright the tip's flank rolls on the wall: the lever is
the tip's radius, whatever the cup's angle, because the wall's force grows as the lever shrinks.

Limits: one coefficient of friction, two equal pivots, nothing yields. Angles are included angles, whole cone.
Sources: [Johnson1985]_ s. 4.2 (Hertz) through `mechanics.pivot_friction`; statics.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.errors import BadInput, OutOfRange
from underdial.mechanics.materials import STEEL_PA
from underdial.mechanics.pivot_friction import (
    cone_ring_torque_n_m,
    cylinder_torque_n_m,
    flat_torque_n_m,
    sphere_contact,
)
from underdial.mechanics.pivot_hole import cone_side_shake_m
from underdial.uncertain import Uncertain, propagate

# A wall is flat against a tip: the largest radius that `sphere_contact` takes.
_FLAT_WALL_M = 1000.0
_NO_FLAT, _USUAL_CONE, _USUAL_CUP = Uncertain(0.0), Uncertain(math.radians(60.0)), Uncertain(math.radians(90.0))


@dataclass(frozen=True, slots=True)
class Cone:
    """The pair: tip and cup bottom radii, diameter of a worn flat (0 none), included angles of cone and cup."""

    tip_radius_m: Uncertain
    cup_radius_m: Uncertain
    flat_diameter_m: Uncertain = _NO_FLAT
    cone_angle_rad: Uncertain = _USUAL_CONE
    cup_angle_rad: Uncertain = _USUAL_CUP

    def __post_init__(self) -> None:
        for field in ("tip_radius_m", "cup_radius_m"):
            if not 1e-6 <= getattr(self, field).value <= 5e-3:
                raise OutOfRange(field, getattr(self, field).value, 1e-6, 5e-3, "m")
        if not 0.0 <= self.flat_diameter_m.value <= 5e-3:
            raise OutOfRange("flat_diameter_m", self.flat_diameter_m.value, 0.0, 5e-3, "m")
        for field in ("cone_angle_rad", "cup_angle_rad"):
            if not math.radians(10.0) <= getattr(self, field).value <= math.radians(170.0):
                raise OutOfRange(field, getattr(self, field).value, math.radians(10.0), math.radians(170.0), "rad")
        if self.cone_angle_rad.value >= self.cup_angle_rad.value:
            raise BadInput(
                "cone_angle",
                f"{math.degrees(self.cone_angle_rad.value):g} deg",
                "an angle below the cup's",
                f"cone_angle: a cone of {math.degrees(self.cone_angle_rad.value):g} deg does not go into a cup of "
                f"{math.degrees(self.cup_angle_rad.value):g} deg; it would bind on its rim.",
            )


@dataclass(frozen=True, slots=True)
class Contact:
    """How it rubs in one position: kind (point, flat, ring), friction radius, torque of the whole staff, peak
    pressure.
    """

    contact: str
    effective_radius_m: Uncertain
    torque_n_m: Uncertain
    pressure_pa: Uncertain | None


def rubbing(
    cone: Cone,
    *,
    mass_kg: Uncertain,
    friction_ratio: Uncertain,
    g_m_per_s2: float = 9.80665,
    modulus_pa: float = STEEL_PA,
) -> tuple[Contact, Contact]:
    """Contact and friction dial up and upright.

    Parameters
    ----------
    cone : Cone
        Tip and cup.
    mass_kg, friction_ratio : Uncertain
        Balance with its staff; coefficient of friction.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.
    modulus_pa : float
        Modulus of both [Pa], 1e9 to 1e12.

    Returns
    -------
    tuple of Contact and Contact
        Dial up; upright.

    Notes
    -----
    Upright pressure: a ball on a flat wall, each pivot W/(2 cos of half the cup angle); the wall is hollow, so the true
    one is lower. Source: [Johnson1985]_ eq. 4.22 to 4.24.
    """
    values = {
        "tip_m": cone.tip_radius_m.value,
        "cup_m": cone.cup_radius_m.value,
        "flat_m": cone.flat_diameter_m.value,
        "angle_rad": cone.cup_angle_rad.value,
        "mass_kg": mass_kg.value,
        "friction_ratio": friction_ratio.value,
    }
    us = {
        "tip_m": cone.tip_radius_m.u,
        "cup_m": cone.cup_radius_m.u,
        "flat_m": cone.flat_diameter_m.u,
        "angle_rad": cone.cup_angle_rad.u,
        "mass_kg": mass_kg.u,
        "friction_ratio": friction_ratio.u,
    }
    kind = _kind(cone)

    def dial_up(**v: float) -> tuple[float, float]:
        force = v["mass_kg"] * g_m_per_s2
        if kind == "flat":
            return flat_torque_n_m(
                force_n=force, radius_m=v["flat_m"] / 2.0, friction_ratio=v["friction_ratio"]
            ), force / (math.pi * v["flat_m"] ** 2 / 4.0)
        if kind == "ring":
            return cone_ring_torque_n_m(
                force_n=force,
                radius_m=v["tip_m"],
                half_angle_rad=v["angle_rad"] / 2.0,
                friction_ratio=v["friction_ratio"],
            ), math.nan
        point = sphere_contact(
            radius_m=v["tip_m"],
            cup_radius_m=v["cup_m"],
            force_n=force,
            modulus1_pa=modulus_pa,
            modulus2_pa=modulus_pa,
            friction_ratio=v["friction_ratio"],
        )
        return point.torque_n_m, point.pressure_pa

    def upright(**v: float) -> tuple[float, float]:
        force, lever = v["mass_kg"] * g_m_per_s2, max(v["tip_m"], v["flat_m"] / 2.0)
        wall = force / (2.0 * math.cos(v["angle_rad"] / 2.0))
        ball = sphere_contact(
            radius_m=v["tip_m"], cup_radius_m=_FLAT_WALL_M, force_n=wall, modulus1_pa=modulus_pa, modulus2_pa=modulus_pa
        )
        return cylinder_torque_n_m(force_n=force, radius_m=lever, friction_ratio=v["friction_ratio"]), ball.pressure_pa

    def contact(name: str, pair: object) -> Contact:
        assert callable(pair)

        def radius(**v: float) -> float:
            return float(pair(**v)[0]) / (v["friction_ratio"] * v["mass_kg"] * g_m_per_s2)

        pressure = None if math.isnan(pair(**values)[1]) else propagate(lambda **v: float(pair(**v)[1]), values, us)
        return Contact(
            name, propagate(radius, values, us), propagate(lambda **v: float(pair(**v)[0]), values, us), pressure
        )

    return contact(kind, dial_up), contact("ring" if kind == "ring" else "point", upright)


def side_shake_m(*, end_shake_m: Uncertain, cup_angle_rad: Uncertain) -> Uncertain:
    """Side shake, from the middle to one side, that an end shake gives in a cup of an included angle."""
    return propagate(
        lambda end, angle: cone_side_shake_m(end_shake_m=end, half_angle_rad=angle / 2.0),
        {"end": end_shake_m.value, "angle": cup_angle_rad.value},
        {"end": end_shake_m.u, "angle": cup_angle_rad.u},
    )


def re_pointed(
    *,
    staff_m: Uncertain,
    flat_diameter_m: Uncertain,
    pit_m: Uncertain,
    new_tip_radius_m: Uncertain,
    cone_angle_rad: Uncertain,
) -> tuple[Uncertain, Uncertain]:
    """Length of staff that is left when one cone is ground to a new point, and how far its flank moves back.

    Parameters
    ----------
    staff_m : Uncertain
        Length over both tips now.
    flat_diameter_m, pit_m : Uncertain
        Flat worn on the tip; depth of pitting below it that has to go as well.
    new_tip_radius_m : Uncertain
        Radius of the new tip.
    cone_angle_rad : Uncertain
        Included angle of the new cone.

    Returns
    -------
    tuple of Uncertain and Uncertain
        Length left; distance along the staff by which the cone's flank moves back.

    Raises
    ------
    BadInput
        The new tip is too round to stand on what is left: it is wider than the flat.

    Notes
    -----
    The new ball touches the flat (or the floor of the pits); the cone's point would lie r (1/sin a - 1) beyond the ball
    and stood flat/2 / tan a beyond the flat, a half the angle. Source: geometry.
    """
    values = {
        "flat": flat_diameter_m.value,
        "pit": pit_m.value,
        "tip": new_tip_radius_m.value,
        "angle": cone_angle_rad.value,
    }
    us = {"flat": flat_diameter_m.u, "pit": pit_m.u, "tip": new_tip_radius_m.u, "angle": cone_angle_rad.u}

    def back(flat: float, pit: float, tip: float, angle: float) -> float:
        half = angle / 2.0
        return pit + flat / 2.0 / math.tan(half) - tip * (1.0 / math.sin(half) - 1.0)

    if back(**values) < pit_m.value:
        half = cone_angle_rad.value / 2.0
        most = flat_diameter_m.value / 2.0 / math.tan(half) / (1.0 / math.sin(half) - 1.0)
        raise BadInput(
            "new_tip_radius",
            f"{new_tip_radius_m.value * 1e3:g} mm",
            f"up to {most * 1e3:.3g} mm",
            f"new_tip_radius: {new_tip_radius_m.value * 1e3:g} mm is rounder than what stands; up to "
            f"{most * 1e3:.3g} mm can be cut.",
        )
    left = Uncertain(staff_m.value - pit_m.value, math.hypot(staff_m.u, pit_m.u))
    return left, propagate(back, values, us)


def _kind(cone: Cone) -> str:
    if cone.flat_diameter_m.value > 0.0:
        return "flat"
    return "point" if cone.tip_radius_m.value < cone.cup_radius_m.value else "ring"
