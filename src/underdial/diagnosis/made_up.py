"""Made-up clocks whose truth is known: drawn from the model, or from a world that differs from it.

Each has faults, a complaint, findings by a repairer who overlooks and errs, and two or three readings. They serve to see
whether the chances that are stated hold, and to measure other methods beside ours; no real clock is among them.

Limits: one report of a fault in ten is wrong, as the room assumes; a world that differs does so as `World` says.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis import effects, severity
from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.effects import Table, scatter_count
from underdial.diagnosis.fate import Fate, end_of_run, threads_for
from underdial.diagnosis.fault_draws import FaultDraws, draw_faults
from underdial.diagnosis.question import Question, question
from underdial.diagnosis.readings import Gauge, predict_gauge
from underdial.diagnosis.simulate import simulate_told
from underdial.mechanics.kernel import predict
from underdial.mechanics.parameters import Array
from underdial.trade.faults import faults

_NOT_LOOKED_AT = 0.3
_WRONG_REPORTS = 1.0 / 9.0


@dataclass(frozen=True)
class World:
    """How the true clocks differ from the model: factors on parameters, and a log spread on every severity."""

    name: str
    factors: Mapping[str, float]
    severity_log_sd: float


WELL_SET = World("well_set", {}, 0.0)
MIS_SET = World(
    "mis_set",
    {"pivot_friction_ratio": 1.25, "lever_inertia_ratio": 1.4, "linear_q_ratio": 0.8, "least_amplitude_rad": 1.08},
    0.4,
)


@dataclass
class MadeUp:
    """Clocks with their truth: what was told, found and read of each (`cases`), and the draws behind them."""

    asked: Question
    theta: Array
    draws: FaultDraws
    fate: Fate
    cases: list[dict[str, Any]]
    levels: NDArray[np.int64]
    world: World


def make_up(
    family: str, inspected: Sequence[str], count: int, rng: np.random.Generator, *, world: World = WELL_SET, swings: bool = True
) -> MadeUp:
    """Make up clocks of a family.

    Parameters
    ----------
    family : str
        A family by name.
    inspected : sequence of str
        Faults a repairer looks for, each of which a finding names alone.
    count : int
        Clocks, 1 or more.
    rng : Generator
        The random source.
    world : World
        The world they come from.
    swings : bool
        Whether the half arc is read (dial up as well where there is a balance).

    Returns
    -------
    MadeUp
        `levels` is (inspected, count): -1 not looked at, 0 sound, 1 to 3 the level found.
    """
    asked = question(parse_case({"family": family}))
    draws = draw_faults(asked.suspicion, count, rng)
    if world.severity_log_sd:
        draws.severity *= np.exp(world.severity_log_sd * rng.standard_normal(draws.severity.shape)).astype(np.float32)
    theta = rng.standard_normal((scatter_count(asked.bench.layout), count))
    what = true_fate(asked, theta, draws, world)
    told = simulate_told(["runs_for_s"], asked, what, draws, rng)
    levels = np.stack([_look(asked, fault, draws, rng) for fault in inspected])
    readings = _readings(asked, what, rng) if swings else [[] for _ in range(count)]
    cases = [
        {"family": family, "complaint": told[i], "findings": _findings(inspected, levels[:, i]), "measurements": readings[i]} for i in range(count)
    ]
    return MadeUp(asked, theta, draws, what, cases, levels, world)


def true_fate(asked: Question, theta: Array, draws: FaultDraws, world: World) -> Fate:
    """What truly becomes of clocks in a world."""
    table: Table = effects.healthy(asked.bench, theta)
    for name, factor in world.factors.items():
        table.values[asked.bench.layout.rows(name)] *= factor
    effects.act(asked.bench, table, asked.suspicion.suspects, draws)
    hours = (asked.gauges.hours_h[0], 1.0)
    count = draws.count
    outcome = predict(asked.bench.layout, table.values, hours_h=hours, threads_count=threads_for(count))
    return end_of_run(asked.bench, table, outcome, asked.suspicion.suspects, draws)


def number_of(asked: Question, fault: str) -> int:
    """Number of a fault among the suspects of a clock of which nothing was found."""
    return next(k for k, one in enumerate(asked.suspicion.suspects) if one.fault == fault)


def _look(asked: Question, fault: str, draws: FaultDraws, rng: np.random.Generator) -> NDArray[np.int64]:
    """A look at one fault in every clock: overlooked, read with noise, or reported where there is none."""
    k = number_of(asked, fault)
    suspect = asked.suspicion.suspects[k]
    s = draws.severity[k].astype(float)
    n = len(s)
    level = severity.said_level(s, rng.standard_normal(n))
    level[rng.random(n) < suspect.law.overlooked_probability] = 0
    p = suspect.probability
    seen = (1.0 - suspect.law.overlooked_probability) * (1.0 - severity.chance_of_saying_none())
    false = (s == 0.0) & (rng.random(n) < p * seen * _WRONG_REPORTS / (1.0 - p))
    if false.any():
        # A wrong report says a level as a right one would.
        made = severity.said_level(severity.unseen(rng.standard_normal(4 * n)), rng.standard_normal(4 * n))
        level[false] = made[made > 0][: int(false.sum())]
    level[rng.random(n) < _NOT_LOOKED_AT] = -1
    return level


def _findings(inspected: Sequence[str], levels: NDArray[np.int64]) -> list[dict[str, Any]]:
    out: list[dict[str, Any]] = []
    for fault, level in zip(inspected, levels, strict=True):
        if level < 0:
            continue
        one: dict[str, Any] = {"component": faults()[fault].component, "condition": faults()[fault].condition, "state": "present" if level else "absent"}
        one |= {"certainty": 0.9, "extent": severity.LEVELS[level - 1]} if level else {"certainty": 1.0}
        out.append(one)
    return out


def _readings(asked: Question, what: Fate, rng: np.random.Generator) -> list[list[dict[str, Any]]]:
    """The half arc upright, and dial up where there is a balance, as read an hour after winding."""
    balance = asked.bench.layout.oscillator == "balance"
    places = [("12_up", 0), ("dial_up", 1)] if balance else [("12_up", 0)]
    out: list[list[dict[str, Any]]] = [[] for _ in what.stop_s]
    for name, position in places:
        gauge = Gauge("swing", 0.0, 1.0, 1, position, 0)
        predicted = predict_gauge(gauge, asked.bench, what)
        own = np.radians(8.0) if balance else 0.06 * predicted
        sd = np.hypot(own, 0.02 * predicted)
        wide = np.where(rng.random(len(sd)) < 0.02, 6.0, 1.0)
        shown = np.abs(predicted + sd * wide * rng.standard_normal(len(sd)))
        for i, value in enumerate(shown):
            u = np.radians(8.0) if balance else 0.06 * max(float(predicted[i]), 1e-6)
            out[i].append({"quantity": "half_arc", "value": float(value), "u": float(u), "unit": "rad", "position": name, "hours_since_winding_h": 1.0})
    return out


def with_case(made: MadeUp, number: int) -> Question:
    """The question a clock of the set poses, as it would be asked of a real one."""
    return replace(question(parse_case(made.cases[number])))
