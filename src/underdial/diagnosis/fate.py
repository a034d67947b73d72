"""What becomes of each draw: the energy balance, and the stops that have no energy path.

A fault may stop a clock hard: once a turn of an arbor, at one time on the dial, at one state of wind, as the strike is
lifted, now and then. Each such stop has a time of its own; the first of them, or the swing dying away, ends the run.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis import effects
from underdial.diagnosis.effects import Bench, Table
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.severity import threshold
from underdial.diagnosis.suspects import Suspect
from underdial.mechanics.energy_balance import Outcome
from underdial.mechanics.kernel import predict
from underdial.mechanics.parameters import Array, Layout

# How a run ends. The order is that of the numbers in `Fate.ending`.
ENDINGS = (
    "full",
    "dies_away",
    "dead",
    "arbor",
    "hour1",
    "crossing",
    "hour12",
    "hour24",
    "before_hour",
    "quarter",
    "one_oclock",
    "wind",
    "random",
    "tilt",
)
ENDING = {name: number for number, name in enumerate(ENDINGS)}
HANDS_MEET_S = 12.0 / 11.0 * 3600.0
# Hands that catch do not do so at every meeting; at one in four. [assumption]
_CROSSINGS = 4.0
_FIXED_S = {
    "hour1": 3600.0,
    "crossing": _CROSSINGS * HANDS_MEET_S,
    "hour12": 43200.0,
    "hour24": 86400.0,
    "before_hour": 3600.0,
    "quarter": 900.0,
    "one_oclock": 43200.0,
}
# Stops that end a run as another kind does: at the escape wheel once a turn, and at the winding as at one state of the
# wind.
_SHOWN_AS = {"escape": "arbor", "winding_stop": "wind"}
_RANDOM_MEAN_S = 12 * 3600.0
_THREADS, _SHARED_FROM = 2, 4000


@dataclass
class Fate:
    """How each draw runs and ends. Arrays are (draws,); `ended_by` is the suspect that stopped it hard, else -1."""

    outcome: Outcome
    stop_s: Array
    full: NDArray[np.bool_]
    ending: NDArray[np.int8]
    ended_by: NDArray[np.int16]
    period_s: Array
    hard_stop_s: Array
    hands_slip: NDArray[np.bool_]
    stops_winding: NDArray[np.bool_]
    trip: Array
    hour_ripple: Array
    table: Table


def fate(
    bench: Bench,
    theta: Array,
    suspects: tuple[Suspect, ...],
    draws: FaultDraws,
    *,
    hours_h: tuple[float, ...] = (),
    sizes: Mapping[str, float] | None = None,
) -> Fate:
    """Run every draw: sound movement, faults, energy balance, hard stops.

    Parameters
    ----------
    bench : Bench
        The movement.
    theta : array, shape (scatter_count, draws)
        Standard normal numbers of the sound movement.
    suspects, draws : tuple of Suspect, FaultDraws
        The faults of each draw.
    hours_h : tuple of float
        Hours since winding at which swing and rate are wanted [h].
    sizes : mapping, optional
        Learned factors on the effect of a fault, by fault id.

    Returns
    -------
    Fate
        In the order of the draws.
    """
    table = effects.healthy(bench, theta)
    effects.act(bench, table, suspects, draws, sizes=sizes)
    outcome = predict(bench.layout, table.values, hours_h=hours_h, threads_count=threads_for(draws.count))
    return end_of_run(bench, table, outcome, suspects, draws)


def threads_for(draws_count: int) -> int:
    """Threads worth starting: a small batch is done before the second has begun."""
    return _THREADS if draws_count >= _SHARED_FROM else 1


def end_of_run(bench: Bench, table: Table, outcome: Outcome, suspects: tuple[Suspect, ...], draws: FaultDraws) -> Fate:
    """Put the hard stops beside the energy balance; the earlier of the two ends the run."""
    n = draws.count
    hard = np.full(n, np.inf)
    ending = np.zeros(n, np.int8)
    by = np.full(n, -1, np.int16)
    period = np.zeros(n)
    slip, winding = np.zeros(n, bool), np.zeros(n, bool)
    for k, suspect in enumerate(suspects):
        # Of several ways to stop it each clock knows one: the first where it is worst, the next where it is less bad.
        above, so_far = math.inf, 0.0
        for kind, chance in suspect.law.events:
            so_far += chance
            least = _threshold(so_far)
            columns = np.flatnonzero((draws.severity[k] > least) & (draws.severity[k] <= above))
            above = least
            if not len(columns):
                continue
            if kind == "slip":
                slip[columns] = True
                continue
            if kind == "winding_stop":
                winding[columns] = True
            time, turn = _strikes_at(
                bench.layout, kind, draws.arbor[k, columns], draws.clock[k, columns].astype(np.float64)
            )
            first = time < hard[columns]
            hit = columns[first]
            hard[hit], period[hit], by[hit] = time[first], turn[first], k
            ending[hit] = ENDING[_SHOWN_AS.get(kind, kind)]
    duration = bench.layout.duration_s
    hard = np.where(hard < duration, hard, np.inf)
    energy = np.where(outcome.runs_full[0], np.inf, outcome.stop_s[0])
    stopped_hard = hard < energy
    full = np.isinf(hard) & outcome.runs_full[0]
    ending = np.where(full, ENDING["full"], np.where(stopped_hard, ending, ENDING["dies_away"])).astype(np.int8)
    stop = np.where(full, outcome.stop_s[0], np.minimum(hard, outcome.stop_s[0]))
    hour_row = bench.layout.row("arbor_ripple_ratio", bench.places.hour_arbor)
    return Fate(
        outcome,
        stop,
        full,
        ending,
        np.where(stopped_hard & ~full, by, -1).astype(np.int16),
        period,
        hard,
        slip,
        winding,
        table.trip,
        table.values[hour_row],
        table,
    )


_THRESHOLDS: dict[float, float] = {}


def _threshold(chance: float) -> float:
    if chance not in _THRESHOLDS:
        _THRESHOLDS[chance] = threshold(chance)
    return _THRESHOLDS[chance]


def _strikes_at(layout: Layout, kind: str, arbor: NDArray[np.int8], clock: Array) -> tuple[Array, Array]:
    """When, after a start at full wind, a hard stop comes, and the time between two such."""
    if kind in ("arbor", "escape"):
        periods = np.asarray(layout.arbor_period_s)
        place = np.full(len(arbor), layout.arbors_count - 1) if kind == "escape" else arbor.astype(np.int64)
        turn = np.where(
            (place >= 0) & (place < layout.arbors_count), periods[np.clip(place, 0, layout.arbors_count - 1)], 60.0
        )
        return clock * turn, turn
    if kind == "dead":
        return 5.0 + 25.0 * clock, np.zeros(len(clock))
    if kind == "winding_stop":
        # It goes until it is wound again, towards the end of its wind.
        return (0.85 + 0.14 * clock) * layout.duration_s, np.full(len(clock), layout.duration_s)
    if kind == "wind":
        return (0.05 + 0.95 * clock) * layout.duration_s, np.full(len(clock), layout.duration_s)
    if kind in ("random", "tilt"):
        mean = min(_RANDOM_MEAN_S, 0.2 * layout.duration_s)
        return -mean * np.log(np.clip(1.0 - clock, 1e-6, 1.0)), np.full(len(clock), mean)
    turn = np.full(len(clock), _FIXED_S[kind])
    return clock * turn, turn
