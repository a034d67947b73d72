"""Sentences of the bench with what they mean: worked examples for whoever reads speech, and for its tests."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from underdial.trade.files import DATA, Strict, broken, read_record
from underdial.trade.vocabulary import read_vocabulary

_PARTS = frozenset({"findings", "measurements", "facts", "actions"})


@dataclass(frozen=True, slots=True)
class Utterance(Strict):
    """A sentence as spoken, and its findings, measurements, facts and orders."""

    say: str
    means: Mapping[str, Any]


@cache
def utterances() -> tuple[Utterance, ...]:
    """The worked sentences of the package."""
    return read_utterances(DATA)


def read_utterances(folder: Path) -> tuple[Utterance, ...]:
    """The sentences of a data folder; BadInput when one names what the vocabulary has not."""
    path = folder / "utterances.json"
    words = read_vocabulary(folder)
    told = read_record(path, tuple[Utterance, ...])
    for one in told:
        if not set(one.means) <= _PARTS:
            raise broken(path, f"[{one.say}].means", min(set(one.means) - _PARTS), ", ".join(sorted(_PARTS)))
        for row in (*one.means.get("findings", ()), *one.means.get("measurements", ())):
            for key, known in (("component", words.components), ("condition", words.conditions), ("quantity", words.quantities)):
                if key in row and row[key] not in known:
                    raise broken(path, f"[{one.say}].{key}", row[key], "an id of the vocabulary")
    return tuple(Utterance(one.say, _closed(one.means)) for one in told)


def _closed(value: Any) -> Any:
    """The same, with mappings and lists that cannot be changed."""
    if isinstance(value, Mapping):
        return MappingProxyType({key: _closed(one) for key, one in value.items()})
    return tuple(_closed(one) for one in value) if isinstance(value, list) else value
