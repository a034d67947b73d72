"""A look-over as the network takes it: words cut into pieces, each with the marks of what is known of it.

Never here: what the network makes of them (`sayings`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from underdial.telling.heard import Finding
from underdial.telling.learned import network
from underdial.telling.learned.network import Array, Weights
from underdial.telling.learned.pieces import pieces_of
from underdial.telling.measurements.number_words import NumberWords
from underdial.telling.names import lexicon, states
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.part_lists import PartList, part_lists
from underdial.telling.speech.words import Word

STATES = ("present", "absent", "not_examined")
_STOPS: Mapping[str, int] = {"": 1, ",": 2, ".": 3, "?": 4, ":": 5}
_TAGGED = frozenset(
    ("part", "shared", "wheel", "state", "place", "train", "aspect", "decision", "weight", "quant", "not_seen", "not")
)
_MARKS = ("tag_kind", "tag_value", "stop", "told_condition", "told_state", "told_component")


@dataclass(frozen=True)
class Text:
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


def lay_out(
    w: Weights,
    sentences: Sequence[Sequence[Word]],
    tagged: Sequence[Sequence[Item]],
    told: Sequence[tuple[Finding, int, int]],
    said: Sequence[NumberWords],
    *,
    rough: bool,
) -> Text:
    """The look-over with what its words are tagged as, what the grammar found (`told`), which are numbers (`said`)."""
    known, kinds, values, parts = (numbered(name) for name in ("pieces", "kinds", "values", "components"))
    conditions = numbered("conditions")
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
                [STATES.index(finding.state) + 1],
                [parts.get(finding.component, -1) + 1],
            ]
        )
    for table, rows in zip(_MARKS, (row_kinds, row_values, row_stops, *told_rows), strict=True):
        marks += w.of[table][rows]
    plain = plain_marks(w)
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
    return Text(
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
def numbered(name: str) -> Mapping[str, int]:
    """The numbers that the network knows the names of one kind by: pieces, components, conditions and so on."""
    return {one: at for at, one in enumerate(network.weights().names[name]) if one}


def plain_marks(w: Weights) -> Array:
    """The marks of a piece of which nothing is known."""
    marks: Array = np.sum([w.of[table][0] for table in _MARKS], axis=0, dtype=np.float32)
    return marks
