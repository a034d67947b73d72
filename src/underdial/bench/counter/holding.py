"""Holds on a clock: set for a reason, and lifted by somebody for a reason."""

from __future__ import annotations

from dataclasses import replace

from underdial.bench.shop import Shop, job
from underdial.errors import RuleBroken
from underdial.record.hold import Hold


def set_hold(shop: Shop, clock: str, hold: Hold, *, by: str = "repairer") -> Hold:
    """Say what may not be done to a clock, and why; it stands until it is lifted, wherever the clock is."""
    with job(shop, clock, by=by, why=hold.why, gone_too=True) as at:
        kept: Hold = at.add(replace(hold, visit_id=at.visit_id))
    return kept


def lift_hold(shop: Shop, clock: str, hold_id: str, *, by: str, why: str) -> Hold:
    """Lift a hold, by somebody and for a reason."""
    with job(shop, clock, by=by, why=why, gone_too=True) as at:
        hold = at.read("hold", hold_id)
        if hold.lifted_at is not None:
            raise RuleBroken(
                "hold", hold_id, "a hold that stands", f"hold: {hold_id} was lifted already, by {hold.lifted_by}."
            )
        lifted: Hold = at.change(replace(hold, lifted_at=at.writer.at, lifted_by=by, lifted_why=why))
    return lifted
