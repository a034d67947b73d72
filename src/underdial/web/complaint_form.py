"""The form of what the owner says: the words it offers for each answer, and what of it was sent.

A field that the form does not have keeps what was told before; one that is sent empty is not told any more.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import Form, Request
from pydantic import BaseModel

from underdial import units
from underdial.errors import BadInput
from underdial.record.complaint import Complaint

_Word = Annotated[str, Form(max_length=200)]
# Field of the complaint -> its answers by the record's own words, and how an owner would say them.
PICKS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "stops_at": (
        ("same_dial_time", "at one time on the dial"),
        ("same_minute", "each hour at one minute"),
        ("before_hour", "just before the hour"),
        ("same_wind", "at the same state of wind"),
        ("irregular", "at any time"),
    ),
    "since": (
        ("moved", "it was moved"),
        ("repair", "a repair"),
        ("cleaned", "it was cleaned"),
        ("fall", "a fall"),
        ("wound", "it was wound"),
        ("owner_work", "the owner worked on it"),
    ),
    "rate_kind": (
        ("gains", "gains"),
        ("loses", "loses"),
        ("irregular", "now gains, now loses"),
        ("changes_over_wind", "changes as it runs down"),
    ),
    "winding": (("slips", "slips back"), ("will_not_wind", "cannot be wound")),
    "strikes": (
        ("wrong_count", "the wrong number"),
        ("one_hour_wrong", "wrong at one hour"),
        ("never", "never"),
        ("runs_on", "does not stop"),
        ("slow", "slowly"),
        ("too_fast", "too fast"),
    ),
    "chimes": (("out_of_order", "out of order"), ("never", "never"), ("runs_on", "does not stop")),
    "alarm": (("wrong_time", "at the wrong time"), ("never", "never")),
    "never_runs": (("yes", "never, not for a minute"), ("no", "it does go")),
    "goes_only": (
        ("tilted", "when it stands tilted"),
        ("dial_up", "lying dial up"),
        ("hands_off", "with its hands off"),
        ("more_weight", "with more weight"),
    ),
    "swing": (("too_small", "too small"), ("too_big", "too big"), ("knocks", "so big that it knocks")),
    "races": (("yes", "it races"), ("no", "it does not race")),
    "hands_stand": (("yes", "stand while it ticks"), ("no", "go with it")),
    "stops_in_cold": (("yes", "it stops"), ("no", "it makes no difference")),
}
# Kept apart on the page: seldom told, and asked when the repairer wonders.
SELDOM = ("never_runs", "runs_dial_up_for_s", "goes_only", "swing", "races", "hands_stand", "stops_in_cold", "noise")
SPANS = (("d", "days"), ("h", "hours"), ("min", "minutes"), ("s", "seconds"))
_YES_NO = {"yes": True, "no": False}
_YES_NO_FIELDS = frozenset(name for name, picks in PICKS.items() if picks[0][0] == "yes")


class OwnerSays(BaseModel):
    """The fields of the form as they are typed and picked."""

    words: Annotated[str, Form(max_length=4000)] = ""
    last_done: Annotated[str, Form(max_length=4000)] = ""
    runs_for: _Word = ""
    runs_for_unit: _Word = "h"
    runs_dial_up_for: _Word = ""
    runs_dial_up_for_unit: _Word = "h"
    rate_s_per_day: _Word = ""
    noise: _Word = ""
    stops_at: _Word = ""
    since: _Word = ""
    rate_kind: _Word = ""
    winding: _Word = ""
    strikes: _Word = ""
    chimes: _Word = ""
    alarm: _Word = ""
    never_runs: _Word = ""
    goes_only: _Word = ""
    swing: _Word = ""
    races: _Word = ""
    hands_stand: _Word = ""
    stops_in_cold: _Word = ""
    # The version of the visit that the page was made from.
    version: Annotated[int | None, Form(ge=1)] = None


async def fields_sent(request: Request) -> frozenset[str]:
    """The names of the fields that a form has, those left empty too."""
    return frozenset(await request.form())


def told_in_words(says: OwnerSays, sent: frozenset[str]) -> dict[str, Any]:
    """What the form changes in the complaint, all but its numbers; None where an answer was left open."""
    told: dict[str, Any] = {}
    for name in sent & {"words", "noise", *PICKS}:
        answer: str = getattr(says, name).strip()
        if name in _YES_NO_FIELDS and answer not in ("", *_YES_NO):
            raise BadInput(name, answer, ", ".join(_YES_NO))
        told[name] = (
            _YES_NO.get(answer, answer or None) if name in _YES_NO_FIELDS or name == "noise" else answer or None
        )
    return told


def seconds_in(unit: str) -> float:
    """Seconds in one of the units that a time to go is told in; BadInput for another."""
    if unit not in dict(SPANS):
        raise BadInput("unit", unit, ", ".join(name for name, _ in SPANS))
    return units.factor(unit)[1]


def answers_shown(complaint: Complaint) -> dict[str, str]:
    """Each field as the form shows it.

    A time to go is in the largest unit that gives it short and whole, so that nothing is lost when it is sent back.
    """
    out: dict[str, str] = {}
    for name in ("words", "noise", *PICKS):
        value = getattr(complaint, name)
        out[name] = {None: "", True: "yes", False: "no"}.get(value, value)
    out["rate_s_per_day"] = _plain(complaint.rate_s_per_day)
    for name in ("runs_for", "runs_dial_up_for"):
        out[name], out[f"{name}_unit"] = _span(getattr(complaint, f"{name}_s"))
    return out


def seldom_told(complaint: Complaint) -> int:
    """How many of the seldom told fields are told."""
    return sum(getattr(complaint, name) is not None for name in SELDOM)


def _span(time_s: float | None) -> tuple[str, str]:
    if time_s is None:
        return "", "h"
    for unit, _ in SPANS:
        number = time_s / seconds_in(unit)
        # Two days and more are said in days, two hours and more in hours; 90 minutes stay minutes.
        if number >= 2.0 and float(f"{number:g}") * seconds_in(unit) == time_s and len(f"{number:g}") <= 4:
            return f"{number:g}", unit
    return _plain(time_s), "s"


def _plain(number: float | None) -> str:
    """A number as short as it can be read back whole."""
    if number is None:
        return ""
    return f"{number:g}" if float(f"{number:g}") == number else repr(number)
