"""Striking, chiming and alarm of one case: what was told, who can have done it, and what putting some of them right
would cure.

The exact sums are those of `symptoms`; here they meet the case. Worlds for imagined looks are drawn by the same law.

Limits: a fault that touches the going too keeps the chance the going gives it; its symptoms are taken to be independent
of that.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis.question import Question, symptom_causes
from underdial.diagnosis.sampler import Posterior
from underdial.diagnosis.symptoms import LEAK, Cause, Verdict, gone_after, judge

SYMPTOM_FIELDS = ("strikes", "chimes", "alarm")
# What is said of one symptom rules others out: a clock that strikes the wrong count strikes.
_NEVER_WITH = {
    "wrong_count": ("never", "runs_on"),
    "one_hour_wrong": ("never", "runs_on", "wrong_count"),
    "runs_on": ("never",),
    "slow": ("never",),
    "too_fast": ("never", "slow"),
    "out_of_order": ("never",),
    "wrong_time": ("never",),
    "weak": ("never",),
    "one": ("never", "runs_on"),
    "never": (),
}
_WORLDS = 40_000
_AN_HOUR_S = 3600.0


@dataclass(frozen=True)
class SymptomCase:
    """Causes with their chances, the symptoms told and those ruled out, and the faults somebody reported."""

    causes: tuple[Cause, ...]
    told: tuple[str, ...]
    not_so: tuple[str, ...]
    reported: frozenset[str]

    def verdicts(self) -> list[Verdict]:
        """Every cause judged, what explains most first."""
        found = judge(self.causes, told=self.told, not_so=self.not_so)
        return sorted(found, key=lambda v: (-(v.necessary_probability + 0.2 * v.sufficient_probability), v.key))

    def gone(self, put_right: Collection[str]) -> float:
        """Chance that all that was told would be gone with some faults put right."""
        return gone_after(self.causes, told=self.told, not_so=self.not_so, removed=put_right)

    def worlds(self, rng: np.random.Generator) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Which faults are there, and which symptoms each brought about, in worlds that agree with what was told.

        Shapes (causes, worlds) and (causes + 1, told, worlds); the last cause is none of the listed ones.
        """
        there = rng.random((len(self.causes), _WORLDS)) < np.asarray([[c.probability] for c in self.causes])
        symptoms = (*self.told, *self.not_so)
        fired = np.zeros((len(self.causes) + 1, len(symptoms), _WORLDS), bool)
        for j, symptom in enumerate(symptoms):
            chance = np.asarray([[c.brings.get(symptom, 0.0)] for c in self.causes])
            fired[:-1, j] = there & (rng.random(there.shape) < chance)
            fired[-1, j] = rng.random(_WORLDS) < LEAK
        on: NDArray[np.bool_] = np.logical_or.reduce(fired, axis=0)
        agree = on[: len(self.told)].all(axis=0) & ~on[len(self.told) :].any(axis=0)
        return there[:, agree], fired[:, : len(self.told), agree]


def symptom_case(asked: Question, found: Posterior) -> SymptomCase | None:
    """The symptoms of a case; None when nothing was told of striking, chiming or alarm and nothing found there."""
    told, not_so = [], []
    for name in SYMPTOM_FIELDS:
        value = asked.told.get(name)
        if value is not None and not (value == "never" and _stands(asked)):
            told.append(f"{name}={value}")
            not_so += [f"{name}={other}" for other in _NEVER_WITH.get(str(value), ())]
    reported = frozenset(one.fault for one in asked.suspicion.symptom_suspects if one.reports)
    if not told and not reported:
        return None
    going = {s.fault: float((found.draws.severity[k] > 0).mean()) for k, s in enumerate(asked.suspicion.suspects)}
    causes = tuple(Cause(c.key, going.get(c.key, c.probability), c.brings) for c in symptom_causes(asked.suspicion))
    return SymptomCase(causes, tuple(told), tuple(not_so), reported)


def _stands(asked: Question) -> bool:
    """Whether the clock does not go as far as an hour: that it does not strike then says nothing of its strike."""
    runs = asked.told.get("runs_for_s")
    return bool(asked.told.get("never_runs")) or (isinstance(runs, float) and runs < _AN_HOUR_S)


def going_told(asked: Question) -> bool:
    """Whether anything was told of the going, the winding or the rate."""
    return any(
        name not in (*SYMPTOM_FIELDS, "since", "words") and value not in (None, False)
        for name, value in asked.told.items()
    )


def only_symptoms_told(asked: Question) -> bool:
    """Whether the complaint is of striking, chiming or alarm alone."""
    return any(asked.told.get(name) is not None for name in SYMPTOM_FIELDS) and not going_told(asked)
