"""Units as they are spoken behind a number: "six thou", "three pounds two", "a good millimetre", "a tenth".

What a "tenth" is depends on who speaks: it is a setting. An arc is in degrees, a rate in seconds a day (`rates`).

Never here: whether a number was measured; numbers without a unit (`unitless`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from underdial import spoken_numbers as numbers
from underdial.telling.measurements import rates
from underdial.telling.speech.words import Word

UNITS = {
    "millimetre": ("mm", 1.0),
    "millimetres": ("mm", 1.0),
    "mm": ("mm", 1.0),
    "mil": ("mm", 1.0),
    "mill": ("mm", 1.0),
    "thou": ("thou", 1.0),
    "thousandth": ("thou", 1.0),
    "thousandths": ("thou", 1.0),
    "hundredth": ("mm", 0.01),
    "hundredths": ("mm", 0.01),
    "micron": ("um", 1.0),
    "microns": ("um", 1.0),
    "inch": ("in", 1.0),
    "inches": ("in", 1.0),
    "centimetre": ("cm", 1.0),
    "centimetres": ("cm", 1.0),
    "metre": ("m", 1.0),
    "metres": ("m", 1.0),
    "foot": ("ft", 1.0),
    "degree": ("deg", 1.0),
    "degrees": ("deg", 1.0),
    "millisecond": ("ms", 1.0),
    "milliseconds": ("ms", 1.0),
    "ms": ("ms", 1.0),
    "pound": ("lb", 1.0),
    "pounds": ("lb", 1.0),
    "lb": ("lb", 1.0),
    "lbs": ("lb", 1.0),
    "ounce": ("oz", 1.0),
    "ounces": ("oz", 1.0),
    "gram": ("g", 1.0),
    "grams": ("g", 1.0),
    "gramme": ("g", 1.0),
    "grammes": ("g", 1.0),
    "g": ("g", 1.0),
    "kilo": ("kg", 1.0),
    "kilos": ("kg", 1.0),
    "kg": ("kg", 1.0),
    "kilogram": ("kg", 1.0),
    "kilograms": ("kg", 1.0),
    "hundredweight": ("cwt", 1.0),
    "cwt": ("cwt", 1.0),
    "turn": ("turns", 1.0),
    "turns": ("turns", 1.0),
    "strand": ("strands", 1.0),
    "strands": ("strands", 1.0),
    "swings": ("swings", 1.0),
    "megohm": ("MOhm", 1.0),
    "megohms": ("MOhm", 1.0),
    "seconds": ("s", 1.0),
    "second": ("s", 1.0),
    "minutes": ("min", 1.0),
    "minute": ("min", 1.0),
    "leaves": ("leaves", 1.0),
}
# Of a pound.
_OUNCES = 16.0
# A lesser unit said behind a greater one: how many of it make one, and with which words.
# "Three kilos sixty" may leave it out.
_LESSER = {
    "lb": (_OUNCES, ("ounce", "ounces", "oz")),
    "kg": (1000.0, ("gram", "grams", "gramme", "grammes", "g")),
    "mm": (100.0, ("hundredth", "hundredths")),
    "ft": (12.0, ("inch", "inches")),
}
# Without its word, "one millimetre thirty" and "two kilos nine hundred" are so many of the lesser unit from here on;
# "a kilo nine" is so many tenths.
_LEAST_OF_LESSER = {"lb": 1.0, "ft": 1.0, "kg": 40.0, "mm": 10.0}
# Parts of a degree behind "and".
_OF_DEGREE = {"tenth": 10.0, "tenths": 10.0, "minute": 60.0, "minutes": 60.0}
# With the article these are said in passing ("give it a turn") unless more follows.
_IN_PASSING = ("second", "minute", "foot", "pound", "mill", "strand", "inch", "turn", "degree", "g", "metre")
_FULL = ("good", "full", "whole", "bare", "clear")
# "A third" and "a fifth" are names of wheels unless they are said to be of something that is counted.
_OF_ONE = {"third": 3.0, "fifth": 5.0, "sixth": 6.0, "seventh": 7.0, "tenth": 10.0}
_KINDS = {
    "mm": "length",
    "thou": "length",
    "in": "length",
    "um": "length",
    "cm": "length",
    "m": "length",
    "ft": "length",
    "lb": "mass",
    "kg": "mass",
    "g": "mass",
    "oz": "mass",
    "cwt": "mass",
}


@dataclass(frozen=True)
class Amount:
    """A value in the unit that was spoken, and its words: from `start` to before `end`.

    `factor` is what the number was multiplied with: 0.01 of "hundredths".
    """

    value: float
    unit: str
    start: int
    end: int
    factor: float = 1.0


@dataclass
class Bench:
    """What numbers of one speaker mean: the size of a spoken tenth, and the unit last spoken with its factor.

    `passed_over` are the times of numbers that are none of this clock for certain: aims, what was corrected, what was
    asked.
    """

    tenth_value: float = 0.1
    tenth_unit: str = "mm"
    last_unit: str | None = None
    last_factor: float = 1.0
    last_number: float = 0.0
    last_sentence: int = -9
    before: str = ""
    arcs_spoken: int = -9
    oscillator: str = "pendulum"
    passed_over: list[float | None] = field(default_factory=list)

    def remember(self, one: Amount, index: int) -> None:
        """Note the size that was spoken last, in sentence `index`."""
        self.last_unit, self.last_factor, self.last_number = one.unit, one.factor, abs(one.value) / one.factor
        self.last_sentence = index


def of_one_kind(unit: str, other: str) -> bool:
    """Whether one may stand in place of the other: both lengths, both masses, or the same."""
    return _KINDS.get(unit, unit) == _KINDS.get(other, other)


def number_at(words: Sequence[str], at: int, sentence: Sequence[Word]) -> numbers.Spoken | None:
    """The number that begins at a word of a sentence; it ends where a stop is, and "the other one" is none."""
    end = next((stop + 1 for stop in range(at, len(words)) if sentence[stop].stop), len(words))
    within = words[:end]
    if numbers.is_pronoun(within, at, behind_stop=at > 0 and bool(sentence[at - 1].stop)):
        return None
    return numbers.read(within, at)


def article(words: list[str], at: int, bench: Bench, sentence: Sequence[Word]) -> Amount | None:
    """`a tenth`, `a good millimetre`, `an inch and a quarter`, `a fifth of a turn`, `a kilo nine`.

    Not `a turn` alone, in passing.
    """
    if words[at] in ("inch", "turn") and at + 3 < len(words) and words[at + 1] == "and":
        tail = numbers.read(["and", *words[at + 2 :]], 1)
        if tail is not None and tail.value < 1:
            return Amount(1 + tail.value, {"inch": "in", "turn": "turns"}[words[at]], at, at + 1 + tail.end)
    if words[at] not in ("a", "an") or at + 1 >= len(words):
        return None
    rate = rates.one_and_a_half(words, at)
    if rate is not None:
        return Amount(rate[0], "s/d", at, rate[1])
    if (
        words[at + 1] in _OF_ONE
        and words[at + 2 : at + 4] in (["of", "a"], ["of", "an"])
        and at + 4 < len(words)
        and words[at + 4] in UNITS
    ):
        name, factor = UNITS[words[at + 4]]
        return Amount(round(factor / _OF_ONE[words[at + 1]], 3), name, at, at + 5)
    full = words[at + 1] in _FULL and at + 2 < len(words) and words[at + 2] in UNITS
    unit = unit_behind(words, at + 2 if full else at + 1, bench)
    if unit is None:
        return None
    if unit[0] == "kg" and unit[2] < len(words):
        value, _, end = with_lesser_unit(words, sentence, 1.0, unit)
        if value != 1.0:
            return Amount(round(value, 6), unit[0], at, end)
    if unit[0] in ("lb", "kg") and unit[2] < len(words) and words[unit[2]] == "and":
        more = numbers.read(words, unit[2] + 1)
        size, called = _LESSER[unit[0]]
        if more is not None and more.whole and more.end < len(words) and words[more.end] in called:
            return Amount(1 + more.value / size, unit[0], at, more.end + 1)
    tail = numbers.read(["and", *words[unit[2] + 1 :]], 1) if unit[2] < len(words) and words[unit[2]] == "and" else None
    if tail is not None and tail.value < 1 and words[at + 1] not in ("second", "minute", "foot", "mill", "strand", "g"):
        return Amount(round((1 + tail.value) * unit[1], 6), unit[0], at, unit[2] + tail.end)
    return None if words[at + 2 if full else at + 1] in _IN_PASSING else Amount(unit[1], unit[0], at, unit[2])


def with_lesser_unit(
    words: Sequence[str], sentence: Sequence[Word], value: float, unit: tuple[str, float, int]
) -> tuple[float, str, int]:
    """Value, unit and the place behind it all, with the lesser unit or the part of one that follows.

    "Three pounds two", "two pound ten ounces", "three kilos sixty grams", "one millimetre thirty", "four turns and a
    half".
    """
    _, _, end = unit
    if end >= len(words):
        return value, unit[0], end
    more = _lesser_unit(words, sentence, unit) or _part_of_degree(words, unit) or _part_of_unit(words, unit)
    return (value, unit[0], end) if more is None else (value + more[0], unit[0], more[1])


def _lesser_unit(
    words: Sequence[str], sentence: Sequence[Word], unit: tuple[str, float, int]
) -> tuple[float, int] | None:
    """What a number in the lesser unit adds, in the greater one, and the place behind it."""
    name, factor, end = unit
    if name not in _LESSER or factor != 1.0 or sentence[end - 1].stop:
        return None
    joined = end + 1 if words[end] == "and" else end
    more = numbers.read(words, joined)
    if more is None or not more.whole:
        return None
    size, called = _LESSER[name]
    behind = words[more.end] if more.end < len(words) else ""
    if behind in called and more.value < size:
        return more.value / size, more.end + 1
    stands_alone = joined == end and behind not in UNITS and behind not in ("point", "to", "or")
    if name == "kg" and stands_alone and 2 <= more.value <= 9:
        return more.value / 10.0, more.end
    enough = _LEAST_OF_LESSER[name] <= more.value < size
    return (more.value / size, more.end) if stands_alone and enough else None


def _part_of_degree(words: Sequence[str], unit: tuple[str, float, int]) -> tuple[float, int] | None:
    """ "Two degrees and three tenths", "one degree and a tenth": what is added, and the place behind it."""
    name, _, end = unit
    if name != "deg" or words[end] != "and":
        return None
    part = numbers.read(words, end + 1)
    size = _OF_DEGREE.get(words[part.end], 0.0) if part is not None and part.whole and part.end < len(words) else 0.0
    if part is not None and 0 < part.value < size:
        return part.value / size, part.end + 1
    return (0.1, end + 3) if words[end + 1 : end + 3] == ["a", "tenth"] else None


def _part_of_unit(words: Sequence[str], unit: tuple[str, float, int]) -> tuple[float, int] | None:
    """ "And a half", "and three quarters": what is added, and the place behind it."""
    name, factor, end = unit
    tail = numbers.read(["and", *words[end + 1 :]], 1) if words[end] == "and" else None
    if tail is None or tail.value >= 1:
        return None
    certain = (
        name not in ("deg", "leaves")
        or (name == "deg" and words[end + 1 : end + 2] == ["half"])
        or words[end + 1 : end + 3] in (["a", "half"], ["a", "quarter"], ["three", "quarters"])
    )
    return (tail.value * factor, end + tail.end) if certain else None


def unit_behind(words: Sequence[str], at: int, bench: Bench) -> tuple[str, float, int] | None:
    """Unit name, factor and the place behind it, of the words that follow a number."""
    if at >= len(words):
        return None
    skip = _past_small_words(words, at)
    if words[skip] == "broken" and skip + 1 < len(words) and words[skip + 1] in ("strand", "strands"):
        return "strands", 1.0, skip + 2
    if words[at] == "of" and at + 2 < len(words) and words[at + 1] in ("an", "a") and words[at + 2] in UNITS:
        return (*UNITS[words[at + 2]], at + 3)
    return (
        rates.behind(words, skip)
        or _beats(words, skip)
        or _tenth(words, skip, bench)
        or _small_part(words, skip)
        or _part_of_turn(words, skip)
        or _arc(words, at)
        or _plain_unit(words, at, skip)
    )


def _past_small_words(words: Sequence[str], at: int) -> int:
    """Behind "a", "of" or "full" before a unit ("a quarter of millimetre", "five full turns")."""
    if at + 1 >= len(words):
        return at
    joins = words[at] in ("a", "an", "of", "whole", "odd") and words[at + 1] in UNITS
    return at + 1 if joins or words[at] == "full" else at


def _beats(words: Sequence[str], at: int) -> tuple[str, float, int] | None:
    said = " ".join(words[at : at + 4])
    hourly = re.match(r"^beats (?:an|per|every|(?:in|to) (?:an|the)) hour\b", said)
    if hourly is not None:
        return "/h", 1.0, at + len(hourly[0].split())
    return ("/min", 1.0, at + 3) if re.match(r"^(?:beats?|ticks?) (?:a|per) minute\b", said) else None


def _tenth(words: Sequence[str], at: int, bench: Bench) -> tuple[str, float, int] | None:
    """A tenth of an inch, of a millimetre, or of what this speaker takes it to be."""
    if words[at] not in ("tenth", "tenths"):
        return None
    if " ".join(words[at + 1 : at + 4]).startswith("of an inch"):
        return "in", 0.1, at + 4
    if words[at + 1 : at + 2] == ["of"]:
        return "mm", 0.1, min(len(words), at + 4)
    return bench.tenth_unit, bench.tenth_value, at + 1


def _small_part(words: Sequence[str], at: int) -> tuple[str, float, int] | None:
    """ "Thousandths of an inch", "hundredths of a millimetre"."""
    if words[at] not in ("thousandth", "thousandths", "hundredth", "hundredths") or words[at + 1 : at + 2] != ["of"]:
        return None
    hundredth = words[at].startswith("hund")
    whole = " ".join(words[at + 2 : at + 4])
    if whole == "an inch":
        return "in" if hundredth else "thou", 0.01 if hundredth else 1.0, at + 4
    return ("mm", 0.01 if hundredth else 0.001, at + 4) if whole == "a millimetre" else None


def _part_of_turn(words: Sequence[str], at: int) -> tuple[str, float, int] | None:
    if words[at] in ("half", "quarter") and words[at + 1 : at + 2] in (["turn"], ["turns"]):
        return "turns", {"half": 0.5, "quarter": 0.25}[words[at]], at + 2
    return None


def _arc(words: Sequence[str], at: int) -> tuple[str, float, int] | None:
    """ "Each way", "in all": degrees, unless things were counted."""
    said = " ".join(words[at : at + 2])
    if re.match(r"^(?:each|either) (?:way|side)\b", said):
        return "deg", 1.0, at + 2
    if re.match(r"^(?:in all|all told|in total|total|altogether|overall)\b", said) and not re.search(
        r"\b(?:count\w*|teeth|leaves|pins)\b", " ".join(words)
    ):
        return "deg", 1.0, at + 1
    return None


def _plain_unit(words: Sequence[str], at: int, skip: int) -> tuple[str, float, int] | None:
    """The unit of one word, where it is one: a clock has seconds, a foot and leaves too, and pounds are paid."""
    word = words[skip]
    following = words[skip + 1] if skip + 1 < len(words) else ""
    if (
        word not in UNITS
        or word in ("minute", "minutes", "second", "seconds")
        or (word == "foot" and _is_foot_of_a_case(words[at], following))
        or (word == "leaves" and following == "it")
        or (word in ("pound", "pounds") and re.search(r"\b(?:charg|cost|quid|worth|paid)\w*", " ".join(words)))
    ):
        return None
    return (*UNITS[word], skip + 1)


def _is_foot_of_a_case(first: str, following: str) -> bool:
    return following in ("of", "is", "'s", "has", "was", "and", "missing", "broken", "bent", "loose", "on") or (
        first == "foot" and following not in ("", "long", "high", "wide", "six", "from", "drop", "down", "up")
    )
