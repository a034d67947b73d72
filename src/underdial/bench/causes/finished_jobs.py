"""A finished job from a clock's record: what was said beforehand, what was there when it was taken apart, what was
done, how it went.

A job is finished when the clock has gone home. It teaches chances only where the movement was taken apart: then what
was not found was not there. A finding that could mean several faults counts for the one that a work put right, or for
none; a work alone proves no fault, for it may have been done to be safe.

Limits: a finding given with less than `SURE` does not count as seen; a clock that lies outside the sums teaches nothing
but whether what was said has held.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from underdial.bench.clock.case import case_from, measurement_as_case
from underdial.bench.shop import ClockPage
from underdial.errors import UnderdialError
from underdial.record.choice import Choice
from underdial.record.consent import Consent
from underdial.record.finding import Finding
from underdial.record.measurement import Measurement
from underdial.record.proof import Proof
from underdial.record.visit import Round
from underdial.record.work import Work
from underdial.trade.faults import Fault, applies, faults, matching

if TYPE_CHECKING:
    from underdial.diagnosis.learning import Job

# A finding with less certainty than this was not seen but thought. [common practice: "I think", "might be"]
SURE = 0.8
_APART = ("take_apart_to_look", "strip_inspection")
_DOING = re.compile(r"([a-z]{3})_(\d\d)(?:_|$)")
# What the finished clock does by the sums; its rate was regulated, so it says nothing of a fault.
_TELLING = frozenset({"half_arc", "total_arc", "escape_torque", "main_torque"})


@dataclass(frozen=True, slots=True)
class Seen:
    """What came of one test: the chance that was stated before it began, and whether the clock then went its time
    through.
    """

    stated_probability: float | None
    ran_full: bool | None


@dataclass(frozen=True, slots=True)
class Finished:
    """A job ready to teach, and in words why it cannot where it cannot."""

    job: Job
    reason: str | None = None


def job_from(page: ClockPage) -> Finished:
    """The job of a clock's visit, from everything its record holds."""
    from underdial.diagnosis.learning import Job

    seen = what_was_seen(page.rounds, page.choices, page.consents, page.proofs)
    case = {key: value for key, value in case_from(page).items() if key != "as_left"}
    base = Job(
        f"{page.clock.id}/{page.visit.id}",
        case,
        stripped=False,
        ran_full=seen.ran_full,
        stated_probability=seen.stated_probability,
    )
    try:
        known = _sums_of(case)
    except UnderdialError as wrong:
        return Finished(base, wrong.message)
    there, open_still = _there(page.holding, page.works, known.may_be)
    stripped = any(_takes_apart(work.work) for work in page.works)
    unseen = {one.component for one in page.holding if one.standing != "rejected" and one.state == "not_examined"} - {
        one.component for one in page.holding if _was_seen(one)
    }
    not_there = {
        fault
        for fault in known.surely_can
        if stripped
        and fault not in there | open_still
        and not any(part in unseen for part, _ in faults()[fault].matches)
    }
    job = replace(
        base,
        there=frozenset(there),
        not_there=frozenset(not_there),
        put_right=_put_right(page.works),
        after=_after(page, case),
        stripped=stripped,
    )
    return Finished(job, None if there or not_there else "it was not taken apart, and no fault was seen for sure")


def what_was_seen(
    rounds: Sequence[Round], choices: Sequence[Choice], consents: Sequence[Consent], proofs: Sequence[Proof]
) -> Seen:
    """The first test that came to an end, and the newest chance that stood before it began: of a round, else of the
    agreed choice.
    """
    ended = [one for one in proofs if one.began_at is not None and one.ended_at is not None and _went(one) is not None]
    if not ended:
        return Seen(None, None)
    first = min(ended, key=lambda one: one.ended_at or one.planned_at)
    assert first.began_at is not None
    began = first.began_at
    said = [
        (one.predicted_at, each.runs_full_probability)
        for one in rounds
        for each in one.predicted
        if one.predicted_at is not None and one.predicted_at <= began and each.runs_full_probability is not None
    ]
    if said:
        return Seen(max(said, key=lambda one: one[0])[1], _went(first))
    agreed = [
        one
        for one in consents
        if one.given_at <= began
        and (one.withdrawn_at is None or one.withdrawn_at > began)
        and any(line.answer == "yes" for line in one.lines)
    ]
    choice = next((one for one in choices if agreed and one.id == agreed[-1].choice_id), None)
    return Seen(None if choice is None else choice.runs_full_probability, _went(first))


