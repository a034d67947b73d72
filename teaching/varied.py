"""An example said of other parts: names of parts changed for others of the same part, or of another part altogether.

The states that any part may have ("loose", "missing") are said of parts that no writer spoke of, so that rare parts
are met too. Words that tell a state are left alone.

Never here: the network.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from teaching.answers import COMPONENT_ROWS
from teaching.examples import Example, GrammarFinding, Label, Saying, TaggedWord
from underdial.telling.names import lexicon
from underdial.telling.speech.words import listed

# Conditions that may be said of any part.
OF_ANY_PART = listed(
    "good missing loose dirty rusty broken cracked unexamined not_tested not_accessible replaced bent worn tarnished "
    "scratched chipped sticking stained"
)
# Chances found by trial: often enough to meet rare names, seldom enough to keep the writers' own.
OTHER_PART_PROBABILITY = 0.25
OTHER_NAME_PROBABILITY = 0.3


@dataclass(frozen=True)
class _Run:
    """Words `first` to `last` that name one part."""

    first: int
    last: int
    component: str


def varied(example: Example, rng: random.Random) -> Example:
    """The example with some names of parts changed, its labels and the grammar's findings with them."""
    runs = [run for run in _runs(example.words) if run.component in lexicon.part_names()]
    said = {word for saying in example.sayings for word in range(saying.first, saying.last + 1)}
    free = [run for run in runs if said.isdisjoint(range(run.first, run.last + 1))]
    swaps = _swaps(
        example, sorted({run.component for run in free} - {run.component for run in runs if run not in free}), rng
    )
    words, moved = _renamed(example.words, {run.first: run for run in free}, swaps, rng)
    return replace(
        example,
        words=tuple(words),
        numbers=tuple(replace(one, first=moved[one.first], last=moved[one.last]) for one in example.numbers),
        sayings=tuple(
            Saying(moved[one.first], moved[one.last], tuple(_moved_label(label, swaps, moved) for label in one.labels))
            for one in example.sayings
        ),
        grammar=tuple(_moved_finding(one, swaps, moved) for one in example.grammar),
    )


def _runs(words: Sequence[TaggedWord]) -> Iterator[_Run]:
    """Words beside each other that name the same part, with no stop between."""
    at = 0
    while at < len(words):
        last = at
        if words[at].kind == "part":
            while last + 1 < len(words) and _goes_on(words[last], words[last + 1]):
                last += 1
            yield _Run(at, last, words[at].value)
        at = last + 1


def _goes_on(word: TaggedWord, following: TaggedWord) -> bool:
    return (
        following.kind == "part"
        and following.value == word.value
        and following.sentence == word.sentence
        and not word.stop
    )


def _swaps(example: Example, components: Sequence[str], rng: random.Random) -> dict[str, str]:
    """Those of these parts that are changed for others: all that is said of them may be said of any part."""
    labels = [label for saying in example.sayings for label in saying.labels]
    others = [part for part, names in lexicon.part_names().items() if names and part in COMPONENT_ROWS]
    found = {}
    for component in components:
        own = [label for label in labels if label.component == component]
        may = (
            own
            and all(label.condition in OF_ANY_PART and not label.accept and label.part for label in own)
            and not any(label.of == component for label in labels)
        )
        if may and rng.random() < OTHER_PART_PROBABILITY:
            found[component] = rng.choice(others)
    return found


def _renamed(
    words: Sequence[TaggedWord], runs: dict[int, _Run], swaps: dict[str, str], rng: random.Random
) -> tuple[list[TaggedWord], dict[int, int]]:
    """The words with some runs under other names, and where each old word now stands."""
    new: list[TaggedWord] = []
    moved: dict[int, int] = {}
    at = 0
    while at < len(words):
        run = runs.get(at)
        if run is not None and (run.component in swaps or rng.random() < OTHER_NAME_PROBABILITY):
            moved |= dict.fromkeys(range(run.first, run.last + 1), len(new))
            component = swaps.get(run.component, run.component)
            names = lexicon.part_names()[component]
            name = rng.choice(names).split() if names else [words[at].text]
            new += [replace(words[at], text=text, stop="", value=component) for text in name]
            new[-1] = replace(new[-1], stop=words[run.last].stop)
            at = run.last + 1
        else:
            moved[at] = len(new)
            new.append(words[at])
            at += 1
    return new, moved


def _moved_label(label: Label, swaps: dict[str, str], moved: dict[int, int]) -> Label:
    return replace(
        label,
        component=swaps.get(label.component, label.component),
        part=tuple(sorted({moved[word] for word in label.part})),
    )


def _moved_finding(one: GrammarFinding, swaps: dict[str, str], moved: dict[int, int]) -> GrammarFinding:
    places = (None, None) if one.first is None or one.last is None else (moved[one.first], moved[one.last])
    return replace(one, component=swaps.get(one.component, one.component), first=places[0], last=places[1])
