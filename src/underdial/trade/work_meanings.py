"""Works in words for somebody who has never seen inside a clock: `line the worn hole afresh, in its old place`.

A work that is not in the list says enough by its own words. Source: plain English of our own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from underdial.trade.files import DATA, Strict, broken, keyed, read_record
from underdial.trade.works import read_works, works


@dataclass(frozen=True, slots=True)
class WorkToOwner(Strict):
    """One work, by its id, and what an owner reads of it."""

    id: str
    says: str


def said_to_owner(work: str, said: str | None) -> str:
    """What an owner reads of a work, by its id or by that as a word of the record.

    `said` is what it was called: only the trade's own words of it are put into everyday ones, be they all or what
    follows a condition; what somebody wrote themselves stays.
    """
    known = _by_word().get(_word(work))
    if said is None:
        return known.says if known else work.replace("_", " ")
    return said.removesuffix(known.do) + known.says if known and said.endswith(known.do) else said


def read_works_to_owner(folder: Path) -> Mapping[str, WorkToOwner]:
    """The words of a data folder by the id of the work; BadInput, naming file and key, when one is broken."""
    path = folder / "works_to_owner.json"
    found = keyed(path, read_record(path, tuple[WorkToOwner, ...]), lambda one: one.id)
    known = read_works(folder)
    for one in found.values():
        if one.id not in known:
            raise broken(path, f"[{one.id}].id", one.id, "the id of a work")
        if not one.says.strip():
            raise broken(path, f"[{one.id}].says", "nothing", "words")
    return found


@dataclass(frozen=True, slots=True)
class _Both:
    """A work in the words of the trade and of an owner."""

    do: str
    says: str


@cache
def _by_word() -> Mapping[str, _Both]:
    told = read_works_to_owner(DATA).values()
    return MappingProxyType({_word(one.id): _Both(works()[one.id].do, one.says) for one in told})


def _word(work: str) -> str:
    return re.sub("[^a-z0-9]+", "_", work.lower()).strip("_")
