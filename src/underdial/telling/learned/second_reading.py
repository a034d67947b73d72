"""The grammar's findings and the learned sayings brought together: what both say, what one says well enough.

Every finding of the grammar and every saying of the learned reading is a candidate; the same fact from both is one
candidate. The chance that a candidate is right is learned from look-overs that neither had seen: it rises where both
agree and falls where a likelier reading of the same words stands beside it. A candidate is kept from `KEEP_PROBABILITY`
on. What only the learned reading found says so in its rule, with the words, the word taken for the part and the chance.
What is too doubtful to be kept, but may well have been meant, is handed on apart: nothing comes of it until somebody
says that it is so.

Never here: the network; rules of grammar.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from underdial.telling.heard import PLAIN_CERTAINTY, Finding, Measurement
from underdial.telling.learned import laid_out, sayings, second_numbers
from underdial.telling.learned.candidates import AGAIN_PROBABILITY, NEAR_COUNT, Candidate, apart, candidates, spans_of
from underdial.telling.learned.only_named import only_named
from underdial.telling.learned.sayings import Saying
from underdial.telling.learned.weighing_up import (
    KEEP_PROBABILITY,
    WEIGHTY_PROBABILITY,
    chances_of,
    is_doubtful,
    is_unsure_of_state,
    turned_round,
    without_taken_back,
)
from underdial.telling.sentences import tags
from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import Word, raw_of, text_of

# What only the learned reading found is shown as a guess below this.
_SURE_PROBABILITY = 0.75
# From here on what is not kept is in doubt; nearly every second of these is right (decision 0127).
DOUBT_PROBABILITY = 0.2
# So many words before and behind what is in doubt are shown, within its sentence.
_AROUND_COUNT = 6
_ENDING = frozenset(".?")


@dataclass(frozen=True)
class ReadAgain:
    """Findings and measurements in the order they were said, and findings that are in doubt, the same."""

    findings: list[Finding]
    measurements: list[Measurement]
    in_doubt: list[Finding]


def read_again(
    findings: Sequence[Finding],
    measurements: Sequence[Measurement],
    sentences: Sequence[Sequence[Word]],
    *,
    rough: bool,
    tenth_mm: float = 0.1,
    passed_over: frozenset[float | None] = frozenset(),
) -> ReadAgain:
    """A look-over after both readings.

    `rough`: a recogniser wrote no stops. `passed_over`: times of numbers that the grammar took for none of this clock.
    """
    words = [word for sentence in sentences for word in sentence]
    if not words:
        return ReadAgain(list(findings), list(measurements), [])
    told = spans_of(findings, words)
    tagged = [tags.tag_sentence(sentence) for sentence in sentences]
    said = only_named(sayings.find(sentences, tagged, told, rough=rough, tenth_mm=tenth_mm), text_of(words))
    rows = candidates(told, said.sayings)
    of_words = [
        item
        for sentence, items in zip(sentences, tagged, strict=True)
        for item in laid_out.items_of_words(sentence, items)
    ]
    likely = chances_of(rows, rough=rough)
    weighty: dict[tuple[str, str], list[Candidate]] = {}
    for row, chance in zip(rows, likely, strict=True):
        if chance >= WEIGHTY_PROBABILITY and row.finding is not None:
            weighty.setdefault((row.component, row.condition), []).append(row)
    sure = [
        0.0
        if is_unsure_of_state(row)
        or turned_round(row, weighty.get((row.component, row.condition), ()), of_words)
        or is_doubtful(row, chance)
        else chance
        for row, chance in zip(rows, likely, strict=True)
    ]
    chances = without_taken_back(rows, sure)
    hedges = _hedges(sentences, tagged)
    # What is gainsaid, or may as well be the other way round, must be likely before it is shown at all.
    doubtful = [
        (row, chance)
        for row, chance, before, after in zip(rows, likely, sure, chances, strict=True)
        if after < KEEP_PROBABILITY
        and before == after
        and chance >= (DOUBT_PROBABILITY if before else KEEP_PROBABILITY)
    ]
    kept = [
        (row, _finding(row, words, hedges, chance))
        for row, chance in zip(rows, chances, strict=True)
        if chance >= KEEP_PROBABILITY
    ]
    placed = {id(finding) for finding, _, _ in told}
    kept.sort(key=lambda pair: (pair[0].begin, pair[0].end))
    kept = _told_once(kept)
    result = [finding for _, finding in kept] + [finding for finding in findings if id(finding) not in placed]
    _say_again(said.sayings, kept, words)
    return ReadAgain(
        result,
        second_numbers.measured_again(measurements, said.numbers, words, passed_over=passed_over),
        [_doubted(row, words, hedges, chance) for row, chance in _apart_from(result, doubtful)],
    )


def _apart_from(kept: Sequence[Finding], doubtful: Sequence[tuple[Candidate, float]]) -> list[tuple[Candidate, float]]:
    """What is in doubt, in the order it was said: the likeliest reading of the same words, and nothing that is kept."""
    told: list[tuple[Candidate, float]] = []
    for row, chance in sorted(doubtful, key=lambda pair: -pair[1]):
        if not any(_same_fact(row, one) for one in kept) and not any(
            _same_fact(row, one) or apart(row, one) == 0 for one, _ in told
        ):
            told.append((row, chance))
    return sorted(told, key=lambda pair: (pair[0].begin, pair[0].end))


def _same_fact(row: Candidate, other: Finding | Candidate) -> bool:
    return row.fact == (other.component, other.condition, other.state) and (
        row.of == other.of or None in (row.of, other.of)
    )


def _doubted(row: Candidate, words: Sequence[Word], hedges: Sequence[float], chance: float) -> Finding:
    """What is in doubt, with enough of the words around it to be judged by."""
    finding = _finding(row, words, hedges, chance)
    first, last = row.begin, row.end
    while first > row.begin - _AROUND_COUNT and first and words[first - 1].stop not in _ENDING:
        first -= 1
    while last < row.end + _AROUND_COUNT and last + 1 < len(words) and words[last].stop not in _ENDING:
        last += 1
    rule = finding.rule if row.finding is None else f"{finding.rule}; chance {chance:.2f}"
    return replace(finding, words=raw_of(words[first : last + 1]), rule=rule)


def _hedges(sentences: Sequence[Sequence[Word]], tagged: Sequence[Sequence[Item]]) -> list[float]:
    """For each word the lowest hedge of its sentence, else the plain certainty."""
    found: list[float] = []
    for sentence, items in zip(sentences, tagged, strict=True):
        lowest = min((float(item.value.rstrip("n")) for item in items if item.kind == "hedge"), default=PLAIN_CERTAINTY)
        found += [lowest] * len(sentence)
    return found


def _finding(row: Candidate, words: Sequence[Word], hedges: Sequence[float], chance: float) -> Finding:
    """The finding of a kept candidate: the grammar's where it has one, of the wheel and place that the learned
    reading gives it.
    """
    if row.finding is not None:
        if (row.finding.of, row.finding.place) != (row.of, row.place):
            row.finding.of, row.finding.place, row.finding.rule = (
                row.of,
                row.place,
                f"{row.finding.rule}; wheel and place learned from labelled speech",
            )
        return row.finding
    saying = row.learned
    assert saying is not None
    said = raw_of(words[row.begin : row.end + 1])
    named_at = row.listed.named_at if row.saying is None and row.listed else saying.pointed_at
    part = words[saying.pointed_at]
    first = min(row.begin, named_at) if row.begin - named_at <= NEAR_COUNT else row.begin
    return Finding(
        row.component,
        row.condition,
        row.state,
        row.of,
        row.place,
        hedges[row.begin],
        saying.significance,
        saying.decision,
        saying.who,
        start_s=words[first].start_s,
        end_s=words[row.end].end_s,
        words=raw_of(words[first : row.end + 1]),
        rule=f"learned from labelled speech: '{said}', {'listed with' if row.saying is None else 'the part from'} "
        f"'{part.raw}'; chance {chance:.2f}",
        guess=f"{said} taken as {row.condition.replace('_', ' ')} of {row.component.replace('_', ' ')}"
        if chance < _SURE_PROBABILITY
        else None,
    )


def _told_once(kept: Sequence[tuple[Candidate, Finding]]) -> list[tuple[Candidate, Finding]]:
    """One finding of each part, wheel, place, condition and state; a later one adds its time, and a weight or
    decision the first has not.
    """
    first: dict[tuple[str | None, ...], tuple[Candidate, Finding]] = {}
    for row, finding in kept:
        same = first.setdefault(
            (finding.component, finding.of, finding.place, finding.condition, finding.state), (row, finding)
        )[1]
        if same is not finding:
            same.also_s += [
                start_s
                for start_s in (finding.start_s, *finding.also_s)
                if start_s is not None and start_s not in same.also_s
            ]
            same.significance, same.decision = (
                same.significance or finding.significance,
                same.decision or finding.decision,
            )
    return list(first.values())


def _say_again(found: Sequence[Saying], kept: Sequence[tuple[Candidate, Finding]], words: Sequence[Word]) -> None:
    """Put what is only said once more on the finding it is said of: its time, and a weight or decision that finding
    has not.
    """
    for saying in found:
        if saying.hint or saying.again_probability <= AGAIN_PROBABILITY:
            continue
        component, condition = (max(of, key=lambda name: of[name]) for of in (saying.components, saying.conditions))
        before = [finding for row, finding in kept if row.end < saying.begin and finding.component == component]
        meant = next(
            (finding for finding in reversed(before) if finding.condition == condition), before[-1] if before else None
        )
        if meant is None:
            continue
        start_s = words[saying.begin].start_s
        if start_s is not None and start_s not in meant.also_s:
            meant.also_s.append(start_s)
        meant.significance = meant.significance or saying.significance
        meant.decision = meant.decision or saying.decision


def timed(words: Sequence[Word]) -> tuple[Word, ...]:
    """Words of a text without times, each given its number as its time, so that findings can be told apart by it; the
    two that one was opened into ("it's") share theirs.
    """
    out: list[Word] = []
    first = 0
    for at, word in enumerate(words):
        if word.raw != words[first].raw or word.text == words[first].text:
            first = at
        out.append(replace(word, start_s=float(first), end_s=first + 1.0))
    return tuple(out)
