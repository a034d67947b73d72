"""A bob on a rod that has weight."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import OutOfRange
from underdial.gauging.bob_place import bob_place
from underdial.mechanics.compound_pendulum import compound_length_m


@given(length=st.floats(0.1, 2.0), bob=st.floats(0.5, 10.0), wide=st.floats(0.0, 0.2), light=st.floats(0.0, 0.1))
def test_the_bob_put_there_gives_the_length_and_its_move_is_followed_as_said(
    length: float, bob: float, wide: float, light: float
) -> None:
    rod_kg, rod_m, k = light * bob, 1.05 * length, wide * length
    depth, follows = bob_place(length_m=length, bob_kg=bob, bob_gyration_m=k, rod_kg=rod_kg, rod_m=rod_m)

    def whole(at: float) -> float:
        return compound_length_m([rod_kg, bob], [rod_m / 2, at], [rod_m / math.sqrt(12), k])

    # Derived: the parts put together again by the handbook; its slope by a small move
    assert whole(depth) == pytest.approx(length, rel=1e-9)
    assert (whole(depth + 1e-5) - whole(depth - 1e-5)) / 2e-5 == pytest.approx(follows, rel=1e-5)


def test_a_point_on_a_weightless_rod_hangs_at_the_length_and_is_followed_whole() -> None:
    assert bob_place(length_m=0.994, bob_kg=3.0) == pytest.approx((0.994, 1.0))  # Derived: the simple pendulum


def test_a_bob_too_wide_for_so_short_a_pendulum_is_refused() -> None:
    with pytest.raises(OutOfRange, match="length_m"):
        bob_place(length_m=0.1, bob_kg=1.0, bob_gyration_m=0.2)


def test_the_shortest_length_that_is_named_is_the_shortest_that_can_be_made() -> None:
    heavy = {"bob_kg": 1.0, "bob_gyration_m": 0.06, "rod_kg": 0.3, "rod_m": 0.3}
    with pytest.raises(OutOfRange, match="length_m") as refused:
        bob_place(length_m=0.1, **heavy)

    # Derived: L^2 + 4 L m r/2M = 4 (k^2 + m r^2/3M): L^2 + 0.18 L = 0.0504, so L = sqrt(0.0585) - 0.09
    least = 0.151868
    assert f"{least:.5f}"[:6] in str(refused.value)
    assert bob_place(length_m=least + 1e-5, **heavy)[0] > 0.0
    with pytest.raises(OutOfRange, match="length_m"):
        bob_place(length_m=least - 1e-5, **heavy)
