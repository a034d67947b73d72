"""Propagation of uncertainties: the GUM's law, beside the uncertainties library and beside Monte Carlo."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import OutOfRange
from underdial.uncertain import propagate


def test_product_and_quotient_follow_the_law_of_relative_squares():
    result = propagate(lambda a, b, c: a * b / c, {"a": 3.0, "b": 4.0, "c": 2.0}, {"a": 0.03, "b": 0.08, "c": 0.02})

    assert result.value == 6.0  # Derived: 3 x 4 / 2
    # Source: JCGM 100:2008, 5.1.6, eq. 12
    assert result.u == pytest.approx(6.0 * math.sqrt(0.01**2 + 0.02**2 + 0.01**2), rel=1e-4)


@given(st.floats(0.1, 5), st.floats(0.001, 0.05))
def test_propagation_agrees_with_the_uncertainties_library(x, share):
    from uncertainties import ufloat
    from uncertainties.umath import exp, sin

    ours = propagate(lambda x: math.exp(-x) * math.sin(x) + x**2, {"x": x}, {"x": share * x})
    same = ufloat(x, share * x)
    theirs = exp(-same) * sin(same) + same**2

    assert ours.value == pytest.approx(theirs.n, rel=1e-12)
    # Derived: u cubed times f'''/24; here f''' stays below 6
    assert ours.u == pytest.approx(theirs.s, abs=0.25 * (share * x) ** 3 + 1e-9)


def test_propagation_agrees_with_monte_carlo():
    rng = np.random.default_rng(7)
    draws = 2 * math.pi * np.sqrt(rng.normal(0.994, 0.002, 200_000) / rng.normal(9.81, 0.005, 200_000))
    ours = propagate(
        lambda length, g: 2 * math.pi * math.sqrt(length / g),
        {"length": 0.994, "g": 9.81},
        {"length": 0.002, "g": 0.005},
    )

    assert ours.u == pytest.approx(float(np.std(draws)), rel=0.01)  # Derived: by Monte Carlo, 200 000 draws


def test_a_step_out_of_range_is_taken_to_the_other_side():
    def root(x: float) -> float:
        if x < 0:
            raise OutOfRange("x", x, 0, 1)
        return math.sqrt(x + 1)

    assert propagate(root, {"x": 0.0}, {"x": 0.01}).u == pytest.approx(0.005, rel=0.01)  # Derived: slope one half at 0
