"""The faults somebody found, one by one: what each is called in the list of faults, and what putting it right takes.

The sums weigh a finding by what it does to the going; an owner asks what was seen and what becomes of it. So every
finding of the record that tells of a fault stands here, whether the sums use it or not. Wanted is what the repairer has
decided to replace or repair, and what is dangerous.

Limits: what a finding says of the past alone (replaced, repaired before, numbered) is no fault. A part of the case that
no fault of the list names is taken as the case.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from underdial.diagnosis.case_file import Report
from underdial.diagnosis.question import Question
from underdial.trade.faults import Fault, Remedy, applies, faults, matching
from underdial.trade.phrases import clause
from underdial.trade.vocabulary import components, conditions
from underdial.trade.works import Work, works

# Remedies that go before a cure and are none themselves.
_CURE_NOTHING = frozenset({"inspect_2nd_arbor", "deburr_exit_hole"})
# Decisions that a thing be made good, and those that it stay as it is for now.
_TO_MEND = frozenset({"replace", "repair", "glue", "must_fix"})
_TO_STAY = frozenset({"leave", "later", "ask_owner", "recheck"})
_NO_MATTER = frozenset({"cosmetic", "none"})
# A part in one of these states is not mended but replaced.
_PAST_MENDING = frozenset({"missing", "broken", "torn", "frayed", "perished"})
_BRINGS_NEW = re.compile(r"^(fit|make|new|find|replace|supply)\b")
# What is told of the past, and no fault by itself.
_HISTORY = frozenset(
    {
        "repainted",
        "overpainted",
        "bushed_before",
        "soldered",
        "glued",
        "replaced",
        "altered",
        "signed",
        "numbered",
        "got_at",
        "repaired",
        "shimmed",
        "marriage",
    }
)
# Lines that carry a weight, and the states in which they may let it fall.
_LINES = frozenset({"gut_line", "rope", "weight_chain", "chain_hook"})
_MAY_PART = frozenset({"frayed", "broken", "torn", "cracked", "worn_thin"})
# Below this a finding was said with a hedge, and is told with one.
_SAID_PLAINLY = 0.85


@dataclass(frozen=True)
class FoundFault:
    """A finding that tells of a fault.

    `fault` is its name in the list, None where the list has none; `suspect` and `symptom` are what it is in the sums,
    when it enters them.
    """

    report: Report
    fault: str | None
    suspect: int | None
    symptom: str | None
    wanted: bool
    dangerous: bool
    words: str

    @property
    def in_sums(self) -> bool:
        """Whether the sums reckon with it."""
        return self.suspect is not None or self.symptom is not None

    @property
    def to_mend(self) -> bool:
        """Whether the whole job takes it in: wanted, or of effect and neither waved aside nor put off."""
        if self.wanted:
            return True
        return not self.waved_aside and (self.in_sums or self.report.condition == "missing" or self.may_stop_a_train)

    @property
    def waved_aside(self) -> bool:
        """Whether it was said not to matter, or to stay for now."""
        return self.report.decision in _TO_STAY or self.report.significance in _NO_MATTER

    @property
    def may_stop_a_train(self) -> bool:
        """Whether it is one that may stop a train of the movement, be it not the going."""
        fault = faults()[self.fault] if self.fault is not None else None
        return fault is not None and fault.stops_alone != "never" and fault.group not in ("case", "motion")


def found_faults(asked: Question) -> tuple[FoundFault, ...]:
    """The faults of the record, in the order they were told."""
    return tuple(_found(asked, one) for one in asked.case.reports if _is_fault(one))


def remedy_for(fault_id: str, condition: str | None = None, decision: str | None = None) -> Remedy | None:
    """The remedy a choice counts on: a new part where the old one is past mending or is to be replaced; else the first
    that cures, without altering what is original if it can; else the first with work in it.
    """
    remedies = [r for r in faults()[fault_id].remedies if r.id not in _CURE_NOTHING]
    doing = [r for r in remedies if r.invasiveness > 0] or [r for r in remedies if r.time_high_h > 0.0]
    if condition in _PAST_MENDING or decision == "replace":
        doing = [r for r in doing if _BRINGS_NEW.match(r.do)] or doing
    return doing[0] if doing else None


def work_of(found: FoundFault) -> Work | None:
    """The work that puts a finding right by the trade's remedies; a part that the list has none for is replaced or
    repaired by a work of its own when that was decided, else None.
    """
    report = found.report
    if found.fault is not None and (remedy := _remedy(found.fault, report)) is not None:
        return works()[f"{found.fault}.{remedy.id}"]
    if not found.wanted:
        return None
    new = report.decision == "replace" or report.condition in _PAST_MENDING
    return works()["replace_part" if new else "repair_part"]


def left_words(left: Sequence[FoundFault]) -> tuple[str, ...]:
    """What stays as it is, each once, as clauses that a list can hold."""
    return tuple(dict.fromkeys(one.words for one in left))


def _remedy(fault: str, report: Report) -> Remedy | None:
    condition = "broken" if (report.component, report.condition) == ("glass", "cracked") else report.condition
    return remedy_for(fault, condition, report.decision)


def _is_fault(report: Report) -> bool:
    kind = conditions()[report.condition].kind
    if report.state != "present" or kind in ("sound", "status"):
        return False
    if report.component == "movement" and kind == "function":
        # What the clock does is the complaint, not a fault.
        return False
    return report.condition not in _HISTORY or report.decision in _TO_MEND


def _found(asked: Question, report: Report) -> FoundFault:
    suspect = _suspect_of(asked, report.index)
    symptom = max(
        (one for one in asked.suspicion.symptom_suspects if report.index in one.reports),
        key=lambda one: one.probability,
        default=None,
    )
    if suspect is not None:
        fault: str | None = asked.suspicion.suspects[suspect].fault
    elif symptom is not None:
        fault = symptom.fault
    else:
        fault = _named(asked, report)
    dangerous = "safety" in report.flags or (
        report.component in _LINES and report.condition in _MAY_PART and "weight" in asked.movement.traits
    )
    said = clause(
        report.component,
        report.condition,
        of=report.of,
        place=report.place,
        may=report.certainty < _SAID_PLAINLY or report.who == "owner",
    )
    return FoundFault(
        report,
        fault,
        suspect,
        symptom.fault if symptom is not None and suspect is None else None,
        dangerous or report.decision in _TO_MEND,
        dangerous,
        said[0].lower() + said[1:],
    )


def _suspect_of(asked: Question, index: int) -> int | None:
    """The suspect a finding is first taken for: of several that it could mean the likeliest."""
    mine = [k for k, one in enumerate(asked.suspicion.suspects) if index in one.reports and one.fault in faults()]
    shares: Mapping[int, float] = {
        k: share
        for pick in asked.suspicion.picks
        if pick.report == index
        for k, share in zip(pick.members, pick.shares, strict=True)
    }
    return max(mine, key=lambda k: shares.get(k, 0.0), default=None)


def _named(asked: Question, report: Report) -> str | None:
    """The name the list of faults has for a finding that the sums do not use."""
    rows: list[Fault] = [f for f in matching(report.component, report.condition, report.of) if f.counted]
    if not rows and _of_case(report.component):
        rows = [f for f in matching("case", report.condition) if f.counted and f.group == "case"]
    may_have = frozenset(asked.may_have)
    fitting = [f for f in rows if applies(f, asked.movement.traits, may_have) != "no"]
    return fitting[0].id if fitting else None


def _of_case(component: str) -> bool:
    known, passed, at = components(), set[str](), component
    while at in known and at not in passed:
        if at == "case":
            return True
        passed.add(at)
        at = known[at].part_of or ""
    return False
