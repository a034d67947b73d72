"""The service record: the short history that stays with the clock, for whoever opens it next.

What was found, what was done by whom and to which sizes, readings as found and as left, the test, and all that was
left as it is or not looked at.
"""

from __future__ import annotations

from collections.abc import Iterable

from underdial.papers.blocks import Block, Facts, Paper, Rows, Words
from underdial.papers.choice_words import work_words
from underdial.papers.condition_record import unseen_sentences
from underdial.papers.counter_papers import _paper, _upper
from underdial.papers.dossier import Dossier
from underdial.papers.sentences import finding_sentence, measurement_words, number_words
from underdial.record.as_left import Stand, left_as_it_is, reading_at, stand_of_reading
from underdial.record.finding import is_fault
from underdial.record.handing_out import verdict_sentence
from underdial.record.measurement import Measurement
from underdial.record.work import Size, Work
from underdial.trade.phrases import part_words

_DAY = "%-d %B %Y"
_STANDS: tuple[tuple[Stand, str], ...] = (
    ("as_found", "Readings as found"),
    ("under_work", "Readings while it was worked on"),
    ("as_left", "Readings as left"),
)


def service_record(dossier: Dossier) -> Paper:
    """The short history that stays with the clock."""
    faults = [one for one in dossier.findings if is_fault(one)]
    left = left_as_it_is(dossier.findings, dossier.works)
    unseen = unseen_sentences(dossier)
    blocks: list[Block] = [_visit(dossier)]
    blocks += _told("Found", (finding_sentence(one) for one in faults))
    blocks += _done(dossier)
    blocks += _sizes(dossier.works)
    for stand, heading in _STANDS:
        blocks += _readings(dossier, stand, heading)
    if dossier.proofs or dossier.visit.gone_because:
        blocks += _told("Test", (verdict_sentence(dossier.visit, dossier.proofs),))
    blocks += _told("Left as it is", (finding_sentence(one) for one in left))
    blocks += _told("Not examined", unseen)
    return _paper(dossier, "service", "Service record", "For whoever opens it next. Keep it with the clock.", blocks)


def _visit(dossier: Dossier) -> Facts:
    visit, movement = dossier.visit, dossier.clock.movement
    pairs = [
        ("Ticket", dossier.clock.tag),
        ("Received", f"{visit.received_at:{_DAY}}"),
        ("Complaint", visit.complaint.words or "none told"),
    ]
    if movement.get("train"):
        escape = f", escape wheel {movement['escape']}" if movement.get("escape") else ""
        pairs.append(("Counts", f"{movement['train']}{escape}"))
    if visit.gone_at is not None:
        pairs.append(("Gone", f"{visit.gone_at:{_DAY}}"))
    return Facts("This visit", tuple(pairs))


def _told(heading: str, sentences: Iterable[str]) -> list[Block]:
    paragraphs = tuple(sentences)
    return [Words(heading, paragraphs)] if paragraphs else []


def _done(dossier: Dossier) -> list[Block]:
    if not dossier.works:
        return [Words("Done", ("Nothing was altered at this visit.",))]
    rows = tuple(
        (
            f"{_upper(work_words(dossier, one.work))}: {part_words(one.component, one.of, one.place)}",
            "; ".join((*one.materials, *([f"old part: {one.old_part_kept}"] if one.old_part_kept else []))),
            one.by + (f", {one.done_at:{_DAY}}" if one.done_at else ", not finished"),
        )
        for one in dossier.works
    )
    return [Rows("Done", ("work and part", "with", "by, and when"), rows, (3, 1.9, 2.4))]


def _sizes(works: Iterable[Work]) -> list[Block]:
    rows = tuple(
        (
            part_words(work.component, work.of, work.place),
            size.quantity.replace("_", " "),
            _size(size.before, None, size),
            _size(size.after, size.u, size),
        )
        for work in works
        for size in work.sizes
    )
    return [Rows("Sizes", ("part", "what", "as found", "as left"), rows, (2.4, 1.4, 1.2, 1.2))] if rows else []


def _size(value: float | None, u: float | None, size: Size) -> str:
    if value is None:
        return "not measured"
    return number_words(value) + (f" ± {number_words(u)}" if u else "") + f" {size.unit}"


def _readings(dossier: Dossier, stand: Stand, heading: str) -> list[Block]:
    mine = [
        one
        for one in dossier.measurements
        if stand_of_reading(one, works=dossier.works, proofs=dossier.proofs, look_overs=dossier.look_overs) == stand
    ]
    tested = {name for proof in dossier.proofs for name in proof.results}
    rows = tuple((*measurement_words(one), _when(one, dossier), _how(one, on_test=one.id in tested)) for one in mine)
    return [Rows(heading, ("what", "value", "read", "how"), rows, (2.4, 1.4, 1.3, 1.7))] if rows else []


def _when(one: Measurement, dossier: Dossier) -> str:
    at = reading_at(one, dossier.look_overs)
    return f"{at:{_DAY}}" if at is not None else "no day noted"


def _how(one: Measurement, *, on_test: bool) -> str:
    wound = f"{one.since_winding_h:g} h after winding" if one.since_winding_h is not None else ""
    return ", ".join(part for part in ("on test" if on_test else "", one.instrument or "", wound) if part) or "not said"
