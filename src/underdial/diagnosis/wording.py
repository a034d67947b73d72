"""Sentences of the bench about one clock: what a fault does to it, in its own numbers, and what speaks for it.

Bench words: "would it go if only this were put right", "these sums do not explain this clock". Numbers are this clock's
own, medians over the clocks that agree with everything told; nothing above 98 in 100 is ever said.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from underdial.diagnosis.causes import Causes, Single
from underdial.diagnosis.choices import MOST_SURE
from underdial.diagnosis.mechanism import felt_words, mechanism, stop_words
from underdial.diagnosis.question import Question
from underdial.diagnosis.suspects import NAMELESS, UNKNOWN_STOP, Suspect, SymptomSuspect
from underdial.diagnosis.symptoms import Verdict
from underdial.diagnosis.told_words import share_words, since_words, told_words
from underdial.diagnosis.work_lines import CLEANED, SET_UP
from underdial.trade.fault_laws import symptom_laws
from underdial.trade.fault_names import fault_words
from underdial.trade.faults import faults
from underdial.trade.phrases import clause, part_words
from underdial.trade.vocabulary import components, conditions


def capped(probability: float) -> float:
    """A chance as it may be stated: never above 98 in 100."""
    return min(max(probability, 0.0), MOST_SURE)


def in_100(probability: float) -> str:
    """A chance in words of the bench."""
    p = capped(probability)
    return "less than 1 in 100" if p < 0.01 else f"{round(100 * p)} in 100"


def title_of(asked: Question, suspect: Suspect) -> str:
    """The fault and its place in words."""
    if suspect.fault == NAMELESS:
        return "A drag that none of the listed faults explains"
    if suspect.fault == UNKNOWN_STOP:
        return "A stop that none of the listed faults explains"
    fault = faults()[suspect.fault]
    if not suspect.reports:
        elsewhere = any(one.fault == suspect.fault and one.reports for one in asked.suspicion.suspects)
        return f"{fault_words(suspect.fault, may=True)}{' elsewhere too' if elsewhere else ''}"
    found = clause(suspect.component, suspect.condition, of=suspect.of)
    rivals = any(set(one.reports) & set(suspect.reports) for one in asked.suspicion.suspects if one is not suspect)
    if rivals and (suspect.component, suspect.condition) != (fault.component, fault.condition):
        meant = fault_words(suspect.fault, may=False)
        return f"{found}, which may mean that {meant[0].lower()}{meant[1:]}"
    return found


def sentence(asked: Question, one: Single) -> str:
    """What a fault does to this clock, in its own numbers."""
    suspect = asked.suspicion.suspects[one.suspect]
    title = title_of(asked, suspect)
    does = [
        text
        for text in (
            stop_words(asked, suspect, one),
            felt_words(asked, suspect),
            _torque(one),
            _swing(asked, one),
            _rate(one),
            _reserve(one),
        )
        if text
    ]
    does = list(dict.fromkeys(does))[:2]
    if len(does) < 2 and (more := mechanism(asked, suspect, one, beside=bool(does))):
        does.append(more)
    how = "this" if suspect.reports else "if so, it"
    return (
        f"{title}: {how} {' and '.join(does)}."
        if does
        else f"{title}; beside the rest it changes nothing that could be felt."
    )


def alone(one: Single, causes: Causes) -> str:
    """Would it go if only this were put right."""
    wish = {"stops": "Would it go its full time", "rate": "Would its rate come right"}.get(
        causes.aspect, "Would the complaint be gone"
    )
    return f"{wish} if only this were put right? {in_100(one.necessary)}."


def because(asked: Question, suspect: Suspect) -> list[str]:
    """What speaks for or against a suspect: findings, what went before, and the fields of the complaint that bear on
    it.
    """
    out = found_words(asked, suspect.reports)
    for number in suspect.sound_reports:
        report = next(r for r in asked.case.reports if r.index == number)
        sound = conditions()[report.condition].kind == "sound"
        out.append(
            _clause_lower(report.component, report.condition, report.of)
            if sound
            else f"looked for and not seen: {_report_words(report.component, report.condition, report.of)}"
        )
    since = str(asked.told.get("since", ""))
    if suspect.since_factor > 1.2:
        out.append(f"{suspect.since_factor:.2g} times as likely since {since_words(since)}")
    if suspect.heard:
        out.append(suspect.heard)
    number = next((k for k, one in enumerate(asked.suspicion.suspects) if one is suspect), -1)
    for tried in asked.suspicion.tried:
        if number in tried.members:
            out.append(
                f"a good {part_words(tried.component)} in its place {'cured it' if tried.cured else 'changed nothing'}"
            )
    if suspect.earlier_work:
        out.append(f"likelier after what was done before: {suspect.earlier_work}")
    events = {kind for kind, _ in suspect.law.events}
    signs = {s.field for s in suspect.law.signs if str(asked.told.get(s.field)) in (s.value, "True")}
    for name, value in asked.told.items():
        if name in signs or (name == "stops_at" and _fits_place(str(value), events)):
            out.append(f"fits {told_words(name, value)}")
    if not out and not suspect.looked_at:
        out.append(
            f"nobody has looked; {in_100(suspect.law.prior_probability)} of such clocks have it when they come in"
        )
    return out


def found_words(asked: Question, numbers: Sequence[int]) -> list[str]:
    """The findings that point to a suspect, said back."""
    out = []
    for number in numbers:
        report = next(r for r in asked.case.reports if r.index == number)
        size = (
            f", {1e3 * report.value_si:.2g} mm" if report.value_si is not None and 1e-6 < report.value_si < 1.0 else ""
        )
        how = f", {report.level}" if report.level else ""
        hedge = (
            ""
            if report.certainty >= 0.85
            else f", though said with but {round(100 * report.certainty)} in 100 certainty"
        )
        who = " by the owner" if report.who == "owner" else ""
        out.append(f"found{who}: {_report_words(report.component, report.condition, report.of)}{size}{how}{hedge}")
    return out


def change_of_mind(suspect: Suspect, present: float) -> str:
    """What a look, or putting it right, would do to the chance of a fault."""
    if suspect.fault in (NAMELESS, UNKNOWN_STOP):
        return "A named fault found would take its place."
    if suspect.reports:
        part = part_words(suspect.component, suspect.of)
        done = (
            "when clean and freshly oiled"
            if suspect.fault in CLEANED
            else "when level and in beat"
            if suspect.fault in SET_UP
            else f"with the {part} put right, or a good one in its place"
        )
        return f"If it did the same {done}, it was not this."
    return _after_a_look(present, suspect.law.overlooked_probability)


def symptom_title(asked: Question, suspect: SymptomSuspect) -> str:
    """A fault of striking, chiming or alarm in words; as possible only where nobody has found it."""
    if suspect.reports:
        return clause(suspect.component, suspect.condition, of=suspect.of)
    return fault_words(suspect.fault, may=True)


def symptom_sentence(asked: Question, suspect: SymptomSuspect, told: Sequence[str]) -> str:
    """What such a fault brings about, and how often."""
    title = symptom_title(asked, suspect)
    brings = {f"{s.field}={s.value}": s.probability for s in suspect.signs}
    told_of_it = [t for t in told if brings.get(t, 0.0) > 0.0]
    if not told_of_it:
        return (
            f"{title}: it was found, but it does not explain {_and([_symptom_words(t) for t in told])}."
            if told
            else f"{title}: nothing was told that it would explain."
        )
    how = "this" if suspect.reports else "if so, it"
    return (
        f"{title}: {how} would explain {_and([_symptom_words(t) for t in told_of_it])}, as it does in "
        f"{share_words(min(brings[t] for t in told_of_it))} clocks that have it."
    )


def symptom_because(asked: Question, suspect: SymptomSuspect, told: Sequence[str]) -> list[str]:
    """What speaks for a fault of striking, chiming or alarm."""
    out = found_words(asked, suspect.reports)
    since = str(asked.told.get("since", ""))
    factor = symptom_laws()[suspect.fault].since.get(since, 1.0)
    if factor > 1.2:
        out.append(f"{factor:.2g} times as likely since {since_words(since)}")
    signs = {f"{s.field}={s.value}" for s in suspect.signs}
    return out + [f"fits {_symptom_words(t)}" for t in told if t in signs]


def symptom_change(suspect: SymptomSuspect, verdict: Verdict) -> str:
    """What a look at it would do to its chance."""
    if suspect.reports:
        return f"If it did the same with the {part_words(suspect.component, suspect.of)} put right, it was not this."
    return _after_a_look(verdict.present_probability, symptom_laws()[suspect.fault].overlooked_probability)


def symptom_alone(verdict: Verdict, told: Sequence[str]) -> str:
    """Would what was told be gone if only this were put right."""
    if not told:
        return "Nothing was told of it that could be gone."
    return f"Would it be gone if only this were put right? {in_100(verdict.necessary_probability)}."


def _after_a_look(present: float, overlooked: float) -> str:
    left = present * overlooked
    after = left / (left + 1.0 - present) if present < 1.0 else 1.0
    return f"Looked at and found sound, its chance would fall from {in_100(present)} to {in_100(after)}."


def _symptom_words(told: str) -> str:
    field, _, value = told.partition("=")
    return told_words(field, value)


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _torque(one: Single) -> str:
    if one.torque_without_n_m <= 0.0 or one.torque_lost_n_m < 0.02 * one.torque_without_n_m:
        return ""
    whole, lost = one.torque_without_n_m * 1e6, one.torque_lost_n_m * 1e6
    unit, scale = ("µN m", 1.0) if whole < 1e4 else ("mN m", 1e-3)
    digits = 0 if whole * scale >= 20 else 1
    return (
        f"takes {lost * scale:.{digits}f} of the {whole * scale:.{digits}f} {unit} that would reach the escape "
        "wheel without it"
    )


def _swing(asked: Question, one: Single) -> str:
    with_it, without = math.degrees(one.amplitude_with_rad), math.degrees(one.amplitude_without_rad)
    if without <= 0.0 or abs(without - with_it) < 0.03 * without:
        return ""
    digits = 0 if without > 20 else 1
    if f"{with_it:.{digits}f}" == f"{without:.{digits}f}":
        digits += 1
    what = "amplitude" if asked.bench.layout.oscillator == "balance" else "arc each side"
    how = "drives" if with_it > without else "holds"
    at = "to" if with_it > without else "at"
    return f"{how} the {what} {at} {with_it:.{digits}f} deg, where it would be {without:.{digits}f} deg"


def _rate(one: Single) -> str:
    if abs(one.rate_change) < 20.0:
        return ""
    return f"makes the clock {'gain' if one.rate_change > 0 else 'lose'} about {abs(one.rate_change):.0f} s a day"


def _reserve(one: Single) -> str:
    if one.reserve_without <= 0.0 or one.reserve_with > 0.97 * one.reserve_without:
        return ""
    return (
        f"leaves the clock {one.reserve_with:.1f} times the power it needs, where it would have "
        f"{one.reserve_without:.1f} times"
    )


def _report_words(component: str, condition: str, of: str | None) -> str:
    """`pallets grooved`, `pivot hole of the third wheel worn`."""
    name = components()[component].preferred.split(" (")[0].split(", ")[0] if of is None else part_words(component, of)
    return f"{name} {conditions()[condition].term.split(' (')[0].split(', ')[0]}"


def _clause_lower(component: str, condition: str, of: str | None) -> str:
    words = clause(component, condition, of=of)
    return words[0].lower() + words[1:]


def _fits_place(told: str, events: set[str]) -> bool:
    table = {
        "same_dial_time": {"hour12", "hour24", "one_oclock", "crossing"},
        "same_minute": {"hour1", "quarter"},
        "same_wind": {"wind", "winding_stop"},
        "before_hour": {"before_hour"},
        "irregular": {"random", "arbor", "tilt"},
    }
    return bool(table.get(told, set()) & events)
