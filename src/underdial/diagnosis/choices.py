"""Choices: sets of works with what they cost and what they would do, on the same clocks.

Every choice is run on the clocks of the posterior with its faults put right. An overhaul puts right, with no work of
its own, what cleaning and oiling puts right; so does setting up for level and beat. What was told of striking, chiming
and alarm is gone by the exact sums over its causes. Of all sets those are kept that no cheaper one beats, and beside
them the whole job, for the owner who wants nothing left that was found.

Limits: prices are hours times a rate, without parts; bands are those of the works, not a law. Nothing above 98 in 100
is ever promised.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis.causes import Causes
from underdial.diagnosis.complaint_model import rate_shift
from underdial.diagnosis.fate import Fate, fate
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.question import Question
from underdial.diagnosis.sampler import Posterior
from underdial.diagnosis.symptom_case import SymptomCase, only_symptoms_told, symptom_case
from underdial.mechanics.parameters import Array
from underdial.trade.faults import Remedy, faults
from underdial.trade.works import Work, overhaul_for, works

MOST_SURE = 0.98
DEFAULT_RATE_MINOR_PER_H = 6000
DEFAULT_CURRENCY = "GBP"
# What an overhaul (strip, clean, reassemble, oil) puts right without a further work.
CLEANED = frozenset(
    {
        "TRN-27",
        "TRN-28",
        "TRN-29",
        "TRN-30",
        "TRN-31",
        "TRN-32",
        "TRN-44",
        "TRN-46",
        "TRN-47",
        "BAL-15",
        "LEV-12",
        "LEV-14",
        "CYL-06",
        "PWR-06",
        "ESC-16",
        "PEN-12",
        "FLB-03",
        "PWR-30",
    }
)
# What setting it level and in beat and oiling where it is dry puts right, with or without an overhaul.
SET_UP = frozenset(
    {
        "PEN-01",
        "PEN-18",
        "LEV-15",
        "TOR-04",
        "TRN-28",
        "ESC-16",
        "PEN-12",
        "PEN-23",
        "BAL-36",
        "CUK-05",
        "TOR-05",
        "PWR-36",
    }
)
# A new part puts right whatever was wrong with the old one, and is fitted once: faults that ask for it, and what goes
# with them.
_NEW_PART = (
    (
        frozenset({"PWR-01", "PWR-02", "PWR-03", "PWR-07", "PWR-08", "PWR-10"}),
        frozenset({"PWR-04", "PWR-05", "PWR-06", "PWR-09", "PWR-42"}),
    ),
    (frozenset({"PEN-02", "PEN-03", "PEN-04", "PEN-31"}), frozenset({"PEN-24"})),
    (frozenset({"BAL-24", "BAL-34"}), frozenset({"BAL-21", "BAL-22", "BAL-23", "BAL-25", "BAL-26", "BAL-35"})),
    (frozenset({"BAL-07", "BAL-08"}), frozenset({"BAL-09"})),
    (frozenset({"TOR-01", "TOR-02", "TOR-07"}), frozenset[str]()),
    (frozenset({"FLB-01", "FLB-05"}), frozenset[str]()),
    (frozenset({"TRN-01", "TRN-02", "TRN-03"}), frozenset[str]()),
)
# Remedies that go before a cure and are none themselves.
_CURE_NOTHING = frozenset({"inspect_2nd_arbor", "deburr_exit_hole"})
# Of striking and chiming: what cleaning frees, what is set anew when the train goes together, and what only a stripped
# train shows.
_FREED = frozenset({"RAK-02", "STR-06", "STR-09", "STR-14", "STR-15", "CHM-08", "CHM-10"})
_SET_ANEW = frozenset({"STR-01", "STR-02", "STR-13", "CNT-04", "MOT-21", "PWR-41", "CHM-09", "CUK-05"})
_SEEN_AT_ONCE = frozenset({"PWR-41", "STR-13", "CUK-05"})
_STRIKE_STRIPPED = frozenset({"STR-01", "STR-07", "STR-08", "CHM-01", "CHM-05"})
_STRIPPED_GROUPS = ("power", "train", "lever", "platform", "balance", "torsion")
_NOT_STRIPPED = frozenset(
    {
        "PWR-32",
        "PWR-33",
        "PWR-36",
        "PWR-39",
        "PWR-40",
        "PWR-45",
        "PWR-26",
        "PWR-37",
        "PWR-24",
        "PWR-27",
        "PWR-31",
        "PWR-34",
        "PWR-43",
        "PWR-47",
        "TRN-40",
        "LEV-15",
        "BAL-35",
        "BAL-36",
        "BAL-30",
        "BAL-31",
        "TRN-43",
        "BAL-25",
        "TOR-01",
        "TOR-02",
        "TOR-03",
        "TOR-04",
        "TOR-05",
        "TOR-07",
    }
)
_SHOWN = 6
# A fault that a clock still has with this chance counts as left. [assumption]
_LEFT_FROM = 0.15
# Two chances no further apart than this are the same for a choice: the sums of one clock differ by as much.
# [assumption]
_NO_WORSE = 0.015


@dataclass(frozen=True)
class Price:
    """What an hour costs, in the smallest coin."""

    rate_minor_per_h: int = DEFAULT_RATE_MINOR_PER_H
    currency: str = DEFAULT_CURRENCY


@dataclass(frozen=True)
class Choice:
    """A set of works and what it would do.

    `suspects` and `symptoms` are the faults it puts right, in the going and elsewhere.
    """

    suspects: tuple[int, ...]
    symptoms: tuple[str, ...]
    works: tuple[str, ...]
    runs_full: float
    runs_full_u: float
    right: float
    amplitude_deg: tuple[float, float, float]
    rate_drift_s_per_day: tuple[float, float]
    price_minor: tuple[int, int, int]
    unfixed: tuple[int, ...]
    unfixed_symptoms: tuple[str, ...]


def choices(asked: Question, found: Posterior, causes: Causes, price: Price, *, most_clocks: int = 600) -> list[Choice]:
    """The frontier of price and outcome, cheapest first, "leave it" at its head, and with it all that was found put
    right; at most six.
    """
    count = min(most_clocks, found.count)
    columns = np.arange(count) * found.count // count
    case = symptom_case(asked, found)
    options: dict[frozenset[str], tuple[tuple[int, ...], tuple[str, ...], tuple[int, int, int]]] = {}
    for chosen, symptoms in _plans(asked, causes, case):
        works_of_it = frozenset(row[0] for row in _works(asked, _ids(asked, chosen, symptoms)))
        options.setdefault(works_of_it, (chosen, symptoms, priced(asked, chosen, price, symptoms=symptoms)))
    bench = _Bench(asked, found, columns, causes, case, {})
    kept: list[Choice] = []
    best = -1.0
    for chosen, symptoms, band in sorted(options.values(), key=lambda o: (o[2][1], len(o[0]) + len(o[1]))):
        one = _outcome(bench, chosen, symptoms, band)
        if not kept or one.right > best + _NO_WORSE:
            kept.append(one)
            best = max(best, one.right)
    return sorted([*_thinned(kept, _SHOWN - 1), *_whole(bench, kept, price)], key=lambda one: one.price_minor[1])


def default_remedy(fault_id: str) -> Remedy | None:
    """The remedy a choice counts on: the first that cures, without altering what is original if it can; else the first
    with work in it.
    """
    remedies = [r for r in faults()[fault_id].remedies if r.id not in _CURE_NOTHING]
    doing = [r for r in remedies if r.invasiveness > 0] or [r for r in remedies if r.time_high_h > 0.0]
    return doing[0] if doing else None


def needs_stripping(fault_id: str) -> bool:
    """Whether the movement comes apart for it, so that an overhaul goes with it."""
    fault = faults().get(fault_id)
    if fault_id in _STRIKE_STRIPPED:
        return True
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
    sets += [tuple(k for k, one in enumerate(suspects) if one.fault in SET_UP)[:1]]
    oil = tuple(k for k in range(len(suspects)) if suspects[k].fault == "TRN-27")[:1]
    sets += [oil]
    return list(dict.fromkeys(sets))


def with_cleaning(asked: Question, chosen: Sequence[int], causes: Causes) -> tuple[int, ...]:
    """The faults a set puts right: its own, the same fault wherever else it sits, and what an overhaul cleans away."""
    suspects = asked.suspicion.suspects
    ids = {suspects[k].fault for k in chosen}
    return _cured(asked, ids)


def _cured(asked: Question, ids: Collection[str]) -> tuple[int, ...]:
    """Suspects of the going that a set of faults put right takes away, with what goes with the work."""
    stripped = any(needs_stripping(f) for f in ids)
    with_it = (SET_UP if ids else frozenset()) | (CLEANED if stripped else frozenset())
    for asking, going_too in _NEW_PART:
        with_it |= (asking | going_too) if asking & set(ids) else frozenset()
    return tuple(k for k, one in enumerate(asked.suspicion.suspects) if one.fault in ids or one.fault in with_it)


def _cured_symptoms(ids: Collection[str]) -> frozenset[str]:
    """Faults of striking, chiming and alarm that a set of faults put right takes away, with what goes with the work."""
    stripped = any(needs_stripping(f) for f in ids)
    with_it = (_SEEN_AT_ONCE if ids else frozenset()) | (_FREED | _SET_ANEW if stripped else frozenset())
    return frozenset(ids) | with_it


def _ids(asked: Question, chosen: Sequence[int], symptoms: Sequence[str]) -> list[str]:
    return list(dict.fromkeys([*(asked.suspicion.suspects[k].fault for k in chosen), *symptoms]))


def _plans(asked: Question, causes: Causes, case: SymptomCase | None) -> list[tuple[tuple[int, ...], tuple[str, ...]]]:
    """Sets worth weighing: of the going, of striking and the rest, or of both, as the complaint asks."""
    if case is None or not case.told:
        return [(s, ()) for s in _candidate_sets(asked, causes)]
    leading = [v.key for v in case.verdicts() if v.necessary_probability > 0.01][:6]
    of_symptoms: list[tuple[str, ...]] = [(), *((one,) for one in leading)]
    of_symptoms += [tuple(leading[:n]) for n in range(2, len(leading) + 1)]
    light = tuple(f for f in leading if not needs_stripping(f))
    of_symptoms += [light[:n] for n in range(2, len(light) + 1)] + [tuple(f for f in leading if f in case.reported)]
    if only_symptoms_told(asked):
        oil = tuple(k for k, one in enumerate(asked.suspicion.suspects) if one.fault == "TRN-27")[:1]
        return [(going, s) for going in ((), oil) for s in dict.fromkeys(of_symptoms)]
    few = dict.fromkeys([(), *((one,) for one in leading[:2]), tuple(leading[:3]), tuple(leading), light])
    return [(going, s) for going in _candidate_sets(asked, causes) for s in few]


def _works(asked: Question, ids: Sequence[str]) -> list[tuple[str, float, float]]:
    """Works that put a set of faults right, with their least and most hours."""
    out: list[tuple[str, float, float]] = []
    stripped = any(needs_stripping(f) for f in ids)
    if stripped:
        base: Work = overhaul_for(_trains_count(asked))
        out.append((base.id, base.time_low_h, base.time_high_h))
    elif ids:
        base = works()["set_up_again"]
        out.append((base.id, base.time_low_h, base.time_high_h))
    done: set[str] = set()
    # What asks for a new part comes before what would go with it.
    for fault_id in sorted(ids, key=lambda f: not any(f in asking for asking, _ in _NEW_PART)):
        if fault_id in SET_UP | _SEEN_AT_ONCE or (stripped and fault_id in CLEANED | _FREED | _SET_ANEW):
            continue
        if any(fault_id in asking | going_too and asking & done for asking, going_too in _NEW_PART):
            continue
        done.add(fault_id)
        remedy = default_remedy(fault_id)
        if remedy is not None:
            out.append((f"{fault_id}.{remedy.id}", remedy.time_low_h, remedy.time_high_h))
    return out


def _trains_count(asked: Question) -> int:
    traits = asked.movement.traits
    return (
        3
        if "chime" in traits
        else 2
        if asked.movement.strike in ("rack", "count_wheel") or traits & {"rack", "count_wheel", "alarm"}
        else 1
    )


def priced(
    asked: Question, chosen: Sequence[int], price: Price, *, symptoms: Sequence[str] = ()
) -> tuple[int, int, int]:
    """Low, likely and high price: the works' hours added; their spreads, as of independent works, as the root of the
    sum of squares.
    """
    rows = _works(asked, _ids(asked, chosen, symptoms))
    low, high = sum(r[1] for r in rows), sum(r[2] for r in rows)
    likely = 0.5 * (low + high)
    spread = math.sqrt(sum(((r[2] - r[1]) / 2.0) ** 2 for r in rows))
    band = (max(low, likely - spread), likely, min(high, likely + spread))
    return tuple(round(h * price.rate_minor_per_h / 100.0) * 100 for h in band)  # type: ignore[return-value]


@dataclass
class _Bench:
    """What every choice is tried on; `tried` keeps the clocks of sets that come to the same in the going."""

    asked: Question
    found: Posterior
    columns: NDArray[np.int64]
    causes: Causes
    case: SymptomCase | None
    tried: dict[tuple[int, ...], tuple[Fate, Array, tuple[int, ...]]]


def _outcome(bench: _Bench, chosen: tuple[int, ...], symptoms: tuple[str, ...], band: tuple[int, int, int]) -> Choice:
    asked, ids = bench.asked, _ids(bench.asked, chosen, symptoms)
    cured = _cured(asked, ids)
    if cured not in bench.tried:
        draws = bench.found.draws.chosen(bench.columns)
        draws.severity[list(cured)] = 0.0
        left = tuple(int(k) for k in np.flatnonzero((draws.severity > 0).mean(axis=1) > _LEFT_FROM))
        bench.tried[cured] = (*_run(asked, bench.found.theta[:, bench.columns], draws), left)
    what, drift, left = bench.tried[cured]
    runs = float(what.full.mean())
    n = 1.0 / (1.0 / len(bench.columns) + 1.0 / max(bench.found.effective_count, 1.0))
    amplitude = np.degrees(np.percentile(what.outcome.amplitude_full_rad[0], [10, 50, 90]))
    spread = np.percentile(drift[what.full], [10, 90]) if what.full.any() else np.asarray([math.nan, math.nan])
    right, unfixed = _complaint_gone(bench, ids, cured, runs)
    shrunk = (runs * n + 0.5) / (n + 1.0)
    return Choice(
        chosen,
        symptoms,
        tuple(w[0] for w in _works(asked, ids)),
        runs,
        math.sqrt(shrunk * (1.0 - shrunk) / n),
        right,
        (float(amplitude[0]), float(amplitude[1]), float(amplitude[2])),
        (float(spread[0]), float(spread[1])),
        band,
        left,
        unfixed,
    )


def _complaint_gone(
    bench: _Bench, ids: list[str], cured: tuple[int, ...], runs: float
) -> tuple[float, tuple[str, ...]]:
    """Chance that all that was told is gone, and which likely causes in striking, chiming and alarm are left."""
    causes, case = bench.causes, bench.case
    going = runs
    if causes.aspect != "stops":
        going = causes.right_after.get(tuple(k for k in causes.players if k in cured), causes.right_as_found)
    if causes.aspect not in ("stops", "rate"):
        # What is felt or heard was told: of the chance that it would be said, so much is taken away.
        going = min(max((going - causes.right_as_found) / max(1.0 - causes.right_as_found, 1e-9), 0.0), 1.0)
    if case is None or not case.told:
        return going, ()
    gone = _cured_symptoms(ids)
    left = tuple(
        v.key
        for v in case.verdicts()
        if v.key not in gone and v.present_probability > _LEFT_FROM and v.necessary_probability > 0.05
    )
    silent = case.gone(gone)
    return (silent if only_symptoms_told(bench.asked) else going * silent), left


def _run(asked: Question, theta: Array, draws: FaultDraws) -> tuple[Fate, Array]:
    """Fate with the drift of the rate from full wind to nearly the end."""
    hours = (0.0, 0.9 * asked.bench.layout.duration_s / 3600.0)
    what = fate(asked.bench, theta, asked.suspicion.suspects, draws, hours_h=hours, sizes=asked.learned.sizes)
    return what, rate_shift(what, 1, 0) - rate_shift(what, 0, 0)


def _whole(bench: _Bench, kept: Sequence[Choice], price: Price) -> list[Choice]:
    """All that was found put right: offered beside the frontier where it leaves less behind than any of it, and is
    better than nothing.
    """
    asked, case = bench.asked, bench.case
    going = tuple(k for k, one in enumerate(asked.suspicion.suspects) if one.reports and one.fault in faults())
    symptoms = (
        tuple(f for f in case.reported if f not in {asked.suspicion.suspects[k].fault for k in going})
        if case is not None
        else ()
    )
    one = _outcome(bench, going, symptoms, priced(asked, going, price, symptoms=symptoms))
    least_left = min(len(other.unfixed) + len(other.unfixed_symptoms) for other in kept)
    return [one] if len(one.unfixed) + len(one.unfixed_symptoms) < least_left and one.right > kept[0].right else []


def _thinned(kept: list[Choice], most: int) -> list[Choice]:
    """At most so many: the first, the last, and those between with the largest steps."""
    if len(kept) <= most:
        return kept
    steps = sorted(range(1, len(kept) - 1), key=lambda i: kept[i].right - kept[i - 1].right, reverse=True)[: most - 2]
    return [kept[i] for i in sorted({0, len(kept) - 1, *steps})]
