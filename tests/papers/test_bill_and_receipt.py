"""What the owner is handed at the counter and at the end: who, where, for what, by when, and sums in a column."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from tests.papers.test_bench_sheet import NOON, dossier
from underdial.papers.blocks import Facts, Rows, all_words
from underdial.papers.counter_papers import receipt
from underdial.papers.credit_note import credit_note
from underdial.papers.dossier import Dossier, ShopName
from underdial.papers.invoice import invoice
from underdial.record.bill import Bill, BillLine
from underdial.record.choice import PriceBand
from underdial.record.complaint import Complaint
from underdial.record.credit import Credit, CreditLine
from underdial.record.money import Day, Money
from underdial.record.people import PartToPlay, Person
from underdial.record.price_parts import PricePart
from underdial.record.visit import Visit
from underdial.record.work import Work

MAUD = Person(name="Maud Pike", address="Mill House\nTarrow", telephone="01632 960456", id="p1")
HAL = Person(name="Hal Pike", address="9 Low Lane", telephone="01632 960789", id="p2")
SHOP = ShopName(name="A shop", address=("The Forge", "Tarrow"), telephone="01632 960200")
PRICE = PriceBand(low_minor=10000, likely_minor=22800, high_minor=30000, ceiling_minor=32500, currency="GBP")


def pounds(pence: int) -> Money:
    return Money(amount_minor=pence, currency="GBP")


def played(*parts: tuple[str, str]) -> tuple[PartToPlay, ...]:
    return tuple(PartToPlay(person_id=person, part=part) for person, part in parts)


WORKS = (Work(work="bush", component="pivot_hole", of="third_wheel", by="A", charged=pounds(15000), id="work-1"),)
BILL = Bill(
    number_count=17,
    issued_at=datetime(2026, 3, 20, 12, tzinfo=UTC),
    issued_by="A",
    lines=(BillLine(work_id="work-1", words="bush", part="pivot hole of the third wheel", charged=pounds(15000)),),
    to=("Maud Pike", "Mill House", "Tarrow"),
    id="bill-1",
)


def clock_of(**changes: Any) -> Dossier:
    given: dict[str, Any] = {
        "shop": SHOP,
        "people": {"p1": MAUD, "p2": HAL},
        "parts_played": played(("p1", "pays"), ("p1", "owns"), ("p2", "owns")),
        "works": (
            Work(work="bush", component="pivot_hole", of="third_wheel", by="A", charged=pounds(15000)),
            Work(work="clean", component="movement", by="A", charged=pounds(3550)),
        ),
    }
    return dossier(**{**given, **changes})


def facts(paper: Any) -> dict[str, str]:
    return dict(next(one for one in paper.blocks if isinstance(one, Facts)).pairs)


def test_the_bill_names_both_parties_with_their_addresses_a_number_and_a_day() -> None:
    draft = facts(invoice(clock_of(visit_number_count=2)))
    told = facts(invoice(clock_of(works=WORKS, bills=(BILL,))))

    assert (draft["Number"], draft["For"]) == ("none yet", "Drum timepiece, ticket 214, visit 2")
    assert (told["Number"], told["Date"]) == ("17", "20 March 2026")
    assert draft["To"] == told["To"]
    assert told["To"].splitlines() == ["Maud Pike", "Mill House", "Tarrow"]
    assert told["From"].splitlines() == ["A shop", "The Forge", "Tarrow", "Telephone 01632 960200"]
    assert told["Due"] == "when the clock is fetched"


def test_a_shop_that_gives_credit_names_the_day() -> None:
    credit = replace(SHOP, pay_within_days=14)
    due = Day(on=date(2026, 4, 3), zone="UTC")

    assert facts(invoice(clock_of(shop=credit)))["Due"] == "within 14 days"
    # Derived: issued on 20 March; fourteen days on, as it was written when it was issued.
    assert facts(invoice(clock_of(works=WORKS, bills=(replace(BILL, due=due),))))["Due"] == "3 April 2026"


def test_of_two_who_pay_neither_address_is_printed() -> None:
    words = all_words(invoice(clock_of(parts_played=played(("p1", "pays"), ("p2", "pays")))))

    assert "Maud Pike and Hal Pike" in words
    assert "Mill House" not in words


def test_sums_stand_in_a_column_with_their_pence() -> None:
    charged = next(one for one in invoice(clock_of()).blocks if isinstance(one, Rows))

    # Derived: 150 + 35.50.
    assert [row[2] for row in charged.rows] == ["£150.00", "£35.50", "£185.50"]
    assert charged.right == (2,)


def test_what_was_agreed_stands_beside_what_is_charged() -> None:
    one = clock_of()
    priced = replace(one.choices[0], price=PRICE)
    ceiling = replace(one.consents[0], ceiling=pounds(40000))
    whole = replace(ceiling, lines=tuple(replace(line, answer="yes") for line in ceiling.lines))

    def agreed(**changes: Any) -> list[tuple[str, ...]]:
        tables = [each for each in invoice(replace(one, **changes)).blocks if isinstance(each, Rows)]
        return [row for table in tables[1:] for row in table.rows]

    limit, charged = ("Not to be passed without asking", "£400.00"), ("Charged", "£185.50")
    assert agreed(choices=(priced,), consents=(whole,)) == [("Likely, for “Put right”", "£228.00"), limit, charged]
    # Of a choice that was not taken whole the price says nothing.
    assert agreed(choices=(priced,), consents=(ceiling,)) == [limit, charged]
    # Where no other sum was named it is the ceiling of the choice: "never over £325 without asking you".
    assert agreed(choices=(priced,)) == [("Not to be passed without asking", "£325.00"), charged]


def test_the_bill_says_what_was_agreed_for_each_work_and_what_was_worked() -> None:
    part = PricePart(low_minor=12000, likely_minor=14000, high_minor=16000, currency="GBP")
    kept = replace(BILL, lines=(replace(BILL.lines[0], agreed=part),), worked_s=12000, hour_price=pounds(4500))
    tables = [one for one in invoice(clock_of(works=WORKS, bills=(kept,))).blocks if isinstance(one, Rows)]

    assert tables[0].rows[0] == ("bush", "pivot hole of the third wheel", "£120 to £160", "£150.00")
    # Derived: 12000 s are 3 h 20 min, at 45.00 an hour 150.00.
    assert tables[1].rows[-2:] == (
        ("Worked at this visit", "3 hours 20 minutes"),
        ("At £45 an hour this comes to", "£150.00"),
    )


def test_a_price_that_is_one_sum_says_nothing_of_hours() -> None:
    one = clock_of(works=(replace(WORKS[0], hours_h=3.0),))
    fixed = replace(PRICE, low_minor=22800, high_minor=22800)

    def hours(price: PriceBand) -> list[str]:
        told = invoice(replace(one, choices=(replace(one.choices[0], price=price),)))
        return [
            row[1]
            for table in told.blocks
            if isinstance(table, Rows)
            for row in table.rows
            if row[0].startswith("Worked")
        ]

    assert (hours(PRICE), hours(fixed)) == (["3 hours"], [])


def test_a_credit_note_names_the_invoice_and_what_is_left_of_it() -> None:
    def back(number: int, pence: int) -> Credit:
        line = CreditLine(line_count=1, words="bush", part="pivot hole of the third wheel", credited=pounds(pence))
        return Credit(
            number_count=number,
            bill_id="bill-1",
            bill_number_count=17,
            issued_at=datetime(2026, 4, 2, 12, tzinfo=UTC),
            issued_by="A",
            why="the hole was bushed under warranty",
            lines=(line,),
            to=BILL.to,
        )

    told = clock_of(works=WORKS, bills=(BILL,), credits=(back(3, 2000), back(4, 5000)))
    paper = credit_note(told)
    said = facts(paper)
    left = [one for one in paper.blocks if isinstance(one, Rows)][-1]

    assert (said["Number"], said["Credits invoice"]) == ("4", "number 17 of 20 March 2026")
    assert said["To"].splitlines() == ["Maud Pike", "Mill House", "Tarrow"]
    # Derived: 150.00 less 20.00 before and 50.00 now is 80.00.
    assert left.rows == (
        ("Charged", "£150.00"),
        ("Credited before", "£20.00"),
        ("Credited with this note", "£50.00"),
        ("Left of the invoice", "£80.00"),
    )
    # An earlier one is wanted by its number, as it was then.
    earlier = [one for one in credit_note(replace(told, number_count=3)).blocks if isinstance(one, Rows)][-1]
    assert earlier.rows[-1] == ("Left of the invoice", "£130.00")
    assert "No invoice has been credited" in all_words(credit_note(clock_of()))


def test_the_receipt_gives_the_complaint_and_where_both_are_reached() -> None:
    visit = Visit(received_at=NOON, complaint=Complaint(words="it stops at night"))
    told = facts(receipt(clock_of(visit=visit, parts_played=played(("p1", "brings"), ("p2", "owns")))))

    assert told["Reason"] == "“it stops at night”"
    assert told["Brought by"].splitlines() == ["Maud Pike", "Mill House", "Tarrow", "Telephone 01632 960456"]
    # Whoever brings it is told nothing of where somebody else is reached.
    assert told["Belongs to"] == "Hal Pike"
    assert "Telephone 01632 960200" in told["Shop"]


@pytest.mark.parametrize(("reason", "said"), [("repair", "repair"), ("", "not written down")])
def test_a_receipt_without_a_complaint_gives_the_reason_that_was_written(reason: str, said: str) -> None:
    assert facts(receipt(clock_of(visit=Visit(received_at=NOON, reason=reason))))["Reason"] == said


def test_the_receipt_carries_what_is_told_at_the_counter_and_not_what_was_found_later() -> None:
    words = all_words(receipt(clock_of(counter_cautions=("carry it upright",), owner_cautions=("do not wind it",))))

    assert "carry it upright" in words
    assert "do not wind it" not in words
