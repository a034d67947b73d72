"""Epicycloidal teeth: height, action, face."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.movement.tooth_form import addendum_ratio, least_leaves, pitches_of_action, wheel_face

WHEELS, PINIONS = st.integers(30, 160), st.integers(5, 20)


# Derived: the epicycloid meets the middle of the tooth, by a separate root search: pointed heights over 0.95.
@pytest.mark.parametrize(("wheel", "pinion", "practical"), [(64, 8, 1.475), (60, 6, 1.323), (96, 12, 1.721)])
def test_practical_heights_come_out(wheel: int, pinion: int, practical: float) -> None:
    assert addendum_ratio(wheel_count=wheel, pinion_count=pinion) == pytest.approx(practical, abs=0.0006)


@given(WHEELS, PINIONS)
def test_more_leaves_make_a_higher_tooth_and_shortening_is_linear(wheel: int, pinion: int) -> None:
    pointed = addendum_ratio(wheel_count=wheel, pinion_count=pinion, shortening_ratio=1)

    assert addendum_ratio(wheel_count=wheel, pinion_count=pinion + 1, shortening_ratio=1) > pointed
    # Derived: linear by definition
    assert addendum_ratio(wheel_count=wheel, pinion_count=pinion, shortening_ratio=0.9) == pytest.approx(0.9 * pointed)


@given(WHEELS, PINIONS)
def test_the_face_starts_half_a_tooth_from_the_middle_and_ends_at_the_height(wheel: int, pinion: int) -> None:
    face = wheel_face(wheel, pinion)
    radius = np.hypot(face[:, 0], face[:, 1])

    assert radius[0] == pytest.approx(wheel / 2, rel=1e-9)  # Derived: pitch radius is half the count of modules
    # Derived: a tooth of half a pitch
    assert math.atan2(face[0, 1], face[0, 0]) == pytest.approx(-math.pi / (2 * wheel), rel=1e-6)
    assert radius[-1] - wheel / 2 == pytest.approx(addendum_ratio(wheel_count=wheel, pinion_count=pinion), rel=1e-6)
    assert np.all(np.diff(radius) > 0)


def test_a_lantern_pinion_takes_a_higher_tooth_than_leaves() -> None:
    assert addendum_ratio(wheel_count=72, pinion_count=8, generating_ratio=1) > addendum_ratio(
        wheel_count=72, pinion_count=8
    )


def test_a_driver_of_seven_needs_fifty_leaves() -> None:
    # Source: Willis's table in Grimthorpe 1903 p. 278 has 52; exact geometry gives 50 (0.9990 of a pitch at 49).
    assert least_leaves(driver_count=7) == 50
    assert (
        pitches_of_action(driver_count=7, follower_count=49) < 1 < pitches_of_action(driver_count=7, follower_count=50)
    )
