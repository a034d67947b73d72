"""What is expected of a clock by the choice that was agreed: the test laid out before it begins, and each round's
prediction beside what is seen; what was complained of has a line of its own in the test.

The test goes in two parts, on the stand and then in its case (docs/decisions/0101-two-tests-from-one-prediction.md).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from underdial.bench.clock.drawing import movement_of
from underdial.bench.rounds.complained import ON_TEST, lines_of_complaint
from underdial.bench.shop import ClockPage
from underdial.record.choice import Choice
from underdial.record.consent import agreed_choice_id
from underdial.record.measurement import Measurement
from underdial.record.proof import LEAST_H, PassLine, Proof, answering, span_words, went_h, within
from underdial.record.visit import Prediction, Round

# Without a stop for so many of its old mean times between stops, 95 in 100 believe it put right. Derived: ln(1 / 0.05).
_BELIEVED_MEANS = math.log(20.0)
_BARREL_TURNS_COUNT, _DAY_H = 2, 24.0
SWING_WORDS = "swing each side, freshly wound"
DRIFT_WORDS = ON_TEST["rate_drift"]
_PROMISED = "the agreed choice"


@dataclass(frozen=True, slots=True)
class PlanLaidOut:
    """A test as it may be laid down: title, whether in its case, hours, why so long, and the lines to pass."""

    title: str
    cased: bool
    lasts_h: float
    because: str
    lines: tuple[PassLine, ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """What was expected of one reading and what was read, in words; `within` is None while nothing was read. `because`
    says what asks for it.
    """

    name: str
    expected: str
    read: str
    within: bool | None
    because: str = ""


def agreed_choice(page: ClockPage) -> Choice | None:
    """The choice whose lines may be worked on; None while nothing is agreed."""
    agreed = agreed_choice_id(page.consents)
    return next((one for one in page.choices if one.id == agreed), None)


def lay_out_tests(page: ClockPage, answer: Mapping[str, Any] | None = None) -> tuple[PlanLaidOut, ...]:
    """The tests that the agreed choice asks for and that were not laid down yet: on the stand, then in the case.

    Where the answer knows sizes that the work left, the lines are those of the clock as it was left.
    """
    choice = as_predicted(page, answer)
    laid_out = tuple(
        PlanLaidOut(title, cased, *_longest(page, cased=cased), _lines(page, choice, cased=cased))
        for title, cased in (("On the stand", False), ("In its case", True))
    )
    there = {one.cased for one in page.proofs if one.verdict != "failed"}
    return tuple(one for one in laid_out if one.cased not in there)


def as_predicted(page: ClockPage, answer: Mapping[str, Any] | None) -> Choice | None:
    """The agreed choice, with what the clock as it was left should do in the place of what was promised before the
    work.
    """
    choice, left = agreed_choice(page), (answer or {}).get("as_left")
    if choice is None or left is None or not left["used"]:
        return choice
    low, likely, high = left["amplitude_deg"]
    slow, fast = left["rate_drift_s_per_day"]
    return replace(
        choice,
        half_arc_low_deg=low,
        half_arc_likely_deg=likely,
        half_arc_high_deg=high,
        rate_low_s_per_day=slow,
        rate_high_s_per_day=fast,
        runs_full_probability=left["runs_full_probability"],
        runs_full_u_probability=left["runs_full_u_probability"],
    )


def predictions_of(page: ClockPage, answer: Mapping[str, Any] | None = None) -> tuple[Prediction, ...]:
    """What the agreed choice expects of the swing, by the sizes as they were left where they are known; nothing when no
    spread was worked out.
    """
    choice = as_predicted(page, answer)
    if (
        choice is None
        or choice.half_arc_low_deg is None
        or choice.half_arc_likely_deg is None
        or choice.half_arc_high_deg is None
    ):
        return ()
    return (
        Prediction(
            quantity="half_arc",
            unit="deg",
            low=choice.half_arc_low_deg,
            likely=choice.half_arc_likely_deg,
            high=choice.half_arc_high_deg,
            runs_full_probability=choice.runs_full_probability,
        ),
    )


def beside_prediction(page: ClockPage, one: Round) -> tuple[Beside, ...]:
    """Each prediction of a round beside what was seen in it."""
    readings = {each.id: each for each in page.measurements}
    seen = [readings[name] for name in one.seen if name in readings]
    rows = []
    for expected in one.predicted:
        mine = [each for each in seen if each.quantity == expected.quantity and each.unit == expected.unit]
        words = f"{_short(expected.likely)} {expected.unit} likely, {_short(expected.low)} to {_short(expected.high)}"
        rows.append(_beside(_quantity_words(expected.quantity), words, mine, expected.low, expected.high))
    others = [
        each
        for each in seen
        if not any(each.quantity == expected.quantity and each.unit == expected.unit for expected in one.predicted)
    ]
    return (
        *rows,
        *(Beside(_quantity_words(each.quantity), "nothing was predicted", _read_words(each), None) for each in others),
    )


def beside_plan(page: ClockPage, proof: Proof) -> tuple[Beside, ...]:
    """That it goes its hours without a stop, then each line of a test, beside what was seen."""
    readings = {each.id: each for each in page.measurements}
    results = [readings[name] for name in proof.results if name in readings]
    lines = tuple(
        Beside(
            line.name,
            line.must_be,
            "; ".join(_read_words(each) for each in answering(line, results)) or "not read yet",
            within(line, results),
            line.because or "",
        )
        for line in proof.lines
    )
    return (_gone_through(proof), *lines) if proof.lasts_h is not None else lines


def _gone_through(proof: Proof) -> Beside:
    """The line that every test has: its hours without a stop."""
    assert proof.lasts_h is not None
    name, must = "goes without a stop", span_words(proof.lasts_h)
    if proof.stops:
        many = len(proof.stops)
        return Beside(name, must, "stopped once" if many == 1 else f"stopped {many} times", False)
    if proof.began_at is None:
        return Beside(name, must, "not begun", None)
    if proof.ended_at is None:
        return Beside(name, must, "still going", None)
    gone = went_h(proof)
    return Beside(name, must, span_words(gone), True if gone >= proof.lasts_h else None)


def _lines(page: ClockPage, choice: Choice | None, *, cased: bool) -> tuple[PassLine, ...]:
    """What the choice promises, then what was complained of."""
    asked = lines_of_complaint(page.visit.complaint, movement=movement_of(page), choice=choice, cased=cased)
    return (*_promised(choice), *asked)


def _promised(choice: Choice | None) -> tuple[PassLine, ...]:
    if choice is None:
        return ()
    lines = []
    if choice.half_arc_low_deg is not None and choice.half_arc_high_deg is not None:
        lines.append(
            PassLine(
                quantity="half_arc",
                unit="deg",
                low=_floor(choice.half_arc_low_deg),
                high=_floor(choice.half_arc_high_deg, up=True),
                words=SWING_WORDS,
                because=_PROMISED,
            )
        )
    if choice.rate_low_s_per_day is not None and choice.rate_high_s_per_day is not None:
        lines.append(
            PassLine(
                quantity="rate_drift",
                unit="s/d",
                low=math.floor(choice.rate_low_s_per_day),
                high=math.ceil(choice.rate_high_s_per_day),
                words=DRIFT_WORDS,
                because=_PROMISED,
            )
        )
    return tuple(lines)


def _longest(page: ClockPage, *, cased: bool) -> tuple[float, str]:
    """Hours of a test, and which of the rules asks for so long."""
    asked = {"a day at the least": LEAST_H}
    movement = movement_of(page)
    if movement is not None:
        asked[f"{_BARREL_TURNS_COUNT} turns of the great wheel"] = (
            _BARREL_TURNS_COUNT * movement.train.arbors[0].period_s / 3600.0
        )
        if cased:
            asked["one whole wind and a day"] = movement.power.duration_s / 3600.0 + _DAY_H
    told = page.visit.complaint.runs_for_s
    if cased and told:
        asked[f"{_short(_BELIEVED_MEANS)} times as long as it used to go, to be believed 95 in 100"] = (
            _BELIEVED_MEANS * told / 3600.0
        )
    why = max(asked, key=lambda name: asked[name])
    return float(math.ceil(asked[why])), why


def _beside(name: str, expected: str, mine: list[Measurement], low: float, high: float) -> Beside:
    counted = [each for each in mine if not each.lent_parts]
    within = None if not counted else all(low <= each.value <= high for each in counted)
    return Beside(name, expected, "; ".join(_read_words(each) for each in mine) or "not read yet", within)


def _read_words(one: Measurement) -> str:
    give = f" ± {_short(one.u)}" if one.u else ""
    lent = f" (with the shop’s {', '.join(one.lent_parts)} on)" if one.lent_parts else ""
    return f"{_short(one.value)}{give} {one.unit}".strip() + lent


def _quantity_words(quantity: str) -> str:
    known: Mapping[str, str] = {"half_arc": SWING_WORDS, **ON_TEST}
    return known.get(quantity, quantity.replace("_", " "))


def _short(value: float) -> str:
    return (f"{value:.4g}" if abs(value) < 1e4 else f"{value:.0f}").replace("-", "−")


def _floor(value: float, *, up: bool = False) -> float:
    """To a tenth of a degree under ten degrees, else to a degree, outward: a swing is read no finer."""
    step = 10.0 if value < 10.0 else 1.0
    return (math.ceil(value * step) if up else math.floor(value * step)) / step
