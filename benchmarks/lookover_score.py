"""Score what was read from a look-over against its labels: parts, states, places, numbers, times, reversals.

Matching is one to one and takes as many pairs as can be had (linear assignment), so the order of entries never
matters. The figures:

* basic: component, condition, state. * full: these with `of` and `place`. Precision, recall, F1 of each.
* measurements: value within 1 % in the same kind of unit (units of one kind are converted).
* times: share of the basic pairs that have a labelled time whose start lies within 10 s of the labelled span, or of a
  later restatement.
* reversals: the same component and condition, compatible `of`, but present for absent or absent for present.

An entry's `accept` lists count as right. A label's "both" is met by two entries for the two ends, and the other
way round. Tolerances are those of the rules of labelling in tests/data/lookovers/README.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.optimize import linear_sum_assignment

TIME_TOLERANCE_S = 10.0
VALUE_TOLERANCE_RATIO = 0.01
_PLACES = {
    "top": "upper",
    "bottom": "lower",
    "dial_side": "front",
    "rear": "back",
    "entrance": "entry",
    "inside": "inner",
    "outside": "outer",
    "outer_end": "outer",
    "inner_end": "inner",
    "centre": "middle",
    "both_ends": "both",
    "both_sides": "both",
}
_ENDS = (("front", "back"), ("upper", "lower"), ("entry", "exit"), ("left", "right"), ("inner", "outer"))
# Unit to (kind, size). Sources: the exact inch, pound and day; a thou is a thousandth of an inch.
_UNITS = {
    "mm": ("length", 1.0),
    "cm": ("length", 10.0),
    "m": ("length", 1000.0),
    "um": ("length", 1e-3),
    "in": ("length", 25.4),
    "thou": ("length", 0.0254),
    "ft": ("length", 304.8),
    "deg": ("angle", 1.0),
    "ms": ("time", 1e-3),
    "s": ("time", 1.0),
    "min": ("time", 60.0),
    "h": ("time", 3600.0),
    "d": ("time", 86400.0),
    "g": ("mass", 1.0),
    "kg": ("mass", 1000.0),
    "lb": ("mass", 453.59237),
    "oz": ("mass", 28.349523125),
    "cwt": ("mass", 50802.34544),
    "s/d": ("rate", 1.0),
    "min/d": ("rate", 60.0),
    "/h": ("beats", 1.0),
    "/min": ("beats", 60.0),
    "turns": ("turns", 1.0),
    "turn": ("turns", 1.0),
}


@dataclass
class Tally:
    """Pairs found, entries made, entries labelled; adds up over files."""

    right_count: int = 0
    made_count: int = 0
    labelled_count: int = 0

    def __add__(self, other: Tally) -> Tally:
        return Tally(
            self.right_count + other.right_count,
            self.made_count + other.made_count,
            self.labelled_count + other.labelled_count,
        )

    @property
    def precision_ratio(self) -> float:
        """Share of what was made that is right; 1 when nothing was made and nothing labelled."""
        return self.right_count / self.made_count if self.made_count else float(not self.labelled_count)

    @property
    def recall_ratio(self) -> float:
        """Share of the labels that were found."""
        return self.right_count / self.labelled_count if self.labelled_count else 1.0

    @property
    def f1_ratio(self) -> float:
        """Harmonic mean of both."""
        total = self.made_count + self.labelled_count
        return 2.0 * self.right_count / total if total else 1.0


@dataclass
class Score:
    """The figures of one look-over or, added, of several."""

    basic: Tally = field(default_factory=Tally)
    full: Tally = field(default_factory=Tally)
    measurements: Tally = field(default_factory=Tally)
    timely: Tally = field(default_factory=Tally)
    reversals_count: int = 0

    def __add__(self, other: Score) -> Score:
        return Score(
            self.basic + other.basic,
            self.full + other.full,
            self.measurements + other.measurements,
            self.timely + other.timely,
            self.reversals_count + other.reversals_count,
        )


@dataclass
class _Entry:
    component: str
    condition: str
    state: str
    of: str | None
    place: str | None
    start: float | None
    end: float | None
    also: list[float]
    accepts: dict[str, set[str | None]]


def score(labels: Mapping[str, Any], answer: Mapping[str, Any]) -> Score:
    """All figures of one answer against one set of labels; both in the keys of the reference."""
    gold = [_entry(one) for one in labels.get("findings", [])]
    made = _at_the_grain_of(gold, [_entry(one) for one in answer.get("findings", [])])
    basic = _pairs(
        [
            [
                (100.0 + 8.0 * (_of(g, p) and g.place == p.place) + 1.0 / (1.0 + _gap(g, p))) if _same(g, p) else 0.0
                for p in made
            ]
            for g in gold
        ]
    )
    full = _pairs([[1.0 if _same(g, p) and _of(g, p) and g.place == p.place else 0.0 for p in made] for g in gold])
    timed = [(i, j) for i, j in basic if gold[i].start is not None]
    timely = sum(_gap(gold[i], made[j]) <= TIME_TOLERANCE_S for i, j in timed)
    numbers = [_base(m) for m in labels.get("measurements", [])]
    read = [_base(m) for m in answer.get("measurements", [])]
    measured = _pairs(
        [
            [
                1.0 if a[0] == b[0] and abs(a[1] - b[1]) <= VALUE_TOLERANCE_RATIO * abs(a[1]) + 1e-9 else 0.0
                for b in read
            ]
            for a in numbers
        ]
    )
    return Score(
        Tally(len(basic), len(made), len(gold)),
        Tally(len(full), len(made), len(gold)),
        Tally(len(measured), len(read), len(numbers)),
        Tally(timely, len(timed), len(timed)),
        _reversals(gold, made, basic),
    )


def _entry(one: Mapping[str, Any]) -> _Entry:
    state = one.get("state") or "present"
    if one.get("condition") == "unexamined":
        state = "not_examined"
    accept = one.get("accept") or {}
    start = one.get("start_s")
    return _Entry(
        str(one["component"]),
        str(one["condition"]),
        state,
        _whose(one.get("of")),
        _where(one.get("place")),
        start,
        one.get("end_s", start),
        list(one.get("also_s") or []),
        {
            "component": set(accept.get("component", [])),
            "condition": set(accept.get("condition", [])),
            "of": {_whose(x) for x in accept.get("of", [])},
        },
    )


def _whose(of: str | None) -> str | None:
    if not of:
        return None
    return of.removeprefix("going.") if of != "going" else of


def _where(place: str | None) -> str | None:
    if not place:
        return None
    place = _PLACES.get(place, place)
    return place if place.startswith("at_") else "_".join(sorted(_PLACES.get(word, word) for word in place.split("_")))


def _same(gold: _Entry, made: _Entry) -> bool:
    if gold.component != made.component and made.component not in gold.accepts["component"]:
        return False
    if gold.state != made.state:
        return False
    if gold.state == "not_examined":
        return gold.condition == made.condition or "unexamined" in (gold.condition, made.condition)
    return gold.condition == made.condition or made.condition in gold.accepts["condition"]


def _of(gold: _Entry, made: _Entry) -> bool:
    return gold.of == made.of or made.of in gold.accepts["of"]


def _gap(gold: _Entry, made: _Entry) -> float:
    if gold.start is None or made.start is None:
        return float("inf")
    end = gold.end if gold.end is not None else gold.start
    return min([max(gold.start - made.start, made.start - end, 0.0), *(abs(made.start - t) for t in gold.also)])


def _pairs(weights: Sequence[Sequence[float]]) -> list[tuple[int, int]]:
    if not weights or not weights[0]:
        return []
    matrix = np.asarray(weights)
    rows, columns = linear_sum_assignment(matrix, maximize=True)
    return [(int(i), int(j)) for i, j in zip(rows, columns, strict=True) if matrix[i, j] > 0.0]


def _at_the_grain_of(gold: Sequence[_Entry], made: list[_Entry]) -> list[_Entry]:
    """Two ends for one "both", or one "both" for two ends, whichever the labels have."""
    for label in gold:
        fits = [p for p in made if _same(label, p) and _of(label, p)]
        if label.place != "both" or any(p.place == "both" for p in fits):
            continue
        for ends in _ENDS:
            halves = [next((p for p in fits if p.place == end), None) for end in ends]
            if halves[0] is not None and halves[1] is not None:
                whole = _Entry(**{**vars(halves[0]), "place": "both"})
                made = [p for p in made if p is not halves[0] and p is not halves[1]] + [whole]
                break
    for entry in [p for p in made if p.place == "both"]:
        fits = [g for g in gold if _same(g, entry) and _of(g, entry)]
        ends_found = next((ends for ends in _ENDS if {g.place for g in fits} >= set(ends)), None)
        if ends_found and not any(g.place == "both" for g in fits):
            made = [p for p in made if p is not entry] + [_Entry(**{**vars(entry), "place": end}) for end in ends_found]
    return made


def _reversals(gold: Sequence[_Entry], made: Sequence[_Entry], pairs: Sequence[tuple[int, int]]) -> int:
    found = {i for i, _ in pairs}
    used = {j for _, j in pairs}
    count = 0
    for j, entry in enumerate(made):
        if j in used:
            continue
        count += any(
            g.component == entry.component
            and g.condition == entry.condition
            and {g.state, entry.state} == {"present", "absent"}
            and (_of(g, entry) or not g.of or not entry.of)
            and (i not in found or _of(g, entry))
            for i, g in enumerate(gold)
        )
    return count


def _base(measured: Mapping[str, Any]) -> tuple[str, float]:
    unit = str(measured.get("unit") or "").lower()
    kind, size = _UNITS.get(unit, (unit, 1.0))
    return kind, float(measured["value"]) * size
