"""What old books and practice call usual: spans to hold a reading or a design against, never to compute with.

A value outside is no fault by itself; a screen may say that it is unusual and who says so. SI, angles in radians.
Sources by key: docs/reference/sources.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.errors import NotFound

_DEG = math.pi / 180.0


@dataclass(frozen=True, slots=True)
class Usual:
    """A usual span: low and high in the unit named, and who says so."""

    low: float
    high: float
    unit: str
    source: str


# fmt: off
USUAL: dict[str, Usual] = {
    "barometric_s_per_day_per_in_mercury": Usual(0.2, 0.4, "s/day", "[Grimthorpe1903]_ p. 73"),
    "torsion_beats_per_min": Usual(8.0, 15.0, "1/min", "[Goodrich1905]_ ch. VI"),
    "middle_temperature_error_s_per_day": Usual(2.0, 6.0, "s/day", "[Kleinlein1920]_ no. 77; 6 in [Grimthorpe1903]_"),
    "q_balance_watch": Usual(100.0, 300.0, "", "[Orologeria]_ 4"),
    "q_balance_chronometer": Usual(300.0, 500.0, "", "[Orologeria]_ 4"),
    "q_pendulum_free": Usual(5000.0, 20000.0, "", "[Orologeria]_ 4"),
    "q_pendulum_low_pressure": Usual(50000.0, 150000.0, "", "[Orologeria]_ 4"),
    "train_friction_ratio": Usual(0.5, 0.75, "", "[Goodrich1905]_ ch. XV: three quarters"),
    "mainspring_coil_loss_ratio": Usual(1 / 3, 0.5, "", "[Goodrich1905]_ ch. XV, dry or rough springs"),
    "mainspring_end_beyond_hole_m": Usual(0.0127, 0.01905, "m", "[Goodrich1905]_ ch. XV"),
    "cable_bend_over_wire_ratio": Usual(40.0, 1000.0, "", "[Goodrich1905]_ ch. XV"),
    "reserve_weight_kg": Usual(0.2268, 0.4536, "kg", "[Goodrich1905]_ ch. XV: 8 to 16 oz above what just goes"),
    "driving_ratio": Usual(0.02, 0.05, "", "[Grimthorpe1903]_ p. 90: 1/30"),
    "fusee_spring_width_m": Usual(0.030, 0.045, "m", "[Micrometer2018]_"),
    "fusee_spring_thickness_m": Usual(0.00035, 0.00055, "m", "[Micrometer2018]_"),
    "machine_addendum_over_pitch_ratio": Usual(0.3, 0.3, "", "[Low1888]_ p. 40, general machinery"),
    "machine_dedendum_over_pitch_ratio": Usual(0.4, 0.4, "", "[Low1888]_ p. 40, general machinery"),
    "leaf_over_pitch_6_to_9_ratio": Usual(0.30, 0.36, "", "[Goodrich1905]_ ch. XIV: one to two"),
    "leaf_over_pitch_10_ratio": Usual(11 / 36, 11 / 36, "", "[Goodrich1905]_ ch. XIV: 11 to 25"),
    "leaf_over_pitch_12_ratio": Usual(0.39, 0.4, "", "[Goodrich1905]_ ch. XIV: two to three; 1.25 modules is 0.398"),
    "leaf_over_pitch_20_ratio": Usual(7 / 15, 7 / 15, "", "[Goodrich1905]_ ch. XIV: space 8/7 of the leaf"),
    "wheel_space_over_tooth_ratio": Usual(1.1, 8 / 7, "", "[Goodrich1905]_ ch. XIV"),
    "standard_module_m": Usual(70e-6, 1e-3, "m", "scope of BS 978-2, tables not seen"),
    "lantern_over_leaf_generating_ratio": Usual(2.0, 2.0, "", "[Goodrich1905]_ ch. XIV"),
    "side_shake_limit_over_pivot_ratio": Usual(0.0, 0.5, "", "[Goodrich1905]_ ch. XIV: half the pivot spoils depth"),
    "deadbeat_whole_arc_rad": Usual(2 * _DEG, 4 * _DEG, "rad", "[Britannica1910]_ art. Clock: 3 deg"),
    "deadbeat_impulse_arc_rad": Usual(1 * _DEG, 2 * _DEG, "rad", "[Britannica1910]_ art. Clock: 2 of 3 deg"),
    "deadbeat_span_rad": Usual(0.0, 120 * _DEG, "rad", "[Britannica1910]_ art. Clock: a third of the wheel at most"),
    "recoil_whole_arc_rad": Usual(3 * _DEG, 4 * _DEG, "rad", "[Britannica1910]_ art. Clock"),
    "verge_whole_arc_rad": Usual(15 * _DEG, 40 * _DEG, "rad", "[Britannica1910]_ art. Clock: 20 deg"),
    "drop_club_tooth_rad": Usual(1.0 * _DEG, 1.5 * _DEG, "rad", "[Playtner1910]_"),
    "drop_ratchet_tooth_rad": Usual(1.5 * _DEG, 2.0 * _DEG, "rad", "[Playtner1910]_"),
    "lever_lock_rad": Usual(1.0 * _DEG, 2.0 * _DEG, "rad", "[Playtner1910]_: 1.5 deg"),
    "lever_draw_rad": Usual(12 * _DEG, 15 * _DEG, "rad", "[Playtner1910]_: 12 deg; pin pallet 15"),
    "lever_locking_face_rad": Usual(24 * _DEG, 24 * _DEG, "rad", "[Playtner1910]_"),
    "lever_run_rad": Usual(0.25 * _DEG, 0.5 * _DEG, "rad", "[Playtner1910]_"),
    "lever_guard_freedom_rad": Usual(1.0 * _DEG, 1.25 * _DEG, "rad", "[Playtner1910]_"),
    "tooth_front_undercut_rad": Usual(24 * _DEG, 24 * _DEG, "rad", "[Keystone1904]_"),
    "tooth_back_rad": Usual(36 * _DEG, 36 * _DEG, "rad", "[Keystone1904]_"),
    "cylinder_lift_rad": Usual(20 * _DEG, 40 * _DEG, "rad", "[Goodrich1905]_ ch. XII"),
    "cylinder_over_wheel_ratio": Usual(0.10, 0.12, "", "[Goodrich1905]_ ch. XII: 0.115"),
    "watch_train_end_shake_m": Usual(30e-6, 50e-6, "m", "[Kleinlein1920]_ no. 25"),
    "watch_train_side_shake_m": Usual(15e-6, 20e-6, "m", "[Kleinlein1920]_ no. 25"),
    "watch_balance_end_shake_m": Usual(20e-6, 30e-6, "m", "[Kleinlein1920]_ no. 25"),
    "watch_balance_side_shake_m": Usual(7.5e-6, 12.5e-6, "m", "[Kleinlein1920]_ no. 25"),
    "clock_side_shake_m": Usual(50.8e-6, 101.6e-6, "m", "[Goodrich1905]_ ch. XIV"),
    "bearing_length_over_diameter_ratio": Usual(1.0, 3.0, "", "[Goodrich1905]_ ch. XIV, XXIV"),
    "pivot_over_bearing_length_ratio": Usual(5 / 3, 5 / 3, "", "[Lewis1896]_ no. 47"),
    "shoulder_bevel_rad": Usual(20 * _DEG, 20 * _DEG, "rad", "[Lewis1896]_ no. 47"),
    "friction_steel_steel_dry_ratio": Usual(0.25, 0.40, "", "[JenkinEwing1877]_: 0.351"),
    "friction_steel_steel_oiled_ratio": Usual(0.10, 0.19, "", "[JenkinEwing1877]_: 0.118"),
    "friction_steel_brass_dry_ratio": Usual(0.19, 0.35, "", "[JenkinEwing1877]_: 0.195"),
    "friction_steel_brass_oiled_ratio": Usual(0.10, 0.19, "", "[JenkinEwing1877]_: 0.146"),
    "friction_steel_agate_dry_ratio": Usual(0.15, 0.20, "", "[JenkinEwing1877]_: 0.200"),
    "friction_steel_agate_oiled_ratio": Usual(0.09, 0.12, "", "[JenkinEwing1877]_: 0.107"),
    "slow_pivot_speed_m_per_s": Usual(6e-5, 3e-3, "m/s", "[JenkinEwing1877]_, in [Lewis1896]_"),
    "forced_fit_allowance_ratio": Usual(0.001, 0.0025, "", "[Jones1914]_, iron; an upper bound for brass bushes"),
    "bush_lean_rad": Usual(2 * _DEG, 5 * _DEG, "rad", "[Headrick]_ Broach6: 5 deg; sources differ"),
    "cup_over_tip_radius_ratio": Usual(2.0, 4.0, "", "[Neale1973]_ A24: 3"),
    "steel_sapphire_pressure_pa": Usual(0.0, 3.87e9, "Pa", "[Neale1973]_ A24, safety 2"),
    "lathe_nose_runout_m": Usual(0.0, 10e-6, "m", "inspection record of a general lathe; an upper bound"),
    "lathe_centre_runout_m": Usual(0.0, 15e-6, "m", "inspection record of a general lathe; an upper bound"),
    "lathe_bar_300_runout_m": Usual(0.0, 20e-6, "m", "inspection record of a general lathe; an upper bound"),
    "watch_oil_viscosity_cst": Usual(13.0, 1500.0, "cSt", "[CN1651555A]_, from 80 to -10 degC"),
    "sperm_oil_density_kg_per_m3": Usual(875.0, 885.0, "kg/m3", "[CAMEO]_"),
    "zinc_alloy_density_kg_per_m3": Usual(5000.0, 6700.0, "kg/m3", "[Azom9565]_ and alloy tables"),
    "zinc_alloy_modulus_pa": Usual(85e9, 96e9, "Pa", "[Azom9565]_; another table 85.5 GPa"),
    "zinc_alloy_expansion_per_k": Usual(26e-6, 28e-6, "1/K", "[Azom9565]_"),
    "pewter_density_kg_per_m3": Usual(7200.0, 7764.0, "kg/m3", "[MakeItFrom]_ type 2; [Henley1907]_"),
    "pewter_modulus_pa": Usual(40e9, 55e9, "Pa", "[MakeItFrom]_ type 2"),
    "grey_iron_density_kg_per_m3": Usual(6600.0, 7400.0, "kg/m3", "[Simetric]_"),
    "white_iron_density_kg_per_m3": Usual(7400.0, 7700.0, "kg/m3", "[Simetric]_"),
}
# fmt: on


def usual(name: str) -> Usual:
    """The usual span of something by its name; NotFound when none is kept."""
    if name not in USUAL:
        raise NotFound("name", name, "a name of the table of usual values")
    return USUAL[name]


def is_usual(name: str, value: float) -> bool:
    """Whether a value lies in the usual span, ends included (to a part in a thousand million)."""
    span = usual(name)
    slack = 1e-9 * max(abs(span.low), abs(span.high))
    return span.low - slack <= value <= span.high + slack
