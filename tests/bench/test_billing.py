"""Invoices take the numbers of the shop one after the other, whoever issues them and whatever is refused between."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from tests.bench.conftest import NOON
from underdial.bench.counter.billing import bill_words, credit_words, issue_bill, issue_credit
from underdial.bench.counter.receiving import Received, receive_clock
from underdial.bench.keeping import check_shop, export_clocks, import_clocks
from underdial.bench.rounds.counting_hours import change_charge
from underdial.bench.rounds.proving import release_clock
from underdial.bench.shop import Shop, clock_page, job, open_shop
from underdial.bench.shown.issuing import issue_credit_note, issue_invoice, send_paper
from underdial.bench.shown.sent_papers import sent_shown
from underdial.bench.shown.writing import dossier_of, paper, write_papers
from underdial.errors import NotFound, RuleBroken
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


def credited_by_both(benches: tuple[Shop, Shop], tags: tuple[str, str]) -> list[int]:
    """Ten credit notes of each of two benches at once, of an invoice of each; their numbers in order."""
    bills = []
    for bench, tag in zip(benches, tags, strict=True):
        charge(bench, tag, 100 * TEN)
        bills.append(issue_bill(bench, tag).number_count)

    def ten(bench: Shop, tag: str, bill: int) -> None:
        for _ in range(TEN):
            with pytest.raises(RuleBroken):
                issue_credit(bench, tag, bill, why="twice too much", sums_minor={1: 100 * TEN + 1})
            issue_credit(bench, tag, bill, why="too much", sums_minor={1: 100})

    with ThreadPoolExecutor(2) as both:
        for done in [both.submit(ten, *one) for one in zip(benches, tags, bills, strict=True)]:
            done.result()
    return sorted(one.number_count for tag in tags for one in clock_page(benches[0], tag).credits)


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


def test_credit_notes_have_a_row_of_their_own_without_a_gap(tmp_path: Path) -> None:
    benches = open_shop(tmp_path / "shop"), open_shop(tmp_path / "shop")
    for tag in ("a", "b"):
        receive_clock(benches[0], Clock(tag=tag, name="drum timepiece"), Visit(received_at=NOON))

    # Derived: ten of each bench, in one row from 1 to 20, though as many were refused between; invoices 1 and 2 beside.
    assert credited_by_both(benches, ("a", "b")) == list(range(1, 2 * TEN + 1))
    assert numbers_of(benches[0], ("a", "b")) == [1, 2]
    assert check_shop(benches[0])["verdict"] == "sound"
    for one in benches:
        one.engine.dispose()


def test_a_wrong_invoice_is_credited_charged_right_and_issued_anew(shop: Shop, drum: Received) -> None:
    charge(shop, "drum", 15000)
    wrong = issue_invoice(shop, "drum")
    before = paper(shop, "drum", "invoice", number=1)
    work = clock_page(shop, "drum").works[0]
    with pytest.raises(RuleBroken, match="stands on an invoice, which is never altered"):
        change_charge(shop, "drum", work.id, Money(amount_minor=5100, currency="GBP"))
    note = issue_credit_note(shop, "drum", 1, why="figures turned round")
    change_charge(shop, "drum", work.id, Money(amount_minor=5100, currency="GBP"))
    right = issue_invoice(shop, "drum")
    page = clock_page(shop, "drum")

    assert credit_words(note) == "Credit note 1, of invoice 1: £150"
    # Derived: the second of the row.
    assert (right.number_count, bill_words(right)) == (2, "Invoice 2: £51")
    # The first is what it was, in the record and as the file that went out.
    assert page.bills[0] == wrong
    assert paper(shop, "drum", "invoice", number=1) == before
    assert [one.what for one in sent_shown(shop, page)] == ["invoice 1", "credit note 1", "invoice 2"]
    with pytest.raises(NotFound, match="has no invoice 7; its invoices: 1, 2"):
        issue_credit(shop, "drum", 7, why="x")
    with pytest.raises(RuleBroken, match="say what was wrong"):
        issue_credit(shop, "drum", 2, why=" ")
    with pytest.raises(NotFound, match="this visit has no credit note 9"):
        paper(shop, "drum", "credit", number=9)


def test_the_database_itself_keeps_no_credit_number_twice_and_none_without_its_invoice(
    shop: Shop, drum: Received
) -> None:
    charge(shop, "drum")
    issue_bill(shop, "drum")
    note = issue_credit(shop, "drum", 1, why="too much", sums_minor={1: 100})

    for changed in ({"id": ""}, {"id": "", "number_count": 2, "bill_id": "bill-9"}):
        with pytest.raises(RuleBroken), job(shop, "drum", by="x") as at:
            add(at.connection, replace(note, **changed), at.writer, clock_id=at.clock_id)
    # Derived: the one that was issued, the first of its row.
    assert [one.number_count for one in clock_page(shop, "drum").credits] == [1]


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
        laid_out = invoice(dossier_of(shop, clock_page(shop, "drum"), answer=None))
        facts = dict(next(one for one in laid_out.blocks if isinstance(one, Facts)).pairs)
        charged = next(one for one in laid_out.blocks if isinstance(one, Rows))
        return laid_out.title, facts["Number"], [row[2] for row in charged.rows]

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
    issue_credit(shop, "drum", 1, why="too much", sums_minor={1: 100})
    export_clocks(shop, ["drum"], tmp_path / "drum.zip")
    other = open_shop(tmp_path / "other")
    receive_clock(other, Clock(tag="own", name="longcase"), Visit(received_at=NOON))
    charge(other, "own")
    issue_bill(other, "own")
    import_clocks(other, tmp_path / "drum.zip")
    charge(other, "own")
    bills: tuple[Bill, ...] = clock_page(other, "drum").bills

    assert [(one.number_count, one.from_elsewhere) for one in bills] == [(1, True)]
    assert [(one.number_count, one.from_elsewhere) for one in clock_page(other, "drum").credits] == [(1, True)]
    with pytest.raises(RuleBroken, match="was issued by another shop"):
        issue_credit(other, "drum", 1, why="x")
    # Derived: the first of its own; the one that came does not count.
    assert issue_credit(other, "own", 1, why="too much").number_count == 1
    # Derived: one of its own before; the one that came does not count.
    assert issue_bill(other, "own").number_count == 2
    assert check_shop(other)["verdict"] == "sound"
    other.engine.dispose()


def test_of_two_invoices_of_one_number_the_own_is_credited(shop: Shop, drum: Received, tmp_path: Path) -> None:
    charge(shop, "drum")
    issue_bill(shop, "drum")
    export_clocks(shop, ["drum"], tmp_path / "drum.zip")
    other = open_shop(tmp_path / "other")
    import_clocks(other, tmp_path / "drum.zip")
    charge(other, "drum", 900)
    own = issue_bill(other, "drum")

    # Derived: the first of the other shop's row, as that which came with the clock was of its own.
    assert own.number_count == 1
    assert issue_credit(other, "drum", 1, why="too much").bill_id == own.id
    other.engine.dispose()


def test_an_invoice_whose_file_was_not_kept_is_kept_later_and_once(shop: Shop, drum: Received) -> None:
    charge(shop, "drum")
    # As after a cut: the invoice is issued, its file not kept.
    issue_bill(shop, "drum")
    assert sent_shown(shop, clock_page(shop, "drum")) == []
    first, again = send_paper(shop, "drum", "invoice"), send_paper(shop, "drum", "invoice")

    assert again.sha256 == first.sha256
    assert [one.what for one in sent_shown(shop, clock_page(shop, "drum"))] == ["invoice 1"]


def test_papers_that_are_kept_do_not_keep_an_invoice_a_second_time(shop: Shop, drum: Received, tmp_path: Path) -> None:
    charge(shop, "drum")
    issue_invoice(shop, "drum")
    write_papers(shop, "drum", tmp_path, kinds=["invoice"], keep=True)

    assert [one.what for one in sent_shown(shop, clock_page(shop, "drum"))] == ["invoice 1"]


def test_the_file_of_another_shops_invoice_is_never_taken_for_the_own_of_its_number(
    shop: Shop, drum: Received, tmp_path: Path
) -> None:
    charge(shop, "drum")
    issue_invoice(shop, "drum")
    export_clocks(shop, ["drum"], tmp_path / "drum.zip")
    theirs = paper(shop, "drum", "invoice", number=1)
    other = open_shop(tmp_path / "other")
    import_clocks(other, tmp_path / "drum.zip")
    assert paper(other, "drum", "invoice", number=1) == theirs
    charge(other, "drum", 900)
    issue_invoice(other, "drum")

    assert paper(other, "drum", "invoice", number=1) != theirs
    # Derived: that which came with the clock, and the own.
    assert [one.what for one in sent_shown(other, clock_page(other, "drum"))] == ["invoice 1", "invoice 1"]
    other.engine.dispose()
