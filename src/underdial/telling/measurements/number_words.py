"""Which words of a look-over are numbers, and what each is worth with the unit spoken behind it.

"Six thou", "a tenth", "sixty-two": any of them may be a size, a count, an hour of the day or a price. What it is, is
for the two readings to say (`measuring`, `second_numbers`).

Never here: whether a number was measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from underdial.telling.measurements import rates, spoken_units
from underdial.telling.speech.words import Word

# Eighths and smaller are those of an inch.
_OF_INCH = ("eighth", "sixteenth", "thirtysecond", "sixtyfourth")


@dataclass(frozen=True, slots=True)
class NumberWords:
    """Words `first` to `last` (of the whole look-over, the unit not among them): the number said, and with its unit.

    Without a unit `unit` is None and `value` is `spoken`.
    """

    first: int
    last: int
    sentence: int
    spoken: float
    value: float
    unit: str | None


def number_words(sentences: Sequence[Sequence[Word]], *, tenth_mm: float = 0.1) -> list[NumberWords]:
    """All numbers of a look-over in order; "one" alone is nearly always a pronoun and is left out."""
    found: list[NumberWords] = []
    begin = 0
    for index, sentence in enumerate(sentences):
        found += _of_sentence(sentence, index, begin, spoken_units.Bench(tenth_value=tenth_mm))
        begin += len(sentence)
    return found


def _of_sentence(sentence: Sequence[Word], index: int, begin: int, bench: spoken_units.Bench) -> list[NumberWords]:
    words = [word.text for word in sentence]
    found: list[NumberWords] = []
    at = 0
    while at < len(words):
        spoken = spoken_units.number_at(words, at, sentence)
        if spoken is None:
            one = spoken_units.article(words, at, bench, sentence)
            if one is not None:
                found.append(NumberWords(begin + at, begin + one.end - 1, index, 1.0, one.value, one.unit))
            at = one.end if one is not None else at + 1
            continue
        rate = rates.compound(words, at)
        if rate is not None:
            found.append(NumberWords(begin + at, begin + spoken.end - 1, index, spoken.value, rate[0], "s/d"))
            at = rate[1]
            continue
        unit = spoken_units.unit_behind(words, spoken.end, bench) or rates.with_sign_before(words, at, spoken.end)
        value, name, end = (
            spoken_units.with_lesser_unit(words, sentence, spoken.value * unit[1], unit)
            if unit
            else (spoken.value, None, spoken.end)
        )
        if name == "s/d":
            value = rates.signed(words, at, value)
        if name is None and any(word.startswith(_OF_INCH) for word in words[at : spoken.end]):
            name = "in"
        if name is not None or words[at : spoken.end] != ["one"]:
            found.append(NumberWords(begin + at, begin + spoken.end - 1, index, spoken.value, value, name))
        at = end
    return found
