"""Inertia by screws, counting and vibrating, choice of springs, dividing and cutters."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import OutOfRange
from underdial.gauging.balance_trials import inertia_from_screws_kg_m2, vibrated_beats_per_hour
from underdial.gauging.indexing import USUAL_CIRCLES, divide, pinion_cutter, wheel_cutter
from underdial.gauging.spring_choice import Strip, judge_springs
from underdial.mechanics.balance import beats_per_hour
from underdial.mechanics.barrel import best_length_m


@given(
    inertia=st.floats(1e-9, 1e-5),
    stiffness=st.floats(1e-6, 1e-3),
    screw=st.floats(1e-6, 1e-4),
    radius=st.floats(0.003, 0.02),
    count=st.integers(1, 8),
)
def test_the_inertia_that_made_the_beats_comes_back(
    inertia: float, stiffness: float, screw: float, radius: float, count: int
) -> None:
    without = beats_per_hour(inertia_kg_m2=inertia, stiffness_n_m_per_rad=stiffness)
    with_ = beats_per_hour(inertia_kg_m2=inertia + count * screw * radius**2, stiffness_n_m_per_rad=stiffness)
    if not 1.0 <= with_ < without * (1 - 1e-9) or without > 2e5:
        return
    found = inertia_from_screws_kg_m2(
        screw_kg=screw, screws_count=count, radius_m=radius, beats_without_per_hour=without, beats_with_per_hour=with_
    )

    assert found == pytest.approx(inertia, rel=1e-5)  # Derived: as planted


def test_a_screw_has_a_moment_of_its_own() -> None:
    # Derived: two screws of 30 mg at 10 mm, 2 mm across: 2 x 3e-5 x (1e-4 + 4e-6/16) = 6.015e-9; (18000/17000)^2 - 1
    found = inertia_from_screws_kg_m2(
        screw_kg=3e-5,
        radius_m=0.01,
        beats_without_per_hour=18000.0,
        beats_with_per_hour=17000.0,
        screw_diameter_m=0.002,
    )

    assert found == pytest.approx(6.015e-9 / 0.1211073, rel=1e-6)  # Derived: the quotient of the two


def test_screws_that_do_not_slow_the_balance_are_refused() -> None:
    with pytest.raises(OutOfRange, match="beats_with_per_hour"):
        inertia_from_screws_kg_m2(
            screw_kg=1e-5, radius_m=0.01, beats_without_per_hour=18000.0, beats_with_per_hour=18000.0
        )


def test_beats_counted_in_half_a_minute_are_a_hundred_and_twentieth_of_an_hour() -> None:
    assert vibrated_beats_per_hour(beats_count=150.0, time_s=30.0) == pytest.approx(18000.0)  # Derived: 150 x 120


@given(teeth=st.integers(3, 400), worm=st.sampled_from([1, 40, 60, 90, 180]))
def test_an_exact_division_cuts_every_tooth_and_comes_back_to_where_it_began(teeth: int, worm: int) -> None:
    one = divide(teeth, worm_count=worm)

    if one.exact:
        assert teeth * (one.whole_turns_count * one.circle_count + one.holes_count) == worm * one.circle_count
        assert 0 <= one.holes_count < one.circle_count
    else:
        assert all((worm % teeth) * circle % teeth for circle in USUAL_CIRCLES)
    assert one.angle_rad * teeth == pytest.approx(2.0 * math.pi)  # Derived: a whole turn


def test_sixty_four_teeth_on_a_head_of_sixty_take_fifteen_holes_of_sixteen() -> None:
    one = divide(64, worm_count=60)

    # Derived: 60/64 = 15/16
    assert (one.whole_turns_count, one.holes_count, one.circle_count, one.exact) == (0, 15, 16, True)


def test_a_prime_that_no_circle_has_is_said_to_need_its_own_plate() -> None:
    assert not divide(97, worm_count=60).exact


def test_blank_and_cutter_of_the_worked_wheel() -> None:
    wheel, pinion = wheel_cutter(64, 8, module_m=0.6e-3), pinion_cutter(8, module_m=0.6e-3, wheel_addendum_ratio=1.4746)

    # Derived: docs/explanation/gauging.md, 64/8: f 1.475, so (64 + 2.95) 0.6
    assert wheel.blank_diameter_m == pytest.approx(40.17e-3, abs=5e-6)
    assert wheel.depth_of_cut_m == pytest.approx((wheel.blank_diameter_m - wheel.root_diameter_m) / 2.0)
    assert wheel.space_at_pitch_m == pytest.approx(math.pi * 0.3e-3)  # Derived: half a pitch
    # Derived: the space is a wheel tooth's height and 0.4 module deep below the pitch circle
    assert (4.8e-3 - pinion.root_diameter_m) / 2.0 == pytest.approx((1.4746 + 0.4) * 0.6e-3)
    assert pinion.space_at_root_m < pinion.space_at_pitch_m


def test_the_spring_most_like_the_old_one_comes_first_and_every_fault_is_named() -> None:
    old = Strip("old", 0.40e-3, 19e-3, 1.54)
    stock = [
        Strip("short", 0.40e-3, 19e-3, 0.6),
        Strip("like", 0.41e-3, 19e-3, 1.5),
        Strip("thick", 0.5e-3, 19e-3, 1.3),
        Strip("whole", 0.4e-3, 19e-3, 3.5),
    ]

    judged = judge_springs(stock, barrel_m=0.042, arbor_m=0.014, turns_needed=7.5, instead_of=old)

    assert judged[0].strip.name == "like"
    assert judged[0].against == ()
    against = {one.strip.name: " ".join(one.against) for one in judged}
    assert "turns" in against["short"]
    assert "as strong" in against["thick"]
    assert "does not go" in against["whole"]
    assert judged[-1].strip.name in ("whole", "short")


def test_a_half_full_barrel_counts_as_filled_right() -> None:
    length = best_length_m(barrel_m=0.042, arbor_m=0.014, thickness_m=0.4e-3)

    assert judge_springs([Strip("a", 0.4e-3, 19e-3, length)], barrel_m=0.042, arbor_m=0.014)[
        0
    ].fill_ratio == pytest.approx(0.5)  # Derived: definition
