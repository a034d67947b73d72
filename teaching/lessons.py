"""Stretches of look-overs as one lesson: tensors for the network, what is hidden from it, and how far off it is.

Never here: the network's own sums, the order of lessons. Needs torch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import torch
import torch.nn.functional as F
from torch import Tensor

from teaching.base_weights import MASKED, PADDING, WordPieces
from teaching.network import Network, Window
from teaching.stretches import (
    IGNORED,
    KIND,
    TOLD_CONDITION,
    VALUE,
    LaidOut,
    NumberTarget,
    SayingTarget,
    Stretch,
    Targets,
    targets,
)
from underdial.telling.learned.pieces import CLOSE, OPEN

# What is hidden in a lesson, so that the network leans on nothing alone: a word's tag, what the grammar found at a word
# or in the whole stretch, the word itself.
HIDDEN_TAG_PROBABILITY = 0.12
HIDDEN_TOLD_PROBABILITY = 0.1
HIDDEN_GRAMMAR_PROBABILITY = 0.15
HIDDEN_WORD_PROBABILITY = 0.08
# Weights of outside, begins, goes on: a saying missed costs more than one too many.
BEGUN_WEIGHTS = (1.0, 1.5, 1.0)
# What is only said beside a finding counts half, and so does the pointer, whose targets are quotes and not always
# there.
LESS = {"significance": 0.5, "decision": 0.5, "who": 0.5, "count": 1.0}
POINTED_WEIGHT = 0.5
# What another network's answers may soften: where writers of labels differ most.
SOFTENED = ("component", "condition", "of", "place", "state", "count")
NUMBER_WEIGHT = 0.7
_IMPOSSIBLE = -1e4

Piece = tuple[LaidOut, Stretch]


@dataclass(frozen=True)
class Batch:
    """Stretches beside each other: ids of shape (b, n), marks of shape (b, n, 6), mask of shape (b, n), true at pieces.

    A stretch stands at places 1 to its length, between the two pieces that open and close it.
    """

    ids: Tensor
    marks: Tensor
    mask: Tensor


def batch_of(lesson: Sequence[Piece], pieces: WordPieces, hiding: np.random.Generator | None = None) -> Batch:
    """The stretches as tensors; with `hiding`, some of what is known is left out by chance."""
    width = max(stretch.high - stretch.low for _, stretch in lesson) + 2
    ids = np.full((len(lesson), width), pieces[PADDING], np.int64)
    marks = np.zeros((len(lesson), width, 6), np.int64)
    mask = np.zeros((len(lesson), width), bool)
    for row, (laid, stretch) in enumerate(lesson):
        own, known = laid.ids[stretch.low : stretch.high].copy(), laid.marks[stretch.low : stretch.high].copy()
        if hiding is not None:
            _hide(own, known, laid.owner[stretch.low : stretch.high], pieces[MASKED], hiding)
        ids[row, 0], ids[row, len(own) + 1] = pieces[OPEN], pieces[CLOSE]
        ids[row, 1 : len(own) + 1], marks[row, 1 : len(own) + 1] = own, known
        mask[row, : len(own) + 2] = True
    return Batch(torch.from_numpy(ids), torch.from_numpy(marks), torch.from_numpy(mask))


def _hide(ids: np.ndarray, marks: np.ndarray, owner: np.ndarray, masked: int, hiding: np.random.Generator) -> None:
    """Leave out, in place and word by word: tags, the grammar's findings, words; stops (owner -1) go together."""
    by_word = hiding.random((3, owner.max(initial=0) + 2))[:, owner]
    marks[by_word[0] < HIDDEN_TAG_PROBABILITY, KIND : VALUE + 1] = 0
    all_told = hiding.random() < HIDDEN_GRAMMAR_PROBABILITY
    marks[(by_word[1] < HIDDEN_TOLD_PROBABILITY) | all_told, TOLD_CONDITION:] = 0
    ids[by_word[2] < HIDDEN_WORD_PROBABILITY] = masked


@dataclass(frozen=True)
class Seen:
    """The words that are seen in a batch, and the targets of its sayings, each with its stretch.

    offsets : the place in `window` where each stretch's words begin.
    """

    window: Window
    offsets: tuple[int, ...]
    sayings: tuple[tuple[int, SayingTarget], ...]
    numbers: tuple[tuple[int, NumberTarget], ...]

    def means(self, of: Sequence[tuple[int, SayingTarget | NumberTarget]]) -> Tensor:
        """The mean of the words of each of these sayings or numbers, shape (s, d)."""
        return torch.stack(
            [self.window.vectors[[self.offsets[row] + word for word in one.words]].mean(0) for row, one in of]
        )


