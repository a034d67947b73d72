"""A credit note takes back no more than is left of an invoice, line by line."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from underdial.errors import RuleBroken
from underdial.record.bill import Bill, BillLine
from underdial.record.credit import Credit, as_charged, left_of, lines_to_credit, not_billed
from underdial.record.money import Money
from underdial.record.work import Work

NOON = datetime(2026, 3, 20, 12, tzinfo=UTC)


def pounds(pence: int) -> Money:
    return Money(amount_minor=pence, currency="GBP")


def line(work: str, pence: int) -> BillLine:
    return BillLine(work_id=work, words="bush", part="hole", charged=pounds(pence))


BILL = Bill(
    number_count=17, issued_at=NOON, issued_by="A", lines=(line("work-1", 15000), line("work-2", 3550)), id="bill-1"
)
WORKS = tuple(
    Work(work="bush", component="pivot_hole", by="A", charged=pounds(pence), id=name)
    for name, pence in (("work-1", 15000), ("work-2", 3550))
)


def note(sums: dict[int, int] | None, earlier: tuple[Credit, ...] = ()) -> Credit:
    return Credit(
        number_count=len(earlier) + 1,
        bill_id="bill-1",
        bill_number_count=17,
        issued_at=NOON,
        issued_by="A",
        why="wrong sum",
        lines=lines_to_credit(BILL, earlier, sums),
    )


def test_without_sums_it_is_all_that_is_left_and_then_nothing_is() -> None:
    part = note({1: 5000})
    rest = note(None, (part,))

    # Derived: 150.00 less 50.00, and 35.50.
    assert [one.credited.amount_minor for one in rest.lines] == [10000, 3550]
    assert [one.amount_minor for one in left_of(BILL, (part, rest))] == [0, 0]
    with pytest.raises(RuleBroken, match="nothing of invoice 17 is taken back"):
        note(None, (part, rest))


@pytest.mark.parametrize(
    ("sums", "said"),
    [
        ({1: 15001}, r"of line 1 of invoice 17 150\.00 GBP is left, not 150\.01"),
        ({2: -1}, r"not -0\.01"),
        ({3: 100}, "has no line 3; it has 2"),
        ({1: 0, 2: 0}, "nothing of invoice 17"),
    ],
)
def test_more_than_is_left_is_refused(sums: dict[int, int], said: str) -> None:
    with pytest.raises(RuleBroken, match=said):
        note(sums)


def test_a_work_whose_whole_line_was_taken_back_waits_for_an_invoice_again() -> None:
    part, whole = note({1: 5000}), note({1: 15000})

    assert not_billed(WORKS, (BILL,), (part,)) == ()
    assert [one.id for one in not_billed(WORKS, (BILL,), (whole,))] == ["work-1"]
    # Derived: 150.00 less 50.00; of one taken back whole what it is charged with anew stands.
    assert [one.charged.amount_minor for one in as_charged(WORKS, (BILL,), (part,)) if one.charged] == [10000, 3550]
    assert [one.charged.amount_minor for one in as_charged(WORKS, (BILL,), (whole,)) if one.charged] == [15000, 3550]


def test_a_line_of_nothing_waits_again_when_all_else_of_its_invoice_was_taken_back() -> None:
    bill = replace(BILL, lines=(line("work-1", 15000), line("work-2", 0)))
    back = note({1: 15000})

    assert [one.id for one in not_billed(WORKS, (bill,), (back,))] == ["work-1", "work-2"]
    # While something of it is left, the line of nothing stands on it; so does one that charges nothing at all.
    assert not_billed(WORKS, (bill,), (note({1: 5000}),)) == ()
    assert [one.id for one in not_billed(WORKS, (replace(bill, lines=(line("work-2", 0),)),))] == ["work-1"]
