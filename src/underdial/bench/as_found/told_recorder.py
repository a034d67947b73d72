"""What was said to the recorder beside the look-over: what lies in which tray, and from when to when time was counted.

A tray said is a note until somebody says that it is so: which part was meant is only the one spoken of last before it.

Never here: how the words are heard, and what private and pause leave out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from underdial.bench.shop import ClockPage, Shop, job
from underdial.errors import BadInput
from underdial.papers.sentences import clock_words
from underdial.record.custody import CustodyLine
from underdial.record.look_over import LookOver, Stretch, Tray
from underdial.telling.heard import Account, Order
from underdial.trade.phrases import part_words


@dataclass(frozen=True, slots=True)
class TraySaid:
    """A tray on a page: its name, when it was said, what is taken to lie in it, and whether that is written."""

    name: str
    time: str
    what: str
    written: bool


def trays_of(account: Account) -> tuple[Tray, ...]:
    """The trays of a look-over, each with the part spoken of last before it."""
    return tuple(_tray(account, one) for one in account.orders if one.order == "tray" and one.value)


def hours_of(account: Account) -> tuple[tuple[Stretch, ...], tuple[str, ...]]:
    """From when to when time was counted, and a sentence on what could not be counted."""
    counted: list[Stretch] = []
    since: Order | None = None
    amiss: list[str] = []
    for one in account.orders:
        if one.order == "hours_start" and since is None:
            since = one
        elif one.order == "hours_stop" and since is not None:
            if since.start_s is None or one.start_s is None:
                amiss.append("Hours were said in words that have no times; none were counted.")
            else:
                counted.append(Stretch(start_s=since.start_s, end_s=max(since.start_s, one.start_s)))
            since = None
    if since is not None:
        at = f" at {clock_words(since.start_s)}" if since.start_s is not None else ""
        amiss.append(f"“Hours start” was said{at} and “hours stop” never after; that stretch was not counted.")
    return tuple(counted), tuple(dict.fromkeys(amiss))


def hours_words(look_over: LookOver) -> str:
    """How long time was counted in a look-over: `hours 12 minutes, from 0:10 to 12:10`; empty when it was not."""
    if not look_over.hours:
        return ""
    minutes = round(sum(one.end_s - one.start_s for one in look_over.hours) / 60.0)
    spans = ", ".join(f"from {clock_words(one.start_s)} to {clock_words(one.end_s)}" for one in look_over.hours)
    long = (
        f"{minutes // 60} h {minutes % 60:02d} min"
        if minutes >= 60
        else f"{minutes} min"
        if minutes
        else "under a minute"
    )
    return f"hours: {long}, {spans}"


def trays_said(page: ClockPage) -> list[TraySaid]:
    """Every tray that was said of a clock at this visit, as it was said."""
    there = {(one.where.casefold(), one.what.casefold()) for one in page.custody}
    in_trays = {where for where, _ in there}
    said = []
    for one in (tray for look_over in page.look_overs for tray in look_over.trays):
        what = part_words(one.component, one.of) if one.component else ""
        where = f"tray {one.name}"
        written = (where, what) in there if what else where in in_trays
        said.append(TraySaid(where, clock_words(one.start_s), what, written))
    return said


def write_trays(shop: Shop, clock: str, rows: Iterable[tuple[str, str]], *, by: str = "repairer") -> int:
    """Write what lies in which tray, all of it or nothing; a row in which nothing is named is left out. How many were
    written. BadInput when none names anything.
    """
    named = [(tray.strip(), what.strip()) for tray, what in rows if tray.strip() and what.strip()]
    if not named:
        raise BadInput("what", "nothing", "what lies in the tray", "what: nothing is named; say what lies in the tray.")
    with job(shop, clock, by=by) as at:
        for tray, what in named:
            at.add(
                CustodyLine(what=what, kind="here", where=tray, since=at.writer.at, visit_id=at.visit_id, sent_by=by)
            )
    return len(named)


def _tray(account: Account, order: Order) -> Tray:
    spoken = [one for one in account.findings if one.start_s is not None]
    before = [one for one in spoken if order.start_s is not None and (one.start_s or 0.0) <= order.start_s]
    last = max(before, key=lambda one: one.start_s or 0.0, default=None)
    return Tray(
        name=order.value or "",
        start_s=order.start_s,
        component=last.component if last else None,
        of=last.of if last else None,
    )
