"""The credit note: of which invoice, why, and what is taken back line by line."""

from __future__ import annotations

from underdial.papers.blocks import Block, Facts, Paper, Rows, Words
from underdial.papers.counter_papers import _paper, shop_lines
from underdial.papers.dossier import Dossier
from underdial.papers.sentences import ledger_words
from underdial.record.bill import Bill
from underdial.record.credit import Credit, left_of
from underdial.record.money import Money, total

_DAY = "%-d %B %Y"


def credit_note(dossier: Dossier) -> Paper:
    """The credit note that is wanted, else the newest; before one is issued it says so."""
    named = (one for one in dossier.credits if one.number_count == dossier.number_count)
    credit = next(named, dossier.credits[-1] if dossier.credits else None)
    if credit is None:
        return _paper(dossier, "credit", "Credit note", "", [Words("", ("No invoice has been credited.",))])
    bill = next((one for one in dossier.bills if one.id == credit.bill_id), None)
    blocks: list[Block] = [_head(dossier, credit, bill), _lines(credit)]
    if bill is not None:
        blocks.append(_left(dossier, credit, bill))
    if dossier.shop.law_words:
        blocks.append(Words("", (dossier.shop.law_words,)))
    lead = f"Of invoice {credit.bill_number_count}, which stays as it was issued."
    return _paper(dossier, "credit", "Credit note", lead, blocks)


def _head(dossier: Dossier, credit: Credit, bill: Bill | None) -> Facts:
    of = f"number {credit.bill_number_count}" + (f" of {bill.issued_at:{_DAY}}" if bill else "")
    return Facts(
        "",
        (
            ("Number", f"{credit.number_count}"),
            ("Date", f"{credit.issued_at:{_DAY}}"),
            ("Credits invoice", of),
            ("For", f"{dossier.clock.name}, ticket {dossier.clock.tag}"),
            ("To", "\n".join(credit.to) or "not written down"),
            ("From", "\n".join(shop_lines(dossier))),
            ("Because", credit.why),
        ),
    )


def _lines(credit: Credit) -> Rows:
    amount = total(tuple(one.credited for one in credit.lines), currency=credit.lines[0].credited.currency)
    rows = [(f"{one.line_count}", one.words, one.part, ledger_words(one.credited)) for one in credit.lines]
    rows.append(("", "", "Together", ledger_words(amount)))
    return Rows("Credited", ("line", "work", "part", "sum"), tuple(rows), (0.5, 3, 2.4, 1), right=(3,))


def _left(dossier: Dossier, credit: Credit, bill: Bill) -> Rows:
    """What was charged, credited before and now, and what is left of the invoice with this note."""
    currency = bill.lines[0].charged.currency
    until = dossier.credits[: dossier.credits.index(credit) + 1]
    earlier = [line.credited for one in until[:-1] if one.bill_id == bill.id for line in one.lines]
    rows = [("Charged", ledger_words(_sum([one.charged for one in bill.lines], currency)))]
    if earlier:
        rows.append(("Credited before", ledger_words(_sum(earlier, currency))))
    rows.append(("Credited with this note", ledger_words(_sum([one.credited for one in credit.lines], currency))))
    rows.append(("Left of the invoice", ledger_words(_sum(left_of(bill, until), currency))))
    return Rows(f"Invoice {bill.number_count}", ("what", "sum"), tuple(rows), (5, 1), right=(1,))


def _sum(sums: list[Money] | tuple[Money, ...], currency: str) -> Money:
    return total(tuple(sums), currency=currency)
