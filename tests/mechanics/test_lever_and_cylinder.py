"""Impulse of the club-tooth lever and lift of the cylinder."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import OutOfRange
from underdial.mechanics.escapement_action import impulse_efficiency_ratio
from underdial.mechanics.lever_and_cylinder import club_tooth_efficiency_ratio, cylinder_lift_rad

ANGLES = st.floats(0.01, 0.2)


@given(ANGLES, ANGLES)
def test_two_equal_faces_pass_on_what_one_does(lift: float, turn: float) -> None:
    both = club_tooth_efficiency_ratio(
        pallet_lift_rad=lift, pallet_wheel_rad=turn, tooth_lift_rad=lift, tooth_wheel_rad=turn
    )

    # Derived: equal faces
    assert both == pytest.approx(
        impulse_efficiency_ratio(lift_rad=lift, wheel_angle_rad=turn, arm_over_radius_ratio=0.5)
    )


@given(ANGLES, ANGLES, ANGLES, ANGLES)
def test_without_friction_nothing_is_lost_and_with_it_something_is(a: float, b: float, c: float, d: float) -> None:
    faces = {"pallet_lift_rad": a, "pallet_wheel_rad": b, "tooth_lift_rad": c, "tooth_wheel_rad": d}

    # Derived: no friction, no loss
    assert club_tooth_efficiency_ratio(**faces, friction_ratio=0.0) == pytest.approx(1.0)
    assert club_tooth_efficiency_ratio(**faces, friction_ratio=0.2) < 1.0


def test_lift_of_a_lip_is_a_chord_of_the_cylinder() -> None:
    # Derived: a chord as long as the radius spans 60 deg
    assert cylinder_lift_rad(tooth_height_m=0.001, cylinder_radius_m=0.001) == pytest.approx(math.pi / 3)


def test_a_tooth_higher_than_the_cylinder_is_refused() -> None:
    with pytest.raises(OutOfRange, match="tooth_height_m"):
        cylinder_lift_rad(tooth_height_m=0.003, cylinder_radius_m=0.001)
