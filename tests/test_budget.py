"""Budgets, degrees of freedom, coverage, correlations."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput, OutOfRange
from underdial.uncertain import (
    Part,
    budget,
    correlated,
    coverage_factor,
    effective_degrees_of_freedom,
    expanded_u,
    standard_u,
)


@given(st.floats(0.1, 10), st.floats(0.1, 10), st.floats(0.001, 0.1), st.floats(0.001, 0.1))
def test_a_sum_adds_its_uncertainties_as_squares(a: float, b: float, ua: float, ub: float) -> None:
    found = budget(lambda x, y: x + y, {"x": Part(a, ua), "y": Part(b, ub)})

    assert found.u == pytest.approx(math.hypot(ua, ub), rel=1e-6)
    assert found.shares == pytest.approx({"x": ua, "y": ub}, rel=1e-6)
    assert math.isinf(found.degrees_of_freedom)


@given(st.floats(2, 50), st.floats(2, 50))
def test_effective_freedom_lies_between_the_least_and_the_sum(one: float, two: float) -> None:
    found = effective_degrees_of_freedom(math.sqrt(2.0), [(1.0, one), (1.0, two)])
    # Source: GUM table G.1
    assert min(one, two) <= found + 1e-9 <= one + two + 2e-9  # Derived: GUM G.4.1


def test_factors_shrink_towards_the_normal_law() -> None:
    factors = [coverage_factor(probability=0.95, degrees_of_freedom=df) for df in (1, 5, 30, 1000, math.inf)]

    assert factors == sorted(factors, reverse=True)
    assert factors[-1] == pytest.approx(1.959964, abs=1e-6)  # Source: GUM table G.2, last row; 95 % of the normal law
    assert factors[0] == pytest.approx(12.706, abs=0.001)  # Source: GUM table G.2
    assert expanded_u(u=2.0, probability=0.95) == pytest.approx(2 * factors[-1])


# Source: GUM 4.3.7, 4.3.9, H.1: half-width over the roots of 3, 6 and 2.
@pytest.mark.parametrize(("shape", "squared"), [("rectangular", 3), ("triangular", 6), ("arcsine", 2)])
def test_a_half_width_becomes_a_standard_uncertainty(shape: str, squared: float) -> None:
    assert standard_u(half_width=1.0, shape=shape) ** 2 == pytest.approx(1 / squared)


@given(st.floats(-0.95, 0.95))
def test_correlated_inputs_of_a_difference_cancel(r: float) -> None:
    found, table = correlated(
        [lambda x, y: x - y, lambda x, y: x], {"x": Part(1.0, 0.1), "y": Part(1.0, 0.1)}, {("y", "x"): r}
    )

    assert found[0].u == pytest.approx(0.1 * math.sqrt(2 * (1 - r)), rel=1e-6)  # Derived: GUM 5.2.2
    assert table[0][0] == pytest.approx(1.0)
    assert table[0][1] == pytest.approx(table[1][0])


def test_wrong_shapes_and_probabilities_are_refused() -> None:
    with pytest.raises(BadInput, match="shape"):
        standard_u(half_width=1.0, shape="round")
    with pytest.raises(OutOfRange, match="probability"):
        coverage_factor(probability=1.0, degrees_of_freedom=5)
