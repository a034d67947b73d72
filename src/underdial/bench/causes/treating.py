"""Which findings the works of a choice answer, so that each line of a consent can be followed back to what was seen.

A work answers the findings that point to its fault, wherever they sit: the sums put a fault right in every place. What
a choice puts right without a work of its own goes with the work on the same part, or else with the work that begins
the choice (overhaul, setting up).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from underdial.errors import BadInput
from underdial.record.finding import Finding, is_fault
from underdial.trade.faults import faults, matching


def treated_findings(told: Mapping[str, Any], findings: Iterable[Finding]) -> tuple[tuple[str, ...], ...]:
    """Ids of the findings that each work of a choice of an answer puts right, in the order of its works."""
    works = list(told["works"])
    cures = _cures(works, told.get("puts_right", ()))
    pointing = {one.id: _points_to(one) for one in findings if one.id and is_fault(one)}
    own = [{key for key, pointed in pointing.items() if pointed & cured} for cured in cures]
    answered = set().union(*own)
    with_it = _goes_with(works)
    return tuple(
        tuple(
            key
            for key in pointing
            if key in mine or (work.get("fault") is None and key not in answered and pointing[key] & with_it)
        )
        for work, mine in zip(works, own, strict=True)
    )


def _cures(works: Iterable[Mapping[str, Any]], puts_right: Iterable[str]) -> list[set[str]]:
    """The faults that each work puts right."""
    works = list(works)
    cures = [{str(work["fault"])} if work.get("fault") else set[str]() for work in works]
    named = set().union(*cures)
    begins = next((k for k, work in enumerate(works) if not work.get("fault")), 0)
    for fault in puts_right:
        if fault in named or not works:
            continue
        part = faults()[fault].component if fault in faults() else None
        beside = next(
            (k for k, one in enumerate(cures) if any(faults()[key].component == part for key in one & named)), begins
        )
        cures[beside].add(fault)
    return cures


def _goes_with(works: Iterable[Mapping[str, Any]]) -> frozenset[str]:
    """What goes with the work that begins a choice: set up again in any case, cleaned where it comes apart."""
    from underdial.diagnosis.work_lines import CLEANED, SET_UP

    return SET_UP | (CLEANED if any(str(one["work"]).startswith("overhaul") for one in works) else frozenset())


def _points_to(finding: Finding) -> set[str]:
    try:
        return {fault.id for fault in matching(finding.component, finding.condition, finding.of)}
    except BadInput:
        return set()
