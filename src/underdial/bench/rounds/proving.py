"""The test of the finished clock against its plan, and the release."""

from __future__ import annotations

from dataclasses import replace

from underdial.bench.clock.readings import check_believable
from underdial.bench.shop import Shop, job
from underdial.errors import RuleBroken
from underdial.record.custody import check_all_together
from underdial.record.handing_out import check_reason, still_open
from underdial.record.hold import check_allowed
from underdial.record.hours import running
from underdial.record.measurement import Measurement
from underdial.record.people import check_may
from underdial.record.proof import Proof, check_long_enough, check_results, judge
from underdial.record.visit import Visit


def plan_proof(shop: Shop, clock: str, proof: Proof, *, by: str = "repairer") -> Proof:
    """Lay down what the clock must do, before the test begins. The time of the plan is now."""
    with job(shop, clock, by=by) as at:
        if proof.results or proof.began_at is not None:
            raise RuleBroken("results", proof.title, "a plan only", "results: a plan comes before its results.")
        check_long_enough(proof)
        kept: Proof = at.add(
            replace(proof, planned_at=at.writer.at, verdict="not_yet", verdict_words=None, visit_id=at.visit_id)
        )
    return kept


def begin_proof(shop: Shop, clock: str, proof_id: str, *, by: str = "repairer") -> Proof:
    """Start the test; the clock is on test from now."""
    with job(shop, clock, by=by) as at:
        proof: Proof = at.read("proof", proof_id)
        if proof.began_at is not None:
            raise RuleBroken(
                "began_at",
                proof.began_at.isoformat(),
                "a test that has not begun",
                "began_at: this test has begun already.",
            )
        check_allowed(at.all("hold"), deed="run")
        kept: Proof = at.change(replace(proof, began_at=at.writer.at))
        at.change(replace(at.visit, stage="on_test"))
    return kept


def read_on_test(
    shop: Shop, clock: str, proof_id: str, measurement: Measurement, *, by: str = "repairer"
) -> Measurement:
    """Write a reading and count it as a result of the test, both or neither."""
    with job(shop, clock, by=by) as at:
        proof: Proof = at.read("proof", proof_id)
        _check_open(proof)
        check_results(proof, [measurement])
        check_believable(at.read_clock(), measurement)
        kept: Measurement = at.add(
            replace(
                measurement, visit_id=at.visit_id, taken_at=measurement.taken_at or at.writer.at, standing="confirmed"
            )
        )
        at.change(replace(proof, results=(*proof.results, kept.id)))
    return kept


def note_stop(shop: Shop, clock: str, proof_id: str, stop: str, *, by: str = "repairer") -> Proof:
    """The clock stopped on test: when, and at what hand position."""
    with job(shop, clock, by=by, why=stop) as at:
        proof: Proof = at.read("proof", proof_id)
        _check_open(proof)
        kept: Proof = at.change(replace(proof, stops=(*proof.stops, stop)))
    return kept


def end_proof(shop: Shop, clock: str, proof_id: str, *, by: str = "repairer") -> Proof:
    """End the test and judge it by its plan. The last test that is passed makes the clock ready."""
    with job(shop, clock, by=by) as at:
        proof: Proof = at.read("proof", proof_id)
        _check_open(proof)
        if proof.began_at is None:
            raise RuleBroken(
                "began_at", "not begun", "a test that has begun", "began_at: a test that has not begun cannot end."
            )
        ended = replace(proof, ended_at=at.writer.at)
        verdict, reasons = judge(ended, {one.id: one for one in at.all("measurement")})
        kept: Proof = at.change(replace(ended, verdict=verdict, verdict_words="; ".join(reasons) or None))
        # A clock that passed on the stand is not ready while the test in its case still stands before it.
        others = [one for one in at.all("proof") if one.id != proof_id and one.verdict == "not_yet"]
        if verdict == "passed" and not others:
            at.change(replace(at.visit, stage="ready"))
    return kept


def release_clock(shop: Shop, clock: str, *, person_id: str, by: str = "repairer", why: str | None = None) -> Visit:
    """Give the clock to somebody who may collect it: no hold on release, the shop's parts off, every part of it back.

    Who collected it is kept, and with a test that was not passed or works that are not done also why it goes all the
    same.
    """
    with job(shop, clock, by=by, why=why) as at:
        check_allowed(at.all("hold"), deed="release")
        check_may(at.all("part"), person_id=person_id, what="collect")
        check_all_together(at.all("custody"))
        still = still_open(at.all("proof"), at.all("consent"), at.all("work"), at.all("choice"))
        check_reason(still, why)
        if (runs := running(at.all("hours"))) is not None:
            at.change(replace(runs, ended_at=max(runs.began_at, at.writer.at)))
        kept: Visit = at.change(
            replace(
                at.visit,
                stage="gone",
                gone_at=at.writer.at,
                collected_by=person_id,
                gone_because=why.strip() if still and why else None,
            )
        )
    return kept


def _check_open(proof: Proof) -> None:
    if proof.ended_at is not None and proof.verdict != "not_yet":
        raise RuleBroken(
            "proof",
            proof.id,
            "a test that is still open",
            f"proof: this test has ended ({proof.verdict.replace('_', ' ')}); begin a new one.",
        )
