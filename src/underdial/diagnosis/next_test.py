"""What to look at or measure next: how much it would tell, what that is worth, and when nothing more pays.

Every test is imagined on the clocks of the posterior: what it would show of each, and how the best choice would change.
The worth is split-half: one half of the clocks learns what to do at each result, the other half pays for it, so that
chance is not taken for knowledge.

Limits: the worth counts a clock that goes its full time and of which the complaint is gone. Minutes are starting values
of ours, [common practice].
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis import readings, severity
from underdial.diagnosis.causes import Causes, run_again
from underdial.diagnosis.choices import Price, priced, with_cleaning
from underdial.diagnosis.fate import Fate, fate
from underdial.diagnosis.found_faults import found_faults
from underdial.diagnosis.question import Question
from underdial.diagnosis.readings import Gauge
from underdial.diagnosis.sampler import Posterior
from underdial.diagnosis.symptom_case import SymptomCase, only_symptoms_told, symptom_case
from underdial.mechanics.parameters import Array
from underdial.trade.fault_laws import symptom_laws
from underdial.trade.faults import faults

# What a clock that goes its full time is worth beside one that does not, in hours of work. [assumption]
_WORTH_H = 6.0
_BINS = 5
_CLOCKS = 1500
_LOOK_MINUTES = {
    "power": 20,
    "train": 15,
    "motion": 4,
    "escapement": 5,
    "pendulum": 3,
    "balance": 8,
    "lever": 8,
    "platform": 10,
    "torsion": 6,
    "strike": 5,
    "chime": 6,
    "alarm": 4,
    "cuckoo": 4,
    "case": 3,
    "turret": 15,
}
_GAUGES = (
    ("half_arc 12_up", "swing", 0, 0, 3),
    ("half_arc dial_up", "swing", 0, 1, 3),
    ("escape_torque", "escape", 0, 0, 15),
    ("main_torque", "main", 0, 0, 10),
    ("beat_error", "beat_time", 0, 0, 3),
    ("rate 12_up", "rate", 0, 0, 10),
    ("rate dial_up", "rate", 0, 1, 10),
    ("free decay of the oscillator", "decay", 0, 0, 10),
)

NO_TEST_PAYS = "no further test pays"


@dataclass(frozen=True)
class NextTest:
    """A test with the bits it would give about the leading cause, its worth, its time, and whether it pays."""

    test: str
    information_bit: float
    worth_minor: int
    time_s: int
    worth_it: bool


def next_tests(
    asked: Question, found: Posterior, causes: Causes, price: Price, rng: np.random.Generator, *, most: int = 8
) -> list[NextTest]:
    """Tests ranked by worth after cost; the last row says so when none pays."""
    case = symptom_case(asked, found)
    if case is not None and only_symptoms_told(asked):
        results, utility, culprit = _symptom_looks(asked, case, price, rng)
    else:
        found = _fewer(found)
        utility = _utility(asked, found, causes, price)
        culprit = _culprit(asked, found, causes)
        results = _results(asked, found, causes, _fate(asked, found), rng)
    rows = []
    for name, minutes, result in results:
        bins = _binned(result)
        cost = round(minutes / 60.0 * price.rate_minor_per_h)
        worth = _split_half(bins, utility)
        rows.append(NextTest(name, _information(bins, culprit), max(round(worth), 0), minutes * 60, worth > cost))
    rows.sort(key=lambda r: (-(r.worth_minor - r.time_s / 3600.0 * price.rate_minor_per_h), -r.information_bit, r.test))
    kept = rows[:most]
    if not any(r.worth_it for r in rows):
        kept = [NextTest(NO_TEST_PAYS, 0.0, 0, 0, True), *kept]
    return kept


def _symptom_looks(
    asked: Question, case: SymptomCase, price: Price, rng: np.random.Generator
) -> tuple[list[tuple[str, int, Array]], Array, NDArray[np.int64]]:
    """Looks at what strikes, chimes or alarms: what each would show, the worth of every choice, and the culprit of
    every world.
    """
    there, fired = case.worlds(rng)
    keys = [c.key for c in case.causes]
    leading = [keys.index(v.key) for v in case.verdicts()[:6]]
    value = _WORTH_H * price.rate_minor_per_h
    sets = [(), *((i,) for i in leading), *(tuple(leading[:n]) for n in range(2, len(leading) + 1))]
    columns = []
    seen = found_faults(asked)
    for chosen in sets:
        kept = np.ones(len(keys) + 1, bool)
        kept[list(chosen)] = False
        gone = ~fired[kept].any(axis=(0, 1))
        columns.append(value * gone - priced(asked, (), price, symptoms=[keys[i] for i in chosen], found=seen)[1])
    had_a_hand: NDArray[np.bool_] = np.logical_or.reduce(fired[leading], axis=1)
    culprit = np.where(np.logical_or.reduce(had_a_hand, axis=0), np.argmax(had_a_hand, axis=0), len(leading))
    laws = {one.fault: symptom_laws()[one.fault].overlooked_probability for one in asked.suspicion.symptom_suspects}
    results = []
    for i in leading:
        if keys[i] in case.reported:
            continue
        fault = faults()[keys[i]]
        seen = there[i] & (rng.random(there.shape[1]) >= laws[keys[i]])
        seen |= rng.random(there.shape[1]) < 0.03
        results.append(
            (f"look: {fault.component} {fault.condition}", _LOOK_MINUTES.get(fault.group, 10), seen.astype(float))
        )
    return results, np.stack(columns, axis=1), culprit.astype(np.int64)


def _fewer(found: Posterior) -> Posterior:
    """Every second clock or so: imagined tests need no more than these."""
    count = min(_CLOCKS, found.count)
    columns = np.arange(count) * found.count // count
    return replace(found, theta=np.ascontiguousarray(found.theta[:, columns]), draws=found.draws.chosen(columns))


def _fate(asked: Question, found: Posterior) -> Fate:
    return fate(
        asked.bench,
        found.theta,
        asked.suspicion.suspects,
        found.draws,
        hours_h=asked.gauges.hours_h[:1],
        sizes=asked.learned.sizes,
    )


def _utility(asked: Question, found: Posterior, causes: Causes, price: Price) -> Array:
    """Worth of every choice on every clock, shape (draws, choices): goes full time with the complaint gone, less the
    price of the works.
    """
    suspects = asked.suspicion.suspects
    players = [k for k in causes.players if suspects[k].fault in faults()]
    sets: list[tuple[int, ...]] = [(), tuple(players)]
    ranked = sorted(causes.right_after.items(), key=lambda item: -item[1])
    for size in range(1, 4):
        sets += [s for s, _ in ranked if len(s) == size and set(s) <= set(players)][: 8 if size == 1 else 3]
    sets = list(dict.fromkeys(sets))
    value = _WORTH_H * price.rate_minor_per_h
    columns = []
    seen = found_faults(asked)
    for chosen in sets:
        cured = with_cleaning(asked, chosen, causes)
        after = run_again(asked, found.theta, found.draws.without(cured), causes.aspect)
        well = np.isinf(after.lasts_s) * after.right
        if causes.aspect == "rate" and not chosen:
            # Nobody has brought it to time.
            well = np.zeros(found.count)
        columns.append(value * well - priced(asked, chosen, price, found=seen)[1])
    return np.stack(columns, axis=1)


def _culprit(asked: Question, found: Posterior, causes: Causes) -> NDArray[np.int64]:
    """Which of the leading faults each clock mostly has: the present one that explains most, else none of them."""
    out = np.full(found.count, len(causes.players), np.int64)
    order = {one.suspect: one.necessary + 0.35 * one.gain / max(one.present, 1e-9) for one in causes.singles}
    for i, k in sorted(enumerate(causes.players), key=lambda item: order.get(item[1], 0.0)):
        out[found.draws.severity[k] > severity.CUTS[0]] = i
    return out


def _results(
    asked: Question, found: Posterior, causes: Causes, what: Fate, rng: np.random.Generator
) -> list[tuple[str, int, Array]]:
    """Every test with its minutes and what it would show of each clock."""
    out: list[tuple[str, int, Array]] = []
    suspects = asked.suspicion.suspects
    n = found.count
    seen = set()
    for one in causes.singles[:14]:
        suspect = suspects[one.suspect]
        if suspect.looked_at or suspect.fault not in faults() or one.present < 0.02 or suspect.fault in seen:
            continue
        seen.add(suspect.fault)
        fault = faults()[suspect.fault]
        s = found.draws.severity[one.suspect].astype(float)
        level = severity.said_level(s, rng.standard_normal(n)).astype(float)
        level[rng.random(n) < suspect.law.overlooked_probability] = 0.0
        level[(level == 0) & (s == 0) & (rng.random(n) < 0.03)] = 1.0
        of = f" of {suspect.of}" if suspect.of else ""
        out.append((f"look: {fault.component} {fault.condition}{of}", _LOOK_MINUTES.get(fault.group, 10), level))
    have = {(g.kind, g.position) for g in asked.gauges.gauges}
    positions = readings.layout_positions(asked.bench.layout)
    for name, kind, hour, position, minutes in _GAUGES:
        if (kind, position) in have or position >= len(positions):
            continue
        gauge = Gauge(kind, 0.0, 1e-9, hour, position, -1)
        typical = float(np.median(readings.predict_gauge(gauge, asked.bench, what)))
        gauge = replace(gauge, u=_usual_u(kind, asked, typical))
        regulator = asked.regulator_sd * rng.standard_normal(n)
        shown = readings.simulate(gauge, asked.bench, what, rng, regulator=regulator, typical_rate=asked.typical_rate)
        called = name.replace("half_arc", "amplitude") if asked.bench.layout.oscillator == "balance" else name
        out.append((f"measure: {called}", minutes, shown))
    return out


def _usual_u(kind: str, asked: Question, typical: float) -> float:
    if kind == "swing":
        return 0.14 if asked.bench.layout.oscillator == "balance" else 0.06 * abs(typical) + 1e-6
    return {
        "rate": 12.0,
        "escape": 0.10 * abs(typical) + 1e-12,
        "main": 0.06 * abs(typical) + 1e-12,
        "beat_time": 1e-3,
        "decay": 0.15 * abs(typical) + 1e-6,
    }[kind]


def _binned(result: Array) -> NDArray[np.int64]:
    """Results in at most five classes of about the same size."""
    values = np.unique(result)
    if len(values) <= _BINS:
        return np.searchsorted(values, result)
    edges = np.quantile(result, np.linspace(0, 1, _BINS + 1)[1:-1])
    return np.searchsorted(edges, result)


def _split_half(bins: NDArray[np.int64], utility: Array) -> float:
    """Expected worth of deciding after the result rather than before, learned on one half and paid on the other."""
    n = len(bins)
    total = 0.0
    for learn, pay in ((np.arange(0, n, 2), np.arange(1, n, 2)), (np.arange(1, n, 2), np.arange(0, n, 2))):
        before = int(utility[learn].mean(axis=0).argmax())
        gain = 0.0
        for b in np.unique(bins[learn]):
            mine, theirs = learn[bins[learn] == b], pay[bins[pay] == b]
            if len(mine) < 20 or not len(theirs):
                continue
            after = int(utility[mine].mean(axis=0).argmax())
            gain += float((utility[theirs, after] - utility[theirs, before]).sum())
        total += gain / len(pay)
    return total / 2.0


def _information(bins: NDArray[np.int64], culprit: NDArray[np.int64]) -> float:
    """Bits the result gives about the leading fault, the bias of small counts taken off."""
    table = np.zeros((int(bins.max()) + 1, int(culprit.max()) + 1))
    np.add.at(table, (bins, culprit), 1.0)
    p = table / table.sum()
    rows, columns = p.sum(axis=1, keepdims=True), p.sum(axis=0, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        bits = float(np.where(p > 0, p * np.log2(p / (rows * columns)), 0.0).sum())
    used = (np.count_nonzero(rows) - 1) * (np.count_nonzero(columns) - 1)
    return max(0.0, float(bits - used / (2.0 * len(bins) * np.log(2.0))))
