"""The network that is taught: an encoder of a few layers, and heads that read a saying off it.

The sentence encoder, with what the grammar knows of each word added to its pieces. A saying is the
mean of its words; its part is found by pointing at the word that names it, near or far. The reading computes the same
in NumPy (`underdial.telling.learned.network` and `sayings`); modules are called by the names of its tables.
Sources: Vaswani et al. 2017, Attention is all you need; Devlin et al. 2019, BERT (layout of a layer).

Never here: losses, files. Needs torch.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import torch
import torch.nn.functional as F
from torch import Tensor, nn

from teaching import attention, whole
from teaching.answers import (
    COMPONENTS,
    CONDITIONS,
    COUNTS,
    DECISIONS,
    OFS,
    PLACES,
    QUANTITIES,
    SIGNIFICANCE,
    STATES,
    STOPS,
    UNITS,
    WHO,
    TagNumbers,
)
from teaching.base_weights import Arrays
from underdial.telling.learned.sayings import BEFORE_COUNT, BEHIND_COUNT, STRETCH_COUNT

# Shape of the encoder; the sentence encoder has as many layers.
WIDTH, HEADS, INNER, LAYERS = 384, 12, 1536, 6
# The longest stretch with its context, and the two pieces around it.
POSITIONS = BEFORE_COUNT + STRETCH_COUNT + BEHIND_COUNT + 2
POINTER_WIDTH, READING_WIDTH = 128, 256
DROPOUT_PROBABILITY = 0.1
_EPSILON = 1e-12
_SPREAD = 0.02
# Of how many parts a saying may be, when its condition is read.
LIKELY_PARTS_COUNT = 4
# Upper ends of the steps of distance in words between a saying and the word that names its part.
_STEPS = (0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 30, 40, 60, 80, 120)
_MIDDLE = len(_STEPS) + 1
# The trust in the lexicon is learned as a factor of this; the phrase lists are right more often than not.
LEXICON_SCALE = 3.0
# A word that may name the part counts this much at first.
_COPY = 4.0
_IMPOSSIBLE = -1e4
# Names of the encoder's tables, and ours.
_BASE_NAMES = {
    "query": "attention.self.query",
    "key": "attention.self.key",
    "value": "attention.self.value",
    "out": "attention.output.dense",
    "norm1": "attention.output.LayerNorm",
    "widen": "intermediate.dense",
    "narrow": "output.dense",
    "norm2": "output.LayerNorm",
}
MARK_NAMES = ("tag_kind", "tag_value", "stop", "told_condition", "told_state", "told_component")


@dataclass(frozen=True)
class Window:
    """What the pointer looks over: all words seen, of one stretch or of several.

    vectors : tensor, shape (w, d). numbers, stretch, kinds : tensor, shape (w,); the word's number in its look-over,
    the stretch it is seen in, the row of its tag's kind. naming : tensors, shape (c,); words, and the component each
    may name.
    """

    vectors: Tensor
    numbers: Tensor
    stretch: Tensor
    kinds: Tensor
    naming: tuple[Tensor, Tensor]


class Layer(nn.Module):
    """One layer of the encoder, with no dropout inside attention."""

    def __init__(self) -> None:
        super().__init__()
        self.query, self.key, self.value, self.out = (nn.Linear(WIDTH, WIDTH) for _ in range(4))
        self.widen, self.narrow = nn.Linear(WIDTH, INNER), nn.Linear(INNER, WIDTH)
        self.norm1, self.norm2 = (nn.LayerNorm(WIDTH, eps=_EPSILON) for _ in range(2))
        self.dropped = attention.Dropout(DROPOUT_PROBABILITY)

    def forward(self, x: Tensor, mask: Tensor) -> Tensor:
        """Vectors in their context; x of shape (b, n, d), mask of shape (b, n) true at pieces."""
        b, n, d = x.shape
        given = whole.cut(x)
        query, key, value = (
            whole.affine(one, given).view(b, n, HEADS, d // HEADS).transpose(1, 2)
            for one in (self.query, self.key, self.value)
        )
        mixed = attention.mixed(query, key, value, mask)
        x = self.norm1(x + self.dropped(whole.affine(self.out, whole.cut(mixed.transpose(1, 2).reshape(b, n, d)))))
        return self.norm2(
            x + self.dropped(whole.affine(self.narrow, whole.cut(F.gelu(whole.affine(self.widen, whole.cut(x))))))
        )

    def take_base(self, tensors: dict[str, Tensor], number: int) -> None:
        """Lay in the numbers of one layer of the sentence encoder."""
        for own, theirs in _BASE_NAMES.items():
            _copy(getattr(self, own), tensors, f"encoder.layer.{number}.{theirs}")


class Network(nn.Module):
    """Encoder, marks and heads. Made with chance numbers; `take_base` lays in those of the sentence encoder."""

    def __init__(self, tags: TagNumbers, *, pieces_count: int, layers_count: int = LAYERS) -> None:
        super().__init__()
        self.tags = tags
        self.pieces = nn.Embedding(pieces_count, WIDTH)
        self.pieces.weight.requires_grad_(False)
        self.position = nn.Parameter(torch.randn(POSITIONS, WIDTH) * _SPREAD)
        self.norm = nn.LayerNorm(WIDTH, eps=_EPSILON)
        self.layers = nn.ModuleList(Layer() for _ in range(layers_count))
        rows = (
            len(tags.kinds) + 1,
            len(tags.values) + 1,
            len(STOPS) + 1,
            len(CONDITIONS) + 1,
            len(STATES) + 1,
            len(COMPONENTS) + 1,
        )
        self.tag_kind, self.tag_value, self.stop, self.told_condition, self.told_state, self.told_component = (
            _embedding(count) for count in rows
        )
        self._add_heads()

    def _add_heads(self) -> None:
        self.begin, self.state, self.again = nn.Linear(WIDTH, 3), nn.Linear(WIDTH, len(STATES)), nn.Linear(WIDTH, 1)
        self.condition, self.lexicon = nn.Linear(WIDTH, len(CONDITIONS)), nn.Parameter(torch.tensor(1.0))
        self.component, self.component_pointed = nn.Linear(WIDTH, len(COMPONENTS)), nn.Linear(WIDTH, len(COMPONENTS))
        self.component_vector, self.copy = _embedding(len(COMPONENTS)), nn.Parameter(torch.tensor(_COPY))
        self.pointer_from, self.pointer_to = nn.Linear(WIDTH, POINTER_WIDTH), nn.Linear(WIDTH, POINTER_WIDTH)
        self.distance, self.kind_weight = (
            nn.Parameter(torch.zeros(2 * _MIDDLE + 1)),
            nn.Parameter(torch.zeros(len(self.tags.kinds) + 1)),
        )
        self.of, self.place, self.condition_given = (
            nn.Sequential(nn.Linear(3 * WIDTH, READING_WIDTH), nn.GELU(), nn.Linear(READING_WIDTH, len(rows)))
            for rows in (OFS, PLACES, CONDITIONS)
        )
        nn.init.zeros_(self.condition_given[2].weight)
        nn.init.zeros_(self.condition_given[2].bias)
        self.unit, self.quantity = nn.Linear(WIDTH, len(UNITS)), nn.Linear(WIDTH, len(QUANTITIES))
        self.significance, self.decision, self.who, self.count = (
            nn.Linear(WIDTH, count) for count in (len(SIGNIFICANCE), len(DECISIONS), len(WHO), COUNTS)
        )

    def take_base(self, base: Arrays) -> None:
        """Lay in pieces, positions and the first layers of the sentence encoder."""
        tensors = {name: torch.from_numpy(array.copy()) for name, array in base.items()}
        with torch.no_grad():
            self.pieces.weight.copy_(tensors["embeddings.word_embeddings.weight"])
            # All pieces are of the encoder's first kind, so that its vector goes with the positions.
            self.position.copy_(
                tensors["embeddings.position_embeddings.weight"][:POSITIONS]
                + tensors["embeddings.token_type_embeddings.weight"][0]
            )
            _copy(self.norm, tensors, "embeddings.LayerNorm")
            for number, layer in enumerate(self.layers):
                layer.take_base(tensors, number)

    def encoder_parameters(self) -> list[nn.Parameter]:
        """What came with the sentence encoder and is taught on, slower than the rest."""
        return [self.position, *self.norm.parameters(), *self.layers.parameters()]

    def encode(self, ids: Tensor, marks: Tensor | None, mask: Tensor) -> Tensor:
        """Vectors of the pieces in their context.

        ids : tensor, shape (b, n). marks : tensor, shape (b, n, 6), rows of `MARK_NAMES`; None for the sentence encoder
        as it came. mask : tensor, shape (b, n), true at pieces. Gives a tensor of shape (b, n, d).
        """
        x = self.pieces(ids) + self.position[None, : ids.shape[1]]
        if marks is not None:
            for column, name in enumerate(MARK_NAMES):
                x = x + getattr(self, name)(marks[..., column])
        x = F.dropout(self.norm(x), DROPOUT_PROBABILITY, self.training)
        for layer in self.layers:
            x = layer(x, mask)
        return x

    def condition_scores(self, said: Tensor, sayable: Sequence[Sequence[int]]) -> Tensor:
        """Scores of the conditions of whatever part, shape (s, conditions); those that the phrase lists name are
        raised.
        """
        listed = torch.zeros(len(said), len(CONDITIONS))
        for number, rows in enumerate(sayable):
            for row in rows:
                listed[number, row] = 1.0 / math.sqrt(len(rows))
        return self.condition(said).float() + self.lexicon * LEXICON_SCALE * listed

    def point(
        self, said: Tensor, first_words: Tensor, stretch: Tensor, window: Window
    ) -> tuple[Tensor, Tensor, Tensor]:
        """Where each saying points for its part.

        said : tensor, shape (s, d). first_words, stretch : tensor, shape (s,). Gives the scores of the components,
        shape (s, components), the vector pointed at, shape (s, d), and the logarithm of the shares, shape (s, w).
        """
        near = (self.pointer_from(said) @ self.pointer_to(window.vectors).T) / math.sqrt(POINTER_WIDTH)
        near = (
            near
            + self.distance[steps(first_words[:, None] - window.numbers[None, :])]
            + self.kind_weight[window.kinds][None, :]
        )
        log_shares = F.log_softmax(near.masked_fill(stretch[:, None] != window.stretch[None, :], _IMPOSSIBLE), -1)
        shares = log_shares.exp()
        pointed = shares @ window.vectors
        scores = self.component(said) + self.component_pointed(pointed)
        words, components = window.naming
        if len(words):
            scores = scores + self.copy * torch.zeros(len(said), len(COMPONENTS)).index_add_(
                1, components, shares[:, words]
            )
        return scores, pointed, log_shares

    def reading_scores(self, said: Tensor, pointed: Tensor, components: Tensor) -> tuple[Tensor, Tensor, Tensor]:
        """Scores of wheel and place, and what is added to those of the condition, for sayings of these components;
        shape (r, answers) each.
        """
        joined = torch.cat([said, pointed, self.component_vector(components)], -1)
        return self.of(joined), self.place(joined), self.condition_given(joined)

    def condition_shares(self, said: Tensor, pointed: Tensor, scores: Tensor, components: Tensor) -> Tensor:
        """The share of each condition of one saying, shape (conditions,), over its likeliest parts.

        said, pointed : tensor, shape (1, d). scores : tensor, shape (1, conditions). components : tensor, shape
        (components,); the parts' shares.
        """
        likeliest = torch.argsort(components, descending=True, stable=True)[:LIKELY_PARTS_COUNT]
        rows = [one.expand(len(likeliest), -1) for one in (said, pointed)]
        given = F.softmax(scores + self.reading_scores(rows[0], rows[1], likeliest)[2], -1)
        weights = components[likeliest] / components[likeliest].sum()
        return weights @ given


def steps(distance: Tensor) -> Tensor:
    """Rows of the distances in words: from the middle upward for words before the saying, downward for words behind
    it.
    """
    far = torch.bucketize(distance.abs(), torch.tensor(_STEPS))
    return torch.where(distance >= 0, _MIDDLE + far, _MIDDLE - far)


def _embedding(count: int) -> nn.Embedding:
    made = nn.Embedding(count, WIDTH)
    nn.init.normal_(made.weight, std=_SPREAD)
    return made


def _copy(module: nn.Module, tensors: dict[str, Tensor], name: str) -> None:
    module.weight.copy_(tensors[f"{name}.weight"])
    module.bias.copy_(tensors[f"{name}.bias"])
