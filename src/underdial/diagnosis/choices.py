"""Choices: sets of works with what they cost and what they would do, on the same clocks.

Every choice is run on the clocks of the posterior with its faults put right. An overhaul puts right, with no work of its
own, what cleaning and oiling puts right. Of all sets those are kept that no cheaper one beats.

Limits: prices are hours times a rate, without parts; bands are those of the works, not a law. Nothing above 98 in 100 is
ever promised.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from underdial.diagnosis.causes import Causes
from underdial.diagnosis.complaint_model import rate_shift
from underdial.diagnosis.fate import Fate, fate
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.question import Question
from underdial.diagnosis.sampler import Posterior
from underdial.trade.faults import Remedy, faults
from underdial.trade.works import Work, overhaul_for, works

MOST_SURE = 0.98
DEFAULT_RATE_MINOR_PER_H = 6000
DEFAULT_CURRENCY = "GBP"
# What an overhaul (strip, clean, reassemble, oil) puts right without a further work.
CLEANED = frozenset({"TRN-27", "TRN-28", "TRN-29", "TRN-30", "TRN-31", "TRN-32", "TRN-44", "TRN-46", "TRN-47", "BAL-15", "LEV-12", "LEV-14",
                     "CYL-06", "PWR-06", "ESC-16", "PEN-12", "FLB-03", "PWR-30"})  # fmt: skip
_STRIPPED_GROUPS = ("power", "train", "lever", "platform", "balance", "torsion")
_NOT_STRIPPED = frozenset({"PWR-32", "PWR-33", "PWR-36", "PWR-39", "PWR-40", "PWR-45", "PWR-26", "PWR-37", "TRN-40", "LEV-15", "BAL-35",
                           "BAL-36", "BAL-30", "BAL-31", "TRN-43", "BAL-25", "TOR-01", "TOR-02", "TOR-03", "TOR-04", "TOR-05", "TOR-07"})  # fmt: skip
_SHOWN = 6


@dataclass(frozen=True)
class Price:
    """What an hour costs, in the smallest coin."""

    rate_minor_per_h: int = DEFAULT_RATE_MINOR_PER_H
    currency: str = DEFAULT_CURRENCY


@dataclass(frozen=True)
class Choice:
    """A set of works and what it would do. `suspects` are the faults it puts right."""

    suspects: tuple[int, ...]
    works: tuple[str, ...]
    runs_full: float
    runs_full_u: float
    right: float
    amplitude_deg: tuple[float, float, float]
    rate_drift_s_per_day: tuple[float, float]
    price_minor: tuple[int, int, int]
    unfixed: tuple[int, ...]


def choices(asked: Question, found: Posterior, causes: Causes, price: Price, *, most_clocks: int = 600) -> list[Choice]:
    """The frontier of price and outcome, cheapest first, "leave it" at its head; at most six."""
    count = min(most_clocks, found.count)
    columns = np.arange(count) * found.count // count
    sets = _candidate_sets(asked, causes)
    options = []
    for chosen in sets:
        cured = with_cleaning(asked, chosen, causes)
        options.append((chosen, cured, priced(asked, chosen, price)))
    options.sort(key=lambda o: (o[2][1], len(o[0])))
    kept: list[Choice] = []
    best = -1.0
    for chosen, cured, band in options:
        one = _outcome(asked, found, columns, chosen, cured, band, causes)
        if not kept or one.right > best + 0.015:
            kept.append(one)
            best = max(best, one.right)
    return _thinned(kept)


def default_remedy(fault_id: str) -> Remedy | None:
    """The remedy a choice counts on: the first that does more than leave it, without altering what is original if it can."""
    doing = [r for r in faults()[fault_id].remedies if r.invasiveness > 0]
    return doing[0] if doing else None


def needs_stripping(fault_id: str) -> bool:
    """Whether the movement comes apart for it, so that an overhaul goes with it."""
    fault = faults().get(fault_id)
    return fault is not None and fault.group in _STRIPPED_GROUPS and fault_id not in _NOT_STRIPPED


def _candidate_sets(asked: Question, causes: Causes) -> list[tuple[int, ...]]:
    """Nothing; the sets of leading faults that do best at each size and at each price; all of them."""
    suspects = asked.suspicion.suspects
    named = tuple(k for k in causes.players if suspects[k].fault in faults())
    ranked = sorted(causes.right_after.items(), key=lambda item: (-item[1], len(item[0])))
    ranked = [(s, p) for s, p in ranked if set(s) <= set(named)]
    sets: list[tuple[int, ...]] = [()]
    for size in range(1, len(named) + 1):
        sets += [s for s, _ in ranked if len(s) == size][: 2 if size <= 4 else 1]
    unstripped = [(s, p) for s, p in ranked if s and not any(needs_stripping(suspects[k].fault) for k in s)]
    sets += [s for s, _ in unstripped[:2]]
    sets += [tuple(k for k in named if suspects[k].reports)]
    oil = tuple(k for k in range(len(suspects)) if suspects[k].fault == "TRN-27")[:1]
    sets += [oil]
    return list(dict.fromkeys(sets))


def with_cleaning(asked: Question, chosen: Sequence[int], causes: Causes) -> tuple[int, ...]:
    """The faults a set puts right: its own, the same fault wherever else it sits, and what an overhaul cleans away."""
    suspects = asked.suspicion.suspects
    ids = {suspects[k].fault for k in chosen}
    stripped = any(needs_stripping(f) for f in ids)
    return tuple(k for k, one in enumerate(suspects) if one.fault in ids or (stripped and one.fault in CLEANED))


def _works(asked: Question, chosen: Sequence[int]) -> list[tuple[str, float, float]]:
    """Works of a set with their least and most hours."""
    ids = list(dict.fromkeys(asked.suspicion.suspects[k].fault for k in chosen))
    out: list[tuple[str, float, float]] = []
    stripped = any(needs_stripping(f) for f in ids)
    if stripped:
        base: Work = overhaul_for(_trains_count(asked))
        out.append((base.id, base.time_low_h, base.time_high_h))
    elif ids:
        base = works()["set_up_again"]
        out.append((base.id, base.time_low_h, base.time_high_h))
    for fault_id in ids:
        if stripped and fault_id in CLEANED:
            continue
        remedy = default_remedy(fault_id)
        if remedy is not None:
            out.append((f"{fault_id}.{remedy.id}", remedy.time_low_h, remedy.time_high_h))
    return out


def _trains_count(asked: Question) -> int:
    traits = asked.movement.traits
    return 3 if "chime" in traits else 2 if asked.movement.strike in ("rack", "count_wheel") or traits & {"rack", "count_wheel", "alarm"} else 1


def priced(asked: Question, chosen: Sequence[int], price: Price) -> tuple[int, int, int]:
    """Low, likely and high price: the works' hours added, the spread of independent works taken as half of the sum."""
    rows = _works(asked, chosen)
    low, high = sum(r[1] for r in rows), sum(r[2] for r in rows)
    likely = 0.5 * (low + high)
    spread = math.sqrt(sum(((r[2] - r[1]) / 2.0) ** 2 for r in rows))
    band = (max(low, likely - spread), likely, min(high, likely + spread))
    return tuple(round(h * price.rate_minor_per_h / 100.0) * 100 for h in band)  # type: ignore[return-value]


