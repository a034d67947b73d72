"""The case of a clock as `diagnose` takes it, made from the record: family, movement, complaint, findings,
measurements.

What was rejected is left out, and so is what a later look-over took the place of, and what was read after the work
(results of a test, what a round saw): the case is the clock as it was found. Beside a plain swing one told as what it
drops to is that of a moment (the strike being lifted), and the sums have only the swing of a clock that runs on: it
stays in the record and out of the case. Sizes that the work left stand apart, under `as_left`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from underdial.bench.clock.left_sizes import as_left_of
from underdial.bench.shop import ClockPage, Shop, clock_page
from underdial.record.complaint import Complaint
from underdial.record.finding import NOTED, Finding
from underdial.record.measurement import Measurement

_SWINGS = ("half_arc", "total_arc")
_DROPS_TO = re.compile(r"\b(?:drop|drops|dropped|fall|falls|fell|sink|sinks|sank) (?:off |away |down )?to\b")


def case_of(shop: Shop, clock: str, *, visit_id: str | None = None) -> dict[str, Any]:
    """The case of a clock in the shop, by tag or id; the same map as a case file (docs/reference/file_formats.md)."""
    return case_from(clock_page(shop, clock, visit_id=visit_id))


def case_from(page: ClockPage) -> dict[str, Any]:
    """The case of a clock whose page was read already."""
    later = {one for round_ in page.rounds for one in round_.seen} | {
        one for proof in page.proofs for one in proof.results
    }
    case: dict[str, Any] = {}
    if page.clock.family is not None:
        case["family"] = page.clock.family
    case["movement"] = dict(page.clock.movement)
    case["complaint"] = complaint_as_case(page.visit.complaint)
    case["findings"] = [
        finding_as_case(one) for one in page.holding if one.standing != "rejected" and one.condition != NOTED
    ]
    read = [one for one in page.measurements if one.standing != "rejected" and one.id not in later]
    case["measurements"] = [measurement_as_case(one) for one in without_moments(read)]
    trials = [trial for round_ in page.rounds for trial in round_.trials]
    if trials:
        case["trials"] = [{"component": one.component, "of": one.of, "result": one.result} for one in trials]
    if page.visit.last_done:
        case["last_done"] = list(page.visit.last_done)
    left = as_left_of(page)
    if left is not None:
        case["as_left"] = left
    return case


def complaint_as_case(complaint: Complaint) -> dict[str, Any]:
    """What was told, and only that: an untold field is left out."""
    return {
        one.name: getattr(complaint, one.name) for one in fields(complaint) if getattr(complaint, one.name) is not None
    }


def finding_as_case(finding: Finding) -> dict[str, Any]:
    """A finding with the keys of a case file, and its id so that a cause can point back to it."""
    names = ("id", "component", "of", "place", "condition", "state", "certainty", "extent", "significance", "who")
    found = {name: getattr(finding, name) for name in names}
    told = {"decision": finding.decision, "against": finding.against, "flags": list(finding.flags)}
    found |= {name: value for name, value in told.items() if value}
    return {**found, **({"value": finding.value, "unit": finding.unit} if finding.value is not None else {})}


def without_moments(measurements: Sequence[Measurement]) -> list[Measurement]:
    """The measurements without swings that are only what a plain swing of the same part drops to; alone such a swing is
    all there is, and stays.
    """
    plain = {one.of for one in measurements if one.quantity in _SWINGS and one.position is None and not _drops(one)}
    return [one for one in measurements if not (_drops(one) and one.of in plain)]


def _drops(measurement: Measurement) -> bool:
    return (
        measurement.quantity in _SWINGS
        and measurement.position is None
        and _DROPS_TO.search((measurement.words or "").casefold()) is not None
    )


def measurement_as_case(measurement: Measurement) -> dict[str, Any]:
    """A measurement with the keys of a case file; an uncertainty that is not known stays out."""
    names = ("id", "quantity", "of", "place", "position", "value", "unit", "since_winding_h")
    found = {name: getattr(measurement, name) for name in names}
    if measurement.u is not None:
        found["u"] = measurement.u
    if measurement.lent_parts:
        found["lent_parts"] = list(measurement.lent_parts)
    return found
