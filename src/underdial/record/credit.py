"""A credit note: what is taken back of an invoice that was issued, in whole or in part, with a number of its own row.

Neither the invoice nor the credit note is ever changed. Never here: who has been paid back.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.bill import Bill, BillLine
from underdial.record.fields import require_moment, require_number, require_text
from underdial.record.money import Money, total
from underdial.record.work import Work


@dataclass(frozen=True, slots=True, kw_only=True)
class CreditLine:
    """What is taken back of one line of an invoice, in its words; `line_count` is which line, from 1."""

    line_count: int
    words: str
    part: str
    credited: Money

    def __post_init__(self) -> None:
        require_number("line_count", self.line_count, lowest=1)
        require_text("words", self.words)
        if self.credited.amount_minor <= 0:
            raise RuleBroken("credited", self.credited.amount_minor, "a sum above nothing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Credit:
    """One credit note. `bill_id` and `bill_number_count` are the invoice it is of, `why` what was wrong with it, `to`
    the lines under which it is sent. `from_elsewhere` is one that came with a clock out of another shop: its number is
    of that shop's row.
    """

    number_count: int
    bill_id: str
    bill_number_count: int
    issued_at: datetime
    issued_by: str
    why: str
    lines: tuple[CreditLine, ...]
    to: tuple[str, ...] = ()
    from_elsewhere: bool = False
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_number("number_count", self.number_count, lowest=1)
        require_number("bill_number_count", self.bill_number_count, lowest=1)
        require_moment("issued_at", self.issued_at)
        for field in ("bill_id", "issued_by", "why"):
            require_text(field, getattr(self, field))
        if not self.lines:
            raise RuleBroken("lines", "nothing", "a sum that is taken back", "lines: a credit note takes a sum back.")
        total(tuple(one.credited for one in self.lines), currency=self.lines[0].credited.currency)


def left_of(bill: Bill, credits: Iterable[Credit]) -> tuple[Money, ...]:
    """What is left of each line of an invoice when its credit notes are taken off."""
    back_minor: dict[int, int] = {}
    for one in credits:
        for line in one.lines if one.bill_id == bill.id else ():
            back_minor[line.line_count] = back_minor.get(line.line_count, 0) + line.credited.amount_minor
    return tuple(
        replace(line.charged, amount_minor=line.charged.amount_minor - back_minor.get(number, 0))
        for number, line in enumerate(bill.lines, 1)
    )


def lines_to_credit(
    bill: Bill, credits: Iterable[Credit], sums_minor: Mapping[int, int] | None
) -> tuple[CreditLine, ...]:
    """The lines of a credit note: all that is left of the invoice, or the sums named by line [minor units].

    RuleBroken when there is no such line, when more is to be taken back than is left of one, or when nothing is.
    """
    left = left_of(bill, credits)
    wanted = {number: one.amount_minor for number, one in enumerate(left, 1)} if sums_minor is None else sums_minor
    for number, sum_minor in wanted.items():
        if not 1 <= number <= len(left):
            raise RuleBroken(
                "line",
                number,
                f"1 to {len(left)}",
                f"line: invoice {bill.number_count} has no line {number}; it has {len(left)}.",
            )
        rest = left[number - 1]
        if not 0 <= sum_minor <= rest.amount_minor:
            raise RuleBroken(
                "credit",
                sum_minor,
                f"0 to {rest.amount_minor} {rest.currency} (minor units)",
                f"credit: of line {number} of invoice {bill.number_count} {rest.amount_minor / 100:.2f} "
                f"{rest.currency} is left, not {sum_minor / 100:.2f}.",
            )
    if not any(wanted.values()):
        raise RuleBroken(
            "credit",
            "nothing",
            "a sum that is taken back",
            f"credit: nothing of invoice {bill.number_count} is taken back; name a sum that is left of it.",
        )
    return tuple(
        _line(number, bill.lines[number - 1], sum_minor) for number, sum_minor in sorted(wanted.items()) if sum_minor
    )


def not_billed(works: Iterable[Work], bills: Iterable[Bill], credits: Iterable[Credit] = ()) -> tuple[Work, ...]:
    """The works that are charged and stand on no invoice, but for one whose line was taken back whole; a line of
    nothing is with all the rest of its invoice.
    """
    billed = _left_minor(bills, credits)
    return tuple(one for one in works if one.charged is not None and one.id not in billed)


def as_charged(works: Iterable[Work], bills: Iterable[Bill], credits: Iterable[Credit] = ()) -> tuple[Work, ...]:
    """The works, each with what it comes to when what was taken back is off: of one that stands on an invoice what is
    left of that.
    """
    left = _left_minor(bills, credits)
    return tuple(
        replace(one, charged=replace(one.charged, amount_minor=left[one.id]))
        if one.charged is not None and one.id in left
        else one
        for one in works
    )


def _left_minor(bills: Iterable[Bill], credits: Iterable[Credit]) -> dict[str, int]:
    """What is left on invoices of each work [minor units], of those of which something is."""
    credits, left = tuple(credits), dict[str, int]()
    for bill in bills:
        rests = left_of(bill, credits)
        all_back = any(one.charged.amount_minor for one in bill.lines) and not any(one.amount_minor for one in rests)
        for line, rest in zip(bill.lines, rests, strict=True):
            if not all_back and (rest.amount_minor or not line.charged.amount_minor):
                left[line.work_id] = left.get(line.work_id, 0) + rest.amount_minor
    return left


def _line(number: int, line: BillLine, sum_minor: int) -> CreditLine:
    return CreditLine(
        line_count=number, words=line.words, part=line.part, credited=replace(line.charged, amount_minor=sum_minor)
    )
