"""The answer: causes, choices and next tests of one case, with the keys that are published.

One frozen question, one posterior, everything else reckoned on its clocks. The random numbers come from the hash of the
case, so that the same case gives the same answer to the last digit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from underdial.diagnosis import effects, owner_words, wording
from underdial.diagnosis.as_left import foresee
from underdial.diagnosis.case_file import Case
from underdial.diagnosis.causes import Causes, Single, find_causes
from underdial.diagnosis.choices import Choice, Price, choices
from underdial.diagnosis.found_faults import FoundFault, found_faults, left_words, work_of
from underdial.diagnosis.left_size import read_as_left
from underdial.diagnosis.misfit import FITS_FROM, misfit_probability
from underdial.diagnosis.next_test import NO_TEST_PAYS, NextTest, next_tests
from underdial.diagnosis.question import Learned, Question, cause_sits_in, question
from underdial.diagnosis.sampler import Posterior, Progress, posterior
from underdial.diagnosis.suspects import NAMELESS, UNKNOWN_STOP, SymptomSuspect, Tried
from underdial.diagnosis.symptom_case import SYMPTOM_FIELDS, going_told, only_symptoms_told, symptom_case
from underdial.diagnosis.symptoms import Verdict
from underdial.diagnosis.wording import capped
from underdial.diagnosis.work_lines import WorkLine
from underdial.mechanics.energy_balance import main_torque_at
from underdial.mechanics.parameters import spread
from underdial.mechanics.train_power import torque_along
from underdial.trade.fault_names import fault_words
from underdial.trade.faults import faults
from underdial.trade.phrases import part_words
from underdial.trade.works import works

_SHOWN = 12
# What was found explains the clock when putting it right gains so much of what could be gained, and so much at all; a
# part of it that does nearly all of that will do. [assumption]
_FOUND_EXPLAINS, _A_GAIN, _NEARLY_ALL = 0.5, 0.1, 0.9
# A rate that may be off by its setting alone is said to be so from this chance on. [assumption]
_SAID_FROM_IN_100 = 15
SOURCES = ("model: docs/explanation/model.md", "faults, laws and works: underdial.trade.data, each with its source")


@dataclass
class Answered:
    """An answer with the draws behind it, kept so that one more finding need not begin anew."""

    asked: Question
    found: Posterior
    causes: Causes
    result: dict[str, Any]


def diagnose(
    case: Case,
    rng: np.random.Generator,
    *,
    price: Price | None = None,
    learned: Learned | None = None,
    progress: Progress | None = None,
) -> Answered:
    """Answer a case.

    Raises NotFound for an unknown family, OutsideModel for a movement the sums do not cover, BadInput for a value out
    of range.
    """
    left = read_as_left(case)
    asked = question(case, learned)
    misfit = misfit_probability(asked, rng)
    found = posterior(asked, rng, hurried=misfit is not None and misfit < FITS_FROM, progress=progress)
    causes = find_causes(asked, found)
    result = assemble(asked, found, causes, rng, price or Price(), misfit)
    result["as_left"] = None if left is None else foresee(asked, found, causes, left, rng)
    return Answered(asked, found, causes, result)


def assemble(
    asked: Question, found: Posterior, causes: Causes, rng: np.random.Generator, price: Price, misfit: float | None
) -> dict[str, Any]:
    """The published keys from the clocks of a posterior."""
    offered = choices(asked, found, causes, price)
    fits = misfit is None or misfit >= FITS_FROM
    # Where the sums do not fit they cannot say that no test pays.
    tests = [one for one in next_tests(asked, found, causes, price, rng) if fits or one.test != NO_TEST_PAYS]
    rows = _causes(asked, found, causes)
    return {
        "model_fits": fits,
        "misfit_probability": misfit,
        "effective_draws_count": round(found.effective_count),
        "runs_full_probability": capped(causes.runs_as_found),
        "causes": rows,
        "none_of_these_probability": _none_of_these(asked, found, causes),
        "smallest_repairs": _smallest(asked, causes),
        "found_together": _found_together(asked, causes),
        "found": [_found_row(one) for one in found_faults(asked)],
        "choices": [_choice(asked, one, price) for one in offered],
        "next_tests": [_test(one) for one in tests],
        "unused": [{"what": one.what, "reason": one.reason} for one in asked.unused],
        "parts_tried": [_tried(asked, found, one) for one in asked.suspicion.tried],
        "complaint_read_as": next(n for n in SYMPTOM_FIELDS if asked.told.get(n) is not None)
        if only_symptoms_told(asked)
        else causes.aspect,
        "power_through_train": _power(asked, found),
        "method": found.method,
        "runs_disagree_probability": found.disagreement,
        "assumed": _assumed(asked, price),
        "warnings": _warnings(asked, found, causes, fits, misfit, offered),
        "sources": list(SOURCES),
    }


def brief(asked: Question, found: Posterior, causes: Causes) -> dict[str, Any]:
    """Causes and chances alone, for a page that changes as one speaks."""
    return {
        "causes": _causes(asked, found, causes),
        "runs_full_probability": capped(causes.runs_as_found),
        "none_of_these_probability": _none_of_these(asked, found, causes),
        "effective_draws_count": round(found.effective_count),
        "smallest_repairs": _smallest(asked, causes),
        "unused": [{"what": one.what, "reason": one.reason} for one in asked.unused],
        "rough": True,
    }


def published_keys() -> tuple[str, ...]:
    """The published keys of an answer, in their order."""
    return (
        "model_fits",
        "misfit_probability",
        "effective_draws_count",
        "runs_full_probability",
        "causes",
        "none_of_these_probability",
        "smallest_repairs",
        "choices",
        "next_tests",
        "unused",
    )


def _smallest(asked: Question, causes: Causes) -> list[list[str]]:
    return [list(dict.fromkeys(asked.suspicion.suspects[k].fault for k in s)) for s in causes.smallest]


def _found_together(asked: Question, causes: Causes) -> dict[str, Any] | None:
    """The fewest of the faults found that, put right together, do nearly all that all of them would; with their chance.

    None where what was found does less than half of what putting the leading suspects right would do: then the cause is
    among what nobody has found.
    """
    suspects, right = asked.suspicion.suspects, causes.right_after
    seen = {suspects[k].fault for k in causes.players if suspects[k].reports}
    found = tuple(k for k in causes.players if suspects[k].fault in seen)
    gain, most = right[found] - causes.right_as_found, right[causes.players] - causes.right_as_found
    if not found or gain < max(_FOUND_EXPLAINS * most, _A_GAIN):
        return None
    good = causes.right_as_found + _NEARLY_ALL * gain
    sets = [s for n in range(1, len(found) + 1) for s in combinations(found, n) if right[s] >= good]
    best = min(sets, key=lambda s: (len({suspects[k].fault for k in s}), -right[s]))
    words = [wording.title_of(asked, suspects[k]) for k in best if suspects[k].reports]
    return {"words": list(dict.fromkeys(words)), "probability": capped(right[best])}


def error_of(probability: float, found: Posterior) -> float:
    """Monte Carlo standard error of a chance reckoned on the clocks of a posterior, never nought."""
    n = 1.0 / (1.0 / found.count + 1.0 / max(found.effective_count, 1.0))
    p = (probability * n + 0.5) / (n + 1.0)
    return math.sqrt(p * (1.0 - p) / n)


def _causes(asked: Question, found: Posterior, causes: Causes) -> list[dict[str, Any]]:
    symptoms = symptom_rows(asked, found)
    shown = [s for s in causes.singles if s.present > 0.0][:_SHOWN]
    shown += [s for s in causes.singles[_SHOWN:] if asked.suspicion.suspects[s.suspect].reports and s.present > 0.0]
    going = [
        _going_row(asked, found, causes, one)
        for one in shown
        if asked.suspicion.suspects[one.suspect].fault in faults()
    ]
    if not symptoms:
        rows = going
    elif going_told(asked):
        rows = _merged(going, symptoms)
    else:
        shared = {row["fault"] for row in symptoms}
        rows = [*symptoms, *[row for row in going if row["fault"] not in shared]]
    return _with_shares(rows[: _SHOWN + 8])


def _going_row(asked: Question, found: Posterior, causes: Causes, one: Single) -> dict[str, Any]:
    suspect = asked.suspicion.suspects[one.suspect]
    fault = faults()[suspect.fault]
    place = suspect.place or (
        asked.bench.places.label(suspect.arbors[0]) if len(suspect.arbors) == 1 and not suspect.everywhere else None
    )
    return {
        "fault": suspect.fault,
        "component": fault.component,
        "condition": fault.condition,
        "of": suspect.of,
        "place": place,
        "present_probability": capped(one.present),
        "necessary_probability": capped(one.necessary),
        "sufficient_probability": capped(one.sufficient),
        "share_ratio": causes.shares.get(one.suspect, 0.0),
        "necessary_u_probability": error_of(one.necessary, found),
        "present_u_probability": error_of(one.present, found),
        "because": wording.because(asked, suspect),
        "sentence": wording.sentence(asked, one),
        "to_owner": owner_words.owner_sentence(asked, one),
        "acts_on": causes.aspect,
        "alone": wording.alone(one, causes),
        "would_change": wording.change_of_mind(suspect, one.present),
        "reported": bool(suspect.reports),
        "title": wording.title_of(asked, suspect),
        "torque_lost_n_m": one.torque_lost_n_m,
        "torque_without_n_m": one.torque_without_n_m,
    }


def symptom_rows(asked: Question, found: Posterior) -> list[dict[str, Any]]:
    """Causes of what was told of striking, chiming and alarm, by the exact sums; shared faults with what the going says
    of them.
    """
    case = symptom_case(asked, found)
    if case is None:
        return []
    by_fault = {one.fault: one for one in asked.suspicion.symptom_suspects}
    kept = [v for v in case.verdicts() if (case.told and v.necessary_probability > 0.005) or v.key in case.reported][:9]
    return [_symptom_row(asked, by_fault[v.key], v, case.told) for v in kept]


def _symptom_row(asked: Question, suspect: SymptomSuspect, verdict: Verdict, told: Sequence[str]) -> dict[str, Any]:
    fault = faults()[verdict.key]
    return {
        "fault": verdict.key,
        "component": fault.component,
        "condition": fault.condition,
        "of": suspect.of,
        "place": None,
        "present_probability": capped(verdict.present_probability),
        "necessary_probability": capped(verdict.necessary_probability),
        "sufficient_probability": capped(verdict.sufficient_probability),
        "share_ratio": verdict.necessary_probability + 0.1 * verdict.sufficient_probability,
        "necessary_u_probability": 0.0,
        "present_u_probability": 0.0,
        "because": wording.symptom_because(asked, suspect, told),
        "sentence": wording.symptom_sentence(asked, suspect, told),
        "to_owner": owner_words.owner_symptom_sentence(asked, suspect, told),
        "acts_on": owner_words.symptom_acts_on(suspect, told),
        "alone": wording.symptom_alone(verdict, told),
        "would_change": wording.symptom_change(suspect, verdict),
        "reported": bool(suspect.reports),
        "title": wording.symptom_title(asked, suspect),
        "torque_lost_n_m": None,
        "torque_without_n_m": None,
    }


def _merged(going: list[dict[str, Any]], symptoms: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Both lists in one, each in its own order, by what putting the fault right alone would cure."""
    shared = {row["fault"] for row in going[:3]}
    left = [row for row in symptoms if row["fault"] not in shared]
    out: list[dict[str, Any]] = []
    a, b = list(going), left
    while a or b:
        if b and (
            not a or b[0]["necessary_probability"] > max(a[0]["necessary_probability"], a[0]["share_ratio"] * 0.5)
        ):
            out.append(b.pop(0))
        else:
            out.append(a.pop(0))
    return out


