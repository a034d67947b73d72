"""A finding: what was seen of one part, by whom, how surely, and where the evidence lies.

"Checked, sound" is a finding, and so is "could not be reached". A hedge that was spoken is kept as it was
spoken: a finding is never made surer than its evidence. A part that is *not with the clock* is no fault; one
that is *missing* is.

Limits: one part, one place, one condition in each finding; the same thing said again adds a time, not a finding.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from underdial.errors import RuleBroken
from underdial.record.fields import (
    require_number,
    require_one_of,
    require_place_in_train,
    require_probability,
    require_word,
)

State = Literal["present", "absent", "not_examined"]
STATES = ("present", "absent", "not_examined")
# Why a part was not examined, and the word of the trade's list that says so.
UNSEEN = {"not_looked_at": "unexamined", "could_not_be_reached": "not_accessible", "not_tested_yet": "not_tested"}
WHYS = tuple(UNSEEN)
SIGNIFICANCES = ("stops", "contributes", "cosmetic", "none")
EXTENTS = ("slight", "moderate", "bad")
SPEAKERS = ("repairer", "owner", "earlier-work")
DECISIONS = (
    "leave",
    "clean",
    "oil",
    "adjust",
    "straighten",
    "tighten",
    "polish",
    "bush",
    "repair",
    "replace",
    "glue",
    "ask_owner",
    "recheck",
    "later",
    "must_fix",
)
EVIDENCE_KINDS = ("look_over", "picture", "measurement", "film", "sound", "words")
STANDINGS = ("heard", "confirmed", "rejected")
# The condition of a finding of which only the note tells: no list has a word for it, and nothing reckons with it.
NOTED = "noted"
_HEALTHY = frozenset({NOTED, "good", "endshake_ok", "not_with_clock", "unexamined", "not_accessible", "not_tested"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Where a finding can be followed back to: a stretch of the look-over, a picture, a measurement.

    `source` is the id of the look-over, attachment or measurement in the same clock's record.
    """

    kind: str
    source: str | None = None
    start_s: float | None = None
    end_s: float | None = None
    note: str | None = None

    def __post_init__(self) -> None:
        require_one_of("evidence kind", self.kind, EVIDENCE_KINDS)
        require_number("evidence start_s", self.start_s, lowest=0.0)
        require_number("evidence end_s", self.end_s, lowest=self.start_s or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing seen, or not looked at, of one part. Times are seconds into the look-over.

    `of` is the wheel, arbor or train the part belongs to; `against` what it rubs on; `certainty` belongs to
    the stated state and keeps the hedge that was spoken; `guess` tells which words were taken for what, where the
    reading was not sure; `significance` None is *unsaid*. `standing` is `heard`
    until the repairer has read it through. `value` is in `unit`, as it was spoken. `note` is what the repairer adds in
    words of their own; where the condition is `noted` it is all that is said.
    """

    component: str
    condition: str
    state: State
    of: str | None = None
    place: str | None = None
    why: str | None = None
    extent: str | None = None
    certainty: float = 0.9
    significance: str | None = None
    decision: str | None = None
    who: str = "repairer"
    against: str | None = None
    value: float | None = None
    unit: str | None = None
    start_s: float | None = None
    end_s: float | None = None
    also_s: tuple[float, ...] = ()
    words: str | None = None
    rule: str | None = None
    guess: str | None = None
    note: str | None = None
    flags: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    standing: str = "heard"
    id: str = ""
    visit_id: str = ""
    round_id: str | None = None

    def __post_init__(self) -> None:
        for field in ("component", "condition", "place", "against"):
            require_word(field, getattr(self, field))
        require_place_in_train("of", self.of)
        for field, allowed in (
            ("state", STATES),
            ("why", WHYS),
            ("extent", EXTENTS),
            ("significance", SIGNIFICANCES),
            ("decision", DECISIONS),
            ("who", SPEAKERS),
            ("standing", STANDINGS),
        ):
            require_one_of(field, getattr(self, field), allowed)
        require_probability("certainty", self.certainty)
        if self.condition == NOTED and not (self.note or "").strip():
            raise RuleBroken("note", "nothing", "some words", "note: nothing is written there, and no state is said.")
        require_number("value", self.value)
        require_number("start_s", self.start_s, lowest=0.0)
        require_number("end_s", self.end_s, lowest=self.start_s or 0.0)
        if self.why is not None and self.state != "not_examined":
            raise RuleBroken(
                "why",
                self.why,
                "nothing, unless the state is not_examined",
                f"why: {self.why} says why a part was not examined, but the state of {self.component} is {self.state}.",
            )


def is_fault(finding: Finding) -> bool:
    """Whether a finding tells of something wrong: a present condition that is no sign of health.

    A part that is not with the clock (it stayed at home) is no fault; one that is missing is.
    """
    return finding.state == "present" and finding.standing != "rejected" and finding.condition not in _HEALTHY


def check_change(before: Finding, after: Finding) -> None:
    """Refuse a change that makes a finding surer without anything new having been seen.

    RuleBroken when the certainty rises, or a part not examined becomes examined, and no evidence was added.
    """
    if set(after.evidence) - set(before.evidence):
        return
    if before.state == after.state and after.certainty > before.certainty:
        raise RuleBroken(
            "certainty",
            after.certainty,
            f"up to {before.certainty:g}, or new evidence",
            f"certainty: {before.component} was given with {before.certainty:g}, and a hedge is not made surer by "
            "writing; "
            f"look again and add what was seen, or leave it.",
        )
    if before.state == "not_examined" and after.state != "not_examined":
        raise RuleBroken(
            "state",
            after.state,
            "not_examined, or new evidence",
            f"state: {before.component} was not examined; add what was seen or measured before it can be "
            f"{after.state}.",
        )


def outside_private(findings: Iterable[Finding], private_s: Iterable[tuple[float, float]]) -> tuple[Finding, ...]:
    """The findings that touch no private stretch: what was said in private never enters the record."""
    spans = tuple(private_s)
    kept = []
    for finding in findings:
        end_s = finding.end_s if finding.end_s is not None else finding.start_s
        if finding.start_s is not None and end_s is not None and _touches(finding.start_s, end_s, spans):
            continue
        kept.append(finding)
    return tuple(kept)


def _touches(start_s: float, end_s: float, spans: tuple[tuple[float, float], ...]) -> bool:
    return any(start_s < high and max(end_s, start_s + 1e-9) > low for low, high in spans)
