"""An invoice as it was issued: its number in the shop's own row without a gap, to whom, what was charged and worked.

A bill is never changed and never taken away: that is what keeps its number its own. What is charged later has a bill
of its own, what was wrong a credit note. Never here: who has paid.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_number, require_text
from underdial.record.money import Day, Money, total
from underdial.record.price_parts import PricePart


@dataclass(frozen=True, slots=True, kw_only=True)
class BillLine:
    """One line as it was printed: the work in words, the part, the sum; `work_id` is the work that is charged, `agreed`
    what was agreed for it.
    """

    work_id: str
    words: str
    part: str
    charged: Money
    agreed: PricePart | None = None

    def __post_init__(self) -> None:
        require_text("work_id", self.work_id)
        require_text("words", self.words)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """One invoice. `to` are the lines under which it is sent, `due` the day by which it is paid (None is when the
    clock is fetched). `from_elsewhere` is one that came with a clock out of another shop: its number is of that shop's
    row. `worked_s` are the hours that were worked until then, in seconds, None where none were counted; `hour_price`
    what an hour cost.
    """

    number_count: int
    issued_at: datetime
    issued_by: str
    lines: tuple[BillLine, ...]
    to: tuple[str, ...] = ()
    due: Day | None = None
    worked_s: int | None = None
    hour_price: Money | None = None
    from_elsewhere: bool = False
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_number("number_count", self.number_count, lowest=1)
        require_moment("issued_at", self.issued_at)
        require_text("issued_by", self.issued_by)
        if not self.lines:
            raise RuleBroken("lines", "nothing", "a sum that is charged", "lines: an invoice charges something.")
        # Sums of two currencies are never on one bill.
        total(tuple(one.charged for one in self.lines), currency=self.lines[0].charged.currency)


def of_number(bills: Iterable[Bill], number_count: int) -> Bill | None:
    """The invoice of a number: the shop's own before one of another shop; None where there is none."""
    found = [one for one in bills if one.number_count == number_count]
    return next((one for one in found if not one.from_elsewhere), found[0] if found else None)
