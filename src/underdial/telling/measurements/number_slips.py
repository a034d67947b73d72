"""Numbers put right by the one that follows: "two milliseconds.

No, I beg your pardon, twelve", "sixty-four teeth, I counted again, sixty-six".

Two numbers in turn, with a word between them that takes the first back and nothing that names another thing: the second
is meant, in its own unit or, when it has none, in that of the first.

Never here: whether a number was measured.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from underdial.telling.measurements import spoken_units
from underdial.telling.measurements.number_words import NumberWords
from underdial.telling.speech.words import Word, text_of

# A slip is put right soon.
_MOST_WORDS_BETWEEN = 14
_TAKES_BACK = re.compile(
    r"\b(?:sorry|pardon|forgive me|tell a lie|scratch that|correction|misread|miscounted|misheard|i should say"
    r"|should i say|(?:look|looked|count|counted|read|measure|measured|check|checked) (?:it |that |them )?again|"
    r"(?:read|reading|had|got) (?:it|that|the scale) (?:wrong|right|upside down)|(?:reading it )?from the wrong"
    r"|the wrong (?:end|line|jaw|jaws|range|way|scale|side)|too quick|my mistake|make that)\b"
)
# A bare "no" takes back only right before the number, or before words that go with it.
_NO = re.compile(
    r"\bno(?: (?:no|wait|hang on|hold on|it is|that is|call it|make it|i make it|say|closer to|nearer|nearer to|about"
    r"|more like|rather))*$"
)
_OTHER_THING = re.compile(
    r"\b(?:front|back|entry|exit|upper|lower|top|bottom|left|right|strike|going|chime|alarm|other|hole|pivot|wide"
    r"|high|thick|long|deep|wheel|the \w+ one)\b"
)


# "Four turns and a bit, four and a quarter": the bit is told.
_AND_A_BIT = re.compile(r"(?:\w+ )?and (?:a bit|some)\b")
_SLOW, _FAST = (
    re.compile(r"\b(?:slow|losing|loses|lost|behind)\b"),
    re.compile(r"\b(?:fast|gaining|gains|gained|ahead)\b"),
)


def put_right(words: Sequence[Word], numbers: Sequence[NumberWords]) -> Mapping[int, NumberWords]:
    """First word of each number that was a slip, to the number that was meant, in the unit of the slip where it has
    none of its own.
    """
    found: dict[int, NumberWords] = {}
    for slip, meant in pairwise(numbers):
        between = words[slip.last + 1 : meant.first]
        text = text_of(between)
        if (
            not 0 < len(between) <= _MOST_WORDS_BETWEEN
            or _OTHER_THING.search(text)
            or not (_TAKES_BACK.search(text) or _NO.search(text) or _tells_the_bit(slip, meant, text))
        ):
            continue
        right = _in_unit_of(slip, meant, text)
        if right is not None and (right.value, right.unit) != (slip.value, slip.unit):
            found[slip.first] = right
    return found


def _in_unit_of(slip: NumberWords, meant: NumberWords, between: str) -> NumberWords | None:
    """What was meant, in the unit of the slip where it has none; None where the units are of different kinds."""
    if meant.unit is None and slip.unit is not None and slip.spoken:
        value = meant.spoken * slip.value / slip.spoken
        return replace(meant, value=_signed(value, between) if slip.unit == "s/d" else value, unit=slip.unit)
    if meant.unit is None or slip.unit is None or spoken_units.of_one_kind(meant.unit, slip.unit):
        return meant
    return None


def _tells_the_bit(slip: NumberWords, meant: NumberWords, between: str) -> bool:
    return _AND_A_BIT.match(between) is not None and slip.spoken < meant.spoken < slip.spoken + 1


def _signed(rate: float, between: str) -> float:
    """A rate as the words between call it, slow or fast."""
    return -abs(rate) if _SLOW.search(between) else abs(rate) if _FAST.search(between) else rate