def _outcome(
    asked: Question, found: Posterior, columns: np.ndarray, chosen: tuple[int, ...], cured: tuple[int, ...], band: tuple[int, int, int], causes: Causes
) -> Choice:  # fmt: skip
    draws = found.draws.chosen(columns)
    draws.severity[list(cured)] = 0.0
    left = np.flatnonzero((draws.severity > 0).mean(axis=1) > 0.15)
    what, drift = _run(asked, found.theta[:, columns], draws)
    runs = float(what.full.mean())
    n = 1.0 / (1.0 / len(columns) + 1.0 / max(found.effective_count, 1.0))
    amplitude = np.degrees(np.percentile(what.outcome.amplitude_full_rad[0], [10, 50, 90]))
    spread = np.percentile(drift[what.full], [10, 90]) if what.full.any() else np.asarray([math.nan, math.nan])
    if causes.aspect == "stops":
        right = runs
    else:
        right = causes.right_after.get(tuple(k for k in causes.players if k in cured), causes.right_as_found)
    shrunk = (runs * n + 0.5) / (n + 1.0)
    return Choice(chosen, tuple(w[0] for w in _works(asked, chosen)), runs, math.sqrt(shrunk * (1.0 - shrunk) / n), right,
                  tuple(float(a) for a in amplitude), (float(spread[0]), float(spread[1])), band, tuple(int(k) for k in left))  # type: ignore[arg-type]  # fmt: skip


def _run(asked: Question, theta: np.ndarray, draws: FaultDraws) -> tuple[Fate, np.ndarray]:
    """Fate with the drift of the rate from full wind to nearly the end."""
    hours = (0.0, 0.9 * asked.bench.layout.duration_s / 3600.0)
    what = fate(asked.bench, theta, asked.suspicion.suspects, draws, hours_h=hours, sizes=asked.learned.sizes)
    return what, rate_shift(what, 1, 0) - rate_shift(what, 0, 0)


def _thinned(kept: list[Choice]) -> list[Choice]:
    """At most six: the first, the last, and those between with the largest steps."""
    if len(kept) <= _SHOWN:
        return kept
    steps = sorted(range(1, len(kept) - 1), key=lambda i: kept[i].right - kept[i - 1].right, reverse=True)[: _SHOWN - 2]
    return [kept[i] for i in sorted({0, len(kept) - 1, *steps})]
