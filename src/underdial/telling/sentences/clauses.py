"""A sentence to clauses: the stretches within which one subject and its states belong together.

Breaks come from stops, from joining words, and - where a recogniser wrote no stops - from a new noun phrase
behind a finished statement ("the click is loose the strike click is tight").

Never here: what a clause says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from underdial.telling.sentences import noun_phrases, tags
from underdial.telling.sentences.clause_ends import JOINING, cut_before
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.noun_phrases import Phrase
from underdial.telling.speech.words import Word


@dataclass(frozen=True)
class Clause:
    """A stretch of a sentence. `joined` is the word or stop that ties it to the one before."""

    items: tuple[Item, ...]
    phrases: tuple[Phrase, ...]
    joined: str = ""

    @property
    def states(self) -> tuple[Item, ...]:
        """The states said in it, in order."""
        return tuple(item for item in self.items if item.kind == "state")

    @property
    def start(self) -> int:
        """Place of its first word in the sentence."""
        return self.items[0].start

    @property
    def end(self) -> int:
        """Place behind its last word."""
        return self.items[-1].end


def sentences(words: Sequence[Word]) -> list[tuple[Word, ...]]:
    """Cut at full stops and question marks."""
    found: list[tuple[Word, ...]] = []
    held: list[Word] = []
    for word in words:
        held.append(word)
        if word.stop in (".", "?"):
            found.append(tuple(held))
            held = []
    if held:
        found.append(tuple(held))
    return found


def clauses(sentence: Sequence[Word]) -> list[Clause]:
    """The clauses of one sentence."""
    stops = {at + 1: word.stop for at, word in enumerate(sentence) if word.stop in (",", ":")}
    items = tags.tag_sentence(sentence)
    pieces: list[tuple[list[Item], str]] = []
    held: list[Item] = []
    joined = ""
    for at, item in enumerate(items):
        cut = cut_before(items, at, held, stops)
        if cut is not None and held:
            pieces.append((held, joined))
            held, joined = [], cut
        if not (item.kind == "word" and item.value in JOINING and not held):
            held.append(item)
        elif not joined or joined == ",":
            joined = item.value
    if held:
        pieces.append((held, joined))
    return [Clause(tuple(piece), tuple(noun_phrases.phrases(piece)), tie) for piece, tie in pieces]
