"""The parts of a price: they are the price, to the penny, whatever the hours."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import RuleBroken
from underdial.record.choice import Choice, PlannedWork, PriceBand
from underdial.record.price_parts import price_parts, shared_out, together_h

BANDS = st.lists(
    st.tuples(st.floats(0, 40, allow_subnormal=False), st.floats(0, 40, allow_subnormal=False)).map(
        lambda pair: (min(pair), max(pair))
    ),
    min_size=1,
    max_size=9,
)


@given(BANDS, st.integers(1, 20000))
def test_the_parts_add_up_to_low_likely_and_high_of_the_choice(bands: list[tuple[float, float]], rate: int) -> None:
    low, likely, high = (round(h * rate / 100.0) * 100 for h in together_h(bands))
    parts = price_parts((low, likely, high), "GBP", bands)
    if not parts:
        assert not any(most for _, most in bands)
        return

    assert sum(one.low_minor for one in parts) == low
    assert sum(one.likely_minor for one in parts) == likely
    assert sum(one.high_minor for one in parts) == high
    # Derived: whole pounds of 100 pence, as the price is.
    assert all(one.likely_minor % 100 == 0 for one in parts)


def test_a_part_is_a_share_by_hours_and_its_band_one_by_the_square_of_the_spread() -> None:
    one, two = price_parts((19000, 24000, 29000), "GBP", [(1.0, 7.0), (0.0, 8.0)])

    # Derived: middles 4 h and 4 h share 240 into 120 and 120; half widths 3 h and 4 h have 5 h together (3, 4, 5), and
    # 50 is shared as 9 to 16: 18 and 32.
    assert (one.low_minor, one.likely_minor, one.high_minor) == (10200, 12000, 13800)
    assert (two.low_minor, two.likely_minor, two.high_minor) == (8800, 12000, 15200)


def test_what_is_left_over_goes_to_the_largest_remainders_the_earlier_first() -> None:
    # Derived: a third of 100 is 33 and a third; one coin is left over and goes to the first.
    assert shared_out(100, [Decimal(1)] * 3) == [34, 33, 33]
    # Derived: 10 by 1, 2 and 4 is 1.43, 2.86 and 5.71: cut to 1, 2 and 5, the two left go to the largest remainders.
    assert shared_out(10, [Decimal(1), Decimal(2), Decimal(4)]) == [1, 3, 6]


@given(st.integers(0, 10**9), st.lists(st.decimals(0, 1000, places=3), min_size=1, max_size=12))
def test_a_sum_shared_out_is_the_sum(total_minor: int, weights: list[Decimal]) -> None:
    parts = shared_out(total_minor, weights)

    assert sum(parts) == total_minor
    assert min(parts) >= 0


def test_a_choice_whose_parts_are_not_its_price_is_refused() -> None:
    parts = price_parts((10000, 12000, 14000), "GBP", [(1.0, 2.0), (0.5, 1.0)])
    works = tuple(
        PlannedWork(line=f"{n}", work="bush", component="pivot_hole", price=one) for n, one in enumerate(parts, 1)
    )
    price = PriceBand(low_minor=10000, likely_minor=12000, high_minor=14000, ceiling_minor=17000, currency="GBP")
    choice = Choice(title="Put right", works=works, price=price)

    with pytest.raises(RuleBroken, match="they must be the same"):
        replace(choice, price=replace(price, high_minor=14100))
