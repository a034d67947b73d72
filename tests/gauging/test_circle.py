"""Circles, harmonics, bends, odd teeth."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput
from underdial.gauging import circle

ANGLES = [2 * math.pi * k / 12 for k in range(12)]


@given(st.floats(-0.05, 0.05), st.floats(-0.05, 0.05), st.floats(0.001, 0.1))
def test_points_of_a_circle_give_it_back_both_ways(x: float, y: float, radius: float) -> None:
    xs, ys = [x + radius * math.cos(t) for t in ANGLES], [y + radius * math.sin(t) for t in ANGLES]

    for found in (circle.circle_fit(xs, ys), circle.circle_fit_geometric(xs, ys)):
        assert found == pytest.approx((x, y, radius), abs=1e-9)


def test_on_a_short_noisy_arc_the_geometric_circle_is_the_better_one() -> None:
    rng = np.random.default_rng(3)
    angles = np.linspace(0, 0.9, 30)
    algebraic, geometric = [], []
    for _ in range(60):
        x, y = np.cos(angles) + rng.normal(0, 0.005, 30), np.sin(angles) + rng.normal(0, 0.005, 30)
        algebraic.append(circle.circle_fit(x.tolist(), y.tolist()).radius_m)
        geometric.append(circle.circle_fit_geometric(x.tolist(), y.tolist()).radius_m)

    # Derived: the radius is 1; algebraic fits are known to come out small on arcs.
    assert abs(np.mean(geometric) - 1) < abs(np.mean(algebraic) - 1)


def test_points_on_a_line_are_refused() -> None:
    with pytest.raises(BadInput, match="one line"):
        circle.circle_fit([0.0, 1.0, 2.0], [0.0, 1.0, 2.0])


@given(st.floats(-1e-3, 1e-3), st.floats(-1e-3, 1e-3))
def test_eccentricity_is_taken_off_whole(a: float, b: float) -> None:
    readings = [0.01 + a * math.cos(t) + b * math.sin(t) for t in ANGLES]

    # Derived: the numbers put in
    assert circle.first_harmonic(readings, ANGLES) == pytest.approx((a, b, 0.01), abs=1e-12)
    assert circle.roundness_m(readings, ANGLES) == pytest.approx(0.0, abs=1e-12)
    # Derived: rounding only
    assert circle.indicator_movement_m(eccentricity_m=math.hypot(a, b)) >= max(readings) - min(readings) - 1e-12


def test_readings_at_unequal_steps_give_the_eccentricity_too() -> None:
    at = [math.radians(one) for one in (0.0, 20.0, 40.0, 60.0, 110.0, 200.0, 300.0)]
    readings = [0.01 + 3e-5 * math.cos(t - 1.0) for t in at]

    # Derived: the numbers put in; sums over N would need equal steps
    assert circle.first_harmonic(readings, at) == pytest.approx(
        (3e-5 * math.cos(1.0), 3e-5 * math.sin(1.0), 0.01), abs=1e-12
    )
    assert circle.roundness_m(readings, at) == pytest.approx(0.0, abs=1e-12)  # Derived: a true circle


def test_readings_on_one_side_are_refused() -> None:
    with pytest.raises(BadInput, match="angles_rad"):
        circle.first_harmonic([1e-5, 2e-5, 1e-5, 2e-5], [0.0, 0.05, 0.1, 0.15])


def test_an_even_wheel_needs_no_rule_for_odd_teeth() -> None:
    with pytest.raises(BadInput, match="odd"):
        circle.diameter_over_odd_teeth_m(over_m=0.02, teeth_count=30)
    # Source: Goodrich 1905 ch. XIII: fifteen teeth, .732 in over them, some .008 more in full.
    assert circle.diameter_over_odd_teeth_m(over_m=0.732, teeth_count=15) - 0.732 == pytest.approx(0.008, abs=0.0005)
