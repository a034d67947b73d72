"""The energy balance over a wind: every family, and what must hold whatever the numbers."""

from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.mechanics.cases import NAMES, random_table, table
from underdial.errors import BadInput
from underdial.mechanics.energy_balance import main_torque_at, predict, run_down
from underdial.trade.families import families

DEGREE = math.pi / 180.0
seeds = st.integers(min_value=0, max_value=2**32 - 1)


@pytest.mark.parametrize("name", NAMES)
def test_every_family_swings_as_its_published_check_says(name: str) -> None:
    layout, values = table(name)
    check = families()[name].computed

    outcome = predict(layout, values)

    # Source: the family's own `computed` record (trade/data/families.json); half a unit of its last printed digit.
    assert outcome.amplitude_full_rad[0, 0] == pytest.approx(check.half_arc_full_rad, abs=0.0051 * DEGREE)
    assert outcome.amplitude_end_rad[0, 0] == pytest.approx(check.half_arc_end_rad, abs=0.0051 * DEGREE)
    assert outcome.reserve_ratio[0, 0] == pytest.approx(check.reserve_ratio, abs=0.0051)
    assert outcome.escape_torque_n_m[0] == pytest.approx(check.escape_torque_n_m, abs=0.051e-6)


# Source: the table of typical values in docs/explanation/model.md, dial up, printed to a whole degree and a tenth.
@pytest.mark.parametrize(("name", "degrees", "reserve"), [
    ("open_spring_balance_30h", 210, 12.9), ("open_spring_balance_8d", 189, 11.8), ("pin_pallet_alarm", 200, 11.9),
])  # fmt: skip
def test_a_cone_pivot_balance_swings_wider_dial_up(name: str, degrees: float, reserve: float) -> None:
    layout, values = table(name)

    outcome = predict(layout, values)

    # Source: as above.
    assert outcome.amplitude_full_rad[1, 0] / DEGREE == pytest.approx(degrees, abs=0.51)
    assert outcome.reserve_ratio[1, 0] == pytest.approx(reserve, abs=0.051)


@pytest.mark.parametrize("name", NAMES)
def test_every_healthy_family_runs_its_full_time_and_then_runs_down(name: str) -> None:
    layout, values = table(name)

    outcome = predict(layout, values)

    assert outcome.runs_full.all()
    assert (outcome.stop_s >= layout.duration_s).all()
    assert (outcome.stop_s <= layout.duration_s * values[layout.row("available_turns_ratio")] * (1 + 1e-12)).all()


def test_torque_falls_in_a_straight_line_until_the_turns_are_used_up() -> None:
    layout, values = table("open_spring_balance_30h")
    half, past = main_torque_at(layout, values, 15 * 3600.0), main_torque_at(layout, values, 1.26 * layout.duration_s)

    # Derived: 0.33 N m times (1 + 0.55) / 2 in the middle of the wind; 1.25 times the stated turns are there.
    assert half[0] == pytest.approx(0.33 * 0.775, rel=1e-12)
    assert past[0] == 0.0


def test_a_wind_runs_down_from_the_swing_at_full_to_the_swing_at_the_end() -> None:
    layout, values = table("french_round_pendulum")
    outcome = predict(layout, values)

    wind = run_down(layout, values, times_s=np.linspace(0.0, layout.duration_s, 9))

    assert wind.amplitude_rad[0, 0, 0] == outcome.amplitude_full_rad[0, 0]
    assert wind.amplitude_rad[-1, 0, 0] == pytest.approx(outcome.amplitude_end_rad[0, 0], rel=1e-12)
    assert (np.diff(wind.amplitude_rad[:, 0, 0]) < 0.0).all()


def test_a_movement_with_too_few_turns_stops_when_they_are_used_up() -> None:
    layout, values = table("english_longcase")
    values[layout.row("available_turns_ratio")] = 0.5

    outcome = predict(layout, values)

    assert not outcome.runs_full[0, 0]
    # Derived: half the turns last half the time
    assert outcome.stop_s[0, 0] == pytest.approx(0.5 * layout.duration_s, rel=1e-12)


def test_without_torque_nothing_swings() -> None:
    layout, values = table("pin_pallet_alarm")
    values[layout.row("full_torque_n_m")] = 0.0

    outcome = predict(layout, values, hours_h=(1.0,))

    assert (outcome.amplitude_full_rad == 0.0).all()
    assert (outcome.stop_s == 0.0).all()
    assert not outcome.runs_full.any()
    assert np.isfinite(outcome.rate_at_s_per_day).all()


