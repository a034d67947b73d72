"""Worn holes, bores, press fits, depth and the stock list."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput
from underdial.gauging.bush import StockBush, bore, choose_bush, depth_change_m, press_fit, true_centre
from underdial.mechanics.press_fit import pressure_pa
from underdial.uncertain import Uncertain


def test_lean_over_the_plate_gives_the_bore_of_the_example() -> None:
    found, clearance = bore(
        pivot_m=Uncertain(1.20e-3), lean_rad=Uncertain(math.radians(2.5)), plate_m=Uncertain(1.6e-3)
    )

    # Derived: docs/explanation/gauging.md, bush, by hand
    assert clearance.value == pytest.approx(6.99e-5, abs=0.005e-5)
    assert found.value == pytest.approx(1.27e-3, abs=0.005e-3)  # Derived: the same


def test_neither_or_both_of_clearance_and_lean_is_asked_back() -> None:
    with pytest.raises(BadInput, match="--lean"):
        bore(pivot_m=Uncertain(1e-3))
    with pytest.raises(BadInput, match="--lean"):
        bore(pivot_m=Uncertain(1e-3), clearance_m=Uncertain(5e-5), lean_rad=Uncertain(0.04), plate_m=Uncertain(1e-3))


def test_the_true_centre_lies_against_the_wear() -> None:
    found = true_centre(
        hole_m=Uncertain(1.45e-3, 5e-6), hole_long_m=Uncertain(1.62e-3, 5e-6), worn_toward_rad=math.radians(140.0)
    )

    # Derived: docs/explanation/gauging.md, bush, by hand
    assert found.offset_m.value == pytest.approx(8.5e-5, abs=1e-12)
    assert math.degrees(found.toward_rad) == pytest.approx(320.0)  # Derived: the same
    # Derived: two circles of 1.45 mm, 0.17 mm apart: the far edge lies 0.725 + 0.17 mm from the true centre
    assert found.cleans_up_m.value == pytest.approx(2 * (0.725e-3 + 0.17e-3), rel=1e-9)


def test_errors_of_the_worn_hole_add_as_squares() -> None:
    found = true_centre(
        hole_m=Uncertain(1.45e-3, 6e-6), hole_long_m=Uncertain(1.62e-3, 8e-6), worn_toward_rad=math.radians(300.0)
    )

    assert found.offset_m.u == pytest.approx(5e-6, rel=1e-9)  # Derived: half of hypot(6, 8)
    assert found.cleans_up_m.u == pytest.approx(17.0880e-6, rel=1e-5)  # Derived: hypot(2 x 8, 6) = sqrt(292)
    assert math.degrees(found.toward_rad) == pytest.approx(120.0)  # Derived: against the wear, once round


@given(radius=st.floats(2e-4, 2e-3), stretch=st.floats(0.0, 5e-4), toward=st.floats(0.0, 6.28))
def test_a_stretched_hole_drawn_point_by_point_gives_its_first_centre_back(
    radius: float, stretch: float, toward: float
) -> None:
    # Derived: outline of a round hole and of the same hole moved by the stretch; extents along and across the wear
    t = np.linspace(0.0, 2.0 * math.pi, 3601)
    along = np.concatenate((radius * np.cos(t), radius * np.cos(t) + stretch))
    middle = (along.max() + along.min()) / 2.0
    found = true_centre(
        hole_m=Uncertain(2 * radius), hole_long_m=Uncertain(float(np.ptp(along))), worn_toward_rad=toward
    )

    assert middle - found.offset_m.value == pytest.approx(0.0, abs=1e-9)  # Derived: the first hole was drawn round 0


def test_the_press_fit_of_the_example() -> None:
    found = press_fit(
        outside_m=Uncertain(4e-3),
        bore_m=Uncertain(1.2698575e-3),
        interference_m=Uncertain(6e-6),
        plate_m=Uncertain(1.6e-3),
        friction_ratio=Uncertain(0.2),
    )

    # Derived: docs/explanation/gauging.md, bush, by hand
    assert found.pressure_pa.value == pytest.approx(6.74e7, abs=0.005e7)
    assert found.push_out_n.value == pytest.approx(271.0, abs=0.5)
    assert found.bore_closes_m.value == pytest.approx(1.9e-6, abs=0.05e-6)
    assert found.hoop_pa.value == pytest.approx(1.5e8, abs=0.05e8)  # Derived: the same
    assert found.bore_before_m.value == pytest.approx(1.2698575e-3 + found.bore_closes_m.value)


def test_errors_of_the_fit_agree_with_draws() -> None:
    rng = np.random.default_rng(2)
    n = 20000
    outside, wide, interference = (rng.normal(m, u, n) for m, u in ((4e-3, 1e-5), (1.27e-3, 1e-5), (6e-6, 1e-6)))
    drawn = [
        pressure_pa(interference_m=i, outside_m=o, bore_m=b)
        for i, o, b in zip(interference, outside, wide, strict=True)
    ]
    found = press_fit(
        outside_m=Uncertain(4e-3, 1e-5),
        bore_m=Uncertain(1.27e-3, 1e-5),
        interference_m=Uncertain(6e-6, 1e-6),
        plate_m=Uncertain(1.6e-3, 1e-5),
        friction_ratio=Uncertain(0.2, 0.03),
    )

    assert float(np.std(drawn)) == pytest.approx(found.pressure_pa.u, rel=0.03)  # Derived: Monte Carlo
    friction, plate = rng.normal(0.2, 0.03, n), rng.normal(1.6e-3, 1e-5, n)
    # Derived: the same
    assert float(np.std(np.array(drawn) * friction * plate * outside * math.pi)) == pytest.approx(
        found.push_out_n.u, rel=0.04
    )


@pytest.mark.parametrize(
    ("mate", "expected"), [(140.0, -85e-6), (320.0, 85e-6), (230.0, 0.0)]
)  # Derived: towards, away, square to it
def test_wear_towards_the_mate_brings_it_nearer(mate: float, expected: float) -> None:
    change = depth_change_m(
        offset_m=85e-6, toward_rad=math.radians(140.0), mate_toward_rad=math.radians(mate), centre_distance_m=0.02
    )

    assert change == pytest.approx(expected, abs=0.3e-6)  # Derived: across it, 85^2/(2 x 20000) = 0.18 um


def test_the_smallest_bush_that_cleans_up_is_chosen_and_the_others_say_why_not() -> None:
    stock = [
        StockBush("A", 1.7e-3, 0.8e-3, 2e-3),
        StockBush("B", 2.5e-3, 1.0e-3, 2e-3),
        StockBush("C", 2.1e-3, 1.4e-3, 2e-3),
        StockBush("D", 3.0e-3, 1.0e-3, 2e-3),
        StockBush("E", 2.2e-3, 1.0e-3, 1.2e-3),
        StockBush("F", 1.9e-3, 1.0e-3, 2e-3),
    ]

    chosen, others = choose_bush(stock, bore_m=1.27e-3, cleans_up_m=1.79e-3, plate_m=1.6e-3)

    assert chosen.name == "B"
    reasons = {one.name: why for one, why in others}
    assert "leaves wear" in reasons["A"]
    assert reasons["C"] == "bore too large"
    assert reasons["D"] == "larger than need be"
    assert "shorter" in reasons["E"]
    assert "wall" in reasons["F"]
