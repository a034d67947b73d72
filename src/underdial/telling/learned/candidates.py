"""What the two readings propose: every finding of the grammar and every learned saying, the same fact from both as one.

Never here: which of them are right (`weighing_up`); what is written of them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from underdial.telling.heard import Finding
from underdial.telling.learned.heads import Reading
from underdial.telling.learned.sayings import Saying
from underdial.telling.names.states import SOUND
from underdial.telling.speech.words import Word

AGAIN_PROBABILITY = 0.5
# A part is told of from this chance on.
_LIKELY_PROBABILITY = 0.5
# The same fact said by both may be told some words apart.
NEAR_COUNT, FAR_COUNT = 6, 25
LEAST_PROBABILITY = 1e-4


@dataclass(frozen=True)
class Listed:
    """The part stands in a list, and `saying` points at another name of it; `part_probability` is the part's chance
    at its own name, `score_probability` that of the whole fact.
    """

    named_at: int
    several: bool
    saying: Saying
    part_probability: float
    score_probability: float


@dataclass
class Candidate:
    """One fact that may be in the look-over.

    `begin` and `end` are words of the whole look-over; `score` the saying's chance for this very fact.
    """

    component: str
    condition: str
    state: str
    of: str | None
    place: str | None
    begin: int
    end: int
    saying: Saying | None = None
    finding: Finding | None = None
    best: Saying | None = None
    score_probability: float = 0.0
    listed: Listed | None = None

    @property
    def learned(self) -> Saying | None:
        """The saying that proposes it, of its own part or of another of the same list."""
        return self.saying or (self.listed.saying if self.listed else None)

    @property
    def fact(self) -> tuple[str, str, str]:
        """Part, condition and state."""
        return self.component, self.condition, self.state


def spans_of(findings: Sequence[Finding], words: Sequence[Word]) -> list[tuple[Finding, int, int]]:
    """Each finding of the grammar with its first and last word, by the time of its words."""
    starts = np.array([math.nan if word.start_s is None else word.start_s for word in words])
    found: list[tuple[Finding, int, int]] = []
    for finding in findings:
        if finding.start_s is None:
            continue
        end = finding.end_s if finding.end_s is not None and finding.end_s > finding.start_s else finding.start_s + 1e-3
        inside = np.flatnonzero((starts >= finding.start_s - 1e-6) & (starts < end))
        if len(inside):
            found.append((finding, int(inside[0]), int(inside[-1])))
    return found


def candidates(told: Sequence[tuple[Finding, int, int]], found: Sequence[Saying]) -> list[Candidate]:
    """All facts that either reading proposes, the same fact from both as one; what is said of one name of a list is
    proposed for the others too. What seems to be said once more is a fact where both have its part and nothing before
    told of it.
    """
    rows: list[Candidate] = []
    by_fact: dict[tuple[str, str, str], list[Candidate]] = {}
    found = [
        saying if saying.hint or not _is_first(saying, found[:at], told) else replace(saying, again_probability=0.0)
        for at, saying in enumerate(found)
    ]
    for saying in found:
        if saying.hint or saying.again_probability > AGAIN_PROBABILITY:
            continue
        condition, state = (max(of, key=lambda name: of[name]) for of in (saying.conditions, saying.states))
        # "Not a mark on it" says that the part is good; that a part is not good says nothing that could be mended.
        if condition in SOUND and state == "absent":
            state = "present"
        for reading in _different(saying.readings):
            row = Candidate(
                reading.component, condition, state, reading.of, reading.place, saying.begin, saying.end, saying=saying
            )
            same = by_fact.setdefault(row.fact, [])
            if not any((old.of, old.place) == (row.of, row.place) and apart(old, row) <= FAR_COUNT for old in same):
                rows.append(row)
                same.append(row)
    for finding, first, last in told:
        row = Candidate(
            finding.component, finding.condition, finding.state, finding.of, finding.place, first, last, finding=finding
        )
        same = [old for old in by_fact.get(row.fact, ()) if old.finding is None]
        match = next(
            (old for old in same if (old.of, old.place) == (row.of, row.place) and apart(old, row) <= FAR_COUNT), None
        ) or next((old for old in same if apart(old, row) <= NEAR_COUNT), None)
        if match is None:
            rows.append(row)
        else:
            match.finding = finding
    for row in [row for row in rows if row.saying is not None]:
        _propose_for_list(rows, row)
    return _with_best(rows, found)


def _is_first(saying: Saying, before: Sequence[Saying], told: Sequence[tuple[Finding, int, int]]) -> bool:
    """Whether the grammar has the part of `saying` here, and nothing before told of it."""
    component = max(saying.components, key=lambda name: saying.components[name])
    of_part = [(first, last) for finding, first, last in told if finding.component == component]
    return (
        any(first <= saying.end and last >= saying.begin for first, last in of_part)
        and not any(last < saying.begin for _, last in of_part)
        and not any(not one.hint and one.components.get(component, 0.0) >= _LIKELY_PROBABILITY for one in before)
    )


def _propose_for_list(rows: list[Candidate], said: Candidate) -> None:
    """Propose for the other names of a list what is said of one of them."""
    assert said.saying is not None
    saying = said.saying
    for one in saying.listed:
        listed = Listed(
            one.named_at,
            one.several,
            saying,
            one.reading.probability,
            saying.probability
            * one.reading.probability
            * saying.conditions.get(said.condition, LEAST_PROBABILITY)
            * saying.states[said.state],
        )
        known = next(
            (
                row
                for row in rows
                if row.component == one.reading.component
                and (row.condition, row.state) == (said.condition, said.state)
                and apart(row, said) <= NEAR_COUNT
            ),
            None,
        )
        if known is None:
            rows.append(
                Candidate(
                    one.reading.component,
                    said.condition,
                    said.state,
                    one.reading.of,
                    one.reading.place,
                    said.begin,
                    said.end,
                    listed=listed,
                )
            )
        else:
            known.listed = known.listed or listed


def _different(readings: Sequence[Reading]) -> list[Reading]:
    """Readings that may all be meant: the same part without its wheel, or without its place, is the likelier reading
    told once more.
    """
    found: list[Reading] = []
    for one in readings:
        if not any(
            one.component == other.component
            and all(mine == its or None in (mine, its) for mine, its in ((one.of, other.of), (one.place, other.place)))
            for other in found
        ):
            found.append(one)
    return found


def _with_best(rows: list[Candidate], found: Sequence[Saying]) -> list[Candidate]:
    """Each candidate with the saying among its words that speaks for it most."""
    begins, ends = (np.array([getattr(saying, name) for saying in found], np.intp) for name in ("begin", "end"))
    for row in rows:
        near = [found[int(at)] for at in np.flatnonzero((begins <= row.end + 1) & (ends >= row.begin - 1))]
        row.best = max(near, key=lambda saying: _score(saying, row), default=None)
        row.score_probability = 0.0 if row.best is None else _score(row.best, row)
        if row.listed is not None and row.listed.score_probability > row.score_probability:
            row.best, row.score_probability = row.listed.saying, row.listed.score_probability
    return rows


def apart(one: Candidate, other: Candidate) -> int:
    """Words between two candidates; 0 when they touch or overlap."""
    return max(0, one.begin - other.end, other.begin - one.end)


def _score(saying: Saying, row: Candidate) -> float:
    return (
        saying.probability
        * saying.components.get(row.component, LEAST_PROBABILITY)
        * saying.conditions.get(row.condition, LEAST_PROBABILITY)
        * saying.states[row.state]
    )
