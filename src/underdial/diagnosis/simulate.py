"""Simulated owners: what would be told of clocks whose faults are known, by the law that weighs a real complaint.

Used to say how odd a real clock is, to measure whether the stated chances hold, and nowhere else.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from underdial.diagnosis import complaint_model
from underdial.diagnosis.case_file import COMPLAINT
from underdial.diagnosis.complaint_model import GOES_SHARE, STOP_FIELDS
from underdial.diagnosis.fate import ENDING, ENDINGS, Fate
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.question import Question
from underdial.mechanics.parameters import Array

_LOG_TIME_RANGE = 13.0
_ANY_TIME = 0.04


def told_weight(names: Sequence[str], asked: Question, what: Fate, draws: FaultDraws) -> Array:
    """How likely an owner of each clock is to tell of these fields at all, up to a factor; shape (draws,)."""
    weight = np.ones(draws.count)
    for name in names:
        kind = COMPLAINT.get(name)
        if kind == "yes_no" and name != "never_runs":
            chance = _values(name, asked, what, draws)["yes"]
            weight *= chance if asked.told.get(name, True) else 1.0 - chance
        elif (isinstance(kind, tuple) and name != "since") or kind == "noise":
            chances = _values(name, asked, what, draws)
            weight *= chances[str(asked.told[name])] / np.maximum(np.sum(list(chances.values()), axis=0), 1.0)
    if any(name in STOP_FIELDS and name not in ("runs_for_s", "runs_dial_up_for_s", "never_runs") for name in names):
        weight *= np.where(what.full, _ANY_TIME, 1.0)
    elif not any(name in STOP_FIELDS for name in names) and names:
        weight *= np.where(what.full, 1.0, 0.2)
    return weight


def simulate_told(
    names: Sequence[str], asked: Question, what: Fate, draws: FaultDraws, rng: np.random.Generator
) -> list[dict[str, object]]:
    """What the owner of each clock says in these fields, one mapping for each draw."""
    n = draws.count
    out: list[dict[str, object]] = [{} for _ in range(n)]
    for name in names:
        if name in ("since", "words", "rate_s_per_day"):
            continue
        for i, value in enumerate(_simulated(name, asked, what, draws, rng)):
            out[i][name] = value
    return out


def _simulated(name: str, asked: Question, what: Fate, draws: FaultDraws, rng: np.random.Generator) -> list[object]:
    n = draws.count
    if name in ("runs_for_s", "runs_dial_up_for_s"):
        return [float(t) for t in _times(name, asked, what, rng)]
    if name == "never_runs":
        chance = np.exp(
            complaint_model.log_likelihood(
                {name: True},
                asked.bench,
                asked.signs,
                what,
                draws,
                regulator_sd=asked.regulator_sd,
                typical_rate=asked.typical_rate,
            )
        )
        return [bool(x) for x in rng.random(n) < chance]
    if name == "stops":
        return [True] * n
    # That a thing is seldom told is not odd: told_weight has chosen clocks of which it would be.
    return [asked.told.get(name, True)] * n


def _times(name: str, asked: Question, what: Fate, rng: np.random.Generator) -> Array:
    """Run times told: the predicted one with its spread, a part of a turn, or now and then any time at all."""
    n = len(what.stop_s)
    duration = asked.bench.layout.duration_s
    lying = name == "runs_dial_up_for_s"
    row = 1 if lying and len(what.outcome.stop_s) > 1 else 0
    full = (what.outcome.runs_full[row] & np.isinf(what.hard_stop_s)) if lying else what.full
    stop = np.minimum(what.outcome.stop_s[row], what.hard_stop_s) if lying else what.stop_s
    time = np.maximum(stop, 1.0) * np.exp(complaint_model.run_log_sd(stop) * rng.standard_normal(n))
    if not lying:
        ending = [ENDINGS[int(e)] for e in what.ending]
        turn = what.period_s * rng.random(n) * np.exp(0.3 * rng.standard_normal(n))
        later = what.period_s * complaint_model.LATER_TURNS ** rng.random(n)
        turn = np.where(
            (what.ending == ENDING["arbor"]) & (rng.random(n) > complaint_model.FIRST_TURN_SHARE), later, turn
        )
        memoryless = (
            what.period_s * rng.exponential(size=n) * np.exp(rng.choice(complaint_model.NOW_AND_THEN_STEPS, size=n))
        )
        at_turn = np.asarray([e in complaint_model.TURN_ENDINGS for e in ending])
        chance = np.asarray([e in ("random", "tilt") for e in ending])
        time = np.where(at_turn, turn, np.where(chance, memoryless, time))
    any_time = np.exp(_LOG_TIME_RANGE * rng.random(n))
    time = np.where(rng.random(n) < complaint_model.WRONG_TIME, any_time, time)
    goes = full & (rng.random(n) > _ANY_TIME)
    time = np.where(full, any_time, time)
    return np.where(goes, duration, np.clip(time, 1.0, math.inf)).clip(1.0, max(duration, GOES_SHARE * duration))


def _values(name: str, asked: Question, what: Fate, draws: FaultDraws) -> dict[str, Array]:
    return complaint_model.values_of(
        name, asked.bench, asked.signs, what, draws, regulator_sd=asked.regulator_sd, typical_rate=asked.typical_rate
    )
