"""Rates with their errors: whether they differ, and how they follow something."""

from __future__ import annotations

import numpy as np
import pytest

from underdial.errors import BadInput
from underdial.mechanics.line_fit import line_fit
from underdial.mechanics.rate_variation import unsteadiness, weighted_slope


def test_two_rates_three_errors_apart_differ() -> None:
    found = unsteadiness([0.0, 6.0], [2.0, 2.0])

    assert (found.mean_s_per_day, found.spread_s_per_day) == (3.0, 6.0)  # Derived: half of, and all of, six
    # Derived: 6 over 2 sqrt 2 is 2.12 standard deviations, 3.4 in 100 to both sides.
    assert found.chance_probability == pytest.approx(0.0339, abs=0.0005)
    # Derived: 2/sqrt 2 times the factor sqrt(4.5/1).
    assert found.mean_u_s_per_day == pytest.approx(3.0)


def test_equal_rates_are_steady() -> None:
    assert unsteadiness([5.0, 5.0, 5.0], [1.0, 2.0, 3.0]).chance_probability == pytest.approx(1.0)


def test_chance_is_even_when_errors_alone_are_at_work() -> None:
    rng = np.random.default_rng(1)
    chances = [
        unsteadiness(rng.normal(0.0, u).tolist(), u.tolist()).chance_probability
        for u in (rng.uniform(0.5, 3.0, 6) for _ in range(2000))
    ]

    # Derived: a chance falls below a level as often as the level says; 2000 draws give 0.005 at one in twenty.
    assert float(np.mean(np.array(chances) < 0.05)) == pytest.approx(0.05, abs=0.015)


def test_equal_errors_give_the_line_of_least_squares() -> None:
    x, y = [0.0, 1.0, 3.0, 7.0], [1.0, 2.9, 7.2, 14.8]
    slope, slope_u = weighted_slope(np.array(x), np.array(y), np.full(4, 0.01))
    rival = line_fit(x, y)

    assert slope == pytest.approx(rival.slope)
    # Derived: the readings miss the line by far more than 0.01, so the scatter sets the error in both.
    assert slope_u == pytest.approx(rival.slope_u)


def test_a_sure_reading_weighs_more() -> None:
    slope, _ = weighted_slope(np.array([0.0, 1.0, 2.0]), np.array([0.0, 1.0, 5.0]), np.array([0.1, 0.1, 100.0]))

    assert slope == pytest.approx(1.0, abs=0.01)  # Derived: the line of the two that are a thousand times as sure


@pytest.mark.parametrize(
    ("x", "y", "u"),
    [
        ([1.0, 1.0, 1.0], [1.0, 2.0, 3.0], [1.0] * 3),
        ([0.0, 1.0], [1.0, 2.0], [1.0] * 2),
        ([0.0, 1.0, 2.0], [1.0, 2.0, 3.0], [1.0, 0.0, 1.0]),
    ],
)
def test_what_has_no_line_is_refused(x: list[float], y: list[float], u: list[float]) -> None:
    with pytest.raises(BadInput):
        weighted_slope(np.array(x), np.array(y), np.array(u))
