"""The learned reading's arithmetic: pieces of words in their context to vectors, vectors to what a saying says.

A transformer encoder of a few layers, whose graph (ONNX) comes with its tables and is run by onnxruntime on the
processor; the small sums behind it are NumPy's, in single precision. Every matrix is kept in eight bits a number with
one scale a row, and those of the encoder multiply whole numbers. Sources: Vaswani et al. 2017, Attention is all you
need; Devlin et al. 2019, BERT (layout of a layer, learned positions); Hendrycks and Gimpel 2016, Gaussian error linear
units, the form with tanh; Jacob et al. 2018, Quantization and training of neural networks for efficient
integer-arithmetic-only inference.

Never here: words, files.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from underdial.trade.learned_speech import LearnedSpeech, learned_speech

if TYPE_CHECKING:
    import onnxruntime

Array = npt.NDArray[np.float32]
_KINDS: Mapping[str, Any] = {"I8": np.int8, "U8": np.uint8, "F32": np.float32}
# The encoder's graph among the tables, and what the graph calls what it takes and gives: as teaching/encoder_graph.py
# writes them.
_GRAPH = "encoder"
_GIVEN, _WANTED = "pieces_with_marks", "vectors"
# These stay in eight bits: of the thirty thousand pieces a look-over needs few, and the encoder multiplies whole
# numbers.
_STAY_PACKED = ("pieces", "layer")
_JOINED = ("query", "key", "value")
# Only errors are told.
_LOG_SEVERITY = 3


@dataclass(frozen=True)
class Packed:
    """A matrix in eight bits a number: whole numbers, shape (rows, columns), and the scale of each row, shape
    (rows,).
    """

    whole: npt.NDArray[np.int8]
    scale: Array

    def rows(self, at: npt.NDArray[np.intp] | slice = slice(None)) -> Array:
        """These rows in single precision, all when none are named."""
        found: Array = self.whole[at].astype(np.float32)
        found *= self.scale[at, None]
        return found


@dataclass(frozen=True)
class Weights:
    """The tables that the small sums use, in single precision; the names of their rows; matrices that stay packed;
    the encoder's graph as bytes.
    """

    of: Mapping[str, Array]
    names: Mapping[str, tuple[str, ...]]
    packed: Mapping[str, Packed]
    graph: bytes

    @cached_property
    def encoder(self) -> onnxruntime.InferenceSession:
        """The graph with its tables, loaded once. It runs on the core that asks."""
        # A quarter of a second, which no other command should wait for.
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads, options.log_severity_level = 1, _LOG_SEVERITY
        tables = self._of_encoder
        options.add_external_initializers(
            list(tables), [onnxruntime.OrtValue.ortvalue_from_numpy(table) for table in tables.values()]
        )
        return onnxruntime.InferenceSession(self.graph, options, providers=["CPUExecutionProvider"])

    @cached_property
    def _of_encoder(self) -> dict[str, npt.NDArray[Any]]:
        """The tables that the graph names. They are kept, because onnxruntime takes them where they lie."""
        tables: dict[str, npt.NDArray[Any]] = {
            name: table for name, table in self.of.items() if name.startswith(("layer", "norm."))
        }
        for name in self.packed:
            layer, _, part = name.rpartition(".")
            if part == _JOINED[0]:
                tables |= _laid_in(f"{layer}.attend", [self.packed[f"{layer}.{one}"] for one in _JOINED])
            elif layer and part not in _JOINED:
                tables |= _laid_in(name, [self.packed[name]])
        return tables


@cache
def weights() -> Weights:
    """The tables that came with the package, unpacked once."""
    return unpacked(learned_speech())


def unpacked(learned: LearnedSpeech) -> Weights:
    """Tables to arrays; a pair NAME.int8 and NAME.scale becomes one matrix NAME, packed or not."""
    raw = {
        name: np.frombuffer(learned.numbers, _KINDS[table.kind], int(np.prod(table.shape)), table.begin).reshape(
            table.shape
        )
        for name, table in learned.tables.items()
    }
    pairs = {
        name.removesuffix(".int8"): Packed(table, raw[f"{name.removesuffix('.int8')}.scale"])
        for name, table in raw.items()
        if name.endswith(".int8")
    }
    packed = {name: pair for name, pair in pairs.items() if name.startswith(_STAY_PACKED)}
    found: dict[str, Array] = {
        name: table for name, table in raw.items() if not name.endswith((".int8", ".scale")) and name != _GRAPH
    }
    found |= {name: pair.rows() for name, pair in pairs.items() if name not in packed}
    for name in [name for name in found if name.endswith(".query.shift")]:
        layer = name.removesuffix(".query.shift")
        found[f"{layer}.attend.shift"] = np.concatenate([found.pop(f"{layer}.{part}.shift") for part in _JOINED])
    return Weights(found, learned.names, packed, raw[_GRAPH].tobytes() if _GRAPH in raw else b"")


def _laid_in(name: str, matrices: Sequence[Packed]) -> dict[str, npt.NDArray[Any]]:
    """Matrices one below the other as the encoder's graph takes them: columns beside each other, a scale a row."""
    return {
        f"{name}.int8": np.ascontiguousarray(np.concatenate([one.whole for one in matrices]).T),
        f"{name}.scale": np.concatenate([one.scale for one in matrices]),
    }


def encode(w: Weights, ids: npt.NDArray[np.intp], marks: Array) -> Array:
    """Vectors of the pieces in their context.

    Parameters
    ----------
    ids : array, shape (n,)
        Numbers of the pieces.
    marks : array, shape (n, d)
        What is known of each piece besides, already as vectors, added to those of the pieces.

    Returns
    -------
    array, shape (n, d)
        One vector a piece.
    """
    given = w.packed["pieces"].rows(ids) + w.of["position"][: len(ids)] + marks
    vectors: Array = w.encoder.run([_WANTED], {_GIVEN: given})[0]
    return vectors


def affine(w: Weights, name: str, x: Array) -> Array:
    """A matrix times each row, and a shift."""
    y: Array = x @ w.of[name].T
    y += w.of[f"{name}.shift"]
    return y


def bent(x: Array) -> Array:
    """The Gaussian error linear unit, in the form with tanh."""
    y: Array = x * x
    y *= np.float32(0.044715)
    y += 1
    y *= x
    y *= np.float32(np.sqrt(2 / np.pi))
    np.tanh(y, out=y)
    y += 1
    y *= x
    y *= np.float32(0.5)
    return y


def softmax(x: Array) -> Array:
    """Shares along the last axis; each row sums to 1."""
    shares: Array = x - x.max(axis=-1, keepdims=True)
    np.exp(shares, out=shares)
    shares /= shares.sum(axis=-1, keepdims=True)
    return shares


def chance(x: Array) -> Array:
    """The logistic function."""
    y: Array = np.float32(0.5) * (1 + np.tanh(np.float32(0.5) * x))
    return y
