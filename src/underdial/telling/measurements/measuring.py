"""Numbers with their units to measurements: what was read, counted or estimated on this clock.

The unit is the one spoken (`spoken_units`), or told by what was said before (`unitless`). What a size ought to be,
dates, prices, hours of the day and counts of faulty parts are no measurements.

Never here: the owner's figures; what a value means.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from underdial import spoken_numbers as numbers
from underdial.telling.heard import Measurement
from underdial.telling.measurements import rates
from underdial.telling.measurements.quantities import quantity_of
from underdial.telling.measurements.spoken_units import (
    UNITS,
    Amount,
    Bench,
    article,
    number_at,
    unit_behind,
    with_lesser_unit,
)
from underdial.telling.measurements.unitless import unitless
from underdial.telling.parts_meant.focus import Target
from underdial.telling.speech import turns
from underdial.telling.speech.words import Word, listed

# "A tenth?" asks; the answer is what was measured.
_SHORT_QUESTION_COUNT = 4
_ARC_TALK = re.compile(
    r"\b(?:each way|each side|swing|amplitude|arc|dial up|dial down|in all|all told|total|altogether|degrees?)\b"
)
_POSITIONS = re.compile(r"\b(dial up|dial down|twelve up|three up|six up|nine up|upright|on its back)\b")
_GIVES_ARC = re.compile(r"\b(?:each way|each side|in all|dial up|dial down|twelve up|swing|amplitude)\b")
_WISH = re.compile(r"\blike to see\b")
_MONEY = re.compile(r"\b(?:cost|costs|charge|charged|quote|price|quid|invoice|bill)\b")
# What stands between the numbers of a count said aloud.
_COUNTING = listed("and er um so that is it makes there we are i count turns turn yes right counting call about nearly")
_ORDINALS = ("first", "second", "third", "fourth", "last", "next")
# Behind a number: an hour, a date, a price, a position, a while.
_NO_SIZE = listed("""oclock up ago years year hours hour days day weeks week months quid bucks dollars euros percent ies
times time hundred""")
_WORK_TO_DO = re.compile(
    r"\b(?:bend|move|close|open|lift|ease|shift|raise|lower|file|shorten|turn|take|set|bring|back)"
    r" (?:it|them|that|those|off)\b"
)
_AIM_BEFORE = re.compile(
    r"\b(?:"
    + "|".join(
        (
            "would not hang|over somebody|ought to|should|wants?|needs?|supposed|meant|nearer|looking for",
            "like to see|be happy|i would want|instead of|rather than|must have|requires?|required|minimum|at least",
            "(?:a|any) (?:healthy|good|decent|fresh|new) one|i (?:would )?(?:like|prefer|fit)|i would go",
            "clean up (?:to|at)|(?:can|could) be (?:shifted|moved)",
        )
    )
    + r")\b(?!.*\bi (?:make|get|measure))"
)
_AIM_BEHIND = re.compile(
    r"\b(?:is what it (?:should|ought)|is what i would (?:like|want)|(?<!today )(?<!now )at least|from the \w+ end)\b"
    r"|^\S+(?: \S+){0,2}"
    r" (?:(?:will|would) do|(?:is|would be) (?:usual|normal|healthy|what (?:it|i) (?:should|would))|wanted)\b"
)
_TAKES_BACK = re.compile(r"\b(?:no|sorry|call it|i make it|make that|say|rather|so)\b")
_OF_ANOTHER = re.compile(r"\b(?:strike|front|back|one is|top|bottom|upper|lower|entry|exit|other|end|left|right)\b")


def read(
    sentence: Sequence[Word], index: int, near: Target | None, named: Sequence[tuple[int, Target]], bench: Bench
) -> list[Measurement]:
    """All measurements of one sentence. `near` is the part in focus, `named` the parts of the sentence by place."""
    words = [word.text for word in sentence]
    text = " ".join(words)
    if _ARC_TALK.search(text):
        bench.arcs_spoken = index
    found: list[Measurement] = []
    every = _amounts(words, sentence, bench, index)
    asks = bool(sentence) and sentence[-1].stop == "?" and len(words) <= _SHORT_QUESTION_COUNT
    held = [] if asks else _without_corrected(every, words)
    bench.passed_over += [sentence[one.start].start_s for one in every if one not in held]
    bench.before = text
    for one in held:
        clause = _clause_around(one, words, sentence)
        quantity, of = quantity_of(one, clause, text, _measured_part(one, near, named), oscillator=bench.oscillator)
        bench.remember(one, index)
        found.append(
            Measurement(
                quantity, of, round(one.value, 6), one.unit, sentence[one.start].start_s, clause, _position(text), index
            )
        )
    return found


def speaks_of_arc(sentence: Sequence[Word]) -> bool:
    """Whether a sentence gives the arc of the swing."""
    words = [word.text for word in sentence]
    return _GIVES_ARC.search(" ".join(words)) is not None and any(numbers.read(words, at) for at in range(len(words)))


def _amounts(words: list[str], sentence: Sequence[Word], bench: Bench, index: int) -> list[Amount]:
    """All numbers of a sentence that give a size, with their units."""
    counted = _counted_out(words)
    if counted is not None:
        return [Amount(counted, "turns", 0, len(words))]
    text = " ".join(words)
    if _WISH.search(text) or _MONEY.search(text):
        return []
    found: list[Amount] = []
    at = 0
    while at < len(words):
        spoken = number_at(words, at, sentence)
        if spoken is not None:
            amounts, at = _of_number(words, at, spoken, bench, index, sentence)
            found += amounts
            continue
        one = article(words, at, bench, sentence)
        if one is not None and not _is_aim(words, sentence, at):
            found.append(one)
        at = one.end if one is not None else at + 1
    return found


def _counted_out(words: list[str]) -> float | None:
    """ "One, two, three, four, five and a half": the last of a count said aloud, with nothing told between."""
    values: list[float] = []
    at = 0
    while at < len(words):
        spoken = numbers.read(words, at)
        if spoken is None and values and words[at] not in _COUNTING:
            return None
        if spoken is not None:
            values.append(spoken.value)
        at = spoken.end if spoken is not None else at + 1
    rising = (
        len(values) >= 4
        and values[:3] == [1.0, 2.0, 3.0]
        and all(b - a <= 1.5 for a, b in pairwise(values))
        and values == sorted(values)
    )
    return values[-1] if rising else None


def _of_number(
    words: list[str], at: int, spoken: numbers.Spoken, bench: Bench, index: int, sentence: Sequence[Word]
) -> tuple[list[Amount], int]:
    """What the number at word `at` gives: a size, both ends of a range, or nothing; and the place behind it."""
    if _is_clock_word(words, at, spoken):
        return [], spoken.end
    both = _range(words, at, spoken, bench)
    if both:
        return both, both[-1].end
    rate = rates.compound(words, at)
    if rate is not None:
        return ([] if _is_aim(words, sentence, at) else [Amount(rate[0], "s/d", at, rate[1])]), rate[1]
    unit = unit_behind(words, spoken.end, bench) or rates.with_sign_before(words, at, spoken.end)
    if unit is None:
        one = unitless(words, at, spoken, bench, index, sentence)
        if one is None:
            return [], spoken.end
    else:
        value, name, end = with_lesser_unit(words, sentence, spoken.value * unit[1], unit)
        one = Amount(rates.signed(words, at, value) if name == "s/d" else value, name, at, end, abs(unit[1]))
        if _is_no_size(words, spoken, one, bench):
            return [], end
    behind = max(spoken.end, one.end)
    if _is_aim(words, sentence, at):
        bench.passed_over.append(sentence[at].start_s)
        return [], behind
    bench.remember(one, index)
    return [one], behind


def _is_clock_word(words: list[str], at: int, spoken: numbers.Spoken) -> bool:
    """Hours of the day, dates, prices, positions, numbers of jobs and years."""
    following = words[spoken.end] if spoken.end < len(words) else ""
    before = words[at - 1] if at else ""
    if following in _NO_SIZE or (following == "at" and spoken.whole):
        return True
    if (
        before in ("job", "number", "by", "since", "from")
        and following not in UNITS
        and following not in ("high", "wide", "thick", "long", "deep")
        and spoken.whole
    ):
        return True
    if spoken.whole and 1600 <= spoken.value <= 2100 and following not in UNITS:
        return True
    return (
        spoken.whole
        and words[at] in ("eighteen", "nineteen", "twenty", "seventeen")
        and spoken.end < len(words)
        and numbers.read(words, spoken.end) is not None
    )


def _range(words: list[str], at: int, spoken: numbers.Spoken, bench: Bench) -> list[Amount]:
    """`four to five thou` gives both ends; `two or three days` is no measurement for want of a unit."""
    if spoken.end >= len(words):
        return []
    close = numbers.read(words, spoken.end)
    if (
        close is not None
        and spoken.whole
        and close.whole
        and spoken.value < close.value <= 1.5 * spoken.value
        and spoken.value >= 3
        and not (words[at : spoken.end] != [words[at]] and close.value < 10)
    ):
        unit = unit_behind(words, close.end, bench)
        return (
            [
                Amount(spoken.value * unit[1], unit[0], at, close.end),
                Amount(close.value * unit[1], unit[0], at, unit[2]),
            ]
            if unit
            else []
        )
    if words[spoken.end] not in ("to", "or", "and"):
        return []
    second = numbers.read(words, spoken.end + 1)
    if (
        second is None
        or second.value <= spoken.value
        or (words[spoken.end] == "and" and (at == 0 or words[at - 1] != "between"))
    ):
        return []
    unit = unit_behind(words, second.end, bench)
    if unit is None:
        return []
    return [
        Amount(spoken.value * unit[1], unit[0], at, second.end),
        Amount(second.value * unit[1], unit[0], at, unit[2]),
    ]


def _is_no_size(words: list[str], spoken: numbers.Spoken, one: Amount, bench: Bench) -> bool:
    """ "Every two turns", "it leaves", a time told by the church clock: with a unit, and still no size."""
    before = words[one.start - 1] if one.start else ""
    if one.unit == "strands" and "broken" not in words:
        return True
    if words[one.start] == "quarter" and before in _ORDINALS:
        return True
    if one.unit == "leaves":
        return one.value < 5
    if one.unit == "turns":
        return (words[one.end - 1] == "turns" and spoken.value == 1) or before in ("first", "last", "every", "other")
    return one.unit == "s/d" and not (rates.told(words, one.start, one.end) or rates.asked_for(bench.before))


def _is_aim(words: list[str], sentence: Sequence[Word], at: int) -> bool:
    """A size that ought to be, not one that is."""
    lower = max([i + 1 for i in range(at) if sentence[i].stop], default=0)
    before = " ".join(words[max(lower, at - 8) : at])
    after = " ".join(words[at : at + 9])
    if re.search(r"\b(?:over somebody|over someone)\b", after) or _WORK_TO_DO.search(before):
        return True
    return _AIM_BEFORE.search(before) is not None or _AIM_BEHIND.search(after) is not None or turns.says("if", before)


def _without_corrected(reads: list[Amount], words: list[str]) -> list[Amount]:
    """Of two numbers of one unit with "no", "call it" or "I make it" between, the second holds."""
    kept: list[Amount] = []
    for one in reads:
        between = " ".join(words[kept[-1].end : one.start]) if kept else ""
        if (
            kept
            and kept[-1].unit == one.unit
            and len(between.split()) <= 12
            and _TAKES_BACK.search(between)
            and not _OF_ANOTHER.search(between)
        ):
            kept.pop()
        kept.append(one)
    return kept


def _clause_around(one: Amount, words: list[str], sentence: Sequence[Word]) -> str:
    """The words between the stops around a size."""
    lower = max([at + 1 for at in range(one.start) if sentence[at].stop], default=0)
    upper = min([at + 1 for at in range(one.end - 1, len(words)) if sentence[at].stop], default=len(words))
    return " ".join(words[lower:upper])


def _measured_part(one: Amount, near: Target | None, named: Sequence[tuple[int, Target]]) -> Target | None:
    """The part named last before a size, else one close behind it where none is in focus."""
    before = [target for place, target in named if place <= one.start]
    later = [target for place, target in named if place > one.start and place - one.end <= 4]
    return before[-1] if before else later[0] if later and near is None else near


def _position(text: str) -> str | None:
    position = _POSITIONS.search(text)
    return position[1].replace(" ", "_").replace("twelve", "12") if position else None
