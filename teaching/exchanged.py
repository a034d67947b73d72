"""An example whose states are told in other writers' words: "chewed up" where another said "scored".

Every writer has words of his own for a state. Said in the place of another's, they teach that the place does not hang
on the words, nor the words on the place. Words go only where their like stood: same condition and state, after the same
kind of word, at the end of a clause or within one, and found by the grammar or not.

Never here: names of parts (`teaching.varied`); the network.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from teaching.examples import Example, GrammarFinding, Label, Saying, TaggedWord
from underdial.telling.speech.words import listed

# Of the sayings that may be told in other words, this share is.
OTHER_WORDS_PROBABILITY = 0.2
# Words that name part, wheel or place say more than the state: sayings with one in them keep their words.
_NAMING = frozenset(("part", "shared", "wheel", "place", "train", "aspect", "not"))
# How many words before a saying may turn it round.
_NO_BEFORE_COUNT = 3
_BEFORE = {
    word: kind
    for kind, words in (
        ("is", "is are was were be been being 's re looks look seems seem feels feel stands sits runs goes"),
        ("has", "has have had having got gets get shows showing"),
        ("a", "a an one another"),
        ("the", "the its his her their that this these those"),
        ("very", "very quite rather pretty really slightly little bit just still fairly badly nicely nice too so"),
        ("and", "and but or"),
        ("all", "all both each"),
    )
    for word in listed(words)
}


class _Place(NamedTuple):
    """What words that tell a state have in common with those they may stand for."""

    condition: str
    state: str
    before: str
    ends: bool
    told: bool


@dataclass(frozen=True)
class _Words:
    """Words that told a state, and what else their label counts as right."""

    words: tuple[TaggedWord, ...]
    accepted: tuple[str, ...]


Phrases = Mapping[_Place, Sequence[_Words]]


def phrases(examples: Iterable[Example]) -> Phrases:
    """All words of these examples that may tell a state elsewhere."""
    found: dict[_Place, list[_Words]] = {}
    for example in examples:
        for saying, place in _open_places(example):
            accepted = tuple(saying.labels[0].accept.get("condition", ()))
            found.setdefault(place, []).append(_Words(example.words[saying.first : saying.last + 1], accepted))
    return found


def exchanged(example: Example, of_others: Phrases, rng: random.Random) -> Example:
    """The example with some of its states told in words of `of_others`."""
    chosen = {
        saying.first: (saying.last, rng.choice(of_others[place]))
        for saying, place in _open_places(example)
        if place in of_others and rng.random() < OTHER_WORDS_PROBABILITY
    }
    words: list[TaggedWord] = []
    # Where the first and the last of old words now stand.
    firsts: list[int] = []
    lasts: list[int] = []
    at = 0
    while at < len(example.words):
        last, other = chosen.get(at, (at, None))
        old = example.words[at : last + 1]
        new = old if other is None else _in_place_of(old, other.words)
        firsts += [len(words)] * len(old)
        words += new
        lasts += [len(words) - 1] * len(old)
        at = last + 1
    return replace(
        example,
        words=tuple(words),
        numbers=tuple(replace(one, first=firsts[one.first], last=lasts[one.last]) for one in example.numbers),
        sayings=tuple(
            Saying(
                firsts[one.first],
                lasts[one.last],
                tuple(
                    _moved(label, firsts, chosen[one.first][1] if one.first in chosen else None) for label in one.labels
                ),
            )
            for one in example.sayings
        ),
        grammar=tuple(_moved_finding(one, firsts, lasts) for one in example.grammar),
    )


def _open_places(example: Example) -> list[tuple[Saying, _Place]]:
    """The sayings that may be told in other words, and what those must have in common with theirs."""
    held = {word for one in example.numbers for word in range(one.first, one.last + 1)}
    held |= {at for at, word in enumerate(example.words) if word.kind in _NAMING}
    held |= {word for one in example.sayings for label in one.labels for word in label.part}
    found = []
    sayings = sorted(example.sayings, key=lambda one: (one.first, one.last))
    for at, one in enumerate(sayings):
        own = range(one.first, one.last + 1)
        told = {(label.condition, label.state) for label in one.labels}
        if len(told) > 1 or any(label.again for label in one.labels) or not held.isdisjoint(own):
            continue
        if any(_share_a_word(one, other) for other in (*sayings[max(0, at - 1) : at], *sayings[at + 1 : at + 2])):
            continue
        before = example.words[max(0, one.first - _NO_BEFORE_COUNT) : one.first]
        if any(word.kind == "not" and word.sentence == example.words[one.first].sentence for word in before):
            continue
        found.append((one, _place(example, one)))
    return found


def _share_a_word(one: Saying, other: Saying) -> bool:
    return one.first <= other.last and other.first <= one.last


def _place(example: Example, one: Saying) -> _Place:
    head, words = one.labels[0], example.words
    sentence = words[one.first].sentence
    ends = bool(words[one.last].stop) or one.last + 1 == len(words) or words[one.last + 1].sentence != sentence
    told = any(
        finding.condition == head.condition
        and finding.first is not None
        and finding.last is not None
        and finding.first <= one.last
        and one.first <= finding.last
        for finding in example.grammar
    )
    if one.first == 0 or words[one.first - 1].sentence != sentence:
        before = "nothing"
    elif words[one.first - 1].stop:
        before = "stop"
    else:
        word = words[one.first - 1]
        before = _BEFORE.get(word.text, "part" if word.kind in _NAMING else "word")
    return _Place(head.condition, head.state, before, ends, told)


def _in_place_of(old: Sequence[TaggedWord], new: Sequence[TaggedWord]) -> list[TaggedWord]:
    """The new words where the old ones stood; the last has the stop of the last."""
    moved = [replace(word, sentence=old[0].sentence, start_s=old[0].start_s) for word in new]
    moved[-1] = replace(moved[-1], stop=old[-1].stop)
    return moved


def _moved(label: Label, firsts: Sequence[int], other: _Words | None) -> Label:
    part = tuple(sorted({firsts[word] for word in label.part}))
    if other is None:
        return replace(label, part=part)
    accept = {key: of for key, of in label.accept.items() if key != "condition"}
    return replace(label, part=part, accept={**accept, "condition": other.accepted} if other.accepted else accept)


def _moved_finding(one: GrammarFinding, firsts: Sequence[int], lasts: Sequence[int]) -> GrammarFinding:
    return replace(
        one, first=None if one.first is None else firsts[one.first], last=None if one.last is None else lasts[one.last]
    )
