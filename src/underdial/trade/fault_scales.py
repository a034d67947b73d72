"""The steps on which faults are graded: effects, how often one stops a clock alone, how deep a remedy cuts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from underdial.trade.files import DATA, Strict, broken, read_record
from underdial.trade.sources import Source, check_sources, read_texts


@dataclass(frozen=True, slots=True)
class Effect(Strict):
    """What a fault does to the clock; `letter` is short for it."""

    id: str
    letter: str


@dataclass(frozen=True, slots=True)
class StopsAlone(Strict):
    """A step of how often the fault, alone and in an otherwise sound clock, stops it."""

    id: str
    probability: float


@dataclass(frozen=True, slots=True)
class Invasiveness(Strict):
    """How deep a remedy cuts into what is there, 0 to 5."""

    rank: int
    meaning: str


@dataclass(frozen=True, slots=True)
class RateSign(Strict):
    """Which way the rate goes when that hangs on the escapement."""

    id: str
    meaning: str


@dataclass(frozen=True, slots=True)
class ModelTerm(Strict):
    """A term by which a fault says where it acts on the model of the movement."""

    term: str
    meaning: str


@dataclass(frozen=True, slots=True)
class FaultScales(Strict):
    """All steps, and the groups of faults in the order they are listed."""

    groups: tuple[str, ...]
    effects: tuple[Effect, ...]
    stops_alone: tuple[StopsAlone, ...]
    invasiveness: tuple[Invasiveness, ...]
    rate_signs: tuple[RateSign, ...]
    model_terms: tuple[ModelTerm, ...]
    sources: tuple[Source, ...]


@cache
def fault_scales() -> FaultScales:
    """The steps on which the package's faults are graded."""
    return read_fault_scales(DATA)


@cache
def read_fault_scales(folder: Path) -> FaultScales:
    """The steps of a data folder; BadInput, naming file and key, when the file is broken."""
    path = folder / "fault_scales.json"
    scales = read_record(path, FaultScales)
    check_sources(path, "fault_scales", scales.sources, read_texts(folder))
    for step in scales.stops_alone:
        if not 0.0 <= step.probability < 1.0:
            raise broken(path, f"stops_alone[{step.id}].probability", step.probability, "0 up to below 1")
    return scales
