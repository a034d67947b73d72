"""Numbers without a unit: what they are in, from what was said before and stands around them.

A decimal is taken in millimetres, an arc in degrees, a rate in seconds a day. A whole number is taken in the unit
spoken last only where it is said of the other end, train or weight of the same thing, or called a reading.

Never here: numbers with a unit (`spoken_units`); whether a size is an aim.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from underdial import spoken_numbers as numbers
from underdial.telling.measurements import rates
from underdial.telling.measurements.spoken_units import Amount, Bench
from underdial.telling.speech.words import Word

_SIGNED = re.compile(r"\b(?:minus|plus)$")
_OF_PIVOT_OR_HOLE = re.compile(r"\b(?:hole|pivot|front|back|bush|other|one) (?:is|'s)(?: about)?$")
_BEHIND_END_OR_HOLE = re.compile(
    r"\b(?:front|back|rear|upper|lower|top|bottom|left|right|entry|exit|other|hole|pivot|bush)"
    r"(?: (?:one|hole|pivot|end|side))*(?: (?:is|'s|of|at|plus|by|only|about|just|nearer|takes|the|in it))*$"
)
# A unit spoken so few sentences ago is still meant.
_SOON_COUNT = 2
# Sizes of two ends differ by less than this factor.
_ONE_ORDER = 3.0
_LEAVES = range(5, 21)
_COUNT_OF_TEETH = re.compile(r"\bcount(?:ed|ing|s)?\b.*\bteeth\b|\bteeth\b.*\bcount")
_LESS_ARC = re.compile(r"\b(?:hardly|barely|only|drops? to|down to|on edge|on its edge|stood up|upright)\b")
_LATER_BEFORE = re.compile(r"\b(?:(?:fell|falls|drops?|dropped|down|sinks?|dies) to|after \w+ (?:minutes?|hours?))$")
_LATER_BEHIND = re.compile(r"(?:after|in) (?:a while|an hour|\w+ (?:minutes?|hours?))\b")
_READING = re.compile(r"\b(?:rate|reads|reading)\b")
_BEHIND_TRAIN = re.compile(r"\b(?:strike|going|chime|time)(?: one| side| spring| train| weight)?$")
_BEFORE_TRAIN = re.compile(r"^(?:for |on |and )?(?:the )?(?:strike|going|chime)\b")
_BEHIND_END = re.compile(
    r"\b(?:about|say|maybe|nearer|only|just|front|back|exit|entry|upper|lower|left|right|other|one)$"
)
_BEHIND_OTHER_TRAIN = re.compile(r"\b(?:strike|going|chime|time|other)(?: one| side| spring| train)?$")
_CALLED = re.compile(r"\b(?:call it|i make it|make it|say|reads|measures)$")
_TRAIN_IS = re.compile(r"\b(?:strike|going|chime|one) (?:is|one is|one)$")
_OF_WINDING = re.compile(r"\b(?:turns?|warning|run|set up)\b")


@dataclass(frozen=True)
class _Unitless:
    """A number with no unit behind it, and what stands around it."""

    words: list[str]
    at: int
    spoken: numbers.Spoken
    bench: Bench
    index: int
    sentence: Sequence[Word]

    @property
    def value(self) -> float:
        return self.spoken.value

    @property
    def text(self) -> str:
        return " ".join(self.words)

    @property
    def before(self) -> str:
        return " ".join(self.words[max(0, self.at - 4) : self.at])

    @property
    def last_word(self) -> str:
        return self.words[self.at - 1] if self.at else ""

    @property
    def next_word(self) -> str:
        return "" if self.ends_sentence else self.words[self.spoken.end]

    @property
    def ends_sentence(self) -> bool:
        return self.spoken.end == len(self.words)

    @property
    def ends_statement(self) -> bool:
        return self.ends_sentence or bool(self.sentence[self.spoken.end - 1].stop)

    @property
    def is_of_a_day(self) -> bool:
        return self.words[self.spoken.end : self.spoken.end + 2] in (["a", "day"], ["per", "day"])

    @property
    def last_unit(self) -> str:
        return self.bench.last_unit or ""

    @property
    def since_unit(self) -> int:
        """How many sentences ago the last unit was spoken."""
        return self.index - self.bench.last_sentence

    @property
    def since_arc(self) -> int:
        return self.index - self.bench.arcs_spoken

    def amount(self, value: float, unit: str, *, more: int = 0) -> Amount:
        """This number in a unit, with so many words behind it."""
        return Amount(value, unit, self.at, self.spoken.end + more)

    def in_last_unit(self, *, more: int = 0) -> Amount:
        """This number in the unit spoken last: hundredths where those were."""
        factor = self.bench.last_factor
        return Amount(self.value * factor, self.last_unit, self.at, self.spoken.end + more, factor)


def unitless(
    words: list[str], at: int, spoken: numbers.Spoken, bench: Bench, index: int, sentence: Sequence[Word]
) -> Amount | None:
    """A number without a unit: a decimal in millimetres, a whole one in the unit last spoken when it is called."""
    one = _Unitless(words, at, spoken, bench, index, sentence)
    if _SIGNED.search(one.before) and rates.speaks_of_rate(one.text) and one.next_word not in ("degrees", "turns"):
        return one.amount(rates.signed(words, at, one.value), "s/d", more=2 * one.is_of_a_day)
    if not spoken.whole:
        return _broken(one)
    if one.next_word == "up" or one.value < 1 or words[at : spoken.end] == ["one"]:
        return None
    return _whole(one)


def _broken(one: _Unitless) -> Amount | None:
    """A decimal, or a half, a quarter, an eighth of what was spoken of."""
    unit = _unit_of_broken(one)
    return one.amount(one.value, unit) if unit is not None else None


def _unit_of_broken(one: _Unitless) -> str | None:
    said = one.words[one.at : one.spoken.end]
    if any(w in ("point", "comma") or re.fullmatch(r"\d*\.\d+", w) for w in said):
        return "uSv/h" if "microsievert" in one.text else "mm"
    if one.next_word in ("high", "thick", "wide", "across") and said[0] not in ("half", "quarter", "a"):
        return "mm"
    if any(w.startswith(("sixteenth", "eighth", "sixty", "thirty")) for w in said):
        return "lb" if one.last_unit == "lb" and one.since_unit <= _SOON_COUNT else "in"
    if _names_a_part(one):
        return None
    if _OF_WINDING.search(one.text) and (one.ends_statement or one.next_word == "turn"):
        return "turns"
    return one.last_unit if one.last_unit in ("turns", "lb", "in") and one.ends_statement else None


def _names_a_part(one: _Unitless) -> bool:
    """ "The bottom half", "the first quarter": no numbers."""
    first = one.words[one.at]
    return (
        first in ("half", "quarter")
        and one.last_word in ("and", "other", "your", "good", "the", "better", "bottom", "top", "front", "back")
    ) or (first == "quarter" and one.last_word in ("first", "second", "third", "fourth", "last", "next"))


def _whole(one: _Unitless) -> Amount | None:
    """The first that tells the unit: a unit, or None for that spoken last, and how many words behind belong to it."""
    tells: tuple[tuple[Callable[[_Unitless], bool], str | None, int], ...] = (
        (_is_of_other_hole, None, 0),
        (_is_of_other_end, None, 0),
        (_is_of_pinion, "leaves", 0),
        (_ends_count_of_teeth, "teeth", 0),
        (_is_lesser_arc, "deg", 0),
        (_is_arc_later, "deg", 0),
        (_is_rate_a_day, "s/d", 2),
        (_is_read_slow_or_fast, "s/d", 1),
        (_is_of_named_train, None, 0),
        (_is_further_weight, "g", 0),
        (_is_of_named_end, None, 0),
        (_is_height_or_width, None, 0),
        (_ends_with_train, None, 0),
        (_is_arc_of_balance, "deg", 0),
        (_is_right_behind_end, None, 0),
        (_is_count_of_teeth, "teeth", 1),
        (_is_even_weight, None, 1),
        (_is_called_a_reading, None, 0),
        (_is_what_train_is, None, 0),
    )
    for is_told, unit, more in tells:
        if is_told(one):
            if unit is None:
                return one.in_last_unit(more=more)
            return one.amount(_slow_is_negative(one) if unit == "s/d" else one.value, unit, more=more)
    return None


def _is_of_other_hole(one: _Unitless) -> bool:
    return (
        one.last_unit in ("thou", "mm", "in")
        and one.since_unit <= 2
        and one.ends_statement
        and (_OF_PIVOT_OR_HOLE.search(one.before) is not None or (one.words[0] == "so" and len(one.words) <= 3))
    )


def _is_of_other_end(one: _Unitless) -> bool:
    return (
        one.last_unit in ("thou", "mm")
        and one.since_unit <= 1
        and one.ends_statement
        and _BEHIND_END_OR_HOLE.search(one.before) is not None
        and 1.0 / _ONE_ORDER <= one.value / (one.bench.last_number or 1.0) <= _ONE_ORDER
    )


def _is_of_pinion(one: _Unitless) -> bool:
    return one.ends_statement and one.before.endswith("pinion of") and one.value in _LEAVES


def _ends_count_of_teeth(one: _Unitless) -> bool:
    return (
        _COUNT_OF_TEETH.search(one.bench.before) is not None
        and len(one.words) <= 3
        and one.value >= 8
        and one.ends_sentence
    )


def _is_lesser_arc(one: _Unitless) -> bool:
    return one.since_arc <= 1 and 20 <= one.value < 60 and _LESS_ARC.search(one.text) is not None


def _is_arc_later(one: _Unitless) -> bool:
    """ "Five degrees each side at the start, three after a while"."""
    return (
        one.last_unit == "deg"
        and one.since_unit <= 1
        and one.value < one.bench.last_number
        and (
            _LATER_BEFORE.search(one.before) is not None
            or _LATER_BEHIND.match(" ".join(one.words[one.spoken.end : one.spoken.end + 3])) is not None
        )
    )


def _is_rate_a_day(one: _Unitless) -> bool:
    return _SIGNED.search(one.before) is not None and one.is_of_a_day


def _is_read_slow_or_fast(one: _Unitless) -> bool:
    return one.next_word in ("slow", "fast") and _READING.search(one.before) is not None


def _is_of_named_train(one: _Unitless) -> bool:
    if one.last_unit not in ("turns", "lb", "kg") or one.since_unit > 2 or one.value >= 100:
        return False
    if _BEHIND_TRAIN.search(one.before) and one.ends_statement:
        return True
    behind = " ".join(one.words[one.spoken.end : one.spoken.end + 3])
    return _BEFORE_TRAIN.match(behind) is not None and len(one.words) <= 6


def _is_further_weight(one: _Unitless) -> bool:
    return one.last_unit == "g" and one.since_unit <= 3 and one.value >= 50


def _is_of_named_end(one: _Unitless) -> bool:
    return (
        len(one.words) <= 5
        and one.last_unit in ("thou", "mm", "in", "deg", "turns")
        and one.since_unit <= 1
        and one.ends_sentence
        and one.at > 0
        and one.words[0]
        in ("exit", "entry", "front", "back", "upper", "lower", "top", "bottom", "left", "right", "other", "the")
        and _BEHIND_END.search(one.before) is not None
    )


def _is_height_or_width(one: _Unitless) -> bool:
    return one.next_word in ("high", "wide", "thick") and one.last_unit in ("mm", "in") and one.value < 100


def _ends_with_train(one: _Unitless) -> bool:
    return (
        len(one.words) <= 8
        and one.last_unit in ("turns", "lb", "kg")
        and one.ends_sentence
        and one.at > 0
        and _BEHIND_OTHER_TRAIN.search(one.before) is not None
    )


def _is_arc_of_balance(one: _Unitless) -> bool:
    return one.since_arc <= 2 and 60 <= one.value <= 330


def _is_right_behind_end(one: _Unitless) -> bool:
    return (
        len(one.words) <= 5
        and one.last_word in ("front", "back", "bush", "upper", "lower", "other", "hole", "pivot")
        and one.last_unit in ("thou", "mm", "in")
        and one.ends_sentence
    )


def _is_count_of_teeth(one: _Unitless) -> bool:
    return one.next_word == "teeth" and one.value >= 8


def _is_even_weight(one: _Unitless) -> bool:
    return one.next_word == "even" and one.last_unit in ("lb", "kg")


def _is_called_a_reading(one: _Unitless) -> bool:
    return (
        _CALLED.search(one.before) is not None
        and one.last_unit in ("thou", "mm", "deg", "ms", "in")
        and (one.ends_statement or one.next_word in ("push", "bush", "and", "the", "front", "back"))
    )


def _is_what_train_is(one: _Unitless) -> bool:
    return _TRAIN_IS.search(one.before) is not None and one.last_unit in ("lb", "kg", "turns") and one.ends_statement


def _slow_is_negative(one: _Unitless) -> float:
    """ "Slow" or "fast" behind the number tells, else the "minus" before it."""
    slow = one.next_word == "slow" or (one.next_word != "fast" and one.before.endswith("minus"))
    return -one.value if slow else one.value
