"""Papers as they went out: the file itself is kept with the clock, by its hash and the time, and is shown again.

A paper that is only opened is made anew from the record each time, and is not kept. Never here: how a paper is laid
out, or by which way it went.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from underdial.bench.as_found.looking import name_file
from underdial.bench.shop import ClockPage, Shop, job
from underdial.record.bill import Bill
from underdial.record.clock import Attachment
from underdial.record.credit import Credit
from underdial.store.files import keep_file, open_file

# What is issued with a number, and goes out in no other form.
NUMBERED = frozenset(("invoice", "credit"))


@dataclass(frozen=True, slots=True)
class SentShown:
    """A paper as it went out, on a page: its id, what it is, when it was kept, and the beginning of its hash."""

    id: str
    what: str
    kept: str
    sha256: str


def keep_sent(
    shop: Shop,
    clock: str,
    pdf: bytes,
    kind: str,
    *,
    number: int | None = None,
    by: str = "repairer",
    visit_id: str | None = None,
) -> Attachment:
    """Keep a paper as the file that goes out; the same file is kept once. `number` is that of an invoice or credit
    note, `visit_id` the visit it belongs to, the newest where none is named.
    """
    sha256, size_bytes = keep_file(shop.attachments, io.BytesIO(pdf))
    what = paper_words(kind, number)
    with job(shop, clock, by=by, gone_too=True, visit_id=visit_id) as at:
        there = [one for one in at.all("attachment") if one.sha256 == sha256 and one.caption == what]
        if there:
            same: Attachment = there[-1]
            return same
        day = at.writer.at.astimezone(ZoneInfo(shop.settings.zone))
        tag = at.read_clock().tag
        paper = Attachment(
            sha256="0" * 64,
            name=f"{tag}-{kind}-{number or f'{day:%Y-%m-%d}'}.pdf",
            kind="paper",
            media_type="application/pdf",
            size_bytes_count=0,
            caption=what,
            taken_at=at.writer.at,
        )
        return name_file(at, paper, sha256=sha256, size_bytes=size_bytes)


def sent_pdf(shop: Shop, page: ClockPage, kind: str, number: int) -> bytes | None:
    """An invoice or credit note as it went out; None where its file was not kept."""
    found = _file_of(page, kind, number)
    if found is None:
        return None
    with open_file(shop.attachments, found.sha256) as kept:
        return kept.read()


def sent_shown(shop: Shop, page: ClockPage) -> list[SentShown]:
    """The papers of a visit as they went out, oldest first."""
    zone = ZoneInfo(shop.settings.zone)
    return [
        SentShown(
            one.id,
            one.caption or one.name,
            f"{one.taken_at.astimezone(zone):%-d %B %Y %H:%M}" if one.taken_at else "",
            one.sha256[:12],
        )
        for one in _sent(page)
    ]


def not_kept(page: ClockPage) -> list[tuple[str, str, int]]:
    """The shop's own invoices and credit notes of a visit whose file was not kept: kind, what it is, number."""
    issued = [("invoice", one) for one in page.bills] + [("credit", one) for one in page.credits]
    return [
        (kind, paper_words(kind, one.number_count), one.number_count)
        for kind, one in issued
        if not one.from_elsewhere and _file_of(page, kind, one.number_count) is None
    ]


def _file_of(page: ClockPage, kind: str, number: int) -> Attachment | None:
    """The file of an invoice or credit note, the shop's own before another shop's of that number: one that was kept
    before it was issued is not of it.
    """
    many: tuple[Bill | Credit, ...] = page.bills if kind == "invoice" else page.credits
    issued = sorted((one for one in many if one.number_count == number), key=lambda one: one.from_elsewhere)
    if not issued:
        return None
    since = issued[0].issued_at
    files = (one for one in _sent(page) if one.taken_at is not None and one.taken_at >= since)
    return next((one for one in files if one.caption == paper_words(kind, number)), None)


def _sent(page: ClockPage) -> list[Attachment]:
    return [one for one in page.attachments if one.kind == "paper" and one.media_type == "application/pdf"]


def paper_words(kind: str, number: int | None = None) -> str:
    """`letter`, `invoice 3`: what a kept paper is called."""
    said = {"credit": "credit note"}.get(kind, kind)
    return f"{said} {number}" if number else said
