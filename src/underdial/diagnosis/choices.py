"""Choices: sets of works with what they cost and what they would do, on the same clocks.

Every choice is run on the clocks of the posterior with its faults put right. What was told of striking, chiming and
alarm is gone by the exact sums over its causes. Of all sets those are kept that no cheaper one beats, and beside them
the whole job, for the owner who wants nothing left that was found. What is dangerous is put right in every choice that
does anything; what the repairer has decided to replace or repair in every one above the smallest, and in that too where
the movement comes apart for it. What stays is told from the record: the faults that were found and that no work of the
choice answers.

Limits: prices are hours times a rate, without parts; bands are those of the works, not a law. Nothing above 98 in 100
is ever promised. What nobody found is worked at only where it is likely enough, and then with an `if`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis.causes import Causes
from underdial.diagnosis.complaint_model import rate_shift
from underdial.diagnosis.fate import Fate, fate
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.found_faults import FoundFault, found_faults
from underdial.diagnosis.question import Question
from underdial.diagnosis.sampler import Posterior
from underdial.diagnosis.symptom_case import SymptomCase, only_symptoms_told, symptom_case
from underdial.diagnosis.work_lines import (
    SET_UP,
    WorkLine,
    cleaned_with_it,
    comes_apart,
    cured_elsewhere,
    cured_in_going,
    hours_band,
    needs_stripping,
    work_lines,
)
from underdial.mechanics.parameters import Array
from underdial.trade.faults import faults

MOST_SURE = 0.98
DEFAULT_RATE_MINOR_PER_H = 6000
DEFAULT_CURRENCY = "GBP"
_SHOWN = 6
# A fault that a clock still has with this chance counts as left. [assumption]
_LEFT_FROM = 0.15
# A fault that nobody found is told as left only where it is likelier than not.
_LIKELY = 0.5
# A fault that nobody found is worked at only where it is there, or would cure what was told, with this chance.
# [assumption: nobody pays to put right what is not there in five of six such clocks]
_SUPPOSED_FROM = 0.15
# A choice that does not reach this, nor half of what the best one reaches, is no choice to sell. [assumption]
_LEAST_HOPE = 0.15
_PART_OF_BEST = 0.5
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

    `suspects` and `symptoms` are the faults it puts right, in the going and elsewhere; `left` the faults found that it
    leaves; `unfixed` and `unfixed_symptoms` what the sums then still hold for likely.
    """

    suspects: tuple[int, ...]
    symptoms: tuple[str, ...]
    lines: tuple[WorkLine, ...]
    runs_full: float
    runs_full_u: float
    right: float
    amplitude_deg: tuple[float, float, float]
    rate_drift_s_per_day: tuple[float, float]
    price_minor: tuple[int, int, int]
    unfixed: tuple[int, ...]
    unfixed_symptoms: tuple[str, ...]
    left: tuple[FoundFault, ...]

    @property
    def works(self) -> tuple[str, ...]:
        """Ids of its works."""
        return tuple(one.work for one in self.lines)


@dataclass(frozen=True)
class _Plan:
    """Faults to put right in the going and elsewhere, and findings beside them that the sums do not use."""

    suspects: tuple[int, ...] = ()
    symptoms: tuple[str, ...] = ()
    extras: tuple[FoundFault, ...] = ()

    @property
    def empty(self) -> bool:
        return not (self.suspects or self.symptoms or self.extras)

    def and_also(self, more: Iterable[FoundFault]) -> _Plan:
        """The same with some findings put right too."""
        rows = tuple(more)
        going = tuple(one.suspect for one in rows if one.suspect is not None)
        elsewhere = tuple(one.symptom for one in rows if one.symptom is not None)
        beside = tuple(one for one in rows if not one.in_sums)
        return _Plan(
            tuple(dict.fromkeys((*self.suspects, *going))),
            tuple(dict.fromkeys((*self.symptoms, *elsewhere))),
            tuple(dict.fromkeys((*self.extras, *beside))),
        )