def _went(proof: Proof) -> bool | None:
    """Whether the clock went through its test; None where it was broken off for something else."""
    if proof.stops:
        return False
    if proof.verdict == "passed":
        return True
    hours = (proof.ended_at - proof.began_at).total_seconds() / 3600.0 if proof.began_at and proof.ended_at else 0.0
    return True if proof.verdict == "failed" and proof.lasts_h is not None and hours >= proof.lasts_h else None


@dataclass(frozen=True, slots=True)
class _Sums:
    """The faults this clock may have by its make, and those it surely can have."""

    may_be: frozenset[str]
    surely_can: frozenset[str]


def _sums_of(case: dict[str, Any]) -> _Sums:
    from underdial.diagnosis.case_file import parse_case
    from underdial.diagnosis.question import question

    asked = question(parse_case(case))
    carried = asked.movement.traits | ({asked.movement.strike} & {"rack", "count_wheel"})
    may_be = {one.fault for one in asked.suspicion.suspects} | {one.fault for one in asked.suspicion.symptom_suspects}
    known = may_be & set(faults())
    return _Sums(frozenset(known), frozenset(one for one in known if applies(faults()[one], carried) == "yes"))


def _was_seen(finding: Finding) -> bool:
    return (
        finding.standing != "rejected"
        and finding.who == "repairer"
        and finding.state in ("present", "absent")
        and finding.certainty >= SURE
    )


def _there(findings: Iterable[Finding], works: Sequence[Work], may_be: frozenset[str]) -> tuple[set[str], set[str]]:
    """The faults that were there, and those that a finding or a work leaves open."""
    done = {fault for work in works if work.alters for fault in _faults_of(work.work)}
    there, open_still = set[str](), set(done)
    for one in findings:
        if one.standing == "rejected" or one.state != "present":
            continue
        meant = [fault.id for fault in _meanings(one) if fault.id in may_be]
        there |= set(meant) & done
        if len(meant) == 1 and _was_seen(one):
            there.add(meant[0])
        open_still.update(meant)
    return there, open_still - there


def _meanings(finding: Finding) -> tuple[Fault, ...]:
    try:
        return tuple(one for one in matching(finding.component, finding.condition, finding.of) if one.counted)
    except UnderdialError:
        return ()


def _faults_of(work: str) -> tuple[str, ...]:
    """The fault that a work of the list puts right, from its word: `trn_01_bush` names TRN-01."""
    found = _DOING.match(work)
    fault = f"{found[1].upper()}-{found[2]}" if found else ""
    return (fault,) if fault in faults() else ()


def _takes_apart(work: str) -> bool:
    return work.startswith("overhaul") or work in _APART


def _put_right(works: Iterable[Work]) -> frozenset[str]:
    from underdial.diagnosis.work_lines import CLEANED

    done = [work.work for work in works if work.alters]
    named = {fault for work in done for fault in _faults_of(work)}
    return frozenset(named | (CLEANED if any(work.startswith("overhaul") for work in done) else set()))


def _after(page: ClockPage, case: dict[str, Any]) -> tuple[dict[str, Any], ...]:
    """Swings and torques of the finished clock: of its last test, else of the last round that saw any; with its own
    parts on.
    """
    from underdial.diagnosis.case_file import parse_case

    by_id = {one.id: one for one in page.measurements}
    for names in (*(proof.results for proof in reversed(page.proofs)), *(one.seen for one in reversed(page.rounds))):
        rows = tuple(measurement_as_case(by_id[name]) for name in names if name in by_id and _tells(by_id[name]))
        try:
            if rows and parse_case({**case, "measurements": rows}).readings:
                return rows
        except UnderdialError:
            continue
    return ()


def _tells(one: Measurement) -> bool:
    return one.quantity in _TELLING and one.standing != "rejected" and not one.lent_parts
