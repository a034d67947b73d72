"""The invoice: who pays whom, what is charged line by line, and the sums that were agreed beside it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from underdial.papers.blocks import Block, Facts, Paper, Rows, Words
from underdial.papers.choice_words import agreed_choice, owner_title, owner_work_words
from underdial.papers.counter_papers import _paper, address_lines, people_of, shop_lines
from underdial.papers.dossier import Dossier
from underdial.papers.sentences import foreseen_words, ledger_words, part_of_price_words, sum_words
from underdial.record.agreed import agreed_top, agreed_works, by_hours, foreseen_h
from underdial.record.bill import Bill, of_number
from underdial.record.choice import Choice
from underdial.record.consent import key_of
from underdial.record.credit import as_charged, not_billed
from underdial.record.hours import worked_in_all_s, worth_of_hours
from underdial.record.money import Money, total
from underdial.record.price_parts import PricePart
from underdial.record.proof import span_words
from underdial.record.work import Work
from underdial.trade.phrases import part_words

_DAY, _AT_THE_COUNTER = "%-d %B %Y", "when the clock is fetched"


def invoice(dossier: Dossier) -> Paper:
    """The invoice that is wanted as it was issued, else the newest; before one is, or when more was charged since, what
    stands on none yet. Beside the whole stands what was agreed, and what was worked where the price hangs on it.
    """
    waiting = () if dossier.number_count else not_billed(dossier.works, dossier.bills, dossier.credits)
    if not waiting and not dossier.bills:
        return _paper(dossier, "invoice", "Invoice", "", [Words("", ("Nothing has been charged.",))])
    bill = None if waiting else _wanted(dossier)
    lines = (
        [_line(dossier, one) for one in waiting]
        if bill is None
        else [_Line(one.words, one.part, one.agreed, one.charged) for one in bill.lines]
    )
    blocks: list[Block] = [
        _not_issued(dossier) if bill is None else _issued(dossier, bill),
        _charged(dossier, lines),
        *_hours(dossier, bill),
        *_agreed(dossier),
    ]
    if dossier.shop.law_words:
        blocks.append(Words("", (dossier.shop.law_words,)))
    title, lead = ("Invoice", "") if bill else ("Invoice, not issued yet", "It has a number when it is issued.")
    return _paper(dossier, "invoice", title, lead, blocks)


class _Line(NamedTuple):
    """A line as it is printed, of an invoice or of what waits for one."""

    words: str
    part: str
    agreed: PricePart | None
    charged: Money


def _wanted(dossier: Dossier) -> Bill:
    named = of_number(dossier.bills, dossier.number_count) if dossier.number_count else None
    return named or dossier.bills[-1]


def _charged(dossier: Dossier, lines: Sequence[_Line]) -> Rows:
    """Line by line what is charged; beside it what was agreed for it, where that is known of any."""
    amount = total(tuple(one.charged for one in lines), currency=dossier.shop.currency)
    rows = [(one.words, one.part, _part_words(one.agreed), ledger_words(one.charged)) for one in lines]
    rows.append(("", "Together", "", ledger_words(amount)))
    if any(one.agreed for one in lines):
        head = ("work", "part", "agreed", "sum")
        return Rows("Charged", head, tuple(rows), (3, 2.4, 1.4, 1), right=(2, 3))
    plain = tuple((words, part, charged) for words, part, _, charged in rows)
    return Rows("Charged", ("work", "part", "sum"), plain, (3, 2.6, 1), right=(2,))


def _part_words(part: PricePart | None) -> str:
    return part_of_price_words(part) if part else ""


def _hours(dossier: Dossier, bill: Bill | None) -> list[Block]:
    """What was foreseen and worked, where the price that was agreed is a band or by the hour."""
    worked_s, price = (bill.worked_s, bill.hour_price) if bill else _worked(dossier)
    if worked_s is None:
        return []
    rows = []
    foreseen = foreseen_h(agreed_works(dossier.choices, dossier.consents))
    if foreseen is not None:
        rows.append(("Foreseen for what was agreed", foreseen_words(*foreseen)))
    rows.append(("Worked at this visit", span_words(worked_s / 3600.0)))
    if price is not None:
        comes_to = worth_of_hours(worked_s, price)
        rows.append((f"At {sum_words(price)} an hour this comes to", ledger_words(comes_to)))
    note = (
        "What was agreed is not passed, whatever was worked." if agreed_top(dossier.choices, dossier.consents) else ""
    )
    return [Rows("Hours", ("what", "how much"), tuple(rows), (3, 2), note=note, right=(1,))]


def _worked(dossier: Dossier) -> tuple[int | None, Money | None]:
    if not by_hours(dossier.choices, dossier.consents):
        return None, None
    seconds = worked_in_all_s(dossier.hours, dossier.look_overs, dossier.works)
    price = dossier.shop.hour_price_minor
    return seconds, Money(amount_minor=price, currency=dossier.shop.currency) if price and seconds else None


def _line(dossier: Dossier, work: Work) -> _Line:
    assert work.charged is not None
    parts = {key_of(one): one.price for one in agreed_works(dossier.choices, dossier.consents)}
    part = part_words(work.component, work.of, work.place)
    return _Line(owner_work_words(dossier, work.work), part, parts.get(key_of(work)), work.charged)


def _issued(dossier: Dossier, bill: Bill) -> Facts:
    """Number, day, both parties, by when it is paid, and what was billed at this visit before."""
    before = ", ".join(f"{one.number_count}" for one in dossier.bills[: dossier.bills.index(bill)])
    return Facts(
        "",
        (
            ("Number", f"{bill.number_count}"),
            ("Date", f"{bill.issued_at:{_DAY}}"),
            ("For", f"{dossier.clock.name}, ticket {dossier.clock.tag}"),
            ("To", "\n".join(bill.to) or "not written down"),
            ("From", "\n".join(shop_lines(dossier))),
            ("Due", f"{bill.due.on:{_DAY}}" if bill.due else _AT_THE_COUNTER),
            *((("Invoiced before", f"number {before}"),) if before else ()),
        ),
    )


def _not_issued(dossier: Dossier) -> Facts:
    days = dossier.shop.pay_within_days
    return Facts(
        "",
        (
            ("Number", "none yet"),
            ("For", f"{dossier.clock.name}, ticket {dossier.clock.tag}, visit {dossier.visit_number_count}"),
            ("To", _payers(dossier)),
            ("From", "\n".join(shop_lines(dossier))),
            ("Due", f"within {days} days" if days else _AT_THE_COUNTER),
        ),
    )


def _payers(dossier: Dossier) -> str:
    """Who pays, with the address where it is one person: nobody's details stand in another's paper."""
    named = people_of(dossier, "pays") or people_of(dossier, "owns")
    if len(named) == 1:
        return "\n".join((named[0].name, *address_lines(named[0])))
    return " and ".join(one.name for one in named) or "not written down"


def _agreed(dossier: Dossier) -> list[Block]:
    """The likely sum of what was agreed to, the sum not to be passed, and all that is charged at this visit."""
    chosen, most = agreed_choice(dossier), agreed_top(dossier.choices, dossier.consents)
    works = as_charged(dossier.works, dossier.bills, dossier.credits)
    every = tuple(one.charged for one in works if one.charged is not None)
    rows: list[tuple[str, str]] = []
    likely = _likely(chosen, dossier) if chosen is not None and chosen.price is not None else None
    if chosen is not None and likely is not None:
        whole = len(agreed_works(dossier.choices, dossier.consents)) == len(chosen.works)
        rows.append(
            (f"Likely, for {'' if whole else 'what was agreed of '}“{owner_title(chosen)}”", ledger_words(likely))
        )
    if most is not None:
        rows.append(("Not to be passed without asking", ledger_words(most)))
    if not rows:
        return []
    charged = ("Charged", ledger_words(total(every, currency=dossier.shop.currency)))
    return [Rows("Agreed against charged", ("what", "sum"), (*rows, charged), (5, 1), right=(1,))]


def _likely(chosen: Choice, dossier: Dossier) -> Money | None:
    """The likely sum of a choice that was taken whole, or of the works of it that were; None where it is not known of
    each of them.
    """
    works = agreed_works(dossier.choices, dossier.consents)
    if chosen.price is None:
        return None
    if len(works) == len(chosen.works):
        return Money(amount_minor=chosen.price.likely_minor, currency=chosen.price.currency)
    parts = [one.price for one in works if one.price is not None]
    if not parts or len(parts) < len(works):
        return None
    return Money(amount_minor=sum(one.likely_minor for one in parts), currency=chosen.price.currency)
