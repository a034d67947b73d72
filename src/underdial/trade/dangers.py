"""What can be dangerous about a clock and is seen at the counter, each with the triggers of the cautions that it opens.

A short list to tick in a minute, before anything is filmed; what is found later is a finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from underdial.trade.cautions import read_cautions
from underdial.trade.files import DATA, Strict, broken, keyed, read_record
from underdial.trade.sources import Source, check_sources, read_texts


@dataclass(frozen=True, slots=True)
class Danger(Strict):
    """One danger. Its triggers are there once it is named for a clock."""

    id: str
    words: str
    triggers: tuple[str, ...]
    sources: tuple[Source, ...]


@cache
def dangers() -> Mapping[str, Danger]:
    """Every danger by its id, in the order of the list."""
    return read_dangers(DATA)


def read_dangers(folder: Path) -> Mapping[str, Danger]:
    """The dangers of a data folder; BadInput, naming file and key, when one is broken or opens no caution."""
    path = folder / "dangers.json"
    found = keyed(path, read_record(path, tuple[Danger, ...]), lambda one: one.id)
    waited_for = {one for caution in read_cautions(folder).values() for entry in caution.show_when for one in entry}
    texts = read_texts(folder)
    for one in found.values():
        check_sources(path, one.id, one.sources, texts)
        if not one.words or not one.triggers:
            raise broken(path, f"[{one.id}]", "nothing", "words and a trigger")
        for trigger in one.triggers:
            if trigger not in waited_for:
                raise broken(path, f"[{one.id}].triggers", trigger, "a trigger that a caution waits for")
    return found


def triggers_of_dangers(named: Iterable[str]) -> frozenset[str]:
    """What the dangers named for a clock call cautions by; a word that is none of the list calls none."""
    return frozenset(trigger for one in named if one in dangers() for trigger in dangers()[one].triggers)


def danger_words(named: Iterable[str]) -> tuple[str, ...]:
    """Dangers as one says them; a word that is none of the list stays as it is."""
    return tuple(dangers()[one].words if one in dangers() else one.replace("_", " ") for one in named)
