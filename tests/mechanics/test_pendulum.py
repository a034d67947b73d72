"""Pendulums: length, period, circular error, regulation, suspension, place, warmth, air."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.special import ellipk

from underdial.errors import OutOfRange
from underdial.mechanics import air_on_pendulum, compensation, gravity, heat_on_pendulum, materials
from underdial.mechanics.circular_error import (
    circular_error_s_per_day,
    circular_loss_s_per_day,
    circular_series_ratio,
    period_ratio,
)
from underdial.mechanics.compound_pendulum import (
    compound_length_m,
    cylinder_gyration_m,
    disc_gyration_m,
    equivalent_length_m,
    sphere_gyration_m,
)
from underdial.mechanics.pendulum import beats_per_hour, gravity_m_per_s2, length_m, period_s
from underdial.mechanics.pendulum_regulation import (
    added_weight_rate_s_per_day,
    added_weight_ratio,
    length_change_m,
    length_change_rate_s_per_day,
    nut_s_per_day_per_turn,
    right_length_m,
)  # fmt: skip
from underdial.mechanics.suspension import suspension_period_s, turning_depth_m

G = 9.80665
LENGTHS = st.floats(0.02, 20.0)
ARCS = st.floats(0.0, 1.5)


@given(st.floats(100, 20000), st.floats(9.7, 9.9))
def test_beats_and_length_are_each_others_inverse(beats: float, g: float) -> None:
    assert beats_per_hour(length_m=length_m(beats_per_hour=beats, g_m_per_s2=g), g_m_per_s2=g) == pytest.approx(
        beats, rel=1e-12
    )


@given(LENGTHS, st.floats(1.1, 9.0))
def test_period_goes_as_the_root_of_the_length(length: float, factor: float) -> None:
    assert period_s(length_m=length * factor) == pytest.approx(math.sqrt(factor) * period_s(length_m=length), rel=1e-12)


@given(LENGTHS, st.floats(0.001, 1.5))
def test_gravity_comes_back_from_the_period(length: float, arc: float) -> None:
    period = period_s(length_m=length, g_m_per_s2=9.81, half_arc_rad=arc)

    # Derived: the gravity put in
    assert gravity_m_per_s2(length_m=length, period_s=period, half_arc_rad=arc) == pytest.approx(9.81, rel=1e-12)


def test_the_mean_that_gives_the_period_ends_for_every_arc() -> None:
    """Halving until nothing moves would hang where two neighbouring numbers change places."""
    ratios = [period_ratio(half_arc_rad=3.1 * k / 20000) for k in range(20001)]

    # Derived: a wider swing takes longer
    assert all(first <= second + 1e-15 for first, second in itertools.pairwise(ratios))


@given(st.floats(0.0, 3.1))
def test_the_period_is_that_of_the_elliptic_integral(arc: float) -> None:
    # Derived: scipy's complete integral as an independent method.
    assert period_ratio(half_arc_rad=arc) == pytest.approx(2 / math.pi * ellipk(math.sin(arc / 2) ** 2), rel=1e-12)


def test_the_period_is_that_of_the_motion_itself() -> None:
    arc = 0.5

    def crossing(t: float, y: list[float]) -> float:
        return y[0]

    crossing.terminal, crossing.direction = True, -1  # type: ignore[attr-defined]
    quarter = solve_ivp(
        lambda t, y: [y[1], -math.sin(y[0])], (0, 10), [arc, 0.0], events=crossing, rtol=1e-11, atol=1e-12
    ).t_events[0][0]

    # Derived: four quarters of the swing, integrated.
    assert 4 * quarter / (2 * math.pi) == pytest.approx(period_ratio(half_arc_rad=arc), rel=1e-8)


@given(st.floats(0.0, 0.35))
def test_the_series_keeps_within_its_stated_error(arc: float) -> None:
    # Derived: the next term
    assert abs(circular_series_ratio(half_arc_rad=arc) - period_ratio(half_arc_rad=arc)) <= 1.8e-5 * arc**8 + 1e-14


@given(ARCS, st.floats(0.001, 0.5))
def test_a_wider_swing_loses_more_and_the_two_forms_belong_together(arc: float, more: float) -> None:
    rate, loss = circular_error_s_per_day(half_arc_rad=arc), circular_loss_s_per_day(half_arc_rad=arc)

    assert circular_error_s_per_day(half_arc_rad=arc + more) < rate <= 0 <= loss
    # Derived: (1 + rate/86400)(1 + loss/86400) = 1.
    assert (1 + rate / 86400) * (1 + loss / 86400) == pytest.approx(1.0, abs=1e-12)


def test_a_bracket_clock_loses_ten_seconds_at_two_and_a_half_degrees() -> None:
    # Derived: by a separate trial of the same laws: 2.5 deg is -10.28 s/d, and 0.82 s/d for each tenth of a degree.
    assert circular_error_s_per_day(half_arc_rad=math.radians(2.5)) == pytest.approx(-10.28, abs=0.005)
    assert circular_error_s_per_day(half_arc_rad=math.radians(2.55)) - circular_error_s_per_day(
        half_arc_rad=math.radians(2.45)
    ) == pytest.approx(-0.82, abs=0.005)


@given(LENGTHS, st.floats(-500, 500))
def test_a_change_of_length_for_a_rate_gives_that_rate(length: float, rate: float) -> None:
    change = length_change_m(length_m=length, rate_s_per_day=rate)

    assert length_change_rate_s_per_day(length_m=length, change_m=change) == pytest.approx(rate, abs=1e-6)


@given(LENGTHS, st.floats(-600, 600))
def test_the_right_length_brings_a_clock_to_time(length: float, rate: float) -> None:
    beats_now, right = beats_per_hour(length_m=length), right_length_m(length_m=length, rate_s_per_day=rate)

    # Derived: a clock with this rate counts 1 + rate/86400 of the beats it should.
    assert beats_per_hour(length_m=right) == pytest.approx(beats_now / (1 + rate / 86400), rel=1e-12)


def test_a_nut_turns_as_the_bench_knows() -> None:
    # Derived: by a separate trial of the same laws: half a millimetre is 21.7 s/d on a seconds pendulum, 86.4 at a
    # quarter metre.
    assert nut_s_per_day_per_turn(length_m=0.994, pitch_m=0.5e-3) == pytest.approx(21.7, abs=0.05)
    assert nut_s_per_day_per_turn(length_m=0.25, pitch_m=0.5e-3) == pytest.approx(86.4, abs=0.01)
    assert right_length_m(length_m=0.25, rate_s_per_day=-300) == pytest.approx(0.248267, abs=1e-6)


@given(st.floats(1e-6, 0.01), st.floats(0.02, 0.98))
def test_a_weight_for_a_rate_gives_that_rate(added: float, depth: float) -> None:
    rate = added_weight_rate_s_per_day(added_kg=added, bob_kg=1.0, depth_ratio=depth)

    assert rate > 0
    # Derived: the weight put in; digits lost to a small rate
    assert added_weight_ratio(rate_s_per_day=rate, depth_ratio=depth) == pytest.approx(added, rel=1e-5)


def test_a_weight_at_the_middle_tells_most_and_one_below_the_bob_loses() -> None:
    rates = [added_weight_rate_s_per_day(added_kg=1e-4, bob_kg=1.0, depth_ratio=k / 20) for k in range(21)]

    assert max(range(21), key=rates.__getitem__) == 10  # Derived: c (1 - c) is greatest at one half
    assert added_weight_rate_s_per_day(added_kg=1e-4, bob_kg=1.0, depth_ratio=1.2) < 0


@given(st.floats(0.05, 5.0), st.floats(0.01, 0.9))
def test_pivot_and_centre_of_oscillation_change_places(depth: float, part: float) -> None:
    gyration = part * depth
    length = equivalent_length_m(centre_depth_m=depth, gyration_m=gyration)

    assert equivalent_length_m(centre_depth_m=length - depth, gyration_m=gyration) == pytest.approx(length, rel=1e-9)


def test_a_lens_on_a_rod_swings_quicker_than_its_point() -> None:
    rod, lens = 0.12, 3.0
    length = compound_length_m([rod, lens], [0.497, 0.994], [0.994 / math.sqrt(12), 0.0])

    # Derived: by a separate trial: a point lens of 3 kg at 0.994 m on a rod of 0.12 kg as long: 1.99383 s.
    assert period_s(length_m=length) == pytest.approx(1.99383, abs=1e-5)
    assert (
        compound_length_m([rod, lens], [0.497, 0.994], [0.994 / math.sqrt(12), disc_gyration_m(diameter_m=0.2)])
        > length
    )


def test_moments_of_bodies_agree_with_integrals() -> None:
    disc = quad(lambda r: 2 * r**3, 0, 1)[0]
    ball = quad(lambda z: 0.75 * (1 - z * z) * (z * z + (1 - z * z) / 4), -1, 1)[0]

    assert disc_gyration_m(diameter_m=2.0) ** 2 == pytest.approx(disc)  # Derived: ring by ring
    assert sphere_gyration_m(diameter_m=2.0) ** 2 == pytest.approx(ball)  # Derived: slice by slice
    assert cylinder_gyration_m(diameter_m=0.0, height_m=1.0) == pytest.approx(1 / math.sqrt(12))  # Derived: a thin rod


def test_a_body_that_does_not_hang_is_refused() -> None:
    with pytest.raises(OutOfRange):
        compound_length_m([1.0, 3.0], [0.3, -0.2], [0.0, 0.0])


def _on_a_strip(thickness: float, mass: float = 3.0, depth: float = 0.9) -> float:
    return suspension_period_s(
        mass_kg=mass,
        centre_depth_m=depth,
        gyration_m=0.1,
        strip_length_m=0.02,
        strip_width_m=0.012,
        strip_thickness_m=thickness,
    )


def test_a_limp_strip_is_a_hinge_at_the_chops_and_a_stiff_one_turns_lower() -> None:
    hinge = period_s(length_m=equivalent_length_m(centre_depth_m=0.92, gyration_m=0.1))

    assert _on_a_strip(5e-6) == pytest.approx(hinge, rel=2e-3)  # Derived: a thread bends at its upper end
    assert _on_a_strip(2e-4) < _on_a_strip(1e-4) < _on_a_strip(5e-5)


@given(st.floats(3e-5, 2e-4), st.floats(0.5, 10.0), st.floats(0.3, 2.0))
def test_a_bob_on_a_strip_keeps_time_as_if_hung_where_the_strip_pulls(
    thickness: float, mass: float, depth: float
) -> None:
    q = math.sqrt(mass * G / (205e9 * 0.012 * thickness**3 / 12))
    strip = {"strip_length_m": 0.02, "strip_width_m": 0.012, "strip_thickness_m": thickness}
    # The line of force passes the bob; along the strip its distance u obeys u'' = q^2 u, at the rod u' = -u/depth.
    sinh, cosh = math.sinh(q * 0.02), math.cosh(q * 0.02)
    point = (cosh + sinh / (q * depth)) / (sinh + cosh / (q * depth)) / q
    swing = suspension_period_s(mass_kg=mass, centre_depth_m=depth, gyration_m=0.0, **strip)

    # Derived: by the line of force, as above
    assert swing == pytest.approx(period_s(length_m=depth + 0.02 - point), rel=1e-8)
    # Derived: its limit for a long rod
    assert turning_depth_m(weight_n=mass * G, **strip) == pytest.approx(point, rel=2 / (q * depth))


@given(st.floats(0, 89), st.floats(0.5, 1))
def test_gravity_grows_towards_the_poles_and_falls_with_height(latitude: float, step: float) -> None:
    here = gravity.normal_gravity_m_per_s2(latitude_rad=math.radians(latitude))

    assert gravity.normal_gravity_m_per_s2(latitude_rad=math.radians(latitude + step)) > here
    assert gravity.normal_gravity_m_per_s2(latitude_rad=-math.radians(latitude)) == pytest.approx(here)
    assert gravity.normal_gravity_m_per_s2(latitude_rad=math.radians(latitude), height_m=1000) < here


@given(st.floats(-80, 80), st.floats(-80, 80))
def test_a_clock_taken_there_and_back_keeps_its_rate(here: float, there: float) -> None:
    out = gravity.move_rate_s_per_day(from_latitude_rad=math.radians(here), to_latitude_rad=math.radians(there))
    back = gravity.move_rate_s_per_day(from_latitude_rad=math.radians(there), to_latitude_rad=math.radians(here))

    # Derived: ratios of roots of gravity
    assert (1 + out / 86400) * (1 + back / 86400) == pytest.approx(1.0, abs=1e-12)


# Derived: by a separate trial, seconds a day for each kelvin.
@pytest.mark.parametrize(("rod", "rate"), [("steel", -0.497), ("brass", -0.816), ("wood", -0.173), ("invar", -0.052)])
def test_rods_lose_with_warmth_as_the_table_says(rod: str, rate: float) -> None:
    assert heat_on_pendulum.temperature_rate_s_per_day_per_k(
        expansion_per_k=materials.material(rod).expansion_per_k
    ) == pytest.approx(rate, abs=0.001)


def test_the_air_takes_six_milliseconds_a_day_for_each_millibar() -> None:
    per_mbar = 100 * air_on_pendulum.barometric_rate_s_per_day_per_pa(air_kg_per_m3=1.2, bob_kg_per_m3=8500)

    # Derived: by a separate trial of the same laws: buoyancy alone; with the air that is dragged along half as much
    # again.
    assert per_mbar == pytest.approx(-0.0060, abs=0.0001)
    assert 100 * air_on_pendulum.barometric_rate_s_per_day_per_pa(
        air_kg_per_m3=1.2, bob_kg_per_m3=8500, entrained_ratio=1.5
    ) == pytest.approx(-0.0090, abs=0.0002)


@given(st.floats(0.2, 2.0), st.floats(1e-5, 1.3e-5), st.floats(2.5e-5, 3.2e-5))
def test_a_compensating_tube_leaves_no_growth(rod: float, steel: float, zinc: float) -> None:
    tube = compensation.compensating_tube_m(
        [rod], [steel], [], [], tube_expansion_per_k=zinc, sleeve_expansion_per_k=steel
    )

    # Derived: what it is for
    assert compensation.growth_m([rod, tube, -tube], [steel, steel, zinc], 20) == pytest.approx(0.0, abs=1e-12)
