"""The handbook lists every computation and computes it with its uncertainty."""

from __future__ import annotations

import math
import re

import pytest

from underdial.bench.shown.handbook import compute, list_formulas, pages, parameter_label, show_formula
from underdial.errors import BadInput, NotFound, OutOfRange

# Derived: the names and parameters that docs/reference/commands.md promises.
FIXED = {
    "beats_per_hour": "wheels pinions escape_count",
    "train_ratio": "wheels pinions",
    "pendulum_length": "beats_per_hour g_m_per_s2",
    "pendulum_period": "length_m g_m_per_s2 half_arc_deg",
    "circular_error": "half_arc_deg",
    "normal_gravity": "latitude_deg height_m",
    "length_change_rate": "length_m change_m",
    "temperature_rate": "expansion_per_k",
    "spring_stiffness": "modulus_pa height_m thickness_m length_m",
    "balance_stiffness": "inertia_kg_m2 beats_per_hour",
    "poise_rate": "moment_kg_m stiffness_n_m_per_rad half_arc_deg g_m_per_s2",
    "barrel_turns": "barrel_m arbor_m thickness_m length_m",
    "addendum": "wheel_count pinion_count shortening_ratio",
    "pallet_centre": "radius_m span_deg",
    "sphere_contact": "radius_m cup_radius_m force_n modulus1_pa modulus2_pa poisson1_ratio poisson2_ratio "
    "friction_ratio",
    "pivot_lean": "clearance_m plate_m",
    "density": "air_kg water_kg water_kg_per_m3 air_kg_per_m3",
    "allan": "kind frequency taus",
    "circle_fit": "x_m y_m",
}


@pytest.mark.parametrize(("name", "parameters"), FIXED.items())
def test_a_promised_formula_has_its_name_and_parameters(name: str, parameters: str) -> None:
    shown = [one["name"] for one in show_formula(name)["parameters"]]

    assert shown[: len(parameters.split())] == parameters.split()
    # Whatever comes after the promised ones can be left out.
    assert all(one["default"] is not None for one in show_formula(name)["parameters"][len(parameters.split()) :])


def test_no_computation_of_the_three_rooms_is_left_out() -> None:
    rooms = {one["room"] for one in list_formulas()["formulas"]}

    assert rooms == {"movement", "mechanics", "gauging"}
    assert len(pages()) > len(FIXED) * 5


def test_values_carry_units_and_uncertainties() -> None:
    found = compute("pendulum_length", ["beats_per_hour=3600+-3.6", "g_m_per_s2=9.80665m/s2"])

    # Source: Britannica 1910: the seconds pendulum; digits by g/pi^2
    assert found["value"] == pytest.approx(0.993621, abs=1e-6)
    # Derived: length as the inverse square of the beats
    assert found["u"] == pytest.approx(2 * 0.001 * found["value"], rel=1e-5)
    assert found["unit"] == "m"


def test_angles_are_degrees_at_this_edge() -> None:
    found = compute("pivot_lean", ["clearance_m=0.08mm", "plate_m=1.5mm"])

    assert (found["value"], found["unit"]) == (pytest.approx(math.degrees(math.atan(0.08 / 1.5))), "deg")
    with pytest.raises(OutOfRange, match="half_arc_deg: 200 deg"):
        compute("circular_error", ["half_arc_deg=200"])


def test_a_list_where_one_number_is_taken_gives_one_value_for_each() -> None:
    found = compute("pendulum_length", ["beats_per_hour=3600,7200"])

    # Derived: twice the beats, a quarter of the length
    assert found["values"][0] == pytest.approx(4 * found["values"][1])
    assert found["assumed"] == {"g_m_per_s2": 9.80665}  # Derived: standard gravity is the default


def test_lists_and_words_go_where_a_formula_takes_them() -> None:
    found = compute("allan", ["kind=adev", "frequency=892,809,823,798,671,644,883,903,677", "taus=1,2"])

    # Source: NIST SP 1065 tables 29 and 30, p. 107.
    assert found["values"] == pytest.approx([91.22945, 115.8082], rel=1e-6)


