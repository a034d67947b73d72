"""A hold: what may not be done to a clock, and why (a dispute, a hazard, no consent, money due)."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_one_of, require_text
from underdial.record.visit import Visit

REASONS = ("dispute", "hazard", "no_consent", "money_due", "insurer", "other")
FORBIDDEN = ("alter", "release", "open", "run", "wind", "send_out", "discard")
# Stands in holds of before: nothing tells from how near a film is taken, so it is read and shown, and no longer set.
_ONLY_READ = ("film_from_near",)
# What has to be done on the way to a deed: no clock goes on test unwound.
_ON_THE_WAY = {"run": ("wind",)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A standing no to a clock, whatever visit it was set at. It ends when it is lifted by somebody for a reason, never
    by being forgotten.
    """

    reason: str
    why: str
    forbids: tuple[str, ...]
    since: datetime
    lifted_at: datetime | None = None
    lifted_by: str | None = None
    lifted_why: str | None = None
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_one_of("reason", self.reason, REASONS)
        require_text("why", self.why)
        for one in self.forbids:
            require_one_of("forbids", one, (*FORBIDDEN, *_ONLY_READ))
        if not self.forbids:
            raise RuleBroken(
                "forbids",
                "nothing",
                ", ".join(FORBIDDEN),
                "forbids: a hold that forbids nothing is a note; say what may not be done.",
            )
        require_moment("since", self.since)
        require_moment("lifted_at", self.lifted_at)
        if self.lifted_at is not None and not (self.lifted_by and self.lifted_why):
            raise RuleBroken(
                "lifted_by",
                "nobody",
                "a name and a reason",
                "lifted_by: a hold is lifted by somebody and for a reason; give both.",
            )


def forbidden(holds: Iterable[Hold]) -> dict[str, Hold]:
    """Each thing that may not be done now, with the hold that says so (the earliest first)."""
    standing = sorted((hold for hold in holds if hold.lifted_at is None), key=lambda hold: hold.since)
    found: dict[str, Hold] = {}
    for hold in standing:
        for one in hold.forbids:
            found.setdefault(one, hold)
    return found


def check_allowed(holds: Iterable[Hold], *, deed: str) -> None:
    """RuleBroken, with the reason in words, when a standing hold forbids the deed (see FORBIDDEN)."""
    require_one_of("deed", deed, FORBIDDEN)
    standing = forbidden(holds)
    for one in (deed, *_ON_THE_WAY.get(deed, ())):
        hold = standing.get(one)
        if hold is not None:
            words = one.replace("_", " ")
            raise RuleBroken(
                deed,
                hold.reason,
                "lift the hold first",
                f"{deed}: a hold ({hold.reason.replace('_', ' ')}) says not to {words}: {hold.why.rstrip('.')}. Lift "
                "the hold first.",
            )


def holds_at(holds: Iterable[Hold], visit: Visit, *, earlier: Collection[str]) -> tuple[Hold, ...]:
    """The holds of a visit: those set at it, and those of the `earlier` visits that were not lifted before it began."""
    return tuple(
        one
        for one in holds
        if one.visit_id == visit.id
        or (one.visit_id in earlier and (one.lifted_at is None or one.lifted_at >= visit.received_at))
    )
