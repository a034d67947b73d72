"""What the speaker says was not looked at, could not be reached, or was not tested.

Never here: what nobody spoke of (`not_examined`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.heard import Finding
from underdial.telling.parts_meant import subjects
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook, in_focus, keep, stamped, words_of
from underdial.telling.sentences.clauses import Clause
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.noun_phrases import Phrase
from underdial.telling.speech.words import text_of

_ASKING = re.compile(r"^(?:and |so |now )*what (?:did|have|has|could) (?:you|we|i|not)")
_TURN_FIRST = re.compile(r"not (?:done|examined|reached|tested|looked|checked|seen)")
_WHOLE_CLOCK = re.compile(r"\b(?:tried|tested|run|timed|test|try|time|ran) (?:it|her|him|the clock)\b")


def not_seen(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> None:
    """ "I haven't looked at the barrel": the parts named with the turn, else what is in focus."""
    turn = next(item for item in clause.items if item.kind == "not_seen")
    targets = _targets(book, _phrases_of(book, clause, turn))
    asked = _ASKING.match(text_of(book.sentence)) is not None and not clause.phrases
    if asked or _heads_list(book, clause, turn, pieces, at):
        book.status = turn.value
        return
    if not targets and not clause.phrases:
        if _named_next(pieces, at) and turn.end == clause.end:
            return
        whole = turn.value == "not_tested" and _WHOLE_CLOCK.search(text_of(book.sentence)) is not None
        targets = [Target("movement")] if whole else list(in_focus(book))
    also = words_of(book, clause).startswith("nor ") and book.unseen_here[0] == book.index
    status = book.unseen_here[1] if also else turn.value
    fresh = [_unseen(book, clause, target, status, rule=f"not seen: {turn.value}") for target in targets]
    if fresh:
        keep(book, fresh)
        book.focus.settle(targets)
        book.unseen_here = (book.index, turn.value)


def _phrases_of(book: Notebook, clause: Clause, turn: Item) -> list[Phrase]:
    """The parts that the turn is said of: those named behind it, else those before it."""
    before = [p for p in clause.phrases if p.end <= turn.start]
    behind = [
        p
        for p in clause.phrases
        if p.start >= turn.end and p.preposition not in ("till", "until", "because", "with", "by")
    ]
    between = {word.text for word in book.sentence[turn.end : behind[0].start]} if behind else set()
    if between & {"it", "was", "is", "they", "were", "because", "that"} and before:
        return before
    return behind or before


def _targets(book: Notebook, named: Sequence[Phrase]) -> list[Target]:
    targets: list[Target] = []
    for phrase in named[:4]:
        if (
            targets
            and phrase.preposition not in (None, "at", "in", "under", "inside")
            and phrase.start != named[0].start
        ):
            continue
        if all(item.kind in ("train", "word") for item in phrase.items):
            targets.append(Target("movement", next(i.value for i in phrase.items if i.kind == "train")))
            continue
        targets += [t for t in subjects.targets(phrase, book.focus) if t not in targets]
    return targets


def _heads_list(book: Notebook, clause: Clause, turn: Item, pieces: Sequence[Clause], at: int) -> bool:
    """ "Not done: ...": the turn is all that the clause says, and the parts it is said of come behind it."""
    turn_only = not clause.phrases and turn.end == clause.end and turn.start == clause.start
    return (
        turn_only
        and (_alone(book, pieces, at) or (_named_next(pieces, at) and clause.joined in ("", ":", ",")))
        and _TURN_FIRST.match(words_of(book, clause)) is not None
    )


def _alone(book: Notebook, pieces: Sequence[Clause], at: int) -> bool:
    """The clause is the whole sentence, and no short heading stands before it."""
    return at == 0 and len(pieces) == 1 and not (book.heading_only and book.previous_length_count <= 3)


def _named_next(pieces: Sequence[Clause], at: int) -> bool:
    """The next clause names parts and states nothing."""
    return at + 1 < len(pieces) and bool(pieces[at + 1].phrases) and not pieces[at + 1].states


def listed_unseen(book: Notebook, clause: Clause) -> None:
    """ "Not done. Poise. Nor the rate": parts listed under a heading of what was not seen."""
    status = book.unseen_here[1] if book.unseen_here[0] == book.index else book.status
    assert status is not None
    found = list(subjects.targets(clause.phrases[0], book.focus)) or [
        Target("movement", next((i.value for i in clause.phrases[0].items if i.kind == "train"), None))
    ]
    for target in found:
        keep(book, [_unseen(book, clause, target, status, rule="listed as not seen")])


def _unseen(book: Notebook, clause: Clause, target: Target, status: str, *, rule: str) -> Finding:
    """One part that was not seen; a rate or a beat that was not is a movement not tested."""
    condition, component = status, target.component
    if target.aspect == "poise":
        condition = "out_of_poise"
    elif target.aspect in ("rate", "beat"):
        condition, component = "not_tested", "movement"
    return stamped(book, Finding(component, condition, "not_examined", target.of, target.place, rule=rule), clause)
