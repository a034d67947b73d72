"""A spoken look-over from its captions to everything that was said in it: the way through this room.

    captions -> words -> misheard words put right -> private stretches out -> sentences -> clauses
      -> findings, measurements, the owner's story -> a second, learned reading of the findings -> what was not examined

`LAYERS` names the steps that can be left out, so that a benchmark can say what each of them adds.

Never here: files, sound.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from underdial.telling.findings.reading import read as read_sentence
from underdial.telling.heard import Account
from underdial.telling.learned import second_reading
from underdial.telling.made_ready import bench_orders, breaks, mishearing
from underdial.telling.made_ready.owner_story import OwnerStory
from underdial.telling.measurements import measuring, spoken_units
from underdial.telling.names import part_words
from underdial.telling.parts_meant.focus import Focus
from underdial.telling.parts_meant.notebook import Notebook, note
from underdial.telling.sentences import clauses
from underdial.telling.speech import captions, numbers, words
from underdial.telling.speech.words import text_of
from underdial.trade.families import traits_of

LAYERS = (
    "mishearing",
    "stops",
    "negation",
    "hedges",
    "focus",
    "references",
    "likely_parts",
    "corrections",
    "questions",
    "status",
    "weight",
    "merging",
    "owner_story",
    "learned",
)
_OF_THE_GOING = ("half_arc", "total_arc", "beat_error", "beat_rate", "rate")


@dataclass(frozen=True)
class Settings:
    """What the words of one speaker mean: the kind of clock, how wheels are counted, what "a tenth" is."""

    family: str | None = None
    counting: str = "uk"
    tenth_mm: float = 0.1


def read(
    transcript: captions.Transcript, *, settings: Settings | None = None, layers: frozenset[str] = frozenset(LAYERS)
) -> Account:
    """Everything said in a look-over. Deterministic: the same words give the same account."""
    settings = settings or Settings()
    account = Account(warnings=list(transcript.warnings))
    said = words.split(transcript.cues)
    untimed = bool(said) and all(word.start_s is None for word in said)
    if untimed:
        said = second_reading.timed(said)
    rough = words.is_unpunctuated(transcript.cues)
    if "mishearing" in layers:
        said = mishearing.put_right(said, rough=rough)
    if rough and "stops" in layers:
        said = breaks.with_stops(said)
    text = text_of(said)
    traits = (frozenset() if settings.family is None else traits_of(settings.family)) | frozenset(
        trait for trait, pattern in part_words.TRAIT_WORDS.items() if re.search(rf"\b(?:{pattern})\b", text)
    )
    several = len(re.findall(r"\b(?:strike|chime|striking|chimes)\b", text)) >= 2
    sentences, account.orders, account.private = bench_orders.take_out(clauses.sentences(said))
    book = Notebook(
        focus=Focus(traits=traits, several_trains=several, counting=settings.counting),
        layers=layers,
        summary_from=int(0.8 * len(sentences)),
    )
    story = OwnerStory()
    bench = spoken_units.Bench(
        tenth_value=settings.tenth_mm,
        oscillator="balance" if "balance" in traits and "torsion" not in traits else "pendulum",
    )
    for index, sentence in enumerate(sentences):
        opening = (
            len(book.findings) < 2 and index < max(12, len(sentences) // 4) and not _on_the_bench(account, sentence)
        )
        told = "owner_story" in layers and story.hear(sentence, index, before_findings=opening)
        if told and rough:
            sentence = _behind_the_story(sentence)
            told = not sentence
        if told:
            book.claims(sentence)
            continue
        if measuring.speaks_of_arc(sentence):
            book.arc_at = index
        read_sentence(book, sentence, index)
        _measure(account, book, sentence, index, bench)
    closed = said[-1].end_s if said else None
    account.private = [(start, closed if end is None else end) for start, end in account.private]
    account.findings, account.facts = book.findings, story.facts
    if "learned" in layers:
        account.findings, account.measurements = second_reading.read_again(
            book.findings,
            account.measurements,
            sentences,
            rough=rough,
            tenth_mm=settings.tenth_mm,
            passed_over=frozenset(bench.passed_over) - {None},
        )
    if untimed:
        _without_times(account)
    not_ended = bench_orders.not_ended(account.orders)
    account.warnings += [not_ended] if not_ended else []
    return account


def _said_to_be_in_beat(sentence: Sequence[words.Word]) -> bool:
    """Whether the beat error is called small enough: a number alone does not put a clock out of beat."""
    return (
        re.search(
            r"(?<!not )\bin beat\b|\bbeat (?:is|was) (?:even|fine|good|right|okay)\b|\bacceptable\b", text_of(sentence)
        )
        is not None
    )


def _on_the_bench(account: Account, sentence: Sequence[words.Word]) -> bool:
    """Whether the clock has been heard going: from then on a rate is a reading, and no complaint."""
    return (
        any(one.quantity in _OF_THE_GOING for one in account.measurements)
        or sentence[0].text == "rate"
        or re.search(r"\bon (?:the|my) (?:bench|stand|test|test stand)\b|\bby the machine\b", text_of(sentence))
        is not None
    )


def _without_times(account: Account) -> None:
    """Take away the times that were only given to tell words apart."""
    for finding in account.findings:
        finding.start_s, finding.end_s, finding.also_s = None, None, []
    for measured in account.measurements:
        measured.start_s = None
    account.private = [(None, None) for _ in account.private]
    account.orders = [replace(order, start_s=None) for order in account.orders]


def _behind_the_story(sentence: tuple[words.Word, ...]) -> tuple[words.Word, ...]:
    """Where no stops were written the first finding may follow the owner's words in one breath: what begins with it."""
    for clause in clauses.clauses(sentence)[1:]:
        first = clause.phrases[0] if clause.phrases else None
        named = (
            first is not None
            and first.preposition is None
            and first.start - clause.start <= 2
            and any(item.kind in ("part", "shared", "wheel") for item in first.items)
        )
        if named and clause.states and clause.states[0].start >= (first.end if first else 0):
            return sentence[clause.start :]
    return ()


