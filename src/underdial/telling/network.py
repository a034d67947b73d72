"""The learned reading's arithmetic: pieces of words in their context to vectors, vectors to what a saying says.

A transformer encoder of a few layers, evaluated in NumPy in single precision; every matrix is kept in eight bits a
number with one scale a row. Sources: Vaswani et al. 2017, Attention is all you need; Devlin et al. 2019, BERT
(layout of a layer, learned positions); Hendrycks and Gimpel 2016, Gaussian error linear units, the form with tanh.

Never here: words, files.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

from underdial.trade.learned_speech import LearnedSpeech, learned_speech

Array = npt.NDArray[np.float32]
_HEADS = 12
_EPSILON = 1e-12
_KINDS: Mapping[str, Any] = {"I8": np.int8, "F32": np.float32}


@dataclass(frozen=True)
class Weights:
    """All tables as arrays, matrices unpacked to single precision, and the number of layers."""

    of: Mapping[str, Array]
    names: Mapping[str, tuple[str, ...]]
    layers_count: int


@cache
def weights() -> Weights:
    """The tables that came with the package, unpacked once."""
    return unpacked(learned_speech())


def unpacked(learned: LearnedSpeech) -> Weights:
    """Tables to arrays; a pair NAME.int8 and NAME.scale becomes one matrix NAME."""
    raw = {name: np.frombuffer(learned.numbers, _KINDS[table.kind], int(np.prod(table.shape)), table.begin).reshape(table.shape) for name, table in learned.tables.items()}
    found: dict[str, Array] = {name: table for name, table in raw.items() if not name.endswith((".int8", ".scale"))}
    for name, table in raw.items():
        if name.endswith(".int8"):
            stem = name.removesuffix(".int8")
            found[stem] = table.astype(np.float32) * raw[f"{stem}.scale"][:, None]
    for name in [name for name in found if name.endswith(".query")]:
        layer = name.removesuffix(".query")
        for tail in ("", ".shift"):
            found[f"{layer}.attend{tail}"] = np.concatenate([found.pop(f"{layer}.{part}{tail}") for part in ("query", "key", "value")])
    layers = {name.split(".")[0] for name in found if name.startswith("layer")}
    return Weights(found, learned.names, len(layers))


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
    x = normed(w, "norm", w.of["pieces"][ids] + w.of["position"][:len(ids)] + marks)
    for at in range(w.layers_count):
        x = _layer(w, f"layer{at}", x)
    return x


def _layer(w: Weights, name: str, x: Array) -> Array:
    n, d = x.shape
    query, key, value = affine(w, f"{name}.attend", x).reshape(n, 3, _HEADS, d // _HEADS).transpose(1, 2, 0, 3)
    query *= np.float32(1 / np.sqrt(d // _HEADS))
    # Shares of the pieces, but for their sum: dividing the mixed values by it is less work.
    raised = query @ key.transpose(0, 2, 1)
    raised -= raised.max(axis=-1, keepdims=True)
    np.exp(raised, out=raised)
    mixed = raised @ value / raised.sum(axis=-1, keepdims=True)
    x = normed(w, f"{name}.norm1", x + affine(w, f"{name}.out", mixed.transpose(1, 0, 2).reshape(n, d)))
    return normed(w, f"{name}.norm2", x + affine(w, f"{name}.narrow", bent(affine(w, f"{name}.widen", x))))


def affine(w: Weights, name: str, x: Array) -> Array:
    """A matrix times each row, and a shift."""
    y: Array = x @ w.of[name].T
    y += w.of[f"{name}.shift"]
    return y


def normed(w: Weights, name: str, x: Array) -> Array:
    """Each row brought to mean 0 and spread 1, then scaled and shifted as learned."""
    y: Array = x - x.mean(axis=-1, keepdims=True)
    y /= np.sqrt(np.einsum("ij,ij->i", y, y)[:, None] / np.float32(y.shape[-1]) + np.float32(_EPSILON))
    y *= w.of[f"{name}.gain"]
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
