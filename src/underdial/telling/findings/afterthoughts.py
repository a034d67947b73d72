"""Clauses that add to what was just said and state nothing new: how badly, where, of how many, or mere praise.

"Worn, badly." "Chipped, front edge." "Loose, all four." "Tight, that's good." "Lovely."

Never here: what is said again of another part (`repeats`), or what is put right (`corrections`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.findings.repeats import is_comparison, is_repeat
from underdial.telling.parts_meant import said_places
from underdial.telling.parts_meant.notebook import Notebook, words_of
from underdial.telling.sentences.clauses import Clause

_INTERJECTIONS = frozenset(
    (
        "lovely",
        "good",
        "fine",
        "right",
        "okay",
        "great",
        "nice",
        "perfect",
        "grand",
        "allright",
        "all right",
        "beautiful",
        "excellent",
        "gone",
        "lovely job",
        "sweet",
        "good good",
        "very good",
        "correct",
        "very nice",
        "how nice",
    )
)
_GRADES = {
    "slightly": "slight",
    "a little": "slight",
    "a bit": "slight",
    "a touch": "slight",
    "just a touch": "slight",
    "only just": "slight",
    "lightly": "slight",
    "barely": "slight",
    "not much": "slight",
    "a tiny bit": "slight",
    "not a lot": "slight",
    "moderately": "moderate",
    "fairly": "moderate",
    "somewhat": "moderate",
    "quite a bit": "moderate",
    "badly": "bad",
    "heavily": "bad",
    "a lot": "bad",
    "very much": "bad",
    "severely": "bad",
    "very badly": "bad",
    "really badly": "bad",
    "quite badly": "bad",
}
_EVERY_ONE = re.compile(
    r"(?:all (?:two|three|four|five|six|eight|the same|round)|every one|all of them|each one|every single one"
    r"|the lot of them|both of them)(?: of them)?"
)
_PRAISE = re.compile(
    r"(?:and |so |but )?(?:that is|which is|this is) (?:\w+ )?"
    r"(?:good|fine|okay|nice|right|lovely|perfect|correct|a nice change|the main thing)"
)
_SO_IS = re.compile(
    r"^(?:and |but )?(?:so|as|nor|neither) (?:is|are|has|does|was)\b|^(?:is|are|has|does) (?:the|its|that)\b"
)


def adds_to_last(book: Notebook, clause: Clause, text: str, pieces: Sequence[Clause], at: int) -> bool:
    """Put an afterthought on the findings it belongs to; whether the clause was no more than that."""
    return (
        _grades_last(book, text)
        or (bool(clause.states) and _only_exclaimed(book, clause, text, pieces, at))
        or _places_last(book, clause, pieces, at)
        or _counts_last(book, text)
    )


def _grades_last(book: Notebook, text: str) -> bool:
    """ "Worn, badly": how much of it there is."""
    extent = _GRADES.get(text)
    if extent is None or not book.last or book.last[0].sentence != book.index:
        return False
    for finding in book.last:
        finding.extent = extent if finding.state == "present" else finding.extent
    return True


def _only_exclaimed(book: Notebook, clause: Clause, text: str, pieces: Sequence[Clause], at: int) -> bool:
    """ "Right." "Lovely, leave that." "... tight, that's good." say nothing of a part."""
    if (
        text in _INTERJECTIONS
        and at == 0
        and ((len(pieces) > 1 and not pieces[1].states) or not book.heading_only)
        and not (book.heading_only and text not in ("right", "gone", "okay"))
    ):
        return len(pieces) > 1 or text in ("right", "okay", "gone", "lovely", "great", "nice", "good", "fine")
    said_before = any(c.states for c in pieces[:at])
    return (_PRAISE.fullmatch(text) is not None and said_before) or (
        text.startswith(("that will be the", "that is the ", "that will be his", "that will be her"))
        and not clause.phrases
    )


def _places_last(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> bool:
    """ "Chipped, front edge": a place alone behind a statement is where that was."""
    if (
        not at
        or clause.states
        or not clause.phrases
        or any(i.kind in ("decision", "weight", "not_seen") for i in clause.items)
        or not book.last
        or book.last[0].sentence != book.index
    ):
        return False
    if is_repeat(words_of(book, clause)) or is_comparison(words_of(book, clause), clause):
        return False
    if clause.joined == "so" or _SO_IS.match(words_of(book, clause)):
        return False
    following = pieces[at + 1] if at + 1 < len(pieces) else None
    if any(item.kind in ("part", "shared", "wheel", "aspect", "train") for p in clause.phrases for item in p.items) or (
        following is not None and following.states and not following.phrases
    ):
        return False
    place = said_places.place_of(clause.phrases[0])
    if place is not None and (all(f.place is None for f in book.last) or place.startswith("at_")):
        for finding in book.last:
            finding.place = place
    return place is not None


def _counts_last(book: Notebook, text: str) -> bool:
    """ "Loose, all four": of how many it was said."""
    everyone = _EVERY_ONE.fullmatch(text)
    if (
        not everyone
        or not book.last
        or book.last[0].sentence < book.index - 1
        or any(f.place is not None for f in book.last)
    ):
        return False
    for finding in book.last:
        finding.place = said_places.counted(finding.component, "both" if text.startswith("both") else "all")
    return True
