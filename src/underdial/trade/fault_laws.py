"""What each fault does to the sums: the parameters it changes at its place, and the symptoms it causes.

Knowledge as data, with sources and with the number of finished jobs behind each size. Nothing is computed here; the
room `diagnosis` turns a law into numbers of one clock.

Limits: the sizes are starting values of ours (`source` says so) until finished jobs correct them.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any


@dataclass(frozen=True, slots=True)
class Sign:
    """A field of the complaint, the value an owner gives, and how often the fault makes them say it."""

    field: str
    value: str
    probability: float


@dataclass(frozen=True, slots=True)
class FaultLaw:
    """One fault that touches the going: how common, where, what it changes, what it makes the owner say.

    `laws` are pairs of a kind and a coefficient per unit of severity; `events` pairs of a kind of hard stop and the
    chance that the fault, present, brings it about; `since` multiplies the odds of the fault after what went before.
    """

    fault: str
    prior_probability: float
    place: str
    laws: tuple[tuple[str, float], ...]
    events: tuple[tuple[str, float], ...]
    signs: tuple[Sign, ...]
    since: Mapping[str, float]
    overlooked_probability: float
    source: str
    jobs_count: int


@dataclass(frozen=True, slots=True)
class SymptomLaw:
    """One fault of striking, chiming or alarm that leaves the going alone: how common, and its symptoms."""

    fault: str
    prior_probability: float
    signs: tuple[Sign, ...]
    since: Mapping[str, float]
    overlooked_probability: float
    source: str
    jobs_count: int


@cache
def fault_laws() -> Mapping[str, FaultLaw]:
    """Laws of the faults that touch the going, by fault id."""
    rows = _document()["laws"]
    return MappingProxyType(
        {
            row["fault"]: FaultLaw(
                fault=row["fault"],
                prior_probability=row["prior_probability"],
                place=row["place"],
                laws=tuple((kind, float(size)) for kind, size in row["laws"]),
                events=tuple((kind, float(chance)) for kind, chance in row["events"]),
                signs=_signs(row),
                since=MappingProxyType(dict(row["since"])),
                overlooked_probability=row["overlooked_probability"],
                source=row["source"],
                jobs_count=row["jobs_count"],
            )
            for row in rows
        }
    )


@cache
def symptom_laws() -> Mapping[str, SymptomLaw]:
    """Laws of the faults of striking, chiming and alarm, by fault id."""
    return MappingProxyType(
        {
            row["fault"]: SymptomLaw(
                fault=row["fault"],
                prior_probability=row["prior_probability"],
                signs=_signs(row),
                since=MappingProxyType(dict(row["since"])),
                overlooked_probability=row["overlooked_probability"],
                source=row["source"],
                jobs_count=row["jobs_count"],
            )
            for row in _document()["symptoms"]
        }
    )


def law_kinds() -> Mapping[str, str]:
    """Kinds of law and of hard stop, each with what it does, for help and for the tests."""
    meta = _document()["meta"]
    return MappingProxyType({**meta["laws"], **meta["events"]})


def _signs(row: Mapping[str, Any]) -> tuple[Sign, ...]:
    return tuple(Sign(field, value, float(chance)) for field, value, chance in row["signs"])


@cache
def _document() -> Mapping[str, Any]:
    text = resources.files("underdial.trade").joinpath("data", "fault_laws.json").read_text(encoding="utf-8")
    document: Mapping[str, Any] = json.loads(text)
    return document
