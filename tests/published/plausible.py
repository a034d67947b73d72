"""Rows of kind `plausibility`: ranges and rules that our functions and tables have to keep.

A row is kept when what we compute for its case lies in its range or, where there is nothing to compute, when the span
that we call usual holds the printed figure.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

from underdial.mechanics import (
    air_on_pendulum,
    balance,
    circular_error,
    density,
    escapement,
    escapement_action,
    hairspring,
    heat_on_pendulum,
    materials,
    pendulum_regulation,
    rate_record,
    torsion_pendulum,
)
from underdial.mechanics.usual_values import is_usual, usual
from underdial.movement import tooth_form
from underdial.trade import materials as trade_materials

from .convert import si
from .teeth import sphere

Row = dict[str, Any]


def _all_usual(name: str, values: Iterable[float]) -> bool:
    return all(is_usual(name, value) for value in values)


def _span(name: str, low: float, high: float, slack: float = 1e-9) -> bool:
    """Our usual span is the printed one."""
    found = usual(name)
    return math.isclose(found.low, low, rel_tol=slack) and math.isclose(found.high, high, rel_tol=slack)


def _metal(name: str) -> Any:
    return trade_materials.metals()[name]


def _meets(name: str, low: float, high: float) -> bool:
    """The trade's range for a metal and the printed one have a part in common."""
    metal = _metal(name)
    return metal.density_low_kg_per_m3 <= high and metal.density_high_kg_per_m3 >= low


def _arc_table(row: Row) -> bool:
    arcs = si(row["inputs"]["arc_deg"], "deg")
    ours = [
        circular_error.circular_loss_difference_s_per_day(from_half_arc_rad=arcs[0], to_half_arc_rad=one)
        for one in arcs
    ]
    return all(abs(a - b) <= row["tolerance"]["abs"] for a, b in zip(ours, row["expected"], strict=True))


def _torsion(row: Row) -> bool:
    stiffness = torsion_pendulum.strip_stiffness_n_m_per_rad(
        shear_modulus_pa=45e9, width_m=5e-4, thickness_m=1e-4, length_m=0.1, weight_n=2.3
    )
    per_minute = balance.beats_per_hour(inertia_kg_m2=1.4e-4, stiffness_n_m_per_rad=stiffness) / 60
    return row["expected"][0] <= per_minute <= row["expected"][1] and is_usual("torsion_beats_per_min", per_minute)


def _barometer(row: Row) -> bool:
    per_pa = air_on_pendulum.barometric_rate_s_per_day_per_pa(
        air_kg_per_m3=1.2, bob_kg_per_m3=8400, entrained_ratio=1.5
    )
    return abs(abs(per_pa) * 3386.39 - row["expected"]) <= row["tolerance"]["abs"]


def _vacuum(row: Row) -> bool:
    gain = -air_on_pendulum.buoyancy_rate_s_per_day(
        air_over_bob_ratio=1.2 / (row["inputs"]["sp_gr"] * 1000), entrained_ratio=2.5
    )
    return abs(gain - row["expected"]) <= row["tolerance"]["abs"]


def _nut(row: Row) -> bool:
    i = row["inputs"]
    rate = pendulum_regulation.nut_s_per_day_per_turn(
        length_m=si(i["L_in"], "in"), pitch_m=si(1 / i["threads_per_in"], "in"), turn_ratio=1 / i["divisions"]
    )
    return abs(rate - row["expected"]) <= row["tolerance"]["rel"] * row["expected"]


def _steel_frost(row: Row) -> bool:
    i = row["inputs"]
    per_k = heat_on_pendulum.observed_rate_s_per_day_per_k(
        rate_change_s_per_day=i["s_per_day_per_F"], change_k=si(1, "degF")
    )
    rate = heat_on_pendulum.rate_change_s_per_day(coefficient_s_per_day_per_k=per_k, change_k=si(i["dT_F"], "degF"))
    return abs(rate - row["expected"]) <= row["tolerance"]["abs"]


def _zamak(row: Row) -> bool:
    return _all_usual("zinc_alloy_density_kg_per_m3", si(row["expected"], "g/cm3"))


