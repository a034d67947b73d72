"""Cautions about people, object and house, and when each is shown: before the step it belongs to.

A trigger is `fault:`, `component:`, `condition:` or `trait:` with an id, or `work:` or `step:` with words of the
closed list below. General information in words of ours; the shop's own law and data sheets go before it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from underdial.errors import BadInput
from underdial.trade.faults import read_faults
from underdial.trade.files import DATA, Strict, broken, keyed, read_record
from underdial.trade.sources import Source, check_sources, read_texts
from underdial.trade.traits import read_traits
from underdial.trade.vocabulary import components, read_vocabulary

Rank = Literal["stop", "before_step", "note", "law_block"]
Reader = Literal["bench", "owner"]
_ORDER: tuple[Rank, ...] = ("stop", "before_step", "note", "law_block")
# Many equal warnings get clicked through, so a screen carries no more than this.
AT_MOST_COUNT = 2


@dataclass(frozen=True, slots=True)
class Caution(Strict):
    """One caution. Any entry of `show_when` is enough; within an entry every trigger has to be there.

    `text` is for the bench. `owner_text` is what an owner is told instead, for use at home; it stands where the owner
    is among the readers, and only there.
    """

    id: str
    rank: Rank
    text: str
    show_when: tuple[tuple[str, ...], ...]
    audience: tuple[Reader, ...]
    sources: tuple[Source, ...]
    owner_text: str = ""


@cache
def cautions() -> Mapping[str, Caution]:
    """Every caution by its id."""
    return read_cautions(DATA)


@cache
def triggers() -> frozenset[str]:
    """Every trigger that a caution waits for, so that no step is named by words that nothing answers to."""
    return frozenset(one for caution in cautions().values() for entry in caution.show_when for one in entry)


def due(present: Iterable[str], *, reader: Reader | None = None) -> tuple[Caution, ...]:
    """All cautions that these triggers call for, the highest rank first.

    A component also triggers what waits for the part it is a kind of. Raises BadInput for a `work:` or `step:` of
    other words than the list has: a misspelt step would hide a caution without a word.
    """
    there = _widened(present)
    called = [
        caution
        for caution in cautions().values()
        if (reader is None or reader in caution.audience)
        and any(there.issuperset(entry) for entry in caution.show_when)
    ]
    return tuple(sorted(called, key=lambda caution: _ORDER.index(caution.rank)))


def shown(
    present: Iterable[str], *, reader: Reader | None = None, acknowledged: Collection[str] = ()
) -> tuple[Caution, ...]:
    """What one screen shows: at most two, the highest rank first; ids already acknowledged give way to the rest."""
    return tuple(caution for caution in due(present, reader=reader) if caution.id not in acknowledged)[:AT_MOST_COUNT]


def read_cautions(folder: Path) -> Mapping[str, Caution]:
    """The cautions of a data folder; BadInput, naming file and key, when one is broken or names what is not there."""
    path = folder / "cautions.json"
    found = keyed(path, read_record(path, tuple[Caution, ...]), lambda one: one.id)
    words, texts = read_vocabulary(folder), read_texts(folder)
    known: dict[str, Collection[str]] = {
        "fault": read_faults(folder),
        "component": words.components,
        "condition": words.conditions,
        "trait": read_traits(folder),
    }
    for number, caution in enumerate(found.values(), 1):
        if caution.id != f"C{number:02d}":
            raise broken(path, f"[{caution.id}].id", caution.id, f"C{number:02d}: cautions are numbered in order")
        check_sources(path, caution.id, caution.sources, texts)
        if not caution.text or not caution.show_when or not caution.audience:
            raise broken(path, f"[{caution.id}]", "nothing", "a text, a trigger and a reader")
        if bool(caution.owner_text) != ("owner" in caution.audience):
            raise broken(
                path,
                f"[{caution.id}].owner_text",
                caution.owner_text or "nothing",
                "words for the owner, where the owner is a reader and only there",
            )
        for trigger in (one for entry in caution.show_when for one in entry):
            kind, _, what = trigger.partition(":")
            if not what or kind not in {"work", "step", *known} or (kind in known and what not in known[kind]):
                raise broken(
                    path,
                    f"[{caution.id}].show_when",
                    trigger,
                    "fault:, component:, condition: or trait: with a known id, work: or step:",
                )
    return found


def _widened(present: Iterable[str]) -> frozenset[str]:
    parts = components()
    there: set[str] = set()
    for trigger in present:
        kind, _, what = trigger.partition(":")
        if kind in ("work", "step") and trigger not in triggers():
            allowed = ", ".join(sorted(one for one in triggers() if one.startswith(kind)))
            raise BadInput("trigger", trigger, allowed)
        there.add(trigger)
        if kind == "component" and what in parts:
            there.update(f"component:{wider}" for wider in parts[what].kinds)
    return frozenset(there)
