"""How likely each proposal is right, from what speaks for and against it, and which of them gainsay one another.

The chance is learned from look-overs that neither reading had seen. What only the learned reading found is held to
more: it must be sure whether the state is there, and may not stand against what the grammar has.

Never here: what the readings propose (`candidates`); the network.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from underdial.telling.learned import network
from underdial.telling.learned.candidates import LEAST_PROBABILITY, Candidate, apart
from underdial.telling.learned.network import Array
from underdial.telling.names import states
from underdial.telling.names.states import SOUND

# Chosen on the look-overs held out of the teaching, where F1 is highest. What is less likely right than not must be
# sure whether the state is there or not.
KEEP_PROBABILITY = 0.4
_EVEN_PROBABILITY, _SURE_STATE_PROBABILITY = 0.5, 0.95
# Present for absent is the worst error: what only the learned reading found must be this sure of which it is.
_STATE_PROBABILITY = 0.8
# What the grammar has the other way round counts from this chance on: below it the grammar misread some other words.
WEIGHTY_PROBABILITY = 0.1
# How soon a word that takes one back is said, in words.
_SOON_COUNT = 12
# How many words before a state its "no" may stand.
_NO_BEFORE_COUNT = 3
FEATURES = (
    "learned",
    "told",
    "both",
    "log_score",
    "log_score_told",
    "begin",
    "part",
    "condition",
    "state",
    "again",
    "no_saying",
    "rough",
    "good",
    "absent",
    "not_examined",
    "same_part",
    "same_condition",
    "others",
    "said_before",
    "rival",
    "listed",
    "listed_several",
)


def features_of(rows: Sequence[Candidate], *, rough: bool) -> Array:
    """What speaks for and against each candidate, shape (n, features), in the order of `FEATURES`."""
    table = np.zeros((len(rows), len(FEATURES)), np.float32)
    begins, ends, scores = (
        np.array([getattr(row, name) for row in rows]) for name in ("begin", "end", "score_probability")
    )
    part, condition, fact = (
        _numbered([getattr(row, name) for row in rows]) for name in ("component", "condition", "fact")
    )
    for at, row in enumerate(rows):
        best = row.best
        beside = (begins <= row.end + 1) & (ends >= row.begin - 1)
        beside[at] = False
        log_score = math.log(max(row.score_probability, LEAST_PROBABILITY))
        part_chance = max(
            best.components.get(row.component, 0.0) if best else 0.0, row.listed.part_probability if row.listed else 0.0
        )
        table[at] = (
            row.saying is not None,
            row.finding is not None,
            row.saying is not None and row.finding is not None,
            log_score,
            log_score * (row.finding is not None),
            best.probability if best else 0.0,
            part_chance,
            best.conditions.get(row.condition, 0.0) if best else 0.0,
            best.states[row.state] if best else 0.0,
            best.again_probability if best else 0.0,
            best is None,
            rough,
            row.condition in SOUND,
            row.state == "absent",
            row.state == "not_examined",
            np.sum(beside & (part == part[at])),
            np.sum(beside & (condition == condition[at])),
            np.sum(beside),
            np.any((fact == fact[at]) & (begins < row.begin)),
            max(scores[beside], default=0.0),
            row.listed is not None,
            row.listed is not None and row.listed.several,
        )
    return table


def _numbered(names: Sequence[object]) -> npt.NDArray[np.intp]:
    """Equal names as equal numbers."""
    numbers = {name: at for at, name in enumerate(dict.fromkeys(names))}
    return np.array([numbers[name] for name in names], np.intp)


def chances_of(rows: Sequence[Candidate], *, rough: bool) -> list[float]:
    """The chance that each candidate is right, 0 to 1."""
    if not rows:
        return []
    w = network.weights()
    chances = network.chance(features_of(rows, rough=rough) @ w.of["join"] + w.of["join.shift"][0])
    return [float(chance) for chance in chances]


def turned_round(row: Candidate, told: Sequence[Candidate], of_words: Sequence[tuple[str, str]]) -> bool:
    """Whether what only the learned reading found stands against the grammar: the same fact the other way round, a
    known phrase with "no" before it, or without, or a word that says "sound" taken for a fault.

    `told` is what the grammar has of the same part and condition.
    """
    if row.finding is not None or row.state == "not_examined" or row.condition in SOUND:
        return False
    if any(
        {other.state, row.state} == {"present", "absent"} and (other.of == row.of or None in (other.of, row.of))
        for other in told
    ):
        return True
    for at in range(row.begin, row.end + 1):
        kind, phrase = of_words[at]
        readings = states.state_phrases().get(phrase, ()) if kind == "state" else ()
        if (
            readings
            and row.begin == row.end
            and row.state == "present"
            and all(state.condition in SOUND and state.present for state in readings)
        ):
            return True
        reading = next((state for state in readings if state.condition == row.condition), None)
        if reading is not None:
            denied = any(kind == "not" for kind, _ in of_words[max(0, min(row.begin, at - _NO_BEFORE_COUNT)) : at])
            return (reading.present != denied) != (row.state == "present")
    return False


def without_taken_back(rows: Sequence[Candidate], chances: Sequence[float]) -> list[float]:
    """The chances, none for what is said the other way round a few words on: "it's loose, no wait, it's not loose"."""
    kept: dict[tuple[str, str], list[Candidate]] = {}
    for row, chance in zip(rows, chances, strict=True):
        if chance >= KEEP_PROBABILITY and row.condition not in SOUND:
            kept.setdefault((row.component, row.condition), []).append(row)
    return [
        0.0 if any(_takes_back(other, row) for other in kept.get((row.component, row.condition), ())) else chance
        for row, chance in zip(rows, chances, strict=True)
    ]


def _takes_back(later: Candidate, row: Candidate) -> bool:
    return (
        later.begin > row.begin
        and apart(row, later) <= _SOON_COUNT
        and {later.state, row.state} == {"present", "absent"}
        and all(mine == its or None in (mine, its) for mine, its in ((row.of, later.of), (row.place, later.place)))
    )


def is_doubtful(row: Candidate, chance: float) -> bool:
    """Whether what is less likely right than not may also be the other way round."""
    return (
        chance < _EVEN_PROBABILITY
        and row.condition not in SOUND
        and (row.best is None or row.best.states[row.state] < _SURE_STATE_PROBABILITY)
    )


def is_unsure_of_state(row: Candidate) -> bool:
    """Whether only the learned reading found it, and it may as well be the other way round."""
    return (
        row.finding is None
        and row.learned is not None
        and row.condition not in SOUND
        and row.learned.states[row.state] < _STATE_PROBABILITY
    )
