"""The energy balance against direct integration, and direct integration against closed forms."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ellipk, j1

from tests.mechanics.cases import NAMES, table
from underdial.errors import OutsideModel
from underdial.mechanics.energy_balance import predict, run_down
from underdial.mechanics.parameters import Array, Layout
from underdial.mechanics.ring_down import ring_down_s, swing_over_time_rad
from underdial.mechanics.swing_balance import least_escape_torque_n_m, steady_amplitude_rad, swing
from underdial.mechanics.swing_rate import rate_s_per_day
from underdial.mechanics.time_domain import Body, body_of, half_swing, steady, swings
from underdial.mechanics.train_power import main_torque_for, torque_along

DEGREE = math.pi / 180.0
PLAIN = Body(omega_rad_per_s=math.pi, stiffness_n_m_per_rad=1e-4, gravity=False)
LEVELS = ("full", "middle", "edge")


def torque_at(layout: Layout, values: Array, level: str) -> float:
    """Torque at the escape wheel fully wound, 5 % over what stops the clock, or half way between in proportion."""
    full = float(predict(layout, values).escape_torque_n_m[0])
    edge = 1.05 * float(least_escape_torque_n_m(swing(layout, values, layout.positions[0]))[0])
    return {"full": full, "middle": math.sqrt(full * edge), "edge": edge}[level]


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("name", NAMES)
def test_steady_swing_and_rate_of_every_family_agree_with_direct_integration(name: str, level: str) -> None:
    layout, values = table(name)
    torque = torque_at(layout, values, level)
    one = swing(layout, values, layout.positions[0])
    amplitude = steady_amplitude_rad(one, np.array([torque]))
    rate = rate_s_per_day(layout, values, one, escape_torque_n_m=np.array([torque]), amplitude_rad=amplitude)[0]

    direct, direct_rate = steady(body_of(layout, values[:, 0], layout.positions[0]), escape_torque_n_m=torque)

    # Derived: the two are independent; the limits are those promised, 1 % of the swing, and 3 % or 0.1 s/day of the
    # rate.
    assert amplitude[0] == pytest.approx(direct, rel=0.01)
    assert rate == pytest.approx(direct_rate, rel=0.03, abs=0.1)


@pytest.mark.parametrize("name", [one for one in NAMES if "balance" in one or "alarm" in one or "platform" in one])
def test_the_other_position_of_a_balance_agrees_too(name: str) -> None:
    layout, values = table(name)
    torque = torque_at(layout, values, "full")

    ours = steady_amplitude_rad(swing(layout, values, layout.positions[1]), np.array([torque]))[0]
    direct, _ = steady(body_of(layout, values[:, 0], layout.positions[1]), escape_torque_n_m=torque)

    # Derived: independent; 1 % of the swing.
    assert ours == pytest.approx(direct, rel=0.01)


@pytest.mark.parametrize("name", ["open_spring_balance_30h", "english_longcase", "torsion_four_hundred_day"])
def test_the_main_torque_that_just_keeps_a_clock_going_agrees(name: str) -> None:
    layout, values = table(name)
    one = swing(layout, values, layout.positions[0])
    body = body_of(layout, values[:, 0], layout.positions[0])
    least = float(one.least_rad[0])
    inverse = main_torque_for(layout, values, least_escape_torque_n_m(one))[0]

    def missing(main: float) -> float:
        escape = float(torque_along(layout, values, np.array([main]))[1][-1, 0])
        return half_swing(body, amplitude_rad=least, escape_torque_n_m=escape)[0] - least

    # Derived: the direct swing at that torque comes back to where it set out.
    assert brentq(missing, 0.7 * inverse, 1.4 * inverse, rtol=1e-8) == pytest.approx(inverse, rel=0.005)


def test_constant_friction_takes_the_same_from_every_half_swing() -> None:
    body = dataclasses.replace(PLAIN, friction_rad=0.003)

    _, at = swings(body, start_rad=1.0, torque_n_m=lambda _: 0.0, longest_s=19.5)

    # Derived: each half swing turns about +-T/k, so 2 T/k = 0.006 rad is lost.
    assert np.allclose(np.diff(at), -0.006, rtol=1e-8)


def test_damping_with_speed_takes_the_same_share_from_every_half_swing() -> None:
    body = dataclasses.replace(PLAIN, linear_q_ratio=25.0)
    zeta = 1.0 / 50.0

    _, at = swings(body, start_rad=1.0, torque_n_m=lambda _: 0.0, longest_s=9.5)

    # Derived: logarithmic decrement of half a period, pi zeta / sqrt(1 - zeta^2).
    assert np.allclose(np.log(at[:-1] / at[1:]), math.pi * zeta / math.sqrt(1.0 - zeta**2), rtol=1e-8)


def test_constant_friction_and_damping_together_follow_their_recursion() -> None:
    body = dataclasses.replace(PLAIN, linear_q_ratio=25.0, friction_rad=0.003)
    zeta = 1.0 / 50.0
    kept = math.exp(-math.pi * zeta / math.sqrt(1.0 - zeta**2))

    _, at = swings(body, start_rad=1.0, torque_n_m=lambda _: 0.0, longest_s=9.5)

    # Derived: damped swing about the shifted centre, A' = (A - f) e - f with e the share kept.
    assert np.allclose(at[1:], (at[:-1] - 0.003) * kept - 0.003, rtol=1e-8)


def test_air_drag_with_speed_squared_follows_its_exact_half_swing() -> None:
    body = dataclasses.replace(PLAIN, quadratic_air_loss_ratio=0.06)
    drag = 0.75 * 0.06

    _, at = swings(body, start_rad=1.0, torque_n_m=lambda _: 0.0, longest_s=19.5)

    # Derived: first integral of x'' = -x - q x'^2 between turning points a and b: (1 + 2qa) e^-2qa = (1 - 2qb) e^2qb.
    left, right = (
        (1 + 2 * drag * at[:-1]) * np.exp(-2 * drag * at[:-1]),
        (1 - 2 * drag * at[1:]) * np.exp(2 * drag * at[1:]),
    )
    assert np.allclose(left, right, rtol=1e-8)
    # Derived: averaged, 1/A grows by 2 x 0.06 / 2 = 0.06 a half swing (loss c k A^3 over k A); 20 half swings from 1
    # give 2.2.
    assert 1.0 / at[20] == pytest.approx(2.2, rel=2e-3)


def test_without_any_loss_nothing_drifts() -> None:
    times, at = swings(PLAIN, start_rad=1.0, torque_n_m=lambda _: 0.0, longest_s=99.5)

    # Derived: exact; an integration held to 1e-10 may leave some 1e-9 a half swing, over a hundred of them.
    assert at[-1] == pytest.approx(1.0, abs=1e-7)
    assert times[-1] / (len(times) - 1) == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize("degrees", [1.5, 5.0, 15.0, 30.0])
def test_a_pendulum_swings_slower_by_the_elliptic_integral(degrees: float) -> None:
    body = dataclasses.replace(PLAIN, gravity=True)
    amplitude = degrees * DEGREE

    _, took = half_swing(body, amplitude_rad=amplitude)

    # Derived: T / T0 = (2/pi) K(sin^2(A/2)).
    assert 86400.0 / took == pytest.approx(86400.0 * 0.5 * math.pi / ellipk(math.sin(0.5 * amplitude) ** 2), abs=1e-3)


@pytest.mark.parametrize("degrees", [90.0, 150.0, 219.54, 300.0])
def test_a_heavy_point_shifts_the_rate_by_the_bessel_function(degrees: float) -> None:
    body = dataclasses.replace(PLAIN, heavy_ratio=1e-4)
    amplitude = degrees * DEGREE

    _, took = half_swing(body, amplitude_rad=amplitude)

    # Derived: first order in the moment, d = (m g r / k) J1(A) / A, zero at 219.54 deg; second order is 1e-8 of the
    # day.
    assert 86400.0 * (1.0 / took - 1.0) == pytest.approx(86400.0 * 1e-4 * j1(amplitude) / amplitude, abs=0.01)


def test_torque_halved_at_once_takes_the_swing_down_as_directly_integrated() -> None:
    layout, values = table("open_spring_balance_30h")
    torque = 0.5 * torque_at(layout, values, "full")
    one = swing(layout, values, layout.positions[0])
    start = predict(layout, values).amplitude_full_rad[0]
    at = np.array([0.0, 10.0, 30.0, 60.0])

    averaged = swing_over_time_rad(
        layout, values, one, escape_torque_n_m=np.array([torque]), start_rad=start, times_s=at
    )
    times, amplitudes = swings(body_of(layout, values[:, 0], layout.positions[0]), start_rad=float(start[0]),
                               torque_n_m=lambda _: torque, longest_s=61.0)  # fmt: skip

    # Derived: independent; half a degree in 130.
    assert np.allclose(averaged[1:, 0], np.interp(at[1:], times, amplitudes), atol=0.5 * DEGREE)


@pytest.mark.slow
@pytest.mark.parametrize("share", [0.3, 0.4])
def test_a_push_on_a_longcase_without_enough_weight_dies_in_half_an_hour(share: float) -> None:
    layout, values = table("english_longcase")
    torque = share * torque_at(layout, values, "full")
    one = swing(layout, values, layout.positions[0])
    least = float(one.least_rad[0])

    ours = ring_down_s(layout, values, one, np.array([torque]))[0]
    times, amplitudes = swings(
        body_of(layout, values[:, 0], layout.positions[0]),
        torque_n_m=lambda _: torque,
        stop_rad=least,
        start_rad=float(values[layout.row("start_amplitude_rad"), 0]),
        longest_s=7200.0,
    )

    direct = float(np.interp(-least, -amplitudes, times))
    # Derived: independent; 1 % of the time.
    assert ours == pytest.approx(direct, rel=0.01)


@pytest.mark.slow
def test_a_wind_run_down_many_times_faster_still_follows_the_steady_swing() -> None:
    layout, values = table("open_spring_balance_30h")
    body = body_of(layout, values[:, 0], layout.positions[0])
    wind = run_down(layout, values, times_s=np.linspace(0.0, layout.duration_s, 31))
    speed = 120.0
    torque = np.interp

    times, amplitudes = swings(
        body,
        start_rad=float(wind.amplitude_rad[0, 0, 0]),
        longest_s=layout.duration_s / speed,
        torque_n_m=lambda t: float(torque(t * speed, wind.time_s, wind.escape_torque_n_m[:, 0])),
    )

    steady_swing = np.interp(times * speed, wind.time_s, wind.amplitude_rad[:, 0, 0])
    # Derived: the lag is rate of fall times the time constant, 55 deg in 900 s times some 5 to 10 s: below 0.6 deg in
    # 130.
    assert np.abs(amplitudes / steady_swing - 1.0).max() < 0.006


def test_a_swing_too_small_to_pass_the_impulse_is_refused_in_words() -> None:
    layout, values = table("open_spring_balance_30h")
    body = body_of(layout, values[:, 0], layout.positions[0])

    with pytest.raises(OutsideModel, match="comes to rest before"):
        half_swing(body, amplitude_rad=10.0 * DEGREE, escape_torque_n_m=1e-9)
