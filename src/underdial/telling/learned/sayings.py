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
from functools import cache

import numpy as np
import numpy.typing as npt
from threadpoolctl import threadpool_limits

from underdial.telling.heard import Finding
from underdial.telling.learned import network
from underdial.telling.learned.network import Array, Weights
from underdial.telling.learned.pieces import CLOSE, OPEN, pieces_of
from underdial.telling.measurements.number_words import NumberWords, number_words
from underdial.telling.names import lexicon, states
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.part_lists import PartList, part_lists
from underdial.telling.speech.words import Word

# Pieces of one stretch, and of the context before and behind it: as in the teaching.
STRETCH_COUNT, BEFORE_COUNT, BEHIND_COUNT = 326, 48, 24
# A saying begins where the chance for it is above this; it goes on while "goes on" is likelier than "begins" and than
# this.
BEGINS_PROBABILITY, GOES_ON_PROBABILITY = 0.5, 0.3
# Where only the grammar found something, less likely words may still speak for it: such hints begin above this.
HINTS_PROBABILITY = 0.1
_STATES = ("present", "absent", "not_examined")
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
_STOPS: Mapping[str, int] = {"": 1, ",": 2, ".": 3, "?": 4, ":": 5}
_TAGGED = frozenset(
    ("part", "shared", "wheel", "state", "place", "train", "aspect", "decision", "weight", "quant", "not_seen", "not")
)
# Steps of distance between a saying and the word that names its part; beyond the last step all is far.
_STEPS = (0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 30, 40, 60, 80, 120)
_MIDDLE = 20
_AT_ONCE_COUNT = 2
_LEAST = 1e-9
# Of how many parts, wheels and places the combinations are weighed.
_COMBINATIONS_COUNT = (4, 3, 3)
# How many of the likeliest parts and conditions a saying lists.
_LISTED_COUNT = 8
_MARKS = ("tag_kind", "tag_value", "stop", "told_condition", "told_state", "told_component")


@dataclass(frozen=True)
class Reading:
    """One part with its wheel and place, and the chance of part, wheel and place together."""

    component: str
    of: str | None
    place: str | None
    probability: float


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


@dataclass(frozen=True)
class _Text:
    """The look-over as the network takes it: pieces with the word each belongs to, their marks, first piece of each
    word; whether the grammar found something at a word; lists of parts.
    """

    ids: npt.NDArray[np.intp]
    word: npt.NDArray[np.intp]
    marks: Array
    first: npt.NDArray[np.intp]
    kinds: npt.NDArray[np.intp]
    named: tuple[tuple[int, ...], ...]
    lexicon: tuple[tuple[int, ...], ...]
    numbers: Sequence[NumberWords]
    told: npt.NDArray[np.bool_]
    lists: Sequence[PartList]


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
    text = _laid_out(w, sentences, tagged, told, number_words(sentences, tenth_mm=tenth_mm), rough=rough)
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


def _laid_out(
    w: Weights,
    sentences: Sequence[Sequence[Word]],
    tagged: Sequence[Sequence[Item]],
    told: Sequence[tuple[Finding, int, int]],
    said: Sequence[NumberWords],
    *,
    rough: bool,
) -> _Text:
    known, kinds, values, parts = (_numbered(name) for name in ("pieces", "kinds", "values", "components"))
    conditions = _numbered("conditions")
    words = [word for sentence in sentences for word in sentence]
    items = [item for sentence, row in zip(sentences, tagged, strict=True) for item in items_of_words(sentence, row)]
    marks = np.zeros((len(words), w.of["position"].shape[1]), np.float32)
    row_kinds = np.array([kinds.get(kind, 0) for kind, _ in items], np.intp)
    row_values = np.array(
        [values.get(f"{kind}:{value}", 0) if kind in _TAGGED and value else 0 for kind, value in items], np.intp
    )
    row_stops = np.array([_STOPS.get(word.stop, 1) for word in words], np.intp)
    told_rows = np.zeros((3, len(words)), np.intp)
    for finding, first, last in told:
        told_rows[:, first : last + 1] = np.array(
            [
                [conditions.get(finding.condition, -1) + 1],
                [_STATES.index(finding.state) + 1],
                [parts.get(finding.component, -1) + 1],
            ]
        )
    for table, rows in zip(_MARKS, (row_kinds, row_values, row_stops, *told_rows), strict=True):
        marks += w.of[table][rows]
    plain = _plain(w)
    ids: list[int] = []
    owner: list[int] = []
    first_piece: list[int] = []
    for at, word in enumerate(words):
        first_piece.append(len(ids))
        cut = pieces_of(word.text.lower(), known)
        ids += cut
        owner += [at] * len(cut)
        if word.stop and not rough:
            ids.append(known.get(word.stop, known[","]))
            owner.append(-1)
    return _Text(
        np.array(ids, np.intp),
        np.array(owner, np.intp),
        np.array([marks[at] if at >= 0 else plain for at in owner], np.float32).reshape(-1, marks.shape[1]),
        np.array(first_piece, np.intp),
        row_kinds,
        tuple(_may_name(kind, value, parts) for kind, value in items),
        tuple(_may_say(kind, value, conditions) for kind, value in items),
        said,
        told_rows[0] > 0,
        part_lists(sentences, tagged, rough=rough),
    )


