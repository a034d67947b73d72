"""The oscillator's balance of gain and loss against bracketing, limits and hand figures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from tests.mechanics.cases import NAMES, random_table, table
from underdial.mechanics.energy_balance import predict
from underdial.mechanics.ring_down import ring_down_s, swing_over_time_rad
from underdial.mechanics.swing_balance import (
    free_decay_q_ratio,
    least_escape_torque_n_m,
    loss_without_train_j,
    steady_amplitude_rad,
    swing,
)
from underdial.mechanics.swing_rate import rate_parts_s_per_day, rate_s_per_day

seeds = st.integers(min_value=0, max_value=2**32 - 1)
DEGREE = math.pi / 180.0


@given(name=st.sampled_from(NAMES), seed=seeds)
@settings(max_examples=60, deadline=None)
def test_newton_from_above_finds_what_bracketing_finds(name: str, seed: int) -> None:
    layout, values = random_table(name, np.random.default_rng(seed), draws_count=1)
    one = swing(layout, values, layout.positions[0])
    torque = predict(layout, values).escape_torque_n_m
    if torque[0] <= 0.0:
        return

    def excess(A: float) -> float:
        at = np.array([A])
        train = torque * (one.rest_rad * (at - one.impulse_ends_rad) - one.gain_rad)
        return float((loss_without_train_j(one, at) + train)[0])

    expected = brentq(excess, 1e-12, 50.0, xtol=1e-15, rtol=1e-14)

    # Derived: both are exact up to rounding.
    assert steady_amplitude_rad(one, torque)[0] == pytest.approx(expected, rel=1e-11)


@given(name=st.sampled_from(NAMES), seed=seeds)
@settings(max_examples=60, deadline=None)
def test_the_least_torque_keeps_the_least_swing(name: str, seed: int) -> None:
    layout, values = random_table(name, np.random.default_rng(seed), draws_count=8)
    for place in layout.positions:
        one = swing(layout, values, place)
        least = least_escape_torque_n_m(one)
        known = np.isfinite(least)

        assert np.allclose(steady_amplitude_rad(one, least)[known], one.least_rad[known], rtol=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_more_torque_swings_wider(name: str) -> None:
    layout, values = table(name, draws_count=20)
    one = swing(layout, values, layout.positions[0])
    torque = predict(layout, values).escape_torque_n_m * np.linspace(0.2, 2.0, 20)

    assert (np.diff(steady_amplitude_rad(one, torque)) > 0.0).all()


def test_a_pendulum_with_damping_alone_keeps_its_quality_at_every_swing() -> None:
    layout, values = table("weight_regulator")
    values[layout.row("quadratic_air_loss_ratio")] = 0.0
    one = swing(layout, values, layout.positions[0])

    # Derived: without other losses the quality is the linear one, 4000 in this family.
    assert free_decay_q_ratio(layout, values, one)[0] == pytest.approx(4000.0, rel=1e-12)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("share", [0.0, 0.5, 0.9])
def test_the_ring_down_of_a_push_agrees_with_the_averaged_motion(name: str, share: float) -> None:
    layout, values = table(name)
    one = swing(layout, values, layout.positions[0])
    torque = share * least_escape_torque_n_m(one)

    time = ring_down_s(layout, values, one, torque)[0]
    path = swing_over_time_rad(
        layout,
        values,
        one,
        escape_torque_n_m=torque,
        start_rad=values[layout.row("start_amplitude_rad")],
        times_s=np.array([0.0, time]),
    )

    # Derived: the same law by Runge-Kutta steps.
    assert path[-1, 0] == pytest.approx(one.least_rad[0], rel=1e-4)


def test_a_push_dies_in_half_a_minute_in_a_balance_and_in_half_an_hour_in_a_longcase() -> None:
    times = {}
    for name in ("open_spring_balance_30h", "english_longcase"):
        layout, values = table(name)
        values[layout.row("full_torque_n_m")] *= 0.1 if name.startswith("open") else 0.4
        times[name] = predict(layout, values).stop_s[0, 0]

    # Source: docs/explanation/model.md, section 5: half a minute at most, and 26 to 36 min for the longcase at 0.3 to
    # 0.4.
    assert 1.0 < times["open_spring_balance_30h"] < 40.0
    assert 20.0 * 60.0 < times["english_longcase"] < 60.0 * 60.0


def test_poise_loses_its_hold_on_the_rate_near_two_hundred_and_twenty_degrees() -> None:
    layout, values = table("open_spring_balance_30h", draws_count=3)
    values[layout.row("poise_torque_n_m")] = 4e-8
    values[layout.row("poise_angle_rad")] = math.pi
    one = swing(layout, values, layout.positions[0])
    at = np.array([90.0, 219.54, 300.0]) * DEGREE

    poise = rate_parts_s_per_day(layout, values, one, escape_torque_n_m=np.zeros(3), amplitude_rad=at)["poise"]

    # Derived: J1 vanishes at 3.83171 rad = 219.54 deg; below it a heavy point that hangs low gains, above it loses.
    assert poise[1] == pytest.approx(0.0, abs=0.01)
    assert poise[0] > 0.0 > poise[2]
    # Derived: 86400 x 4e-8/2.302381e-5 x J1(1.5708)/1.5708 = 86400 x 1.737332e-3 x 0.566824/1.570796.
    assert poise[0] == pytest.approx(54.166, abs=0.01)


def test_circular_error_at_two_and_a_half_degrees_is_ten_seconds_a_day() -> None:
    layout, values = table("english_longcase")
    one = swing(layout, values, layout.positions[0])

    parts = rate_parts_s_per_day(
        layout, values, one, escape_torque_n_m=np.zeros(1), amplitude_rad=np.array([2.5 * DEGREE])
    )

    # Derived: -86400 (A^2/16 - A^4/3072 ...) with A = 0.0436332: -10.28 s/day.
    assert parts["circular"][0] == pytest.approx(-10.28, abs=0.005)


def test_a_recoil_clock_gains_with_more_torque() -> None:
    layout, values = table("american_eight_day_pendulum", draws_count=2)
    one = swing(layout, values, layout.positions[0])
    torque = predict(layout, values).escape_torque_n_m * np.array([0.6, 1.0])

    rate = rate_s_per_day(
        layout, values, one, escape_torque_n_m=torque, amplitude_rad=steady_amplitude_rad(one, torque)
    )

    assert rate[1] > rate[0]


def test_friction_alone_does_not_shift_the_rate_in_first_order() -> None:
    layout, values = table("pin_pallet_alarm", draws_count=2)
    values[layout.row("friction_torque_n_m"), 1] = 1e-7
    one = swing(layout, values, layout.positions[0])

    rate = rate_s_per_day(layout, values, one, escape_torque_n_m=np.full(2, 4e-5), amplitude_rad=np.full(2, 3.0))

    assert rate[0] == rate[1]


def test_a_bent_staff_puts_the_balance_out_of_beat_upright_and_not_lying_down() -> None:
    layout, values = table("open_spring_balance_30h")
    values[layout.row("staff_offset_m")] = 4e-5
    values[layout.row("staff_angle_rad")] = 0.5 * math.pi

    beat = predict(layout, values).beat_angle_rad[:, 0]

    # Derived: weight 0.01765197 N times 0.04 mm over 2.302381e-5 N m/rad, the heavy side at three pulled down
    # clockwise.
    assert beat[0] == pytest.approx(0.01765197 * 4e-5 / 2.302381e-5, rel=1e-6)
    assert beat[1] == 0.0
