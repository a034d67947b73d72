"""One finding spoken in one line: `front pivot third arbor, one point four two`, `third wheel back hole worn`.

The grammar is made from the trade's own lists, and the same table that says what may be spoken says what it means, so
that nothing can be heard that cannot be written down. A line is never kept by itself: it is read back, and a thumb
keeps it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from underdial.errors import BadInput
from underdial.papers.sentences import finding_sentence, number_words
from underdial.record.finding import UNSEEN, Finding, State
from underdial.record.measurement import Measurement
from underdial.trade.phrases import part_words
from underdial.trade.vocabulary import components

# The surest that a line heard by a machine may be, until somebody has looked again.
_PLAIN = 0.9
_DIGITS = {
    word: str(at)
    for at, word in enumerate(["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"])
} | {"oh": "0"}
_TEENS = {
    word: 10 + at
    for at, word in enumerate(
        ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
    )
}
_TENS = {
    word: 20 + 10 * at
    for at, word in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"])
}
_WHEELS = (
    "great_wheel",
    "second_wheel",
    "third_wheel",
    "fourth_wheel",
    "fifth_wheel",
    "centre_wheel",
    "intermediate_wheel",
    "contrate_wheel",
    "escape_wheel",
    "warning_wheel",
    "pin_wheel",
    "hour_wheel",
    "minute_wheel",
    "count_wheel",
    "barrel",
    "fusee",
)
_OWNED = {
    "pivot": "pivot",
    "pivots": "pivot",
    "hole": "pivot_hole",
    "pivot hole": "pivot_hole",
    "bush": "bush",
    "pinion": "pinion",
    "teeth": "tooth",
    "tooth": "tooth",
    "arbor": "arbor",
    "endshake": "arbor",
    "collet": "collet",
}
_ALONE = (
    "mainspring",
    "click",
    "click_spring",
    "ratchet_wheel",
    "barrel_hook",
    "barrel_arbor",
    "weight",
    "gut_line",
    "fusee_chain",
    "pulley",
    "pallets",
    "entry_pallet",
    "exit_pallet",
    "crutch",
    "suspension_spring",
    "pendulum",
    "pendulum_rod",
    "bob",
    "rating_nut",
    "balance",
    "balance_staff",
    "hairspring",
    "roller",
    "impulse_pin",
    "fork",
    "lever",
    "guard_pin",
    "rack",
    "rack_tail",
    "rack_hook",
    "snail",
    "gathering_pallet",
    "lifting_piece",
    "warning",
    "fly",
    "hammer",
    "hammer_spring",
    "bell",
    "gong",
    "cannon_pinion",
    "hour_hand",
    "minute_hand",
    "dial",
    "dial_foot",
    "bezel",
    "glass",
    "hinge",
    "case",
    "movement",
    "bridge",
    "cock",
    "key",
    "winding_square",
)
_STATES = {
    "worn": "worn",
    "oval": "oval",
    "scored": "scored",
    "bent": "bent",
    "broken": "broken",
    "cracked": "cracked",
    "loose": "loose",
    "rusty": "rusty",
    "rusted": "rusty",
    "pitted": "pitted",
    "grooved": "grooved",
    "dirty": "dirty",
    "dry": "dry",
    "sticking": "sticking",
    "tight": "tight",
    "weak": "weak",
    "set": "set",
    "missing": "missing",
    "replaced": "replaced",
    "soldered": "soldered",
    "bushed before": "bushed_before",
    "punched": "punched",
    "worn thin": "worn_thin",
    "slipping": "slipping",
    "rubbing": "rubbing",
    "kinked": "twisted",
    "out of true": "out_of_true",
    "out of round": "out_of_round",
    "too deep": "too_deep",
    "too shallow": "too_shallow",
    "no endshake": "no_endshake",
    "too much endshake": "too_much_endshake",
    "good": "good",
    "fine": "good",
    "sound": "good",
    "not looked at": "unexamined",
    "could not be reached": "not_accessible",
    "not tested": "not_tested",
}
_PLACES = ("front", "back", "upper", "lower", "left", "right", "both", "top", "bottom", "inner", "outer")
_HEDGES = {"i think": 0.7, "i'd say": 0.7, "looks": 0.75, "maybe": 0.4, "might be": 0.4, "not sure": 0.3}
_EXTENTS = {"slightly": "slight", "a bit": "slight", "badly": "bad", "very": "bad"}
_SIGNIFICANCES = {
    "that stops it": "stops",
    "that's what stops it": "stops",
    "it does not matter": "none",
    "only looks": "cosmetic",
}
_UNITS = {
    "millimetres": "mm",
    "millimeters": "mm",
    "millimetre": "mm",
    "thou": "thou",
    "inches": "in",
    "degrees": "deg",
    "grams": "g",
    "turns": "turns",
    "teeth": "",
    "leaves": "",
}
_DIMENSIONS = {
    "diameter": "diameter",
    "thick": "thickness",
    "thickness": "thickness",
    "high": "height",
    "height": "height",
    "long": "length",
    "length": "length",
    "deep": "depth",
    "wide": "width",
}
_WHYS = {condition: why for why, condition in UNSEEN.items()}
_TRAY = re.compile(r"(?:goes )?(?:in )?tray (\w+)\b")
# What is said to the page itself, not of the clock. An order is short: what lasts longer is talk.
ORDERS: Mapping[str, str] = {
    "keep it": "keep",
    "keep that": "keep",
    "yes keep it": "keep",
    "say again": "again",
    "scratch that": "again",
    "no again": "again",
    "pause": "pause",
    "carry on": "carry_on",
    "private": "private",
    "this is private": "private",
    "hush": "hush",
    "hours start": "hours_start",
    "start the hours": "hours_start",
    "hours stop": "hours_stop",
    "stop the hours": "hours_stop",
}
MOST_ORDER_S = 2.2
# Sounds (ARPABET) of the words that the recogniser's dictionary has not.
SOUNDS: Mapping[str, str] = {
    "fusee": "F Y UW Z IY",
    "mainspring": "M EY N S P R IH NG",
    "hairspring": "HH EH R S P R IH NG",
    "endshake": "EH N D SH EY K",
    "contrate": "K AA N T R EY T",
    "grooved": "G R UW V D",
    "bushed": "B UH SH T",
    "bezel": "B EH Z AH L",
    "soldered": "S AA D ER D",
    "soldered(2)": "S OW L D ER D",
    "kinked": "K IH NG K T",
    "arbor": "AA R B ER",
    "collet": "K AA L AH T",
    "pallets": "P AE L AH T S",
    "centre": "S EH N T ER",
    "millimetres": "M IH L AH M IY T ER Z",
    "millimetre": "M IH L AH M IY T ER",
    "thou": "TH AW",
    "thou(2)": "DH AW",
    "pitted": "P IH T IH D",
    "scored": "S K AO R D",
    "oval": "OW V AH L",
}


@dataclass(frozen=True, slots=True)
class OneLine:
    """What a line was taken for: a finding, a measurement or what lies in which tray (its name and the part in words),
    and the sentence that is read back.
    """

    finding: Finding | None
    measurement: Measurement | None
    reads: str
    tray: tuple[str, str] | None = None


@cache
def line_grammar() -> str:
    """The grammar of a line, as JSGF."""
    wheels = _either(_phrases(_wheel_words()))
    return "\n".join(
        (
            "#JSGF V1.0;",
            "grammar line;",
            f"public <line> = <said> | {_either(list(ORDERS))};",
            "<said> = <what> ( [is | are] [<hedge>] [not] [<extent>] <state> [<matters>] | <size> | <tray> );",
            f"<tray> = [goes] [in] tray ( <digit> | {_either(_TEENS)} );",
            "<what> = [<place>] <owned> [of] [the] [<train>] <wheel> [<place>] | [the] [<train>] <wheel> [<place>] "
            "[<owned>] | [<place>] [the] [<train>] <wheel> <owned> | [the] [<place>] <alone> | [the] <plate>;",
            "<plate> = front plate | back plate | plates;",
            f"<wheel> = {wheels};",
            f"<owned> = {_either(_OWNED)};",
            f"<alone> = {_either(_phrases(_alone_words()))};",
            f"<place> = {_either(_PLACES)};",
            "<train> = strike | chime | going;",
            f"<state> = {_either(_STATES)};",
            f"<hedge> = {_either(_HEDGES)};",
            f"<extent> = {_either(_EXTENTS)};",
            f"<matters> = {_either(_SIGNIFICANCES)};",
            "<size> = [<dimension>] ( <decimal> [<unit>] | <whole> <unit> ) [<dimension>];",
            f"<dimension> = {_either(_DIMENSIONS)};",
            f"<unit> = {_either(_UNITS)};",
            f"<digit> = {_either(_DIGITS)};",
            "<decimal> = [<whole>] point <digit> [<digit>] [<digit>];",
            f"<whole> = <digit> | {_either(_TEENS)} | ({_either(_TENS)}) [<digit>] | <digit> hundred;",
            "",
        )
    )


def read_line(text: str) -> OneLine:
    """What a line says. Raises BadInput naming the words that are no part, state or size."""
    words = " ".join(re.sub(r"[^a-z' ]+", " ", text.casefold().replace("-", " ")).split())
    rest, told = words, _Told()
    while rest:
        taken = next((one for one in _meanings() if rest == one[0] or rest.startswith(one[0] + " ")), None)
        size = _number(rest.split())
        tray = _TRAY.match(rest)
        if tray is not None and (tray[1] in _DIGITS or tray[1] in _TEENS):
            told.tray = tray[1]
            rest = rest[tray.end() :].strip()
        elif size is not None and (taken is None or taken[1] != "state"):
            told.value, count = size
            rest = " ".join(rest.split()[count:])
        elif taken is not None:
            told.take(taken[1], taken[2])
            rest = rest[len(taken[0]) :].strip()
        else:
            raise BadInput(
                "line",
                rest,
                "part, place, then a state or a size",
                f"line: “{rest}” is no part, place, state or size; say it as in “front pivot third wheel, one point "
                "four two”.",
            )
    return told.written(words)


@dataclass(slots=True)
class _Told:
    """What of a line is understood so far."""

    part: str | None = None
    wheel: str | None = None
    place: str | None = None
    train: str | None = None
    state: str | None = None
    no: bool = False
    hedge: float = _PLAIN
    extent: str | None = None
    matters: str | None = None
    value: float | None = None
    unit: str | None = None
    dimension: str | None = None
    tray: str | None = None

    def take(self, what: str, means: str) -> None:
        if what == "hedge":
            self.hedge = min(self.hedge, float(means))
        elif what == "not":
            self.no = True
        elif what != "link":
            setattr(self, what, means)

    def written(self, words: str) -> OneLine:
        part, of = (self.part, self.wheel) if self.part else (self.wheel, None)
        if part is None:
            raise BadInput(
                "line",
                words,
                "a part of a clock",
                f"line: “{words}” names no part; say it as in “front pivot third wheel, worn”.",
            )
        if self.train and self.train != "going":
            of = f"{self.train}.{of}" if of else self.train
        if self.tray is not None:
            name = part_words(part, of, self.place)
            reads = f"{name[0].upper()}{name[1:]}: in tray {self.tray}."
            return OneLine(None, None, reads, (f"tray {self.tray}", name))
        if self.state is not None:
            return self._finding(part, of, words)
        if self.value is None:
            raise BadInput(
                "line",
                words,
                "a state or a size",
                f"line: “{words}” names a part and says nothing of it; add a state or a size.",
            )
        return self._measurement(part, of, words)

    def _finding(self, part: str, of: str | None, words: str) -> OneLine:
        assert self.state is not None
        why = _WHYS.get(self.state)
        state: State = "not_examined" if why else "absent" if self.no else "present"
        finding = Finding(
            component=part,
            condition=self.state,
            state=state,
            of=of,
            place=self.place,
            why=why,
            certainty=self.hedge,
            extent=self.extent,
            significance=self.matters,
            words=words,
            rule="one line",
        )
        return OneLine(finding, None, finding_sentence(finding))

    def _measurement(self, part: str, of: str | None, words: str) -> OneLine:
        assert self.value is not None
        quantity = self.dimension or {
            "pivot_hole": "hole_diameter",
            "arbor": "end_shake",
            "tooth": "tooth_count",
            "pinion": "leaf_count" if self.unit == "" else "diameter",
        }.get(part, "diameter")
        unit = self.unit if self.unit is not None else "" if quantity.endswith("_count") else "mm"
        measurement = Measurement(
            quantity=quantity,
            value=self.value,
            unit=unit,
            of=f"{part}:{of}" if of else part,
            place=self.place,
            words=words,
        )
        name = part_words(part, of, self.place)
        said = {"mm": "millimetres", "in": "inches", "deg": "degrees", "g": "grams"}.get(unit, unit)
        reads = (
            f"{name[0].upper()}{name[1:]}, {quantity.replace('_', ' ')}: {number_words(self.value)} {said}".rstrip()
            + "."
        )
        return OneLine(None, measurement, reads)


def _number(words: list[str]) -> tuple[float, int] | None:
    """The number a row of words begins with, and how many words it takes."""
    whole, at = 0, 0
    if words[0] in _TENS:
        whole, at = _TENS[words[0]], 1
        if words[1:2] and words[1] in _DIGITS and _DIGITS[words[1]] != "0":
            whole, at = whole + int(_DIGITS[words[1]]), 2
    elif words[0] in _TEENS:
        whole, at = _TEENS[words[0]], 1
    elif words[0] in _DIGITS:
        whole, at = int(_DIGITS[words[0]]), 1
        if words[1:2] == ["hundred"]:
            whole, at = 100 * whole, 2
    figures = ""
    if words[at : at + 1] == ["point"]:
        for word in words[at + 1 : at + 4]:
            if word not in _DIGITS:
                break
            figures += _DIGITS[word]
    if figures:
        return float(f"{whole}.{figures}"), at + 1 + len(figures)
    return (float(whole), at) if at else None


@cache
def _meanings() -> tuple[tuple[str, str, str], ...]:
    """Every phrase of a line, what kind of word it is, and what it means; the longest first."""
    rows = [(phrase, "wheel", word) for phrase, word in _wheel_words().items()] + [
        (phrase, "part", word)
        for phrase, word in (
            _alone_words() | _OWNED | {"front plate": "front_plate", "back plate": "back_plate", "plates": "plates"}
        ).items()
    ]
    for kind, table in (
        ("state", _STATES),
        ("extent", _EXTENTS),
        ("matters", _SIGNIFICANCES),
        ("unit", _UNITS),
        ("dimension", _DIMENSIONS),
    ):
        rows += [(phrase, kind, str(word)) for phrase, word in table.items() if (phrase, kind) != ("teeth", "unit")]
    rows += (
        [(phrase, "hedge", str(sure)) for phrase, sure in _HEDGES.items()]
        + [(word, "place", word) for word in _PLACES]
        + [(word, "train", word) for word in ("strike", "chime", "going")]
    )
    rows += [(word, "link", "") for word in ("is", "are", "of", "the", "on")] + [("not", "not", "")]
    return tuple(sorted(rows, key=lambda row: -len(row[0])))


@cache
def _wheel_words() -> dict[str, str]:
    found: dict[str, str] = {}
    for word in _WHEELS:
        if word not in components():
            continue
        found[word.replace("_", " ")] = word
        if word.endswith("_wheel") and word.split("_")[0] in (
            "great",
            "second",
            "third",
            "fourth",
            "fifth",
            "centre",
            "escape",
            "intermediate",
            "contrate",
        ):
            found[f"{word.split('_')[0]} arbor"] = word
    return found


@cache
def _alone_words() -> dict[str, str]:
    return {word.replace("_", " "): word for word in _ALONE}


def _phrases(table: Mapping[str, str]) -> list[str]:
    return sorted(table)


def _either(words: Mapping[str, object] | list[str] | tuple[str, ...]) -> str:
    return " | ".join(words)
