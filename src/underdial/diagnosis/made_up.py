"""Made-up clocks whose truth is known: drawn from the model, or from a world that differs from it.

Each has faults, a complaint, findings by a repairer who overlooks and errs, and two or three readings. They serve to
see whether the chances that are stated hold, and to measure other methods beside ours; no real clock is among them.

Limits: one report of a fault in ten is wrong, as the room assumes; a world that differs does so as `World` says.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis import effects, severity
from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.effects import Table, scatter_count
from underdial.diagnosis.fate import Fate, end_of_run, threads_for
from underdial.diagnosis.fault_draws import FaultDraws, draw_faults
from underdial.diagnosis.question import Learned, Question, question
from underdial.diagnosis.readings import Gauge, simulate
from underdial.diagnosis.simulate import simulate_told
from underdial.diagnosis.suspects import wrong_report_probability
from underdial.mechanics.kernel import predict
from underdial.mechanics.parameters import Array
from underdial.trade.faults import faults, matching

_NOT_LOOKED_AT = 0.3


@dataclass(frozen=True)
class World:
    """How the true clocks differ from the model: factors on parameters, a log spread on every severity, chances of
    faults and sizes of effects.
    """

    name: str
    factors: Mapping[str, float]
    severity_log_sd: float
    own: Learned = field(default_factory=Learned)


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
    shown: Array
    world: World


def make_up(
    family: str,
    inspected: Sequence[str],
    count: int,
    rng: np.random.Generator,
    *,
    world: World = WELL_SET,
    most_readings: int | None = None,
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
    most_readings : int or None
        None: the half arc is read (dial up as well where there is a balance). Else nought to so many readings of any
        kind.

    Returns
    -------
    MadeUp
        `levels` is (inspected, count): -1 not looked at, 0 sound, 1 to 3 the level found. `shown` is (kinds, count),
        NaN where nothing was read.
    """
    asked = question(parse_case({"family": family}), world.own)
    draws = draw_faults(asked.suspicion, count, rng)
    if world.severity_log_sd:
        draws.severity *= np.exp(world.severity_log_sd * rng.standard_normal(draws.severity.shape)).astype(np.float32)
    theta = rng.standard_normal((scatter_count(asked.bench.layout), count))
    what = true_fate(asked, theta, draws, world)
    told = simulate_told(["runs_for_s"], asked, what, draws, rng)
    levels = np.stack([_look(asked, fault, draws, rng) for fault in inspected])
    readings, shown = _readings(asked, what, most_readings, rng)
    pairs = [own_name(asked, fault) for fault in inspected]
    cases = [
        {
            "family": family,
            "complaint": told[i],
            "findings": _findings(pairs, levels[:, i]),
            "measurements": readings[i],
        }
        for i in range(count)
    ]
    return MadeUp(asked, theta, draws, what, cases, levels, shown, world)


def true_fate(asked: Question, theta: Array, draws: FaultDraws, world: World) -> Fate:
    """What truly becomes of clocks in a world."""
    table: Table = effects.healthy(asked.bench, theta)
    for name, factor in world.factors.items():
        table.values[asked.bench.layout.rows(name)] *= factor
    effects.act(asked.bench, table, asked.suspicion.suspects, draws, sizes=world.own.sizes)
    hours = (asked.gauges.hours_h[0], 1.0)
    count = draws.count
    outcome = predict(asked.bench.layout, table.values, hours_h=hours, threads_count=threads_for(count))
    return end_of_run(asked.bench, table, outcome, asked.suspicion.suspects, draws)


