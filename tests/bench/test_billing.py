"""Invoices take the numbers of the shop one after the other, whoever issues them and whatever is refused between."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from tests.bench.conftest import NOON
from underdial.bench.counter.billing import bill_words, issue_bill
from underdial.bench.counter.receiving import Received, receive_clock
from underdial.bench.keeping import check_shop, export_clocks, import_clocks
from underdial.bench.rounds.proving import release_clock
from underdial.bench.shop import Shop, clock_page, job, open_shop
from underdial.bench.shown.writing import dossier_of
from underdial.errors import RuleBroken
from underdial.papers.blocks import Facts, Rows
from underdial.papers.invoice import invoice
from underdial.record.bill import Bill
from underdial.record.clock import Clock
from underdial.record.money import Money
from underdial.record.visit import Visit
from underdial.record.work import Work
from underdial.store.records import add

TEN = 10


def charge(shop: Shop, tag: str, pence: int = 1250) -> None:
    """A work that is charged, written as one of before there were rules on it."""
    with job(shop, tag, by="bench", gone_too=True) as at:
        work = Work(
            work="rak_08_re_form",
            component="rack_spring",
            by="bench",
            charged=Money(amount_minor=pence, currency="GBP"),
            visit_id=at.visit_id,
        )
        at.add(work)


def issued_by_both(benches: tuple[Shop, Shop], tags: tuple[str, str]) -> None:
    """Ten invoices of each of two benches at once; what is refused for the other's sake is issued again."""

    def ten(bench: Shop, tag: str) -> None:
        for _ in range(TEN):
            charge(bench, tag)
            issue_bill(bench, tag)

    with ThreadPoolExecutor(2) as both:
        for done in [both.submit(ten, *one) for one in zip(benches, tags, strict=True)]:
            done.result()


def numbers_of(shop: Shop, tags: tuple[str, ...]) -> list[int]:
    return sorted(one.number_count for tag in tags for one in clock_page(shop, tag).bills)


def test_two_benches_on_one_file_take_every_number_once(tmp_path: Path) -> None:
    benches = open_shop(tmp_path / "shop"), open_shop(tmp_path / "shop")
    for tag in ("a", "b"):
        receive_clock(benches[0], Clock(tag=tag, name="drum timepiece"), Visit(received_at=NOON))
    issued_by_both(benches, ("a", "b"))

    # Derived: ten invoices of each bench, in one row from 1 to 20.
    assert numbers_of(benches[0], ("a", "b")) == list(range(1, 2 * TEN + 1))
    assert check_shop(benches[0])["verdict"] == "sound"
    for one in benches:
        one.engine.dispose()


def test_what_is_refused_takes_no_number_and_nothing_is_charged_twice(shop: Shop, drum: Received) -> None:
    with pytest.raises(RuleBroken, match="nothing is charged that does not stand on an invoice already"):
        issue_bill(shop, "drum")
    charge(shop, "drum")
    first = issue_bill(shop, "drum")
    with pytest.raises(RuleBroken):
        issue_bill(shop, "drum")
    charge(shop, "drum", 900)
    second = issue_bill(shop, "drum")

    # Derived: one after the other, though one was refused between; the second charges what came after the first.
    assert [one.number_count for one in (first, second)] == [1, 2]
    assert (bill_words(first), bill_words(second)) == ("Invoice 1: £12.50", "Invoice 2: £9")


def test_the_database_itself_keeps_no_number_twice(shop: Shop, drum: Received) -> None:
    charge(shop, "drum")
    bill = issue_bill(shop, "drum")

    with pytest.raises(RuleBroken, match="something of this name is there already"), job(shop, "drum", by="x") as at:
        add(at.connection, replace(bill, id="", visit_id=at.visit_id), at.writer, clock_id=at.clock_id)
    assert numbers_of(shop, ("drum",)) == [1]


def test_the_paper_is_that_of_the_invoice_as_it_was_issued_and_says_so_before(shop: Shop, drum: Received) -> None:
    def told() -> tuple[str, str, list[str]]:
        paper = invoice(dossier_of(shop, clock_page(shop, "drum"), answer=None))
        facts = dict(next(one for one in paper.blocks if isinstance(one, Facts)).pairs)
        charged = next(one for one in paper.blocks if isinstance(one, Rows))
        return paper.title, facts["Number"], [row[2] for row in charged.rows]

    charge(shop, "drum")
    assert told() == ("Invoice, not issued yet", "none yet", ["£12.50", "£12.50"])
    issue_bill(shop, "drum")
    release_clock(shop, "drum", person_id=drum.person_ids[0], why="fetched early")
    assert told() == ("Invoice", "1", ["£12.50", "£12.50"])
    # What is charged after the clock went home has an invoice of its own.
    charge(shop, "drum", 900)
    assert told()[:2] == ("Invoice, not issued yet", "none yet")
    issue_bill(shop, "drum")
    assert told() == ("Invoice", "2", ["£9.00", "£9.00"])


def test_an_invoice_that_came_with_a_clock_leaves_the_row_of_this_shop_alone(
    shop: Shop, drum: Received, tmp_path: Path
) -> None:
    charge(shop, "drum")
    issue_bill(shop, "drum")
    export_clocks(shop, ["drum"], tmp_path / "drum.zip")
    other = open_shop(tmp_path / "other")
    receive_clock(other, Clock(tag="own", name="longcase"), Visit(received_at=NOON))
    charge(other, "own")
    issue_bill(other, "own")
    import_clocks(other, tmp_path / "drum.zip")
    charge(other, "own")
    bills: tuple[Bill, ...] = clock_page(other, "drum").bills

    assert [(one.number_count, one.from_elsewhere) for one in bills] == [(1, True)]
    # Derived: one of its own before; the one that came does not count.
    assert issue_bill(other, "own").number_count == 2
    assert check_shop(other)["verdict"] == "sound"
    other.engine.dispose()
