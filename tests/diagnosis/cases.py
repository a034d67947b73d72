"""Cases and shortcuts that the tests of this room share."""

from __future__ import annotations

from typing import Any

import numpy as np

from underdial.diagnosis.answer import symptom_rows
from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.causes import Causes, find_causes
from underdial.diagnosis.effects import scatter_count
from underdial.diagnosis.fate import Fate, fate
from underdial.diagnosis.fault_draws import FaultDraws, draw_faults, fill_in
from underdial.diagnosis.question import Question, question
from underdial.diagnosis.sampler import Posterior, posterior
from underdial.mechanics.parameters import Array


def finding(
    component: str,
    condition: str,
    *,
    of: str | None = None,
    extent: str | None = None,
    state: str = "present",
    **more: Any,
) -> dict[str, Any]:
    """A finding as a case file holds it."""
    return {"component": component, "condition": condition, "state": state, "of": of, "extent": extent, **more}


def asked(
    family: str, *, complaint: dict[str, Any] | None = None, findings: list[dict[str, Any]] | None = None, **more: Any
) -> Question:
    """The question of a small case."""
    return question(parse_case({"family": family, "complaint": complaint or {}, "findings": findings or [], **more}))


def leading(one: Question, *, seed: int = 1, most_draws: int = 20_000) -> tuple[list[str], Posterior, Causes]:
    """Faults in the order of what they explain, with the clocks behind them."""
    found = posterior(one, np.random.default_rng(seed), most_draws=most_draws, keep=1200)
    causes = find_causes(one, found)
    return [one.suspicion.suspects[s.suspect].fault for s in causes.singles if s.present > 0.0], found, causes


def rows_of_symptoms(one: Question) -> list[str]:
    """Faults of striking, chiming and alarm in their order, the shared ones with their chance before the complaint."""
    rng = np.random.default_rng(2)
    draws = draw_faults(one.suspicion, 2000, rng)
    found = Posterior(
        rng.standard_normal((scatter_count(one.bench.layout), 2000)), draws, 2000.0, 0.0, 0.0, "importance"
    )
    return [row["fault"] for row in symptom_rows(one, found)]


def number(one: Question, fault: str) -> int:
    """Number of the first suspect with a fault."""
    return next(k for k, s in enumerate(one.suspicion.suspects) if s.fault == fault)


def sound_clocks(one: Question, count: int, *, seed: int = 3) -> tuple[Array, FaultDraws]:
    """Sound movements, and faults of which none is there."""
    shape = (len(one.suspicion.suspects), count)
    none = FaultDraws(
        np.zeros(shape, np.float32),
        np.full(shape, -1, np.int8),
        np.ones(shape, np.int8),
        np.full(shape, 0.5, np.float32),
    )
    return np.random.default_rng(seed).standard_normal((scatter_count(one.bench.layout), count)), none


def with_fault(one: Question, draws: FaultDraws, fault: str, severity: float) -> FaultDraws:
    """The same clocks, all with a fault of one severity at places of its own."""
    k = number(one, fault)
    new = FaultDraws(draws.severity.copy(), draws.arbor.copy(), draws.sense.copy(), draws.clock.copy())
    fill_in(new, k, one.suspicion.suspects[k], np.arange(draws.count), np.random.default_rng(7))
    new.severity[k] = severity
    return new


def run(one: Question, theta: Array, draws: FaultDraws) -> Fate:
    """What becomes of the clocks."""
    return fate(one.bench, theta, one.suspicion.suspects, draws, hours_h=one.gauges.hours_h)
