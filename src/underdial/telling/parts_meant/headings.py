"""Clauses that only name parts: what is spoken of from there on.

Never here: the states of parts.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.names import places_of_parts
from underdial.telling.parts_meant import subjects
from underdial.telling.parts_meant.fitting import fitting
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook, words_of
from underdial.telling.sentences import noun_phrases
from underdial.telling.sentences.clauses import Clause
from underdial.telling.speech.words import listed

_TURNING_TO = re.compile(
    r"\b(?:look(?:ing)? at|check(?:ing)?|let us|now|next|on to|onto|turn(?:ing)? to|back to|move on|moving on"
    r"|start with|over to|come to|coming to|comes to|what about|how about|how|as for|out|off|up|open|apart|under|behind"
    r"|inside|underneath|got|have|see|here is|here are|there is|there are|this is|these are|is the|are the|take|pull"
    r"|lift|try|trying|count|counting|feel|feeling|measure|measuring|spin|rock|turn|hold|do|doing|then|first|last)\b"
)
_NAMING_WORDS = listed("""right okay so and then the a an its our my your his now next well also plus onto first second
last thing bit part parts side end old new big little good same other pair set lot one two three four five six seven
eight only just still here there""")
_BESIDE = listed("near by against from through behind above below round around between past to")
_COMPARING = ("than", "like", "with")
_STARTING = ("start", "begin", "so start", "we start")
_TURNED_TO = ("start", "begin", "now for", "on to", "under the dial", "for the", "so to")
# Parts of which a clock has many: named alone they are spoken of in general.
_OF_MANY = listed("pivot pivot_hole bush trundle pinion leaf tooth collet arbor")
_IN_GENERAL = re.compile(r"\b(?:now|next|then|generally|in general|all)\b")


def heading(book: Notebook, clause: Clause) -> None:
    """Only parts are named: they are spoken of from here on."""
    if _names_train(book, clause):
        first = clause.phrases[0]
        book.focus.section = book.focus.train = next(i.value for i in first.items if i.kind == "train")
        if first.end - first.start >= 2:
            book.focus.hosts, book.focus.generic = (), None
            return
    if _compares(book, clause) or _only_places(book, clause):
        return
    named = _parts_named(book, clause)
    if not named or _belongs_to_last(book, clause, named):
        return
    together = [*book.pending, *named] if _wheels_listed(book, clause, named) else named
    book.listed = clause.joined in ("and", "or", "nor") or (
        len(named) > 1 and bool({"and", "or"} & {i.value for i in clause.items if i.kind == "word"})
    )
    named = _generic_noted(book, clause, named)
    book.pending = [*book.pending, *named] if clause.joined in (",", "and", "or", "nor") else list(named)
    book.focus.settle(together)


def _names_train(book: Notebook, clause: Clause) -> bool:
    """ "The strike side", "going train": no part, only a train."""
    first = clause.phrases[0]
    return (
        len(clause.phrases) == 1
        and all(i.kind in ("train", "word") for i in first.items)
        and any(i.kind == "train" for i in first.items)
        and (first.end - first.start >= 2 or len(book.sentence) <= 3)
        and not any(i.value in ("one", "1") for i in clause.items)
    )


def _compares(book: Notebook, clause: Clause) -> bool:
    """ "Thinner than the third": the part is what something else is held against."""
    first = clause.phrases[0]
    return first.preposition in _COMPARING and first.start > 0 and not words_of(book, clause).startswith(_STARTING)


def _only_places(book: Notebook, clause: Clause) -> bool:
    """ "And on the barrel", "it is behind the dial": the part tells where something already spoken of is."""
    first = clause.phrases[0]
    return (
        first.preposition is not None
        and not words_of(book, clause).startswith(_TURNED_TO)
        and (
            bool(book.focus.subjects and clause.joined)
            or first.preposition in _BESIDE
            or any(i.kind == "word" and i.value in ("it", "they", "that") for i in clause.items if i.end <= first.start)
        )
    )


def _parts_named(book: Notebook, clause: Clause) -> list[Target]:
    """The parts that the clause is about, without those that only come in by the way."""
    named: list[Target] = []
    for phrase in clause.phrases:
        if not named and book.focus.subjects and _only_mentioned(clause, phrase, words_of(book, clause)):
            continue
        if phrase.preposition in ("than", "like", "by", "with", "to", "from") and named:
            continue
        if phrase.preposition is not None and named and phrase.preposition not in ("on", "of", "in", "for"):
            continue
        found = subjects.targets(phrase, book.focus)
        if found and named and found[0].component in places_of_parts.HOSTS and phrase.preposition is None:
            book.focus.settle(named)
            found = subjects.targets(phrase, book.focus)
            named = []
        named += [t for t in found if t not in named]
        if phrase.preposition in ("on", "in", "for", "of") and len(named) > 1:
            named = named[:1]
    return named


def _only_mentioned(clause: Clause, phrase: noun_phrases.Phrase, text: str) -> bool:
    """ "Enough to hold the tooth", "as I told the case man": a part that comes in by the way, behind other words."""
    before = [item.value for item in clause.items if item.kind == "word" and item.end <= phrase.start]
    strange = [value for value in before if value not in _NAMING_WORDS and len(value) > 2]
    return len(strange) >= 2 and _TURNING_TO.search(text) is None


def _belongs_to_last(book: Notebook, clause: Clause, named: Sequence[Target]) -> bool:
    """Behind a comma, a part that belongs to what was just said or named, and opens nothing."""
    if clause.joined != ",":
        return False
    text = words_of(book, clause)
    ends_sentence = clause.items[-1].end == len(book.sentence)
    if ends_sentence and _named_after(book, named, text):
        return True
    if book.pending:
        return len(named) == 1 and _apposed(named[0], text)
    return (
        ends_sentence
        and len(book.last) > 0
        and book.last[0].sentence == book.index
        and not any(t.component in places_of_parts.WHEELS for t in named)
    )


def _named_after(book: Notebook, named: Sequence[Target], text: str) -> bool:
    """ "It's bent, that staff": the part is named behind what was said of it."""
    if (
        not re.match(r"^(?:the|that|this|those|these|them|whole|both) ", text)
        or not book.last
        or any(f.sentence != book.index or "in focus" not in f.rule for f in book.last)
    ):
        return False
    for finding in book.last:
        placed = fitting(finding.condition, named[0], book.focus)
        if placed is not None:
            finding.component, finding.of, finding.place, finding.condition = placed
    book.focus.settle(named)
    return True


def _apposed(part: Target, text: str) -> bool:
    """ "The click, that little pawl": another name for the part just named."""
    return (
        re.match(r"^(?:the|a|an|that|those|its) ", text) is not None
        and part.component not in places_of_parts.HOSTS
        and part.component not in places_of_parts.WHEELS
    )


def _wheels_listed(book: Notebook, clause: Clause, named: Sequence[Target]) -> bool:
    """ "Second, third and fourth": wheels behind wheels that wait for what is said of them."""
    return (
        len(book.pending) > 0
        and clause.joined in (",", "and")
        and all(t.component in places_of_parts.WHEELS for t in (*book.pending, *named))
    )


def _generic_noted(book: Notebook, clause: Clause, named: list[Target]) -> list[Target]:
    """ "Pivots now": a part of which there are many is spoken of in general, of all wheels when several are meant."""
    first = named[0]
    if (
        len(named) == 1
        and first.component in _OF_MANY
        and (first.of is None or clause.phrases[0].plural)
        and first.aspect != "endshake"
    ):
        book.focus.generic = first.component
        if (
            clause.phrases[0].plural
            and _IN_GENERAL.search(words_of(book, clause))
            and not any(i.kind == "wheel" for i in clause.items)
        ):
            book.focus.hosts, book.focus.host_train = (), None
            return [Target(first.component, None, first.place, first.aspect)]
    elif any(t.component not in places_of_parts.HOSTS and t.component not in places_of_parts.WHEELS for t in named):
        book.focus.generic = None
    return named
