"""What is wrong with a clock in the shop, worked out once for each state of its record; and the choices made from
it.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from underdial import __version__
from underdial.bench.causes.agreeing import offer_choices
from underdial.bench.causes.choice_titles import title, title_to_owner, told_apart
from underdial.bench.causes.teaching import learned_of, lesson_in_use, version_count_of
from underdial.bench.clock.case import case_from
from underdial.bench.clock.left_sizes import as_left_of
from underdial.bench.shop import ClockPage, Shop, clock_page
from underdial.errors import UnderdialError
from underdial.record.choice import Choice, PlannedWork, PriceBand
from underdial.record.lesson import Lesson
from underdial.record.money import Day
from underdial.record.price_parts import PricePart, price_parts
from underdial.store.worked_out import keep_answer, read_answer
from underdial.trade.faults import faults
from underdial.trade.phrases import clause
from underdial.trade.works import works as known_works

# A ceiling stands a fifth above the high end of the band. [common practice: the owner is rung at a fifth over]
_CEILING_RATIO = 1.2
# Weeks from yes to ready for each choice by its hours, with a fortnight on test. [common practice]
_TEST_DAYS, _DAYS_A_WORK = 14, 4
_ANSWER_DAYS = 28
# Goes up when an answer says more or other things of the same case, so that none of the old form is shown.
_FORM_OF_ANSWER = 3
# At most this many slips, each at least this much likelier to do what is wanted than the cheaper one before. [common
# practice: two to four]
_MOST_SLIPS, _WORTH_A_SLIP = 4, 0.03


def known_answer(shop: Shop, page: ClockPage) -> dict[str, Any] | None:
    """The answer for the record as it stands and the version of chances in use, when it has been worked out already."""
    return read_answer(shop.folder, _question_sha256(shop, page, lesson_in_use(shop)))


def work_out(shop: Shop, clock: str) -> dict[str, Any]:
    """Causes, next tests and choices for the record as it stands, from what was kept or anew; kept when anew."""
    page, lesson = clock_page(shop, clock), lesson_in_use(shop)
    asked = _question_sha256(shop, page, lesson)
    found = read_answer(shop.folder, asked)
    if found is None:
        from underdial.bench.causes.diagnose import diagnose

        found = diagnose(
            case_from(page),
            hour_price_minor=shop.settings.hour_price_minor,
            currency=shop.settings.currency,
            learned=learned_of(lesson),
            version_count=version_count_of(lesson),
        )
        keep_answer(shop.folder, asked, found)
    return found


def left_answer(shop: Shop, page: ClockPage) -> dict[str, Any] | None:
    """The answer with what the sizes left make of the clock, worked out when it is not known; None while no size was
    left, or where nothing can be reckoned.
    """
    if as_left_of(page) is None:
        return None
    try:
        return work_out(shop, page.clock.id)
    except UnderdialError:
        return None


def lay_out_choices(shop: Shop, clock: str, *, by: str = "repairer") -> tuple[Choice, ...]:
    """Make the choices of the answer into choices for the owner, priced, dated and kept; earlier unanswered ones are
    withdrawn.
    """
    answer = work_out(shop, clock)
    now = shop.now()
    today = now.astimezone(ZoneInfo(shop.settings.zone)).date()
    choices = told_apart([_choice(one, shop.settings.zone, today) for one in worth_offering(answer["choices"])])
    return offer_choices(shop, clock, [replace(one, computed_at=now) for one in choices], by=by)


def worth_offering(choices: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """At most four of the choices of an answer, by rising price: to leave it, and those that each gain enough over the
    one before.

    An owner can weigh three or four. The whole job, which leaves least of what was found, is among them, though it may
    gain nothing for the complaint where it alone takes in what the repairer wants put right.
    """
    leave, *rest = sorted(choices, key=lambda choice: choice["price_minor"][1])
    kept: list[Mapping[str, Any]] = [leave]
    for one in rest:
        if _reaches(one) >= _reaches(kept[-1]) + _WORTH_A_SLIP:
            kept.append(one)
    whole = min(rest, key=lambda one: len(_left(one)), default=leave)
    wanted = _wanted_left(whole) < min(_wanted_left(one) for one in kept)
    less_left = len(_left(whole)) < min(len(_left(one)) for one in kept)
    if not wanted and (not less_left or _reaches(whole) <= _reaches(leave)):
        return kept if len(kept) <= _MOST_SLIPS else [leave, *kept[1 : _MOST_SLIPS - 1], kept[-1]]
    few = kept if len(kept) < _MOST_SLIPS else [leave, *kept[1 : _MOST_SLIPS - 2], kept[-1]]
    return sorted([*few, whole], key=lambda choice: choice["price_minor"][1])


def _left(choice: Mapping[str, Any]) -> Sequence[str]:
    """What a choice leaves as it is, in words where the answer has them."""
    left: Sequence[str] = choice.get("unfixed_words", choice["unfixed"])
    return left


def _wanted_left(choice: Mapping[str, Any]) -> int:
    return int(choice.get("unfixed_wanted_count", 0))


def _reaches(choice: Mapping[str, Any]) -> float:
    gone = choice.get("complaint_gone_probability")
    runs = float(choice["runs_full_probability"])
    return runs if gone is None else min(runs, float(gone))


def _choice(told: Mapping[str, Any], zone: str, today: Any) -> Choice:
    low, likely, high = told["price_minor"]
    bands = [(one["hours_h"][0], one["hours_h"][1]) if one.get("hours_h") else (0.0, 0.0) for one in told["works"]]
    parts = price_parts((low, likely, high), told["currency"], bands) or (None,) * len(bands)
    works = tuple(_planned(f"{k}", *one) for k, one in enumerate(zip(told["works"], parts, strict=True), 1))
    price = PriceBand(
        low_minor=low,
        likely_minor=likely,
        high_minor=high,
        ceiling_minor=_rounded(high * _CEILING_RATIO),
        currency=told["currency"],
    )
    drift = told.get("rate_drift_s_per_day") or [None, None]
    swing = told.get("amplitude_deg") or [None, None, None]
    days = _TEST_DAYS + _DAYS_A_WORK * len(works) if works else 0
    return Choice(
        title=title(works),
        title_to_owner=title_to_owner(works),
        works=works,
        price=price,
        earliest=Day(on=today + timedelta(days=days), zone=zone) if works else None,
        latest=Day(on=today + timedelta(days=round(1.5 * days)), zone=zone) if works else None,
        runs_full_probability=told["runs_full_probability"],
        runs_full_u_probability=told.get("runs_full_u_probability"),
        complaint_gone_probability=told.get("complaint_gone_probability"),
        rate_low_s_per_day=drift[0],
        rate_high_s_per_day=drift[1],
        half_arc_low_deg=swing[0],
        half_arc_likely_deg=swing[1],
        half_arc_high_deg=swing[2],
        unfixed=tuple(_fault_words(str(one)) for one in _left(told)),
        irreversible=tuple(dict.fromkeys(work.irreversible for work in works if work.irreversible)),
        answer_until=Day(on=today + timedelta(days=_ANSWER_DAYS), zone=zone),
    )


def _planned(line: str, told: Mapping[str, Any], price: PricePart | None = None) -> PlannedWork:
    """One work of a choice with the findings it answers, and its part of the price; the answer names works by part,
    deed and words.
    """
    hours, known = told.get("hours_h"), known_works().get(str(told["work"]))
    return PlannedWork(
        line=line,
        work=_word(str(told["work"])),
        component=str(told["component"]),
        of=told.get("of"),
        place=told.get("place"),
        words=told.get("words"),
        findings=tuple(told.get("findings", ())),
        invasiveness_count=None if known is None else known.invasiveness,
        irreversible=told.get("irreversible"),
        hours_h=sum(hours) / len(hours) if hours else None,
        hours_low_h=hours[0] if hours else None,
        hours_high_h=hours[-1] if hours else None,
        price=price,
    )


def _word(work: str) -> str:
    """A remedy's id as a word of the record: `STR-09.clean_free_levers` as `str_09_clean_free_levers`."""
    return re.sub("[^a-z0-9]+", "_", work.lower()).strip("_")


def _fault_words(fault: str) -> str:
    """A fault as an owner may read it: `the movement carries old oil`; words that are no fault's id stay as
    they are.
    """
    known = faults().get(fault)
    if known is None:
        return fault
    said = clause(known.component, known.condition)
    return said[0].lower() + said[1:]


def _rounded(amount: float) -> int:
    """Up to the next five of the main unit."""
    return -(-round(amount) // 500) * 500


def _question_sha256(shop: Shop, page: ClockPage, lesson: Lesson | None) -> str:
    # Version numbers are one shop's own: the numbers themselves keep an answer apart when a folder gets another
    # database.
    version = (
        [version_count_of(lesson), {}, {}]
        if lesson is None
        else [version_count_of(lesson), dict(lesson.chances), dict(lesson.sizes)]
    )
    asked = [
        __version__,
        _FORM_OF_ANSWER,
        shop.settings.hour_price_minor,
        shop.settings.currency,
        version,
        case_from(page),
    ]
    return hashlib.sha256(json.dumps(asked, sort_keys=True, default=str).encode()).hexdigest()
