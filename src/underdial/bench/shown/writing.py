"""The papers of a clock: its record made into a dossier, written and set, as bytes or as files in a folder."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from underdial.bench.as_found.picturing import with_photographs
from underdial.bench.by_ear.heard_again import heard_on_paper
from underdial.bench.causes.answering import known_answer, work_out
from underdial.bench.clock.drawing import movement_of
from underdial.bench.counter.warning import counter_cautions, owner_cautions, triggers_of
from underdial.bench.shop import ClockPage, Shop, clock_page
from underdial.bench.shown.sent_papers import NUMBERED, keep_sent, sent_pdf
from underdial.bench.sums.planning import part_drawings, sizes_on_paper
from underdial.errors import BadInput, MachineRefused, NotFound, UnderdialError
from underdial.papers.dossier import Dossier, ShopName
from underdial.papers.kinds import KINDS, nothing_yet
from underdial.papers.setting import paper_pdf
from underdial.record.credit import not_billed

# Papers that say what is wrong; for these the answer is worked out when it is not known yet.
_NEED_ANSWER = frozenset({"letter"})
_WITH_PHOTOGRAPHS = frozenset({"record"})
# Papers that tell of the clock as it is: of two look-overs that say different things the later holds. The condition
# record prints both.
_OF_WHAT_HOLDS = frozenset({"letter", "care", "service", "release", "notice"})


def dossier_of(shop: Shop, page: ClockPage, *, answer: dict[str, Any] | None, drawn_parts: bool = False) -> Dossier:
    """Everything the papers take, from a clock's page and the answer that was worked out for it; parts are drawn where
    they are wanted.
    """
    return Dossier(
        shop=ShopName(
            name=shop.settings.name,
            address=shop.settings.address,
            telephone=shop.settings.telephone,
            pay_within_days=shop.settings.pay_within_days,
            law_words=shop.settings.law_words,
            currency=shop.settings.currency,
            zone=shop.settings.zone,
            hour_price_minor=shop.settings.hour_price_minor,
        ),
        clock=page.clock,
        visit=page.visit,
        today=shop.now().astimezone(ZoneInfo(shop.settings.zone)).date(),
        record_sha256=page.record_sha256,
        people=page.people,
        parts_played=page.parts,
        findings=tuple(one for one in page.findings if one.standing != "rejected"),
        measurements=tuple(one for one in page.measurements if one.standing != "rejected"),
        choices=tuple(one for one in page.choices if not one.withdrawn),
        consents=page.consents,
        works=page.works,
        proofs=page.proofs,
        bills=page.bills,
        credits=page.credits,
        hours=page.hours,
        holds=page.holds,
        custody=page.custody,
        look_overs=page.look_overs,
        heard=heard_on_paper(shop, page),
        diagnosis=answer,
        unseen=_unseen(page),
        owner_cautions=owner_cautions(page),
        counter_cautions=counter_cautions(page),
        going_time_h=_going_time_h(page),
        visit_number_count=1 + [one.id for one in page.visits].index(page.visit.id),
        planned_sizes=sizes_on_paper(page),
        part_drawings=part_drawings(page) if drawn_parts else (),
        traits=tuple(sorted(one.removeprefix("trait:") for one in triggers_of(page) if one.startswith("trait:"))),
    )


def paper(shop: Shop, clock: str, kind: str, *, visit_id: str | None = None, number: int | None = None) -> bytes:
    """One paper of a clock as PDF, from its newest visit or the one named; of invoices and credit notes the newest, or
    the one of the number. One that was issued is the file that went out.

    Raises BadInput for a kind there is not, NotFound for no such visit or number.
    """
    if kind not in KINDS:
        raise BadInput("kind", kind, ", ".join((*KINDS, "all")))
    page = clock_page(shop, clock, visit_id=visit_id)
    wanted = _issued(page, kind, number)
    if wanted is not None and (kept := sent_pdf(shop, page, kind, wanted)) is not None:
        return kept
    # Only the newest visit is worked out anew; of an earlier one stands what was known then.
    answer = _answer(shop, page) if kind in _NEED_ANSWER and page.visit == page.visits[-1] else known_answer(shop, page)
    dossier = dossier_of(shop, page, answer=answer, drawn_parts=kind == "bench")
    if kind in _OF_WHAT_HOLDS:
        dossier = dataclasses.replace(
            dossier, findings=tuple(one for one in page.holding if one.standing != "rejected")
        )
    whole = with_photographs(dossier, shop, page) if kind in _WITH_PHOTOGRAPHS else dossier
    return paper_pdf(KINDS[kind](dataclasses.replace(whole, number_count=wanted)), sheet=shop.settings.sheet)


def number_issued(shop: Shop, clock: str, kind: str) -> int | None:
    """The number of the newest invoice or credit note; None of other papers, and where what is charged waits."""
    return _issued(clock_page(shop, clock), kind, None)


def _issued(page: ClockPage, kind: str, number: int | None) -> int | None:
    """The number of the invoice or credit note that is wanted; None where what is charged waits for an invoice."""
    bills, notes = ([one.number_count for one in many] for many in (page.bills, page.credits))
    numbers = {"invoice": bills, "credit": notes}.get(kind, [])
    if number is not None and number not in numbers:
        raise NotFound(
            "number",
            f"{number}",
            ", ".join(f"{one}" for one in numbers) or "none",
            f"number: this visit has no {'credit note' if kind == 'credit' else kind} {number}.",
        )
    if number is None and kind == "invoice" and not_billed(page.works, page.bills, page.credits):
        return None
    return number or (numbers[-1] if numbers else None)


def write_papers(
    shop: Shop, clock: str, folder: Path, *, kinds: Sequence[str], replace: bool = False, keep: bool = False
) -> dict[str, Any]:
    """Write papers of a clock into a folder; each is placed whole, and with `keep` its file is kept with the clock as
    what went out, but for those that have nothing to tell or are not issued. Nothing is written when one of them exists
    already.

    `nothing_yet` of the answer names those that have nothing to tell of this clock yet, with the reason.

    Raises BadInput for a kind there is not or a file that exists, MachineRefused when the folder cannot be written.
    """
    wanted = tuple(KINDS) if "all" in kinds else tuple(kinds)
    tag = clock_page(shop, clock).clock.tag
    places = {kind: folder / f"{tag}-{kind}.pdf" for kind in wanted}
    for place in places.values():
        if place.exists() and not replace:
            raise BadInput(
                "out",
                str(place),
                "a folder without this file, or --replace",
                f"out: {place} exists; give another folder, or --replace",
            )
    numbers = {kind: number_issued(shop, clock, kind) for kind in wanted}
    pages = {kind: paper(shop, clock, kind, number=number) for kind, number in numbers.items()}
    nothing = _nothing_yet(shop, clock, wanted)
    silent = {one["kind"] for one in nothing}
    told = []
    for kind, pdf in pages.items():
        _place(places[kind], pdf)
        if keep and kind not in silent and (numbers[kind] or kind not in NUMBERED):
            keep_sent(shop, clock, pdf, kind, number=numbers[kind], by=shop.settings.repairer)
        told.append(
            {
                "kind": kind,
                "file": str(places[kind]),
                "pages_count": _pages_count(pdf),
                "sha256": hashlib.sha256(pdf).hexdigest(),
            }
        )
    return {"papers": told, "nothing_yet": nothing, "warnings": [], "sources": []}


def _answer(shop: Shop, page: ClockPage) -> dict[str, Any] | None:
    try:
        return work_out(shop, page.clock.id)
    except UnderdialError:
        return None


def _nothing_yet(shop: Shop, clock: str, wanted: Sequence[str]) -> list[dict[str, str]]:
    silent = nothing_yet(dossier_of(shop, clock_page(shop, clock), answer=None))
    return [{"kind": kind, "because": silent[kind]} for kind in wanted if kind in silent]


def _going_time_h(page: ClockPage) -> float | None:
    movement = movement_of(page)
    return movement.power.duration_s / 3600.0 if movement is not None else None


def _unseen(page: ClockPage) -> tuple[tuple[str, tuple[str, ...]], ...]:
    if page.clock.family is None or not page.look_overs:
        return ()
    from underdial.telling.findings.not_examined import not_mentioned

    return not_mentioned(page.findings, family=page.clock.family, traits=page.clock.traits)


def _place(place: Path, pdf: bytes) -> None:
    part = place.with_name(f".{place.name}.part")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(pdf)
        part.replace(place)
    except OSError as wrong:
        part.unlink(missing_ok=True)
        raise MachineRefused(
            "out",
            str(place),
            "a folder that can be written",
            f"out: {place} cannot be written ({wrong.strerror or wrong})",
        ) from wrong


def _pages_count(pdf: bytes) -> int:
    """Leaves of the page tree of a PDF we have set ourselves, whose objects are counted by their type."""
    import re

    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))
