"""Weight and decision put on the findings they are said of.

A turn is said of the parts named with it, else of the fault spoken of last; "both" reaches back to two.

Never here: new findings.
"""

from __future__ import annotations

import re

from underdial.telling.heard import PLAIN_CERTAINTY, Finding
from underdial.telling.names.states import SOUND
from underdial.telling.parts_meant import subjects
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook, emit_all
from underdial.telling.sentences.clauses import Clause
from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import text_of


def weigh(book: Notebook, clause: Clause) -> None:
    """Put the turns of a clause on the findings they are said of."""
    said = [item for item in clause.items if item.kind in ("weight", "decision")]
    if not said:
        return
    for item in said:
        weighed = _weighed(book, clause, item) or _implied(book, clause, item)
        for finding in weighed:
            if item.value == "safety":
                if "safety" not in finding.flags:
                    finding.flags.append("safety")
            elif item.kind == "weight":
                finding.significance = item.value
            else:
                finding.decision = item.value
            if finding.sentence < book.index - 2 and book.sentence[0].start_s is not None:
                finding.also_s.append(book.sentence[0].start_s)


_IMPLIED = {"bush": "worn", "clean": "dirty", "straighten": "bent", "tighten": "loose", "oil": "dry"}


def _implied(book: Notebook, clause: Clause, item: Item) -> list[Finding]:
    """ "The third wants bushing": the part named in the clause has what the work is for."""
    inside = text_of(book.sentence[item.start : item.end])
    if (
        item.value not in _IMPLIED
        or clause.states
        or not clause.phrases
        or book.question
        or not re.match(r"(?:will |still |both |all |really )*(?:wants?|needs?|must be|has to be|have to be)\b", inside)
    ):
        return []
    if clause.phrases[0].preposition is not None and clause.phrases[0].start < item.start:
        return []
    book.focus.settle(subjects.targets(clause.phrases[0], book.focus))
    before = len(book.findings)
    rule = f"implied by the work: {inside}"
    emit_all(book, book.focus.subjects, _IMPLIED[item.value], "present", clause, PLAIN_CERTAINTY, rule)
    return book.findings[before:]


def _weighed(book: Notebook, clause: Clause, item: Item) -> list[Finding]:
    """The findings a turn is said of: of the parts named with it, else the last fault spoken of."""
    faults = [f for f in book.findings if f.state == "present" and f.condition not in SOUND]
    inside = text_of(book.sentence[item.start : item.end])
    named: list[Target] = []
    if not clause.states:
        for phrase in clause.phrases:
            with book.focus.as_it_was():
                named += subjects.targets(phrase, book.focus)
    matched = [
        f
        for t in named
        for f in faults
        if f.component == t.component
        and (t.of is None or f.of == t.of)
        and (t.place is None or f.place in (t.place, "both"))
    ]
    if named:
        return matched
    here = [f for f in faults if f.sentence == book.index and f.clause == book.clause_count]
    if here:
        return here
    latest = [f for f in book.last if f in faults] or faults[-1:]
    if re.search(r"\b(?:both|the two|pair|two|baith|them|those|these)\b", inside) and len(latest) == 1:
        before = [
            f
            for f in faults
            if f not in latest and latest[0].sentence - f.sentence <= 3 and f.component == latest[0].component
        ]
        return [*before[-1:], *latest] if re.search(r"\b(?:both|the two|pair|two|baith)\b", inside) else latest
    return [f for f in latest if book.index - f.sentence <= 4 or book.summary is False]
