"""Numbers with their units to measurements: what was read, counted or estimated on this clock.

The unit is the one spoken; a bare decimal is taken in millimetres, a bare whole number in the unit of the
number before it, an arc in degrees. What a size ought to be, dates, prices, hours of the day and counts of
faulty parts are no measurements. What a "tenth" is depends on who speaks: it is a setting.

Never here: the owner's figures; what a value means.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from underdial.telling import numbers, rates, turns
from underdial.telling.heard import Measurement
from underdial.telling.subjects import Target
from underdial.telling.words import Word

_UNITS = {
    "millimetre": ("mm", 1.0), "millimetres": ("mm", 1.0), "mm": ("mm", 1.0), "mil": ("mm", 1.0), "mill": ("mm", 1.0), "thou": ("thou", 1.0), "thousandth": ("thou", 1.0), "thousandths": ("thou", 1.0), "hundredth": ("mm", 0.01), "hundredths": ("mm", 0.01),
    "micron": ("um", 1.0), "microns": ("um", 1.0), "inch": ("in", 1.0), "inches": ("in", 1.0), "centimetre": ("cm", 1.0), "centimetres": ("cm", 1.0), "metre": ("m", 1.0), "metres": ("m", 1.0), "foot": ("ft", 1.0),
    "degree": ("deg", 1.0), "degrees": ("deg", 1.0), "millisecond": ("ms", 1.0), "milliseconds": ("ms", 1.0), "ms": ("ms", 1.0), "pound": ("lb", 1.0), "pounds": ("lb", 1.0), "lb": ("lb", 1.0), "lbs": ("lb", 1.0),
    "ounce": ("oz", 1.0), "ounces": ("oz", 1.0), "gram": ("g", 1.0), "grams": ("g", 1.0), "gramme": ("g", 1.0), "grammes": ("g", 1.0), "g": ("g", 1.0), "kilo": ("kg", 1.0), "kilos": ("kg", 1.0), "kg": ("kg", 1.0), "kilogram": ("kg", 1.0),
    "kilograms": ("kg", 1.0), "hundredweight": ("cwt", 1.0), "cwt": ("cwt", 1.0), "turn": ("turns", 1.0), "turns": ("turns", 1.0), "strand": ("strands", 1.0), "strands": ("strands", 1.0), "swings": ("swings", 1.0),
    "megohm": ("MOhm", 1.0), "megohms": ("MOhm", 1.0), "seconds": ("s", 1.0), "second": ("s", 1.0), "minutes": ("min", 1.0), "minute": ("min", 1.0), "leaves": ("leaves", 1.0),
}
# Of a pound.
_OUNCES = 16.0
# A lesser unit said behind a greater one: how many of it make one, and with which words; "three kilos sixty" may leave it out.
_LESSER = {"lb": (_OUNCES, ("ounce", "ounces", "oz")), "kg": (1000.0, ("gram", "grams", "gramme", "grammes", "g")), "mm": (100.0, ("hundredth", "hundredths"))}
# Without its word, "one millimetre thirty" and "two kilos nine hundred" are so many of the lesser unit from here on.
_LEAST_OF_LESSER = {"kg": 40.0, "mm": 10.0}
# Parts of a degree behind "and".
_OF_DEGREE = {"tenth": 10.0, "tenths": 10.0, "minute": 60.0, "minutes": 60.0}
# "A tenth?" asks; the answer is what was measured.
_SHORT_QUESTION_COUNT = 4
# With the article these are said in passing ("give it a turn") unless more follows.
_IN_PASSING = ("second", "minute", "foot", "pound", "mill", "strand", "inch", "turn", "degree", "g", "metre")
_FULL = ("good", "full", "whole", "bare", "clear")
# "A third" and "a fifth" are names of wheels unless they are said to be of something that is counted.
_OF_ONE = {"third": 3.0, "fifth": 5.0, "sixth": 6.0, "seventh": 7.0, "tenth": 10.0}
_KINDS = {"mm": "length", "thou": "length", "in": "length", "um": "length", "cm": "length", "m": "length", "ft": "length", "lb": "mass", "kg": "mass", "g": "mass", "oz": "mass", "cwt": "mass"}
_LENGTH_WORDS = (
    ("thickness", r"thick|thickness|thicker|gauge strip"), ("height", r"\bhigh\b|height|tall"), ("flat_diameter", r"\bflat\b.*\bacross\b|flat (?:is|about)"), ("runout", r"runout|run out|runs out|out of true|out of flat|out of round|in the round|in the flat|true in"),
    ("end_shake", r"endshake|end shake|end play|end float"), ("spread", r"opens?|opened|spread|sprung out"), ("depth", r"\bdeep\b|depth|groove|grooves|rut"), ("width", r"\bwide\b|width"), ("length", r"\blong\b|length|along|short\b|strip about|inches here"),
    ("gap", r"\bgap\b|off the (?:gong|bell|rod)|clear(?:ance)?"), ("side_shake", r"slop|shake|\bjump|rock|moves?\b|daylight"), ("lost_motion", r"lost motion|play in the"), ("play", r"\bplay\b"), ("wear", r"\bwear\b|\bworn\b|wore|oval|up and to"), ("distance", r"\bfrom\b|\bdown\b|off to|out by|to the (?:left|right)"),
)
_OF_QUANTITY = {"pivot": "diameter", "pivot_hole": "hole_diameter", "suspension_spring": "thickness", "torsion_strip": "thickness", "mainspring": "thickness", "hairspring": "thickness", "cone_pivot": "flat_diameter", "arbor": "end_shake",
                "crutch": "lost_motion", "pallets": "depth", "entry_pallet": "depth", "exit_pallet": "depth", "plates": "thickness", "gut_line": "diameter", "rope": "diameter"}
_ARC_TALK = re.compile(r"\b(?:each way|each side|swing|amplitude|arc|dial up|dial down|in all|all told|total|altogether|degrees?)\b")
_POSITIONS = re.compile(r"\b(dial up|dial down|twelve up|three up|six up|nine up|upright|on its back)\b")


@dataclass
class Bench:
    """What numbers of one speaker mean: the size of a spoken tenth, and the unit last spoken.

    `passed_over` are the times of numbers that are none of this clock for certain: aims, what was corrected, what was asked.
    """

    tenth_value: float = 0.1
    tenth_unit: str = "mm"
    last_unit: str | None = None
    last_sentence: int = -9
    before: str = ""
    arcs_spoken: int = -9
    oscillator: str = "pendulum"
    passed_over: list[float | None] = field(default_factory=list)


@dataclass(frozen=True)
class _Read:
    value: float
    unit: str
    start: int
    end: int


def read(sentence: Sequence[Word], index: int, near: Target | None, named: Sequence[tuple[int, Target]], bench: Bench) -> list[Measurement]:
    """All measurements of one sentence. `near` is the part in focus, `named` the parts of the sentence by place."""
    words = [word.text for word in sentence]
    text = " ".join(words)
    if _ARC_TALK.search(text):
        bench.arcs_spoken = index
    found: list[Measurement] = []
    every = _values(words, sentence, bench, index)
    reads = [] if sentence and sentence[-1].stop == "?" and len(words) <= _SHORT_QUESTION_COUNT else _without_corrected(every, words)
    bench.passed_over += [sentence[one.start].start_s for one in every if one not in reads]
    bench.before = text
    for one in reads:
        before = [target for place, target in named if place <= one.start]
        later = [target for place, target in named if place > one.start and place - one.end <= 4]
        target = before[-1] if before else later[0] if later and near is None else near
        lower = max([at + 1 for at in range(one.start) if sentence[at].stop], default=0)
        upper = min([at + 1 for at in range(one.end - 1, len(words)) if sentence[at].stop], default=len(words))
        clause = " ".join(words[lower:upper])
        quantity, of = _quantity(one, clause, text, target, bench)
        position = _POSITIONS.search(text)
        bench.last_unit, bench.last_sentence = one.unit, index
        found.append(Measurement(quantity, of, round(one.value, 6), one.unit, sentence[one.start].start_s, clause, position[1].replace(" ", "_").replace("twelve", "12") if position else None, index))
    return found


def of_one_kind(unit: str, other: str) -> bool:
    """Whether one may stand in place of the other: both lengths, both masses, or the same."""
    return _KINDS.get(unit, unit) == _KINDS.get(other, other)


def speaks_of_arc(sentence: Sequence[Word]) -> bool:
    """Whether a sentence gives the arc of the swing."""
    text = " ".join(word.text for word in sentence)
    return re.search(r"\b(?:each way|each side|in all|dial up|dial down|twelve up|swing|amplitude)\b", text) is not None and any(numbers.read([w.text for w in sentence], at) for at in range(len(sentence)))


def _values(words: list[str], sentence: Sequence[Word], bench: Bench, index: int) -> list[_Read]:
    found: list[_Read] = []
    at = 0
    counted = _counted_out(words, sentence)
    if counted is not None:
        return [_Read(counted, "turns", 0, len(words))]
    if re.search(r"\blike to see\b", " ".join(words)):
        return []
    if re.search(r"\b(?:cost|costs|charge|charged|quote|price|quid|pale|invoice|bill)\b", " ".join(words)):
        return []
    while at < len(words):
        limit = next((i + 1 for i in range(at, len(words)) if sentence[i].stop), len(words))
        spoken = None if numbers.is_pronoun(words[:limit], at) else numbers.read(words[:limit], at)
        if spoken is None:
            one = article(words, at, bench)
            if one is not None:
                found += [one] if not _is_aim(words, sentence, at) else []
                at = one.end
                continue
            at += 1
            continue
        if _is_clock_word(words, at, spoken):
            at = spoken.end
            continue
        both = _range(words, at, spoken, bench)
        if both:
            found += both
            at = both[-1].end
            continue
        rate = rates.compound(words, at)
        if rate is not None:
            found += [] if _is_aim(words, sentence, at) else [_Read(rate[0], "s/d", at, rate[1])]
            at = rate[1]
            continue
        unit = unit_behind(words, spoken.end, bench) or rates.with_sign_before(words, at, spoken.end)
        if unit is None:
            one = _bare(words, at, spoken, bench, index, sentence)
        else:
            value, name, end = with_lesser_unit(words, sentence, spoken.value * unit[1], unit)
            if (name == "strands" and "broken" not in words) or (words[at] == "quarter" and at and words[at - 1] in ("first", "second", "third", "fourth", "last", "next")):
                at = end
                continue
            if (name == "leaves" and value < 5) or (name == "turns" and ((words[end - 1] == "turns" and spoken.value == 1) or (at and words[at - 1] in ("first", "last", "every", "other")))):
                at = end
                continue
            if name == "s/d" and not (rates.told(words, at, end) or rates.asked_for(bench.before)):
                at = end
                continue
            one = _Read(rates.signed(words, at, value) if name == "s/d" else value, name, at, end)
        if one is not None and _is_aim(words, sentence, at):
            bench.passed_over.append(sentence[at].start_s)
        elif one is not None:
            found.append(one)
            bench.last_unit, bench.last_sentence = one.unit, index
        at = max(spoken.end, one.end if one else 0)
    return found


def with_lesser_unit(words: Sequence[str], sentence: Sequence[Word], value: float, unit: tuple[str, float, int]) -> tuple[float, str, int]:
    """ "Three pounds two", "two pound ten ounces", "three kilos sixty grams", "one millimetre thirty", "four turns and a half": value, unit and the place behind it all."""
    name, factor, end = unit
    if end >= len(words):
        return value, name, end
    joined = end + 1 if words[end] == "and" else end
    more = numbers.read(words, joined) if name in _LESSER and factor == 1.0 and not sentence[end - 1].stop else None
    if more is not None and more.whole:
        size, called = _LESSER[name]
        behind = words[more.end] if more.end < len(words) else ""
        if behind in called and more.value < size:
            return value + more.value / size, name, more.end + 1
        if name == "lb" and joined == end and 0 < more.value < size and behind not in _UNITS and behind not in ("point", "to", "or"):
            return value + more.value / size, name, more.end
        if joined == end and _LEAST_OF_LESSER.get(name, size) <= more.value < size and behind not in _UNITS and behind not in ("point", "to", "or"):
            return value + more.value / size, name, more.end
    if name == "deg" and words[end] == "and":
        part = numbers.read(words, end + 1)
        size = _OF_DEGREE.get(words[part.end], 0.0) if part is not None and part.whole and part.end < len(words) else 0.0
        if part is not None and 0 < part.value < size:
            return value + part.value / size, name, part.end + 1
        if words[end + 1:end + 3] == ["a", "tenth"]:
            return value + 0.1, name, end + 3
    halves = name == "deg" and words[end:end + 2] == ["and", "half"]
    tail = numbers.read(["and", *words[end + 1:]], 1) if words[end] == "and" else None
    if tail is not None and tail.value < 1 and (name not in ("deg", "leaves") or halves or words[end + 1:end + 3] in (["a", "half"], ["a", "quarter"], ["three", "quarters"])):
        return value + tail.value * factor, name, end + tail.end
    return value, name, end


def article(words: list[str], at: int, bench: Bench) -> _Read | None:
    """`a tenth`, `a good millimetre`, `an inch and a quarter`, `a fifth of a turn`; not `a turn` alone in passing."""
    if words[at] in ("inch", "turn") and at + 3 < len(words) and words[at + 1] == "and":
        tail = numbers.read(["and", *words[at + 2:]], 1)
        if tail is not None and tail.value < 1:
            return _Read(1 + tail.value, {"inch": "in", "turn": "turns"}[words[at]], at, at + 1 + tail.end)
    if words[at] not in ("a", "an") or at + 1 >= len(words):
        return None
    if words[at + 1] in _OF_ONE and words[at + 2:at + 4] in (["of", "a"], ["of", "an"]) and at + 4 < len(words) and words[at + 4] in _UNITS:
        name, factor = _UNITS[words[at + 4]]
        return _Read(round(factor / _OF_ONE[words[at + 1]], 6), name, at, at + 5)
    full = words[at + 1] in _FULL and at + 2 < len(words) and words[at + 2] in _UNITS
    unit = unit_behind(words, at + 2 if full else at + 1, bench)
    if unit is None:
        return None
    if unit[0] in ("lb", "kg") and unit[2] < len(words) and words[unit[2]] == "and":
        more = numbers.read(words, unit[2] + 1)
        size, called = _LESSER[unit[0]]
        if more is not None and more.whole and more.end < len(words) and words[more.end] in called:
            return _Read(1 + more.value / size, unit[0], at, more.end + 1)
    tail = numbers.read(["and", *words[unit[2] + 1:]], 1) if unit[2] < len(words) and words[unit[2]] == "and" else None
    if tail is not None and tail.value < 1 and words[at + 1] not in ("second", "minute", "foot", "mill", "strand", "g"):
        return _Read(round((1 + tail.value) * unit[1], 6), unit[0], at, unit[2] + tail.end)
    return None if words[at + 2 if full else at + 1] in _IN_PASSING else _Read(unit[1], unit[0], at, unit[2])


def unit_behind(words: Sequence[str], at: int, bench: Bench) -> tuple[str, float, int] | None:
    """Unit name, factor and the place behind it, of the words that follow a number."""
    if at >= len(words):
        return None
    skip = at + 1 if (words[at] in ("a", "an", "of", "full", "whole", "good", "odd") and at + 1 < len(words) and words[at + 1] in _UNITS and words[at] != "good") or (words[at] == "full" and at + 1 < len(words)) else at
    if words[skip] == "broken" and skip + 1 < len(words) and words[skip + 1] in ("strand", "strands"):
        return "strands", 1.0, skip + 2
    word = words[skip] if skip < len(words) else ""
    if words[at] == "of" and at + 2 < len(words) and words[at + 1] in ("an", "a") and words[at + 2] in _UNITS:
        return (*_UNITS[words[at + 2]], at + 3)
    following = words[skip + 1] if skip + 1 < len(words) else ""
    rate = rates.behind(words, skip)
    if rate is not None:
        return rate
    if re.match(r"^(?:beats? )?(?:an|per) hour\b", " ".join(words[skip:skip + 3])) and word == "beats":
        return "/h", 1.0, skip + 3
    if re.match(r"^(?:beats?|ticks?) (?:a|per) minute\b", " ".join(words[skip:skip + 3])):
        return "/min", 1.0, skip + 3
    if word in ("tenth", "tenths"):
        if " ".join(words[skip + 1:skip + 4]).startswith("of an inch"):
            return "in", 0.1, skip + 4
        if following == "of":
            return "mm", 0.1, min(len(words), skip + 4)
        return bench.tenth_unit, bench.tenth_value, skip + 1
    if word in ("thousandth", "thousandths", "hundredth", "hundredths") and following == "of":
        inch = " ".join(words[skip + 2:skip + 4]) == "an inch"
        if inch:
            return "in" if word.startswith("hund") else "thou", 0.01 if word.startswith("hund") else 1.0, skip + 4
        if " ".join(words[skip + 2:skip + 4]) == "a millimetre":
            return "mm", 0.01 if word.startswith("hund") else 0.001, skip + 4
    if word in ("half", "quarter") and following in ("turn", "turns"):
        return "turns", {"half": 0.5, "quarter": 0.25}[word], skip + 2
    if re.match(r"^(?:each|either) (?:way|side)\b", " ".join(words[at:at + 2])):
        return "deg", 1.0, at + 2
    if re.match(r"^(?:in all|all told|in total|total|altogether|overall)\b", " ".join(words[at:at + 2])) and not re.search(r"\b(?:count\w*|teeth|leaves|pins)\b", " ".join(words)):
        return "deg", 1.0, at + 1
    if word in ("minute", "minutes", "second", "seconds") or (word == "foot" and (following in ("of", "is", "'s", "has", "was", "and", "missing", "broken", "bent", "loose", "on") or (words[at:at + 1] == ["foot"] and following not in ("", "long", "high", "wide", "six", "from", "drop", "down", "up")))):
        return None
    if word in _UNITS and not (word == "leaves" and following == "it") and not (word in ("pound", "pounds") and re.search(r"\b(?:charg|cost|quid|worth|paid)\w*", " ".join(words))):
        return (*_UNITS[word], skip + 1)
    return None


def _bare(words: list[str], at: int, spoken: numbers.Spoken, bench: Bench, index: int, sentence: Sequence[Word]) -> _Read | None:
    """A number without a unit: a decimal in millimetres, a whole one in the unit last spoken when it is called."""
    before = " ".join(words[max(0, at - 4):at])
    text = " ".join(words)
    if re.search(r"\b(?:minus|plus)$", before) and rates.speaks_of_rate(text) and words[spoken.end:spoken.end + 1] not in (["degrees"], ["turns"]):
        return _Read(rates.signed(words, at, spoken.value), "s/d", at, spoken.end + 2 * (words[spoken.end:spoken.end + 2] in (["a", "day"], ["per", "day"])))
    if not spoken.whole:
        decimal = any(w in ("point", "comma") or re.fullmatch(r"\d*\.\d+", w) for w in words[at:spoken.end])
        if decimal:
            return _Read(spoken.value, "uSv/h" if "microsievert" in text else "mm", at, spoken.end)
        if spoken.end < len(words) and words[spoken.end] in ("high", "thick", "wide", "across") and words[at] not in ("half", "quarter", "a"):
            return _Read(spoken.value, "mm", at, spoken.end)
        if any(w.startswith(("sixteenth", "eighth", "sixty", "thirty")) for w in words[at:spoken.end]):
            return _Read(spoken.value, "in", at, spoken.end)
        if words[at] in ("half", "quarter") and at and words[at - 1] in ("and", "other", "your", "good", "the", "better", "bottom", "top", "front", "back"):
            return None
        if words[at] == "quarter" and at and words[at - 1] in ("first", "second", "third", "fourth", "last", "next"):
            return None
        if re.search(r"\b(?:turns?|warning|run|set up)\b", text) and (spoken.end == len(words) or sentence[spoken.end - 1].stop or words[spoken.end] == "turn"):
            return _Read(spoken.value, "turns", at, spoken.end)
        if bench.last_unit in ("turns", "lb", "in") and (spoken.end == len(words) or sentence[spoken.end - 1].stop):
            return _Read(spoken.value, bench.last_unit, at, spoken.end)
        return None
    if (spoken.end < len(words) and words[spoken.end] == "up") or spoken.value < 1 or words[at:spoken.end] == ["one"]:
        return None
    if bench.last_unit in ("thou", "mm", "in") and index - bench.last_sentence <= 2 and (spoken.end == len(words) or sentence[spoken.end - 1].stop) and (re.search(r"\b(?:hole|pivot|front|back|bush|other|one) (?:is|'s)(?: about)?$", before) or (words[0] == "so" and len(words) <= 3)):
        return _Read(spoken.value, bench.last_unit, at, spoken.end)
    if re.search(r"\bcount(?:ed|ing|s)?\b.*\bteeth\b|\bteeth\b.*\bcount", bench.before) and len(words) <= 3 and spoken.value >= 8 and spoken.end == len(words):
        return _Read(spoken.value, "teeth", at, spoken.end)
    if index - bench.arcs_spoken <= 1 and 20 <= spoken.value < 60 and re.search(r"\b(?:hardly|barely|only|drops? to|down to|on edge|on its edge|stood up|upright)\b", text):
        return _Read(spoken.value, "deg", at, spoken.end)
    if re.search(r"\b(?:minus|plus)$", before) and words[spoken.end:spoken.end + 2] in (["a", "day"], ["per", "day"]):
        return _Read(-spoken.value if before.endswith("minus") else spoken.value, "s/d", at, spoken.end + 2)
    if words[spoken.end:spoken.end + 1] in (["slow"], ["fast"]) and re.search(r"\b(?:rate|reads|reading)\b", before):
        return _Read(-spoken.value if words[spoken.end] == "slow" else spoken.value, "s/d", at, spoken.end + 1)
    if bench.last_unit in ("turns", "lb", "kg") and index - bench.last_sentence <= 2 and spoken.value < 100:
        named_train = re.search(r"\b(?:strike|going|chime|time)(?: one| side| spring| train| weight)?$", before) is not None and (spoken.end == len(words) or bool(sentence[spoken.end - 1].stop))
        if named_train or (re.match(r"^(?:for |on |and )?(?:the )?(?:strike|going|chime)\b", " ".join(words[spoken.end:spoken.end + 3])) and len(words) <= 6):
            return _Read(spoken.value, bench.last_unit, at, spoken.end)
    if bench.last_unit == "g" and index - bench.last_sentence <= 3 and spoken.value >= 50:
        return _Read(spoken.value, "g", at, spoken.end)
    if len(words) <= 5 and bench.last_unit in ("thou", "mm", "in", "deg", "turns") and index - bench.last_sentence <= 1 and spoken.end == len(words) and at and words[0] in ("exit", "entry", "front", "back", "upper", "lower", "top", "bottom", "left", "right", "other", "the") and re.search(r"\b(?:about|say|maybe|nearer|only|just|front|back|exit|entry|upper|lower|left|right|other|one)$", before):
        return _Read(spoken.value, bench.last_unit, at, spoken.end)
    if words[spoken.end:spoken.end + 1] in (["high"], ["wide"], ["thick"]) and bench.last_unit in ("mm", "in") and spoken.value < 100:
        return _Read(spoken.value, bench.last_unit, at, spoken.end)
    if len(words) <= 8 and bench.last_unit in ("turns", "lb", "kg") and spoken.end == len(words) and at and re.search(r"\b(?:strike|going|chime|time|other)(?: one| side| spring| train)?$", before):
        return _Read(spoken.value, bench.last_unit, at, spoken.end)
    if index - bench.arcs_spoken <= 2 and spoken.value >= 60 and spoken.value <= 330:
        return _Read(spoken.value, "deg", at, spoken.end)
    if len(words) <= 5 and at and words[at - 1] in ("front", "back", "bush", "upper", "lower", "other", "hole", "pivot") and bench.last_unit in ("thou", "mm", "in") and spoken.end == len(words):
        return _Read(spoken.value, bench.last_unit, at, spoken.end)
    if words[spoken.end:spoken.end + 1] == ["teeth"] and spoken.value >= 8:
        return _Read(spoken.value, "teeth", at, spoken.end + 1)
    if words[spoken.end:spoken.end + 1] == ["even"] and bench.last_unit in ("lb", "kg"):
        return _Read(spoken.value, bench.last_unit, at, spoken.end + 1)
    if re.search(r"\b(?:call it|i make it|make it|say|reads|measures)$", before) and bench.last_unit in ("thou", "mm", "deg", "ms", "in") and (spoken.end == len(words) or sentence[spoken.end - 1].stop or words[spoken.end] in ("push", "bush", "and", "the", "front", "back")):
        return _Read(spoken.value, bench.last_unit, at, spoken.end)
    if re.search(r"\b(?:strike|going|chime|one) (?:is|one is|one)$", before) and bench.last_unit in ("lb", "kg", "turns") and (spoken.end == len(words) or sentence[spoken.end - 1].stop):
        return _Read(spoken.value, bench.last_unit, at, spoken.end)
    return None


def _range(words: list[str], at: int, spoken: numbers.Spoken, bench: Bench) -> list[_Read]:
    """`four to five thou` gives both ends; `two or three days` is no measurement for want of a unit."""
    if spoken.end >= len(words):
        return []
    close = numbers.read(words, spoken.end)
    if close is not None and spoken.whole and close.whole and spoken.value < close.value <= 1.5 * spoken.value and spoken.value >= 3 and not (words[at:spoken.end] != [words[at]] and close.value < 10):
        unit = unit_behind(words, close.end, bench)
        return [_Read(spoken.value * unit[1], unit[0], at, close.end), _Read(close.value * unit[1], unit[0], at, unit[2])] if unit else []
    if words[spoken.end] not in ("to", "or", "and"):
        return []
    second = numbers.read(words, spoken.end + 1)
    if second is None or second.value <= spoken.value or (words[spoken.end] == "and" and (at == 0 or words[at - 1] != "between")):
        return []
    unit = unit_behind(words, second.end, bench)
    if unit is None:
        return []
    return [_Read(spoken.value * unit[1], unit[0], at, second.end), _Read(second.value * unit[1], unit[0], at, unit[2])]


def _counted_out(words: list[str], sentence: Sequence[Word]) -> float | None:
    """ "One, two, three, four, five and a half": the last of a count said aloud, one by one."""
    values: list[float] = []
    at = 0
    while at < len(words):
        spoken = numbers.read(words, at)
        if spoken is not None:
            values.append(spoken.value)
            at = spoken.end
        else:
            at += 1
    rising = len(values) >= 4 and values[:3] == [1.0, 2.0, 3.0] and all(b - a <= 1.5 for a, b in pairwise(values)) and values == sorted(values)
    return values[-1] if rising else None


def _is_clock_word(words: list[str], at: int, spoken: numbers.Spoken) -> bool:
    """Hours of the day, dates, prices, positions, numbers of jobs and years."""
    following = words[spoken.end] if spoken.end < len(words) else ""
    before = words[at - 1] if at else ""
    if following in ("oclock", "up", "ago", "years", "year", "hours", "hour", "days", "day", "weeks", "week", "months", "quid", "bucks", "dollars", "euros", "percent", "ies", "times", "time", "hundred") or (following == "at" and spoken.whole):
        return True
    if before in ("job", "number", "by", "since", "from") and following not in _UNITS and following not in ("high", "wide", "thick", "long", "deep") and spoken.whole:
        return True
    if spoken.whole and 1600 <= spoken.value <= 2100 and following not in _UNITS:
        return True
    return spoken.whole and words[at] in ("eighteen", "nineteen", "twenty", "seventeen") and spoken.end < len(words) and numbers.read(words, spoken.end) is not None


def _is_aim(words: list[str], sentence: Sequence[Word], at: int) -> bool:
    """A size that ought to be, not one that is."""
    lower = max([i + 1 for i in range(at) if sentence[i].stop], default=0)
    before = " ".join(words[max(lower, at - 8):at])
    after = " ".join(words[at:at + 9])
    if re.search(r"\b(?:over somebody|over someone)\b", after) or re.search(r"\b(?:bend|move|close|open|lift|ease|shift|raise|lower|file|shorten|turn|take|set|bring|back) (?:it|them|that|those|off)\b", before):
        return True
    return re.search(r"\b(?:would not hang|over somebody|ought to|should|wants?|needs?|supposed|meant|nearer|looking for|like to see|be happy|i would want|instead of|rather than|must have|requires?|required|minimum|at least|(?:a|any) (?:healthy|good|decent|fresh|new) one|i (?:would )?(?:like|prefer|fit))\b(?!.*\bi (?:make|get|measure))", before) is not None \
        or re.search(r"\b(?:is what it (?:should|ought)|is what i would (?:like|want)|at least|from the \w+ end)\b|^\S+(?: \S+){0,2} (?:(?:is|would be) (?:usual|normal|healthy|what (?:it|i) (?:should|would))|wanted)\b", after) is not None or turns.says("if", before)


def _without_corrected(reads: list[_Read], words: list[str]) -> list[_Read]:
    """Of two numbers of one unit with "no", "call it" or "I make it" between, the second holds."""
    kept: list[_Read] = []
    for one in reads:
        between = " ".join(words[kept[-1].end:one.start]) if kept else ""
        if kept and kept[-1].unit == one.unit and len(between.split()) <= 12 and re.search(r"\b(?:no|sorry|call it|i make it|make that|say|rather|so)\b", between) and not re.search(r"\b(?:strike|front|back|one is|top|bottom|upper|lower|entry|exit|other|end|left|right)\b", between):
            kept.pop()
        kept.append(one)
    return kept


def _quantity(one: _Read, clause: str, text: str, target: Target | None, bench: Bench) -> tuple[str, str | None]:
    """What was measured and of which part, from the unit, the words around it and the part in focus."""
    part = target.component if target else None
    of = part
    if target is not None and target.of is not None and part is not None:
        of = f"{part}:{target.of}"
    if one.unit == "deg":
        if re.search(r"\block", clause):
            return "lock", "pallets"
        if re.search(r"\bdrop", clause) and one.value <= 12:
            return "drop", "pallets"
        total = re.search(r"\b(?:in all|all told|total|altogether|overall)\b", clause) and not re.search(r"\beach (?:way|side)\b", clause)
        swinging = part if part in ("pendulum", "balance") else bench.oscillator
        return "total_arc" if total else "half_arc", swinging
    simple = {"ms": ("beat_error", "movement"), "s/d": ("rate", "movement"), "/h": ("beat_rate", "movement"), "/min": ("beats_per_minute", "movement")}
    if one.unit in simple:
        return simple[one.unit]
    if one.unit == "turns":
        if part == "warning" or "warning" in text:
            return "turns", of if part == "warning" else "warning"
        if part == "set_up" or "set up" in text:
            return "set_up_turns", of if part == "set_up" else "set_up"
        side = re.search(r"\b(going|strike|chime|time)\b", clause) or re.search(r"\b(going|strike|chime)\b", of or "")
        return "turns", "mainspring" + (f":{'going' if side[1] == 'time' else side[1]}" if side else "")
    if one.unit == "teeth":
        return "tooth_count", part if part in ("escape_wheel", "great_wheel", "rack") else target.of if target else part
    if one.unit == "leaves":
        return "leaf_count", f"pinion:{target.of}" if target and target.of else "pinion"
    if _KINDS.get(one.unit) == "mass":
        return "mass", of or "weight"
    if one.unit in ("strands",):
        return "broken_strands", of
    for quantity, pattern in _LENGTH_WORDS:
        if re.search(pattern, clause) and not (quantity in ("spread",) and part not in ("mainspring", "open_spring")):
            return quantity, of
    if re.search(r"\bhole\b|\btakes\b", clause):
        return "hole_diameter", of
    if re.search(r"\bpivot\b", clause):
        return "diameter", of
    return _OF_QUANTITY.get(part or "", "length"), of