def made_good(
    made: MadeUp, inspected: Sequence[str], rng: np.random.Generator, *, left: Sequence[str] = ()
) -> tuple[Fate, list[list[dict[str, Any]]]]:
    """The same clocks after the work: every fault that was found is put right, save those `left`; what becomes of them,
    and their swings as read then.
    """
    mended = replace(made.draws, severity=made.draws.severity.copy())
    for fault, levels in zip(inspected, made.levels, strict=True):
        if fault not in left:
            mended.severity[number_of(made.asked, fault), levels > 0] = 0.0
    what = true_fate(made.asked, made.theta, mended, made.world)
    return what, _readings(made.asked, what, None, rng)[0]


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
    false = (s == 0.0) & (
        rng.random(n) < wrong_report_probability(suspect.probability, suspect.law.overlooked_probability)
    )
    if false.any():
        # A wrong report says a level as a right one would.
        made = severity.said_level(severity.unseen(rng.standard_normal(4 * n)), rng.standard_normal(4 * n))
        level[false] = made[made > 0][: int(false.sum())]
    level[rng.random(n) < _NOT_LOOKED_AT] = -1
    return level


def _findings(pairs: Sequence[tuple[str, str]], levels: NDArray[np.int64]) -> list[dict[str, Any]]:
    out: list[dict[str, Any]] = []
    for (component, condition), level in zip(pairs, levels, strict=True):
        if level < 0:
            continue
        one: dict[str, Any] = {
            "component": component,
            "condition": condition,
            "state": "present" if level else "absent",
        }
        one |= {"certainty": 0.9, "extent": severity.LEVELS[level - 1]} if level else {"certainty": 1.0}
        out.append(one)
    return out


def own_name(asked: Question, fault: str) -> tuple[str, str]:
    """The first pair of part and condition by which this clock's faults know this one alone."""
    here = {one.fault for one in asked.suspicion.suspects}
    for component, condition in faults()[fault].matches:
        if [one.id for one in matching(component, condition, None) if one.counted and one.id in here] == [fault]:
            return component, condition
    return faults()[fault].component, faults()[fault].condition


def _kinds(asked: Question) -> list[tuple[str, str, str, int, float, str]]:
    """What can be read of a movement: quantity, kind, position and its number, standard deviation of the gauge,
    unit.
    """
    bench = asked.bench
    full = float(bench.nominal[bench.layout.row("full_torque_n_m")])
    if bench.layout.oscillator == "balance":
        own, beat = float(np.radians(8.0)), 0.005
        places = [("12_up", 0), ("dial_up", 1)]
    else:
        own, beat = 0.06 * bench.amplitude_rad, 0.02
        places = [("12_up", 0)]
    swings = [("half_arc", "swing", name, number, own, "rad") for name, number in places]
    rates = [("rate", "rate", name, number, 12.0, "s/d") for name, number in places]
    return [
        *swings,
        *rates,
        ("beat_error", "beat_time", "12_up", 0, beat, "s"),
        ("escape_torque", "escape", "12_up", 0, 0.10 * bench.escape_torque_n_m, "Nm"),
        ("main_torque", "main", "12_up", 0, 0.06 * full, "Nm"),
    ]


def _readings(
    asked: Question, what: Fate, most: int | None, rng: np.random.Generator
) -> tuple[list[list[dict[str, Any]]], Array]:
    """The swings, or nought to `most` readings of any kind, an hour after winding, by the law that weighs them."""
    kinds = _kinds(asked)
    n = len(what.stop_s)
    if most is None:
        taken = np.tile(np.asarray([kind == "swing" for _, kind, *_ in kinds])[:, None], n)
    else:
        order = np.argsort(rng.random((len(kinds), n)), axis=0)
        taken = order < rng.integers(0, most + 1, n)
    regulator = asked.regulator_sd * rng.standard_normal(n)
    out: list[list[dict[str, Any]]] = [[] for _ in what.stop_s]
    shown = np.full((len(kinds), n), np.nan)
    for row, (quantity, kind, position, number, u, unit) in enumerate(kinds):
        gauge = Gauge(kind, 0.0, u, 1, number, 0)
        shown[row] = np.where(
            taken[row],
            simulate(gauge, asked.bench, what, rng, regulator=regulator, typical_rate=asked.typical_rate),
            np.nan,
        )
        for i in np.flatnonzero(taken[row]):
            out[i].append(
                {
                    "quantity": quantity,
                    "value": float(shown[row, i]),
                    "u": u,
                    "unit": unit,
                    "position": position,
                    "hours_since_winding_h": 1.0,
                }
            )
    return out, shown
