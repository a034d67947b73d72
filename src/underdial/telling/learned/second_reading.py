"""The grammar's findings and the learned sayings brought together: what both say, what one says well enough.

Every finding of the grammar and every saying of the learned reading is a candidate; the same fact from both is one
candidate. The chance that a candidate is right is learned from look-overs that neither had seen: it rises where both
agree and falls where a likelier reading of the same words stands beside it. A candidate is kept from `KEEP_PROBABILITY`
on. What only the learned reading found says so in its rule, with the words, the word taken for the part and the chance.

Never here: the network; rules of grammar.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from underdial.telling.heard import PLAIN_CERTAINTY, Finding, Measurement
from underdial.telling.learned import network, sayings, second_numbers
from underdial.telling.learned.network import Array
from underdial.telling.learned.sayings import Reading, Saying
from underdial.telling.names import states
from underdial.telling.names.states import SOUND
from underdial.telling.sentences import tags
from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import Word, raw_of

# Chosen on the look-overs held out of the teaching, where F1 is highest. What is less likely right than not must be
# sure whether the state is there or not.
KEEP_PROBABILITY = 0.4
_EVEN_PROBABILITY, _SURE_STATE_PROBABILITY = 0.5, 0.95
# A line dictated alone is the grammar's: the learned reading was taught on running speech and needs words around it.
LEAST_WORDS_COUNT = 60
_AGAIN_PROBABILITY = 0.5
# What only the learned reading found is shown as a guess below this.
_SURE_PROBABILITY = 0.75
# Present for absent is the worst error: what only the learned reading found must be this sure of which it is.
_STATE_PROBABILITY = 0.8
# The same fact said by both may be told some words apart.
_NEAR_COUNT, _FAR_COUNT = 6, 25
# What the grammar has the other way round counts from this chance on: below it the grammar misread some other words.
WEIGHTY_PROBABILITY = 0.1
# How soon a word that takes one back is said, in words.
_SOON_COUNT = 12
# How many words before a state its "no" may stand.
_NO_BEFORE_COUNT = 3
_LEAST = 1e-4
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


def read_again(
    findings: Sequence[Finding],
    measurements: Sequence[Measurement],
    sentences: Sequence[Sequence[Word]],
    *,
    rough: bool,
    tenth_mm: float = 0.1,
    passed_over: frozenset[float | None] = frozenset(),
) -> tuple[list[Finding], list[Measurement]]:
    """Findings and measurements of a look-over after both readings, in the order they were said.

    `rough`: a recogniser wrote no stops. `passed_over`: times of numbers that the grammar took for none of this clock.
    """
    words = [word for sentence in sentences for word in sentence]
    if len(words) < LEAST_WORDS_COUNT:
        return list(findings), list(measurements)
    told = spans_of(findings, words)
    tagged = [tags.tag_sentence(sentence) for sentence in sentences]
    said = sayings.find(sentences, tagged, told, rough=rough, tenth_mm=tenth_mm)
    rows = candidates(told, said.sayings)
    of_words = [
        item
        for sentence, items in zip(sentences, tagged, strict=True)
        for item in sayings.items_of_words(sentence, items)
    ]
    likely = chances_of(rows, rough=rough)
    weighty: dict[tuple[str, str], list[Candidate]] = {}
    for row, chance in zip(rows, likely, strict=True):
        if chance >= WEIGHTY_PROBABILITY and row.finding is not None:
            weighty.setdefault((row.component, row.condition), []).append(row)
    chances = [
        0.0 if _turned_round(row, weighty.get((row.component, row.condition), ()), of_words) else chance
        for row, chance in zip(rows, likely, strict=True)
    ]
    chances = _without_taken_back(
        rows, [0.0 if _doubtful(row, chance) else chance for row, chance in zip(rows, chances, strict=True)]
    )
    hedges = _hedges(sentences, tagged)
    kept = [
        (row, _finding(row, words, hedges, chance))
        for row, chance in zip(rows, chances, strict=True)
        if chance >= KEEP_PROBABILITY
    ]
    placed = {id(finding) for finding, _, _ in told}
    kept.sort(key=lambda pair: (pair[0].begin, pair[0].end))
    kept = _told_once(kept)
    result = [finding for _, finding in kept] + [finding for finding in findings if id(finding) not in placed]
    _say_again(said.sayings, kept, words)
    return result, second_numbers.measured_again(measurements, said.numbers, words, passed_over=passed_over)


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
    proposed for the others too.
    """
    rows: list[Candidate] = []
    by_fact: dict[tuple[str, str, str], list[Candidate]] = {}
    for saying in found:
        if saying.hint or saying.again_probability > _AGAIN_PROBABILITY:
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
            if not any((old.of, old.place) == (row.of, row.place) and _apart(old, row) <= _FAR_COUNT for old in same):
                rows.append(row)
                same.append(row)
    for finding, first, last in told:
        row = Candidate(
            finding.component, finding.condition, finding.state, finding.of, finding.place, first, last, finding=finding
        )
        same = [old for old in by_fact.get(row.fact, ()) if old.finding is None]
        match = next(
            (old for old in same if (old.of, old.place) == (row.of, row.place) and _apart(old, row) <= _FAR_COUNT), None
        ) or next((old for old in same if _apart(old, row) <= _NEAR_COUNT), None)
        if match is None:
            rows.append(row)
        else:
            match.finding = finding
    for row in [row for row in rows if row.saying is not None]:
        _propose_for_list(rows, row)
    return _with_best(rows, found)


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
            * saying.conditions.get(said.condition, _LEAST)
            * saying.states[said.state],
        )
        known = next(
            (
                row
                for row in rows
                if row.component == one.reading.component
                and (row.condition, row.state) == (said.condition, said.state)
                and _apart(row, said) <= _NEAR_COUNT
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


def _apart(one: Candidate, other: Candidate) -> int:
    """Words between two candidates; 0 when they touch or overlap."""
    return max(0, one.begin - other.end, other.begin - one.end)


def _score(saying: Saying, row: Candidate) -> float:
    return (
        saying.probability
        * saying.components.get(row.component, _LEAST)
        * saying.conditions.get(row.condition, _LEAST)
        * saying.states[row.state]
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
        log_score = math.log(max(row.score_probability, _LEAST))
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
    return [0.0 if _unsure_of_state(row) else float(chance) for row, chance in zip(rows, chances, strict=True)]


def _turned_round(row: Candidate, told: Sequence[Candidate], of_words: Sequence[tuple[str, str]]) -> bool:
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


def _without_taken_back(rows: Sequence[Candidate], chances: Sequence[float]) -> list[float]:
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
        and _apart(row, later) <= _SOON_COUNT
        and {later.state, row.state} == {"present", "absent"}
        and all(mine == its or None in (mine, its) for mine, its in ((row.of, later.of), (row.place, later.place)))
    )


def _doubtful(row: Candidate, chance: float) -> bool:
    """Whether what is less likely right than not may also be the other way round."""
    return (
        chance < _EVEN_PROBABILITY
        and row.condition not in SOUND
        and (row.best is None or row.best.states[row.state] < _SURE_STATE_PROBABILITY)
    )


def _unsure_of_state(row: Candidate) -> bool:
    return (
        row.finding is None
        and row.learned is not None
        and row.condition not in SOUND
        and row.learned.states[row.state] < _STATE_PROBABILITY
    )


def _hedges(sentences: Sequence[Sequence[Word]], tagged: Sequence[Sequence[Item]]) -> list[float]:
    """For each word the lowest hedge of its sentence, else the plain certainty."""
    found: list[float] = []
    for sentence, items in zip(sentences, tagged, strict=True):
        lowest = min((float(item.value.rstrip("n")) for item in items if item.kind == "hedge"), default=PLAIN_CERTAINTY)
        found += [lowest] * len(sentence)
    return found


def _finding(row: Candidate, words: Sequence[Word], hedges: Sequence[float], chance: float) -> Finding:
    """The finding of a kept candidate: the grammar's where it has one, of the wheel and place that the learned
    reading gives it.
    """
    if row.finding is not None:
        if (row.finding.of, row.finding.place) != (row.of, row.place):
            row.finding.of, row.finding.place, row.finding.rule = (
                row.of,
                row.place,
                f"{row.finding.rule}; wheel and place learned from labelled speech",
            )
        return row.finding
    saying = row.learned
    assert saying is not None
    said = raw_of(words[row.begin : row.end + 1])
    named_at = row.listed.named_at if row.saying is None and row.listed else saying.pointed_at
    part = words[saying.pointed_at]
    first = min(row.begin, named_at) if row.begin - named_at <= _NEAR_COUNT else row.begin
    return Finding(
        row.component,
        row.condition,
        row.state,
        row.of,
        row.place,
        hedges[row.begin],
        saying.significance,
        saying.decision,
        saying.who,
        start_s=words[first].start_s,
        end_s=words[row.end].end_s,
        words=raw_of(words[first : row.end + 1]),
        rule=f"learned from labelled speech: '{said}', {'listed with' if row.saying is None else 'the part from'} "
        f"'{part.raw}'; chance {chance:.2f}",
        guess=f"{said} taken as {row.condition.replace('_', ' ')} of {row.component.replace('_', ' ')}"
        if chance < _SURE_PROBABILITY
        else None,
    )


def _told_once(kept: Sequence[tuple[Candidate, Finding]]) -> list[tuple[Candidate, Finding]]:
    """One finding of each part, wheel, place, condition and state; a later one adds its time, and a weight or
    decision the first has not.
    """
    first: dict[tuple[str | None, ...], tuple[Candidate, Finding]] = {}
    for row, finding in kept:
        same = first.setdefault(
            (finding.component, finding.of, finding.place, finding.condition, finding.state), (row, finding)
        )[1]
        if same is not finding:
            same.also_s += [
                start_s
                for start_s in (finding.start_s, *finding.also_s)
                if start_s is not None and start_s not in same.also_s
            ]
            same.significance, same.decision = (
                same.significance or finding.significance,
                same.decision or finding.decision,
            )
    return list(first.values())


def _say_again(found: Sequence[Saying], kept: Sequence[tuple[Candidate, Finding]], words: Sequence[Word]) -> None:
    """Put what is only said once more on the finding it is said of: its time, and a weight or decision that finding
    has not.
    """
    for saying in found:
        if saying.hint or saying.again_probability <= _AGAIN_PROBABILITY:
            continue
        component, condition = (max(of, key=lambda name: of[name]) for of in (saying.components, saying.conditions))
        before = [finding for row, finding in kept if row.end < saying.begin and finding.component == component]
        meant = next(
            (finding for finding in reversed(before) if finding.condition == condition), before[-1] if before else None
        )
        if meant is None:
            continue
        start_s = words[saying.begin].start_s
        if start_s is not None and start_s not in meant.also_s:
            meant.also_s.append(start_s)
        meant.significance = meant.significance or saying.significance
        meant.decision = meant.decision or saying.decision


def timed(words: Sequence[Word]) -> tuple[Word, ...]:
    """Words of a text without times, each given its number as its time, so that findings can be told apart by it; the
    two that one was opened into ("it's") share theirs.
    """
    out: list[Word] = []
    first = 0
    for at, word in enumerate(words):
        if word.raw != words[first].raw or word.text == words[first].text:
            first = at
        out.append(replace(word, start_s=float(first), end_s=first + 1.0))
    return tuple(out)
