"""Looking the clock over: what was heard, seen and read goes into the record; what was said in private never does."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import Any, BinaryIO

from underdial.bench.clock.readings import check_believable, check_not_judged, why_unbelievable
from underdial.bench.shop import Job, Shop, job
from underdial.errors import BadInput, RuleBroken
from underdial.record.clock import Attachment
from underdial.record.finding import Evidence, Finding, check_change, outside_private
from underdial.record.look_over import LookOver, check_private
from underdial.record.measurement import Measurement
from underdial.store.files import keep_file, note_file


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What a look-over brought into the record."""

    look_over: LookOver
    findings: tuple[Finding, ...]
    measurements: tuple[Measurement, ...]
    warnings: tuple[str, ...] = ()


def take_in_look_over(
    shop: Shop,
    clock: str,
    look_over: LookOver,
    findings: Iterable[Finding],
    measurements: Iterable[Measurement] = (),
    *,
    by: str = "repairer",
) -> TakenIn:
    """Keep a look-over as `take_in` does, in a transaction of its own."""
    with job(shop, clock, by=by) as at:
        return take_in(at, look_over, findings, measurements)


def take_in(
    at: Job, look_over: LookOver, findings: Iterable[Finding], measurements: Iterable[Measurement] = ()
) -> TakenIn:
    """Keep a look-over with what was heard in it, each finding pointing back to its stretch.

    Whatever touches a private stretch is left out. A figure that no clock gives is kept as rejected, and said in a
    warning. RuleBroken when the recording itself is kept with a private stretch in it.
    """
    check_private(look_over)
    spans = [(one.start_s, one.end_s) for one in look_over.private]
    heard = outside_private(findings, spans)
    read = [
        one
        for one in measurements
        if not any(low <= (one.start_s if one.start_s is not None else -1.0) < high for low, high in spans)
    ]
    kept = at.add(replace(look_over, visit_id=at.visit_id, in_doubt=outside_private(look_over.in_doubt, spans)))
    found = tuple(
        at.add(replace(one, visit_id=at.visit_id, evidence=(*one.evidence, _stretch(kept.id, one.start_s, one.end_s))))
        for one in heard
    )
    doubts = [why_unbelievable(at.read_clock(), one) for one in read]
    figures = tuple(
        at.add(
            replace(
                one,
                visit_id=at.visit_id,
                standing="rejected" if doubt else one.standing,
                evidence=(*one.evidence, _stretch(kept.id, one.start_s, None)),
            )
        )
        for one, doubt in zip(read, doubts, strict=True)
    )
    if at.visit.stage == "received":
        at.change(replace(at.visit, stage="as_found"))
    warnings = tuple(f"Heard and not used: {doubt}" for doubt in doubts if doubt)
    return TakenIn(look_over=kept, findings=found, measurements=figures, warnings=warnings)


def add_finding(
    shop: Shop,
    clock: str,
    finding: Finding,
    *,
    look_over_id: str | None = None,
    by: str = "repairer",
    why: str | None = None,
) -> Finding:
    """Write a finding by hand, of a look-over where one is named; it is confirmed by being written."""
    with job(shop, clock, by=by, why=why) as at:
        seen = (*finding.evidence, *([_stretch(look_over_id, None, None)] if look_over_id else []))
        told = replace(finding, visit_id=at.visit_id, standing="confirmed", evidence=seen)
        _check_evidence(at, told)
        kept: Finding = at.add(told)
    return kept


def confirm_finding(
    shop: Shop, clock: str, finding_id: str, *, version_count: int | None = None, by: str = "repairer"
) -> Finding:
    """Say that a finding was heard rightly. It becomes no surer by that."""
    return _change_finding(shop, clock, finding_id, {"standing": "confirmed"}, "confirmed", version_count, by, None)


def confirm_all_findings(shop: Shop, clock: str, *, by: str = "repairer") -> tuple[Finding, ...]:
    """Say that all findings that wait to be read through were heard rightly; all are kept, or none."""
    with job(shop, clock, by=by, why="accepted together") as at:
        waiting = [one for one in at.all("finding") if one.standing == "heard"]
        return tuple(at.change(replace(one, standing="confirmed"), deed="confirmed") for one in waiting)


def correct_finding(
    shop: Shop,
    clock: str,
    finding_id: str,
    changes: Mapping[str, Any],
    *,
    version_count: int | None = None,
    by: str = "repairer",
    why: str | None = None,
) -> Finding:
    """Put right what was heard wrongly. RuleBroken when it would become surer with nothing new seen."""
    return _change_finding(
        shop, clock, finding_id, {"standing": "confirmed", **changes}, "corrected", version_count, by, why
    )


