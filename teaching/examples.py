"""A file of labelled bench speech as an example: its words with the grammar's tags, its labels laid on the words.

The speech goes the reader's own way (captions, words, misheard words put right, sentences), so that the network is
taught on what it will be shown. Labels are laid on the words that they quote (`teaching.quotes`).

Never here: numbers for the network.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from benchmarks.lookover_score import VALUE_TOLERANCE_RATIO

from teaching import quotes, told
from teaching.answers import COMPONENT_ROWS, QUANTITY_ROWS, UNIT_ROWS
from underdial.telling import look_over
from underdial.telling.heard import Finding
from underdial.telling.learned.laid_out import items_of_words
from underdial.telling.made_ready import bench_orders, breaks, mishearing
from underdial.telling.measurements.number_words import NumberWords, number_words
from underdial.telling.sentences import clauses, tags
from underdial.telling.sentences.items import Item
from underdial.telling.speech import captions, words

# A number may begin this long before its line of speech: the time of a word within a caption is an estimate.
NEAR_S = 1.5
# A number may stand this long behind the beginning of its line of speech.
LONGEST_NUMBER_S = 20.0


@dataclass(frozen=True)
class TaggedWord:
    """A word, the stop behind it, kind and value of the tag it belongs to, its sentence, when it was said."""

    text: str
    stop: str
    kind: str
    value: str
    sentence: int
    start_s: float | None


@dataclass(frozen=True)
class Label:
    """One label; `part` are the numbers of the words that name the part, `accept` what counts as right besides."""

    component: str
    of: str | None
    place: str | None
    condition: str
    state: str
    again: bool
    part: tuple[int, ...]
    accept: Mapping[str, Sequence[str]]
    significance: str | None
    decision: str | None
    who: str


@dataclass(frozen=True)
class Saying:
    """The words `first` to `last` (both included), and all that is labelled as said by them."""

    first: int
    last: int
    labels: tuple[Label, ...]


@dataclass(frozen=True)
class Number:
    """The words `first` to `last` are a number.

    `unit` and `quantity` are those of its label, `of` the label's part and wheel; None when nothing was measured.
    """

    first: int
    last: int
    unit: str | None = None
    quantity: str | None = None
    component: str | None = None
    of: str | None = None


@dataclass(frozen=True)
class GrammarFinding:
    """A finding of the grammar and the words it was found in; None when it has no time."""

    component: str
    of: str | None
    place: str | None
    condition: str
    state: str
    first: int | None
    last: int | None
    start_s: float | None
    end_s: float | None


@dataclass(frozen=True)
class Example:
    """A look-over with its labels. `rough`: without stops; `gold`: the labels in the keys of the scorer;
    `lost_count`: labels whose quote is not among the words."""

    name: str
    rough: bool
    words: tuple[TaggedWord, ...]
    sayings: tuple[Saying, ...]
    numbers: tuple[Number, ...]
    grammar: tuple[GrammarFinding, ...]
    gold: Mapping[str, Any]
    lost_count: int


def read_example(path: Path, *, stops: bool | None = None, cut: str | None = None) -> Example:
    """The example of a told file; `stops` and `cut` render it otherwise than its head says.

    Raises BadInput, naming file and line, when it is broken.
    """
    return example_of(told.read(path), stops=stops, cut=cut)


def example_of(speech: told.Told, *, stops: bool | None = None, cut: str | None = None) -> Example:
    """The example of labelled speech."""
    rendered = told.render(speech, stops=stops, cut=cut)
    heard, example = _heard(rendered.captions, rendered.gold)
    sayings, lost_count = _sayings(heard, speech.sayings)
    return replace(example, sayings=sayings, lost_count=lost_count)


def example_without_sayings(text: str, gold: Mapping[str, Any]) -> Example:
    """The example of captions whose labels quote no words: no label is laid on words yet."""
    return _heard(text, gold)[1]


def _heard(text: str, gold: Mapping[str, Any]) -> tuple[list[words.Word], Example]:
    """The words of captions, and their example without sayings."""
    transcript = captions.parse(text, name=gold["file"])
    sentences, rough = sentences_of(transcript)
    heard = [word for sentence in sentences for word in sentence]
    grammar = _grammar(heard, look_over.read(transcript, layers=look_over.GRAMMAR).findings)
    return heard, Example(
        gold["id"],
        rough,
        tagged(sentences),
        (),
        numbers_of(heard, number_words(sentences), gold["measurements"]),
        grammar,
        gold,
        0,
    )


def numbers_of(
    heard: Sequence[words.Word], said: Sequence[NumberWords], measured: Sequence[Mapping[str, Any]]
) -> tuple[Number, ...]:
    """Every number with its label: each label goes to the nearest number of its value that was said in its time or soon
    behind it.
    """
    labels: dict[int, Mapping[str, Any]] = {}
    for label in measured:
        fits = [
            at
            for at, one in enumerate(said)
            if at not in labels and _has_value(one, label) and _in_time_of(heard[one.first].start_s, label["start_s"])
        ]
        if fits:
            labels[
                min(fits, key=lambda at: abs((heard[said[at].first].start_s or 0.0) - (label["start_s"] or 0.0)))
            ] = label
    return tuple(_number(one, labels.get(at)) for at, one in enumerate(said))


def _has_value(one: NumberWords, label: Mapping[str, Any]) -> bool:
    values = (one.spoken, one.value) if one.unit is None or one.unit == label["unit"] else (one.value,)
    return any(
        abs(value - abs(label["value"])) <= VALUE_TOLERANCE_RATIO * abs(label["value"]) + 1e-9 for value in values
    )


def _in_time_of(moment_s: float | None, label_s: float | None) -> bool:
    return moment_s is not None and label_s is not None and label_s - NEAR_S <= moment_s <= label_s + LONGEST_NUMBER_S


def _number(one: NumberWords, label: Mapping[str, Any] | None) -> Number:
    if label is None or label["unit"] not in UNIT_ROWS or label["quantity"] not in QUANTITY_ROWS:
        return Number(one.first, one.last)
    component, _, of = (label["of"] or "").partition(":")
    return Number(
        one.first,
        one.last,
        label["unit"],
        label["quantity"],
        component if component in COMPONENT_ROWS else None,
        of or None,
    )


def sentences_of(transcript: captions.Transcript) -> tuple[Sequence[Sequence[words.Word]], bool]:
    """The sentences that the reader reads, and whether the speech was written without stops."""
    said = words.split(transcript.cues)
    rough = words.is_unpunctuated(transcript.cues)
    said = mishearing.put_right(said, rough=rough)
    sentences, _, _ = bench_orders.take_out(clauses.sentences(breaks.with_stops(said) if rough else said))
    return sentences, rough


def items_of(sentences: Sequence[Sequence[words.Word]]) -> list[list[Item]]:
    """The row of items of each sentence, as the reader tags it."""
    return [tags.tag_sentence(sentence) for sentence in sentences]


def tagged(sentences: Sequence[Sequence[words.Word]]) -> tuple[TaggedWord, ...]:
    """All words in order, each with the tag of the item it belongs to."""
    return tuple(TaggedWord(word.text, word.stop, kind, value, number, word.start_s)
                 for number, (sentence, items) in enumerate(zip(sentences, items_of(sentences), strict=True))
                 for word, (kind, value) in zip(sentence, items_of_words(sentence, items), strict=True))  # fmt: skip


def _sayings(heard: Sequence[words.Word], spoken: Sequence[told.Saying]) -> tuple[tuple[Saying, ...], int]:
    """The labels by the words that tell them, and how many have no such words."""
    by_words: dict[tuple[int, int], list[Label]] = {}
    lost_count = 0
    for saying, places in zip(spoken, quotes.laid(heard, spoken), strict=True):
        for label, quoted in zip(saying.labels, places, strict=True):
            if not quoted.state:
                lost_count += 1
                continue
            laid = Label(
                label.component,
                label.of,
                label.place,
                label.condition,
                label.state,
                label.again,
                quoted.part,
                label.accept,
                label.significance,
                label.decision,
                label.who,
            )
            by_words.setdefault((quoted.state[0], quoted.state[-1]), []).append(laid)
    return tuple(Saying(first, last, tuple(labels)) for (first, last), labels in by_words.items()), lost_count


def _grammar(heard: Sequence[words.Word], findings: Sequence[Finding]) -> tuple[GrammarFinding, ...]:
    """What the grammar found, each with the words of the time it was found at."""
    rows = []
    for one in findings:
        own = (
            []
            if one.start_s is None
            else [
                number
                for number, word in enumerate(heard)
                if word.start_s is not None and one.start_s - 1e-6 <= word.start_s < (one.end_s or one.start_s)
            ]
        )
        rows.append(
            GrammarFinding(
                one.component,
                one.of,
                one.place,
                one.condition,
                one.state,
                own[0] if own else None,
                own[-1] if own else None,
                one.start_s,
                one.end_s,
            )
        )
    return tuple(rows)
