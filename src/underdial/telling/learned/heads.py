"""What the network answers of a stretch of words: where it points for its part, which part, wheel, place, condition.

Never here: which words say anything (`sayings`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from underdial.telling.learned import network
from underdial.telling.learned.laid_out import Text
from underdial.telling.learned.network import Array, Weights

# Steps of distance between a saying and the word that names its part; beyond the last step all is far.
_STEPS = (0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 30, 40, 60, 80, 120)
_MIDDLE = 20
# Of how many parts, wheels and places the combinations are weighed.
COMBINATIONS_COUNT = (4, 3, 3)
# How many of the likeliest parts and conditions a saying lists.
_LISTED_COUNT = 8


@dataclass(frozen=True)
class Reading:
    """One part with its wheel and place, and the chance of part, wheel and place together."""

    component: str
    of: str | None
    place: str | None
    probability: float


def points_at(
    w: Weights, text: Text, words: Array, inside: npt.NDArray[np.intp], spans: Sequence[tuple[int, int]]
) -> tuple[Array, Array, Array, Array]:
    """For each span: its mean vector, where it points for its part (shares of the words), the vector pointed at, the
    shares of the parts.
    """
    said = np.array([words[at : last + 1].mean(axis=0) for at, last in spans], np.float32)
    near = (
        network.affine(w, "pointer_from", said)
        @ network.affine(w, "pointer_to", words).T
        / np.float32(np.sqrt(w.of["pointer_from"].shape[0]))
    )
    near += (
        w.of["distance"][_steps(inside[[at for at, _ in spans]][:, None] - inside[None, :])]
        + w.of["kind_weight"][text.kinds[inside]]
    )
    share = network.softmax(near)
    pointed: Array = share @ words
    part = network.affine(w, "component", said) + network.affine(w, "component_pointed", pointed)
    naming = [(row, one) for row, word in enumerate(inside) for one in text.named[word]]
    if naming:
        rows, ones = np.array(naming).T
        np.add.at(part.T, ones, w.of["copy"][0] * share[:, rows].T)
    return said, share, pointed, network.softmax(part)


def of_parts(w: Weights, said: Array, pointed: Array, parts: Array, count: int) -> tuple[npt.NDArray[np.intp], Array]:
    """The likeliest parts of each span, shape (n, count), and what is known of the span beside each part, shape (n,
    count, 3 d).
    """
    best = _best(parts, count)
    return best, np.concatenate(
        (*(np.repeat(x[:, None], best.shape[1], axis=1) for x in (said, pointed)), w.of["component_vector"][best]),
        axis=2,
    )


def condition_chances(w: Weights, scores: Array, of_part: Array, shares: Array) -> Array:
    """The chance of each condition, shape (n, conditions): for each likely part what is said of such a part, weighed
    by the part's share.
    """
    given = network.softmax(scores[:, None] + answer(w, "condition_given", of_part))
    found: Array = np.einsum("np,npc->nc", shares / shares.sum(axis=1, keepdims=True), given)
    return found


def answer(w: Weights, name: str, of_part: Array) -> Array:
    """What the head of this name scores for each part of each span."""
    return network.affine(w, f"{name}.answer", network.bent(network.affine(w, f"{name}.hidden", of_part)))


def likely_readings(
    w: Weights, said: Array, of_part: Array, best: npt.NDArray[np.intp], parts: Array
) -> list[tuple[Reading, ...]]:
    """For each saying the likeliest parts with wheel and place, as many as it is said of."""
    _, of_count, place_count = COMBINATIONS_COUNT
    wanted = network.affine(w, "count", said).argmax(axis=1) + 1
    of, place = (network.softmax(answer(w, name, of_part)) for name in ("of", "place"))
    best_of, best_place = _best(of, of_count), _best(place, place_count)
    chances = (
        np.take_along_axis(parts, best, axis=1)[:, :, None, None]
        * np.take_along_axis(of, best_of, axis=2)[:, :, :, None]
        * np.take_along_axis(place, best_place, axis=2)[:, :, None, :]
    )
    likeliest = np.argsort(-chances.reshape(len(said), -1), axis=1, kind="stable")
    found: list[tuple[Reading, ...]] = []
    for at, count in enumerate(wanted):
        rows, ofs, places = np.unravel_index(likeliest[at, :count], chances.shape[1:])
        found.append(
            tuple(
                Reading(
                    w.names["components"][best[at, row]],
                    w.names["of"][best_of[at, row, i]] or None,
                    w.names["places"][best_place[at, row, j]] or None,
                    float(chances[at, row, i, j]),
                )
                for row, i, j in zip(rows, ofs, places, strict=True)
            )
        )
    return found


def most_likely(shares: Array, names: Sequence[str]) -> Mapping[str, float]:
    """The largest shares by their names, the largest first."""
    return {names[at]: float(shares[at]) for at in _best(shares, _LISTED_COUNT)}


def _best(shares: Array, count: int) -> npt.NDArray[np.intp]:
    """The places of the largest along the last axis, the largest first."""
    some = np.argpartition(-shares, count - 1, axis=-1)[..., :count]
    order = np.argsort(-np.take_along_axis(shares, some, axis=-1), axis=-1, kind="stable")
    found: npt.NDArray[np.intp] = np.take_along_axis(some, order, axis=-1)
    return found


def _steps(distances: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
    """The numbers of the steps of distances in words; words before the saying count upward from the middle, words
    behind it downward.
    """
    step = np.searchsorted(_STEPS, np.abs(distances))
    return np.where(distances >= 0, _MIDDLE + step, _MIDDLE - step)
