"""The invoice: who pays whom, what is charged line by line, and the sums that were agreed beside it."""

from __future__ import annotations

from underdial.papers.blocks import Block, Facts, Paper, Rows, Words
from underdial.papers.choice_words import agreed_choice, owner_work_words
from underdial.papers.counter_papers import _paper, address_lines, people_of, shop_lines
from underdial.papers.dossier import Dossier
from underdial.papers.sentences import ledger_words
from underdial.record.bill import Bill, not_billed
from underdial.record.choice import Choice
from underdial.record.consent import agreed_lines, ceiling, key_of
from underdial.record.money import Money, total
from underdial.record.work import Work
from underdial.trade.phrases import part_words

_DAY, _AT_THE_COUNTER = "%-d %B %Y", "when the clock is fetched"


def invoice(dossier: Dossier) -> Paper:
    """The newest invoice as it was issued; before it is, or when more was charged since, what stands on none yet.

    Beside the whole stands what was agreed.
    """
    waiting = not_billed(dossier.works, dossier.bills)
    if not waiting and not dossier.bills:
        return _paper(dossier, "invoice", "Invoice", "", [Words("", ("Nothing has been charged.",))])
    lines = [_line(dossier, one) for one in waiting] or [
        (one.words, one.part, one.charged) for one in dossier.bills[-1].lines
    ]
    amount = total(tuple(money for _, _, money in lines), currency=dossier.shop.currency)
    rows = tuple((words, part, ledger_words(money)) for words, part, money in lines)
    blocks: list[Block] = [
        _not_issued(dossier) if waiting else _issued(dossier, dossier.bills[-1]),
        Rows(
            "Charged", ("work", "part", "sum"), (*rows, ("", "Together", ledger_words(amount))), (3, 2.6, 1), right=(2,)
        ),
        *_agreed(dossier),
    ]
    if dossier.shop.law_words:
        blocks.append(Words("", (dossier.shop.law_words,)))
    title, lead = ("Invoice, not issued yet", "It has a number when it is issued.") if waiting else ("Invoice", "")
    return _paper(dossier, "invoice", title, lead, blocks)


def _line(dossier: Dossier, work: Work) -> tuple[str, str, Money]:
    assert work.charged is not None
    part = part_words(work.component, work.of, work.place)
    return owner_work_words(dossier, work.work), part, work.charged


def _issued(dossier: Dossier, bill: Bill) -> Facts:
    """Number, day, both parties, by when it is paid, and what was billed at this visit before."""
    before = ", ".join(f"{one.number_count}" for one in dossier.bills[:-1])
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
    """The likely sum, where the whole choice was agreed to, the sum not to be passed, and all that is charged at this
    visit.
    """
    chosen, most = agreed_choice(dossier), ceiling(dossier.consents)
    every = tuple(one.charged for one in dossier.works if one.charged is not None)
    rows: list[tuple[str, str]] = []
    if chosen is not None and chosen.price is not None and _all_of(chosen, dossier):
        likely = Money(amount_minor=chosen.price.likely_minor, currency=chosen.price.currency)
        rows.append((f"Likely, for “{chosen.title}”", ledger_words(likely)))
    if most is not None:
        rows.append(("Not to be passed without asking", ledger_words(most)))
    if not rows:
        return []
    charged = ("Charged", ledger_words(total(every, currency=dossier.shop.currency)))
    return [Rows("Agreed against charged", ("what", "sum"), (*rows, charged), (5, 1), right=(1,))]


def _all_of(chosen: Choice, dossier: Dossier) -> bool:
    """Whether every work of the choice was agreed to."""
    agreed = agreed_lines(dossier.consents)
    return all(key_of(one) in agreed or (*key_of(one)[:3], None) in agreed for one in chosen.works)
