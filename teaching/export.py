"""The taught network as the file of the package: named tables, every matrix in eight bits a number with a scale a row.

The layout is safetensors; rows' names go into the header's metadata. `underdial.trade.learned_speech` reads it and
`underdial.telling.learned.network` unpacks it. Pieces of other scripts, and of numbers nobody said, are left out.

Never here: teaching.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from teaching.answers import COMPONENTS, CONDITIONS, OFS, PLACES, QUANTITIES, UNITS, TagNumbers
from teaching.base_weights import WordPieces
from teaching.encoder_graph import LARGEST_WHOLE
from underdial.telling.names import lexicon

if TYPE_CHECKING:
    from teaching.network import Network

Tables = dict[str, npt.NDArray[np.generic]]
# Pieces of other signs than plain letters are kept when they are shorter than this: signs, digits, pairs of them.
SHORT_PIECE = 3
_LARGEST = 127
# A row of zeros has no scale of its own.
_LEAST_SCALE = 1e-9
_ALIGNMENT_BYTES = 8
_KINDS = {"int8": "I8", "uint8": "U8", "float32": "F32"}
# Our modules that the file knows by other names.
_FILE_NAMES = {
    f"{name}.{number}": f"{name}.{part}"
    for name in ("of", "place", "condition_given")
    for number, part in ((0, "hidden"), (2, "answer"))
}


def kept_pieces(pieces: WordPieces, words: Iterable[str]) -> list[int]:
    """Numbers of the pieces to keep, in order: those of these words, of all names of parts, and what English may
    need.
    """
    used = {
        *pieces.special,
        *pieces.of(words),
        *pieces.of(word for names in lexicon.part_names().values() for name in names for word in name.split()),
    }
    return sorted(used | {number for piece, number in pieces.numbers.items() if _may_be_needed(piece)})


def _may_be_needed(piece: str) -> bool:
    bare = piece.removeprefix("##")
    return bare.isascii() and not piece.startswith("[unused") and (bare.isalpha() or len(bare) < SHORT_PIECE)


def tables_of(network: Network, kept: Sequence[int]) -> Tables:
    """All tables of the network under the names of the file."""
    from teaching.network import LEXICON_SCALE

    found: Tables = {}
    for name, tensor in network.state_dict().items():
        array = tensor.float().numpy()
        table = table_of(name)
        if name == "lexicon":
            found[table] = array.reshape(1) * np.float32(LEXICON_SCALE)
        elif "." not in name or array.ndim == 1:
            # Shifts and gains, and what is no module of its own: position, distance, weights of kinds, trust in the
            # copy.
            found[table] = array.reshape(array.shape or 1)
        else:
            found |= in_eight_bits(
                table,
                array[list(kept)] if table == "pieces" else array,
                LARGEST_WHOLE if name.startswith("layers.") else _LARGEST,
            )
    return found | {"encoder": _graph_of(network)}


def _graph_of(network: Network) -> npt.NDArray[np.uint8]:
    """The graph of the encoder, for the shapes that its tables have when they are unpacked."""
    from teaching.encoder_graph import encoder_graph
    from teaching.network import HEADS

    shapes = {
        table_of(name): tuple(tensor.shape)
        for name, tensor in network.state_dict().items()
        if name.startswith(("layers.", "norm."))
    }
    for name in [name for name in shapes if ".query" in name]:
        shapes[name.replace(".query", ".attend")] = (3 * shapes[name][0], *shapes[name][1:])
    return np.frombuffer(encoder_graph(shapes, layers_count=len(network.layers), heads_count=HEADS), np.uint8)


def table_of(name: str) -> str:
    """What the file calls these numbers of the network."""
    module, _, kind = name.rpartition(".")
    stem = _FILE_NAMES.get(module, module.replace("layers.", "layer"))
    if not module:
        return name
    if kind == "bias":
        return f"{stem}.shift"
    return f"{stem}.gain" if "norm" in stem else stem


def in_eight_bits(name: str, matrix: npt.NDArray[np.float32], largest: int = _LARGEST) -> Tables:
    """A matrix as whole numbers from -`largest` to `largest` and the scale of each row; off by half a scale at most."""
    scale = np.abs(matrix).max(axis=1) / np.float32(largest)
    scale[scale == 0.0] = _LEAST_SCALE
    whole = np.clip(np.rint(matrix / scale[:, None]), -largest, largest)
    return {f"{name}.int8": whole.astype(np.int8), f"{name}.scale": scale.astype(np.float32)}


def names_of(tags: TagNumbers, pieces: WordPieces, kept: Sequence[int]) -> dict[str, list[str]]:
    """The names of rows; no wheel, no place and no tag have the empty name."""
    piece_of = {number: piece for piece, number in pieces.numbers.items()}
    return {
        "pieces": [piece_of[number] for number in kept],
        "components": list(COMPONENTS),
        "conditions": list(CONDITIONS),
        "of": [of or "" for of in OFS],
        "places": [place or "" for place in PLACES],
        "quantities": list(QUANTITIES),
        "units": [unit or "" for unit in UNITS],
        "kinds": ["", *sorted(tags.kinds, key=tags.kinds.__getitem__)],
        "values": ["", *sorted(tags.values, key=tags.values.__getitem__)],
    }


def write(path: Path, tables: Mapping[str, npt.NDArray[np.generic]], names: Mapping[str, Sequence[str]]) -> None:
    """Write the file: length of the header, header in JSON, all tables by name one behind the other."""
    header: dict[str, object] = {"__metadata__": {name: json.dumps(list(rows)) for name, rows in names.items()}}
    numbers = b""
    # The graph is of any length, so it stands last and moves nothing off its place.
    for name in sorted(tables, key=lambda name: (tables[name].dtype == np.uint8, name)):
        raw = np.ascontiguousarray(tables[name]).tobytes()
        header[name] = {
            "dtype": _KINDS[tables[name].dtype.name],
            "shape": list(tables[name].shape),
            "data_offsets": [len(numbers), len(numbers) + len(raw)],
        }
        numbers += raw
    head = json.dumps(header).encode()
    head += b" " * (-len(head) % _ALIGNMENT_BYTES)
    path.write_bytes(len(head).to_bytes(_ALIGNMENT_BYTES, "little") + head + numbers)
