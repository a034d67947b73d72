"""Numbers in words, as they are spoken at the bench or put into a field: `point one five`, `one eighty`, `thirteen and
a half`, `three sixteenths`.

A number is read from the words that begin at one place; what unit or thing it belongs to is for others to say.
`spoken` is the way back, for reading a value aloud.

Limits: up to 999 999, six places behind the point; ordinals (`third`) are no numbers here, only names of wheels
and of fractions.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

_ONES = {
    w: n
    for n, w in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
}
_TENS = {
    w: 10 * n
    for n, w in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], start=2)
}
_NOUGHT = {"nought": 0, "naught": 0, "oh": 0, "o": 0, "nil": 0, "zero": 0}
_DIGITS = {**{w: n for w, n in _ONES.items() if n < 10}, **_NOUGHT}
_PARTS = {
    "half": 2,
    "halves": 2,
    "quarter": 4,
    "quarters": 4,
    "third": 3,
    "thirds": 3,
    "fifth": 5,
    "fifths": 5,
    "eighth": 8,
    "eighths": 8,
    "sixteenth": 16,
    "sixteenths": 16,
    "thirtysecond": 32,
    "sixtyfourth": 64,
    "sixtyfourths": 64,
}
# "A half" and "one quarter"; a third and a fifth are wheels.
_HALVES = _PARTS.keys() - {"third", "fifth"}
_NUMERAL = re.compile(r"^(?:\d+/\d+|\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d*\.\d+|\d+)$")
_POINT = ("point", "decimal")
# "Point four one side": digits end before what is one of two.
_OF_TWO = ("side", "end", "way", "face")
# "Point four eight, seven hundredths": nor do they run into a number of these.
_SMALL_PARTS = ("tenth", "tenths", "hundredth", "hundredths")
# "The front one eighty-two hundredths": behind these "one" stands for a thing, when a number follows it.
_ONE_OF_THEM = frozenset(
    [
        "front",
        "back",
        "upper",
        "lower",
        "top",
        "bottom",
        "left",
        "right",
        "other",
        "new",
        "old",
        "good",
        "bad",
        "strike",
        "going",
        "time",
        "chime",
        "alarm",
        "big",
        "small",
        "entry",
        "exit",
        "inner",
        "outer",
    ]
)
# "A lead one eleven pounds", "the wrong one point three eight": behind an article so are these.
_ARTICLES = ("the", "a", "that", "this")
_KINDS_OF_ONE = frozenset(
    ["wrong", "right", "lead", "brass", "iron", "steel", "long", "short", "thin", "thick", "same"]
)
# With what a number begins, unless it is written in figures.
_FIRST = frozenset((*_ONES, *_TENS, *_NOUGHT, "a", "an", "half", "hundred", "quarter", *_POINT))
_NAMES = list(_ONES)
_TEN_NAMES = {n: w for w, n in _TENS.items()}


class Spoken(NamedTuple):
    """A number, the place behind its last word, and whether it was said as a whole number of things."""

    value: float
    end: int
    whole: bool


def read(words: Sequence[str], at: int) -> Spoken | None:
    """The longest number that begins at word `at`, or None. `a half` and `a hundred` begin with the article."""
    if at >= len(words) or not (words[at] in _FIRST or _NUMERAL.match(words[at])):
        return None
    part = fraction(words, at)
    if part is not None:
        return part
    base = _decimal(words, at)
    if base is None:
        return None
    tail = _and_fraction(words, base.end)
    if tail is not None:
        return Spoken(base.value + tail.value, tail.end, False)
    return base


def is_pronoun(words: Sequence[str], at: int, *, behind_stop: bool) -> bool:
    """Whether a "one" stands for a thing and not for a number: "the back one", "a lead one", with no stop between, and
    a number behind it. "Front one point six two" is one point six two.
    """
    if words[at] != "one" or at == 0 or behind_stop or at + 1 >= len(words):
        return False
    called = at > 1 and words[at - 2] in _ARTICLES
    of_them = words[at - 1] in _ONE_OF_THEM and (called or words[at + 1] not in _POINT)
    return (
        (of_them or (called and words[at - 1] in _KINDS_OF_ONE))
        and words[at + 1] not in ("hundred", "thousand", "and")
        and read(words, at + 1) is not None
    )


def spoken(value: float) -> str:
    """Words for a value, so that `read(spoken(x).split(), 0).value == x` to six places."""
    sign = "minus " if value < 0 else ""
    whole, _, places = f"{abs(value):.6f}".partition(".")
    places = places.rstrip("0")
    text = "nought" if places and int(whole) == 0 else _whole_words(int(whole))
    if places:
        text += " point " + " ".join("oh" if d == "0" else _NAMES[int(d)] for d in places)
    return sign + text


def _whole_words(n: int) -> str:
    if n < 20:
        return _NAMES[n]
    if n < 100:
        return _TEN_NAMES[n - n % 10] + (f" {_NAMES[n % 10]}" if n % 10 else "")
    if n < 1000:
        return f"{_NAMES[n // 100]} hundred" + (f" and {_whole_words(n % 100)}" if n % 100 else "")
    rest = n % 1000
    joined = f" and {_whole_words(rest)}" if 0 < rest < 100 else f" {_whole_words(rest)}" if rest else ""
    return f"{_whole_words(n // 1000)} thousand{joined}"


def _decimal(words: Sequence[str], at: int) -> Spoken | None:
    if _NUMERAL.match(words[at]):
        return _numeral(words, at)
    whole = _whole(words, at)
    start = whole.end if whole else at
    if whole is None and words[at] in _NOUGHT:
        whole, start = Spoken(0.0, at + 1, True), at + 1
    if start < len(words) and (
        words[start] in _POINT
        or (words[start] == "comma" and whole is not None and start + 1 < len(words) and words[start + 1] in _DIGITS)
    ):
        places = _places(words, start + 1)
        if places is not None:
            value = (whole.value if whole else 0.0) + float("0." + places[0])
            return Spoken(value, places[1], False)
    # A nought that no point follows is said of nothing that is measured ("oh, and the hands").
    return None if whole is not None and words[at] in ("oh", "o") else whole


def _numeral(words: Sequence[str], at: int) -> Spoken:
    text = words[at].replace(",", "")
    if "/" in text:
        above, below = text.split("/")
        return Spoken(int(above) / int(below) if int(below) else 0.0, at + 1, False)
    value = float(text)
    if at + 1 < len(words) and re.match(r"^\d+/\d+$", words[at + 1]):
        part = _numeral(words, at + 1)
        return Spoken(value + part.value, part.end, False)
    if at + 2 < len(words) and words[at + 1] == "point" and "." not in text:
        places = _places(words, at + 2)
        if places is not None:
            return Spoken(value + float("0." + places[0]), places[1], False)
    return Spoken(value, at + 1, "." not in text)


def _places(words: Sequence[str], at: int) -> tuple[str, int] | None:
    """Digits said one by one behind the point; `point fifteen` and `point 15` are taken as digits too."""
    digits = ""
    while at < len(words) and len(digits) < 6:
        word = words[at]
        following = words[at + 1] if at + 1 < len(words) else ""
        if digits and ((word == "one" and following in _OF_TWO) or (word in _DIGITS and following in _SMALL_PARTS)):
            break
        if word in _DIGITS:
            digits += str(_DIGITS[word])
        elif word.isdigit():
            digits += word
        elif not digits and word in _ONES:
            return str(_ONES[word]), at + 1
        elif not digits and word in _TENS:
            tens = _TENS[word]
            if following in _ONES and 0 < _ONES[following] < 10:
                return str(tens + _ONES[following]), at + 2
            return str(tens), at + 1
        else:
            break
        at += 1
    return (digits, at) if digits else None


def _below_hundred(words: Sequence[str], at: int) -> tuple[int, int] | None:
    if at >= len(words):
        return None
    word = words[at]
    if word in _TENS:
        following = words[at + 1] if at + 1 < len(words) else ""
        if following in _ONES and 0 < _ONES[following] < 10:
            return _TENS[word] + _ONES[following], at + 2
        return _TENS[word], at + 1
    if word in _ONES:
        return _ONES[word], at + 1
    return None


def _whole(words: Sequence[str], at: int) -> Spoken | None:
    if (
        words[at] == "hundred"
        and at + 1 < len(words)
        and words[at + 1] in ("degrees", "degree", "thou", "grams", "beats", "and")
        and (at == 0 or words[at - 1] not in _ONES)
    ):
        first, end = 1, at
    elif words[at] == "a" and at + 1 < len(words) and words[at + 1] in ("hundred", "thousand", "dozen"):
        first, end = 1, at + 1
    else:
        small = _below_hundred(words, at)
        if small is None:
            return None
        first, end = small
    following = words[end] if end < len(words) else ""
    if following == "dozen":
        return Spoken(12.0 * first, end + 1, True)
    # "one oh five": hundreds with a nought between.
    if (
        1 <= first <= 9
        and end == at + 1
        and following in ("oh", "nought", "zero")
        and end + 1 < len(words)
        and 0 < _ONES.get(words[end + 1], 0) < 10
    ):
        return Spoken(float(100 * first + _ONES[words[end + 1]]), end + 2, True)
    # "one eighty", "two seventy" and "one twelve": hundreds without the word.
    if 1 <= first <= 9 and end == at + 1 and (following in _TENS or _ONES.get(following, 0) >= 10):
        rest = _below_hundred(words, end)
        assert rest is not None
        return Spoken(float(100 * first + rest[0]), rest[1], True)
    # "Fourteen ninety-nine": thousands, as years are told; from seventeen on it would be one.
    if (
        11 <= first <= 16
        and end == at + 1
        and following in _TENS
        and end + 1 < len(words)
        and 0 < _ONES.get(words[end + 1], 0) < 10
    ):
        return Spoken(float(100 * first + _TENS[following] + _ONES[words[end + 1]]), end + 2, True)
    value, end = _hundreds(words, first, end)
    if end < len(words) and words[end] == "thousand":
        value, end = value * 1000, end + 1
        skip = end + 1 if end < len(words) and words[end] == "and" else end
        more = _below_hundred(words, skip) if not _fraction_ahead(words, skip) else None
        if more is not None:
            below, end = _hundreds(words, *more)
            value += below
    return Spoken(float(value), end, True)


def _hundreds(words: Sequence[str], first: int, end: int) -> tuple[int, int]:
    """`[four] hundred [and twelve]`: the value below a thousand and the place behind it."""
    if end >= len(words) or words[end] != "hundred" or (first >= 20 and first % 10 == 0):
        return first, end
    value, end = first * 100, end + 1
    skip = end + 1 if end < len(words) and words[end] == "and" else end
    more = _below_hundred(words, skip) if not _fraction_ahead(words, skip) else None
    return (value + more[0], more[1]) if more is not None else (value, end)


def _fraction_ahead(words: Sequence[str], at: int) -> bool:
    return at < len(words) and (
        words[at] in _PARTS or (at + 1 < len(words) and words[at + 1] in _PARTS and words[at] in ("a", "an"))
    )


def fraction(words: Sequence[str], at: int) -> Spoken | None:
    """`a half`, `half`, `three quarters`, `five sixteenths`; a bare `third` or `second` is the name of a wheel."""
    word = words[at]
    following = words[at + 1] if at + 1 < len(words) else ""
    if word == "half":
        # "Half as deep" is no size.
        return Spoken(0.5, at + 1, False) if following != "as" else None
    if (word in ("a", "an") or (word == "one" and not following.endswith("s"))) and following in _HALVES:
        return Spoken(1.0 / _PARTS[following], at + 2, False)
    if (
        word in ("a", "one")
        and following in ("sixty", "thirty")
        and at + 2 < len(words)
        and words[at + 2] in (("fourth", "fourths") if following == "sixty" else ("second", "seconds"))
    ):
        return Spoken(1 / 64 if following == "sixty" else 1 / 32, at + 3, False)
    if (
        word in _ONES
        and _ONES[word] > 1
        and following == "sixty"
        and at + 2 < len(words)
        and words[at + 2] == "fourths"
    ):
        return Spoken(_ONES[word] / 64, at + 3, False)
    if word == "thirty" and following in ("second", "seconds") and at + 2 < len(words) and words[at + 2] == "of":
        return Spoken(1 / 32, at + 2, False)
    if word == "quarter":
        return Spoken(0.25, at + 1, False)
    if word in _ONES and following in _PARTS and following not in ("half", "third", "fifth") and _ONES[word] > 0:
        return Spoken(_ONES[word] / _PARTS[following], at + 2, False)
    return None


def _and_fraction(words: Sequence[str], at: int) -> Spoken | None:
    if at + 1 < len(words) and words[at] == "and":
        part = fraction(words, at + 1)
        if part is not None and part.value < 1.0:
            return part
    return None