def choices(asked: Question, found: Posterior, causes: Causes, price: Price, *, most_clocks: int = 600) -> list[Choice]:
    """The frontier of price and outcome, cheapest first, "leave it" at its head, and with it all that was found put
    right; at most six.
    """
    count = min(most_clocks, found.count)
    columns = np.arange(count) * found.count // count
    seen = found_faults(asked)
    bench = _Bench(asked, found, columns, causes, symptom_case(asked, found), seen, price, {})
    plans = [_Plan(chosen, symptoms) for chosen, symptoms in _plans(asked, causes, bench.case)]
    leave = _outcome(bench, _Plan())
    wanted = [one for one in seen if one.wanted]
    # With the movement in pieces on the bench nobody leaves what is to be replaced.
    light = [plan for plan in plans if not comes_apart(_ids(asked, plan.suspects, plan.symptoms))]
    least = _options(bench, light, [one for one in wanted if one.dangerous])
    fuller = _options(bench, plans, wanted)
    hope = max((one.right for one in (leave, *least, *fuller)), default=0.0)
    enough = max(_LEAST_HOPE, _PART_OF_BEST * hope)
    kept, best = [leave], leave.right
    # The smallest is the first that does something; above it only what takes in all that is wanted.
    for one in sorted([*least, *fuller], key=lambda o: (o.price_minor[1], len(o.suspects) + len(o.symptoms))):
        above = len(kept) > 1 and any(row.wanted for row in one.left)
        if one.right >= enough and one.right > best + _NO_WORSE and not above:
            kept.append(one)
            best = one.right
    return sorted([*_thinned(kept, _SHOWN - 1), *_whole(bench, kept)], key=lambda one: one.price_minor[1])


def _options(bench: _Bench, plans: Sequence[_Plan], also: Sequence[FoundFault]) -> list[Choice]:
    """The plans that do something, with some findings put right in each; no two with the same works."""
    out: dict[tuple[object, ...], Choice] = {}
    for plan in plans:
        if plan.empty:
            continue
        one = _outcome(bench, plan.and_also(also))
        out.setdefault(tuple(sorted((line.work, line.component, line.of or "") for line in one.lines)), one)
    return list(out.values())


def _candidate_sets(asked: Question, causes: Causes) -> list[tuple[int, ...]]:
    """Nothing; the sets of leading faults that do best at each size and at each price; all of them."""
    suspects = asked.suspicion.suspects
    present = {one.suspect: one.present for one in causes.singles}
    named = tuple(k for k in causes.players if _worth_working_at(asked, k, present.get(k, 0.0)))
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


def _worth_working_at(asked: Question, number: int, present: float) -> bool:
    """Whether a suspect may have works: found, or likely enough though nobody found it; a part called sound must be
    likelier bad than not.
    """
    one = asked.suspicion.suspects[number]
    if one.fault not in faults():
        return False
    return bool(one.reports) or present >= (_LIKELY if one.sound_reports else _SUPPOSED_FROM)


def with_cleaning(asked: Question, chosen: Sequence[int], causes: Causes) -> tuple[int, ...]:
    """The faults a set puts right: its own, the same fault wherever else it sits, and what an overhaul cleans away."""
    suspects = asked.suspicion.suspects
    return cured_in_going(asked, {suspects[k].fault for k in chosen})


def _ids(asked: Question, chosen: Sequence[int], symptoms: Sequence[str]) -> list[str]:
    return list(dict.fromkeys([*(asked.suspicion.suspects[k].fault for k in chosen), *symptoms]))


