"""Sentences of the bench about one clock: what a fault does to it, in its own numbers, and what speaks for it.

Bench words: "would it go if only this were put right", "these sums do not explain this clock". Numbers are this clock's
own, medians over the clocks that agree with everything told; nothing above 98 in 100 is ever said.
"""

from __future__ import annotations

import math

from underdial.diagnosis.causes import Causes, Single
from underdial.diagnosis.choices import MOST_SURE
from underdial.diagnosis.question import Question
from underdial.diagnosis.suspects import NAMELESS, UNKNOWN_STOP, Suspect
from underdial.trade.fault_laws import SymptomLaw
from underdial.trade.faults import faults
from underdial.trade.phrases import clause
from underdial.trade.vocabulary import components, conditions

_STOPS = {
    "dead": "keeps it from going at all",
    "hour1": "stops it at one minute of the hour",
    "crossing": "stops it where the hands pass each other, every 65 minutes",
    "hour12": "stops it at one time on the dial, once in twelve hours",
    "hour24": "stops it at one time of the day",
    "before_hour": "stops it before the hour, as the strike is lifted",
    "quarter": "stops it as the chime is lifted before the quarter",
    "one_oclock": "stops it between twelve and one",
    "wind": "stops it at one state of the wind",
    "random": "stops it now and then",
    "tilt": "stops it in some positions",
    "slip": "lets the movement go while the hands stand",
    "winding_stop": "stops it while it is being wound",
}
_FIELDS = {"runs_for_s": "how long it runs", "never_runs": "that it never runs", "stops_at": "where it stops", "rate_kind": "how its rate goes",
           "rate_s_per_day": "its rate", "goes_only": "how it can be got to go", "hands_stand": "that the hands stand", "swing": "its swing",
           "noise": "the noise", "winding": "how it winds", "races": "that it races", "stops_in_cold": "that it stops in the cold",
           "strikes": "how it strikes", "chimes": "how it chimes", "alarm": "what the alarm does",
           "runs_dial_up_for_s": "how long it runs dial up"}  # fmt: skip


def capped(probability: float) -> float:
    """A chance as it may be stated: never above 98 in 100."""
    return min(max(probability, 0.0), MOST_SURE)


def title_of(suspect: Suspect) -> str:
    """The fault and its place in words."""
    if suspect.fault == NAMELESS:
        return "A drag that none of the listed faults explains"
    if suspect.fault == UNKNOWN_STOP:
        return "A stop that none of the listed faults explains"
    fault = faults()[suspect.fault]
    if suspect.reports:
        return clause(suspect.component, suspect.condition, of=suspect.of)
    return clause(fault.component, fault.condition, of=suspect.of, may=True)


def sentence(asked: Question, one: Single) -> str:
    """What a fault does to this clock, in its own numbers."""
    suspect = asked.suspicion.suspects[one.suspect]
    does = [text for text in (_stop(asked, suspect, one), _torque(one), _swing(asked, one), _rate(one), _reserve(one)) if text]
    return f"{title_of(suspect)}: this {' and '.join(does[:2])}." if does else f"{title_of(suspect)}; this takes little from this clock."


def alone(one: Single, causes: Causes) -> str:
    """Would it go if only this were put right."""
    wish = {"stops": "it would go its full time", "rate": "its rate would come right"}.get(causes.aspect, "the complaint would be gone")
    return f"That {wish} if only this were put right: {in_100(one.necessary)}."


def symptom_sentence(title: str, told: str) -> str:
    """The same for a fault of striking, chiming or alarm."""
    return f"{title}: this can bring about what was told ({told})."


def because(asked: Question, suspect: Suspect) -> list[str]:
    """What speaks for or against a suspect: findings, what went before, and the fields of the complaint that bear on it."""
    out = []
    for number in suspect.reports:
        report = next(r for r in asked.case.reports if r.index == number)
        how = f", {report.level}" if report.level else ""
        hedge = "" if report.certainty >= 0.85 else f" (said with {report.certainty:.2g})"
        who = " by the owner" if report.who == "owner" else ""
        out.append(f"found{who}: {_report_words(report.component, report.condition, report.of)}{how}{hedge}")
    for number in suspect.sound_reports:
        report = next(r for r in asked.case.reports if r.index == number)
        out.append(f"looked for, not seen: {_report_words(report.component, report.condition, report.of)}")
    since = str(asked.told.get("since", ""))
    if suspect.law.since.get(since, 1.0) > 1.2:
        out.append(f"likelier since it was {_since_words(since)}")
    events = {kind for kind, _ in suspect.law.events}
    signs = {s.field for s in suspect.law.signs if str(asked.told.get(s.field)) in (s.value, "True")}
    for name in asked.told:
        if name in signs or (name == "stops_at" and _fits_place(str(asked.told[name]), events)):
            out.append(f"fits {_FIELDS.get(name, name)}: {str(asked.told[name]).replace('_', ' ')}")
    if not out and not suspect.looked_at:
        out.append("not looked at yet; its chance is that of clocks of this kind, changed by what the complaint and the readings say")
    return out


