"""Clauses that only name parts: what is spoken of from there on.

Never here: the states of parts.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling import places_of_parts, subjects
from underdial.telling.clauses import Clause
from underdial.telling.fitting import fitting
from underdial.telling.notebook import Notebook, words_of
from underdial.telling.subjects import Target
from underdial.telling.words import listed


def heading(book: Notebook, clause: Clause) -> None:
    """Only parts are named: they are spoken of from here on."""
    first = clause.phrases[0]
    if len(clause.phrases) == 1 and all(i.kind in ("train", "word") for i in first.items) and any(i.kind == "train" for i in first.items) and (first.end - first.start >= 2 or len(book.sentence) <= 3) and not any(i.value in ("one", "1") for i in clause.items):
        book.focus.section = book.focus.train = next(i.value for i in first.items if i.kind == "train")
        if first.end - first.start >= 2:
            book.focus.hosts, book.focus.generic = (), None
            return
    if first.preposition in ("than", "like", "with") and first.start > 0 and not words_of(book, clause).startswith(("start", "begin", "so start", "we start")):
        return
    if first.preposition is not None and not words_of(book, clause).startswith(("start", "begin", "now for", "on to", "under the dial", "for the", "so to")) and ((book.focus.subjects and clause.joined) or first.preposition in ("near", "by", "against", "from", "through", "behind", "above", "below", "round", "around", "between", "past", "to")
                                            or any(i.kind == "word" and i.value in ("it", "they", "that") for i in clause.items if i.end <= first.start)):
        return
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
    if not named:
        return
    if clause.joined == "," and clause.items[-1].end == len(book.sentence) and _named_after(book, named, words_of(book, clause)):
        return
    apposed = re.match(r"^(?:the|a|an|that|those|its) ", words_of(book, clause)) is not None and named[0].component not in places_of_parts.HOSTS and named[0].component not in places_of_parts.WHEELS
    if clause.joined == "," and book.pending and apposed and len(named) == 1:
        return
    last_of_sentence = clause.items[-1].end == len(book.sentence)
    if clause.joined == "," and last_of_sentence and book.last and book.last[0].sentence == book.index and not any(t.component in places_of_parts.WHEELS for t in named) and not book.pending:
        return
    same_kind = book.pending and clause.joined in (",", "and") and all(t.component in places_of_parts.WHEELS for t in (*book.pending, *named))
    together = [*book.pending, *named] if same_kind else named
    book.listed = clause.joined in ("and", "or", "nor") or (len(named) > 1 and bool({"and", "or"} & {i.value for i in clause.items if i.kind == "word"}))
    if len(named) == 1 and named[0].component in ("pivot", "pivot_hole", "bush", "trundle", "pinion", "leaf", "tooth", "collet", "arbor") and (named[0].of is None or clause.phrases[0].plural) and named[0].aspect != "endshake":
        book.focus.generic = named[0].component
        if clause.phrases[0].plural and re.search(r"\b(?:now|next|then|generally|in general|all)\b", words_of(book, clause)) and not any(i.kind == "wheel" for i in clause.items):
            book.focus.hosts, book.focus.host_train = (), None
            named = [Target(named[0].component, None, named[0].place, named[0].aspect)]
    elif any(t.component not in places_of_parts.HOSTS and t.component not in places_of_parts.WHEELS for t in named):
        book.focus.generic = None
    book.pending = [*book.pending, *named] if clause.joined in (",", "and", "or", "nor") else list(named)
    book.focus.settle(together)


_TURNING_TO = re.compile(r"\b(?:look(?:ing)? at|check(?:ing)?|let us|now|next|on to|onto|turn(?:ing)? to|back to|move on|moving on|start with|over to|come to|coming to|comes to|what about|how about|how|as for|out|off|up|open|apart|under|behind|inside|underneath|got|have|see|here is|here are|there is|there are|this is|these are|is the|are the|take|pull|lift|try|trying|count|counting|feel|feeling|measure|measuring|spin|rock|turn|hold|do|doing|then|first|last)\b")
_NAMING_WORDS = listed("right okay so and then the a an its our my your his now next well also plus onto first second last thing bit part parts side end old new big little good same other pair set lot one two three four five six seven eight only just still here there")


def _only_mentioned(clause: Clause, phrase: subjects.Phrase, text: str) -> bool:
    """ "Enough to hold the tooth", "as I told the case man": a part that comes in by the way, behind words that are not about parts."""
    before = [item.value for item in clause.items if item.kind == "word" and item.end <= phrase.start]
    strange = [value for value in before if value not in _NAMING_WORDS and len(value) > 2]
    return len(strange) >= 2 and _TURNING_TO.search(text) is None


def _named_after(book: Notebook, named: Sequence[Target], text: str) -> bool:
    """ "It's bent, that staff": the part is named behind what was said of it."""
    if not re.match(r"^(?:the|that|this|those|these|them|whole|both) ", text) or not book.last or any(f.sentence != book.index or "in focus" not in f.rule for f in book.last):
        return False
    for finding in book.last:
        placed = fitting(finding.condition, named[0], book.focus)
        if placed is not None:
            finding.component, finding.of, finding.place, finding.condition = placed
    book.focus.settle(named)
    return True
