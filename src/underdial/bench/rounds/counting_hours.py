"""Hours at a clock: begun, ended, put right by hand, beside those that were foreseen; and charged."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from underdial.bench.shop import ClockPage, Job, Shop, job
from underdial.errors import BadInput, RuleBroken
from underdial.papers.sentences import foreseen_words, sum_words
from underdial.record.agreed import agreed_top, agreed_works, foreseen_h
from underdial.record.consent import key_of
from underdial.record.credit import as_charged, not_billed
from underdial.record.hours import (
    LONG_S,
    Hours,
    any_counted,
    running,
    worked_at_works_s,
    worked_in_all_s,
    worked_s,
    worth_of_hours,
)
from underdial.record.money import Money
from underdial.record.price_parts import shared_out
from underdial.record.proof import span_words
from underdial.record.work import Work, check_top


@dataclass(frozen=True, slots=True)
class StretchShown:
    """One count on a page: how long it is, when and by whom, and whether it is so long that its end was forgotten."""

    long: str
    words: str
    too_long: bool = False


@dataclass(frozen=True, slots=True)
class HoursShown:
    """The hours of a clock on a page: what was worked and foreseen in words (empty where there is none), since when a
    stretch runs, each count, what the hours come to, and whether they can be charged.
    """

    worked: str
    foreseen: str
    since: str
    stretches: tuple[StretchShown, ...]
    comes_to: str = ""
    may_charge: bool = False


def start_hours(shop: Shop, clock: str, *, how: str = "touched", by: str = "repairer") -> Hours:
    """Begin to count the hours of a clock. RuleBroken when they are counted already, or it has gone home."""
    with job(shop, clock, by=by) as at:
        runs = running(at.all("hours"))
        if runs is not None:
            since = _clock_time(runs.began_at, shop)
            raise RuleBroken("hours", "start", "stop", f"hours: they have been counted since {since}; stop them first.")
        kept: Hours = at.add(Hours(began_at=_moment(shop, at.writer.at), by=by, how=how, visit_id=at.visit_id))
    return kept


def stop_hours(shop: Shop, clock: str, *, by: str = "repairer") -> Hours:
    """End the stretch that runs. RuleBroken when none does."""
    with job(shop, clock, by=by) as at:
        runs = running(at.all("hours"))
        if runs is None:
            raise RuleBroken("hours", "stop", "start", "hours: none are being counted; start them first.")
        ended_at = max(runs.began_at, _moment(shop, at.writer.at))
        kept: Hours = at.change(replace(runs, ended_at=ended_at))
    return kept


def correct_hours(shop: Shop, clock: str, *, more_h: float, why: str | None = None, by: str = "repairer") -> Hours:
    """Put hours right by hand: so many more, or with a minus so many less. Hours that until then stood only with the
    works are first taken up as a line by hand, so that they are put right and not lost.

    BadInput for under a minute; RuleBroken when less than nothing would be left.
    """
    by_hand_s = round(more_h * 3600.0)
    if abs(by_hand_s) < 60:
        raise BadInput(
            "hours",
            f"{more_h:g} h",
            "a minute or more, such as 1 h 20 or −30 min",
            "hours: nothing is put right; write how much more was worked, such as 1 h 20, or how much less, with a "
            "minus.",
        )
    with job(shop, clock, by=by, why=why) as at:
        at_works_s = _only_at_works_s(at)
        before_s = at_works_s + worked_s(at.all("hours"), at.all("look_over"))
        if before_s + by_hand_s < 0:
            raise RuleBroken(
                "hours",
                span_words(-by_hand_s / 3600.0),
                f"up to {span_words(before_s / 3600.0)} less",
                f"hours: of {span_words(before_s / 3600.0)} counted {span_words(-by_hand_s / 3600.0)} cannot be taken "
                "off.",
            )
        line = Hours(began_at=at.writer.at, by=by, how="by_hand", by_hand_s=by_hand_s, why=why, visit_id=at.visit_id)
        if at_works_s:
            at.add(replace(line, by_hand_s=at_works_s, why="as written with the works"))
        kept: Hours = at.add(line)
    return kept


def _only_at_works_s(at: Job) -> int:
    """Seconds that are written with the works [s], while nothing is counted or runs that takes their place."""
    hours = at.all("hours")
    if any_counted(hours, at.all("look_over")) or running(hours):
        return 0
    return worked_at_works_s(at.all("work")) or 0


def charge_hours(shop: Shop, clock: str, *, by: str = "repairer") -> tuple[Work, ...]:
    """Charge the works that are done with the hours of the visit at the shop's price, each by the hours foreseen of it,
    to the penny.

    RuleBroken while hours run, when none are known or no work is done, when an hour has no price, when a work has its
    charge already, and when it comes above the sum agreed to.
    """
    with job(shop, clock, by=by) as at:
        works: tuple[Work, ...] = at.all("work")
        hours = at.all("hours")
        seconds = worked_in_all_s(hours, at.all("look_over"), works)
        amiss = (
            "they are being counted; stop them first"
            if running(hours)
            else "no work is written down that they could be charged for"
            if not works
            else "none are counted"
            if not seconds
            else "an hour has no price in the settings of the shop"
            if not shop.settings.hour_price_minor
            else "a work has its charge already; what was worked is charged for all works of a visit together, or each "
            "by hand"
            if any(one.charged is not None for one in works)
            else ""
        )
        if amiss or seconds is None:
            raise RuleBroken("hours", amiss, "hours that can be charged", f"hours: {amiss}.")
        choices, consents = at.all("choice"), at.all("consent")
        worth = worth_of_hours(seconds, _hour_price(shop))
        planned = {key_of(one): one.hours_h or 0.0 for one in agreed_works(choices, consents)}
        weights = [Decimal(repr(planned.get(key_of(one), 0.0))) for one in works]
        charged = tuple(
            replace(one, charged=Money(amount_minor=part, currency=worth.currency))
            for one, part in zip(works, shared_out(worth.amount_minor, weights), strict=True)
        )
        check_top(charged, agreed_top(choices, consents))
        return tuple(at.change(one) for one in charged)


def change_charge(shop: Shop, clock: str, work_id: str, charged: Money | None, *, by: str = "repairer") -> Work:
    """Put right what a work is charged with, while it stands on no invoice; None takes the charge away.

    RuleBroken for one that stands on an invoice, and for more than was agreed to.
    """
    with job(shop, clock, by=by, gone_too=True) as at:
        bills, credits = at.all("bill"), at.all("credit")
        before: Work = at.read("work", work_id)
        if before.charged is not None and before not in not_billed([before], bills, credits):
            raise RuleBroken(
                "charged",
                work_id,
                "a work on no invoice",
                "charged: this work stands on an invoice, which is never altered; give a credit note of it first.",
            )
        after = replace(before, charged=charged)
        others = [one for one in as_charged(at.all("work"), bills, credits) if one.id != work_id]
        check_top((*others, after), agreed_top(at.all("choice"), at.all("consent")))
        kept: Work = at.change(after)
    return kept


def hours_shown(shop: Shop, page: ClockPage) -> HoursShown:
    """The hours of a clock as its page Work says them."""
    seconds = worked_in_all_s(page.hours, page.look_overs, page.works)
    foreseen, runs = foreseen_h(agreed_works(page.choices, page.consents)), running(page.hours)
    worth = worth_of_hours(seconds, _hour_price(shop)) if seconds and shop.settings.hour_price_minor else None
    free = bool(page.works) and all(one.charged is None for one in page.works)
    return HoursShown(
        worked=span_words(seconds / 3600.0) if seconds is not None else "",
        foreseen=foreseen_words(*foreseen) if foreseen else "",
        since=_clock_time(runs.began_at, shop) if runs else "",
        stretches=(*_at_bench(shop, page), *_said_to_recorder(shop, page)),
        comes_to=sum_words(worth) if worth else "",
        may_charge=worth is not None and free and runs is None,
    )


def _at_bench(shop: Shop, page: ClockPage) -> list[StretchShown]:
    out = []
    for one in page.hours:
        day = f"{one.began_at.astimezone(ZoneInfo(shop.settings.zone)):%-d %B %Y}"
        if one.by_hand_s is not None:
            why = f": {one.why}" if one.why else ""
            sign = "more" if one.by_hand_s > 0 else "less"
            out.append(
                StretchShown(f"{span_words((abs(one.by_hand_s)) / 3600.0)} {sign}", f"by hand, {day}, {one.by}{why}")
            )
        elif one.ended_at is not None:
            long_s = round((one.ended_at - one.began_at).total_seconds())
            span = f"{_clock_time(one.began_at, shop)} to {_clock_time(one.ended_at, shop)}"
            said = ", said" if one.how == "said" else ""
            out.append(StretchShown(span_words(long_s / 3600.0), f"{span}, {one.by}{said}", long_s > LONG_S))
    return out


def _said_to_recorder(shop: Shop, page: ClockPage) -> list[StretchShown]:
    return [
        StretchShown(
            span_words((stretch.end_s - stretch.start_s) / 3600.0),
            f"in the look-over of {look_over.taken_at.astimezone(ZoneInfo(shop.settings.zone)):%-d %B %Y}, "
            f"{look_over.by}",
        )
        for look_over in page.look_overs
        for stretch in look_over.hours
    ]


def _hour_price(shop: Shop) -> Money:
    return Money(amount_minor=shop.settings.hour_price_minor, currency=shop.settings.currency)


def _moment(shop: Shop, now: datetime) -> datetime:
    """When a deed was done: for one that comes late from a tablet the time of then, never one to come."""
    return now if shop.done_at is None else min(shop.done_at, now)


def _clock_time(moment: datetime, shop: Shop) -> str:
    return f"{moment.astimezone(ZoneInfo(shop.settings.zone)):%-d %B, %H:%M}"
