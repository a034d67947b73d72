"""The invoice: who pays whom, what is charged line by line, and the sums that were agreed beside it."""

from __future__ import annotations

from datetime import date, timedelta

from underdial.papers.blocks import Block, Facts, Paper, Rows, Words
from underdial.papers.choice_words import agreed_choice, owner_work_words
from underdial.papers.counter_papers import _paper, address_lines, people_of, shop_lines
from underdial.papers.dossier import Dossier
from underdial.papers.sentences import ledger_words
from underdial.record.choice import Choice
from underdial.record.consent import agreed_lines, ceiling, key_of
from underdial.record.money import Money, total
from underdial.trade.phrases import part_words

_DAY = "%-d %B %Y"


def invoice(dossier: Dossier) -> Paper:
    """What is charged, line by line, and beside the whole what was agreed."""
    charged = [(one, one.charged) for one in dossier.works if one.charged is not None]
    if not charged:
        return _paper(dossier, "invoice", "Invoice", "", [Words("", ("Nothing has been charged.",))])
    amount = total(tuple(money for _, money in charged), currency=dossier.shop.currency)
    rows = tuple(
        (owner_work_words(dossier, one.work), part_words(one.component, one.of, one.place), ledger_words(money))
        for one, money in charged
    )
    blocks: list[Block] = [
        _heads(dossier),
        Rows(
            "Charged", ("work", "part", "sum"), (*rows, ("", "Together", ledger_words(amount))), (2, 3, 1), right=(2,)
        ),
    ]
    agreed = _agreed(dossier, amount)
    if agreed:
        blocks.append(Rows("Agreed against charged", ("what", "sum"), agreed, (5, 1), right=(1,)))
    if dossier.shop.law_words:
        blocks.append(Words("", (dossier.shop.law_words,)))
    return _paper(dossier, "invoice", "Invoice", "", blocks)


def _heads(dossier: Dossier) -> Facts:
    """Number (the ticket and the visit), day, both parties, and by when it is paid; a clock that is gone was billed on
    the day it went.
    """
    gone = dossier.visit.gone_at
    on = gone.date() if gone is not None else dossier.today
    return Facts(
        "",
        (
            ("Number", f"{dossier.clock.tag}/{dossier.visit_number_count}"),
            ("Date", f"{on:{_DAY}}"),
            ("To", _payers(dossier)),
            ("From", "\n".join(shop_lines(dossier))),
            ("Due", _due(dossier, on)),
        ),
    )


def _payers(dossier: Dossier) -> str:
    """Who pays, with the address where it is one person: nobody's details stand in another's paper."""
    named = people_of(dossier, "pays") or people_of(dossier, "owns")
    if len(named) == 1:
        return "\n".join((named[0].name, *address_lines(named[0])))
    return " and ".join(one.name for one in named) or "not written down"


def _due(dossier: Dossier, on: date) -> str:
    days = dossier.shop.pay_within_days
    return f"{on + timedelta(days=days):{_DAY}}" if days else "when the clock is fetched"


def _agreed(dossier: Dossier, amount: Money) -> tuple[tuple[str, str], ...]:
    """The likely sum, where the whole choice was agreed to, the sum not to be passed, and what is charged."""
    chosen, most = agreed_choice(dossier), ceiling(dossier.consents)
    rows: list[tuple[str, str]] = []
    if chosen is not None and chosen.price is not None and _all_of(chosen, dossier):
        likely = Money(amount_minor=chosen.price.likely_minor, currency=chosen.price.currency)
        rows.append((f"Likely, for “{chosen.title}”", ledger_words(likely)))
    if most is not None:
        rows.append(("Not to be passed without asking", ledger_words(most)))
    return (*rows, ("Charged", ledger_words(amount))) if rows else ()


def _all_of(chosen: Choice, dossier: Dossier) -> bool:
    """Whether every work of the choice was agreed to."""
    agreed = agreed_lines(dossier.consents)
    return all(key_of(one) in agreed or (*key_of(one)[:3], None) in agreed for one in chosen.works)
