"""Hours worked at a clock: stretches that were counted, and what was put right of them by hand.

Time that two counts of one person share is worked once. Never here: what an hour costs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_one_of, require_text
from underdial.record.look_over import LookOver
from underdial.record.money import Money
from underdial.record.work import Work

HOWS = ("touched", "said", "by_hand")
# Longer than this one stretch was hardly worked through: its end was forgotten. [common practice]
LONG_S = 12 * 3600
MOST_BY_HAND_S = 1000 * 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """A stretch of work time from `began_at` to `ended_at`, which is None while it runs; or, `by_hand`, seconds more
    or less than were counted (`by_hand_s`), written at `began_at`. `how` says how it was begun.
    """

    began_at: datetime
    by: str
    how: str = "touched"
    ended_at: datetime | None = None
    by_hand_s: int | None = None
    why: str | None = None
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_moment("began_at", self.began_at)
        require_moment("ended_at", self.ended_at)
        require_text("by", self.by)
        require_one_of("how", self.how, HOWS)
        if (self.how == "by_hand") != (self.by_hand_s is not None):
            raise RuleBroken("by_hand_s", self.how, "seconds where it is by hand, and only there")
        if self.by_hand_s is not None and not 0 < abs(self.by_hand_s) <= MOST_BY_HAND_S:
            raise RuleBroken(
                "hours",
                f"{self.by_hand_s} s",
                "up to 1000 h, more or less",
                "hours: nothing, or more than 1000 h, cannot be put right by hand.",
            )
        if self.ended_at is not None and (self.ended_at < self.began_at or self.by_hand_s is not None):
            raise RuleBroken("ended_at", self.ended_at.isoformat(), "an end of a stretch, after it began")


def running(hours: Iterable[Hours]) -> Hours | None:
    """The stretch that runs; None where none does."""
    return next((one for one in hours if one.ended_at is None and one.by_hand_s is None), None)


def worked_s(hours: Iterable[Hours], look_overs: Iterable[LookOver] = ()) -> int:
    """Seconds worked [s]: what was counted at the bench and said to a recorder, and what was put right by hand. A
    stretch that still runs is not in it.
    """
    hours = tuple(hours)
    spans: dict[str, list[tuple[datetime, datetime]]] = {}
    loose_s = 0.0
    for one in hours:
        if one.ended_at is not None:
            spans.setdefault(one.by, []).append((one.began_at, one.ended_at))
    for look_over in look_overs:
        for stretch in look_over.hours:
            start = look_over.begins_at
            if start is None:
                loose_s += stretch.end_s - stretch.start_s
            else:
                ends = (start + timedelta(seconds=at_s) for at_s in (stretch.start_s, stretch.end_s))
                spans.setdefault(look_over.by, []).append((next(ends), next(ends)))
    counted_s = loose_s + sum(_covered_s(many) for many in spans.values())
    return round(counted_s) + sum(one.by_hand_s or 0 for one in hours)


def worked_at_works_s(works: Iterable[Work]) -> int | None:
    """Seconds that are written with works [s]; None where none are."""
    written = [one.hours_h for one in works if one.hours_h is not None]
    return round(3600.0 * sum(written)) if written else None


def any_counted(hours: Iterable[Hours], look_overs: Iterable[LookOver]) -> bool:
    """Whether anything was counted to its end, said to a recorder or put right by hand."""
    by_bench = any(one.ended_at is not None or one.by_hand_s is not None for one in hours)
    return by_bench or any(one.hours for one in look_overs)


def worked_in_all_s(hours: Iterable[Hours], look_overs: Iterable[LookOver], works: Iterable[Work]) -> int | None:
    """Seconds worked [s]: as counted, and where nothing was counted as written with the works; None where neither is.
    The two are never added: they are of the same time.
    """
    hours, look_overs = tuple(hours), tuple(look_overs)
    return worked_s(hours, look_overs) if any_counted(hours, look_overs) else worked_at_works_s(works)


def worth_of_hours(seconds: int, price: Money) -> Money:
    """What so many seconds [s] come to at a price of an hour, to the nearest penny, half a penny up."""
    return Money(amount_minor=(2 * seconds * price.amount_minor + 3600) // 7200, currency=price.currency)


def _covered_s(spans: Iterable[tuple[datetime, datetime]]) -> float:
    """How long at least one of the spans lasts [s]."""
    total, until = timedelta(0), None
    for begins, ends in sorted(spans):
        if until is None or begins >= until:
            total, until = total + (ends - begins), ends
        elif ends > until:
            total, until = total + (ends - until), ends
    return total.total_seconds()