def _plans(asked: Question, causes: Causes, case: SymptomCase | None) -> list[tuple[tuple[int, ...], tuple[str, ...]]]:
    """Sets worth weighing: of the going, of striking and the rest, or of both, as the complaint asks."""
    if case is None or not case.told:
        return [(s, ()) for s in _candidate_sets(asked, causes)]
    leading = [
        v.key for v in case.verdicts() if v.necessary_probability > (0.01 if v.key in case.reported else _SUPPOSED_FROM)
    ][:6]
    of_symptoms: list[tuple[str, ...]] = [(), *((one,) for one in leading)]
    of_symptoms += [tuple(leading[:n]) for n in range(2, len(leading) + 1)]
    light = tuple(f for f in leading if not needs_stripping(f))
    of_symptoms += [light[:n] for n in range(2, len(light) + 1)] + [tuple(f for f in leading if f in case.reported)]
    if only_symptoms_told(asked):
        oil = tuple(k for k, one in enumerate(asked.suspicion.suspects) if one.fault == "TRN-27")[:1]
        return [(going, s) for going in ((), oil) for s in dict.fromkeys(of_symptoms)]
    few = dict.fromkeys([(), *((one,) for one in leading[:2]), tuple(leading[:3]), tuple(leading), light])
    return [(going, s) for going in _candidate_sets(asked, causes) for s in few]


def priced(
    asked: Question,
    chosen: Sequence[int],
    price: Price,
    *,
    symptoms: Sequence[str] = (),
    found: Sequence[FoundFault] | None = None,
) -> tuple[int, int, int]:
    """Low, likely and high price: the works' hours added; their spreads, as of independent works, as the root of the
    sum of squares.

    `found` are the faults of the record, where they are known already.
    """
    lines = work_lines(asked, _ids(asked, chosen, symptoms), found_faults(asked) if found is None else found)
    return _in_money(lines, price)


def _in_money(lines: Sequence[WorkLine], price: Price) -> tuple[int, int, int]:
    return tuple(round(h * price.rate_minor_per_h / 100.0) * 100 for h in hours_band(lines))  # type: ignore[return-value]


@dataclass
class _Bench:
    """What every choice is tried on; `tried` keeps the clocks of sets that come to the same in the going."""

    asked: Question
    found: Posterior
    columns: NDArray[np.int64]
    causes: Causes
    case: SymptomCase | None
    seen: tuple[FoundFault, ...]
    price: Price
    tried: dict[tuple[int, ...], tuple[Fate, Array, tuple[int, ...]]]


def _outcome(bench: _Bench, plan: _Plan) -> Choice:
    asked, ids = bench.asked, _ids(bench.asked, plan.suspects, plan.symptoms)
    stripped = comes_apart(ids, plan.extras)
    cured = cured_in_going(asked, ids, stripped=stripped)
    if cured not in bench.tried:
        draws = bench.found.draws.chosen(bench.columns)
        draws.severity[list(cured)] = 0.0
        likely = np.where([bool(one.reports) for one in asked.suspicion.suspects], _LEFT_FROM, _LIKELY)
        left = tuple(int(k) for k in np.flatnonzero((draws.severity > 0).mean(axis=1) > likely))
        bench.tried[cured] = (*_run(asked, bench.found.theta[:, bench.columns], draws), left)
    what, drift, left = bench.tried[cured]
    # Where nothing is put right it is the clock as it stands: one question, one number.
    runs = float(what.full.mean()) if cured else bench.causes.runs_as_found
    n = 1.0 / (1.0 / len(bench.columns) + 1.0 / max(bench.found.effective_count, 1.0))
    amplitude = np.degrees(np.percentile(what.outcome.amplitude_full_rad[0], [10, 50, 90]))
    spread = np.percentile(drift[what.full], [10, 90]) if what.full.any() else np.asarray([math.nan, math.nan])
    gone = cured_elsewhere(ids, stripped=stripped)
    lines = work_lines(asked, ids, bench.seen, plan.extras)
    right, unfixed = _complaint_gone(bench, gone, cured, runs, done=bool(lines))
    shrunk = (runs * n + 0.5) / (n + 1.0)
    answered = {number for line in lines for number in line.findings}
    return Choice(
        plan.suspects,
        plan.symptoms,
        lines,
        runs,
        math.sqrt(shrunk * (1.0 - shrunk) / n),
        right,
        (float(amplitude[0]), float(amplitude[1]), float(amplitude[2])),
        (float(spread[0]), float(spread[1])),
        _in_money(lines, bench.price),
        left,
        unfixed,
        tuple(
            one
            for one in bench.seen
            if one.report.index not in answered
            and one.suspect not in cured
            and one.symptom not in gone
            and not cleaned_with_it(one, stripped=stripped, anything_done=bool(lines))
        ),
    )


