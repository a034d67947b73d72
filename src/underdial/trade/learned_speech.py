"""What was learned from labelled speech of the bench, as the file that came with the package.

The file is in the open safetensors layout: the length of the header in eight bytes, the header in JSON, then the
numbers of all tables one behind the other. The names of rows (pieces of words, parts, conditions) stand in the
header's metadata. Who made it and from what: data/README.md; how it is made again: docs/how-to/teach-the-reader.md.

Never here: a computation with the numbers.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from underdial.trade.files import DATA, broken

FILE = DATA / "learned_speech.safetensors"
_LENGTH_BYTES = 8


@dataclass(frozen=True, slots=True)
class Table:
    """Where one table of numbers stands in the file: kind of number ("I8" or "F32"), shape, first and last byte."""

    kind: str
    shape: tuple[int, ...]
    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class LearnedSpeech:
    """All tables of the file. `names` gives the names of rows; `numbers` the bytes that `Table` points into."""

    tables: Mapping[str, Table]
    names: Mapping[str, tuple[str, ...]]
    numbers: bytes


@cache
def learned_speech(path: Path = FILE) -> LearnedSpeech:
    """The file, read once.

    Raises BadInput, naming the file, when it is missing, cut short or no such file.
    """
    try:
        raw = path.read_bytes()
    except OSError as wrong:
        raise broken(path, "file", wrong.strerror, "a file that can be read") from wrong
    length = int.from_bytes(raw[:_LENGTH_BYTES], "little")
    try:
        header = json.loads(raw[_LENGTH_BYTES : _LENGTH_BYTES + length])
        names = {name: tuple(json.loads(rows)) for name, rows in header.pop("__metadata__").items()}
        tables = {name: Table(one["dtype"], tuple(one["shape"]), *one["data_offsets"]) for name, one in header.items()}
    except (ValueError, KeyError, TypeError, AttributeError) as wrong:
        raise broken(path, "header", str(wrong), "a header in JSON as the safetensors layout has it") from None
    numbers = raw[_LENGTH_BYTES + length :]
    if max((table.end for table in tables.values()), default=0) > len(numbers):
        raise broken(path, "file", f"{len(raw)} bytes", "the whole file; it was cut short")
    return LearnedSpeech(tables, names, numbers)
