"""Pivots, press fits, meshes, escapements, statistics."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import j1

from underdial.errors import BadInput, OutOfRange
from underdial.mechanics import (
    air_and_water,
    density,
    escapement,
    escapement_action,
    escapement_rate,
    estimation,
    line_fit,
    materials,
    pivot_friction,
    pivot_hole,
    press_fit,
    rate_statistics,
    timing_bounds,
    usual_values,
)
from underdial.mechanics.mesh import mesh_action, mesh_efficiency_ratio

SMALL = st.floats(1e-5, 3e-4)


def test_a_cone_pivot_rubs_fifty_times_more_lying_than_standing() -> None:
    weight = 1.8e-3 * 9.80665
    standing = pivot_friction.sphere_contact(radius_m=6e-5, cup_radius_m=2e-4, force_n=weight, friction_ratio=0.18)

    # Derived: by a separate trial of the same laws: 4 and 191 nN m, 1.8 GPa, a friction radius of 1.3 micrometres.
    assert standing.torque_n_m == pytest.approx(4.04e-9, rel=0.002)
    assert pivot_friction.cylinder_torque_n_m(force_n=weight, radius_m=6e-5, friction_ratio=0.18) == pytest.approx(
        1.906e-7, rel=0.001
    )
    assert standing.pressure_pa == pytest.approx(1.81e9, rel=0.01)
    assert standing.effective_radius_m == pytest.approx(1.27e-6, rel=0.01)


@settings(max_examples=30, deadline=None)
@given(SMALL, st.floats(1.2, 5), st.floats(1e-4, 1.0))
def test_pressure_under_a_ball_adds_up_to_the_load_and_its_moment_to_the_torque(
    radius: float, cup: float, force: float
) -> None:
    found = pivot_friction.sphere_contact(radius_m=radius, cup_radius_m=cup * radius, force_n=force, friction_ratio=0.2)
    a = found.contact_radius_m

    def pressure(r: float) -> float:
        return found.pressure_pa * math.sqrt(max(0.0, 1 - (r / a) ** 2))

    # Derived: Hertz's half ellipsoid, summed ring by ring (in sizes of the contact, for the quadrature's sake).
    assert quad(lambda x: 2 * math.pi * a * a * x * pressure(a * x), 0, 1)[0] == pytest.approx(force, rel=1e-6)
    assert quad(lambda x: 2 * math.pi * a**3 * x * x * 0.2 * pressure(a * x), 0, 1, epsabs=0)[0] == pytest.approx(
        found.torque_n_m, rel=1e-6
    )


@given(SMALL, st.floats(1.5, 8.0))
def test_pressure_scales_as_the_radius_to_minus_two_thirds(radius: float, factor: float) -> None:
    one = pivot_friction.sphere_contact(radius_m=radius, cup_radius_m=3 * radius, force_n=0.1).pressure_pa
    other = pivot_friction.sphere_contact(
        radius_m=factor * radius, cup_radius_m=3 * factor * radius, force_n=0.1
    ).pressure_pa

    assert pivot_friction.pressure_scaled_pa(
        pressure_pa=one, radius_m=radius, to_radius_m=factor * radius
    ) == pytest.approx(other, rel=1e-9)


def test_a_tip_larger_than_its_cup_is_refused() -> None:
    with pytest.raises(OutOfRange, match="cup_radius_m"):
        pivot_friction.sphere_contact(radius_m=3e-4, cup_radius_m=2e-4, force_n=0.02)


@given(st.floats(1e-6, 1e-2), st.floats(1e-6, 3e-4), st.floats(0, 1000), st.floats(0, 1))
def test_the_torque_needed_leaves_the_net_torque(net: float, lever: float, per_torque: float, weight: float) -> None:
    needed = pivot_friction.needed_torque_n_m(
        net_torque_n_m=net, friction_lever_m=lever, force_per_torque_per_m=per_torque, weight_n=weight
    )
    left = needed - lever * math.hypot(per_torque * needed, weight)

    assert left == pytest.approx(net, rel=1e-7, abs=1e-12)


def test_a_pivot_whose_friction_outgrows_the_torque_locks_in_words() -> None:
    with pytest.raises(OutOfRange, match="friction_lever_m"):
        pivot_friction.needed_torque_n_m(
            net_torque_n_m=0.01, friction_lever_m=0.002, force_per_torque_per_m=600, weight_n=0.1
        )


@given(st.floats(1e-6, 1e-3), st.floats(1e-4, 0.01))
def test_lean_and_clearance_give_one_another_back(clearance: float, plate: float) -> None:
    lean = pivot_hole.lean_rad(clearance_m=clearance, plate_m=plate)
    if lean > 1.0:
        return

    assert pivot_hole.clearance_m(lean_rad=lean, plate_m=plate) == pytest.approx(clearance, rel=1e-9)


def test_a_pressed_bush_comes_out_as_a_thick_ring_does() -> None:
    sizes = {"outside_m": 4.0e-3, "bore_m": 1.27e-3}
    pressure = press_fit.pressure_pa(interference_m=6e-6, **sizes)

    # Derived: Lame by hand, and a separate trial: 67 MPa, 271 N, bore closing by 1.9 micrometres, 150 MPa of hoop.
    assert pressure == pytest.approx(67.4e6, rel=0.001)
    assert press_fit.push_out_n(pressure_pa=pressure, outside_m=4e-3, plate_m=1.6e-3) == pytest.approx(271, rel=0.002)
    assert press_fit.bore_closes_m(pressure_pa=pressure, **sizes) == pytest.approx(1.9e-6, rel=0.01)
    assert press_fit.hoop_pa(pressure_pa=pressure, **sizes) == pytest.approx(150e6, rel=0.005)


@given(st.floats(1e-6, 2e-5), st.floats(1.1, 4.0))
def test_pressure_of_a_fit_is_linear_in_the_interference(interference: float, factor: float) -> None:
    one = press_fit.pressure_pa(interference_m=interference, outside_m=4e-3, bore_m=1.3e-3)

    assert press_fit.pressure_pa(interference_m=factor * interference, outside_m=4e-3, bore_m=1.3e-3) == pytest.approx(
        factor * one, rel=1e-9
    )


def test_action_wholly_past_the_centres_loses_what_sliding_loses() -> None:
    """With twelve leaves that are all flank the action lies past the centres, and the simulation has a closed form
    beside it.
    """
    sliding = 0.15 * math.pi / 2 * (1 / 48 + 1 / 6)
    bare = mesh_action(96, 12, leaf_thickness_modules=0.01, steps_count=1000)

    # Derived: friction times mean distance from the pole times the sum of curvatures; second order left out.
    assert 1 - bare.efficiency_ratio == pytest.approx(sliding, abs=0.002)
    assert bare.least_velocity_ratio == pytest.approx(1.0, abs=1e-3)  # Derived: conjugate all the way


def test_a_rounded_leaf_begins_before_the_centres_and_halves_the_sliding() -> None:
    # Derived: at best half of the pitch lies before the line of centres, and the mean distance from the pole is then a
    # half.
    sliding = 0.15 * math.pi / 2 * (1 / 48 + 1 / 6)

    # Derived: between the two
    assert sliding / 2 - 0.002 < 1 - mesh_efficiency_ratio(wheel_count=96, pinion_count=12) < sliding


# Derived: an earlier, separate simulation of the same teeth (docs/explanation/published_values.md).
@pytest.mark.parametrize(("wheel", "pinion", "efficiency"), [(60, 6, 0.952), (64, 8, 0.965), (96, 12, 0.978)])
def test_efficiency_at_the_right_depth_is_that_of_a_separate_simulation(
    wheel: int, pinion: int, efficiency: float
) -> None:
    # Derived: as told above; the two simulations step differently.
    assert mesh_efficiency_ratio(wheel_count=wheel, pinion_count=pinion) == pytest.approx(efficiency, abs=0.004)


# Derived: an earlier, separate simulation of the same teeth (docs/explanation/published_values.md).
@pytest.mark.parametrize(
    ("depth", "least", "greatest", "within"),
    [(0.0, 0.99, 1.02, 0.01), (0.5, 0.90, 1.22, 0.02), (-0.2, 0.70, 1.08, 0.01)],
)
def test_speed_of_eight_leaves_ripples_with_depth(depth: float, least: float, greatest: float, within: float) -> None:
    found = mesh_action(64, 8, depth_error_modules=depth)

    assert found.least_velocity_ratio == pytest.approx(least, abs=within)
    assert found.greatest_velocity_ratio == pytest.approx(greatest, abs=within)


@settings(max_examples=15, deadline=None)
@given(st.integers(40, 110), st.integers(6, 12), st.floats(0.02, 0.25))
def test_friction_costs_and_none_costs_nothing(wheel: int, pinion: int, friction: float) -> None:
    without, with_it = (
        mesh_action(wheel, pinion, friction_ratio=0.0),
        mesh_action(wheel, pinion, friction_ratio=friction),
    )

    assert without.efficiency_ratio == pytest.approx(1.0)
    assert 0.7 < with_it.efficiency_ratio < 1.0  # Derived: losses of a mesh stay below the friction's own size
    assert float(np.mean(with_it.velocity_ratio)) == pytest.approx(1.0)


def test_a_mesh_out_of_reach_is_refused() -> None:
    with pytest.raises(OutOfRange, match="depth_error_modules"):
        mesh_action(64, 8, depth_error_modules=2.0)


def test_pallets_of_a_seconds_clock_come_out() -> None:
    found = escapement.lay_out_pallets(escape_count=30, radius_m=0.015, span_teeth=7.5)

    # Derived: by a separate trial of the same laws: centres 21.213 mm, radii 15.589 and 14.411, face 1.289, wheel over
    # pallet 2.25.
    assert found.centre_distance_m == pytest.approx(0.021213, abs=1e-6)
    assert (found.entry.locking_radius_m, found.entry.releasing_radius_m) == (
        pytest.approx(0.015589, abs=1e-6),
        pytest.approx(0.014411, abs=1e-6),
    )
    assert found.entry.impulse_face_m == pytest.approx(0.001289, abs=1e-6)
    assert found.exit.locking_radius_m == found.entry.releasing_radius_m
    assert found.turn_ratio == pytest.approx(2.25)


@given(st.integers(12, 60), st.floats(0.005, 0.05), st.integers(2, 12), st.floats(0.2, 2.0))
def test_more_drop_makes_narrower_pallets(teeth: int, radius: float, spaces: int, drop_deg: float) -> None:
    span = spaces + 0.5
    if span > teeth / 2 - 0.5 or math.radians(drop_deg + 0.5) >= math.pi / teeth:
        return
    one = escapement.lay_out_pallets(
        escape_count=teeth, radius_m=radius, span_teeth=span, drop_rad=math.radians(drop_deg)
    )
    other = escapement.lay_out_pallets(
        escape_count=teeth, radius_m=radius, span_teeth=span, drop_rad=math.radians(drop_deg + 0.4)
    )

    assert other.width_m < one.width_m
    # Derived: right angle between tangent and radius.
    assert one.centre_distance_m**2 == pytest.approx(radius**2 + one.pallet_radius_m**2)


# Derived: each breaks one stated limit.
@pytest.mark.parametrize(
    ("given_", "field"),
    [
        ({"span_teeth": 7.0}, "span"),
        ({"kind": "grasshopper"}, "kind"),
        ({"drop_rad": 0.2}, "drop"),
        ({"lift_rad": 0.0}, "lift"),
        ({"span_teeth": 15.5}, "span"),
    ],
)
def test_pallets_that_cannot_be_are_refused_by_their_field(given_: dict[str, object], field: str) -> None:
    with pytest.raises((OutOfRange, BadInput)) as refused:
        escapement.lay_out_pallets(**{"escape_count": 30, "radius_m": 0.015, "span_teeth": 7.5, **given_})  # type: ignore[arg-type]

    assert refused.value.field == field


def _averaged(torque: float, begin: float, end: float, stiffness: float, arc: float) -> float:
    """Independent: first-order averaging by quadrature over the phase of the swing."""
    total = 0.0
    for x in np.linspace(begin, end, 20001)[:-1]:
        middle = (x + (end - begin) / 40000) / arc
        total += torque * middle / math.sqrt(1 - middle**2) / arc * (end - begin) / 20000
    return -86400 * total / (math.pi * stiffness * arc)


@settings(max_examples=8, deadline=None)
@given(st.floats(-0.4, 0.2), st.floats(0.05, 0.5))
def test_airys_rate_agrees_with_averaging_by_quadrature(begin: float, length: float) -> None:
    end = begin + length
    ours = escapement_rate.push_rate_s_per_day(
        torque_n_m=1e-6, begins_rad=begin, ends_rad=end, stiffness_n_m_per_rad=2e-5, half_arc_rad=1.5
    )

    # Derived: error of the sum over 20 000 strips
    assert ours == pytest.approx(_averaged(1e-6, begin, end, 2e-5, 1.5), rel=1e-5, abs=1e-4)


@given(st.floats(0.01, 0.5), st.floats(0.8, 4.0))
def test_a_push_even_about_the_middle_does_nothing_late_is_slow_early_is_fast(half: float, arc: float) -> None:
    def rate(begin: float, end: float) -> float:
        return escapement_rate.push_rate_s_per_day(
            torque_n_m=1e-6, begins_rad=begin, ends_rad=end, stiffness_n_m_per_rad=2e-5, half_arc_rad=arc
        )

    assert rate(-half, half) == pytest.approx(0.0, abs=1e-9)
    assert rate(0.0, half) < 0 < rate(-half, 0.0)
    assert rate(0.0, half) == pytest.approx(-rate(-half, 0.0))


def test_a_short_impulse_agrees_with_airy_and_a_swing_too_small_is_refused() -> None:
    exact = escapement_rate.push_rate_s_per_day(
        torque_n_m=1e-5, begins_rad=0.01, ends_rad=0.03, stiffness_n_m_per_rad=0.1, half_arc_rad=0.08
    )
    short = escapement_rate.short_impulse_rate_s_per_day(
        energy_j=1e-5 * 0.02, begins_rad=0.01, ends_rad=0.03, stiffness_n_m_per_rad=0.1, half_arc_rad=0.08
    )

    assert short == pytest.approx(exact, rel=0.05)  # Derived: its stated error, (a^2 + b^2)/4A^2
    with pytest.raises(OutOfRange, match="half_arc_rad"):
        escapement_rate.push_rate_s_per_day(
            torque_n_m=1e-5, begins_rad=0.01, ends_rad=0.03, stiffness_n_m_per_rad=0.1, half_arc_rad=0.02
        )


def test_a_recoil_clock_gains_with_more_torque() -> None:
    weak, strong = (
        escapement_rate.recoil_rate_s_per_day(
            recoil_torque_n_m=t, ends_rad=0.02, stiffness_n_m_per_rad=0.1, half_arc_rad=0.06
        )
        for t in (1e-5, 2e-5)
    )

    assert strong == pytest.approx(2 * weak)  # Source: Headrick: a recoil clock gains with the stronger spring
    assert weak > 0


def test_draw_of_twelve_degrees_beats_oiled_friction_and_not_a_dry_one() -> None:
    draw = math.radians(12)

    assert escapement_action.draw_torque_n_m(tooth_force_n=1.0, arm_m=1.0, draw_rad=draw, friction_ratio=0.15) > 0
    assert escapement_action.draw_torque_n_m(tooth_force_n=1.0, arm_m=1.0, draw_rad=draw, friction_ratio=0.25) < 0
    assert escapement_action.unlocking_torque_n_m(tooth_force_n=1.0, arm_m=1.0, draw_rad=draw) > math.tan(draw)


@given(st.floats(0.01, 0.1), st.floats(0.02, 0.3), st.floats(0.0, 0.4))
def test_impulse_passes_on_less_the_more_it_rubs(lift: float, wheel: float, friction: float) -> None:
    one = escapement_action.impulse_efficiency_ratio(lift_rad=lift, wheel_angle_rad=wheel, friction_ratio=friction)

    assert (
        0.0
        <= escapement_action.impulse_efficiency_ratio(
            lift_rad=lift, wheel_angle_rad=wheel, friction_ratio=friction + 0.05
        )
        <= one
        <= 1.0
    )


@given(st.floats(2000, 12000), st.floats(1e-3, 1.0))
def test_a_weighing_made_from_a_density_gives_it_back(true: float, mass: float) -> None:
    volume = mass / (true - 1.2)
    found = density.density_kg_per_m3(air_kg=volume * (true - 1.2), water_kg=volume * (true - 998.2))

    assert found == pytest.approx(true, rel=1e-9)


def test_brass_in_water_comes_out_as_brass() -> None:
    # Derived: by a separate trial of the same laws: 23.418 and 20.655 g at 20 degC, buoyancy of the air included: 8451.
    water = air_and_water.water_density_kg_per_m3(temperature_deg_c=20)
    assert density.density_kg_per_m3(air_kg=23.418e-3, water_kg=20.655e-3, water_kg_per_m3=water) == pytest.approx(
        8451, abs=1.5
    )
    with pytest.raises(OutOfRange, match="water_kg"):
        density.density_kg_per_m3(air_kg=0.01, water_kg=0.02)


@given(st.floats(0.01, 0.99))
def test_the_heavy_part_of_a_mixture_comes_back(part: float) -> None:
    mixed = density.mixture_density_kg_per_m3([7290.0, 11370.0], mass_parts=[1 - part, part])

    assert density.heavy_part_ratio(
        density_kg_per_m3=mixed, light_kg_per_m3=7290, heavy_kg_per_m3=11370
    ) == pytest.approx(part, rel=1e-9)


@given(st.floats(0, 50), st.floats(0, 1))
def test_moist_air_is_lighter_than_dry_and_dry_agrees_with_the_gas_law(temperature: float, humidity: float) -> None:
    dry = air_and_water.moist_air_density_kg_per_m3(temperature_deg_c=temperature, humidity_ratio=0)

    assert air_and_water.moist_air_density_kg_per_m3(temperature_deg_c=temperature, humidity_ratio=humidity) <= dry
    # Derived: stated error of the ideal gas
    assert dry == pytest.approx(air_and_water.dry_air_density_kg_per_m3(temperature_deg_c=temperature), rel=8e-4)


def test_water_is_heaviest_at_four_degrees() -> None:
    found = [air_and_water.water_density_kg_per_m3(temperature_deg_c=k / 10) for k in range(101)]

    assert max(range(101), key=found.__getitem__) == pytest.approx(40, abs=1)  # Source: Kell 1975: 3.98 degC


@given(st.floats(0, 120))
def test_oil_thins_between_its_two_points_as_it_warms(at: float) -> None:
    def viscosity(t: float) -> float:
        return air_and_water.oil_viscosity_cst(
            viscosity1_cst=404, temperature1_deg_c=40, viscosity2_cst=28, temperature2_deg_c=100, at_deg_c=t
        )

    assert viscosity(at + 1) < viscosity(at)
    assert viscosity(40) == pytest.approx(404)  # Derived: the first point itself


@settings(max_examples=20)
@given(st.lists(st.floats(-1, 1), min_size=12, max_size=40))
def test_every_deviation_of_a_constant_frequency_is_nought_and_scales(frequency: list[float]) -> None:
    for kind in rate_statistics.KINDS:
        base = rate_statistics.allan(kind, frequency, [1, 2])
        assert rate_statistics.allan(kind, [0.3] * 12, [1, 2]) == pytest.approx([0.0, 0.0], abs=1e-12)
        # Derived: definition of a deviation
        assert rate_statistics.allan(kind, [3 * one + 5 for one in frequency], [1, 2]) == pytest.approx(
            [3 * one for one in base], abs=1e-9
        )


def test_an_averaging_time_too_long_or_between_two_samples_is_refused() -> None:
    with pytest.raises(OutOfRange, match="taus"):
        rate_statistics.allan("adev", [1.0, 2.0, 3.0], [5])
    with pytest.raises(BadInput, match="taus"):
        rate_statistics.allan("adev", [1.0, 2.0, 3.0], [1.5])
    with pytest.raises(BadInput, match="kind"):
        rate_statistics.allan("bdev", [1.0, 2.0, 3.0], [1])


@given(st.floats(-5, 5), st.floats(-100, 100))
def test_a_line_through_points_of_a_line_is_that_line(slope: float, intercept: float) -> None:
    x = [0.5 * k for k in range(9)]
    found = line_fit.line_fit(x, [slope * one + intercept for one in x])

    assert (found.slope, found.intercept) == (pytest.approx(slope, abs=1e-9), pytest.approx(intercept, abs=1e-9))


def test_a_rate_spread_over_many_seeds_keeps_to_its_bound() -> None:
    rng = np.random.default_rng(5)
    beats = np.arange(400)
    slopes = [np.polyfit(beats, rng.normal(0, 1e-3, 400), 1)[0] * 86400 for _ in range(800)]
    bound = timing_bounds.rate_bound_s_per_day(sigma_s=1e-3, beats_count=400, beat_s=1)

    assert float(np.std(slopes)) == pytest.approx(bound, rel=0.08)  # Derived: 800 simulated records
    assert timing_bounds.beats_for_bound_count(sigma_s=1e-3, beat_s=1, rate_u_s_per_day=bound) == pytest.approx(
        400, rel=1e-6
    )


@given(st.floats(0, 10), st.floats(0, 10), st.floats(0.1, 10))
def test_three_guesses_give_a_mean_between_them(a: float, b: float, c: float) -> None:
    least, likely, most = a, a + b, a + b + c

    assert least <= estimation.three_point_mean_d(least_d=least, likely_d=likely, most_d=most) <= most
    assert least <= estimation.beta_duration(least_d=least, likely_d=likely, most_d=most)[0] <= most
    # Derived: with a weight of four both means are one formula.
    assert estimation.beta_duration(least_d=least, likely_d=likely, most_d=most)[0] == pytest.approx(
        estimation.three_point_mean_d(least_d=least, likely_d=likely, most_d=most)
    )


@given(st.floats(0.01, 0.99), st.floats(1, 100), st.floats(0.1, 50))
def test_a_promise_for_a_chance_has_that_chance(chance: float, mean: float, variance: float) -> None:
    due = estimation.due_d(probability=chance, mean_d=mean, variance_d2=variance)

    assert estimation.done_by_probability(due_d=due, mean_d=mean, variance_d2=variance) == pytest.approx(
        chance, abs=1e-9
    )


def test_materials_and_usual_spans_are_in_order() -> None:
    for one in materials.MATERIALS.values():
        assert one.expansion_low_per_k <= one.expansion_per_k <= one.expansion_high_per_k
    for name, span in usual_values.USUAL.items():
        assert span.low <= span.high, name
        assert span.source
        assert usual_values.is_usual(name, span.low)


def test_j1_has_no_sign_error_near_nought() -> None:
    from underdial.mechanics.poise import poise_factor_ratio

    assert poise_factor_ratio(half_arc_rad=0.0) == 0.5  # Derived: J1(x)/x tends to one half
    assert poise_factor_ratio(half_arc_rad=1e-6) == pytest.approx(j1(1e-6) / 1e-6)
