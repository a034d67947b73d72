"""A look-over laid out for the network: pieces of words with what is known of each, cut into stretches; and the
targets.

The layout is that of the reading (`underdial.telling.learned.sayings`): a piece a row, the stop behind a word as a
piece of its own where stops were written, stretches of a fixed length with context on both sides.

Never here: the network, a random choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from teaching.answers import (
    COMPONENT_ROWS,
    CONDITION_ROWS,
    COUNTS,
    DECISIONS,
    OF_ROWS,
    PLACE_ROWS,
    QUANTITY_ROWS,
    SIGNIFICANCE,
    STATE_ROWS,
    STOPS,
    UNIT_ROWS,
    WHO,
    TagNumbers,
    may_name,
    may_say,
)
from teaching.base_weights import WordPieces
from teaching.examples import Example, Label, Number, Saying
from underdial.telling.learned.sayings import BEFORE_COUNT, BEHIND_COUNT, STRETCH_COUNT

Rows = npt.NDArray[np.int64]
# Columns of `marks`.
KIND, VALUE, STOP, TOLD_CONDITION, TOLD_STATE, TOLD_COMPONENT = range(6)
OUTSIDE, BEGINS, GOES_ON = range(3)
# No target: pieces of the context, and all pieces of a word but the first.
IGNORED = -100


@dataclass(frozen=True)
class LaidOut:
    """An example as the network takes it.

    ids, owner : array, shape (n,); the piece and the word it belongs to, -1 for a stop.
    marks : array, shape (n, 6); rows of kind, value and stop, and of what the grammar found there (0: nothing).
    first : array, shape (words,); the first piece of each word.
    kinds : array, shape (words,); rows of the kinds of the words' tags.
    named, sayable : for each word, the components it may name and the conditions it may stand for.
    """

    example: Example
    ids: Rows
    owner: Rows
    marks: Rows
    first: Rows
    kinds: Rows
    named: tuple[tuple[int, ...], ...]
    sayable: tuple[tuple[int, ...], ...]

    def sayable_in(self, first: int, last: int) -> list[int]:
        """Conditions that the words from `first` to `last` may stand for, in order."""
        return sorted({row for word in range(first, last + 1) for row in self.sayable[word]})


@dataclass(frozen=True)
class Stretch:
    """Pieces `begin` to `end` are read, those from `low` to `high` are seen; ends are not included."""

    low: int
    high: int
    begin: int
    end: int


@dataclass(frozen=True)
class SayingTarget:
    """What one saying of a stretch is to be read as; rows of the lists of answers.

    `words` are places among the words seen, `pointed` those that name the part. `accepted_…` may be answered too.
    `readings` gives for each component the rows of its wheels and of its places.
    """

    first_word: int
    words: tuple[int, ...]
    pointed: tuple[int, ...]
    sayable: tuple[int, ...]
    components: tuple[int, ...]
    accepted_components: tuple[int, ...]
    conditions: tuple[int, ...]
    accepted_conditions: tuple[int, ...]
    states: tuple[int, ...]
    readings: tuple[tuple[int, tuple[int, ...], tuple[int, ...]], ...]
    again: bool
    significance: int
    decision: int
    who: int
    count: int


@dataclass(frozen=True)
class NumberTarget:
    """What one number of a stretch is to be read as: rows of unit and quantity, of the part it is measured on and its
    wheel.

    The unit of what is no measurement is the first row; the others are then None. `words` are places among the words
    seen.
    """

    first_word: int
    words: tuple[int, ...]
    unit: int
    quantity: int | None
    component: int | None
    of: int | None


@dataclass(frozen=True)
class Targets:
    """Targets of one stretch.

    seen : array, shape (w,); the words with a first piece in it, context included.
    begun : array, shape (high - low,); OUTSIDE, BEGINS or GOES_ON at the first piece of each word, else IGNORED.
    """

    seen: Rows
    begun: Rows
    sayings: list[SayingTarget] = field(default_factory=list)
    numbers: list[NumberTarget] = field(default_factory=list)


def lay_out(example: Example, pieces: WordPieces, tags: TagNumbers) -> LaidOut:
    """Cut an example into pieces with their marks."""
    told = _told_rows(example)
    ids: list[int] = []
    owner: list[int] = []
    marks: list[tuple[int, ...]] = []
    first: list[int] = []
    for at, word in enumerate(example.words):
        first.append(len(ids))
        cut = pieces.of([word.text])
        ids += cut
        owner += [at] * len(cut)
        marks += [(*tags.of(word.kind, word.value), STOPS.get(word.stop, STOPS[""]), *told[at])] * len(cut)
        if word.stop and not example.rough:
            ids.append(pieces.numbers.get(word.stop, pieces[","]))
            owner.append(-1)
            marks.append((0,) * 6)
    kinds = [tags.of(word.kind, "")[0] for word in example.words]
    return LaidOut(
        example,
        np.array(ids, np.int64),
        np.array(owner, np.int64),
        np.array(marks, np.int64).reshape(-1, 6),
        np.array(first, np.int64),
        np.array(kinds, np.int64),
        tuple(may_name(word.kind, word.value) for word in example.words),
        tuple(may_say(word.kind, word.value) for word in example.words),
    )


def _told_rows(example: Example) -> Rows:
    """For each word the rows of condition, state and component that the grammar found there, shape (words, 3); 0 is
    none.
    """
    rows = np.zeros((len(example.words), 3), np.int64)
    for one in example.grammar:
        if one.first is not None and one.last is not None:
            rows[one.first : one.last + 1] = (
                CONDITION_ROWS[one.condition] + 1,
                STATE_ROWS[one.state] + 1,
                COMPONENT_ROWS[one.component] + 1,
            )
    return rows


def stretches(pieces_count: int, *, shift_count: int = 0) -> list[Stretch]:
    """Stretches that read every piece once; `shift_count`, less than a stretch, moves where they are cut."""
    cuts = [0, *range(STRETCH_COUNT - shift_count, pieces_count, STRETCH_COUNT), pieces_count]
    return [
        Stretch(max(0, begin - BEFORE_COUNT), min(pieces_count, end + BEHIND_COUNT), begin, end)
        for begin, end in pairwise(cuts)
        if end > begin
    ]


def targets(laid: LaidOut, stretch: Stretch) -> Targets:
    """What is to be read in one stretch: sayings that begin in it and end in what is seen."""
    seen = np.flatnonzero((laid.first >= stretch.low) & (laid.first < stretch.high))
    begun = np.full(stretch.high - stretch.low, IGNORED, np.int64)
    read = laid.first[(laid.first >= stretch.begin) & (laid.first < stretch.end)]
    begun[read - stretch.low] = OUTSIDE
    found = Targets(seen, begun)
    place_of = {int(word): place for place, word in enumerate(seen)}
    for saying in laid.example.sayings:
        if (
            saying.first not in place_of
            or saying.last not in place_of
            or not stretch.begin <= laid.first[saying.first] < stretch.end
        ):
            continue
        own = laid.first[saying.first : saying.last + 1] - stretch.low
        begun[own] = GOES_ON
        begun[own[0]] = BEGINS
        found.sayings.append(_saying_target(laid, saying, place_of))
    found.numbers.extend(
        _number_target(number, place_of)
        for number in laid.example.numbers
        if number.first in place_of
        and number.last in place_of
        and stretch.begin <= laid.first[number.first] < stretch.end
    )
    return found


def _number_target(number: Number, place_of: dict[int, int]) -> NumberTarget:
    words = tuple(place_of[word] for word in range(number.first, number.last + 1))
    if number.unit is None:
        return NumberTarget(number.first, words, 0, None, None, None)
    component = None if number.component is None else COMPONENT_ROWS[number.component]
    return NumberTarget(
        number.first,
        words,
        UNIT_ROWS[number.unit],
        QUANTITY_ROWS[number.quantity],
        component,
        None if component is None else OF_ROWS.get(number.of, 0),
    )


def _saying_target(laid: LaidOut, saying: Saying, place_of: dict[int, int]) -> SayingTarget:
    labels, head = saying.labels, saying.labels[0]
    components = {COMPONENT_ROWS[label.component] for label in labels}
    conditions = {CONDITION_ROWS[label.condition] for label in labels}
    return SayingTarget(
        first_word=saying.first,
        words=tuple(place_of[word] for word in range(saying.first, saying.last + 1)),
        pointed=tuple(place_of[word] for label in labels for word in label.part if word in place_of),
        sayable=tuple(laid.sayable_in(saying.first, saying.last)),
        components=tuple(sorted(components)),
        accepted_components=tuple(sorted(components | _accepted(labels, "component", COMPONENT_ROWS))),
        conditions=tuple(sorted(conditions)),
        accepted_conditions=tuple(sorted(conditions | _accepted(labels, "condition", CONDITION_ROWS))),
        states=tuple(sorted({STATE_ROWS[label.state] for label in labels})),
        readings=tuple(_reading(row, labels) for row in sorted(components)),
        again=all(label.again for label in labels),
        significance=SIGNIFICANCE.index(head.significance),
        decision=DECISIONS.index(head.decision),
        who=WHO.index(head.who),
        count=min(COUNTS, len({(label.component, label.of, label.place) for label in labels})) - 1,
    )


def _accepted(labels: Sequence[Label], key: str, rows: dict[str | None, int]) -> set[int]:
    return {rows[one] for label in labels for one in label.accept.get(key, ()) if one in rows}


def _reading(component: int, labels: Sequence[Label]) -> tuple[int, tuple[int, ...], tuple[int, ...]]:
    """A component with the wheels and places it is said of; a place that is on no list counts as none."""
    own = [label for label in labels if COMPONENT_ROWS[label.component] == component]
    return (
        component,
        tuple(sorted({OF_ROWS.get(label.of, 0) for label in own})),
        tuple(sorted({PLACE_ROWS.get(label.place, 0) for label in own})),
    )
