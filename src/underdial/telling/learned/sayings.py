"""Sayings found by the learned reading: which words tell a state, of which part, which state, how likely each.

The words of a look-over go through the network in stretches with some words of context on both sides. Every word
gets the chance that a saying begins or goes on with it. For each saying the network names part, wheel, place,
condition and state; the part is found by pointing at the word that names it, near or far. Of each number it says
whether it was measured, in what unit, which quantity of which part.

Never here: rules of grammar; what becomes of a saying or a number.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from threadpoolctl import threadpool_limits

from underdial.telling.heard import Finding
from underdial.telling.learned import laid_out, network
from underdial.telling.learned.heads import (
    COMBINATIONS_COUNT,
    Reading,
    answer,
    condition_chances,
    likely_readings,
    most_likely,
    of_parts,
    points_at,
)
from underdial.telling.learned.laid_out import STATES, Text, lay_out, plain_marks
from underdial.telling.learned.network import Array, Weights
from underdial.telling.learned.pieces import CLOSE, OPEN
from underdial.telling.measurements.number_words import NumberWords, number_words
from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import Word

# Pieces of one stretch, and of the context before and behind it: as in the teaching.
STRETCH_COUNT, BEFORE_COUNT, BEHIND_COUNT = 326, 48, 24
# A saying begins where the chance for it is above this; it goes on while "goes on" is likelier than "begins" and than
# this.
BEGINS_PROBABILITY, GOES_ON_PROBABILITY = 0.5, 0.3
# Where only the grammar found something, less likely words may still speak for it: such hints begin above this.
HINTS_PROBABILITY = 0.1
_SIGNIFICANCE = (None, "stops", "contributes", "none", "cosmetic")
_DECISIONS = (
    None,
    "leave",
    "clean",
    "oil",
    "adjust",
    "straighten",
    "tighten",
    "polish",
    "bush",
    "repair",
    "replace",
    "glue",
    "ask_owner",
    "recheck",
    "later",
    "must_fix",
)
_WHO = ("repairer", "owner", "earlier-work")
_AT_ONCE_COUNT = 2
_LEAST = 1e-9


@dataclass(frozen=True)
class ListedPart:
    """A name of the list that a saying points into: the word that names it, what it reads as there; `several` as in
    `PartList`. The chance is the part's alone.
    """

    named_at: int
    several: bool
    reading: Reading


@dataclass(frozen=True)
class Saying:
    """What the words `begin` to `end` (of the whole look-over, both included) say.

    `probability` is the chance that they say anything; the others are chances given that they do. `pointed_at` is the
    word taken for the name of the part; `again_probability` the chance that this only says once more what was said. A
    `hint` is too unlikely to propose anything.
    """

    begin: int
    end: int
    probability: float
    components: Mapping[str, float]
    conditions: Mapping[str, float]
    states: Mapping[str, float]
    readings: tuple[Reading, ...]
    again_probability: float
    pointed_at: int
    significance: str | None
    decision: str | None
    who: str
    hint: bool = False
    listed: tuple[ListedPart, ...] = ()


@dataclass(frozen=True)
class NumberSaid:
    """What the network makes of a number: the chance that it was measured; if so, the likeliest unit and quantity,
    of which part and wheel, each with its chance.
    """

    words: NumberWords
    probability: float
    unit: str
    unit_probability: float
    quantity: str
    quantity_probability: float
    component: str
    of: str | None
    part_probability: float


@dataclass(frozen=True)
class Said:
    """Everything the learned reading found in a look-over, in the order it was said."""

    sayings: list[Saying]
    numbers: list[NumberSaid]


def find(
    sentences: Sequence[Sequence[Word]],
    tagged: Sequence[Sequence[Item]],
    told: Sequence[tuple[Finding, int, int]],
    *,
    rough: bool,
    tenth_mm: float = 0.1,
) -> Said:
    """All sayings and numbers of a look-over in order.

    `tagged` is the row of items of each sentence; `told` is what the grammar found, each with its first and last word
    (of the whole look-over); `rough` says that a recogniser wrote no stops. Deterministic.
    """
    w = network.weights()
    text = lay_out(w, sentences, tagged, told, number_words(sentences, tenth_mm=tenth_mm), rough=rough)
    # Loaded here, not by two threads at once.
    assert w.encoder is not None
    # Many small products: one core each for two stretches is faster than two cores for each product.
    with threadpool_limits(limits=1, user_api="blas"), ThreadPoolExecutor(_AT_ONCE_COUNT) as pool:
        stretches = list(
            pool.map(
                lambda begin: _of_stretch(w, text, begin, min(len(text.ids), begin + STRETCH_COUNT)),
                range(0, len(text.ids), STRETCH_COUNT),
            )
        )
    return Said(
        [saying for one in stretches for saying in one.sayings], [number for one in stretches for number in one.numbers]
    )


def _of_stretch(w: Weights, text: Text, begin: int, end: int) -> Said:
    known = laid_out.numbered("pieces")
    low, high = max(0, begin - BEFORE_COUNT), min(len(text.ids), end + BEHIND_COUNT)
    plain = np.zeros((1, text.marks.shape[1]), np.float32) + plain_marks(w)
    vectors = network.encode(
        w,
        np.concatenate(([known[OPEN]], text.ids[low:high], [known[CLOSE]])),
        np.concatenate((plain, text.marks[low:high], plain)),
    )[1:-1]
    inside = np.flatnonzero((text.first >= low) & (text.first < high))
    words = vectors[text.first[inside] - low]
    begun = network.softmax(network.affine(w, "begin", words))
    own = (text.first[inside] >= begin) & (text.first[inside] < end)
    spans = _spans(begun, own, BEGINS_PROBABILITY)
    for first, last in spans:
        own[first : last + 1] = False
    own &= text.told[inside]
    hints = [(first, last) for first, last in _spans(begun, own, HINTS_PROBABILITY) if own[first : last + 1].all()]
    both = sorted(spans + hints)
    row_of = {int(word): row for row, word in enumerate(inside)}
    numbers = [one for one in text.numbers if begin <= text.first[one.first] < end and one.last in row_of]
    found = (
        _sayings(w, text, words, inside, both, [float(1 - begun[at : last + 1, 0].min()) for at, last in both])
        if both
        else []
    )
    return Said(
        [replace(saying, hint=span in hints) for saying, span in zip(found, both, strict=True)],
        _numbers(w, text, words, inside, [(row_of[one.first], row_of[one.last]) for one in numbers], numbers)
        if numbers
        else [],
    )


def _spans(begun: Array, own: npt.NDArray[np.bool_], least_probability: float) -> list[tuple[int, int]]:
    """First and last row of the words that tell something, begun at rows of one's own and above this chance; `begun`
    has shape (words, 3).
    """
    spans: list[tuple[int, int]] = []
    for at in np.flatnonzero((1 - begun[:, 0] > least_probability) & own):
        if spans and at <= spans[-1][1]:
            continue
        last = int(at)
        while last + 1 < len(begun) and begun[last + 1, 2] > max(begun[last + 1, 1], GOES_ON_PROBABILITY):
            last += 1
        spans.append((int(at), last))
    return spans


def _sayings(
    w: Weights,
    text: Text,
    words: Array,
    inside: npt.NDArray[np.intp],
    spans: Sequence[tuple[int, int]],
    probabilities: Sequence[float],
) -> list[Saying]:
    """What each of the spans (first and last row of `words`) says; all at once, a row a saying."""
    said, share, pointed, parts = points_at(w, text, words, inside, spans)
    condition = network.affine(w, "condition", said)
    for at, (first, last) in enumerate(spans):
        known = sorted({one for word in inside[first : last + 1] for one in text.lexicon[word]})
        if known:
            condition[at, known] += w.of["lexicon"][0] / np.float32(np.sqrt(len(known)))
    state = network.softmax(network.affine(w, "state", said))
    best, of_part = of_parts(w, said, pointed, parts, COMBINATIONS_COUNT[0])
    conditions = condition_chances(w, condition, of_part, np.take_along_axis(parts, best, axis=1))
    again = network.chance(network.affine(w, "again", said))[:, 0]
    readings = likely_readings(w, said, of_part, best, parts)
    chosen = {name: network.affine(w, name, said).argmax(axis=1) for name in ("significance", "decision", "who")}
    pointed_at = inside[share.argmax(axis=1)]
    return [
        Saying(
            int(inside[first]),
            int(inside[last]),
            probabilities[at],
            most_likely(parts[at], w.names["components"]),
            most_likely(conditions[at], w.names["conditions"]),
            dict(zip(STATES, map(float, state[at]), strict=True)),
            readings[at],
            float(again[at]),
            int(pointed_at[at]),
            _SIGNIFICANCE[chosen["significance"][at]],
            _DECISIONS[chosen["decision"][at]],
            _WHO[chosen["who"][at]],
            listed=_listed(w, text, words, inside, said[at], int(pointed_at[at])),
        )
        for at, (first, last) in enumerate(spans)
    ]


def _listed(
    w: Weights, text: Text, words: Array, inside: npt.NDArray[np.intp], said: Array, pointed_at: int
) -> tuple[ListedPart, ...]:
    """What a saying would read if it pointed at one name alone, for each name of the list that it points into."""
    listing = next((one for one in text.lists if one.covers(pointed_at)), None)
    if listing is None:
        return ()
    row_of = {int(word): row for row, word in enumerate(inside)}
    members = [one for one in listing.members if one.head in row_of]
    if not members:
        return ()
    sayings, pointed = np.repeat(said[None, :], len(members), axis=0), words[[row_of[one.head] for one in members]]
    part = network.affine(w, "component", sayings) + network.affine(w, "component_pointed", pointed)
    for at, one in enumerate(members):
        part[at, list(text.named[one.head])] += w.of["copy"][0]
    parts = network.softmax(part)
    best, of_part = of_parts(w, sayings, pointed, parts, 1)
    of, place = (answer(w, name, of_part)[:, 0].argmax(axis=1) for name in ("of", "place"))
    return tuple(
        ListedPart(
            one.head,
            listing.several,
            Reading(
                w.names["components"][best[at, 0]],
                w.names["of"][of[at]] or None,
                w.names["places"][place[at]] or None,
                float(parts[at, best[at, 0]]),
            ),
        )
        for at, one in enumerate(members)
    )


def _numbers(
    w: Weights,
    text: Text,
    words: Array,
    inside: npt.NDArray[np.intp],
    spans: Sequence[tuple[int, int]],
    numbers: Sequence[NumberWords],
) -> list[NumberSaid]:
    """What each number measures; `spans` are its first and last row of `words`."""
    said, _, pointed, parts = points_at(w, text, words, inside, spans)
    unit, quantity = (network.softmax(network.affine(w, name, said)) for name in ("unit", "quantity"))
    best, of_part = of_parts(w, said, pointed, parts, 1)
    of = network.softmax(answer(w, "of", of_part))[:, 0]
    found = []
    for at, one in enumerate(numbers):
        told, measures, part, wheel = (
            1 + int(unit[at, 1:].argmax()),
            int(quantity[at].argmax()),
            int(best[at, 0]),
            int(of[at].argmax()),
        )
        probability = float(1 - unit[at, 0])
        found.append(
            NumberSaid(
                one,
                probability,
                w.names["units"][told],
                float(unit[at, told]) / max(probability, _LEAST),
                w.names["quantities"][measures],
                float(quantity[at, measures]),
                w.names["components"][part],
                w.names["of"][wheel] or None,
                float(parts[at, part] * of[at, wheel]),
            )
        )
    return found
