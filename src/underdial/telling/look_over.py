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
from underdial.telling.measurements.taking_down import take_down
from underdial.telling.names import part_words
from underdial.telling.parts_meant.focus import Focus
from underdial.telling.parts_meant.notebook import Notebook
from underdial.telling.sentences import clauses
from underdial.telling.speech import captions, words
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
# Without the learned reading.
GRAMMAR = frozenset(LAYERS) - {"learned"}
# From this share of the sentences on a closing summary may begin.
_SUMMARY_FROM = 0.8
# So many sentences at the least may be the opening.
_OPENING_COUNT = 12
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
    rough = words.is_unpunctuated(transcript.cues)
    said = words.split(transcript.cues)
    untimed = bool(said) and all(word.start_s is None for word in said)
    said = _put_right(second_reading.timed(said) if untimed else said, rough, layers)
    sentences, account.orders, account.private = bench_orders.take_out(clauses.sentences(said))
    closed = said[-1].end_s if said else None
    account.private = [(start, closed if end is None else end) for start, end in account.private]
    traits = _traits(text_of(said), settings.family)
    bench = spoken_units.Bench(
        tenth_value=settings.tenth_mm,
        oscillator="balance" if "balance" in traits and "torsion" not in traits else "pendulum",
    )
    focus = Focus(traits=traits, several_trains=_has_several_trains(text_of(said)), counting=settings.counting)
    _read_sentences(account, sentences, Notebook(focus, layers, int(_SUMMARY_FROM * len(sentences))), bench, rough)
    if "learned" in layers:
        again = second_reading.read_again(
            account.findings,
            account.measurements,
            sentences,
            rough=rough,
            tenth_mm=settings.tenth_mm,
            passed_over=frozenset(bench.passed_over) - {None},
        )
        account.findings, account.measurements, account.in_doubt = again.findings, again.measurements, again.in_doubt
    if untimed:
        _without_times(account)
    not_ended = bench_orders.not_ended(account.orders)
    account.warnings += [not_ended] if not_ended else []
    return account


def _put_right(said: tuple[words.Word, ...], rough: bool, layers: frozenset[str]) -> tuple[words.Word, ...]:
    """The words with what a recogniser misheard put right, and stops where it wrote none."""
    if "mishearing" in layers:
        said = mishearing.put_right(said, rough=rough)
    return breaks.with_stops(said) if rough and "stops" in layers else said


def _traits(text: str, family: str | None) -> frozenset[str]:
    """What the clock has, by its family and by what is named in the look-over."""
    named = (trait for trait, pattern in part_words.TRAIT_WORDS.items() if re.search(rf"\b(?:{pattern})\b", text))
    return frozenset(named) | (frozenset() if family is None else traits_of(family))


def _has_several_trains(text: str) -> bool:
    return len(re.findall(r"\b(?:strike|chime|striking|chimes)\b", text)) >= 2


def _read_sentences(
    account: Account,
    sentences: Sequence[tuple[words.Word, ...]],
    book: Notebook,
    bench: spoken_units.Bench,
    rough: bool,
) -> None:
    """What the grammar makes of each sentence: a part of the owner's story, or findings and measurements."""
    story = OwnerStory()
    for index, sentence in enumerate(sentences):
        told = "owner_story" in book.layers and story.hear(
            sentence, index, before_findings=_is_opening(account, book, sentence, index, len(sentences))
        )
        if told and rough:
            sentence = _behind_the_story(sentence)
            told = not sentence
        if told:
            book.claims(sentence)
            continue
        if measuring.speaks_of_arc(sentence):
            book.arc_at = index
        read_sentence(book, sentence, index)
        take_down(account, book, sentence, index, bench)
    account.findings, account.facts = book.findings, story.facts


def _is_opening(
    account: Account, book: Notebook, sentence: Sequence[words.Word], index: int, sentences_count: int
) -> bool:
    """Whether hardly a part has been looked at yet, so that what is told may be the owner's."""
    early = index < max(_OPENING_COUNT, sentences_count // 4)
    return len(book.findings) < 2 and early and not _on_the_bench(account, sentence)


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
    for finding in (*account.findings, *account.in_doubt):
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
