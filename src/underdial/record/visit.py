"""A visit of a clock to the shop, and the rounds in which work at the bench goes.

A return under warranty is a new visit that sees the earlier one's as-left state. A clock may come in bits,
part-done by somebody else, without its pendulum, key or weights: *not with the clock* is no fault, *missing* is.
A round keeps what was predicted beside what was seen, and a prediction is not touched once something was seen.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.aim import Aim
from underdial.record.complaint import Complaint
from underdial.record.fields import (
    require_moment,
    require_number,
    require_one_of,
    require_place_in_train,
    require_probability,
    require_word,
)
from underdial.record.money import Day, Money
from underdial.record.planned_size import PlannedSize

STAGES = (
    "received",
    "as_found",
    "waiting_for_owner",
    "agreed",
    "at_the_bench",
    "waiting_for_parts",
    "on_test",
    "ready",
    "gone",
)
ARRIVED_AS = ("whole", "in_bits", "part_done", "movement_only")
PART_STATUSES = ("with_clock", "not_with_clock", "missing")
TRIAL_RESULTS = ("no_change", "cured")
RETURN_CAUSES = ("same_complaint", "new_fault", "our_work", "owner", "nothing_wrong")


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver:
    """A loose part at the counter: with the clock, not with it (no fault), or missing from it (a fault).

    `words` is what it was called when it was written down; `component` is then `other` where no list has it.
    """

    component: str
    status: str
    how_many_count: int = 1
    note: str | None = None
    words: str | None = None

    def __post_init__(self) -> None:
        require_word("component", self.component)
        require_one_of("status", self.status, PART_STATUSES)
        require_number("how_many_count", self.how_many_count, lowest=0)

    @property
    def called(self) -> str:
        """What it is called on pages and papers."""
        return self.words or self.component.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One coming-in, from the counter to the counter.

    `earlier_visit_id` with `under_warranty` makes it a return; `return_cause` is who or what brought it back, once
    known. `collected_by` is the id of the person it was given to when it went, and `gone_because` why it was given out
    with something open (see `handing_out`). `planned_sizes` are what its parts are
    to be made to. `value` is what it is in the shop for, and `insured_by` who insures it; neither is printed for
    others. `received_in_error` says why a visit is none: it was written by mistake, and stands in no list.
    """

    received_at: datetime
    reason: str = ""
    stage: str = "received"
    arrived_as: str = "whole"
    complaint: Complaint = field(default_factory=Complaint)
    aim: Aim = field(default_factory=Aim)
    handed_over: tuple[HandedOver, ...] = ()
    condition_on_arrival: str | None = None
    last_done: tuple[str, ...] = ()
    where_it_stands: str | None = None
    value: Money | None = None
    insured_by: str | None = None
    promised: Day | None = None
    earlier_visit_id: str | None = None
    under_warranty: bool = False
    return_cause: str | None = None
    as_found_running: str | None = None
    next_step: str | None = None
    planned_sizes: tuple[PlannedSize, ...] = ()
    gone_at: datetime | None = None
    collected_by: str | None = None
    received_in_error: str | None = None
    gone_because: str | None = None
    id: str = ""

    def __post_init__(self) -> None:
        require_moment("received_at", self.received_at)
        require_moment("gone_at", self.gone_at)
        require_one_of("stage", self.stage, STAGES)
        require_one_of("arrived_as", self.arrived_as, ARRIVED_AS)
        require_one_of("return_cause", self.return_cause, RETURN_CAUSES)
        if self.gone_at is not None and self.gone_at < self.received_at:
            raise RuleBroken(
                "gone_at",
                self.gone_at.isoformat(),
                f"after {self.received_at.isoformat()}",
                "gone_at: the clock cannot have gone before it was received.",
            )
        if (self.stage == "gone") != (self.gone_at is not None):
            raise RuleBroken(
                "gone_at",
                "nothing" if self.gone_at is None else self.gone_at.isoformat(),
                "a time exactly when the stage is gone",
                "gone_at: a clock has gone home exactly when the time is written at which it went; stage and time do "
                "not agree.",
            )
        if self.under_warranty and self.earlier_visit_id is None:
            raise RuleBroken(
                "under_warranty",
                "yes",
                "only with the earlier visit named",
                "under_warranty: a return under warranty needs the earlier visit whose work is in question.",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Prediction:
    """What was expected of one reading before the work: low, likely and high (10, 50, 90 in 100), in `unit`."""

    quantity: str
    low: float
    likely: float
    high: float
    unit: str = ""
    of: str | None = None
    position: str | None = None
    runs_full_probability: float | None = None

    def __post_init__(self) -> None:
        require_word("quantity", self.quantity)
        require_place_in_train("of", self.of)
        require_word("position", self.position)
        require_probability("runs_full_probability", self.runs_full_probability)
        for name in ("low", "likely", "high"):
            require_number(name, getattr(self, name))
        if not self.low <= self.likely <= self.high:
            raise RuleBroken(
                "likely",
                self.likely,
                f"{self.low:g} to {self.high:g}",
                f"likely: {self.likely:g} does not lie between {self.low:g} and {self.high:g}.",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A good part tried in place of the clock's own, and what came of it: strong evidence for or against that part."""

    component: str
    result: str
    of: str | None = None

    def __post_init__(self) -> None:
        require_word("component", self.component)
        require_place_in_train("of", self.of)
        require_one_of("result", self.result, TRIAL_RESULTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """Look, measure, predict, do, see: once round at the bench.

    The ids name findings, measurements and works of this visit; `seen` are the measurements that answer the
    predictions.
    """

    number_count: int
    began_at: datetime
    looked_at: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()
    predicted: tuple[Prediction, ...] = ()
    predicted_at: datetime | None = None
    trials: tuple[Trial, ...] = ()
    did: tuple[str, ...] = ()
    seen: tuple[str, ...] = ()
    seen_at: datetime | None = None
    thought: str | None = None
    learned: str | None = None
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_number("number_count", self.number_count, lowest=1)
        for name in ("began_at", "predicted_at", "seen_at"):
            require_moment(name, getattr(self, name))


def check_in_shop(visit: Visit) -> None:
    """RuleBroken when the clock has gone home or was never received: what is done to it belongs to another visit."""
    if visit.received_in_error is not None:
        raise RuleBroken(
            "received_in_error",
            visit.received_in_error,
            "a clock that is in the shop",
            "received in error: this clock was received by mistake; on Received say that it is here after all.",
        )
    if visit.stage == "gone":
        raise RuleBroken("stage", "gone", "a clock that is in the shop", f"stage: {closed_words(visit)}")


def closed_words(visit: Visit) -> str:
    """What is said in the place of every form of a clock that has gone home."""
    when = "has gone home" if visit.gone_at is None else f"went home on {visit.gone_at:%-d %B %Y}"
    return f"This clock {when}; receive it again to go on."


def check_may_be_error(visit: Visit, *, agreed: bool, worked: bool) -> None:
    """RuleBroken when a visit cannot have been received by mistake: something was agreed or done, or it went home."""
    so = "it has gone home" if visit.stage == "gone" else "work is written of it" if worked else ""
    so = so or ("an owner has answered" if agreed else "")
    if so:
        raise RuleBroken(
            "received_in_error",
            so,
            "a clock at which nothing was agreed or done",
            f"received in error: {so}, so this clock was received; what is wrong of it is put right on its pages.",
        )


def check_round_change(before: Round, after: Round) -> None:
    """RuleBroken when a prediction is changed after something was seen: hindsight is no prediction."""
    if before.seen and after.predicted != before.predicted:
        raise RuleBroken(
            "predicted",
            f"round {before.number_count}",
            "a new round",
            f"predicted: round {before.number_count} has already been seen; what was predicted stays. Begin a new "
            "round.",
        )
