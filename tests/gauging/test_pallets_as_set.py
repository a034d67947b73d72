"""Lock and drop at measured centres, against the anchor swung in small steps."""

from __future__ import annotations

import math

import pytest

from underdial.errors import BadInput
from underdial.gauging.pallets_as_set import AsSet, pallets_as_set
from underdial.papers.pallet_drawing import PalletsDrawn, pallet_ring

# Derived: the deadbeat example, R 15 mm, 30 teeth, 7.5 spaces, lift 2, lock 1, drop 1.5 deg
MADE = {
    "escape_count": 30,
    "radius_m": 0.015,
    "span_teeth": 7.5,
    "outer_m": 0.015589049,
    "inner_m": 0.014410951,
    "lift_rad": math.radians(2.0),
    "lock_rad": math.radians(1.0),
}
CENTRES_M = 0.015 / math.cos(math.pi / 4)


def test_at_the_drawn_centres_drop_and_lock_are_those_that_were_drawn() -> None:
    found = pallets_as_set(**MADE, centres_m=CENTRES_M)

    # Derived: 1.5 deg of drop and 1 deg of lock, but for the tip's circle against its tangent, 12 um in 15 mm each side
    assert (math.degrees(found.entry_drop_rad), math.degrees(found.exit_drop_rad)) == pytest.approx(
        (1.5, 1.5), abs=0.06
    )
    assert (math.degrees(found.entry_lock_rad), math.degrees(found.exit_lock_rad)) == pytest.approx(
        (1.0, 1.0), abs=0.12
    )


def test_centres_too_far_apart_lose_lock_and_shift_drop_from_exit_to_entry() -> None:
    right, far = pallets_as_set(**MADE, centres_m=CENTRES_M), pallets_as_set(**MADE, centres_m=CENTRES_M + 50e-6)
    per_m = math.cos(math.pi / 4) / 0.015

    # Derived: first order, the pallets rise 50 um cos 45 along the tooth's radius: both locks lose twice that over the
    # arm; along the tooth's path 50 um sin 45 is gained twice by one drop and lost by the other, over the wheel's
    # radius; a fifth for the faces' own radii
    assert far.entry_lock_rad - right.entry_lock_rad == pytest.approx(-2 * 50e-6 * per_m, rel=0.2)
    assert far.exit_lock_rad - right.exit_lock_rad == pytest.approx(-2 * 50e-6 * per_m, rel=0.2)
    assert far.entry_drop_rad - right.entry_drop_rad == pytest.approx(2 * 50e-6 * per_m, rel=0.2)
    assert far.exit_drop_rad - right.exit_drop_rad == pytest.approx(-2 * 50e-6 * per_m, rel=0.2)


@pytest.mark.parametrize("shift_m", [-60e-6, 0.0, 80e-6])
def test_the_drawn_pallets_swung_over_the_wheel_lock_and_drop_as_said(shift_m: float) -> None:
    drawn = PalletsDrawn(
        "deadbeat", 30, 15.0, 7.5, (CENTRES_M + 0.0) * 1e3, 15.589049, 14.410951, MADE["lift_rad"], MADE["lock_rad"]
    )
    centres = CENTRES_M * 1e3 + shift_m * 1e3
    corners = {}
    for entry in (True, False):
        ring = pallet_ring(drawn, entry=entry)
        for name, (x, y) in (("lock", ring[0]), ("release", ring[-1])):
            corners[entry, name] = (
                math.hypot(x, y + drawn.centre_distance_mm),
                math.atan2(abs(x), y + drawn.centre_distance_mm),
            )

    def tip(reach: float) -> tuple[float, float]:
        # Derived: the tip where its distance from the pallet centre is the corner's, found by halving, not by the
        # cosine rule
        low, high = 0.0, math.pi / 2
        for _ in range(80):
            middle = (low + high) / 2
            if math.hypot(15 * math.sin(middle), centres - 15 * math.cos(middle)) < reach:
                low = middle
            else:
                high = middle
        return low, math.atan2(15 * math.sin(low), centres - 15 * math.cos(low))

    expected = []
    for entry in (True, False):
        released, landed = corners[not entry, "release"], corners[entry, "lock"]
        leaves, swing = tip(released[0])[0], tip(released[0])[1] - released[1]
        lands, lean = tip(landed[0])
        pitch = 2 * math.pi / 30
        drop = 8 * pitch - leaves - lands if entry else lands + leaves - 7 * pitch
        expected.append((drop, lean - (landed[1] - swing)))
    found: AsSet = pallets_as_set(**MADE, centres_m=CENTRES_M + shift_m)

    assert (found.entry_drop_rad, found.entry_lock_rad) == pytest.approx(expected[0], abs=1e-6)
    assert (found.exit_drop_rad, found.exit_lock_rad) == pytest.approx(expected[1], abs=1e-6)


def test_centres_beyond_reach_are_refused() -> None:
    with pytest.raises(BadInput, match="do not reach"):
        pallets_as_set(**MADE, centres_m=0.05)
