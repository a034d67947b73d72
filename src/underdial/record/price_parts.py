"""What each work takes of the price of a choice: parts in whole coins that add up to it exactly.

A choice is surer than its works: they hardly all take long at once, so its band is narrower than their bands laid end
to end. Each work has its share of the likely price by its hours, and of the width of the band by the square of its
spread: so the parts add up to low, likely and high of the choice.

Rounding: to whole main units (pounds) where the price is in them, else to the smallest coin; each part is first cut,
then the largest remainders take what is left, the earlier line first. Reckoned in decimals, never in binary.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from underdial.errors import RuleBroken
from underdial.record.money import Money

_MAIN_MINOR = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class PricePart:
    """What one work takes of the low, likely and high price of its choice; all minor units."""

    low_minor: int
    likely_minor: int
    high_minor: int
    currency: str

    def __post_init__(self) -> None:
        Money(amount_minor=self.likely_minor, currency=self.currency)
        if not 0 <= self.low_minor <= self.likely_minor <= self.high_minor:
            raise RuleBroken(
                "price",
                f"{self.low_minor}, {self.likely_minor}, {self.high_minor}",
                "low, likely and high in rising order",
                "price: low, likely and high of a work must rise in that order, from 0.",
            )


def together_h(bands: Iterable[tuple[float, float]]) -> tuple[float, float, float]:
    """Least, likely and most hours [h] of works whose own hours lie from low to high, each independent of the others.

    Likely is the sum of the middles; the half width is the root of the sum of the squares of the half widths.
    """
    bands = tuple(bands)
    low, high = sum(one for one, _ in bands), sum(one for _, one in bands)
    likely = 0.5 * (low + high)
    spread = math.sqrt(sum(((most - least) / 2.0) ** 2 for least, most in bands))
    return max(low, likely - spread), likely, min(high, likely + spread)


def price_parts(
    prices_minor: tuple[int, int, int], currency: str, bands_h: Sequence[tuple[float, float]]
) -> tuple[PricePart, ...]:
    """The part of each work in the low, likely and high price of a choice [minor units], by the hours of each [h].

    Works without hours have a part of nothing. Empty where no work has hours.
    """
    low, likely, high = prices_minor
    exact = [(Decimal(repr(float(one))), Decimal(repr(float(most)))) for one, most in bands_h]
    middles, squares = [one + most for one, most in exact], [(most - one) ** 2 for one, most in exact]
    if not sum(middles):
        return ()
    coin = 1 if any(one % _MAIN_MINOR for one in prices_minor) else _MAIN_MINOR
    of_likely = shared_out(likely, middles, coin_minor=coin)
    below = shared_out(likely - low, squares, coin_minor=coin, most_minor=of_likely)
    above = shared_out(high - likely, squares, coin_minor=coin)
    return tuple(
        PricePart(low_minor=mid - less, likely_minor=mid, high_minor=mid + more, currency=currency)
        for mid, less, more in zip(of_likely, below, above, strict=True)
    )


def shared_out(
    total_minor: int, weights: Sequence[Decimal], *, coin_minor: int = 1, most_minor: Sequence[int] | None = None
) -> list[int]:
    """A sum [minor units] shared out in whole coins by weights, each at or above 0, so that the parts add up to it
    exactly; none above its most where that is given. Equally where all weights are 0.
    """
    assert total_minor % coin_minor == 0, f"{total_minor} is no whole number of coins of {coin_minor}"
    if not sum(weights):
        weights = [Decimal(1)] * len(weights)
    count, every = total_minor // coin_minor, sum(weights)
    room = [count if most_minor is None else most_minor[k] // coin_minor for k in range(len(weights))]
    assert sum(room) >= count, "the parts have no room for the sum"
    exact = [count * one / every for one in weights]
    parts = [min(int(one), top) for one, top in zip(exact, room, strict=True)]
    order = sorted(range(len(parts)), key=lambda k: (int(exact[k]) - exact[k], k))
    while (left := count - sum(parts)) > 0:
        for k in [k for k in order if parts[k] < room[k]][:left]:
            parts[k] += 1
    return [one * coin_minor for one in parts]
