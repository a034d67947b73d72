"""Rows of groups 5, 6 and 7, teeth, escapements, bearings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from underdial import units
from underdial.mechanics import escapement, escapement_action, pivot_friction, pivot_hole, press_fit
from underdial.movement import gear_sizes, tooth_form

from .convert import each, shop, si

Row = dict[str, Any]


def _pitch_deg(teeth: float, spanned: float = 1.0) -> float:
    return shop(tooth_form.tooth_angle_rad(teeth_count=teeth, teeth_spanned=spanned), "deg")


def _centre(i: Row) -> float:
    return escapement.pallet_centre_m(radius_m=i["radius"], span_rad=si(i["span_deg"], "deg"))


def _budget(*parts: float, less: tuple[float, ...] = ()) -> float:
    return shop(escapement.angle_budget_rad(si(list(parts), "deg"), si(list(less), "deg")), "deg")


def _pointed(leaves: float, ratio: float) -> float:
    return tooth_form.addendum_ratio(wheel_count=motion_wheel(leaves, ratio), pinion_count=leaves, shortening_ratio=1)


def motion_wheel(leaves: float, ratio: float) -> float:
    """Teeth of the wheel that a pinion and a ratio ask for."""
    from underdial.movement.motion_work import wheel_for_ratio

    return wheel_for_ratio(pinion_count=leaves, ratio=ratio)


def sphere(i: Row, friction: float = 0.0) -> pivot_friction.SphereContact:
    """The contact of a row that names a tip, its cup and its load."""
    return pivot_friction.sphere_contact(
        radius_m=si(i["radius_mm"], "mm"),
        cup_radius_m=si(i["cup_over_radius"] * i["radius_mm"], "mm"),
        force_n=si(i["mass_g"], "g") * i["g_m_per_s2"],
        modulus1_pa=i["modulus_steel_pa"],
        modulus2_pa=i["modulus_sapphire_pa"],
        poisson1_ratio=i["poisson_steel"],
        poisson2_ratio=i["poisson_sapphire"],
        friction_ratio=friction,
    )


def inches(value: float) -> float:
    """Inches in millimetres, through the reader of typed values."""
    return shop(units.parse(f"{value}in", kind="length").value, "mm")


CALLS: dict[str, Callable[[Row], Any]] = {
    "teeth-01": lambda i: shop(
        gear_sizes.diametral_pitch_per_m(teeth_count=i["teeth"], pitch_diameter_m=si(i["pitch_diameter_in"], "in")),
        "1/in",
    ),
    "teeth-02": lambda i: shop(
        [
            f(
                teeth_count=i["teeth"],
                module_m=gear_sizes.module_m(diametral_pitch_per_m=si(i["diametral_pitch_per_in"], "1/in")),
            )
            for f in (gear_sizes.pitch_diameter_m, gear_sizes.outside_diameter_m)
        ],
        "in",
    ),
    "teeth-03": lambda i: shop(
        gear_sizes.outside_diameter_m(
            teeth_count=i["teeth"],
            module_m=gear_sizes.module_m(diametral_pitch_per_m=si(i["diametral_pitch_per_in"], "1/in")),
        ),
        "in",
    ),
    "teeth-04": lambda i: shop(
        gear_sizes.pinion_diameter_m(
            wheel_diameter_m=si(i["wheel_in"], "in"), wheel_count=i["wheel"], pinion_count=i["pinion"]
        ),
        "in",
    ),
    "teeth-06": lambda i: gear_sizes.centre_distance_m(
        wheel_count=i["wheel"], pinion_count=i["pinion"], module_m=2 / i["wheel"]
    ),
    "teeth-07": lambda i: list(gear_sizes.centre_split(ratio=i["ratio"])),
    "teeth-09": lambda i: shop(
        gear_sizes.pitch_diameter_from_pitch_m(teeth_count=i["teeth"], pitch_m=si(i["pitch_in"], "in")), "in"
    ),
    "teeth-11": lambda i: _pitch_deg(i["teeth"]),
    "teeth-14": lambda i: each(lambda p: _pointed(p, i["ratio"]), i["leaves"]),
    "teeth-15": lambda i: [
        tooth_form.addendum_by_radius_rule_ratio(pinion_count=p, fraction_of_radius_ratio=f)
        for p, f in zip(i["leaves"], i["fraction_of_radius"], strict=True)
    ],
    "teeth-16": lambda i: _pointed(i["leaves"], i["ratio"]),
    "teeth-20": lambda i: tooth_form.least_leaves(driver_count=i["driver"], pitches_of_action=i["pitches_of_action"]),
    "teeth-22": lambda i: tooth_form.versed_sine_ratio(angle_rad=si(i["angle_deg"], "deg")),
    "teeth-25": lambda i: shop(
        gear_sizes.module_m(diametral_pitch_per_m=si(i["diametral_pitch_per_in"], "1/in")), "mm"
    ),
    "escapement-01": lambda i: _pitch_deg(i["teeth"]),
    "escapement-03": _centre,
    "escapement-04": _centre,
    "escapement-05": lambda i: _pitch_deg(i["teeth"]),
    "escapement-12": lambda i: [
        _pitch_deg(i["teeth"]),
        shop(escapement.beat_angle_rad(escape_count=i["teeth"]), "deg"),
    ],
    "escapement-13": lambda i: [_pitch_deg(n, s) for n, s in zip(i["teeth"], i["spaces"], strict=True)],
    "escapement-14": lambda i: _budget(i["tooth_deg"], i["pallet_deg"], i["drop_deg"]),
    "escapement-15": lambda i: _budget(i["impulse_deg"], i["drop_deg"]),
    "escapement-16": lambda i: _budget(i["lift_deg"], i["lock_deg"], i["run_deg"]),
    "escapement-17": lambda i: _budget(i["fork_deg"], less=(i["lock_deg"], i["tooth_lift_deg"])),
    "escapement-19": lambda i: shop(
        escapement.impulse_pin_width_rad(fork_rad=si(i["fork_deg"], "deg"), freedom_rad=si(i["freedom_deg"], "deg")),
        "deg",
    ),
    "escapement-20": lambda i: escapement.impulse_ratio(
        roller_rad=si(i["roller_deg"], "deg"), fork_rad=si(i["fork_deg"], "deg")
    ),
    "escapement-21": lambda i: shop(
        escapement.angle_at_balance_rad(fork_angle_rad=si(i["angle_deg"], "deg"), impulse_ratio=i["ratio"]), "deg"
    ),
    "escapement-22": lambda i: shop(
        escapement.angle_at_balance_rad(fork_angle_rad=si(i["angle_deg"], "deg"), impulse_ratio=i["ratio"]), "deg"
    ),
    "escapement-25": lambda i: each(
        lambda d: shop(escapement.arc_length_m(radius_m=si(d, "mm") / 2, angle_rad=si(i["angle_deg"], "deg")), "mm"),
        i["wheel_diameter_mm"],
    ),
    "escapement-26": lambda i: shop(
        escapement_action.arbor_room_m(distance_m=si(i["distance_mm"], "mm"), less_m=si(sum(i["less_mm"]), "mm")), "mm"
    ),
    "escapement-30": lambda i: escapement.impulse_ratio(
        roller_rad=si(i["roller_deg"], "deg"), fork_rad=si(i["fork_deg"], "deg")
    ),
    "escapement-32": lambda i: _budget(i["lift_pin_deg"], i["lift_tooth_deg"]),
    "escapement-36": lambda i: shop(escapement.beat_angle_rad(escape_count=i["escape"]), "deg"),
    "escapement-37": lambda i: shop(escapement.beat_angle_rad(escape_count=i["escape"]), "deg"),
    "bearing-01": lambda i: each(inches, i["play_in"]),
    "bearing-06": lambda i: each(inches, [*i["pivot_in"], i["plate_in"]]),
    "bearing-12": lambda i: shop(
        press_fit.force_by_factor_n(
            area_m2=si(i["area_in2"], "in2"),
            allowance_m=si(i["allowance_in"], "in"),
            factor_n_per_m3=si(i["pressure_factor"], "ton/in3"),
        ),
        "ton",
    ),
    "bearing-14": lambda i: shop(
        pivot_hole.taper_ratio(rise_m=si(i["taper_in_per_ft"], "in"), length_m=si(12, "in")), "mm/m"
    ),
    "bearing-15": lambda i: shop(
        pivot_hole.taper_ratio(rise_m=si(i["rise_in"], "in"), length_m=si(i["length_in"], "in")), "mm/m"
    ),
    "bearing-18": lambda i: shop(
        pivot_hole.lean_rad(clearance_m=si(i["clearance_mm"], "mm"), plate_m=si(i["plate_mm"], "mm")), "deg"
    ),
    "bearing-21": lambda i: sphere(i).pressure_pa,
    "bearing-23": lambda i: shop(
        pivot_friction.pressure_scaled_pa(
            pressure_pa=si(i["p1_kg_per_mm2"], "kgf/mm2"),
            radius_m=si(i["radius1_mm"], "mm"),
            to_radius_m=si(i["radius2_mm"], "mm"),
        ),
        "kgf/mm2",
    ),
}
