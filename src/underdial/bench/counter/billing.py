"""An invoice is issued: it takes the next number of the shop and is kept as it was."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import timedelta
from zoneinfo import ZoneInfo

from underdial.bench.shop import Shop, clock_page, job
from underdial.errors import RuleBroken
from underdial.papers.counter_papers import address_lines
from underdial.papers.sentences import sum_words
from underdial.record.bill import Bill, BillLine, not_billed
from underdial.record.money import Day, total
from underdial.record.people import PartToPlay, Person
from underdial.record.work import Work
from underdial.store.clocks import next_bill_number
from underdial.trade.phrases import part_words
from underdial.trade.work_meanings import said_to_owner


def issue_bill(shop: Shop, clock: str, *, by: str = "repairer") -> Bill:
    """Issue an invoice for all that is charged at this visit and stands on none yet.

    The number is one above the last, from 1, and is taken in the transaction that keeps the invoice: two benches never
    have the same, and one that is not kept leaves no gap. RuleBroken when nothing is left to charge.
    """
    page = clock_page(shop, clock)
    with job(shop, clock, by=by, gone_too=True) as at:
        works = not_billed(at.all("work"), at.all("bill"))
        if not works:
            raise RuleBroken(
                "invoice",
                "nothing",
                "a sum that is charged and stands on no invoice yet",
                "invoice: nothing is charged that does not stand on an invoice already.",
            )
        words = {one.work: one.words for choice in at.all("choice") for one in choice.works if one.words}
        zone, days = shop.settings.zone, shop.settings.pay_within_days
        on = at.writer.at.astimezone(ZoneInfo(zone)).date()
        kept: Bill = at.add(
            Bill(
                number_count=next_bill_number(at.connection),
                issued_at=at.writer.at,
                issued_by=by,
                lines=tuple(_line(one, words.get(one.work)) for one in works),
                to=_payers(at.all("part"), page.people),
                due=Day(on=on + timedelta(days=days), zone=zone) if days else None,
                visit_id=at.visit_id,
            )
        )
    return kept


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


def _line(work: Work, said: str | None) -> BillLine:
    assert work.charged is not None
    words = said_to_owner(work.work, said).replace("/", " or ")
    return BillLine(
        work_id=work.id, words=words, part=part_words(work.component, work.of, work.place), charged=work.charged
    )
