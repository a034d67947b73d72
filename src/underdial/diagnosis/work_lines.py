"""The works that put a set of faults right, line by line, with their hours.

An overhaul puts right, with no work of its own, what cleaning and oiling puts right; so does setting up for level and
beat. What was found and goes with such a work still has its line, with no hours, so that it is named and agreed. A
fault nobody has found has its line with an `if`: it is looked for first.

Limits: hours are bands of the trade's works, without parts.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from underdial.diagnosis.causes import aspect_of
from underdial.diagnosis.found_faults import FoundFault, remedy_for, work_of
from underdial.diagnosis.question import Question
from underdial.record.price_parts import together_h
from underdial.trade.fault_names import fault_words
from underdial.trade.faults import faults
from underdial.trade.vocabulary import conditions
from underdial.trade.works import Work, overhaul_for, works

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
# Parts that sit at both ends of an arbor: two places are twice the work.
_AT_BOTH_ENDS = frozenset({"pivot", "pivot_hole", "bush", "pivot_shoulder"})
_TELLING = {"stops": 0, "contributes": 1, "none": 3, "cosmetic": 4}
_UNSAID = 2


@dataclass(frozen=True)
class WorkLine:
    """One work at one part. `findings` are the numbers of the findings it answers; none where the fault is supposed."""

    work: str
    words: str
    component: str
    of: str | None
    place: str | None
    low_h: float
    high_h: float
    fault: str | None
    findings: tuple[int, ...] = ()


def needs_stripping(fault_id: str) -> bool:
    """Whether the movement comes apart for it, so that an overhaul goes with it."""
    fault = faults().get(fault_id)
    if fault_id in _STRIKE_STRIPPED:
        return True
    return fault is not None and fault.group in _STRIPPED_GROUPS and fault_id not in _NOT_STRIPPED


def comes_apart(ids: Collection[str], extras: Collection[FoundFault] = ()) -> bool:
    """Whether any of it needs the movement stripped."""
    return any(needs_stripping(f) for f in (*ids, *(one.fault for one in extras if one.fault is not None)))


def cured_in_going(asked: Question, ids: Collection[str], *, stripped: bool | None = None) -> tuple[int, ...]:
    """Suspects of the going that a set of faults put right takes away, with what goes with the work."""
    apart = comes_apart(ids) if stripped is None else stripped
    with_it = (SET_UP if ids or apart else frozenset()) | (CLEANED if apart else frozenset()) | _with_new_parts(ids)
    return tuple(k for k, one in enumerate(asked.suspicion.suspects) if one.fault in ids or one.fault in with_it)


def cured_elsewhere(ids: Collection[str], *, stripped: bool | None = None) -> frozenset[str]:
    """Faults of striking, chiming and alarm that a set of faults put right takes away, with what goes with the work."""
    apart = comes_apart(ids) if stripped is None else stripped
    with_it = (_SEEN_AT_ONCE if ids or apart else frozenset()) | (_FREED | _SET_ANEW if apart else frozenset())
    return frozenset(ids) | with_it


def work_lines(
    asked: Question, ids: Sequence[str], found: Sequence[FoundFault], extras: Sequence[FoundFault] = ()
) -> tuple[WorkLine, ...]:
    """Works that put a set of faults right, and findings beside them that the sums do not use.

    The work that begins answers what goes with it and has no line of its own, such as dirt all over. A clock whose rate
    is complained of is brought to time at the end, whatever was put right.
    """
    stripped = comes_apart(ids, extras)
    out: list[WorkLine] = []
    if stripped:
        out.append(_round(overhaul_for(_trains_count(asked))))
    elif ids or any(one.fault is None or faults()[one.fault].group != "case" for one in extras):
        out.append(_round(works()["set_up_again"]))
    done: set[str] = set()
    # What asks for a new part comes before what would go with it.
    for fault_id in sorted(ids, key=lambda f: not any(f in asking for asking, _ in _NEW_PART)):
        mine = [one for one in found if fault_id in (one.fault, one.symptom) and one.in_sums]
        if fault_id in SET_UP | _SEEN_AT_ONCE or (stripped and fault_id in CLEANED | _FREED | _SET_ANEW):
            # Setting up says itself that it is set level and in beat.
            out += [line for line in _lines(mine, free=True) if stripped or fault_id not in SET_UP]
            continue
        if any(fault_id in asking | going_too and asking & done for asking, going_too in _NEW_PART):
            continue
        done.add(fault_id)
        out += _lines(mine) or _supposed(fault_id)
    if stripped:
        with_it = (CLEANED | SET_UP | _FREED | _SET_ANEW) - set(ids)
        out += _lines([one for one in found if one.in_sums and one.fault in with_it], free=True)
    named = {number for line in out for number in line.findings}
    out += _lines([one for one in extras if one.report.index not in named])
    if out and aspect_of(asked) == "rate":
        out.append(_round(works()["test_and_regulate"]))
    if out:
        goes_too = SET_UP | _with_new_parts(ids) | (CLEANED if stripped else frozenset())
        named |= {number for line in out for number in line.findings}
        rest = [one.report.index for one in found if one.fault in {*ids, *goes_too} and one.report.index not in named]
        out[0] = replace(out[0], findings=(*out[0].findings, *rest))
    return tuple(out)


def _with_new_parts(ids: Collection[str]) -> frozenset[str]:
    """What goes with the new parts that a set of faults asks for."""
    return frozenset[str]().union(*(asking | too for asking, too in _NEW_PART if asking & set(ids)))


def cleaned_with_it(one: FoundFault, *, stripped: bool, anything_done: bool) -> bool:
    """Whether dirt or dryness that the sums do not use goes with an overhaul, or with setting up and oiling."""
    case_part = one.fault is not None and faults()[one.fault].group == "case"
    dirt = conditions()[one.report.condition].kind == "dirt" and not case_part
    return dirt and (stripped or (anything_done and one.report.condition == "dry"))


def hours_band(lines: Sequence[WorkLine]) -> tuple[float, float, float]:
    """Least, likely and most hours of works that are independent of one another."""
    return together_h((one.low_h, one.high_h) for one in lines)


def _round(work: Work) -> WorkLine:
    return WorkLine(work.id, work.do, "movement", None, None, work.time_low_h, work.time_high_h, None)


def _lines(found: Sequence[FoundFault], *, free: bool = False) -> list[WorkLine]:
    """A line for each place; findings of one fault at one place have one. `free` for what goes with another work."""
    groups: dict[tuple[object, ...], list[FoundFault]] = {}
    for one in found:
        if free and conditions()[one.report.condition].kind == "dirt" and one.report.of is None:
            continue
        key = (one.suspect, one.symptom) if one.in_sums else (one.fault, one.report.component, one.report.of)
        groups.setdefault(key, []).append(one)
    out = []
    for group in groups.values():
        first = min(group, key=lambda one: _TELLING.get(one.report.significance or "", _UNSAID))
        work = work_of(first)
        if work is None:
            continue
        report = first.report
        places = {one.report.place for one in group if one.report.component == report.component} - {None}
        both = "both" in places or places >= {"front", "back"}
        times = 0 if free else 2 if both and report.component in _AT_BOTH_ENDS else 1
        numbers = tuple(one.report.index for one in group)
        low, high = times * work.time_low_h, times * work.time_high_h
        place = "both" if both else report.place
        out.append(WorkLine(work.id, work.do, report.component, report.of, place, low, high, work.fault, numbers))
    return out


def _supposed(fault_id: str) -> list[WorkLine]:
    """The line of a fault that nobody has found: looked for first."""
    remedy = remedy_for(fault_id)
    if remedy is None:
        return []
    so = fault_words(fault_id, may=False)
    words = f"if {so[0].lower()}{so[1:]}: {remedy.do}"
    part = faults()[fault_id].component
    hours = (remedy.time_low_h, remedy.time_high_h)
    return [WorkLine(f"{fault_id}.{remedy.id}", words, part, None, None, *hours, fault_id)]


def _trains_count(asked: Question) -> int:
    """Trains to be stripped: by how it is built, and by what was told or found of its striking and chiming."""
    traits = asked.movement.traits
    of = {asked.suspicion.places.other_train(one.of) for one in asked.case.reports}
    groups = {faults()[one.fault].group for one in asked.suspicion.symptom_suspects if one.reports}
    chimes = "chime" in traits or "chime" in of | groups or asked.told.get("chimes") is not None
    strikes = (
        asked.movement.strike in ("rack", "count_wheel")
        or bool(traits & {"rack", "count_wheel", "alarm"})
        or bool((of | groups) & {"strike", "alarm"})
        or asked.told.get("strikes") is not None
    )
    return 3 if chimes else 2 if strikes else 1