def reject_finding(
    shop: Shop,
    clock: str,
    finding_id: str,
    *,
    version_count: int | None = None,
    by: str = "repairer",
    why: str | None = None,
) -> Finding:
    """Say that a finding is none. It stays in the record as rejected and enters no paper and no sum."""
    return _change_finding(shop, clock, finding_id, {"standing": "rejected"}, "rejected", version_count, by, why)


def add_measurement(
    shop: Shop, clock: str, measurement: Measurement, *, by: str = "repairer", why: str | None = None
) -> Measurement:
    """Write a reading; its time is now unless it came with one. BadInput for a figure that no clock gives."""
    with job(shop, clock, by=by, why=why) as at:
        check_believable(at.read_clock(), measurement)
        taken_at: datetime = measurement.taken_at or at.writer.at
        kept: Measurement = at.add(replace(measurement, visit_id=at.visit_id, taken_at=taken_at, standing="confirmed"))
    return kept


def reject_measurement(
    shop: Shop, clock: str, measurement_id: str, *, by: str = "repairer", why: str | None = None
) -> Measurement:
    """Say that a reading is not to be used; it stays in the record as rejected. RuleBroken for a result of a test that
    was judged.
    """
    with job(shop, clock, by=by, why=why) as at:
        check_not_judged(at.all("proof"), measurement_id)
        kept: Measurement = at.change(
            replace(at.read("measurement", measurement_id), standing="rejected"), deed="rejected"
        )
    return kept


def take_up_measurement(shop: Shop, clock: str, measurement_id: str, *, by: str = "repairer") -> Measurement:
    """Say that a rejected reading is to be used after all. BadInput for a figure that no clock gives."""
    with job(shop, clock, by=by) as at:
        check_not_judged(at.all("proof"), measurement_id)
        rejected: Measurement = at.read("measurement", measurement_id)
        check_believable(at.read_clock(), rejected)
        kept: Measurement = at.change(replace(rejected, standing="confirmed"), deed="confirmed")
    return kept


def attach_file(
    shop: Shop,
    clock: str,
    source: BinaryIO,
    *,
    name: str,
    kind: str,
    media_type: str,
    caption: str | None = None,
    component: str | None = None,
    taken_at: datetime | None = None,
    drawn: bool = False,
    size_px: tuple[int, int] | None = None,
    by: str = "repairer",
) -> Attachment:
    """Keep a file with the clock: a picture, drawing, film, sound, captions, readings or paper.

    Its bytes are on the disk before the record names them; `drawn` says that a picture is a drawing, `size_px` its
    upright width and height.
    """
    nothing_yet = Attachment(
        sha256="0" * 64,
        name=name,
        kind=kind,
        media_type=media_type,
        size_bytes_count=0,
        caption=caption,
        component=component,
        taken_at=taken_at,
        drawn=drawn,
        width_px=size_px[0] if size_px else None,
        height_px=size_px[1] if size_px else None,
    )
    sha256, size = keep_file(shop.attachments, source)
    with job(shop, clock, by=by) as at:
        return name_file(at, nothing_yet, sha256=sha256, size_bytes=size)


def name_file(at: Job, attachment: Attachment, *, sha256: str, size_bytes: int) -> Attachment:
    """Write into the record that a file, whose bytes are on the disk already, is kept with the clock."""
    note_file(at.connection, sha256=sha256, size_bytes=size_bytes)
    kept: Attachment = at.add(replace(attachment, sha256=sha256, size_bytes_count=size_bytes, visit_id=at.visit_id))
    return kept


def _change_finding(
    shop: Shop,
    clock: str,
    finding_id: str,
    changes: Mapping[str, Any],
    deed: str,
    version_count: int | None,
    by: str,
    why: str | None,
) -> Finding:
    allowed = [one.name for one in fields(Finding) if one.name not in ("id", "visit_id")]
    for name in changes:
        if name not in allowed:
            raise BadInput(
                name,
                changes[name],
                ", ".join(allowed),
                f"{name}: there is no such field of a finding; allowed: {', '.join(allowed)}.",
            )
    with job(shop, clock, by=by, why=why) as at:
        before: Finding = at.read("finding", finding_id)
        after = replace(before, **changes)
        check_change(before, after)
        _check_evidence(at, after)
        kept: Finding = at.change(after, version_count=version_count, deed=deed)
    return kept


def _check_evidence(at: Job, finding: Finding) -> None:
    known = {one.id for kind in ("look_over", "attachment", "measurement") for one in at.all(kind)}
    for one in finding.evidence:
        if one.source is not None and one.source not in known:
            raise RuleBroken(
                "evidence",
                one.source,
                "a look-over, file or measurement of this visit",
                f"evidence: there is no {one.source} at this visit to point to.",
            )


def _stretch(look_over_id: str, start_s: float | None, end_s: float | None) -> Evidence:
    return Evidence(kind="look_over", source=look_over_id, start_s=start_s, end_s=end_s)