def items_of_words(sentence: Sequence[Word], tagged: Sequence[Item]) -> list[tuple[str, str]]:
    """For each word the kind and value of the item it belongs to."""
    row = [("word", "")] * len(sentence)
    for item in tagged:
        for at in range(item.start, min(item.end, len(row))):
            row[at] = (item.kind, item.value if item.kind != "word" else "")
    return row


def _may_name(kind: str, value: str, parts: Mapping[str, int]) -> tuple[int, ...]:
    """The parts that a word may name."""
    if kind in ("part", "wheel"):
        return (parts[value],) if value in parts else ()
    return (
        tuple(parts[part] for part, _ in lexicon.shared_words().get(value, ()) if part in parts)
        if kind == "shared"
        else ()
    )


@cache
def _conditions_of(phrase: str) -> frozenset[str]:
    return frozenset(state.condition for state in states.state_phrases().get(phrase, ()))


def _may_say(kind: str, value: str, conditions: Mapping[str, int]) -> tuple[int, ...]:
    """The conditions that a known phrase may stand for."""
    return (
        tuple(sorted(conditions[name] for name in _conditions_of(value) if name in conditions))
        if kind == "state"
        else ()
    )


@cache
def _numbered(name: str) -> Mapping[str, int]:
    return {one: at for at, one in enumerate(network.weights().names[name]) if one}


