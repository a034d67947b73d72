"""The compiled kernel against the NumPy version, which was written apart from it."""

from __future__ import annotations

import numpy as np
import pytest

from tests.mechanics.cases import NAMES, random_table, table
from underdial.mechanics import energy_balance, kernel, kernel_loops, periodic_loads
from underdial.mechanics.energy_balance import Outcome
from underdial.mechanics.parameters import PARAMETERS

DRAWS = 300
HOURS = (0.0, 5.0, 24.0)


def differences(ours: Outcome, theirs: Outcome) -> dict[str, np.ndarray]:
    """Largest difference of each figure, draw by draw, over the figure or a thousandth of its largest."""
    out = {}
    for name in Outcome.__dataclass_fields__:
        a, b = np.asarray(getattr(ours, name), dtype=float), np.asarray(getattr(theirs, name), dtype=float)
        # A rate is a difference of times that are themselves known to 1e-16: its scale is the day.
        scale = 86400.0 if name.startswith("rate") else np.maximum(np.abs(b), 1e-3 * np.abs(b).max() + 1e-300)
        difference = np.abs(a - b) / scale
        out[name] = difference.reshape(-1, difference.shape[-1]).max(axis=0)
    return out


@pytest.mark.parametrize("name", NAMES)
def test_kernel_and_numpy_agree_on_random_cases_of_every_family(name: str) -> None:
    layout, values = random_table(name, np.random.default_rng(20), draws_count=DRAWS)

    compiled, plain = (
        kernel.predict(layout, values, hours_h=HOURS),
        energy_balance.predict(layout, values, hours_h=HOURS),
    )

    found = differences(compiled, plain)
    # A draw whose torque meets the need to the last digits may stop one step sooner in one of the two: counted apart.
    on_threshold = int(((found["stop_s"] > 1e-9) | (found["runs_full"] > 0.0)).sum())
    assert on_threshold <= DRAWS // 100  # Pinned: our own allowance, 1 draw in 100
    assert (compiled.stop_s >= 0.0).all()
    for figure, worst in found.items():
        if figure not in ("stop_s", "runs_full"):
            # Derived: 1e-12, some thousand roundings of double precision.
            assert worst.max() < 1e-12, figure


def test_the_random_cases_hold_clocks_that_run_and_clocks_that_stop_early_and_late() -> None:
    layout, values = random_table("open_spring_balance_30h", np.random.default_rng(20), draws_count=DRAWS)

    outcome = kernel.predict(layout, values)

    assert outcome.runs_full.any()
    assert (outcome.stop_s[0] < 60.0).any()
    assert ((outcome.stop_s[0] > 600.0) & ~outcome.runs_full[0]).any()


@pytest.mark.parametrize("draws", [1, 63, 64, 65, 200])
def test_the_answer_to_a_draw_does_not_depend_on_its_company(draws: int) -> None:
    layout, values = random_table("french_round_pendulum", np.random.default_rng(4), draws_count=200)

    together, alone = kernel.predict(layout, values), kernel.predict(layout, values[:, :draws])

    assert np.array_equal(together.stop_s[:, :draws], alone.stop_s)
    assert np.allclose(together.amplitude_full_rad[:, :draws], alone.amplitude_full_rad, rtol=1e-13)


def test_two_threads_answer_as_one() -> None:
    layout, values = random_table("pin_pallet_alarm", np.random.default_rng(4), draws_count=500)

    one, two = (
        kernel.predict(layout, values, hours_h=(1.0,)),
        kernel.predict(layout, values, hours_h=(1.0,), threads_count=2),
    )

    assert all(np.array_equal(getattr(one, name), getattr(two, name)) for name in Outcome.__dataclass_fields__)


def test_the_rows_of_the_loops_are_those_of_the_table() -> None:
    order = list(PARAMETERS)

    assert order[kernel_loops.FULL_TORQUE] == "full_torque_n_m"
    assert order[kernel_loops.DRAG_SHARE] == "drag_share_ratio"
    assert order[kernel_loops.RECOIL] == "recoil_ratio"
    assert order[kernel_loops.START_AMPLITUDE] == "start_amplitude_rad"
    assert kernel_loops.RATE_OFFSET == order.index("rate_offset_s_per_day") == len(order) - 1


def test_no_draws_at_all_is_an_answer_without_draws() -> None:
    layout, values = table("english_longcase")

    assert kernel.predict(layout, values[:, :0]).stop_s.shape == (1, 0)


@pytest.mark.parametrize("need_met", [1, 2, 5])
def test_a_push_that_is_gone_still_counts_in_the_step_before(need_met: int) -> None:
    left = np.full(8, 0.5)
    left[:need_met] = 1.5
    push, tau = 10.0, 10.0 / np.log(1e18)

    # The push of 10 has faded after one step.
    ours = kernel.compiled()._looked_at(left, len(left), 0.0, 0.0, 0.0, 11.5, push, tau)
    theirs = periodic_loads._first_below(
        10.0 * np.arange(len(left)), left[None], after_s=np.array([0.0]), held=np.array([11.5]), push=np.array([push]),
        tau_s=np.array([tau]), looked_s=0.0,
    )  # fmt: skip

    # Derived: both find the crossing on the straight line between the same two steps.
    assert ours == pytest.approx(float(theirs[0]), rel=1e-12)
