"""What the network reads out of a look-over while it is taught: the same way as `underdial.telling.learned.sayings`,
with torch.

Findings of the network alone, without the grammar's: the figure that says whether teaching goes forward.

Never here: losses; what the app makes of both readers together. Needs torch.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import torch
import torch.nn.functional as F
from benchmarks.lookover_score import Score, score
from torch import Tensor

from teaching.answers import COMPONENTS, CONDITIONS, DECISIONS, OFS, PLACES, SIGNIFICANCE, STATES, WHO
from teaching.base_weights import WordPieces
from teaching.examples import Example
from teaching.lessons import Seen, batch_of, encoded, seen_of
from teaching.network import Network
from teaching.stretches import BEGINS, GOES_ON, OUTSIDE, LaidOut, Stretch, stretches, targets
from underdial.telling.learned.sayings import BEGINS_PROBABILITY, GOES_ON_PROBABILITY

# A saying likelier than this to be a restatement makes no finding.
AGAIN_PROBABILITY = 0.5
# How many components, wheels and places are tried together.
_TRIED = (4, 3, 3)


@dataclass(frozen=True)
class Read:
    """A saying as read: words `first` to `last`, the chance that they say anything, shares of each list of answers.

    said, pointed : tensor, shape (d,). `count` is of how many parts it is said.
    """

    first: int
    last: int
    probability: float
    components: Tensor
    conditions: Tensor
    states: Tensor
    again_probability: float
    pointed_at: int
    count: int
    significance: str | None
    decision: str | None
    who: str
    said: Tensor
    pointed: Tensor


@torch.no_grad()
def read(
    network: Network,
    laid: LaidOut,
    pieces: WordPieces,
    *,
    begins_probability: float = BEGINS_PROBABILITY,
    goes_on_probability: float = GOES_ON_PROBABILITY,
) -> list[Read]:
    """All sayings of a look-over in order, each begun by a word that is likelier than `begins_probability` to belong to
    one, and gone on with by words likelier than the other.
    """
    network.eval()
    return [
        saying
        for stretch in stretches(len(laid.ids))
        for saying in _of_stretch(network, laid, stretch, pieces, begins_probability, goes_on_probability)
    ]


def _of_stretch(
    network: Network,
    laid: LaidOut,
    stretch: Stretch,
    pieces: WordPieces,
    begins_probability: float,
    goes_on_probability: float,
) -> list[Read]:
    lesson = [(laid, stretch)]
    vectors = encoded(network, batch_of(lesson, pieces))
    # Only the words seen are wanted of the targets.
    seen = seen_of(vectors, lesson, [targets(laid, stretch)])
    shares = F.softmax(network.begin(seen.window.vectors), -1).numpy()
    numbers = seen.window.numbers.tolist()
    found: list[Read] = []
    passed = -1
    for at, word in enumerate(numbers):
        inside = stretch.begin <= laid.first[word] < stretch.end
        if not inside or word <= passed or 1.0 - shares[at, OUTSIDE] <= begins_probability:
            continue
        last = at
        while last + 1 < len(numbers) and shares[last + 1, GOES_ON] > max(
            shares[last + 1, BEGINS], goes_on_probability
        ):
            last += 1
        passed = numbers[last]
        found.append(_saying(network, laid, seen, at, last, float(1.0 - shares[at : last + 1, OUTSIDE].min())))
    return found


def _saying(network: Network, laid: LaidOut, seen: Seen, at: int, last: int, probability: float) -> Read:
    window = seen.window
    said = window.vectors[at : last + 1].mean(0, keepdim=True)
    first_word, last_word = int(window.numbers[at]), int(window.numbers[last])
    scores, pointed, log_shares = network.point(
        said, window.numbers[at : at + 1], torch.zeros(1, dtype=torch.long), window
    )
    components = F.softmax(scores[0], -1)
    conditions = network.condition_shares(
        said, pointed, network.condition_scores(said, [laid.sayable_in(first_word, last_word)]), components
    )
    chosen = {name: int(getattr(network, name)(said).argmax()) for name in ("count", "significance", "decision", "who")}
    return Read(
        first_word,
        last_word,
        probability,
        components,
        conditions,
        F.softmax(network.state(said)[0], -1),
        float(torch.sigmoid(network.again(said))),
        int(window.numbers[int(log_shares[0].argmax())]),
        chosen["count"] + 1,
        SIGNIFICANCE[chosen["significance"]],
        DECISIONS[chosen["decision"]],
        WHO[chosen["who"]],
        said[0],
        pointed[0],
    )


@torch.no_grad()
def findings(network: Network, laid: LaidOut, sayings: Sequence[Read]) -> list[dict[str, Any]]:
    """The findings of these sayings in the keys of the scorer; what was found before is not found again."""
    found: dict[tuple[str | None, ...], dict[str, Any]] = {}
    words = laid.example.words
    for one in sayings:
        if one.again_probability > AGAIN_PROBABILITY:
            continue
        condition, state = CONDITIONS[int(one.conditions.argmax())], STATES[int(one.states.argmax())]
        for component, of, place in _likeliest(network, one):
            entry = {"component": component, "of": of, "place": place, "condition": condition, "state": state}
            found.setdefault(
                tuple(entry.values()), {**entry, "start_s": words[one.first].start_s, "end_s": words[one.last].start_s}
            )
    return list(found.values())


def _likeliest(network: Network, one: Read) -> list[tuple[str, str | None, str | None]]:
    """The likeliest components with wheel and place, as many as the saying is said of."""
    tried = []
    for component in _best(one.components, _TRIED[0]):
        of, place = (
            F.softmax(scores, -1)
            for scores in network.reading_scores(one.said, one.pointed, torch.tensor(component))[:2]
        )
        tried += [
            (float(one.components[component] * of[i] * place[j]), component, i, j)
            for i in _best(of, _TRIED[1])
            for j in _best(place, _TRIED[2])
        ]
    tried.sort(reverse=True)
    return [(COMPONENTS[component], OFS[of], PLACES[place]) for _, component, of, place in tried[: one.count]]


def _best(shares: Tensor, count: int) -> list[int]:
    return [int(row) for row in np.argsort(-shares.numpy(), kind="stable")[:count]]


def score_of(example: Example, made: Sequence[Mapping[str, Any]]) -> Score:
    """The scorer's figures for these findings; numbers are not the network's."""
    return score(example.gold, {"findings": made})


def grammar_findings(example: Example) -> list[dict[str, Any]]:
    """What the grammar alone found, in the keys of the scorer."""
    return [
        {
            "component": one.component,
            "of": one.of,
            "place": one.place,
            "condition": one.condition,
            "state": one.state,
            "start_s": one.start_s,
            "end_s": one.end_s,
        }
        for one in example.grammar
    ]