def change_of_mind(suspect: Suspect, present: float) -> str:
    """What a look would do to the chance of a fault."""
    if suspect.reports or suspect.fault in (NAMELESS, UNKNOWN_STOP):
        return "A good part tried in its place, and no change, would clear it." if suspect.fault in faults() else "A named fault found would take its place."
    left = present * suspect.law.overlooked_probability
    after = left / (left + 1.0 - present) if present < 1.0 else 1.0
    return f"Looked at and found sound, its chance would fall from {in_100(present)} to {in_100(after)}."


def in_100(probability: float) -> str:
    """A chance in words of the bench."""
    p = capped(probability)
    return "less than 1 in 100" if p < 0.01 else f"{round(100 * p)} in 100"


def shop_value(value: float, unit: str) -> str:
    """A number to two or three figures with its unit."""
    if value == 0.0 or not math.isfinite(value):
        return f"0 {unit}"
    digits = max(0, 2 - math.floor(math.log10(abs(value)))) if abs(value) < 100 else 0
    return f"{value:.{min(digits, 3)}f} {unit}".replace("-", "−")


def _torque(one: Single) -> str:
    if one.torque_without_n_m <= 0.0 or one.torque_lost_n_m < 0.02 * one.torque_without_n_m:
        return ""
    whole, lost = one.torque_without_n_m * 1e6, one.torque_lost_n_m * 1e6
    unit, scale = ("µN m", 1.0) if whole < 1e4 else ("mN m", 1e-3)
    digits = 0 if whole * scale >= 20 else 1
    return f"takes {lost * scale:.{digits}f} of the {whole * scale:.{digits}f} {unit} that would reach the escape wheel without it"


def _swing(asked: Question, one: Single) -> str:
    with_it, without = math.degrees(one.amplitude_with_rad), math.degrees(one.amplitude_without_rad)
    if without <= 0.0 or without - with_it < 0.03 * without:
        return ""
    digits = 0 if without > 20 else 1
    return f"holds the half arc at {with_it:.{digits}f} deg, where it would be {without:.{digits}f} deg"


def _rate(one: Single) -> str:
    if abs(one.rate_change) < 20.0:
        return ""
    return f"makes it {'gain' if one.rate_change > 0 else 'lose'} about {abs(one.rate_change):.0f} s a day"


def _reserve(one: Single) -> str:
    if one.reserve_without <= 0.0 or one.reserve_with > 0.97 * one.reserve_without:
        return ""
    return f"leaves {one.reserve_with:.1f} times the power it needs, of {one.reserve_without:.1f} without it"


def _stop(asked: Question, suspect: Suspect, one: Single) -> str:
    kinds = [kind for kind, _ in suspect.law.events]
    if not kinds or (one.hard_share < 0.25 and kinds[0] not in ("slip", "winding_stop")):
        return ""
    kind = kinds[0]
    if kind in ("arbor", "escape"):
        layout = asked.bench.layout
        arbor = layout.arbors_count - 1 if kind == "escape" else (suspect.arbors[0] if len(suspect.arbors) == 1 else -1)
        if 0 <= arbor < layout.arbors_count:
            return f"stops it once a turn of the {layout.arbor_names[arbor].replace('_', ' ')}, every {_time(layout.arbor_period_s[arbor])}"
        return "stops it once a turn of its wheel"
    return _STOPS.get(kind, "")


def _time(seconds: float) -> str:
    if seconds < 120:
        return f"{seconds:.0f} s"
    if seconds < 7200:
        return f"{seconds / 60:.3g} min"
    return f"{seconds / 3600:.3g} h"


def _of_words(of: str) -> str:
    return of.replace(".", " train, ").replace("_", " ")


def _report_words(component: str, condition: str, of: str | None) -> str:
    tail = f" of the {_of_words(of)}" if of else ""
    return f"{components()[component].preferred}{tail} {conditions()[condition].term}"


def _since_words(since: str) -> str:
    return {"moved": "moved", "repair": "repaired", "fall": "let fall", "wound": "wound", "cleaned": "cleaned", "owner_work": "worked on by its owner"}.get(since, since)


def _fits_place(told: str, events: set[str]) -> bool:
    table = {"same_dial_time": {"hour12", "hour24", "one_oclock", "crossing"}, "same_minute": {"hour1", "quarter"}, "same_wind": {"wind"},
             "before_hour": {"before_hour"}, "irregular": {"random", "arbor", "tilt"}}  # fmt: skip
    return bool(table.get(told, set()) & events)


def symptom_title(law: SymptomLaw, *, reported: bool) -> str:
    """Fault of striking, chiming or alarm in words; as possible only where nobody has found it."""
    fault = faults()[law.fault]
    return clause(fault.component, fault.condition, may=not reported)