def _measure(
    account: Account, book: Notebook, sentence: tuple[words.Word, ...], index: int, bench: spoken_units.Bench
) -> None:
    """The numbers of a sentence, each of the part named with it, and the value of the finding it belongs to."""
    near = book.focus.subjects[0] if book.focus.subjects else None
    if (
        account.measurements
        and index - account.measurements[-1].sentence <= 1
        and re.match(
            r"^(?:(?:no|oh|sorry|wait|hang on|er) )*(?:scratch that|strike that|correction|i tell a lie|make that"
            r"|call that|i mean|sorry|no|rather)\b",
            text_of(sentence),
        )
        and len(sentence) <= 8
    ):
        last = account.measurements[-1]
        reads = measuring.read(sentence, index, near, book.named, bench)
        spoken = next((one for one in reads if spoken_units.of_one_kind(one.unit, last.unit)), None)
        # With a unit of another kind it is another measurement, and corrects nothing.
        value = (
            spoken.value
            if spoken is not None
            else None
            if reads
            else next(
                (
                    one.value
                    for at in range(len(sentence))
                    if (one := numbers.read([word.text for word in sentence], at)) is not None
                ),
                None,
            )
        )
        if value is not None:
            book.findings = [f for f in book.findings if not (f.rule == "told by the number" and f.value == last.value)]
            bench.passed_over.append(last.start_s)
            last.unit = spoken.unit if spoken is not None else last.unit
            last.value, last.start_s, last.words, last.sentence = (
                value,
                sentence[0].start_s,
                " ".join(word.raw for word in sentence),
                index,
            )
            return
    for measured in measuring.read(sentence, index, near, book.named, bench):
        again = [
            m
            for m in account.measurements[-4:]
            if (m.value, m.unit, m.of) == (measured.value, measured.unit, measured.of)
        ]
        if again:
            continue
        account.measurements.append(measured)
        if measured.quantity in ("half_arc", "total_arc"):
            book.arc_at = index
        if (
            measured.quantity == "beat_error"
            and measured.value > 0
            and "status" in book.layers
            and not _said_to_be_in_beat(sentence)
        ):
            note(book, "movement", "out_of_beat", sentence, index, measured.value, measured.unit)
        part = (measured.of or "").split(":")[0]
        for finding in reversed(book.findings[-6:]):
            if (
                finding.value is None
                and finding.component == part
                and index - finding.sentence <= 2
                and finding.state == "present"
            ):
                finding.value, finding.unit = measured.value, measured.unit
                break
