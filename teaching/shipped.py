"""The network that the package ships, to be taught on: its numbers are cut to eight bits, which is near enough to begin
with.

Never here: teaching. Needs torch.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import torch

from teaching.answers import COMPONENTS, CONDITIONS, OFS, PLACES, TagNumbers
from teaching.base_weights import WordPieces, base_arrays
from teaching.export import table_of
from teaching.network import LEXICON_SCALE, Network
from underdial.errors import BadInput
from underdial.telling.learned.network import Array, Weights, unpacked
from underdial.trade.learned_speech import learned_speech

ENDING = ".safetensors"
_ANSWERS = (("components", COMPONENTS), ("conditions", CONDITIONS), ("of", OFS), ("places", PLACES))


def read(path: Path, pieces: WordPieces) -> Network:
    """The network of a file that `teaching.export` wrote.

    Pieces of words are those of the sentence encoder, which stay as they came.

    Raises BadInput when the file is none, or when its answers are not those of now: an id of the vocabulary came or
    went.
    """
    weights = unpacked(learned_speech(path))
    if any(weights.names.get(name) != tuple(row or "" for row in rows) for name, rows in _ANSWERS):
        raise BadInput(
            "start", path, "a file with the answers of now; after a change of the vocabulary begin with the first round"
        )
    kinds, values = ({name: row for row, name in enumerate(weights.names[key]) if row} for key in ("kinds", "values"))
    layers_count = len({name.split(".")[0] for name in weights.of if name.startswith("layer")})
    network = Network(TagNumbers(kinds, values), pieces_count=len(pieces.numbers), layers_count=layers_count)
    network.take_base(base_arrays())
    with torch.no_grad():
        for name, numbers in network.state_dict().items():
            if name != "pieces.weight":
                numbers.copy_(torch.from_numpy(np.array(_table(weights, name))).view_as(numbers))
    return network


def _table(weights: Weights, name: str) -> Array:
    """The table of the file that holds these numbers of the network."""
    table = table_of(name)
    if table == "lexicon":
        return weights.of[table] / np.float32(LEXICON_SCALE)
    if table in weights.packed:
        return weights.packed[table].rows()
    for at, part in enumerate(("query", "key", "value")):
        if f".{part}" in table:
            return np.split(weights.of[table.replace(f".{part}", ".attend")], 3)[at]
    return weights.of[table]
