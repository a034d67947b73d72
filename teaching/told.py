"""Told files: an invented look-over as it was spoken, with the labels of each saying right under it.

The form is told in teaching/bench_speech/README.md. A file is read into frozen records and checked against the trade's
vocabulary; what is wrong becomes one sentence with file and line. `render` gives the same look-over as captions
(WebVTT, SubRip, text with times; with stops or as a recogniser without them; cut by sentence or anywhere), the labels
in the form of tests/data/lookovers, and the seconds of each saying.

Times are invented: about 2.6 words a second, longer words longer. They follow from the file's name and from its
words alone, so that the same file gives the same captions on every machine.

    python -m teaching.told FILE...      words, findings and numbers of each file, or what is wrong with it
"""

from __future__ import annotations

import random
import re
import sys
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from underdial.errors import BadInput
from underdial.record.finding import DECISIONS, SIGNIFICANCES
from underdial.trade.vocabulary import components, conditions, quantities

FORMS = ("vtt", "srt", "txt")
CUTS = ("sentence", "anywhere")
TRAINS = ("going", "strike", "chime", "alarm")
# Where on a part: the words of the rules of labelling, and the hours of a dial.
PLACES = frozenset(
    [
        "front",
        "back",
        "both",
        "all",
        "upper",
        "lower",
        "left",
        "right",
        "entry",
        "exit",
        "inside",
        "outer",
        "inner",
        "tip",
        "top",
        "bottom",
        "middle",
        "side",
        "outside",
        "centre",
        "winding_hole",
        "outer_end",
        "inner_end",
        "thread",
        "numerals",
        "spandrels",
        "joints",
        "corners",
        "edge",
        "rim",
        "slots",
        "top_left",
        "top_right",
        "bottom_left",
        "bottom_right",
        "front_left",
        "front_right",
        "back_left",
        "back_right",
        "hook",
        "boss",
        "base",
        *(f"at_{hour}" for hour in range(1, 13)),
    ]
)
PLAIN_CERTAINTY = 0.9
_STATES = {"is": "present", "no": "absent", "unseen": "not_examined"}
_OTHERS_SEEN = ("owner", "earlier-work")
# What is counted is told by its own word; the vocabulary has no unit for it.
_COUNTED = {"tooth_count": "teeth", "leaf_count": "leaves", "broken_strands": "strands"}
_HEAD = ("clock", "speaker", "form", "stops", "cut")
_PIECE = re.compile(r'[^\s"=]+=(?:"[^"]*"|\S+)|"[^"]*"|\S+')
_COMPLAINT = re.compile(r'(?:runs=(?P<runs>\S+) )?(?:rate=(?P<rate>\S+) )?"(?P<words>[^"]*)"')
_STOPS = re.compile(r"[.,;:?!\"“”]+(?=\s|$)|(?<=\s)[\"“]|--|—|–")
_SENTENCE_END = re.compile(r"[.?!]$")
_CUE_END = re.compile(r'[.?!]"?$')
_LONGEST_CUE_WORDS = 16
# A list longer than this is looked up, not read in a sentence.
_LONG_LIST_COUNT = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One finding that a saying tells, or (`again`) the restatement of an earlier one.

    `words` tell the state and `part` names the part, both as spoken; `accept` holds other readings that count as right,
    by key (component, condition, of).
    """

    component: str
    of: str | None = None
    place: str | None = None
    condition: str
    state: str
    words: str
    part: str | None = None
    certainty: float = PLAIN_CERTAINTY
    significance: str | None = None
    decision: str | None = None
    who: str = "repairer"
    value: float | None = None
    unit: str | None = None
    accept: Mapping[str, tuple[str, ...]]
    again: bool = False
    line: int

    @property
    def entry(self) -> tuple[str | None, ...]:
        """What makes two labels one entry of the record."""
        return (self.component, self.of, self.place, self.condition, self.state)


@dataclass(frozen=True, slots=True)
class Number:
    """A number that was said of the clock, in the unit spoken."""

    quantity: str
    of: str | None
    value: float
    unit: str
    line: int


@dataclass(frozen=True, slots=True)
class Saying:
    """A line of speech, one or two sentences, with what it tells."""

    text: str
    labels: tuple[Label, ...]
    numbers: tuple[Number, ...]
    line: int


@dataclass(frozen=True, slots=True)
class Story:
    """What the owner said at the counter: the complaint, wishes, who worked on it last."""

    complaint: str | None = None
    runs_for_s: float | None = None
    rate_s_per_day: float | None = None
    requests: tuple[str, ...] = ()
    last_done: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """A whole look-over. `name` is folder letter and file, `A/01.told`; captions and times hang on it."""

    name: str
    clock: str
    speaker: str
    form: str
    stops: bool
    cut: str
    story: Story
    sayings: tuple[Saying, ...]


@dataclass(frozen=True, slots=True)
class TimedSaying:
    """A saying with the seconds between which it is said."""

    saying: Saying
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Rendered:
    """Captions, labels for them (the keys of tests/data/lookovers), and when each saying is said."""

    captions: str
    gold: dict[str, Any]
    timed: tuple[TimedSaying, ...]


def read(path: Path) -> Told:
    """Read a told file; its name is the letter of its folder and its own name.

    Raises BadInput, naming file and line, when it is broken.
    """
    return parse(path.read_text(encoding="utf-8"), name=f"{path.parent.name.upper()}/{path.name}")


def parse(text: str, *, name: str) -> Told:
    """A told file from its text, checked against the vocabulary and against its own words.

    Raises BadInput, naming file and line, when something is wrong: the first that is.
    """
    head: dict[str, str] = {}
    story = Story()
    sayings: list[Saying] = []
    for number, line in enumerate(text.splitlines(), 1):
        line = line.strip()
        try:
            if not line:
                continue
            if line.startswith("#"):
                _take_head(head, line)
            elif line.startswith("!"):
                story = _story(story, line)
            elif line.startswith(">"):
                saying = _last(sayings, line)
                sayings[-1] = replace(saying, labels=(*saying.labels, _label(line, number)))
            elif line.startswith("="):
                saying = _last(sayings, line)
                sayings[-1] = replace(saying, numbers=(*saying.numbers, _number(line, number)))
            else:
                sayings.append(Saying(line, (), (), number))
        except BadInput as wrong:
            raise _placed(wrong, name, number) from None
    for number, one in _amiss(head, sayings):
        raise _placed(one, name, number)
    return Told(
        name, head["clock"], head["speaker"], head["form"], head["stops"] == "yes", head["cut"], story, tuple(sayings)
    )


def render(told: Told, *, form: str | None = None, stops: bool | None = None, cut: str | None = None) -> Rendered:
    """Captions, labels and times of a look-over, in its own form or in another one."""
    form, stops, cut = form or told.form, told.stops if stops is None else stops, cut or told.cut
    rng = random.Random(told.name)
    words, timed = _spoken(told, stops, rng)
    cues = _by_sentence(words) if cut == "sentence" else _anywhere(words, rng)
    return Rendered(_written(cues, form), _gold(told, form, timed), timed)


def plain_words(text: str) -> list[str]:
    """The words of a text without stops and capitals, as quotes are compared with speech."""
    return re.sub(r"[^a-z0-9% ]+", " ", text.lower()).split()


def main(argv: Sequence[str]) -> int:
    """Say of each file what it holds, or what is wrong with it; 1 when one is broken."""
    broken = 0
    for path in map(Path, argv):
        try:
            told = read(path)
        except BadInput as wrong:
            print(wrong.message)
            broken += 1
            continue
        findings = sum(not label.again for saying in told.sayings for label in saying.labels)
        numbers = sum(len(saying.numbers) for saying in told.sayings)
        print(
            f"{told.name}: {sum(len(saying.text.split()) for saying in told.sayings)} words, {findings} findings, "
            f"{numbers} numbers"
        )
    return int(broken > 0)


def _placed(wrong: BadInput, name: str, line: int) -> BadInput:
    return BadInput(f"{name}, line {line}: {wrong.field}", wrong.value, wrong.allowed)


def _take_head(head: dict[str, str], line: str) -> None:
    key, _, value = (one.strip() for one in line[1:].partition(":"))
    if key not in _HEAD or key in head:
        raise BadInput("head", line, f"one line each for {', '.join(_HEAD)}")
    allowed = {"form": FORMS, "stops": ("yes", "no"), "cut": CUTS}.get(key)
    if not value or (allowed and value not in allowed):
        raise BadInput(key, value or "nothing", ", ".join(allowed) if allowed else "a few words")
    head[key] = value


def _story(story: Story, line: str) -> Story:
    key, _, told = line[1:].strip().partition(" ")
    if key == "complaint":
        match = _COMPLAINT.fullmatch(told)
        if match is None or story.complaint is not None:
            raise BadInput("complaint", told, '[runs=SECONDS] [rate=S_PER_DAY] "words", once')
        runs, rate = (None if match[one] is None else _decimal(one, match[one]) for one in ("runs", "rate"))
        return replace(story, complaint=match["words"], runs_for_s=runs, rate_s_per_day=rate)
    if not re.fullmatch(r'"[^"]+"', told):
        raise BadInput(key, told, "words between quotation marks")
    if key == "request":
        return replace(story, requests=(*story.requests, told.strip('"')))
    if key == "last_done":
        return replace(story, last_done=(*story.last_done, told.strip('"')))
    raise BadInput("story", key, "complaint, request, last_done")


def _last(sayings: list[Saying], line: str) -> Saying:
    if not sayings:
        raise BadInput("order", line, "a line of speech above its labels")
    return sayings[-1]


def _label(line: str, number: int) -> Label:
    left, colon, right = line.lstrip(">").strip().partition(" : ")
    told = _PIECE.findall(right)
    if not colon or not left or len(told) < 2:
        raise BadInput("label", line, '> COMPONENT [of=X] [at=PLACE] : is|no|unseen CONDITION "words"')
    component, *whose = _PIECE.findall(left)
    given: dict[str, Any] = {
        "component": _one_of("component", component, components()),
        "condition": _one_of("condition", told[1], conditions()),
        "state": _STATES[_one_of("state", told[0], _STATES)],
    }
    accept: dict[str, list[str]] = {}
    for piece in [*whose, *told[2:]]:
        key, _, value = ("words", "", piece) if piece.startswith('"') else piece.partition("=")
        value = value.strip('"')
        if key == "or":
            what, _, readings = value.partition(":")
            accept.setdefault(what, []).extend(_reading(what, one) for one in readings.split(","))
            continue
        made = _piece(key, value)
        if made.keys() & given.keys() or (key in ("of", "at")) != (piece in whose):
            raise BadInput("label", piece, "each piece once, of= and at= before the colon, the others behind it")
        given |= made
    if not given.get("words"):
        raise BadInput("label", line, "the words that tell the state, between quotation marks")
    return Label(
        **given,
        accept={what: tuple(readings) for what, readings in accept.items()},
        again=line.startswith(">>"),
        line=number,
    )


def _piece(key: str, value: str) -> dict[str, Any]:
    """One piece of a label as fields of the record."""
    match key:
        case "of":
            return {"of": _whose(value)}
        case "at":
            return {"place": _one_of("at", value, PLACES)}
        case "words" | "part":
            return {key: value}
        case "c":
            certainty = _decimal("c", value)
            if not 0.0 < certainty <= 1.0:
                raise BadInput("c", value, "a certainty above 0, up to 1")
            return {"certainty": certainty}
        case "sig":
            return {"significance": _one_of("sig", value, SIGNIFICANCES)}
        case "do":
            return {"decision": _one_of("do", value, DECISIONS)}
        case "who":
            return {"who": _one_of("who", value, _OTHERS_SEEN)}
        case "val":
            size = re.fullmatch(r"(-?[\d.]+)(.+)", value)
            if size is None:
                raise BadInput("val", value, "a number with its unit, such as 1.42mm")
            return {"value": _decimal("val", size[1]), "unit": _one_of("val", size[2], _units())}
    raise BadInput("label", key, "of, at, part, c, sig, do, who, val, or")


def _reading(what: str, value: str) -> str:
    match what:
        case "component":
            return _one_of("or=component", value, components())
        case "condition":
            return _one_of("or=condition", value, conditions())
        case "of":
            return _whose(value)
    raise BadInput("or", what, "component, condition, of")


def _whose(value: str) -> str:
    """A train, a part, or a part of a train (`strike.great_wheel`)."""
    train, dot, part = value.partition(".")
    if value not in TRAINS and value not in components() and not (dot and train in TRAINS and part in components()):
        raise BadInput("of", value, f"an id of a component, a train ({', '.join(TRAINS)}), or TRAIN.COMPONENT")
    return value


def _number(line: str, number: int) -> Number:
    pieces = line[1:].split()
    of = pieces.pop(1).removeprefix("of=") if len(pieces) > 1 and pieces[1].startswith("of=") else None
    if len(pieces) != 3:
        raise BadInput("number", line, "= QUANTITY [of=COMPONENT[:WHEEL]] VALUE UNIT")
    quantity, value, unit = pieces
    _one_of("quantity", quantity, quantities())
    if of is not None:
        part, colon, wheel = of.partition(":")
        _one_of("of", part, components())
        if colon:
            _whose(wheel)
    counted = quantities()[quantity].kind == "count"
    _one_of("unit", unit, (_COUNTED.get(quantity, "count"),) if counted else _units())
    return Number(quantity, of, _decimal(quantity, value), unit, number)


@cache
def _units() -> frozenset[str]:
    """Every unit of the vocabulary: a lock may be told in millimetres, though it is an angle."""
    return frozenset(unit for one in quantities().values() for unit in one.units)


def _one_of(what: str, value: str, allowed: Collection[str]) -> str:
    if value not in allowed:
        raise BadInput(
            what, value, ", ".join(sorted(allowed)) if len(allowed) < _LONG_LIST_COUNT else "an id of the vocabulary"
        )
    return value


def _decimal(what: str, value: str) -> float:
    try:
        return float(value)
    except ValueError:
        raise BadInput(what, value, "a number") from None


def _amiss(head: Mapping[str, str], sayings: Sequence[Saying]) -> Iterable[tuple[int, BadInput]]:
    """What only the whole file shows: a head that is not full, quotes nobody said, entries made twice."""
    missing = next((key for key in _HEAD if key not in head), None)
    if missing:
        yield 1, BadInput("head", f"no # {missing}:", f"one line each for {', '.join(_HEAD)}")
    if not sayings:
        yield 1, BadInput("speech", "nothing", "one line of speech at least")
    said: list[list[str]] = []
    made: dict[tuple[str | None, ...], int] = {}
    for saying in sayings:
        said.append(plain_words(saying.text))
        for label in saying.labels:
            if not _holds(said[-1], label.words):
                yield label.line, BadInput("words", f'"{label.words}"', "words of the speech right above")
            if label.part is not None and not any(_holds(words, label.part) for words in said):
                yield label.line, BadInput("part", f'"{label.part}"', "words of the speech above")
            if label.again and label.entry not in made:
                yield (
                    label.line,
                    BadInput("label", ">>", "> for what was not said before: only an entry made above is said again"),
                )
            if not label.again and label.entry in made:
                yield label.line, BadInput("label", ">", f">> here: the entry was made in line {made[label.entry]}")
            made.setdefault(label.entry, label.line)


def _holds(said: Sequence[str], quote: str) -> bool:
    wanted = plain_words(quote)
    return any(said[at : at + len(wanted)] == wanted for at in range(len(said)))


@dataclass(frozen=True, slots=True)
class _Word:
    text: str
    start_s: float
    end_s: float
    saying: int


def _spoken(told: Told, stops: bool, rng: random.Random) -> tuple[list[_Word], tuple[TimedSaying, ...]]:
    """Each word and each saying with its seconds. The order of the draws is part of the form: times hang on it."""
    now_s = rng.uniform(0.5, 2.0)
    words: list[_Word] = []
    timed: list[TimedSaying] = []
    for at, saying in enumerate(told.sayings):
        start_s = now_s
        for text in _as_heard(saying.text, stops):
            end_s = now_s + rng.uniform(0.75, 1.25) * (0.16 + 0.045 * len(text))
            words.append(_Word(text, now_s, end_s, at))
            now_s = end_s
            if _SENTENCE_END.search(text):
                now_s += rng.uniform(0.2, 0.8)
        timed.append(TimedSaying(saying, start_s, now_s))
        now_s += rng.uniform(0.1, 1.2) if rng.random() < 0.9 else rng.uniform(2, 9)
    return words, tuple(timed)


def _as_heard(text: str, stops: bool) -> list[str]:
    return text.split() if stops else _STOPS.sub(" ", text).lower().replace("-", " ").split()


def _by_sentence(words: Sequence[_Word]) -> list[list[_Word]]:
    """A cue ends with its sentence (of three words or more), its saying, or when it is long."""
    cues: list[list[_Word]] = [[]]
    for at, word in enumerate(words):
        cues[-1].append(word)
        last = at + 1 == len(words) or words[at + 1].saying != word.saying
        if last or len(cues[-1]) >= _LONGEST_CUE_WORDS or (len(cues[-1]) > 2 and _CUE_END.search(word.text)):
            cues.append([])
    return [cue for cue in cues if cue]


def _anywhere(words: Sequence[_Word], rng: random.Random) -> list[list[_Word]]:
    cues: list[list[_Word]] = []
    at = 0
    while at < len(words):
        count = rng.randint(5, 14)
        cues.append(list(words[at : at + count]))
        at += count
    return cues


def _written(cues: Sequence[Sequence[_Word]], form: str) -> str:
    lines = [(cue[0].start_s, cue[-1].end_s, " ".join(word.text for word in cue)) for cue in cues]
    if form == "vtt":
        return "WEBVTT\n\n" + "\n".join(f"{_clock(start)} --> {_clock(end)}\n{text}\n" for start, end, text in lines)
    if form == "srt":
        return "\n".join(
            f"{at}\n{_clock(start)} --> {_clock(end)}\n".replace(".", ",") + f"{text}\n"
            for at, (start, end, text) in enumerate(lines, 1)
        )
    return "\n".join(f"[{int(start // 60):02d}:{int(start % 60):02d}] {text}" for start, _, text in lines) + "\n"


def _clock(seconds_s: float) -> str:
    return f"{int(seconds_s // 3600):02d}:{int(seconds_s // 60) % 60:02d}:{seconds_s % 60:06.3f}"


def _gold(told: Told, form: str, timed: Sequence[TimedSaying]) -> dict[str, Any]:
    """The labels in the keys of tests/data/lookovers; what is said again adds a time, a weight or a decision."""
    name = told.name.removesuffix(".told").replace("/", "").lower()
    story = told.story
    findings: dict[tuple[str | None, ...], dict[str, Any]] = {}
    measurements = []
    for one in timed:
        start_s, end_s = round(one.start_s, 3), round(one.end_s, 3)
        for label in one.saying.labels:
            if label.again:
                _say_again(findings[label.entry], label, start_s)
                continue
            keys = (
                "component",
                "of",
                "place",
                "condition",
                "state",
                "certainty",
                "significance",
                "decision",
                "who",
                "value",
                "unit",
            )
            findings[label.entry] = {"start_s": start_s, "end_s": end_s, **{key: getattr(label, key) for key in keys}}
            if label.accept:
                findings[label.entry]["accept"] = {what: list(readings) for what, readings in label.accept.items()}
        measurements += [
            {
                "quantity": number.quantity,
                "of": number.of,
                "value": number.value,
                "unit": number.unit,
                "start_s": start_s,
            }
            for number in one.saying.numbers
        ]
    complaint = {"runs_for_s": story.runs_for_s, "rate_s_per_day": story.rate_s_per_day, "words": story.complaint}
    facts = {"complaint": complaint, "owner_requests": list(story.requests), "last_done": list(story.last_done)}
    return {
        "id": name,
        "file": f"{name}.{form}",
        "clock_type": told.clock,
        "facts": facts,
        "findings": list(findings.values()),
        "measurements": measurements,
    }


def _say_again(finding: dict[str, Any], label: Label, start_s: float) -> None:
    finding.setdefault("also_s", []).append(start_s)
    finding |= {
        key: value for key, value in (("significance", label.significance), ("decision", label.decision)) if value
    }
    if label.certainty != PLAIN_CERTAINTY:
        finding["certainty"] = label.certainty


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
