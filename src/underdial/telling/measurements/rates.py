"""Rates as they are spoken: "minus eleven minutes a day", "two minutes fast", "plus one minute forty", "thirty
seconds fast a day".

Slow is negative, in seconds a day. Without "a day" a time that is called fast or slow is a rate where the words speak
of one ("rate", "the timer says"); else it may be told by the church clock, and is for the learned reading to weigh.

Never here: whether a rate is good.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial import spoken_numbers as numbers

_SECONDS = {
    "second": 1.0,
    "seconds": 1.0,
    "sec": 1.0,
    "secs": 1.0,
    "minute": 60.0,
    "minutes": 60.0,
    "min": 60.0,
    "mins": 60.0,
}
_DAYS = {"day": 1.0, "week": 7.0, "hour": 1.0 / 24.0}
_SIGNED = {"fast": 1.0, "slow": -1.0, "late": -1.0, "behind": -1.0, "early": 1.0, "ahead": 1.0}
_TO_THE = {"good": 1.0, "bad": -1.0}
_PER = re.compile(
    r"(?:or so |about |roughly )?(?:a|an|per|the|every|in a|in the|on the|each|over a|in) (day|week|hour)\b"
)
_SLOW, _FAST = re.compile(r"(?:slow|los\w+|behind|down|late)$"), re.compile(r"(?:fast|gain\w*|ahead|wins?|early)$")
_SIGNS = ("minus", "plus")
_OF_RATE = re.compile(r"\b(?:rate|meter|timer|reads?|reading|timing|machine|trace|daily)\b")
# A sentence that only names what is read next.
_SHORT_COUNT = 6
# "One minute forty": seconds behind minutes, without their word from here on.
_LEAST_SECONDS = 5.0


def behind(words: Sequence[str], at: int) -> tuple[str, float, int] | None:
    """Unit, factor and the place behind it, where the words from `at` on make the number before them a rate."""
    size = _SECONDS.get(words[at]) if at < len(words) else None
    if size is None and at and words[at - 1] in ("half", "quarter"):
        # "Half an hour late", "a minute and a half a day": no half a second.
        return None
    sign, end = _sign_at(words, at if size is None else at + 1)
    per = _PER.match(" ".join(words[end : end + 5]))
    if per is not None:
        end += len(per[0].split())
        sign, end = (sign, end) if sign else _sign_at(words, end)
    if (not sign and (size is None or per is None)) or (size is None and per is None):
        return None
    return "s/d", (sign or _sign_of(words, at)) * (size or 1.0) / (_DAYS[per[1]] if per else 1.0), end


def _sign_at(words: Sequence[str], at: int) -> tuple[float, int]:
    """1 or -1 where the word at this place says fast or slow, else 0; and the place behind it."""
    if words[at : at + 2] == ["to", "the"]:
        sign = _TO_THE.get(words[at + 2], 0.0) if at + 2 < len(words) else 0.0
        return sign, at + 3 if sign else at
    sign = _SIGNED.get(words[at], 0.0) if at < len(words) else 0.0
    return sign, at + (sign != 0.0)


def _sign_of(words: Sequence[str], at: int) -> float:
    """Of the words that say slow or fast the last before the number, else the first behind it."""
    for near in (reversed(words[:at]), words[at:]):
        for word in near:
            if _SLOW.match(word):
                return -1.0
            if _FAST.match(word):
                return 1.0
    return 1.0


def one_and_a_half(words: Sequence[str], at: int) -> tuple[float, int] | None:
    """ "A minute and a half a day", from its article on: the rate and the place behind it."""
    if words[at + 2 : at + 5] != ["and", "a", "half"]:
        return None
    unit = behind([*words[: at + 2], *words[at + 5 :]], at + 1) if words[at + 1] in _SECONDS else None
    return (signed(words, at, 1.5 * unit[1]), unit[2] + 3) if unit is not None else None


def with_sign_before(words: Sequence[str], at: int, end: int) -> tuple[str, float, int] | None:
    """ "Minus twenty-two minutes": the same as `behind`, of the number of words `at` to `end`, where no day is
    named.
    """
    size = _SECONDS.get(words[end]) if end < len(words) else None
    return ("s/d", size, end + 1) if size is not None and at and words[at - 1] in _SIGNS else None


def signed(words: Sequence[str], at: int, value: float) -> float:
    """The rate that begins at word `at`, slow or fast as "minus" or "plus" before it says."""
    before = words[at - 1] if at else ""
    return -abs(value) if before == "minus" else abs(value) if before == "plus" else value


def told(words: Sequence[str], at: int, end: int) -> bool:
    """Whether the words say for certain that it is a rate: a day is named, or the reading."""
    return (
        any(word in _DAYS for word in words[at:end])
        or (at > 0 and words[at - 1] in _SIGNS)
        or speaks_of_rate(" ".join(words))
    )


def speaks_of_rate(text: str) -> bool:
    """Whether a rate, or what shows it, is named."""
    return _OF_RATE.search(text) is not None


def asked_for(before: str) -> bool:
    """ "Rate?", "What's the rate?": whether the sentence before asks for it."""
    return len(before.split()) <= _SHORT_COUNT and re.search(r"\brate\b", before) is not None


def compound(words: Sequence[str], at: int) -> tuple[float, int] | None:
    """ "One minute forty", "two minutes and twenty seconds a day": the rate that begins with the number at word
    `at`, and the place behind it.

    Without "a day" behind it "minus" or "plus" must stand before.
    """
    first = numbers.read(words, at)
    if first is None or first.end >= len(words) or _SECONDS.get(words[first.end]) != _SECONDS["minute"]:
        return None
    next_at = first.end + 1 + (words[first.end + 1 : first.end + 2] == ["and"])
    more = numbers.read(words, next_at)
    if more is None or not more.whole or not _LEAST_SECONDS <= more.value < _SECONDS["minute"]:
        return None
    end, value = more.end, 60.0 * first.value + more.value
    named = end < len(words) and _SECONDS.get(words[end]) == 1.0
    unit = behind(words if named else [*words[:end], "seconds", *words[end:]], end)
    if unit is not None:
        return signed(words, at, value * unit[1]), unit[2] - (not named)
    if at and words[at - 1] in _SIGNS:
        return signed(words, at, value), end + named
    return None
