"""Labelled look-overs whose labels have times but quote no words, as examples: each label laid on words by a network.

A label goes on the saying that the network itself reads within the label's time and that speaks most for it. Where
there is none, it goes on the words that tell a state in the grammar's finding of the same thing, or in the label's
time; where there are none, on the last words of that. Such labels are less sure than quoted ones. A look-over with a
word or a label without time is passed over.

Never here: a look-over held back, the network itself. Torch is not needed.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Protocol

from teaching.answers import COMPONENT_ROWS, CONDITION_ROWS, STATE_ROWS
from teaching.examples import Example, Label, Saying, example_without_sayings
from underdial.errors import BadInput

LOOK_OVERS = Path(__file__).parents[1] / "tests" / "data" / "lookovers"
HELD_BACK = "lookovers_held_back"
# Sayings are taken from this chance on: a label says that something is there, so that a doubtful one will do; but it
# stays short.
ALIGNED_BEGINS_PROBABILITY, ALIGNED_GOES_ON_PROBABILITY = 0.1, 0.9
# A word may be said this long before its label's time or behind it: the time of a word within a caption is an estimate.
NEAR_S = 0.4
# A saying that speaks less than this for a label is not of it.
LEAST_SHARE = 0.003
# Kinds of tags that tell a state.
_STATE_KINDS = ("state", "not_seen")
# Words taken where none tells a state.
_LAST_COUNT = 2


class Shares(Protocol):
    """The share of each answer of a list."""

    def __getitem__(self, row: int, /) -> Any: ...


class SayingRead(Protocol):
    """What is used here of a saying as `teaching.reading` gives it."""

    @property
    def first(self) -> int: ...
    @property
    def last(self) -> int: ...
    @property
    def probability(self) -> float: ...
    @property
    def components(self) -> Shares: ...
    @property
    def conditions(self) -> Shares: ...
    @property
    def states(self) -> Shares: ...


@dataclass(frozen=True)
class Aligned:
    """The look-overs of a folder as examples, and the names of those with a word or a label without time."""

    examples: tuple[Example, ...]
    passed_over: tuple[str, ...]


def read_folder(folder: Path, read: Callable[[Example], Sequence[SayingRead]]) -> Aligned:
    """All look-overs of a folder (captions, and labels in NAME.gold.json), laid on words by what `read` finds in each.

    Raises BadInput for the look-overs held back: no network is taught on these.
    """
    if HELD_BACK in (*folder.parts, *folder.resolve().parts):
        raise BadInput(
            "look-overs",
            folder,
            "a folder that is not held back: those say how the reader fares on what it was not taught with",
        )
    examples: list[Example] = []
    passed_over: list[str] = []
    for gold_path in sorted(folder.glob("*.gold.json")):
        gold = json.loads(gold_path.read_text(encoding="utf-8"))
        example = example_without_sayings((folder / gold["file"]).read_text(encoding="utf-8-sig"), gold)
        if _has_times(example):
            examples.append(aligned(example, read(example)))
        else:
            passed_over.append(example.name)
    return Aligned(tuple(examples), tuple(passed_over))


def _has_times(example: Example) -> bool:
    return all(word.start_s is not None for word in example.words) and all(
        label["start_s"] is not None for label in example.gold["findings"]
    )


def aligned(example: Example, read: Sequence[SayingRead]) -> Example:
    """The example with its labels laid on words; `lost_count` are those in whose time nothing was said."""
    by_words: dict[tuple[int, int], list[Label]] = {}
    lost_count = 0
    for gold in example.gold["findings"]:
        in_time = [
            at
            for at, word in enumerate(example.words)
            if word.start_s is not None and gold["start_s"] - NEAR_S <= word.start_s <= gold["end_s"] + NEAR_S
        ]
        own = _words_of(example, gold, read, in_time)
        if own is None:
            lost_count += 1
        else:
            by_words.setdefault(own, []).append(_label(gold))
    return replace(
        example,
        sayings=tuple(Saying(first, last, tuple(labels)) for (first, last), labels in by_words.items()),
        lost_count=lost_count,
    )


def share_for(gold: Mapping[str, Any], one: SayingRead) -> float:
    """How much a saying speaks for a label: its chance and its shares of the likeliest answers that are right,
    multiplied.
    """
    components, conditions = (_rows(gold, "component", COMPONENT_ROWS), _rows(gold, "condition", CONDITION_ROWS))
    likeliest = (
        max((float(shares[row]) for row in rows), default=0.0)
        for shares, rows in ((one.components, components), (one.conditions, conditions))
    )
    share = one.probability * float(one.states[STATE_ROWS[gold["state"]]])
    for part in likeliest:
        share *= part
    return share


def _rows(gold: Mapping[str, Any], key: str, rows: Mapping[str | None, int]) -> list[int]:
    return [rows[answer] for answer in (gold[key], *gold.get("accept", {}).get(key, ())) if answer in rows]


def _words_of(
    example: Example, gold: Mapping[str, Any], read: Sequence[SayingRead], in_time: Sequence[int]
) -> tuple[int, int] | None:
    """First and last word of a label; None when nothing was said in its time."""
    near = set(in_time)
    likeliest = max(((share_for(gold, one), -at) for at, one in enumerate(read) if one.first in near), default=(0.0, 0))
    if likeliest[0] > LEAST_SHARE:
        one = read[-likeliest[1]]
        return one.first, one.last
    return _words_telling(example, _words_found(example, gold, near) or in_time)


def _words_found(example: Example, gold: Mapping[str, Any], near: set[int]) -> Sequence[int]:
    """The words of the first finding of the grammar, begun in the label's time, that has its component and
    condition.
    """
    for one in example.grammar:
        if (
            one.first is not None
            and one.last is not None
            and one.first in near
            and (one.component, one.condition) == (gold["component"], gold["condition"])
        ):
            return range(one.first, one.last + 1)
    return ()


def _words_telling(example: Example, among: Sequence[int]) -> tuple[int, int] | None:
    """The first run of words among these that tell a state, else the last ones; None when there are none."""
    telling = [at for at in among if example.words[at].kind in _STATE_KINDS]
    if telling:
        last = telling[0]
        while last + 1 in telling:
            last += 1
        return telling[0], last
    return (among[-_LAST_COUNT:][0], among[-1]) if among else None


def _label(gold: Mapping[str, Any]) -> Label:
    """A label without words for its part: what names it is not known."""
    return Label(
        component=gold["component"],
        of=gold["of"],
        place=gold["place"],
        condition=gold["condition"],
        state=gold["state"],
        again=False,
        part=(),
        accept=gold.get("accept", {}),
        significance=gold["significance"],
        decision=gold["decision"],
        who=gold["who"] or "repairer",
    )
