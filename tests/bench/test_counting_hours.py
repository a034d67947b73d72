"""Hours from the bench to the invoice: counted, put right, set beside what was foreseen, charged within what was agreed
to.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from underdial.bench.causes.agreeing import agree_to_all, ceiling_of, offer_choices, record_consent
from underdial.bench.counter.billing import issue_bill
from underdial.bench.counter.receiving import Received
from underdial.bench.rounds.counting_hours import (
    change_charge,
    charge_hours,
    correct_hours,
    hours_shown,
    start_hours,
    stop_hours,
)
from underdial.bench.rounds.proving import release_clock
from underdial.bench.rounds.working import enter_work
from underdial.bench.shop import Shop, clock_page, job
from underdial.errors import BadInput, RuleBroken
from underdial.record.choice import Choice, PlannedWork, PriceBand
from underdial.record.consent import Consent
from underdial.record.money import Money
from underdial.record.price_parts import price_parts
from underdial.record.work import Work
from underdial.web.numbers_typed import number_typed

HOLE, SPRING = "pivot_hole", "mainspring"
BANDS = ((1.0, 3.0), (0.5, 1.5))


def agreed(shop: Shop, drum: Received, *, ceiling: int | None = None) -> Choice:
    """A choice of two works, 2 and 1 hours likely, agreed to whole; its band is 85 to 185, never over 222."""
    prices = (8500, 13500, 18500)
    works = tuple(
        PlannedWork(
            line=f"{n}",
            work=work,
            component=part,
            words=work,
            hours_h=sum(band) / 2.0,
            hours_low_h=band[0],
            hours_high_h=band[1],
            price=price,
        )
        for n, (work, part, band, price) in enumerate(
            zip(("bush", "grease"), (HOLE, SPRING), BANDS, price_parts(prices, "GBP", BANDS), strict=True), 1
        )
    )
    price = PriceBand(
        low_minor=prices[0], likely_minor=prices[1], high_minor=prices[2], ceiling_minor=22200, currency="GBP"
    )
    (choice,) = offer_choices(shop, "drum", [Choice(title="Put right", works=works, price=price)])
    consent = Consent(
        choice_id=choice.id,
        person_id=drum.person_ids[0],
        channel="in_person",
        words="yes",
        given_at=shop.now(),
        lines=agree_to_all(choice),
        ceiling=None if ceiling is None else Money(amount_minor=ceiling, currency="GBP"),
    )
    record_consent(shop, "drum", consent)
    return choice


def done(shop: Shop, **charged: int) -> None:
    for work, part in (("bush", HOLE), ("grease", SPRING)):
        money = Money(amount_minor=charged[work], currency="GBP") if work in charged else None
        enter_work(shop, "drum", Work(work=work, component=part, by="repairer", charged=money))


def test_a_stretch_is_begun_and_ended_and_its_minutes_are_the_works_hours(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    with pytest.raises(RuleBroken, match="none are being counted; start them first"):
        stop_hours(shop, "drum")
    begun = start_hours(shop, "drum")
    with pytest.raises(RuleBroken, match=r"counted since 2 March, .*; stop them first"):
        start_hours(shop, "drum")
    ended = stop_hours(replace(shop, now=lambda: begun.began_at + timedelta(minutes=95)), "drum")
    shown = hours_shown(shop, clock_page(shop, "drum"))

    assert ended.ended_at == begun.began_at + timedelta(minutes=95)
    assert shown.worked == "1 hour 35 minutes"
    # Derived: 2 and 1 hours with half widths of 1 and 0.5; together 3, less and more the root of 1.25, 1.118.
    assert shown.foreseen == "1.9 to 4.1 hours, likely 3"
    # Derived: 95 minutes at 45.00 an hour are 71.25.
    assert shown.comes_to == "£71.25"


def test_what_was_said_to_a_tablet_counts_from_when_it_was_said(shop: Shop, drum: Received) -> None:
    now = shop.now()
    late = replace(shop, done_at=now - timedelta(hours=2))
    start_hours(late, "drum", how="said")
    stop_hours(replace(shop, done_at=now - timedelta(hours=1)), "drum")

    assert hours_shown(shop, clock_page(shop, "drum")).worked == "1 hour"
    # A tablet whose clock is ahead cannot make hours that are still to come.
    start_hours(replace(shop, done_at=now + timedelta(days=30)), "drum", how="said")
    assert stop_hours(shop, "drum").began_at < shop.now()


def test_hours_are_put_right_by_hand_and_never_below_nothing(shop: Shop, drum: Received) -> None:
    correct_hours(shop, "drum", more_h=4 / 3, why="forgot to start")
    correct_hours(shop, "drum", more_h=-1 / 3)
    with pytest.raises(RuleBroken, match="of 1 hour counted 2 hours cannot be taken off"):
        correct_hours(shop, "drum", more_h=-2.0)
    with pytest.raises(BadInput, match="nothing is put right"):
        correct_hours(shop, "drum", more_h=0.0)

    shown = hours_shown(shop, clock_page(shop, "drum"))
    assert shown.worked == "1 hour"
    assert [one.long for one in shown.stretches] == ["1 hour 20 minutes more", "20 minutes less"]


def test_what_was_worked_is_charged_by_the_hours_foreseen_and_stands_on_the_invoice(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    done(shop)
    correct_hours(shop, "drum", more_h=3.5)
    charged = charge_hours(shop, "drum")
    bill = issue_bill(shop, "drum")

    # Derived: 3.5 h at 45.00 are 157.50, by 2 to 1 hours 105.00 and 52.50.
    assert [one.charged.amount_minor for one in charged if one.charged] == [10500, 5250]
    assert (bill.worked_s, bill.hour_price) == (12600, Money(amount_minor=4500, currency="GBP"))
    assert [one.charged.amount_minor for one in bill.lines] == [10500, 5250]
    with pytest.raises(RuleBroken, match="a work has its charge already"):
        charge_hours(shop, "drum")


@pytest.mark.parametrize("ceiling", [None, 22200])
def test_hours_above_what_was_agreed_are_refused_until_there_is_a_new_yes(
    shop: Shop, drum: Received, ceiling: int | None
) -> None:
    choice = agreed(shop, drum, ceiling=ceiling)
    done(shop)
    correct_hours(shop, "drum", more_h=5.0)

    # Derived: 5 h at 45.00 are 225.00, 3.00 above 222.00.
    with pytest.raises(RuleBroken, match=r"3\.00 GBP above the agreed ceiling of 222\.00; ask the owner"):
        charge_hours(shop, "drum")
    assert all(one.charged is None for one in clock_page(shop, "drum").works)
    more = Consent(
        choice_id=choice.id,
        person_id=drum.person_ids[0],
        channel="telephone",
        words="up to 240 then",
        given_at=shop.now(),
        lines=agree_to_all(choice),
        ceiling=Money(amount_minor=24000, currency="GBP"),
    )
    record_consent(shop, "drum", more)
    # Derived: the 225.00 that were refused.
    assert sum(one.charged.amount_minor for one in charge_hours(shop, "drum") if one.charged) == 22500


def test_an_invoice_above_what_was_agreed_is_refused_in_one_sentence(shop: Shop, drum: Received) -> None:
    choice = agreed(shop, drum)
    with pytest.raises(RuleBroken, match=r"0\.01 GBP above the agreed ceiling of 222\.00"):
        done(shop, bush=20000, grease=2201)
    top = ceiling_of(choice)
    assert top is not None
    # One that was written before there was a rule on it stands in the record, and goes on no invoice.
    with job(shop, "drum", by="x") as at:
        at.add(Work(work="grease", component=SPRING, by="x", charged=top, visit_id=at.visit_id))
    with pytest.raises(RuleBroken, match="£422 is charged and £222 was agreed to; charge no more, or ask the owner"):
        issue_bill(shop, "drum")
    written = clock_page(shop, "drum").works[-1]
    change_charge(shop, "drum", written.id, None)
    # Derived: the first of its row, since what was refused took no number.
    assert issue_bill(shop, "drum").number_count == 1


def test_hours_that_run_hold_an_invoice_up_and_end_when_the_clock_goes_home(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    done(shop, bush=1000)
    start_hours(shop, "drum")
    with pytest.raises(RuleBroken, match="they are being counted still; stop them before the invoice is issued"):
        issue_bill(shop, "drum")
    with pytest.raises(RuleBroken, match="they are being counted; stop them first"):
        charge_hours(shop, "drum")
    release_clock(shop, "drum", person_id=drum.person_ids[0], why="fetched early")

    page = clock_page(shop, "drum")
    assert page.hours[0].ended_at == page.visit.gone_at


@pytest.mark.parametrize(("more_h", "worked"), [(1 / 3, "1 hour 50 minutes"), (-0.5, "1 hour")])
def test_hours_written_with_works_are_put_right_and_not_lost(
    shop: Shop, drum: Received, more_h: float, worked: str
) -> None:
    agreed(shop, drum)
    enter_work(shop, "drum", Work(work="bush", component=HOLE, by="repairer", hours_h=1.5))
    correct_hours(shop, "drum", more_h=more_h)

    # Derived: 1 h 30 were written with the work, 20 minutes more or 30 less were put right.
    assert hours_shown(shop, clock_page(shop, "drum")).worked == worked


def test_nothing_is_charged_where_an_hour_has_no_price(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    done(shop)
    correct_hours(shop, "drum", more_h=1.0)
    free = replace(shop, settings=replace(shop.settings, hour_price_minor=0))

    with pytest.raises(RuleBroken, match="hours: an hour has no price in the settings of the shop"):
        charge_hours(free, "drum")
    assert [one.charged for one in clock_page(shop, "drum").works] == [None, None]


def test_what_is_told_to_be_typed_can_be_typed(shop: Shop, drum: Received) -> None:
    with pytest.raises(BadInput) as refused:
        correct_hours(shop, "drum", more_h=0.0)

    # Derived: 1 h 20 are 4/3 h, and half an hour less −0.5 h.
    assert [
        number_typed("hours", one, unit="h") for one in refused.value.allowed.split("such as ")[1].split(" or ")
    ] == [pytest.approx(4 / 3), -0.5]