def _densities(row: Row) -> bool:
    table = row["inputs"]["kg_m3"]
    return (
        _meets("brass", *table["brass cast"])
        and _meets("brass", *table["brass rolled"])
        and _meets("bronze", *table["bronze 8-14% Sn"])
        and _meets("bronze", *table["phosphor bronze"])
        and _meets("iron", *table["cast iron"])
        and _meets("copper", table["copper"], table["copper"])
        and _meets("nickel_silver", *table["nickel silver"])
        and _meets("spelter", table["zinc"], table["zinc"])
        and _meets("lead_tin", table["tin"], table["lead"])
        and _meets("lead_tin", table["white metal"], 1.05 * table["white metal"])
    )


def _compositions(_: Row) -> bool:
    """Ideal mixing of the printed parts lands in the trade's range for the metal."""
    copper, zinc, tin, nickel = 8930.0, 7135.0, 7280.0, 8900.0

    def inside(metal: str, densities: list[float], parts: list[float], slack: float = 0.04) -> bool:
        mixed = density.mixture_density_kg_per_m3(densities, mass_parts=parts)
        one = _metal(metal)
        return one.density_low_kg_per_m3 * (1 - slack) <= mixed <= one.density_high_kg_per_m3 * (1 + slack)

    return (
        inside("brass", [copper, zinc], [72, 28])
        and inside("brass", [copper, zinc], [60, 40])
        and inside("bronze", [copper, tin], [90, 10])
        and inside("lead_tin", [tin, 6690, 9780, copper], [89, 7, 2, 2])
        and inside("nickel_silver", [copper, zinc, nickel], [60, 25, 15])
    )


def _friction(row: Row) -> bool:
    i = row["inputs"]
    return (
        is_usual("friction_steel_steel_dry_ratio", i["steel"][0])
        and is_usual("friction_steel_steel_oiled_ratio", i["steel"][2])
        and is_usual("friction_steel_brass_dry_ratio", i["brass"][0])
        and is_usual("friction_steel_brass_oiled_ratio", i["brass"][2])
        and is_usual("friction_steel_agate_dry_ratio", i["agate"][0])
        and is_usual("friction_steel_agate_oiled_ratio", i["agate"][2])
    )


def _pins(row: Row) -> bool:
    """Two per cent of the spring beyond pins that let it play a fifth of a radian, at a full arc."""
    slower = -hairspring.gap_rate_s_per_day(beyond_pins_ratio=0.02, gap_rad=0.2, half_arc_rad=4.0) / 24
    return 0.5 * row["expected"] <= slower <= 2 * row["expected"]


def _middle(row: Row) -> bool:
    gain = rate_record.middle_temperature_error_s_per_day(curvature_s_per_day_per_k2=0.012, half_span_k=si(27, "degF"))
    return row["expected"][0] <= gain <= row["expected"][1]


def _allowances(row: Row) -> bool:
    i = row["inputs"]
    return (
        is_usual("lever_lock_rad", si(i["lock"], "deg"))
        and is_usual("lever_draw_rad", si(i["draw"], "deg"))
        and is_usual("lever_locking_face_rad", si(i["locking face of tooth"], "deg"))
        and _all_usual("lever_run_rad", si(i["run"], "deg"))
        and is_usual("lever_guard_freedom_rad", si(i["guard and pin freedom"], "deg"))
        # Draw has to beat the angle of friction, or the lever would not be drawn in.
        and escapement_action.draw_torque_n_m(
            tooth_force_n=1, arm_m=1, draw_rad=si(i["draw"], "deg"), friction_ratio=0.146
        )
        > 0
    )


