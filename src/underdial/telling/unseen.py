"""What the speaker says was not looked at, could not be reached, or was not tested.

Never here: what nobody spoke of (`not_examined`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling import subjects
from underdial.telling.clauses import Clause
from underdial.telling.heard import Finding
from underdial.telling.notebook import Notebook, in_focus, keep, stamped, words_of
from underdial.telling.subjects import Target


def not_seen(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> None:
    """ "I haven't looked at the barrel": the parts named with the turn, else what is in focus."""
    text = words_of(book, clause)
    turn = next(item for item in clause.items if item.kind == "not_seen")
    named = [p for p in clause.phrases if p.start >= turn.end and p.preposition not in ("till", "until", "because", "with", "by")]
    between = {word.text for word in book.sentence[turn.end:named[0].start]} if named else set()
    if named and between & {"it", "was", "is", "they", "were", "because", "that"} and any(p.end <= turn.start for p in clause.phrases):
        named = []
    named = named or [p for p in clause.phrases if p.end <= turn.start]
    targets: list[Target] = []
    for phrase in named[:4]:
        if targets and phrase.preposition not in (None, "at", "in", "under", "inside") and phrase.start != named[0].start:
            continue
        if all(item.kind in ("train", "word") for item in phrase.items):
            targets.append(Target("movement", next(i.value for i in phrase.items if i.kind == "train")))
            continue
        targets += [t for t in subjects.targets(phrase, book.focus) if t not in targets]
    if re.match(r"^(?:and |so |now )*what (?:did|have|has|could) (?:you|we|i|not)", " ".join(word.text for word in book.sentence)) and not clause.phrases:
        book.status = turn.value
        return
    if not clause.phrases and turn.end == clause.end and turn.start == clause.start and ((at == 0 and len(pieces) == 1 and not (book.heading_only and book.previous_length_count <= 3)) or (at + 1 < len(pieces) and pieces[at + 1].phrases and not pieces[at + 1].states and clause.joined in ("", ":", ","))) and re.match(r"not (?:done|examined|reached|tested|looked|checked|seen)", text):
        book.status = turn.value
        return
    if not targets and not clause.phrases:
        following = pieces[at + 1] if at + 1 < len(pieces) else None
        if following is not None and following.phrases and not following.states and turn.end == clause.end:
            return
        whole = turn.value == "not_tested" and re.search(r"\b(?:tried|tested|run|timed|test|try|time|ran) (?:it|her|him|the clock)\b", " ".join(w.text for w in book.sentence)) is not None
        targets = [Target("movement")] if whole else list(in_focus(book))
    fresh = []
    for target in targets:
        condition, component = turn.value, target.component
        if text.startswith("nor ") and book.unseen_here[0] == book.index:
            condition = book.unseen_here[1]
        if target.aspect == "poise":
            condition = "out_of_poise"
        elif target.aspect in ("rate", "beat"):
            condition, component = "not_tested", "movement"
        fresh.append(stamped(book, Finding(component, condition, "not_examined", target.of, target.place, rule=f"not seen: {turn.value}"), clause))
    if fresh:
        keep(book, fresh)
        book.focus.settle(targets)
        book.unseen_here = (book.index, turn.value)


def listed_unseen(book: Notebook, clause: Clause) -> None:
    """ "Not done. Poise. Nor the rate": parts listed under a heading of what was not seen."""
    status = book.unseen_here[1] if book.unseen_here[0] == book.index else book.status
    assert status is not None
    found = list(subjects.targets(clause.phrases[0], book.focus)) or [Target("movement", next((i.value for i in clause.phrases[0].items if i.kind == "train"), None))]
    for target in found:
        condition, component = (status, target.component)
        if target.aspect == "poise":
            condition = "out_of_poise"
        elif target.aspect in ("rate", "beat"):
            condition, component = "not_tested", "movement"
        keep(book, [stamped(book, Finding(component, condition, "not_examined", target.of, target.place, rule="listed as not seen"), clause)])
