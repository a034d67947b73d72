"""As found, under work, as left: what a finding or a reading tells of, by the work that was written down.

A work puts right the findings it names, those of the fault it is the remedy of, and those of its own part where it
names neither. An overhaul puts right dirt and old oil, nothing more.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime
from typing import Literal

from underdial.errors import BadInput
from underdial.record.finding import Finding, is_fault
from underdial.record.look_over import LookOver
from underdial.record.measurement import Measurement
from underdial.record.proof import Proof
from underdial.record.work import Work
from underdial.trade.faults import faults, matching
from underdial.trade.vocabulary import conditions
from underdial.trade.works import works as works_of_trade

Stand = Literal["as_found", "under_work", "as_left"]

# What a clock does, and what was done to it before: told, but nothing that stays behind on a part.
_DOINGS = frozenset(
    {
        "stops",
        "loses",
        "gains",
        "low_amplitude",
        "trips",
        "flutters",
        "squeaks",
        "weak_blow",
        "strikes_wrong",
        "no_strike",
        "out_of_step",
    }
)
_HISTORY, _DIRT = "history", "dirt"


def is_put_right(finding: Finding, works: Iterable[Work]) -> bool:
    """Whether one of these works has put this finding right."""
    return any(_puts_right(one, finding) for one in works if one.alters)


def left_as_it_is(findings: Iterable[Finding], works: Iterable[Work]) -> tuple[Finding, ...]:
    """The faults that no work has put right; what the clock does as a whole, and earlier work, are not among them."""
    done = tuple(works)
    return tuple(
        one
        for one in findings
        if is_fault(one)
        and one.condition not in _DOINGS
        and _kind(one.condition) != _HISTORY
        and not is_put_right(one, done)
    )


def stand_of_reading(
    one: Measurement, *, works: Iterable[Work], proofs: Iterable[Proof], look_overs: Iterable[LookOver]
) -> Stand:
    """Whether a reading tells of the clock as found, while it was worked on, or as left.

    What was read on test or in a round is never as found. A reading without a time, and without a look-over that has
    one, is as found.
    """
    works = tuple(works)
    read_at = reading_at(one, look_overs)
    after_work = one.round_id is not None or any(one.id in proof.results for proof in proofs)
    first, last = _span(works)
    if not after_work and (first is None or read_at is None or read_at < first):
        return "as_found"
    return "under_work" if last is not None and read_at is not None and read_at < last else "as_left"


def seen_as_found(finding: Finding, *, works: Iterable[Work], look_overs: Iterable[LookOver]) -> bool:
    """Whether a finding was seen before anything was altered, as far as is known."""
    first, _ = _span(tuple(works))
    seen_at = _look_over_at(finding, look_overs)
    return finding.round_id is None and (first is None or seen_at is None or seen_at < first)


def faults_told_by(finding: Finding) -> frozenset[str]:
    """Ids of the faults that a finding points to; none where its words are not those of the trade's lists."""
    try:
        return frozenset(one.id for one in matching(finding.component, finding.condition, finding.of))
    except BadInput:
        return frozenset()


def reading_at(one: Measurement, look_overs: Iterable[LookOver]) -> datetime | None:
    """When a reading was taken: its own time, or that of the look-over in which it was spoken."""
    return one.taken_at or _look_over_at(one, look_overs)


def _puts_right(work: Work, finding: Finding) -> bool:
    if finding.id and finding.id in work.findings:
        return True
    if work.of is not None and finding.of is not None and work.of != finding.of:
        return False
    known = works_of_trade().get(work.work)
    if known is not None and known.scope == "overhaul":
        return _kind(finding.condition) == _DIRT
    if known is not None:
        return False
    fault = _fault_of(work.work)
    if fault is not None:
        return fault in faults_told_by(finding)
    return not work.findings and (work.component, work.of) == (finding.component, finding.of)


def _fault_of(word: str) -> str | None:
    """The fault that a work is the remedy of, by its word: PWR-26 of `pwr_26_new_line_fill`."""
    found = re.match(r"([a-z]{3})_(\d\d)_", word)
    named = f"{found[1].upper()}-{found[2]}" if found else ""
    return named if named in faults() else None


def _span(works: tuple[Work, ...]) -> tuple[datetime | None, datetime | None]:
    """When the first and the last work that altered the clock was done."""
    times = [one.done_at for one in works if one.alters and one.done_at is not None]
    return (min(times), max(times)) if times else (None, None)


def _look_over_at(one: Finding | Measurement, look_overs: Iterable[LookOver]) -> datetime | None:
    sources = {proof.source for proof in one.evidence if proof.kind == "look_over"}
    return next((each.at for each in look_overs if each.id in sources), None)


def _kind(condition: str) -> str:
    return conditions()[condition].kind if condition in conditions() else ""
