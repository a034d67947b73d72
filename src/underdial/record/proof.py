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

VERDICT_WORDS = {"passed": "passed", "failed": "failed", "not_yet": "not yet judged"}
VERDICTS = tuple(VERDICT_WORDS)
# The shortest test that is one. [common practice: a clock is compared at the same hour of two days]
LEAST_H = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PassLine:
    """What one reading must be to pass: between `low` and `high` in `unit`, in a position and state of wind.

    Without `high` it is a count that must reach `low`. `because` says what asks for the line.
    """

    quantity: str
    low: float
    high: float | None = None
    unit: str = ""
    of: str | None = None
    position: str | None = None
    words: str | None = None
    because: str | None = None

    def __post_init__(self) -> None:
        require_word("quantity", self.quantity)
        require_place_in_train("of", self.of)
        require_word("position", self.position)
        require_number("low", self.low)
        require_number("high", self.high, lowest=self.low)

    @property
    def name(self) -> str:
        """The line in words."""
        return self.words or self.quantity.replace("_", " ")

    @property
    def must_be(self) -> str:
        """What must be reached, in words: `162 to 183 deg`, `12`, `2 or more`."""
        low = _number(self.low)
        if self.high is None:
            said = f"{low} or more"
        else:
            said = low if self.high == self.low else f"{low} to {_number(self.high)}"
        return f"{said} {self.unit}".strip()


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
    a line without a reading, a count that is not reached, or a duration not yet reached, is `not_yet`.
    """
    readings = [measurements[name] for name in proof.results if name in measurements]
    reasons = [f"it stopped: {stop}" for stop in proof.stops]
    missing = []
    for line in proof.lines:
        mine = counted(line, readings)
        if within(line, readings) is None:
            missing.append(
                f"{line.name}: {_number(max(one.value for one in mine))} of {_number(line.low)} so far"
                if mine
                else f"{line.name}: no reading yet with the clock's own parts"
            )
        reasons += [
            f"{line.name}: {_number(one.value)} {one.unit}".rstrip() + _missed(line)
            for one in mine
            if line.high is not None and not line.low <= one.value <= line.high
        ]
    if reasons:
        return "failed", tuple(reasons)
    went = went_h(proof)
    if proof.lasts_h is not None and went < proof.lasts_h:
        missing.append(f"it has gone {span_words(went)} of {span_words(proof.lasts_h)}")
    return ("not_yet", tuple(missing)) if missing else ("passed", ())


def answering(line: PassLine, readings: Iterable[Measurement]) -> list[Measurement]:
    """The readings that answer a line, those with a part of the shop on the clock among them."""
    return [
        one
        for one in readings
        if one.quantity == line.quantity
        and one.unit == line.unit
        and line.of in (None, one.of)
        and line.position in (None, one.position)
    ]


def counted(line: PassLine, readings: Iterable[Measurement]) -> list[Measurement]:
    """The readings that count on a line: with the clock's own parts on, and not rejected."""
    return [one for one in answering(line, readings) if not one.lent_parts and one.standing != "rejected"]


def within(line: PassLine, readings: Iterable[Measurement]) -> bool | None:
    """Whether a line is passed; None while nothing that counts was read, or a count is not reached yet."""
    mine = counted(line, readings)
    if line.high is None:
        return True if any(one.value >= line.low for one in mine) else None
    return all(line.low <= one.value <= line.high for one in mine) if mine else None


def went_h(proof: Proof) -> float:
    """Hours from the beginning of a test to its end; 0 while it has not ended."""
    return (proof.ended_at - proof.began_at).total_seconds() / 3600.0 if proof.began_at and proof.ended_at else 0.0


def span_words(span_h: float) -> str:
    """A span of hours in words, to the minute that is full: `under a minute`, `5 hours 12 minutes`, `216 hours`."""
    hours, minutes = divmod(int(span_h * 60.0 + 1e-6), 60)
    said = [f"{n} {word}{'' if n == 1 else 's'}" for n, word in ((hours, "hour"), (minutes, "minute")) if n]
    return " ".join(said) or "under a minute"


def check_long_enough(proof: Proof) -> None:
    """RuleBroken when the plan is for less than a day: so short a test proves nothing."""
    if proof.lasts_h is not None and proof.lasts_h < LEAST_H:
        raise RuleBroken(
            "hours",
            proof.lasts_h,
            f"{LEAST_H:g} hours or more",
            f"hours: {proof.lasts_h:g} is too short; a test goes a day at the least, {LEAST_H:g} hours.",
        )


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


def _missed(line: PassLine) -> str:
    """How a reading misses a line that has an end."""
    if line.high is None or line.high == line.low:
        return f", and must be {line.must_be}"
    return f" lies outside {_number(line.low)} to {_number(line.high)}"


def _number(value: float) -> str:
    return f"{value:g}".replace("-", "\u2212")
