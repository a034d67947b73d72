"""Work at the bench, in rounds: predict, do, see; and where every part is meanwhile."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from underdial.bench.clock.readings import check_believable
from underdial.bench.shop import Shop, job
from underdial.errors import RuleBroken
from underdial.record.choice import Choice, PlannedWork
from underdial.record.consent import Consent, ConsentLine, check_agreed
from underdial.record.credit import as_charged
from underdial.record.custody import CustodyLine
from underdial.record.hold import check_allowed
from underdial.record.measurement import Measurement
from underdial.record.visit import Prediction, Round, check_round_change
from underdial.record.work import Work, check_work


def enter_work(shop: Shop, clock: str, work: Work, *, by: str = "repairer") -> Work:
    """Write a work that was done; place, findings and how deep it cuts come from the line it was planned on.

    RuleBroken when a hold forbids it, nobody agreed to it, or it passes the ceiling.
    """
    with job(shop, clock, by=by, why=work.why) as at:
        consents = at.all("consent")
        done = as_charged(at.all("work"), at.all("bill"), at.all("credit"))
        check_work(work, holds=at.all("hold"), consents=consents, done=done, choices=at.all("choice"))
        if work.alters:
            line = check_agreed(consents, work=work.work, component=work.component, of=work.of, place=work.place)
            source = next((one for one in reversed(consents) if line in one.lines), None)
            work = replace(
                _as_planned(replace(work, place=work.place or line.place), _planned(at.all("choice"), source, line)),
                consent_line=line.line,
                consent_id=source.id if source else None,
                findings=work.findings or line.findings,
            )
        kept: Work = at.add(replace(work, visit_id=at.visit_id, done_at=work.done_at or at.writer.at))
        if work.alters and at.visit.stage == "agreed":
            at.change(replace(at.visit, stage="at_the_bench"))
    return kept


def _planned(choices: Iterable[Choice], source: Consent | None, line: ConsentLine) -> PlannedWork | None:
    """The work of the choice that was answered, on the line of the answer."""
    answered = [one for one in choices if source is not None and one.id == source.choice_id]
    return next((work for choice in answered for work in choice.works if work.line == line.line), None)


def _as_planned(work: Work, planned: PlannedWork | None) -> Work:
    if planned is None:
        return work
    deep = planned.invasiveness_count if work.invasiveness_count is None else work.invasiveness_count
    return replace(work, place=work.place or planned.place, invasiveness_count=deep)


def begin_round(
    shop: Shop, clock: str, *, thought: str | None = None, predicted: tuple[Prediction, ...] = (), by: str = "repairer"
) -> Round:
    """Begin the next round at the bench, with what is thought to be the cause and what is expected of the readings."""
    with job(shop, clock, by=by) as at:
        number = len(at.all("round")) + 1
        kept: Round = at.add(
            Round(
                number_count=number,
                began_at=at.writer.at,
                thought=thought,
                predicted=predicted,
                predicted_at=at.writer.at if predicted else None,
                visit_id=at.visit_id,
            )
        )
    return kept


def change_round(
    shop: Shop,
    clock: str,
    round_id: str,
    changes: Mapping[str, Any],
    *,
    version_count: int | None = None,
    by: str = "repairer",
) -> Round:
    """Write into a round: what was predicted, done, tried and seen.

    What was predicted stays once something was seen.
    """
    with job(shop, clock, by=by) as at:
        before: Round = at.read("round", round_id)
        times: dict[str, Any] = {}
        if "predicted" in changes and before.predicted_at is None:
            times["predicted_at"] = at.writer.at
        if changes.get("seen") and before.seen_at is None:
            times["seen_at"] = at.writer.at
        after = replace(before, **{**times, **changes})
        check_round_change(before, after)
        kept: Round = at.change(after, version_count=version_count)
    return kept


def see_in_round(
    shop: Shop, clock: str, round_id: str, measurement: Measurement, *, by: str = "repairer"
) -> Measurement:
    """Write a reading beside what was predicted in a round, both or neither; what was predicted stays from now."""
    with job(shop, clock, by=by) as at:
        before: Round = at.read("round", round_id)
        check_believable(at.read_clock(), measurement)
        kept: Measurement = at.add(
            replace(
                measurement,
                visit_id=at.visit_id,
                round_id=round_id,
                taken_at=measurement.taken_at or at.writer.at,
                standing="confirmed",
            )
        )
        after = replace(before, seen=(*before.seen, kept.id), seen_at=before.seen_at or at.writer.at)
        check_round_change(before, after)
        at.change(after)
    return kept


def move_part(shop: Shop, clock: str, line: CustodyLine, *, by: str = "repairer") -> CustodyLine:
    """Write where a part, a tray or an order is.

    A hold on sending out stands in the way of sending out, and so does that the clock has gone home.
    """
    with job(shop, clock, by=by, why=line.note) as at:
        if line.kind == "sent_out":
            check_allowed(at.all("hold"), deed="send_out")
        kept: CustodyLine = at.add(replace(line, visit_id=at.visit_id, sent_by=line.sent_by or by))
    return kept


def part_is_back(
    shop: Shop, clock: str, custody_id: str, *, condition: str | None = None, by: str = "repairer"
) -> CustodyLine:
    """A part has come back (or one of the shop's is off the clock) and was checked; also when the clock has gone."""
    with job(shop, clock, by=by, why=condition, gone_too=True) as at:
        line: CustodyLine = at.read("custody", custody_id)
        if line.back_at is not None:
            raise RuleBroken(
                "custody", custody_id, "a part that is still away", f"custody: {line.what} is back already."
            )
        kept: CustodyLine = at.change(replace(line, back_at=at.writer.at, checked_back_by=by, condition_back=condition))
    return kept
