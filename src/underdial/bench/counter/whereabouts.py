"""Where a clock and its parts are, in words: what is away and with whom, who may collect it, when it went home, when it
was here before.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import partial
from zoneinfo import ZoneInfo

from underdial.bench.shop import ClockPage, Shop
from underdial.errors import RuleBroken
from underdial.papers.sentences import sum_words
from underdial.record.custody import CustodyLine, check_all_together, lent_to_clock
from underdial.record.hold import check_allowed
from underdial.record.people import who_may_collect
from underdial.record.visit import Visit

# What can be written of where a thing is, with the words to pick it by.
MOVES = (
    ("sent_out", "sent out"),
    ("with_owner", "with the owner"),
    ("on_order", "on order"),
    ("lent_by_shop", "the shop’s own, lent to the clock"),
    ("here", "here, in a tray or a drawer"),
)
_IS_BACK = {
    "sent_out": "It is back",
    "with_owner": "It is back",
    "on_order": "It has come",
    "lent_by_shop": "It is off the clock",
    "here": "It is on the clock again",
}
_HEADS = {
    "sent_out": "sent out to ",
    "with_owner": "with the owner: ",
    "on_order": "on order from ",
    "lent_by_shop": "the shop’s own, ",
}
_DAY = "%-d %B %Y"


@dataclass(frozen=True, slots=True)
class ThingShown:
    """A part, tray or order on a page: what it is, where it is in a sentence, and what its coming back is called; none
    once it is back.
    """

    id: str
    what: str
    where: str
    is_back: str | None


@dataclass(frozen=True, slots=True)
class EarlierVisit:
    """A visit before this one: its id, and in a sentence when it was and who collected the clock."""

    id: str
    words: str


def things_shown(shop: Shop, page: ClockPage) -> list[ThingShown]:
    """Each thing that is away or was, those that are away first."""
    today = shop.now().astimezone(ZoneInfo(shop.settings.zone)).date()
    ordered = sorted(page.custody, key=lambda line: line.back_at is not None)
    return [
        ThingShown(
            line.id, line.what, _upper(_where(line, today)), _IS_BACK.get(line.kind) if line.back_at is None else None
        )
        for line in ordered
    ]


def things_said(page: ClockPage) -> str:
    """Where things are, in one sentence."""
    if page.visit.stage == "gone":
        return went_home(page.visit, page)
    away = [line.what for line in page.custody if line.kind in ("sent_out", "with_owner") and line.back_at is None]
    return f"Not in the shop: {', '.join(away)}." if away else "All that came is in the shop."


def may_collect(page: ClockPage) -> list[tuple[str, str]]:
    """Ids and names of the people the clock may be given to."""
    return [(key, page.people[key].name) for key in who_may_collect(page.parts) if key in page.people]


def in_the_way(page: ClockPage) -> list[str]:
    """What stands in the way of giving the clock out, a sentence each: a hold, a part of the shop's on it, a part of it
    away.
    """
    lent = lent_to_clock(page.custody)
    own = [one for one in page.custody if one not in lent]
    checks = (
        partial(check_allowed, page.holds, deed="release"),
        partial(check_all_together, lent),
        partial(check_all_together, own),
    )
    found = []
    for check in checks:
        try:
            check()
        except RuleBroken as wrong:
            found.append(wrong.message)
    return found


def went_home(visit: Visit, page: ClockPage) -> str:
    """When a clock went home from a visit, and who collected it; that it has not gone while it is in the shop."""
    if visit.gone_at is None:
        return "It is in the shop."
    who = page.people.get(visit.collected_by or "")
    return f"Gone home {visit.gone_at:{_DAY}}" + (f", collected by {who.name}." if who else ".")


def earlier_visits(page: ClockPage) -> list[EarlierVisit]:
    """The visits before this one, the newest first; what was received by mistake was none."""
    before = [one for one in page.visits[: page.visits.index(page.visit)] if one.received_in_error is None]
    return [
        EarlierVisit(one.id, f"Received {one.received_at:{_DAY}}. {went_home(one, page)}") for one in reversed(before)
    ]


def _where(line: CustodyLine, today: date) -> str:
    if line.back_at is not None:
        checked = f"; checked by {line.checked_back_by}" + (f": {line.condition_back}" if line.condition_back else "")
        return f"{'came' if line.kind == 'on_order' else 'back'} {line.back_at:{_DAY}}{checked}."
    place = ", ".join(dict.fromkeys(one for one in (line.with_whom, line.where) if one))
    words = [f"{_HEADS.get(line.kind, '')}{place}, since {line.since:{_DAY}}"]
    if line.due:
        words.append(f"due {line.due.on:{_DAY}}" + (", and that day has passed" if line.due.on < today else ""))
    words += [line.note] if line.note else []
    words += [f"it went: {line.condition_going}"] if line.condition_going else []
    words += [f"insured for {sum_words(line.insured)}"] if line.insured else []
    return "; ".join(words).rstrip(".") + "."


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]
