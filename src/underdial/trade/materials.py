"""Metals a part can be made of: density, magnet, colour, and the treatments each forbids, with the reason.

Densities are handbook ranges from memory. A plated skin hides what is below and a filled casting weighs wrong, so
that weight and colour give chances, not a name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from underdial.trade.files import DATA, Strict, broken, keyed, read_record
from underdial.trade.sources import Source, check_sources, read_texts

Colour = Literal["yellow", "red", "grey", "white"]


@dataclass(frozen=True, slots=True)
class Treatment(Strict):
    """Something done to metal at the bench; `trigger` is the work that a caution waits for, None where there is
    none.
    """

    id: str
    words: str
    trigger: str | None = None


@dataclass(frozen=True, slots=True)
class Forbidden(Strict):
    """A treatment that harms a metal, and why."""

    treatment: str
    because: str
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class Metal(Strict):
    """One metal. `share_ratio` is how often a part that is weighed turns out to be it: a guess, summing to 1 over
    all.
    """

    id: str
    title: str
    density_low_kg_per_m3: float
    density_high_kg_per_m3: float
    magnet: Literal["yes", "no", "unknown"]
    colours: tuple[Colour, ...]
    seen_as: str
    share_ratio: float
    forbids: tuple[Forbidden, ...]
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class Materials(Strict):
    """The file as it stands: treatments, and metals."""

    treatments: tuple[Treatment, ...]
    metals: tuple[Metal, ...]


@cache
def metals() -> Mapping[str, Metal]:
    """Every metal by its id."""
    return keyed(DATA / "materials.json", read_materials(DATA).metals, lambda one: one.id)


@cache
def treatments() -> Mapping[str, Treatment]:
    """Every treatment by its id."""
    return keyed(DATA / "materials.json", read_materials(DATA).treatments, lambda one: one.id)


def read_materials(folder: Path) -> Materials:
    """Metals and treatments of a data folder; BadInput, naming file and key, when one is broken."""
    path = folder / "materials.json"
    found = read_record(path, Materials)
    texts = read_texts(folder)
    known = keyed(path, found.treatments, lambda one: one.id)
    for metal in keyed(path, found.metals, lambda one: one.id).values():
        check_sources(path, metal.id, metal.sources, texts)
        if not 0.0 < metal.density_low_kg_per_m3 < metal.density_high_kg_per_m3:
            raise broken(
                path, f"[{metal.id}].density_low_kg_per_m3", metal.density_low_kg_per_m3, "above 0, below the high one"
            )
        for row in metal.forbids:
            check_sources(path, f"{metal.id}].forbids[{row.treatment}", row.sources, texts)
            if row.treatment not in known:
                raise broken(path, f"[{metal.id}].forbids", row.treatment, "a treatment of materials.json")
    total = sum(metal.share_ratio for metal in found.metals)
    if abs(total - 1.0) > 1e-9:
        raise broken(path, "share_ratio", f"{total:g} in all", "1 over all metals")
    return found
