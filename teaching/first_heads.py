"""Where the heads for conditions and components begin: the mean sentence vector of the ways each is said.

A condition that no writer spoke of is then near what it means, and few examples go far.

Never here: labelled speech. Needs torch.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

import torch
import torch.nn.functional as F
from torch import Tensor

from teaching.answers import COMPONENTS, CONDITIONS
from teaching.base_weights import PADDING, WordPieces
from teaching.network import Network
from underdial.telling.learned.pieces import CLOSE, OPEN
from underdial.telling.names import lexicon, states

# Enough ways to say a thing for a steady mean; some conditions have hundreds.
CONDITION_FORMS, COMPONENT_FORMS = 40, 25
# Pieces of one form; phrases are short.
_LONGEST = 20
_AT_ONCE = 256
# How far apart the scores stand at first, found by trial.
CONDITION_SCALE, COMPONENT_SCALE, VECTOR_LENGTH = 5.0, 1.5, 2.0


def begin_heads(network: Network, pieces: WordPieces) -> None:
    """Set the heads for conditions and components, and the components' own vectors."""
    conditions = mean_vectors(network, pieces, [condition_forms(name) for name in CONDITIONS])
    components = mean_vectors(network, pieces, [component_forms(name) for name in COMPONENTS])
    with torch.no_grad():
        network.condition.weight.copy_(conditions * CONDITION_SCALE)
        network.component.weight.copy_(components * COMPONENT_SCALE)
        network.component_vector.weight.copy_(F.normalize(components, dim=1) * VECTOR_LENGTH)


def condition_forms(name: str) -> list[str]:
    """Phrases that say that a condition is there, drawn by its name; the name itself when there is none."""
    said = [
        phrase
        for phrase, readings in states.state_phrases().items()
        if any(one.condition == name and one.present for one in readings)
    ]
    random.Random(name).shuffle(said)
    return said[:CONDITION_FORMS] or [name.replace("_", " ")]


def component_forms(name: str) -> list[str]:
    """Names of a component."""
    names: Mapping[str, Sequence[str]] = lexicon.part_names()
    return list(names.get(name, ())[:COMPONENT_FORMS]) or [name.replace("_", " ")]


def mean_vectors(network: Network, pieces: WordPieces, forms: Sequence[Sequence[str]]) -> Tensor:
    """The mean direction of each list of forms less the mean of all, shape (lists, d)."""
    vectors = F.normalize(sentence_vectors(network, pieces, [form for own in forms for form in own]), dim=1)
    means = torch.stack([own.mean(0) for own in vectors.split([len(own) for own in forms])])
    return means - means.mean(0)


@torch.no_grad()
def sentence_vectors(network: Network, pieces: WordPieces, said: Sequence[str]) -> Tensor:
    """The mean vector of the pieces of each phrase, nothing else being known of them, shape (n, d)."""
    network.eval()
    found = []
    for begin in range(0, len(said), _AT_ONCE):
        cut = [pieces.of(phrase.split())[:_LONGEST] for phrase in said[begin : begin + _AT_ONCE]]
        ids = torch.full((len(cut), max(map(len, cut)) + 2), pieces[PADDING])
        within = torch.zeros(ids.shape, dtype=torch.bool)
        for row, own in enumerate(cut):
            ids[row, : len(own) + 2] = torch.tensor([pieces[OPEN], *own, pieces[CLOSE]])
            within[row, 1 : len(own) + 1] = True
        vectors = network.encode(ids, None, ids != pieces[PADDING])
        found.append((vectors * within[:, :, None]).sum(1) / within.sum(1, keepdim=True))
    return torch.cat(found)
