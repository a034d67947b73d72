"""The test of a finished clock: the plan laid down before, the results, and the verdict against the plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import (
    require_moment,
    require_number,
    require_one_of,
    require_place_in_train,
    require_text,
    require_word,
)
from underdial.record.measurement import Measurement, check_own_parts

VERDICTS = ("passed", "failed", "not_yet")


@dataclass(frozen=True, slots=True, kw_only=True)
class PassLine:
    """What one reading must be to pass: between `low` and `high` in `unit`, in a position and state of wind."""

    quantity: str
    low: float
    high: float
    unit: str = ""
    of: str | None = None
    position: str | None = None
    words: str | None = None

    def __post_init__(self) -> None:
        require_word("quantity", self.quantity)
        require_place_in_train("of", self.of)
        require_word("position", self.position)
        require_number("low", self.low)
        require_number("high", self.high, lowest=self.low)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """A test with its plan, set before it began, and its results, by the ids of measurements.

    `cased` False is the test on the stand, True the one in the case; `stops` are every stop with its time.
    """

    title: str
    planned_at: datetime
    lines: tuple[PassLine, ...]
    lasts_h: float | None = None
    cased: bool = False
    began_at: datetime | None = None
    ended_at: datetime | None = None
    results: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()
    reference_clock: str | None = None
    verdict: str = "not_yet"
    verdict_words: str | None = None
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_text("title", self.title)
        require_one_of("verdict", self.verdict, VERDICTS)
        require_number("lasts_h", self.lasts_h, lowest=0.0)
        for field in ("planned_at", "began_at", "ended_at"):
            require_moment(field, getattr(self, field))
        if self.began_at is not None and self.began_at < self.planned_at:
            raise RuleBroken(
                "planned_at",
                self.planned_at.isoformat(),
                "before the test begins",
                "planned_at: a plan made after the test began proves nothing; begin a new test.",
            )
        if not self.lines:
            raise RuleBroken(
                "lines",
                "none",
                "at least one line to pass",
                "lines: a test with nothing to pass cannot be failed; say what must be reached.",
            )


def judge(proof: Proof, measurements: Mapping[str, Measurement]) -> tuple[str, tuple[str, ...]]:
    """The verdict against the plan, and the reasons in words.

    Every line needs a reading that counts (with the clock's own parts) and lies within it; a stop fails the test;
    a line without a reading, or a duration not yet reached, is `not_yet`.
    """
    readings = [measurements[name] for name in proof.results if name in measurements]
    counted = [one for one in readings if not one.lent_parts and one.standing != "rejected"]
    reasons = [f"it stopped: {stop}" for stop in proof.stops]
    missing = []
    for line in proof.lines:
        mine = [one for one in counted if _answers(line, one)]
        name = line.words or line.quantity.replace("_", " ")
        if not mine:
            missing.append(f"{name}: no reading yet with the clock's own parts")
        for one in mine:
            if not line.low <= one.value <= line.high:
                reasons.append(
                    f"{name}: {one.value:g} {one.unit} lies outside {line.low:g} to {line.high:g}".replace("  ", " ")
                )
    if reasons:
        return "failed", tuple(reasons)
    if proof.lasts_h is not None:
        went_h = (
            (proof.ended_at - proof.began_at).total_seconds() / 3600.0 if proof.began_at and proof.ended_at else 0.0
        )
        if went_h < proof.lasts_h:
            missing.append(f"{went_h:g} of {proof.lasts_h:g} hours have passed")
    return ("not_yet", tuple(missing)) if missing else ("passed", ())


def check_results(proof: Proof, measurements: Iterable[Measurement]) -> None:
    """RuleBroken when a result was read with lent parts on, or the test has not begun."""
    if proof.began_at is None:
        raise RuleBroken(
            "began_at",
            "not begun",
            "a test that has begun",
            "began_at: say when the test began before its results are entered.",
        )
    for one in measurements:
        check_own_parts(one)


def _answers(line: PassLine, one: Measurement) -> bool:
    same = one.quantity == line.quantity and one.unit == line.unit
    return same and line.of in (None, one.of) and line.position in (None, one.position)
