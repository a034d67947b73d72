"""An invoice is issued, or a credit note of one: it takes the next number of its row and is kept as it was."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from underdial.bench.shop import Job, Shop, clock_page, job
from underdial.errors import NotFound, RuleBroken
from underdial.papers.counter_papers import address_lines
from underdial.papers.sentences import sum_words
from underdial.record.agreed import agreed_top, agreed_works, by_hours
from underdial.record.bill import Bill, BillLine, of_number
from underdial.record.consent import key_of
from underdial.record.credit import Credit, as_charged, left_of, lines_to_credit, not_billed
from underdial.record.hours import running, worked_in_all_s
from underdial.record.money import Day, Money, total
from underdial.record.people import PartToPlay, Person
from underdial.record.price_parts import PricePart
from underdial.record.work import Work
from underdial.store.clocks import next_own_number
from underdial.trade.phrases import part_words
from underdial.trade.work_meanings import said_to_owner


def issue_bill(shop: Shop, clock: str, *, by: str = "repairer") -> Bill:
    """Issue an invoice for all that is charged at this visit and stands on none yet.

    The number is one above the last, from 1, and is taken in the transaction that keeps the invoice: two benches never
    have the same, and one that is not kept leaves no gap. RuleBroken when nothing is left to charge, when more is
    charged than was agreed to, and while hours are being counted that it would say.
    """
    page = clock_page(shop, clock)
    with job(shop, clock, by=by, gone_too=True) as at:
        works = not_billed(at.all("work"), at.all("bill"), at.all("credit"))
        if not works:
            raise RuleBroken(
                "invoice",
                "nothing",
                "a sum that is charged and stands on no invoice yet",
                "invoice: nothing is charged that does not stand on an invoice already.",
            )
        choices, consents = at.all("choice"), at.all("consent")
        _check_agreed(at)
        words = {one.work: one.words for choice in choices for one in choice.works if one.words}
        parts = {key_of(one): one.price for one in agreed_works(choices, consents)}
        zone, days = shop.settings.zone, shop.settings.pay_within_days
        on = at.writer.at.astimezone(ZoneInfo(zone)).date()
        kept: Bill = at.add(
            Bill(
                number_count=next_own_number(at.connection, "bill"),
                issued_at=at.writer.at,
                issued_by=by,
                lines=tuple(_line(one, words.get(one.work), parts.get(key_of(one))) for one in works),
                to=_payers(at.all("part"), page.people),
                due=Day(on=on + timedelta(days=days), zone=zone) if days else None,
                **_hours(shop, at),
                visit_id=at.visit_id,
            )
        )
    return kept


def issue_credit(
    shop: Shop,
    clock: str,
    bill_number: int,
    *,
    why: str,
    sums_minor: Mapping[int, int] | None = None,
    by: str = "repairer",
) -> Credit:
    """Issue a credit note of an invoice: of all that is left of it, or of sums by its lines, from 1 [minor units].

    Its number is one above the last credit note of the shop, taken as that of an invoice is. The invoice stays as it
    was. RuleBroken without a reason, for more than is left, and for an invoice of another shop; NotFound where this
    clock has no such invoice.
    """
    with job(shop, clock, by=by, why=why, gone_too=True) as at:
        every = at.every("bill")
        bill = of_number(every, bill_number)
        if bill is None:
            numbers = ", ".join(f"{one.number_count}" for one in every) or "none"
            raise NotFound(
                "invoice",
                f"{bill_number}",
                numbers,
                f"invoice: this clock has no invoice {bill_number}; its invoices: {numbers}.",
            )
        if not why.strip():
            raise RuleBroken("why", "nothing", "a reason", "why: say what was wrong with the invoice.")
        if bill.from_elsewhere:
            raise RuleBroken(
                "invoice",
                bill_number,
                "an invoice of this shop",
                f"invoice: number {bill_number} was issued by another shop, which gives the credit note of it.",
            )
        kept: Credit = at.add(
            Credit(
                number_count=next_own_number(at.connection, "credit"),
                bill_id=bill.id,
                bill_number_count=bill.number_count,
                issued_at=at.writer.at,
                issued_by=by,
                why=why.strip(),
                lines=lines_to_credit(bill, at.every("credit"), sums_minor),
                to=bill.to,
                visit_id=bill.visit_id,
            )
        )
    return kept


def credit_words(credit: Credit) -> str:
    """`Credit note 2, of invoice 17: £20`."""
    amount = total(tuple(one.credited for one in credit.lines), currency=credit.lines[0].credited.currency)
    return f"Credit note {credit.number_count}, of invoice {credit.bill_number_count}: {sum_words(amount)}"


def left_words(bill: Bill, credits: Iterable[Credit]) -> tuple[str, ...]:
    """What is left of each line of an invoice, as it is typed into a field: `150.00`."""
    return tuple(f"{one.amount_minor // 100}.{one.amount_minor % 100:02d}" for one in left_of(bill, credits))


def bill_words(bill: Bill) -> str:
    """`Invoice 17: £228`."""
    amount = total(tuple(one.charged for one in bill.lines), currency=bill.lines[0].charged.currency)
    return f"Invoice {bill.number_count}: {sum_words(amount)}"


def _payers(parts: Iterable[PartToPlay], people: Mapping[str, Person]) -> tuple[str, ...]:
    """Who pays, else who owns it; with the address where it is one person: nobody's stands in another's paper."""
    playing = [one for one in parts if not one.ended and one.person_id in people]
    named = [people[one.person_id] for part in ("pays", "owns") for one in playing if one.part == part]
    first = [people[one.person_id] for one in playing if one.part == "pays"] or named
    if len(first) == 1:
        return (first[0].name, *address_lines(first[0]))
    return tuple(one.name for one in first)


def _check_agreed(at: Job) -> None:
    """RuleBroken when all that is charged comes to more than was agreed to."""
    top = agreed_top(at.all("choice"), at.all("consent"))
    charged = [one.charged for one in as_charged(at.all("work"), at.all("bill"), at.all("credit")) if one.charged]
    if top is None or not charged:
        return
    amount = total(tuple(charged), currency=top.currency)
    if amount.amount_minor > top.amount_minor:
        raise RuleBroken(
            "invoice",
            amount.amount_minor,
            f"up to {top.amount_minor} {top.currency} (minor units)",
            f"invoice: {sum_words(amount)} is charged and {sum_words(top)} was agreed to; charge no more, or ask the "
            "owner and keep the answer first.",
        )


def _hours(shop: Shop, at: Job) -> dict[str, Any]:
    """What was worked, where what is paid hangs on the hours; RuleBroken while they run."""
    hours = at.all("hours")
    if not by_hours(at.all("choice"), at.all("consent")):
        return {}
    if running(hours) is not None:
        raise RuleBroken(
            "hours", "run", "stopped", "hours: they are being counted still; stop them before the invoice is issued."
        )
    seconds = worked_in_all_s(hours, at.all("look_over"), at.all("work"))
    price = shop.settings.hour_price_minor
    return {
        "worked_s": seconds,
        "hour_price": Money(amount_minor=price, currency=shop.settings.currency) if price and seconds else None,
    }


def _line(work: Work, said: str | None, agreed: PricePart | None) -> BillLine:
    assert work.charged is not None
    words = said_to_owner(work.work, said).replace("/", " or ")
    return BillLine(
        work_id=work.id,
        words=words,
        part=part_words(work.component, work.of, work.place),
        charged=work.charged,
        agreed=agreed,
    )
