"""Causes, counted on the same clocks: what each fault does, alone and together.

For every clock of the posterior the sums are run again with faults put right. Three numbers differ and all are given.
Necessary: the complaint would be gone if only this were put right. Sufficient: it would be there if only this were
left. Share: the fault's Shapley part of the lost margin. In a clock with several faults hardly anything is necessary
alone; the smallest sets that cure it are.

Limits: shares and sets over at most eight faults, exactly; the others stay as they are found. Errors stated are those
of the draws, not of the model.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis import complaint_model
from underdial.diagnosis.complaint_model import LASTS_LONGER, rate_shift
from underdial.diagnosis.fate import Fate, fate
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.question import Question
from underdial.diagnosis.sampler import Posterior
from underdial.mechanics.parameters import Array

PLAYERS = 8
HARD_STOP_COST = 2.0
_MARGIN_LOW, _MARGIN_HIGH = -1.5, 1.6
_RATE_RIGHT = {"balance": 120.0, "pendulum": 45.0, "torsion": 90.0}
# What was there before the event a complaint is dated from counts for so much in the order of causes. [assumption]
_WAS_THERE_BEFORE = 0.5
# What goes for less than this part of its wind does not yet go. [assumption]
_GOES_PART = 0.02
_ORDER = ("hands_stand", "winding", "races", "rate", "swing", "noise")


@dataclass
class Rerun:
    """Clocks run again: right (the complaint gone, 0 to 1), value (the margin that shares divide), and the torque and
    swing.
    """

    right: Array
    value: Array
    escape_torque_n_m: Array
    amplitude_rad: Array
    rate: Array
    reserve: Array
    hard: NDArray[np.bool_]
    lasts_s: Array


@dataclass
class Single:
    """One suspect put right by itself, in the clocks that hold it."""

    suspect: int
    present: float
    necessary: float
    sufficient: float
    gain: float
    torque_lost_n_m: float
    torque_without_n_m: float
    amplitude_with_rad: float
    amplitude_without_rad: float
    rate_change: float
    reserve_with: float
    reserve_without: float
    hard_share: float
    explains: float


@dataclass
class Causes:
    """Singles in the order of what they explain; shares and sets of the leading ones; and how the clocks stand as
    found.
    """

    aspect: str
    singles: list[Single]
    players: tuple[int, ...]
    shares: dict[int, float]
    right_after: dict[tuple[int, ...], float]
    smallest: list[tuple[int, ...]]
    right_as_found: float
    runs_as_found: float
    as_found: Rerun
    present_masks: NDArray[np.int64]


def aspect_of(asked: Question) -> str:
    """What the owner complains of, as far as the going goes: stops, or the first of the others that was told."""
    told = asked.told
    stops = any(told.get(name) not in (None, False) for name in complaint_model.STOP_FIELDS)
    runs = told.get("runs_for_s")
    goes = isinstance(runs, float) and runs >= complaint_model.GOES_SHARE * asked.bench.layout.duration_s
    if stops and not goes:
        return "stops"
    for name in _ORDER:
        if name == "rate" and ("rate_s_per_day" in told or told.get("rate_kind") is not None):
            # Unsteady is not the same as wrong: without a figure only the unsteadiness is complained of.
            return "rate" if "rate_s_per_day" in told or told["rate_kind"] in ("gains", "loses") else "rate_kind"
        if told.get(name) not in (None, False):
            return name
    return "stops"


def find_causes(asked: Question, found: Posterior) -> Causes:
    """Run the clocks of a posterior again with faults put right, one by one and in all sets of the leading eight."""
    aspect = aspect_of(asked)
    as_found = run_again(asked, found.theta, found.draws, aspect)
    there = found.draws.severity > 0.0
    present = there.mean(axis=1)
    candidates = [int(k) for k in np.flatnonzero((present > 0.004) | _reported(asked))]
    singles = _singles(asked, found, aspect, as_found, candidates, there)
    players = tuple(one.suspect for one in singles[:PLAYERS] if one.present > 0.0)
    masks, table_right, table_value = _all_sets(asked, found, aspect, players, there)
    shares = _shapley(players, masks, table_value)
    right = {
        tuple(players[i] for i in range(len(players)) if s >> i & 1): float(
            table_right[np.arange(found.count), s & masks].mean()
        )
        for s in range(1 << len(players))
    }
    full = _runs(asked, found)
    return Causes(
        aspect,
        singles,
        players,
        shares,
        right,
        _smallest(players, right),
        float(as_found.right.mean()),
        full,
        as_found,
        masks,
    )


def run_again(asked: Question, theta: Array, draws: FaultDraws, aspect: str) -> Rerun:
    """Run clocks and say of each whether the complaint is gone, and with what margin."""
    what = _fate(asked, theta, draws)
    right, value = _judged(asked, what, draws, aspect)
    hour = 0
    return Rerun(
        right,
        value,
        what.outcome.escape_torque_n_m,
        what.outcome.amplitude_full_rad[0],
        rate_shift(what, hour, 0) - asked.typical_rate,
        what.outcome.reserve_ratio[0],
        np.isfinite(what.hard_stop_s),
        np.where(what.full, np.inf, what.stop_s),
    )


def _fate(asked: Question, theta: Array, draws: FaultDraws) -> Fate:
    return fate(
        asked.bench, theta, asked.suspicion.suspects, draws, hours_h=asked.gauges.hours_h[:1], sizes=asked.learned.sizes
    )


def _runs(asked: Question, found: Posterior) -> float:
    return float(_fate(asked, found.theta, found.draws).full.mean())


def _judged(asked: Question, what: Fate, draws: FaultDraws, aspect: str) -> tuple[Array, Array]:
    """Is the complaint gone (0 to 1), and the margin that shares divide."""
    margin = np.clip(np.log(np.maximum(what.outcome.margin_ratio[0], 1e-6)), _MARGIN_LOW, _MARGIN_HIGH)
    margin = margin - HARD_STOP_COST * np.isfinite(what.hard_stop_s) - 0.5 * ~what.outcome.runs_full[0]
    if aspect == "stops":
        return what.full.astype(float), margin
    if aspect == "rate":
        shift = rate_shift(what, 0, 0) - asked.typical_rate
        limit = _RATE_RIGHT[asked.bench.layout.oscillator]
        uneven = (
            _said(asked, what, draws, "rate_kind")
            if asked.told.get("rate_kind") in ("irregular", "changes_over_wind")
            else np.zeros(len(shift))
        )
        return (np.abs(shift) <= limit) * (1.0 - uneven), -np.log1p(np.abs(shift) / 30.0) - 2.0 * uneven
    said = _said(asked, what, draws, aspect)
    return 1.0 - said, -said


def _said(asked: Question, what: Fate, draws: FaultDraws, name: str) -> Array:
    """Chance that the told value of a field would be said of each clock."""
    chances = complaint_model.values_of(
        name, asked.bench, asked.signs, what, draws, regulator_sd=asked.regulator_sd, typical_rate=asked.typical_rate
    )
    value = asked.told[name]
    return chances["yes" if value is True else str(value)]


def _reported(asked: Question) -> NDArray[np.bool_]:
    return np.asarray([bool(one.reports) for one in asked.suspicion.suspects])


def _singles(
    asked: Question, found: Posterior, aspect: str, as_found: Rerun, candidates: Sequence[int], there: NDArray[np.bool_]
) -> list[Single]:
    """Every candidate put right by itself, and left by itself, in one batch of reruns."""
    columns = [np.flatnonzero(there[k]) for k in candidates]
    owner = np.repeat(np.arange(len(candidates)), [len(c) for c in columns])
    flat = np.concatenate(columns) if columns else np.empty(0, np.int64)
    which = np.asarray(candidates, dtype=np.int64)[owner] if len(flat) else np.empty(0, np.int64)
    cured = found.draws.chosen(flat)
    cured.severity[which, np.arange(len(flat))] = 0.0
    without = run_again(asked, found.theta[:, flat], cured, aspect)
    alone = found.draws.chosen(flat)
    keep = alone.severity[which, np.arange(len(flat))].copy()
    alone.severity[:] = 0.0
    alone.severity[which, np.arange(len(flat))] = keep
    only = run_again(asked, found.theta[:, flat], alone, aspect)
    out = []
    for i, k in enumerate(candidates):
        mine = owner == i
        out.append(
            _single(
                k,
                flat[mine],
                _part(without, mine),
                _part(only, mine),
                as_found,
                found.count,
                aspect,
                _GOES_PART * asked.bench.layout.duration_s,
            )
        )
    return sorted(out, key=lambda one: (-_rank(asked, one), one.suspect))


def _part(run: Rerun, mask: NDArray[np.bool_]) -> Rerun:
    return Rerun(
        *(
            getattr(run, n)[mask]
            for n in ("right", "value", "escape_torque_n_m", "amplitude_rad", "rate", "reserve", "hard", "lasts_s")
        )
    )


def _single(
    k: int,
    columns: NDArray[np.int64],
    without: Rerun,
    only: Rerun,
    as_found: Rerun,
    count: int,
    aspect: str,
    least_s: float,
) -> Single:
    n = len(columns)
    if n == 0:
        return Single(k, *([0.0] * 13))
    before = as_found.right[columns]
    if aspect in ("stops", "rate"):
        necessary = np.where(before < 0.5, without.right > 0.5, False).astype(float)
        sufficient = (only.right < 0.5).astype(float)
    else:
        # The symptom is there: by the noisy OR the chance that it is this fault's doing alone.
        wrong = np.maximum(1.0 - before, 1e-9)
        necessary = np.clip((wrong - (1.0 - without.right)) / wrong, 0.0, 1.0)
        sufficient = np.clip(1.0 - only.right, 0.0, 1.0)
    hard_now = as_found.hard[columns] & ~without.hard
    # A stop is explained by what makes it last several times as long when it is put right, though something else may
    # stop it later.
    far = np.maximum(LASTS_LONGER * as_found.lasts_s[columns], least_s)
    explained = without.lasts_s > far if aspect == "stops" else necessary
    return Single(
        k,
        n / count,
        float(necessary.sum()) / count,
        float(sufficient.sum()) / count,
        float(np.maximum(without.value - as_found.value[columns], 0.0).sum()) / count,
        float(np.median(without.escape_torque_n_m - as_found.escape_torque_n_m[columns])),
        float(np.median(without.escape_torque_n_m)),
        float(np.median(as_found.amplitude_rad[columns])),
        float(np.median(without.amplitude_rad)),
        float(np.median(as_found.rate[columns] - without.rate)),
        float(np.median(as_found.reserve[columns])),
        float(np.median(without.reserve)),
        float(hard_now.mean()),
        float(explained.sum()) / count,
    )


def _rank(asked: Question, one: Single) -> float:
    """What a suspect explains: cured by it alone, the told stop put off, its part of the margin; what a good part cured
    stands first.
    """
    found = 0.02 * one.present * bool(asked.suspicion.suspects[one.suspect].reports)
    cured = any(t.cured and one.suspect in t.members for t in asked.suspicion.tried)
    # Of a clock that went until something happened the question is what came with it; what was there before only
    # helped.
    old = asked.told.get("since") is not None and asked.suspicion.suspects[one.suspect].since_factor <= 1.0
    helped = _WAS_THERE_BEFORE if old else 1.0
    return helped * (0.5 * (one.necessary + one.explains) + 0.12 * min(one.gain, 2.0) + found) + cured * (
        0.5 + one.present
    )


def _all_sets(
    asked: Question, found: Posterior, aspect: str, players: tuple[int, ...], there: NDArray[np.bool_]
) -> tuple[NDArray[np.int64], Array, Array]:
    """Right and value of every clock after every set of the players is put right.

    Of the 2^8 sets a clock knows only those among the faults it holds; only these are run. Returned: the mask of the
    players each clock holds, and tables (draws, sets) to be read at set & mask.
    """
    bits = len(players)
    masks = np.zeros(found.count, np.int64)
    for i, k in enumerate(players):
        masks |= there[k].astype(np.int64) << i
    columns, sets = [], []
    for mask in np.unique(masks):
        subsets = [s for s in range(1 << bits) if s & ~int(mask) == 0]
        mine = np.flatnonzero(masks == mask)
        columns.append(np.tile(mine, len(subsets)))
        sets.append(np.repeat(subsets, len(mine)))
    flat, removed = np.concatenate(columns), np.concatenate(sets)
    right, value = np.zeros((found.count, 1 << bits)), np.zeros((found.count, 1 << bits))
    for part in np.array_split(np.arange(len(flat)), max(1, len(flat) // 20_000)):
        draws = found.draws.chosen(flat[part])
        for i, k in enumerate(players):
            draws.severity[k, (removed[part] >> i & 1) == 1] = 0.0
        run = run_again(asked, found.theta[:, flat[part]], draws, aspect)
        right[flat[part], removed[part]] = run.right
        value[flat[part], removed[part]] = run.value
    return masks, right, value


def _shapley(players: tuple[int, ...], masks: NDArray[np.int64], value: Array) -> dict[int, float]:
    """Exact Shapley parts of the margin regained by putting all players right; losses count as none."""
    n = len(players)
    if n == 0:
        return {}
    rows = np.arange(len(masks))
    worth = np.asarray([value[rows, s & masks].mean() for s in range(1 << n)])
    parts = np.zeros(n)
    for i in range(n):
        others = [j for j in range(n) if j != i]
        for size in range(n):
            weight = math.factorial(size) * math.factorial(n - size - 1) / math.factorial(n)
            for chosen in combinations(others, size):
                s = sum(1 << j for j in chosen)
                parts[i] += weight * (worth[s | 1 << i] - worth[s])
    parts = np.maximum(parts, 0.0)
    total = parts.sum()
    return {k: float(p / total) if total > 0 else 1.0 / n for k, p in zip(players, parts, strict=True)}


def _smallest(players: tuple[int, ...], right: dict[tuple[int, ...], float]) -> list[tuple[int, ...]]:
    """Sets that come within a tenth of what putting all players right would do, none of whose subsets does."""
    if not players:
        return []
    as_found, best = right[()], right[players]
    good = as_found + 0.9 * (best - as_found)
    out: list[tuple[int, ...]] = []
    for size in range(1, len(players) + 1):
        for chosen in combinations(players, size):
            if right[chosen] >= good and not any(set(o) <= set(chosen) for o in out):
                out.append(chosen)
    return sorted(out, key=lambda s: (len(s), -right[s]))[:6] if best > as_found + 0.01 else []
