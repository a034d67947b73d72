"""Money in whole minor units with its currency, and a day with its zone. Never a float, never a bare date."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from underdial.errors import BadInput, RuleBroken


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """A sum in whole minor units (pence, cents) of a currency named by its three letters."""

    amount_minor: int
    currency: str

    def __post_init__(self) -> None:
        if type(self.amount_minor) is not int:
            raise BadInput("amount_minor", self.amount_minor, "a whole number of pence or cents")
        if not re.fullmatch("[A-Z]{3}", self.currency):
            raise BadInput("currency", self.currency, "three capital letters, such as GBP")


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A calendar day where a shop or owner is: `2026-05-01` in `Europe/London`."""

    on: date
    zone: str

    def __post_init__(self) -> None:
        try:
            ZoneInfo(self.zone)
        except (ValueError, OSError, KeyError):
            raise BadInput("zone", self.zone, "a zone by its place, such as Europe/London, or UTC") from None


def total(sums: tuple[Money, ...], *, currency: str) -> Money:
    """The sum of sums; RuleBroken when one is in another currency, for two currencies are never added."""
    for one in sums:
        if one.currency != currency:
            raise RuleBroken(
                "currency",
                one.currency,
                currency,
                f"currency: {one.currency} cannot be added to {currency}; write every sum of a clock in one currency.",
            )
    return Money(amount_minor=sum(one.amount_minor for one in sums), currency=currency)
