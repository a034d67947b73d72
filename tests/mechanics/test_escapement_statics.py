"""Escapements, cones and fusee by hand: forces on a wedge, a swing with a stiffer end, a phase that is lost."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from underdial.mechanics import (
    density,
    escapement_action,
    escapement_rate,
    fusee,
    gravity,
    pivot_friction,
    pivot_hole,
    rate_variation,
    timing_bounds,
    torsion_pendulum,
)


@given(slope=st.floats(0.05, 3.0), friction=st.floats(0.0, 0.3))
def test_an_impulse_face_passes_on_what_its_forces_do(slope: float, friction: float) -> None:
    lean = math.atan(slope)
    # Derived: a normal force of one on a face at this angle, with friction along it against the sliding
    driving = math.sin(lean) + friction * math.cos(lean)
    driven = math.cos(lean) - friction * math.sin(lean)

    found = escapement_action.impulse_efficiency_ratio(
        lift_rad=0.1 * slope, wheel_angle_rad=0.1, friction_ratio=friction
    )

    assert found == pytest.approx(driven * slope / driving, rel=1e-9)  # Derived: work out over work in


def test_a_face_too_steep_for_its_friction_passes_on_nothing() -> None:
    # Derived: friction of 1 on a slope of 2: the force leans beyond square to the pallet's way
    assert escapement_action.impulse_efficiency_ratio(lift_rad=0.2, wheel_angle_rad=0.1, friction_ratio=1.0) == 0.0


def test_draw_and_unlocking_by_the_forces_on_a_locking_face() -> None:
    held = {"tooth_force_n": 0.02, "arm_m": 3e-3, "draw_rad": math.radians(12.0), "friction_ratio": 0.15}

    # Derived: tan 12 deg = 0.212557; (0.212557 - 0.15)/(1 + 0.15 x 0.212557) = 0.060624, times 60 uN m
    assert escapement_action.draw_torque_n_m(**held) == pytest.approx(3.6374e-6, rel=1e-4)
    # Derived: (0.212557 + 0.15)/(1 - 0.15 x 0.212557) = 0.374497, times 60 uN m
    assert escapement_action.unlocking_torque_n_m(**held) == pytest.approx(2.24698e-5, rel=1e-4)


def test_shares_of_drop_impulse_and_unlocking_and_the_turn_of_a_recoil() -> None:
    # Derived: 0.84 x 0.62 - 0.09
    assert escapement_action.escapement_efficiency_ratio(
        drop_ratio=0.16, impulse_efficiency_ratio=0.62, unlocking_ratio=0.09
    ) == pytest.approx(0.4308)
    # Derived: 0.02 x 0.7 x tan 20 deg = 0.014 x 0.363970
    assert escapement_action.recoil_wheel_angle_rad(
        overswing_rad=0.02, arm_over_radius_ratio=0.7, face_slope_rad=math.radians(20.0)
    ) == pytest.approx(0.00509558, rel=1e-5)


@pytest.mark.parametrize("ends", [0.0, 0.02, 0.045])
def test_recoil_quickens_as_the_period_in_its_own_well_says(ends: float) -> None:
    arc, stiffness, torque = 0.05, 2.0, 1e-6

    def energy(angle: float) -> float:
        return 0.5 * stiffness * angle**2 + torque * max(0.0, angle - ends)

    def slowness(u: float) -> float:
        # Derived: time is the way over the speed, sqrt of twice what is left of the energy; the angle is arc sin u
        return arc * math.cos(u) / math.sqrt(2.0 * (energy(arc) - energy(arc * math.sin(u))))

    bend = math.asin(ends / arc)
    quarter = sum(quad(slowness, *span, epsrel=1e-12)[0] for span in ((0.0, bend), (bend, math.pi / 2.0 - 1e-9)))
    gains = 86400.0 * (math.pi / 2.0 / math.sqrt(stiffness) / (quarter + 1e-9 / math.sqrt(stiffness)) - 1.0)

    found = escapement_rate.recoil_rate_s_per_day(
        recoil_torque_n_m=torque, ends_rad=ends, stiffness_n_m_per_rad=stiffness, half_arc_rad=arc
    )

    assert gains > 0.0
    assert found == pytest.approx(gains, rel=1e-3)  # Derived: the same to first order in the torque


@pytest.mark.parametrize("begins", [-0.35, -0.1, 0.2])
def test_a_lever_picked_up_before_the_middle_costs_phase(begins: float) -> None:
    arc, inertia = 3.2, 1e-5
    phase = math.asin(begins / arc)
    # Derived: the speed falls to 1/(1 + kappa) at the same place, so the tangent of the phase grows by as much; that
    # is gained or lost once in each half swing of half a turn
    moved = math.atan(math.tan(phase) * (1.0 + inertia)) - phase

    found = escapement_rate.lever_pick_up_rate_s_per_day(inertia_ratio=inertia, begins_rad=begins, half_arc_rad=arc)

    assert found == pytest.approx(86400.0 * moved / math.pi, rel=1e-4)  # Derived: the phase moved, once in pi
    assert math.copysign(1.0, found) == math.copysign(1.0, begins)


def test_a_fusee_is_a_lever_and_its_unevenness_the_largest_over_the_smallest() -> None:
    radius = fusee.radius_m(barrel_torque_n_m=0.8, barrel_radius_m=0.02, fusee_torque_n_m=0.5)

    assert radius == pytest.approx(0.0125)  # Derived: 0.8 N m at 20 mm pull 40 N; 0.5 N m from 40 N needs 12.5 mm
    # Derived: the same lever read the other way
    assert fusee.torque_n_m(barrel_torque_n_m=0.8, barrel_radius_m=0.02, fusee_radius_m=radius) == pytest.approx(0.5)
    # Derived: products 10, 11 and 9.9: 11 over 9.9
    assert fusee.unevenness_ratio([1.0, 0.8, 0.66], [0.010, 0.01375, 0.015]) == pytest.approx(11.0 / 9.9)


def test_gravity_falls_with_height_by_the_free_air_gradient() -> None:
    def at(height_m: float) -> float:
        return gravity.normal_gravity_m_per_s2(latitude_rad=math.radians(45.0), height_m=height_m)

    # Derived: 2 g/a (1 + f + m - 2 f/2) with g 9.80620, a 6 378 137 m, m 0.0034498: 3.0855e-6 for a metre
    assert (at(0.0) - at(100.0)) / 100.0 == pytest.approx(3.0855e-6, rel=2e-4)


def test_a_gram_in_a_cubic_centimetre() -> None:
    assert density.density_of_mass_kg_per_m3(mass_kg=8.5e-3, volume_m3=1e-6) == pytest.approx(
        8500.0
    )  # Derived: 8.5 g in 1 cm3


def test_a_narrow_cup_holds_a_round_tip_harder_and_lets_it_shake_less() -> None:
    narrow = math.radians(30.0)

    hung = pivot_friction.cone_ring_torque_n_m(force_n=0.02, radius_m=2e-4, half_angle_rad=narrow, friction_ratio=0.15)
    shake = pivot_hole.cone_side_shake_m(end_shake_m=1e-4, half_angle_rad=narrow)

    # Derived: the wall presses with 0.02 N / sin 30 deg = 0.04 N at 0.2 mm x cos 30 deg = 0.173205 mm
    assert hung == pytest.approx(0.15 * 0.04 * 1.73205e-4, rel=1e-5)
    # Derived: a wall of 30 deg to the axis stands back by tan 30 deg = 0.577350 of the way along it
    assert shake == pytest.approx(0.577350e-4, rel=1e-5)


def test_a_weight_stiffens_the_strip_it_hangs_by() -> None:
    strip = {"shear_modulus_pa": 41e9, "width_m": 1e-3, "thickness_m": 1e-4, "length_m": 0.1}

    bare = torsion_pendulum.strip_stiffness_n_m_per_rad(**strip)
    loaded = torsion_pendulum.strip_stiffness_n_m_per_rad(weight_n=2.0, **strip)

    # Derived: 41e9 x 1e-3 x 1e-12 / 0.3 x (1 - 0.063)
    assert bare == pytest.approx(1.280567e-4, rel=1e-6)
    # Derived: threads across the strip, each of its share of the pull, lean by y over the length and turn it back at y
    threads = quad(lambda y: 2.0 / 1e-3 * y * y / 0.1, -0.5e-3, 0.5e-3)[0]
    assert loaded - bare == pytest.approx(threads, rel=1e-9)


def test_a_torsion_clock_that_gains_wants_a_thinner_strip() -> None:
    thinner = torsion_pendulum.thickness_for_rate_ratio(rate_s_per_day=60.0)

    # Derived: 1 - 2/3 x 60/86400 + 5/9 x (60/86400)^2 = 1 - 4.6296e-4 + 2.7e-7
    assert thinner == pytest.approx(0.9995373, abs=1e-7)
    assert thinner**1.5 * (1.0 + 60.0 / 86400.0) == pytest.approx(1.0, rel=1e-12)  # Derived: beats as its 1.5th power


def test_the_first_and_last_of_twelve_beats_say_half_as_well_again() -> None:
    # Derived: sqrt(2)/11 = 0.128565 over sqrt(12/(12 x 143)) = 0.083624
    assert timing_bounds.two_ends_loss_ratio(beats_count=12.0) == pytest.approx(1.53741, rel=1e-5)


def test_the_error_of_a_slope_is_that_of_its_readings_where_they_lie_in_line() -> None:
    at = np.arange(5.0)

    slope, slope_u = rate_variation.weighted_slope(at, 3.0 * at, np.full(5, 0.5))

    assert slope == pytest.approx(3.0)  # Derived: as planted
    assert slope_u == pytest.approx(0.5 / math.sqrt(10.0))  # Derived: squares about the middle 4 + 1 + 0 + 1 + 4