def _of_stretch(w: Weights, text: _Text, begin: int, end: int) -> Said:
    known = _numbered("pieces")
    low, high = max(0, begin - BEFORE_COUNT), min(len(text.ids), end + BEHIND_COUNT)
    plain = np.zeros((1, text.marks.shape[1]), np.float32) + _plain(w)
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
    text: _Text,
    words: Array,
    inside: npt.NDArray[np.intp],
    spans: Sequence[tuple[int, int]],
    probabilities: Sequence[float],
) -> list[Saying]:
    """What each of the spans (first and last row of `words`) says; all at once, a row a saying."""
    said, share, pointed, parts = _pointed(w, text, words, inside, spans)
    condition = network.affine(w, "condition", said)
    for at, (first, last) in enumerate(spans):
        known = sorted({one for word in inside[first : last + 1] for one in text.lexicon[word]})
        if known:
            condition[at, known] += w.of["lexicon"][0] / np.float32(np.sqrt(len(known)))
    state = network.softmax(network.affine(w, "state", said))
    best, of_part = _of_parts(w, said, pointed, parts, _COMBINATIONS_COUNT[0])
    conditions = _conditions(w, condition, of_part, np.take_along_axis(parts, best, axis=1))
    again = network.chance(network.affine(w, "again", said))[:, 0]
    readings = _readings(w, said, of_part, best, parts)
    chosen = {name: network.affine(w, name, said).argmax(axis=1) for name in ("significance", "decision", "who")}
    pointed_at = inside[share.argmax(axis=1)]
    return [
        Saying(
            int(inside[first]),
            int(inside[last]),
            probabilities[at],
            _likeliest(parts[at], w.names["components"]),
            _likeliest(conditions[at], w.names["conditions"]),
            dict(zip(_STATES, map(float, state[at]), strict=True)),
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
    w: Weights, text: _Text, words: Array, inside: npt.NDArray[np.intp], said: Array, pointed_at: int
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
    best, of_part = _of_parts(w, sayings, pointed, parts, 1)
    of, place = (_answer(w, name, of_part)[:, 0].argmax(axis=1) for name in ("of", "place"))
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


def _pointed(
    w: Weights, text: _Text, words: Array, inside: npt.NDArray[np.intp], spans: Sequence[tuple[int, int]]
) -> tuple[Array, Array, Array, Array]:
    """For each span: its mean vector, where it points for its part (shares of the words), the vector pointed at, the
    shares of the parts.
    """
    said = np.array([words[at : last + 1].mean(axis=0) for at, last in spans], np.float32)
    near = (
        network.affine(w, "pointer_from", said)
        @ network.affine(w, "pointer_to", words).T
        / np.float32(np.sqrt(w.of["pointer_from"].shape[0]))
    )
    near += (
        w.of["distance"][_steps(inside[[at for at, _ in spans]][:, None] - inside[None, :])]
        + w.of["kind_weight"][text.kinds[inside]]
    )
    share = network.softmax(near)
    pointed: Array = share @ words
    part = network.affine(w, "component", said) + network.affine(w, "component_pointed", pointed)
    naming = [(row, one) for row, word in enumerate(inside) for one in text.named[word]]
    if naming:
        rows, ones = np.array(naming).T
        np.add.at(part.T, ones, w.of["copy"][0] * share[:, rows].T)
    return said, share, pointed, network.softmax(part)


def _of_parts(w: Weights, said: Array, pointed: Array, parts: Array, count: int) -> tuple[npt.NDArray[np.intp], Array]:
    """The likeliest parts of each span, shape (n, count), and what is known of the span beside each part, shape (n,
    count, 3 d).
    """
    best = _best(parts, count)
    return best, np.concatenate(
        (*(np.repeat(x[:, None], best.shape[1], axis=1) for x in (said, pointed)), w.of["component_vector"][best]),
        axis=2,
    )


def _numbers(
    w: Weights,
    text: _Text,
    words: Array,
    inside: npt.NDArray[np.intp],
    spans: Sequence[tuple[int, int]],
    numbers: Sequence[NumberWords],
) -> list[NumberSaid]:
    """What each number measures; `spans` are its first and last row of `words`."""
    said, _, pointed, parts = _pointed(w, text, words, inside, spans)
    unit, quantity = (network.softmax(network.affine(w, name, said)) for name in ("unit", "quantity"))
    best, of_part = _of_parts(w, said, pointed, parts, 1)
    of = network.softmax(_answer(w, "of", of_part))[:, 0]
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


def _conditions(w: Weights, scores: Array, of_part: Array, shares: Array) -> Array:
    """The chance of each condition, shape (n, conditions): for each likely part what is said of such a part, weighed
    by the part's share.
    """
    given = network.softmax(scores[:, None] + _answer(w, "condition_given", of_part))
    found: Array = np.einsum("np,npc->nc", shares / shares.sum(axis=1, keepdims=True), given)
    return found


def _answer(w: Weights, name: str, of_part: Array) -> Array:
    return network.affine(w, f"{name}.answer", network.bent(network.affine(w, f"{name}.hidden", of_part)))


def _readings(
    w: Weights, said: Array, of_part: Array, best: npt.NDArray[np.intp], parts: Array
) -> list[tuple[Reading, ...]]:
    """For each saying the likeliest parts with wheel and place, as many as it is said of."""
    _, of_count, place_count = _COMBINATIONS_COUNT
    wanted = network.affine(w, "count", said).argmax(axis=1) + 1
    of, place = (network.softmax(_answer(w, name, of_part)) for name in ("of", "place"))
    best_of, best_place = _best(of, of_count), _best(place, place_count)
    chances = (
        np.take_along_axis(parts, best, axis=1)[:, :, None, None]
        * np.take_along_axis(of, best_of, axis=2)[:, :, :, None]
        * np.take_along_axis(place, best_place, axis=2)[:, :, None, :]
    )
    likeliest = np.argsort(-chances.reshape(len(said), -1), axis=1, kind="stable")
    found: list[tuple[Reading, ...]] = []
    for at, count in enumerate(wanted):
        rows, ofs, places = np.unravel_index(likeliest[at, :count], chances.shape[1:])
        found.append(
            tuple(
                Reading(
                    w.names["components"][best[at, row]],
                    w.names["of"][best_of[at, row, i]] or None,
                    w.names["places"][best_place[at, row, j]] or None,
                    float(chances[at, row, i, j]),
                )
                for row, i, j in zip(rows, ofs, places, strict=True)
            )
        )
    return found


def _likeliest(shares: Array, names: Sequence[str]) -> Mapping[str, float]:
    return {names[at]: float(shares[at]) for at in _best(shares, _LISTED_COUNT)}


def _best(shares: Array, count: int) -> npt.NDArray[np.intp]:
    """The places of the largest along the last axis, the largest first."""
    some = np.argpartition(-shares, count - 1, axis=-1)[..., :count]
    order = np.argsort(-np.take_along_axis(shares, some, axis=-1), axis=-1, kind="stable")
    found: npt.NDArray[np.intp] = np.take_along_axis(some, order, axis=-1)
    return found


def _steps(distances: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
    """The numbers of the steps of distances in words; words before the saying count upward from the middle, words
    behind it downward.
    """
    step = np.searchsorted(_STEPS, np.abs(distances))
    return np.where(distances >= 0, _MIDDLE + step, _MIDDLE - step)


def _plain(w: Weights) -> Array:
    """The marks of a piece of which nothing is known."""
    marks: Array = np.sum([w.of[table][0] for table in _MARKS], axis=0, dtype=np.float32)
    return marks
