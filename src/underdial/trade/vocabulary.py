"""The words for parts and for their state: components, conditions, quantities, with the forms they are spoken in.

A component may be a kind of another (third_wheel of wheel): what is written for the wider part holds for it, the
narrower reading first. Conditions of kind `status` say why there is no finding; those of kind `sound` say that
a part was looked at and is well. Misheard forms are guesses until a recogniser has been measured.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import MappingProxyType

from underdial.trade.files import DATA, Strict, broken, keyed, read_record

# Heads under which a part stands that is part of no other component.
_GROUPS = (
    "accessories",
    "chime",
    "clock",
    "cuckoo",
    "electric",
    "escapement",
    "leading_off",
    "motion",
    "power",
    "strike",
    "train",
    "winding",
)
_ID = re.compile(r"[a-z][a-z0-9_]*")


@dataclass(frozen=True, slots=True)
class Component(Strict):
    """A part, its names by country, and the wider parts it is a kind of (`kinds`, nearest first)."""

    id: str
    preferred: str
    part_of: str
    spoken: tuple[str, ...]
    kind_of: str | None = None
    uk: tuple[str, ...] = ()
    us: tuple[str, ...] = ()
    misheard_as: tuple[str, ...] = ()
    note: str = ""
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Condition(Strict):
    """A state a part can be in. `kind` groups them: wear, geometry, fit, dirt, sound, status and so on."""

    id: str
    term: str
    kind: str
    spoken: tuple[str, ...]
    synonyms: tuple[str, ...] = ()
    misheard_as: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class QuantityKind(Strict):
    """Something that is measured, what kind of number it is, and the units it is spoken in."""

    id: str
    meaning: str
    kind: str
    units: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The three lists of one data folder, each by id."""

    components: Mapping[str, Component]
    conditions: Mapping[str, Condition]
    quantities: Mapping[str, QuantityKind]


def components() -> Mapping[str, Component]:
    """Every part by its id."""
    return _vocabulary().components


def conditions() -> Mapping[str, Condition]:
    """Every state of a part by its id."""
    return _vocabulary().conditions


def quantities() -> Mapping[str, QuantityKind]:
    """Everything that can be measured by its id."""
    return _vocabulary().quantities


@cache
def read_vocabulary(folder: Path) -> Vocabulary:
    """The lists of a data folder; BadInput, naming file and key, when one is broken."""
    parts = _read_components(folder / "components.json")
    path = folder / "conditions.json"
    states = keyed(path, read_record(path, tuple[Condition, ...]), lambda one: one.id)
    for state in states.values():
        _check_words(path, state.id, state.spoken)
    measured = folder / "quantities.json"
    return Vocabulary(
        parts, states, keyed(measured, read_record(measured, tuple[QuantityKind, ...]), lambda one: one.id)
    )


@cache
def _vocabulary() -> Vocabulary:
    return read_vocabulary(DATA)


def _read_components(path: Path) -> Mapping[str, Component]:
    found = keyed(path, read_record(path, tuple[Component, ...]), lambda one: one.id)
    for part in found.values():
        _check_words(path, part.id, part.spoken)
        if part.part_of not in found and part.part_of not in _GROUPS:
            raise broken(path, f"[{part.id}].part_of", part.part_of, f"a component, or one of {', '.join(_GROUPS)}")
    return MappingProxyType({part.id: replace(part, kinds=_kinds(path, part, found)) for part in found.values()})


def _kinds(path: Path, part: Component, found: Mapping[str, Component]) -> tuple[str, ...]:
    chain: list[str] = []
    wider = part.kind_of
    while wider is not None:
        if wider not in found or wider in chain or wider == part.id:
            raise broken(path, f"[{part.id}].kind_of", wider, "another component, not in a circle")
        chain.append(wider)
        wider = found[wider].kind_of
    return tuple(chain)


def _check_words(path: Path, name: str, spoken: tuple[str, ...]) -> None:
    if not _ID.fullmatch(name):
        raise broken(path, f"[{name}].id", name, "lower-case letters, digits and _, a letter first")
    if not spoken:
        raise broken(path, f"[{name}].spoken", "nothing", "one spoken form at least")
