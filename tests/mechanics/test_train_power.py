"""Torque through the train, forward and back, and where the power goes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.mechanics.cases import NAMES, random_table, table
from underdial.mechanics.train_power import main_torque_for, power_through, torque_along

seeds = st.integers(min_value=0, max_value=2**32 - 1)


@given(name=st.sampled_from(NAMES), seed=seeds)
@settings(max_examples=60, deadline=None)
def test_the_way_back_undoes_the_way_forward(name: str, seed: int) -> None:
    layout, values = random_table(name, np.random.default_rng(seed), draws_count=16)
    main = values[layout.row("full_torque_n_m")]
    escape = torque_along(layout, values, main)[1][-1]
    turning = escape > 0.0

    back = main_torque_for(layout, values, escape)

    assert np.allclose(back[turning], main[turning], rtol=1e-9)


@given(name=st.sampled_from(NAMES), seed=seeds)
@settings(max_examples=60, deadline=None)
def test_what_goes_in_comes_out_or_is_lost_somewhere(name: str, seed: int) -> None:
    layout, values = random_table(name, np.random.default_rng(seed), draws_count=16)
    main = values[layout.row("full_torque_n_m")]

    power = power_through(layout, values, main)

    total = (
        power.pivot_loss_ratio.sum(0) + power.drag_loss_ratio.sum(0) + power.mesh_loss_ratio.sum(0) + power.escape_ratio
    )
    turning = power.escape_ratio > 0.0
    # Derived: energy is kept, so the shares add up to one.
    assert np.allclose(total[turning], 1.0, rtol=1e-12)


def test_a_train_without_friction_multiplies_by_the_counts_alone() -> None:
    layout, values = table("english_longcase")
    values[layout.rows("pivot_friction_ratio")] = 0.0
    values[layout.rows("mesh_efficiency_ratio")] = 1.0

    escape = torque_along(layout, values, np.array([0.72]))[1][-1, 0]

    # Derived: 0.72 N m over 96/8 x 64/8 x 60/8 = 720.
    assert escape == pytest.approx(1e-3, rel=1e-12)


def test_one_arbor_by_hand() -> None:
    layout, values = table("english_longcase")
    values[layout.row("arbor_weight_n", 0)] = 0.0

    arriving, leaving = torque_along(layout, values, np.array([1.0]))

    # Derived: load 1/0.040 = 25 N on pivots of 2.2 mm at 0.15 takes 0.00825 N m; the mesh passes 0.93 of it at 8 to 96.
    assert leaving[0, 0] == pytest.approx(1.0 - 0.00825, rel=1e-12)
    assert arriving[1, 0] == pytest.approx(0.93 * (1.0 - 0.00825) / 12.0, rel=1e-12)


def test_pivots_too_rough_and_thick_lock_whatever_the_torque() -> None:
    layout, values = table("english_longcase")
    values[layout.row("pivot_friction_ratio", 3)] = 10.0

    assert np.isinf(main_torque_for(layout, values, np.array([1e-6])))[0]
    assert torque_along(layout, values, np.array([1e6]))[1][-1, 0] == 0.0