CHECKS: dict[str, Callable[[Row], bool]] = {
    "pendulum-20": _nut,
    "pendulum-36": _arc_table,
    "pendulum-66": _barometer,
    "pendulum-67": _vacuum,
    "pendulum-80": _torsion,
    "balance-03": _steel_frost,
    "balance-24": _middle,
    "balance-25": lambda r: is_usual("middle_temperature_error_s_per_day", r["expected"]),
    "balance-26": _pins,
    "balance-27": lambda r: (
        _span("q_balance_watch", 100, 300)
        and is_usual("q_balance_chronometer", 400)
        and _all_usual("q_pendulum_free", [10000, 18500])
        and is_usual("q_pendulum_low_pressure", 110000)
    ),
    "mainspring-15": lambda r: is_usual("train_friction_ratio", r["expected"]),
    "mainspring-16": lambda r: _span("mainspring_coil_loss_ratio", *r["expected"]),
    "mainspring-17": lambda r: _span("mainspring_end_beyond_hole_m", *si(r["expected"], "in")),
    "mainspring-18": lambda r: usual("cable_bend_over_wire_ratio").low == r["expected"],
    "mainspring-19": lambda r: _span("reserve_weight_kg", *si(r["expected"], "oz"), slack=1e-4),
    "mainspring-20": lambda r: is_usual("driving_ratio", r["expected"]),
    "mainspring-23": lambda r: (
        is_usual("fusee_spring_width_m", si(r["expected"][0], "mm"))
        and is_usual("fusee_spring_thickness_m", si(r["expected"][1], "mm"))
    ),
    "teeth-10": lambda r: (
        is_usual("machine_addendum_over_pitch_ratio", r["expected"][0])
        and is_usual("machine_dedendum_over_pitch_ratio", r["expected"][1])
    ),
    "teeth-12": lambda r: (
        is_usual("leaf_over_pitch_6_to_9_ratio", tooth_form.leaf_thickness_ratio(pinion_count=8) / math.pi)
        and is_usual("leaf_over_pitch_10_ratio", 11 / 36)
        and is_usual("leaf_over_pitch_12_ratio", tooth_form.leaf_thickness_ratio(pinion_count=12) / math.pi)
    ),
    "teeth-13": lambda r: _all_usual("wheel_space_over_tooth_ratio", r["inputs"].values()),
    "teeth-18": lambda r: _span("standard_module_m", *si(r["expected"], "mm")),
    "teeth-24": lambda r: is_usual("lantern_over_leaf_generating_ratio", r["expected"]),
    "teeth-26": lambda r: usual("side_shake_limit_over_pivot_ratio").high == r["expected"],
    "escapement-08": lambda r: (
        is_usual("deadbeat_whole_arc_rad", si(r["expected"][0], "deg"))
        and is_usual("deadbeat_impulse_arc_rad", si(r["expected"][1], "deg"))
    ),
    "escapement-09": lambda r: is_usual("deadbeat_span_rad", si(r["expected"], "deg")),
    "escapement-10": lambda r: _span("recoil_whole_arc_rad", *si(r["expected"], "deg")),
    "escapement-11": lambda r: is_usual("verge_whole_arc_rad", si(r["expected"], "deg")),
    "escapement-28": lambda r: (
        is_usual("drop_club_tooth_rad", si(r["inputs"]["club"], "deg"))
        and is_usual("drop_ratchet_tooth_rad", si(r["inputs"]["ratchet"], "deg"))
    ),
    "escapement-29": _allowances,
    "escapement-31": lambda r: (
        is_usual("tooth_front_undercut_rad", si(r["inputs"]["front"], "deg"))
        and is_usual("tooth_back_rad", si(r["inputs"]["back"], "deg"))
    ),
    "escapement-33": lambda r: (
        abs(
            escapement.pallet_centre_m(
                radius_m=si(r["inputs"]["wheel_mm"], "mm") / 2, span_rad=si(r["inputs"]["span_deg"], "deg")
            )
            - si(r["expected"], "mm")
        )
        <= si(r["tolerance"]["abs"], "mm")
    ),
    "escapement-34": lambda r: _span("cylinder_lift_rad", *si(r["expected"], "deg")),
    "escapement-35": lambda r: (
        escapement_action.cylinder_diameter_m(wheel_diameter_m=0.01)[0] < r["expected"] * 0.01
        and is_usual("cylinder_over_wheel_ratio", r["expected"])
    ),
    "bearing-03": lambda r: (
        _span("watch_train_end_shake_m", *si(r["inputs"]["end_mm"], "mm"))
        and _span("watch_train_side_shake_m", *si(r["inputs"]["side_mm"], "mm"))
    ),
    "bearing-04": lambda r: (
        _span("watch_balance_end_shake_m", *si(r["inputs"]["end_mm"], "mm"))
        and _span("watch_balance_side_shake_m", *si(r["inputs"]["side_mm"], "mm"))
    ),
    "bearing-05": lambda r: _all_usual("bearing_length_over_diameter_ratio", r["expected"]),
    "bearing-08": lambda r: is_usual("shoulder_bevel_rad", si(r["expected"], "deg")),
    "bearing-09": _friction,
    "bearing-10": lambda r: _span("slow_pivot_speed_m_per_s", *si(r["expected"], "cm")),
    "bearing-11": lambda r: _all_usual("forced_fit_allowance_ratio", r["inputs"].values()),
    "bearing-17": lambda r: is_usual("bush_lean_rad", si(r["expected"], "deg")),
    "bearing-19": lambda r: escapement_blunt_is_worse(),
    "bearing-20": lambda r: is_usual("cup_over_tip_radius_ratio", r["expected"]),
    "bearing-22": lambda r: (
        abs(sphere(r["inputs"], r["inputs"]["mu"]).torque_n_m - r["expected"]) <= r["tolerance"]["rel"] * r["expected"]
    ),
    "bearing-24": lambda r: is_usual("steel_sapphire_pressure_pa", 3.86e9),
    "bearing-25": lambda r: all(
        is_usual(name, si(value, "mm"))
        for name, pair in zip(
            ("lathe_nose_runout_m", "lathe_nose_runout_m", "lathe_bar_300_runout_m", "lathe_centre_runout_m"),
            r["expected"],
            strict=True,
        )
        for value in pair
    ),
    "material-04": lambda r: all(
        materials.material("invar").expansion_low_per_k
        <= si(one, "1e-6/C")
        <= materials.material("invar").expansion_high_per_k
        for one in r["expected"]
    ),
    "material-08": _densities,
    "material-09": lambda r: (
        _span("grey_iron_density_kg_per_m3", *si(r["inputs"]["grey"], "g/cm3"))
        and _span("white_iron_density_kg_per_m3", *si(r["inputs"]["white"], "g/cm3"))
    ),
    "material-10": lambda r: (
        is_usual("pewter_density_kg_per_m3", si(r["expected"][0], "g/cm3"))
        and is_usual("pewter_modulus_pa", si(r["expected"][1], "GPa"))
    ),
    "material-13": lambda r: (
        {_metal(one).magnet for one in ("iron", "steel")} == {"yes"}
        and {_metal(one).magnet for one in ("spelter", "brass", "bronze", "lead_tin")} == {"no"}
    ),
    "material-14": lambda r: (
        "grey" in _metal("spelter").colours
        and "yellow" in _metal("brass").colours
        and "yellow" in _metal("bronze").colours
    ),
    "material-24": _compositions,
    "material-30": lambda r: _span("watch_oil_viscosity_cst", *r["expected"]),
    "material-31": lambda r: _span("sperm_oil_density_kg_per_m3", *si(r["expected"], "g/cm3")),
    "material-32": _zamak,
    "material-34": lambda r: (
        is_usual("zinc_alloy_expansion_per_k", si(r["expected"][0], "1e-6/C"))
        and _all_usual("zinc_alloy_modulus_pa", si(r["expected"][1:], "GPa"))
    ),
    "material-38": lambda r: all(
        abs(materials.material("bronze").modulus_pa - si(one, "GPa")) <= si(3, "GPa") for one in r["expected"]
    ),
}


def escapement_blunt_is_worse() -> bool:
    """A blunt cone pivot rubs harder lying than a sharp one: the torque goes as the tip's radius."""
    from underdial.mechanics.pivot_friction import cylinder_torque_n_m

    return cylinder_torque_n_m(force_n=0.02, radius_m=1.2e-4) > 1.5 * cylinder_torque_n_m(force_n=0.02, radius_m=6e-5)