def _complaint_gone(
    bench: _Bench, put_right: frozenset[str], cured: tuple[int, ...], runs: float, *, done: bool
) -> tuple[float, tuple[str, ...]]:
    """Chance that all that was told is gone, and which likely causes in striking, chiming and alarm are left."""
    causes, case = bench.causes, bench.case
    going = runs
    if causes.aspect != "stops":
        going = causes.right_after.get(tuple(k for k in causes.players if k in cured), causes.right_as_found)
    if causes.aspect == "rate" and not done:
        # Where the rate is off by its setting alone nothing is at fault, and yet nobody has brought it to time.
        going = 0.0
    if causes.aspect not in ("stops", "rate"):
        # What is felt or heard was told: of the chance that it would be said, so much is taken away.
        going = min(max((going - causes.right_as_found) / max(1.0 - causes.right_as_found, 1e-9), 0.0), 1.0)
    if case is None or not case.told:
        return going, ()
    left = tuple(
        v.key
        for v in case.verdicts()
        if v.key not in put_right and v.present_probability > _LEFT_FROM and v.necessary_probability > 0.05
    )
    silent = case.gone(put_right)
    return (silent if only_symptoms_told(bench.asked) else going * silent), left


def _run(asked: Question, theta: Array, draws: FaultDraws) -> tuple[Fate, Array]:
    """Fate with the drift of the rate from full wind to nearly the end."""
    hours = (0.0, 0.9 * asked.bench.layout.duration_s / 3600.0)
    what = fate(asked.bench, theta, asked.suspicion.suspects, draws, hours_h=hours, sizes=asked.learned.sizes)
    return what, rate_shift(what, 1, 0) - rate_shift(what, 0, 0)


def _whole(bench: _Bench, kept: Sequence[Choice]) -> list[Choice]:
    """All that was found put right: offered beside the frontier where it leaves less behind than any of it, and does
    some good or is wanted.
    """
    asked = bench.asked
    mended = [one for one in bench.seen if one.to_mend]
    numbers = {one.report.index for one in mended}
    # Of a finding that could mean several faults all are put right.
    going = tuple(
        k for k, one in enumerate(asked.suspicion.suspects) if numbers & set(one.reports) and one.fault in faults()
    )
    ids = {asked.suspicion.suspects[k].fault for k in going}
    elsewhere = tuple(
        one.fault for one in asked.suspicion.symptom_suspects if numbers & set(one.reports) and one.fault not in ids
    )
    one = _outcome(bench, _Plan(going, elsewhere).and_also(mended))
    left_wanted = min(sum(row.wanted for row in other.left) for other in kept)
    wanted = sum(row.wanted for row in one.left) < left_wanted
    better = one.right > kept[0].right and one.right >= _LEAST_HOPE
    less_left = len(one.left) < min(len(other.left) for other in kept)
    return [one] if one.lines and (wanted or (less_left and better)) else []


def _thinned(kept: list[Choice], most: int) -> list[Choice]:
    """At most so many: the first, the last, and those between with the largest steps."""
    if len(kept) <= most:
        return kept
    steps = sorted(range(1, len(kept) - 1), key=lambda i: kept[i].right - kept[i - 1].right, reverse=True)[: most - 2]
    return [kept[i] for i in sorted({0, len(kept) - 1, *steps})]