def test_several_returns_come_by_name_each_with_its_unit() -> None:
    found = compute("circle_fit", ["x_m=1,0,-1,0", "y_m=0,1+-0.01,0,-1"])

    assert found["values"]["radius_m"] == pytest.approx(1.0)
    assert found["unit"]["centre_x_m"] == "m"
    # Derived: one of four points carries a quarter of its error
    assert found["u"]["radius_m"] == pytest.approx(0.0025, rel=0.01)


@pytest.mark.parametrize(
    ("name", "given", "field"),
    [
        ("pendulum_length", [], "beats_per_hour"),
        ("pendulum_length", ["speed=3"], "speed"),
        ("pendulum_length", ["beats_per_hour=fast"], "beats_per_hour"),
        ("pendulum_period", ["length_m=3kg"], "length_m"),
        ("beats_per_hour", ["wheels=64.5", "pinions=8", "escape_count=30"], "wheels"),
        ("pendulum_length", ["beats_per_hour"], "beats_per_hour"),
        ("pendulum_length", ["beats_per_hour=1", "beats_per_hour=2"], "beats_per_hour"),
    ],
)
def test_what_cannot_be_computed_is_refused_by_its_field(name: str, given: list[str], field: str) -> None:
    with pytest.raises(BadInput) as refused:
        compute(name, given)

    assert refused.value.field == field


def test_a_name_that_is_nearly_right_gets_a_hint() -> None:
    with pytest.raises(NotFound, match="pendulum_length"):
        show_formula("pendulum_lenght")


@pytest.mark.parametrize(
    "name", ["pendulum_period", "poise_rate", "spring_stiffness", "barrel_turns", "density", "press_fit_pressure"]
)
def test_the_uncertainty_agrees_with_many_small_draws(name: str) -> None:
    """First order against a direct spread: two inputs moved by their u one at a time, added as squares."""
    page = pages()[name]
    values = {
        "pendulum_period": {"length_m": 0.25, "half_arc_rad": 0.05},
        "poise_rate": {"moment_kg_m": 4e-12, "stiffness_n_m_per_rad": 3e-7, "half_arc_rad": 2.6},
        "spring_stiffness": {"modulus_pa": 2e11, "height_m": 1e-3, "thickness_m": 1e-4, "length_m": 0.1},
        "barrel_turns": {"barrel_m": 0.042, "arbor_m": 0.014, "thickness_m": 4e-4, "length_m": 1.5},
        "density": {"air_kg": 0.0234, "water_kg": 0.0206},
        "press_fit_pressure": {"interference_m": 6e-6, "outside_m": 4e-3, "bore_m": 1.3e-3},
    }[name]
    typed = [
        f"{key.replace('_rad', '_deg') if key.endswith('_rad') and 'per_rad' not in key else key}="
        f"{math.degrees(value) if key == 'half_arc_rad' else value!r}+-"
        f"{(math.degrees(value) if key == 'half_arc_rad' else value) * 1e-3!r}"
        for key, value in values.items()
    ]
    total = 0.0
    for key, value in values.items():
        above, below = (
            page.function(**{**values, key: value * 1.0005}),
            page.function(**{**values, key: value * 0.9995}),
        )
        total += (above - below) ** 2

    # Derived: central differences, as the GUM has it
    assert compute(name, typed)["u"] == pytest.approx(math.sqrt(total), rel=1e-3)


def test_the_handbook_speaks_without_the_marks_of_the_program() -> None:
    titles = [one["title"] for one in list_formulas()["formulas"]]

    assert not [one for one in titles if "`" in one]
    assert any("“beats per turn” read the other way" in one for one in titles)


def test_a_parameter_is_labelled_in_words_with_its_range_in_units_of_the_bench() -> None:
    labels = [parameter_label(one) for page in list_formulas()["formulas"] for one in page["parameters"]]
    thickness = parameter_label({"name": "thickness_m", "unit": "m", "low": 1e-6, "high": 0.01})
    heat = parameter_label({"name": "rise_per_k", "unit": "1/K", "low": 1e-9, "high": 0.01})

    assert thickness == "Thickness, in m; 1 µm to 10 mm"
    assert heat == "Rise, in 1/K; 10⁻⁹ to 0.01"
    assert not [one for one in labels if "_" in one or re.search(r"\de[-+]?\d", one)]
