"""The lines of a test that the complaint asks for: what the owner complained of is tried on the finished clock.

That a clock stops is tried by every test, which goes its hours without a stop; the rest has a line of its own
(docs/decisions/0105-a-line-for-each-complaint.md).

What a clock keeps a day is common practice of the trade, of clocks in good order at home: one with weights and a
pendulum a minute a week, one with a spring and a pendulum four minutes a week, one with a balance a minute a day. No
published figure stands behind these three.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from underdial.movement.as_made import Movement
from underdial.record.choice import Choice
from underdial.record.complaint import Complaint
from underdial.record.proof import PassLine

_DRIFT_WORDS = "rate near the end of the wind less freshly wound"
# Quantities that only a test reads, with their words: counts, and the drift of the rate.
ON_TEST: Mapping[str, str] = {
    "rate_drift": _DRIFT_WORDS,
    "hours_struck_by_hand": "hours struck right, of twelve let off by hand",
    "hours_struck_by_train": "hours struck right, of twelve let off by the train",
    "times_past_the_stop": "times it went past where it used to stop",
    "quarters_chimed": "quarters chimed right, of twelve hours",
    "alarm_went_off": "times the alarm went off as set, of two",
    "wound_fully": "times it was wound up fully without a slip, of two",
    "times_complained_of": "times it did again what was complained of",
}
# Where it used to stop -> how many times it has to go past there. Derived: in a day of the dial a time comes twice, a
# minute 24 times, and each of the twelve hours has its own warning; a wind has one end.
_TIMES_PAST = {
    "same_dial_time": (2, "it used to stop at one time of the dial"),
    "same_minute": (24, "it used to stop at one minute of the hour"),
    "before_hour": (12, "it used to stop before the hour"),
    "same_wind": (1, "it used to stop at one state of the wind"),
}
_WEEK_D, _MINUTE_S = 7.0, 60.0
_MOST_WORDS_COUNT = 60


@dataclass(frozen=True, slots=True)
class Kept:
    """What the rate of a day has to stay within, to each side, and what says so."""

    bound_s_per_day: float
    because: str


def lines_of_complaint(
    told: Complaint, *, movement: Movement | None, choice: Choice | None, cased: bool
) -> tuple[PassLine, ...]:
    """A line for each thing complained of that a test on the stand, or in the case, can try; the drift of the rate and
    the swing are left out where the choice has a line for them.
    """
    rate = kept_by(told, movement, choice)
    lines = [*_rates(told, rate, choice), *_strikes(told, cased)]
    if told.stops_at in _TIMES_PAST and (cased or told.stops_at != "same_wind"):
        least, because = _TIMES_PAST[told.stops_at]
        lines.append(_count("times_past_the_stop", least, None, because))
    if told.chimes:
        # Derived: four quarters in each of twelve hours.
        lines.append(_count("quarters_chimed", 48, 48, "its chime was complained of"))
    if told.alarm:
        lines.append(_count("alarm_went_off", 2, 2, "its alarm was complained of"))
    if told.winding:
        lines.append(_count("wound_fully", 2, 2, "its winding was complained of"))
    if _untried(told, choice):
        said = (told.words or "").strip()
        said = said if len(said) <= _MOST_WORDS_COUNT else f"{said[:_MOST_WORDS_COUNT].rstrip()}…"
        lines.append(_count("times_complained_of", 0, 0, f"“{said}”" if said else "it was complained of"))
    return tuple(lines)


def kept_by(told: Complaint, movement: Movement | None, choice: Choice | None) -> Kept:
    """What the rate of a day has to stay within: the wider of what the choice promises and of common practice, and no
    more than half of what was complained of.
    """
    found = _practice(movement)
    if choice is not None and choice.rate_low_s_per_day is not None and choice.rate_high_s_per_day is not None:
        promised = max(abs(choice.rate_low_s_per_day), abs(choice.rate_high_s_per_day))
        if promised > found.bound_s_per_day:
            found = Kept(promised, "as steady as the agreed choice promises")
    half = abs(told.rate_s_per_day) / 2.0 if told.rate_s_per_day else math.inf
    if half < found.bound_s_per_day:
        found = Kept(half, "half of what was complained of")
    return Kept(float(max(1, math.ceil(found.bound_s_per_day))), found.because)


def _practice(movement: Movement | None) -> Kept:
    """What is common practice for clocks made like this one."""
    if movement is None or movement.oscillator.kind != "pendulum":
        return Kept(_MINUTE_S, "a minute a day, common practice for a clock without a pendulum")
    if movement.power.kind == "weight":
        return Kept(_MINUTE_S / _WEEK_D, "a minute a week, common practice for weights and a pendulum")
    return Kept(4.0 * _MINUTE_S / _WEEK_D, "four minutes a week, common practice for a spring and a pendulum")


def _rates(told: Complaint, rate: Kept, choice: Choice | None) -> list[PassLine]:
    most, lines = rate.bound_s_per_day, []
    if told.rate_s_per_day is not None or told.rate_kind in ("gains", "loses") or told.hands_stand:
        lines.append(_rate("rate", "rate a day, + gains, once regulated", -most, most, rate.because))
    if told.rate_kind == "irregular":
        lines.append(_rate("rate_spread", "largest less smallest rate of its days", 0.0, 2.0 * most, rate.because))
    if told.rate_kind == "changes_over_wind" and (choice is None or choice.rate_low_s_per_day is None):
        lines.append(_rate("rate_drift", _DRIFT_WORDS, -most, most, rate.because))
    return lines


def _strikes(told: Complaint, cased: bool) -> list[PassLine]:
    if told.strikes is None:
        return []
    because = "its striking was complained of"
    by_train = _count("hours_struck_by_train", 12, 12, because)
    return [by_train] if cased else [_count("hours_struck_by_hand", 12, 12, because), by_train]


def _untried(told: Complaint, choice: Choice | None) -> bool:
    """Whether something was told that no reading of its own tries: then it is watched for."""
    swing_read = choice is not None and choice.half_arc_low_deg is not None
    watched = (
        told.noise,
        told.races,
        told.stops_in_cold,
        told.strikes in ("slow", "too_fast"),
        told.swing == "knocks",
        told.swing is not None and not swing_read,
    )
    answers = (
        told.runs_for_s,
        told.never_runs,
        told.runs_dial_up_for_s,
        told.rate_s_per_day,
        told.hands_stand,
        told.stops_at,
        told.rate_kind,
        told.strikes,
        told.swing,
        told.goes_only,
        told.winding,
        told.chimes,
        told.alarm,
    )
    return any(watched) or (bool((told.words or "").strip()) and not any(answers))


def _rate(quantity: str, words: str, low: float, high: float, because: str) -> PassLine:
    return PassLine(quantity=quantity, unit="s/d", low=low, high=high, words=words, because=because)


def _count(quantity: str, low: int, high: int | None, because: str) -> PassLine:
    return PassLine(
        quantity=quantity,
        low=float(low),
        high=None if high is None else float(high),
        words=ON_TEST[quantity],
        because=because,
    )
