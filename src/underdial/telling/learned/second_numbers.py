"""The numbers of both readings brought together: which of them were measured on this clock, in what unit, on which
part.

What the grammar took for a measurement stays unless the learned reading is sure that it was none (the size of a dial in
its name, a target, where along something a fault sits). What the grammar passed over is added when the learned reading
is sure enough that it was measured: a number without a unit takes the likeliest, one with a unit keeps it.

Never here: the network; what a value means.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.telling.heard import Measurement
from underdial.telling.learned.sayings import NumberSaid
from underdial.telling.measurements import number_slips
from underdial.telling.measurements.number_words import NumberWords
from underdial.telling.speech.words import Word, raw_of, text_of
from underdial.trade.vocabulary import quantities

# Chosen on the look-overs held out of the teaching, where F1 of the numbers is highest.
KEEP_PROBABILITY, ADD_PROBABILITY = 0.25, 0.7
# A rate has a form of its own, so the grammar is seldom wrong; the owner's it knows from where it stands.
KEEP_RATE_PROBABILITY = 0.03
# What the grammar took for a wish, a question or a slip is added only when this sure.
ADD_AGAINST_PROBABILITY = 0.95
# The answer to "how many?" is a count.
ADD_ASKED_PROBABILITY = 0.45
# Part, wheel and quantity of the learned reading are taken for the grammar's from here on.
SURE_PROBABILITY = 0.6
_SAME_RATIO = 1e-6
# Of these a whole number from 20 on is no millimetres: "plug one fifty-two goes" is told in hundredths.
_SMALL, _LARGEST_MM = ("diameter", "hole_diameter", "side_shake", "end_shake", "thickness", "runout", "wear"), 20.0
# Sizes of one kind differ by less than this.
_ONE_ORDER = 6.0
_BEATS = {"hour": "/h", "minute": "/min"}
_COUNTED = ("teeth", "leaves", "strands", "swings", "count")
_PLAINEST = {
    **dict.fromkeys(("mm", "thou", "in", "um", "cm", "m", "ft"), "length"),
    **dict.fromkeys(("g", "kg", "lb", "oz", "cwt"), "mass"),
    **dict.fromkeys(("s/d", "min/d"), "rate"),
    **dict.fromkeys(("s", "min", "h", "d"), "duration"),
    "ms": "beat_error",
    "deg": "half_arc",
    "turns": "turns",
    "/h": "beat_rate",
    "/min": "beats_per_minute",
}
# A rate told without its sign is slow when one of these stands before it in the sentence.
_SLOW = re.compile(r"\b(?:minus|slow|los\w+|lost|behind|down|drops?)\b")


def measured_again(
    measurements: Sequence[Measurement],
    said: Sequence[NumberSaid],
    words: Sequence[Word],
    *,
    passed_over: frozenset[float | None] = frozenset(),
) -> list[Measurement]:
    """The measurements of a look-over after both readings, in the order they were said; `words` are those of the
    whole look-over.

    Numbers whose times are `passed_over` were wished for, asked or taken back, as the grammar has it.
    """
    kept: list[tuple[int, Measurement]] = []
    left = list(measurements)
    said = _without_slips(said, left, words)
    for one, before in zip(said, [None, *said], strict=False):
        own = next((measured for measured in left if _is_of(measured, one, words)), None)
        if own is not None:
            left.remove(own)
            if one.probability >= (KEEP_RATE_PROBABILITY if own.unit == "s/d" else KEEP_PROBABILITY):
                kept.append((one.words.first, _of_what(own, one, words)))
            continue
        one = _in_unit_of(before, one)
        if one.probability >= _least_to_add(one, words, passed_over):
            kept.append((one.words.first, _measured(one, words)))
    kept += [(_first_word(measured, said), measured) for measured in left]
    return [measured for _, measured in sorted(kept, key=lambda pair: pair[0])]


def _least_to_add(one: NumberSaid, words: Sequence[Word], passed_over: frozenset[float | None]) -> float:
    first = one.words.first
    if words[first].start_s in passed_over:
        return ADD_AGAINST_PROBABILITY
    asked = [word.text for word in words[max(0, first - 2) : first]] == ["how", "many"]
    return ADD_ASKED_PROBABILITY if asked else ADD_PROBABILITY


def _without_slips(said: Sequence[NumberSaid], left: list[Measurement], words: Sequence[Word]) -> list[NumberSaid]:
    """The numbers without those that were put right; what was measured by a slip is measured by what was meant, in
    `left` as well.
    """
    slips = number_slips.put_right(words, [one.words for one in said])
    if not slips:
        return list(said)
    kept = {one.words.first: one for one in said}
    for first, meant in slips.items():
        wrong, right = kept.pop(first), kept[meant.first]
        of_wrong = next((measured for measured in left if _is_of(measured, wrong, words)), None)
        of_right = next(
            (measured for measured in left if measured is not of_wrong and _is_of(measured, right, words)), None
        )
        if of_wrong is not None:
            left.remove(of_wrong)
        if of_wrong is None and of_right is None and max(wrong.probability, right.probability) < ADD_PROBABILITY:
            continue
        if of_right is None:
            base = of_wrong or _measured(wrong, words)
            value = -abs(meant.value) if base.value < 0 and wrong.words.value > 0 else meant.value
            left.append(
                replace(
                    base,
                    value=round(value, 6),
                    unit=meant.unit or base.unit,
                    start_s=words[meant.first].start_s,
                    sentence=meant.sentence,
                )
            )
        elif right.words.unit is None and meant.unit is not None:
            of_right.value, of_right.unit = round(meant.value, 6), meant.unit
            if of_wrong is not None:
                of_right.quantity, of_right.of = of_wrong.quantity, of_wrong.of
        kept[meant.first] = replace(right, words=meant, probability=1.0)
    return list(kept.values())


def _in_unit_of(before: NumberSaid | None, one: NumberSaid) -> NumberSaid:
    """ "Pivot sixty-three hundredths, hole seventy": a size without a unit is in that of the one before it, where
    both are small sizes of about one order.
    """
    if (
        before is None
        or one.words.unit is not None
        or before.words.unit is None
        or not (one.quantity in _SMALL and before.quantity in _SMALL)
    ):
        return one
    if (
        one.words.sentence - before.words.sentence > 1
        or not 1 / _ONE_ORDER <= one.words.spoken / (before.words.spoken or 1.0) <= _ONE_ORDER
    ):
        return one
    value = one.words.spoken * before.words.value / before.words.spoken
    return replace(one, words=replace(one.words, value=value, unit=before.words.unit))


def _is_of(measured: Measurement, one: NumberSaid, words: Sequence[Word]) -> bool:
    if measured.sentence != one.words.sentence:
        return False
    return measured.start_s == words[one.words.first].start_s or any(
        abs(abs(measured.value) - value) <= _SAME_RATIO * value for value in (one.words.value, one.words.spoken)
    )


def _first_word(measured: Measurement, said: Sequence[NumberSaid]) -> int:
    """Where a measurement stands that is no single number of the words: behind the numbers of the sentences before
    it.
    """
    return max((one.words.last for one in said if one.words.sentence < measured.sentence), default=-1)


def _of_what(measured: Measurement, one: NumberSaid, words: Sequence[Word]) -> Measurement:
    """The grammar's measurement with the part and the quantity that the learned reading is sure of, and a unit that
    nobody spoke.
    """
    if (
        one.words.unit is None
        and one.unit_probability >= SURE_PROBABILITY
        and measured.value == round(one.words.spoken, 6)
    ):
        value, measured.unit = _in_unit(one, words)
        measured.value = round(value, 6)
    if one.part_probability >= SURE_PROBABILITY and one.quantity_probability >= SURE_PROBABILITY:
        measured.quantity, measured.of = _quantity(one.quantity, measured.unit), _part_of(one)
    return measured


def _quantity(likeliest: str, unit: str) -> str:
    """The likeliest quantity where it is told in this unit, else the plainest one that is."""
    allowed = quantities()[likeliest].units or _COUNTED
    return likeliest if unit in allowed else _PLAINEST.get(unit, likeliest)


def _part_of(one: NumberSaid) -> str:
    return f"{one.component}:{one.of}" if one.of else one.component


def _measured(one: NumberSaid, words: Sequence[Word]) -> Measurement:
    number = one.words
    value, unit = (number.value, number.unit) if number.unit is not None else _in_unit(one, words)
    begin, end = _around(words, number, stops=",:.?")
    return Measurement(
        _quantity(one.quantity, unit),
        _part_of(one),
        round(value, 6),
        unit,
        words[number.first].start_s,
        raw_of(words[begin : end + 1]),
        sentence=number.sentence,
    )


def _in_unit(one: NumberSaid, words: Sequence[Word]) -> tuple[float, str]:
    """The value and the unit of a number without a unit: a rate with its sign, a width told in hundredths as
    millimetres.
    """
    value = one.words.spoken
    if one.unit == "mm" and one.quantity in _SMALL and value >= _LARGEST_MM and value == int(value):
        return value / 100.0, one.unit
    counted = _counted_in(words, one.words.last)
    if counted is not None:
        return value, counted
    said_before = words[_around(words, one.words, stops=".?")[0] : one.words.first]
    if one.unit == "s/d" and _SLOW.search(text_of(said_before)):
        return -abs(value), one.unit
    return value, one.unit


def _counted_in(words: Sequence[Word], last: int) -> str | None:
    """The unit of beats counted "an hour" or "a minute" behind the number."""
    behind = [word.text for word in words[last + 1 : last + 3]]
    return _BEATS.get(behind[1]) if len(behind) > 1 and behind[0] in ("a", "an", "per") else None


def _around(words: Sequence[Word], number: NumberWords, *, stops: str) -> tuple[int, int]:
    """First and last word of what is said around a number between two of these stops."""
    first, last = number.first, number.last
    while first and (words[first - 1].stop or " ") not in stops:
        first -= 1
    while last + 1 < len(words) and (words[last].stop or " ") not in stops:
        last += 1
    return first, last