def _with_shares(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Shares made to sum to one over the causes that are shown."""
    total = sum(row["share_ratio"] for row in rows)
    for row in rows:
        row["share_ratio"] = row["share_ratio"] / total if total > 0.0 else 1.0 / len(rows)
    return rows


def _tried(asked: Question, found: Posterior, one: Tried) -> dict[str, Any]:
    """What a good part tried says: the chance that the cause sits in the clock's own part, by all its faults
    together.
    """
    chance = capped(cause_sits_in(asked, found, one.members))
    part = part_words(one.component)
    result = "cured it" if one.cured else "changed nothing"
    return {
        "component": one.component,
        "cured": one.cured,
        "cause_in_it_probability": chance,
        "sentence": f"A good {part} {result}: the cause sits in the clock's own {part}, {wording.in_100(chance)}.",
    }


def _none_of_these(asked: Question, found: Posterior, causes: Causes) -> float:
    """Chance that the cause is not on the list: a nameless drag or stop, a clock that by these sums goes although a
    stop is told, or one whose rate is off by the setting of its nut or regulator alone.
    """
    suspects = asked.suspicion.suspects
    nameless = sum(
        s.necessary + 0.3 * max(s.present * causes.shares.get(s.suspect, 0.0), 0.0)
        for s in causes.singles
        if suspects[s.suspect].fault in (NAMELESS, UNKNOWN_STOP)
    )
    goes_after_all = (
        causes.right_as_found
        if causes.aspect == "stops" and any(n in asked.told for n in ("runs_for_s", "never_runs", "stops_at", "stops"))
        else 0.0
    )
    return capped(nameless + goes_after_all + _only_its_setting(causes))


def _only_its_setting(causes: Causes) -> float:
    """Chance that a rate which is complained of has no fault behind it: the clock has only to be brought to time."""
    return causes.right_as_found if causes.aspect == "rate" else 0.0


def _choice(asked: Question, one: Choice, price: Price) -> dict[str, Any]:
    suspects = asked.suspicion.suspects
    drift = [None if math.isnan(x) else x for x in one.rate_drift_s_per_day]
    named = [row.fault for row in one.left if row.fault is not None]
    supposed = [suspects[k].fault for k in one.unfixed if not suspects[k].reports and suspects[k].fault in faults()]
    supposed += [fault for fault in one.unfixed_symptoms if fault not in named]
    supposed = [fault for fault in dict.fromkeys(supposed) if fault not in named]
    return {
        "works": [_work(asked, line) for line in one.lines],
        "puts_right": list(dict.fromkeys([*(suspects[k].fault for k in one.suspects), *one.symptoms])),
        "runs_full_probability": capped(one.runs_full),
        "runs_full_u_probability": one.runs_full_u,
        "complaint_gone_probability": capped(one.right),
        "amplitude_deg": list(one.amplitude_deg),
        "rate_drift_s_per_day": drift,
        "price_minor": list(one.price_minor),
        "currency": price.currency,
        "unfixed": list(dict.fromkeys([*named, *supposed])),
        "unfixed_words": list(dict.fromkeys([*left_words(one.left), *(_may_be(fault) for fault in supposed)])),
        "unfixed_wanted_count": sum(row.wanted for row in one.left),
    }


def _may_be(fault: str) -> str:
    said = fault_words(fault, may=True)
    return said[0].lower() + said[1:]


def _work(asked: Question, line: WorkLine) -> dict[str, Any]:
    ids = {one.index: one.id for one in asked.case.reports}
    return {
        "work": line.work,
        "fault": line.fault,
        "words": line.words,
        "component": line.component,
        "of": line.of,
        "place": line.place,
        "hours_h": [line.low_h, line.high_h],
        "irreversible": line.words if works()[line.work].reversible == "no" else None,
        "findings": [found for number in line.findings if (found := ids.get(number)) is not None],
        "supposed": line.fault is not None and not line.findings,
    }


def _found_row(one: FoundFault) -> dict[str, Any]:
    """A fault of the record, and what putting it right takes."""
    work = work_of(one) if one.wanted or not one.waved_aside else None
    return {
        "words": one.words,
        "component": one.report.component,
        "condition": one.report.condition,
        "of": one.report.of,
        "place": one.report.place,
        "decision": one.report.decision,
        "fault": one.fault,
        "work": work.id if work else None,
        "work_words": work.do if work else None,
        "wanted": one.wanted,
        "dangerous": one.dangerous,
        "in_sums": one.in_sums,
    }


def _test(one: NextTest) -> dict[str, Any]:
    return {
        "test": one.test,
        "information_bit": float(one.information_bit),
        "worth_minor": int(one.worth_minor),
        "time_s": int(one.time_s),
        "worth_it": bool(one.worth_it),
    }


def _power(asked: Question, found: Posterior) -> dict[str, Any]:
    """Torque that arrives at each arbor at full wind, as found and as it should be: medians over the clocks."""
    layout = asked.bench.layout
    as_found = effects.healthy(asked.bench, found.theta)
    effects.act(asked.bench, as_found, asked.suspicion.suspects, found.draws, sizes=asked.learned.sizes)
    sound = spread(asked.bench.nominal, draws_count=1)
    rows = []
    for values in (as_found.values, sound):
        arriving, leaving = torque_along(layout, values, main_torque_at(layout, values, 0.0))
        rows.append([float(np.median(a)) for a in arriving[:-1]] + [float(np.median(leaving[-1]))])
    return {"arbors": list(layout.arbor_names), "as_found_n_m": rows[0], "as_it_should_be_n_m": rows[1]}


def _assumed(asked: Question, price: Price) -> list[str]:
    out = [
        *asked.assumed,
        f"an hour costs {price.rate_minor_per_h} {price.currency} minor",
        "prices are of hours, without parts",
    ]
    if any(r.hours_since_winding_h is None for r in asked.case.readings):
        out.append("readings without a time were taken an hour after winding")
    if asked.case.reports and any(r.level is None and r.state == "present" for r in asked.case.reports):
        out.append("a finding without an extent may be anything from slight on")
    return out


def _warnings(
    asked: Question, found: Posterior, causes: Causes, fits: bool, misfit: float | None, offered: Sequence[Choice]
) -> list[str]:
    out = []
    if len(offered) == 1 and offered[0].right < 0.5:
        out.append("No set of works known here would be likely to cure it: look further before it is priced.")
    if not fits:
        out.append(
            f"These sums do not explain this clock: {100 * (misfit or 0.0):.1g} in 100 simulated clocks are as odd. "
            "Look for what the list lacks, or a slip in a reading."
        )
    if found.effective_count < 300.0:
        out.append(f"Only about {found.effective_count:.0f} draws carry the answer; take its chances as rough.")
    if found.disagreement > 0.15:
        out.append(
            f"Two runs differ by up to {100 * found.disagreement:.0f} in 100 on a fault; rare faults may be misjudged."
        )
    setting = round(100 * _only_its_setting(causes))
    if setting >= _SAID_FROM_IN_100:
        out.append(
            f"In {setting} in 100 of such clocks nothing is wrong with the rate but the setting of nut or regulator: "
            "bring it to time before anything is bought or taken apart."
        )
    if causes.aspect in ("rate", "rate_kind"):
        out.append("Choices count whether it goes its full time; whether its rate comes right stands beside it.")
    return out