def seen_of(vectors: Tensor, lesson: Sequence[Piece], wanted: Sequence[Targets]) -> Seen:
    """The words of each stretch as the pointer sees them."""
    offsets = tuple(int(at) for at in np.cumsum([0, *(len(one.seen) for one in wanted)])[:-1])
    rows = np.concatenate([np.full(len(one.seen), row) for row, one in enumerate(wanted)])
    numbers = np.concatenate([one.seen for one in wanted])
    places = np.concatenate(
        [laid.first[one.seen] - stretch.low + 1 for (laid, stretch), one in zip(lesson, wanted, strict=True)]
    )
    kinds = np.concatenate([laid.kinds[one.seen] for (laid, _), one in zip(lesson, wanted, strict=True)])
    naming = [
        (at, component)
        for at, (row, number) in enumerate(zip(rows, numbers, strict=True))
        for component in lesson[row][0].named[number]
    ]
    named = torch.tensor(naming, dtype=torch.long).reshape(-1, 2)
    window = Window(
        vectors[torch.from_numpy(rows), torch.from_numpy(places)],
        torch.from_numpy(numbers),
        torch.from_numpy(rows),
        torch.from_numpy(kinds),
        (named[:, 0], named[:, 1]),
    )
    return Seen(
        window,
        offsets,
        tuple((row, saying) for row, one in enumerate(wanted) for saying in one.sayings),
        tuple((row, number) for row, one in enumerate(wanted) for number in one.numbers),
    )


@dataclass(frozen=True)
class Softened:
    """Labels softened by what another network answers: `share` of the losses of `SOFTENED` is against its answers
    instead of the label.
    """

    by: Network
    share: float


def losses(
    network: Network,
    lesson: Sequence[Piece],
    pieces: WordPieces,
    hiding: np.random.Generator,
    softened: Softened | None = None,
) -> tuple[dict[str, Tensor], int]:
    """How far off the network is on one lesson: the parts, summed over sayings and words, and the number of sayings.

    What softens the labels sees the lesson with nothing hidden.
    """
    wanted = [targets(laid, stretch) for laid, stretch in lesson]
    own = _answers(network, batch_of(lesson, pieces, hiding), lesson, wanted)
    parts = _label_losses(network, own, wanted)
    if softened is not None:
        with torch.no_grad():
            others = _answers(softened.by, batch_of(lesson, pieces), lesson, wanted)
        for name in (name for name in SOFTENED if name in own.of_sayings):
            parts[name] = (1.0 - softened.share) * parts[name] + softened.share * _from_shares(
                own.of_sayings[name], others.of_sayings[name]
            )
    return parts, len(own.seen.sayings)


@dataclass(frozen=True)
class _Answers:
    """What a network answers in one lesson: scores of where sayings begin, shape (b, n, 3); of each question by its
    name, a row a saying, or a reading for wheel and place.
    """

    seen: Seen
    begin: Tensor
    of_sayings: dict[str, Tensor]
    log_shares: Tensor | None = None


def _answers(network: Network, batch: Batch, lesson: Sequence[Piece], wanted: Sequence[Targets]) -> _Answers:
    vectors = encoded(network, batch)
    seen = seen_of(vectors, lesson, wanted)
    begin = network.begin(vectors)
    if not seen.sayings:
        return _Answers(seen, begin, {})
    sayings = [saying for _, saying in seen.sayings]
    said = seen.means(seen.sayings)
    scores, pointed, log_shares = network.point(
        said,
        torch.tensor([saying.first_word for saying in sayings]),
        torch.tensor([row for row, _ in seen.sayings]),
        seen.window,
    )
    rows = _readings_of(sayings)
    own = torch.tensor([number for number, *_ in rows])
    of, place, given = network.reading_scores(
        said[own], pointed[own], torch.tensor([component for _, component, _, _ in rows])
    )
    # Wheel and place are told for each component of a saying, the condition for the first of them.
    first = torch.tensor([row for row, (number, *_) in enumerate(rows) if row == 0 or rows[row - 1][0] != number])
    condition = network.condition_scores(said, [one.sayable for one in sayings]) + given[first]
    more = {name: getattr(network, name)(said) for name in ("state", "again", *LESS)}
    return _Answers(
        seen, begin, {"component": scores, "of": of, "place": place, "condition": condition, **more}, log_shares
    )


def _readings_of(sayings: Sequence[SayingTarget]) -> list[tuple[int, int, Sequence[int], Sequence[int]]]:
    """Number of the saying, component, wheels and places of every reading."""
    return [(number, *reading) for number, saying in enumerate(sayings) for reading in saying.readings]


def encoded(network: Network, batch: Batch) -> Tensor:
    """The encoder's vectors in single precision; inside it half as many bits do and are twice as fast."""
    with torch.autocast("cpu", dtype=torch.bfloat16):
        vectors = network.encode(batch.ids, batch.marks, batch.mask)
    return vectors.float()


