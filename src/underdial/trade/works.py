"""What can be done to a clock: the remedies of the faults, and the works that go round them (overhaul, test, visit).

Hours of a remedy are those on a stripped movement; strip, clean, reassemble and test come on top as a work of
scope `overhaul`. Bands are least and most, not a law.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from underdial.trade.faults import read_faults
from underdial.trade.files import DATA, Strict, broken, keyed, read_record
from underdial.trade.sources import Source, check_sources, read_texts

Scope = Literal["none", "inspection", "adjustment", "overhaul", "test", "visit", "remedy"]


@dataclass(frozen=True, slots=True)
class Work(Strict):
    """One thing to do, with its hours. `fault` is the fault it puts right, None for a work that goes round them.

    The id of a remedy's work is the fault's id, a dot and the remedy's id: `PWR-01.new_spring_original`.
    """

    id: str
    do: str
    scope: Scope
    time_low_h: float
    time_high_h: float
    invasiveness: int
    reversible: Literal["yes", "partly", "no"]
    sources: tuple[Source, ...]
    trains_count: int | None = None
    fault: str | None = None


@cache
def works() -> Mapping[str, Work]:
    """Every work by its id: those that go round the faults first, then the remedies."""
    return read_works(DATA)


def overhaul_for(trains_count: int) -> Work:
    """The overhaul of a movement of so many trains; more than three are taken as three."""
    wanted = min(max(trains_count, 1), 3)
    return next(work for work in works().values() if work.scope == "overhaul" and work.trains_count == wanted)


def read_works(folder: Path) -> Mapping[str, Work]:
    """The works of a data folder; BadInput, naming file and key, when one is broken."""
    path = folder / "works.json"
    found = dict(keyed(path, read_record(path, tuple[Work, ...]), lambda one: one.id))
    texts = read_texts(folder)
    for work in found.values():
        check_sources(path, work.id, work.sources, texts)
        if not 0.0 <= work.time_low_h <= work.time_high_h:
            raise broken(
                path, f"[{work.id}].time_low_h", work.time_low_h, f"0 to time_high_h, here {work.time_high_h:g}"
            )
        if (work.scope == "overhaul") != (work.trains_count is not None):
            raise broken(path, f"[{work.id}].trains_count", work.trains_count, "a number for an overhaul, else null")
    for fault in read_faults(folder).values():
        for remedy in fault.remedies:
            name = f"{fault.id}.{remedy.id}"
            found[name] = Work(
                id=name, do=remedy.do, scope="remedy", time_low_h=remedy.time_low_h, time_high_h=remedy.time_high_h,
                invasiveness=remedy.invasiveness, reversible=remedy.reversible, sources=fault.sources, fault=fault.id,
            )  # fmt: skip
    return MappingProxyType(found)