def test_the_same_drag_costs_more_at_the_escape_arbor_by_the_clocks_own_ratio() -> None:
    layout, values = table("english_longcase", draws_count=3)
    drag = 1e-6
    values[layout.row("drag_torque_n_m", 0), 1] += drag
    values[layout.row("drag_torque_n_m", 3), 2] += drag

    plain, great, escape = predict(layout, values).escape_torque_n_m

    # Derived: 720 to 1 by the counts 96/8 64/8 60/8; meshes and pivots on the way take a third of what the great wheel
    # loses.
    assert (plain - escape) / (plain - great) == pytest.approx(720 / 0.72, rel=0.05)


@given(name=st.sampled_from(NAMES), seed=seeds)
@settings(max_examples=40, deadline=None)
def test_more_drag_anywhere_never_raises_the_reserve(name: str, seed: int) -> None:
    rng = np.random.default_rng(seed)
    layout, values = random_table(name, rng, draws_count=8)
    worse = values.copy()
    worse[layout.row("drag_torque_n_m", int(rng.integers(layout.arbors_count)))] += (
        rng.uniform(0.0, 0.1) * values[layout.row("full_torque_n_m")]
    )

    before, after = predict(layout, values), predict(layout, worse)

    assert (after.reserve_ratio <= before.reserve_ratio * (1.0 + 1e-12)).all()
    assert (after.amplitude_full_rad <= before.amplitude_full_rad * (1.0 + 1e-12)).all()


@given(
    name=st.sampled_from(NAMES),
    seed=seeds,
    what=st.sampled_from(
        [
            "pivot_friction_ratio",
            "drop_ratio",
            "unlocking_ratio",
            "lever_inertia_ratio",
            "friction_torque_n_m",
            "quadratic_air_loss_ratio",
            "least_amplitude_rad",
        ]
    ),
)
@settings(max_examples=60, deadline=None)
def test_more_of_any_loss_never_raises_the_reserve(name: str, seed: int, what: str) -> None:
    layout, values = random_table(name, np.random.default_rng(seed), draws_count=8)
    worse = values.copy()
    worse[layout.rows(what)] = 1.2 * worse[layout.rows(what)] + (1e-8 if what == "friction_torque_n_m" else 0.0)

    before, after = predict(layout, values), predict(layout, worse)

    assert (after.reserve_ratio <= before.reserve_ratio * (1.0 + 1e-12)).all()


@given(name=st.sampled_from(NAMES), seed=seeds)
@settings(max_examples=30, deadline=None)
def test_turning_the_clock_and_its_heavy_point_together_changes_nothing(name: str, seed: int) -> None:
    layout, values = random_table(name, np.random.default_rng(seed), draws_count=4)
    if layout.oscillator != "balance":
        return
    turned = values.copy()
    turned[layout.row("poise_angle_rad")] += 0.5 * math.pi
    turned[layout.row("staff_angle_rad")] += 0.5 * math.pi

    upright, on_its_side = predict(layout, values, hours_h=(0.0,)), predict(layout, turned, hours_h=(0.0,))

    assert np.allclose(upright.rate_at_s_per_day[0, 0], on_its_side.rate_at_s_per_day[0, 1], atol=1e-8)
    assert np.allclose(upright.beat_angle_rad[0], on_its_side.beat_angle_rad[1], atol=1e-12)


@given(name=st.sampled_from(NAMES), seed=seeds, scale=st.floats(min_value=0.01, max_value=100.0))
@settings(max_examples=30, deadline=None)
def test_all_torques_and_weights_scaled_alike_leave_the_swing_alone(name: str, seed: int, scale: float) -> None:
    layout, values = random_table(name, np.random.default_rng(seed), draws_count=4)
    scaled = values.copy()
    for what in (
        "full_torque_n_m",
        "arbor_weight_n",
        "drag_torque_n_m",
        "stiffness_n_m_per_rad",
        "oscillator_weight_n",
        "friction_torque_n_m",
        "poise_torque_n_m",
    ):
        scaled[layout.rows(what)] *= scale

    before, after = predict(layout, values, hours_h=(2.0,)), predict(layout, scaled, hours_h=(2.0,))

    assert np.allclose(after.amplitude_full_rad, before.amplitude_full_rad, rtol=1e-10)
    assert np.allclose(after.reserve_ratio, before.reserve_ratio, rtol=1e-10)
    assert np.allclose(after.rate_at_s_per_day, before.rate_at_s_per_day, rtol=1e-7, atol=1e-7)


def test_a_table_of_another_movement_is_refused() -> None:
    layout, _ = table("english_longcase")
    _, other = table("carriage_platform_lever")

    with pytest.raises(BadInput, match="values"):
        predict(layout, other)


def test_the_sums_in_numpy_need_no_compiler() -> None:
    code = (
        "import sys, underdial.mechanics.energy_balance, underdial.mechanics.kernel; sys.exit('numba' in sys.modules)"
    )

    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