def _label_losses(network: Network, own: _Answers, wanted: Sequence[Targets]) -> dict[str, Tensor]:
    parts = {
        "begin": F.cross_entropy(
            own.begin.reshape(-1, 3),
            _begun(own.begin, wanted).reshape(-1),
            ignore_index=IGNORED,
            reduction="sum",
            weight=torch.tensor(BEGUN_WEIGHTS),
        )
    }
    if own.of_sayings:
        parts |= _saying_losses(own)
    if own.seen.numbers:
        parts["number"] = NUMBER_WEIGHT * _number_loss(network, own.seen)
    return parts


def _begun(scores: Tensor, wanted: Sequence[Targets]) -> Tensor:
    """What each piece begins or goes on with, as labelled, shape (b, n)."""
    begun = torch.full(scores.shape[:2], IGNORED)
    for row, one in enumerate(wanted):
        begun[row, 1 : len(one.begun) + 1] = torch.from_numpy(one.begun)
    return begun


def _saying_losses(own: _Answers) -> dict[str, Tensor]:
    seen, of = own.seen, own.of_sayings
    sayings = [saying for _, saying in seen.sayings]
    rows = _readings_of(sayings)
    parts = {
        "component": _any_of(
            of["component"], [one.components for one in sayings], [one.accepted_components for one in sayings]
        ),
        "condition": _any_of(
            of["condition"], [one.conditions for one in sayings], [one.accepted_conditions for one in sayings]
        ),
        "of": _shared(of["of"], [ofs for _, _, ofs, _ in rows]),
        "place": _shared(of["place"], [places for *_, places in rows]),
        "state": _shared(of["state"], [one.states for one in sayings]),
        "again": F.binary_cross_entropy_with_logits(
            of["again"][:, 0], torch.tensor([float(one.again) for one in sayings]), reduction="sum"
        ),
    }
    for name, weight in LESS.items():
        parts[name] = weight * F.cross_entropy(
            of[name], torch.tensor([getattr(one, name) for one in sayings]), reduction="sum"
        )
    at = [
        (number, [seen.offsets[row] + word for word in saying.pointed])
        for number, (row, saying) in enumerate(seen.sayings)
        if saying.pointed
    ]
    if at and own.log_shares is not None:
        parts["pointer"] = (
            POINTED_WEIGHT
            * -torch.stack([torch.logsumexp(own.log_shares[number, words], 0) for number, words in at]).sum()
        )
    return parts


def _from_shares(scores: Tensor, others: Tensor) -> Tensor:
    """Cross entropy against another network's shares, summed.

    Source: Hinton, Vinyals, Dean 2015, Distilling the knowledge in a neural network (at temperature 1).
    """
    return -(F.log_softmax(scores.float(), -1) * F.softmax(others.float(), -1)).sum()


def _number_loss(network: Network, seen: Seen) -> Tensor:
    """The unit of every number, none being one answer; quantity, part and wheel of what was measured."""
    said = seen.means(seen.numbers)
    targets = [number for _, number in seen.numbers]
    loss = F.cross_entropy(network.unit(said), torch.tensor([one.unit for one in targets]), reduction="sum")
    measured = torch.tensor([at for at, one in enumerate(targets) if one.quantity is not None], dtype=torch.long)
    if len(measured):
        loss = loss + F.cross_entropy(
            network.quantity(said[measured]), torch.tensor([targets[at].quantity for at in measured]), reduction="sum"
        )
    of_part = torch.tensor([at for at, one in enumerate(targets) if one.component is not None], dtype=torch.long)
    if len(of_part):
        own = [targets[at] for at in of_part]
        scores, pointed, _ = network.point(
            said[of_part],
            torch.tensor([one.first_word for one in own]),
            torch.tensor([seen.numbers[at][0] for at in of_part]),
            seen.window,
        )
        components = torch.tensor([one.component for one in own])
        loss = loss + F.cross_entropy(scores, components, reduction="sum")
        loss = loss + F.cross_entropy(
            network.reading_scores(said[of_part], pointed, components)[0],
            torch.tensor([one.of for one in own]),
            reduction="sum",
        )
    return loss


def _shared(scores: Tensor, right: Sequence[Sequence[int]]) -> Tensor:
    """Cross entropy against answers that share one target evenly, summed."""
    target = torch.zeros(scores.shape)
    for number, rows in enumerate(right):
        target[number, list(rows)] = 1.0 / len(rows)
    return -(F.log_softmax(scores.float(), -1) * target).sum()


def _any_of(scores: Tensor, right: Sequence[Sequence[int]], accepted: Sequence[Sequence[int]]) -> Tensor:
    """Half the cross entropy against the labels, half that against the chance of any accepted answer, summed."""
    barred = torch.full(scores.shape, _IMPOSSIBLE)
    for number, rows in enumerate(accepted):
        barred[number, list(rows)] = 0.0
    any_accepted = torch.logsumexp(F.log_softmax(scores.float(), -1) + barred, -1)
    return 0.5 * _shared(scores, right) - 0.5 * any_accepted.sum()
