"""What a clock can be made of: the closed list of traits that faults ask for and families carry.

A trait belongs to one kind: power, oscillator, escapement, strike, build, case, current.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from underdial.trade.files import DATA, Strict, keyed, read_record

TraitKind = Literal["power", "oscillator", "escapement", "strike", "build", "case", "current"]
# A clock has one of each of these: named for a clock, it takes the place of what its family has.
EXCLUSIVE: tuple[TraitKind, ...] = ("power", "oscillator", "escapement")


@dataclass(frozen=True, slots=True)
class Trait(Strict):
    """One thing a clock is or has."""

    kind: TraitKind
    id: str
    meaning: str


@cache
def traits() -> Mapping[str, Trait]:
    """Every trait by its id."""
    return read_traits(DATA)


@cache
def read_traits(folder: Path) -> Mapping[str, Trait]:
    """The traits of a data folder; BadInput when one stands twice."""
    path = folder / "traits.json"
    return keyed(path, read_record(path, tuple[Trait, ...]), lambda one: one.id)


def described(
    carried: frozenset[str], may_have: frozenset[str], named: frozenset[str]
) -> tuple[frozenset[str], frozenset[str]]:
    """What this clock carries and may have, when `named` is told of it beside its family's traits.

    Power, oscillator and escapement named for the clock take the place of the family's; other traits are added.
    """
    known = traits()
    replaced = {known[one].kind for one in named if known[one].kind in EXCLUSIVE}
    stays = frozenset(one for one in carried if known[one].kind not in replaced)
    open_still = frozenset(one for one in may_have if known[one].kind not in replaced)
    return stays | named, open_still - named
