"""Papers that go out: an invoice, a credit note or a letter is laid out once and its file kept."""

from __future__ import annotations

from collections.abc import Mapping

from underdial.bench.counter.billing import issue_bill, issue_credit
from underdial.bench.shop import Shop
from underdial.bench.shown.sent_papers import NUMBERED, keep_sent, paper_words
from underdial.bench.shown.writing import number_issued, paper
from underdial.errors import RuleBroken
from underdial.record.bill import Bill
from underdial.record.clock import Attachment
from underdial.record.credit import Credit


def send_paper(shop: Shop, clock: str, kind: str, *, number: int | None = None, by: str = "repairer") -> Attachment:
    """Lay out a paper as it is to go out, and keep its file; what is kept. BadInput for a kind there is
    not, RuleBroken for one that is not issued yet.

    An invoice or credit note whose file was not kept when it was issued is kept so: the newest, or that of `number`.
    """
    number = number or number_issued(shop, clock, kind)
    if kind in NUMBERED and number is None:
        raise RuleBroken(
            "paper", kind, "one that was issued", f"paper: no {paper_words(kind)} is issued yet; it is kept when it is."
        )
    return keep_sent(shop, clock, paper(shop, clock, kind, number=number), kind, number=number, by=by)


def issue_invoice(shop: Shop, clock: str, *, by: str = "repairer") -> Bill:
    """Issue an invoice as `issue_bill` does, and keep its file."""
    bill = issue_bill(shop, clock, by=by)
    _keep(shop, clock, "invoice", bill.number_count, by=by)
    return bill


def issue_credit_note(
    shop: Shop,
    clock: str,
    bill_number: int,
    *,
    why: str,
    sums_minor: Mapping[int, int] | None = None,
    by: str = "repairer",
) -> Credit:
    """Issue a credit note as `issue_credit` does, and keep its file."""
    credit = issue_credit(shop, clock, bill_number, why=why, sums_minor=sums_minor, by=by)
    _keep(shop, clock, "credit", credit.number_count, by=by, visit_id=credit.visit_id)
    return credit


def _keep(shop: Shop, clock: str, kind: str, number: int, *, by: str, visit_id: str | None = None) -> None:
    pdf = paper(shop, clock, kind, visit_id=visit_id, number=number)
    keep_sent(shop, clock, pdf, kind, number=number, by=by, visit_id=visit_id)
