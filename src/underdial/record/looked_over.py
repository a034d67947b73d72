"""Several look-overs of one clock: which findings are from which, and which of two that tell of the same part holds.

When a later look-over says something else of a part, both stay in the record with their times, and the later holds.
What one look-over did not examine and another did is no longer unexamined. Nothing is taken away: what is overtaken is
worked out each time, so a later finding that is rejected gives way to the earlier again.

Limits: only what was seen before anything was altered; a finding written down singly, in no look-over, overtakes only
what was not examined. Whether two findings tell of one part is asked as for contradictions.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from underdial.record.as_left import seen_as_found
from underdial.record.contradiction import EVERY, goes_against, part_of, place_of, same_place
from underdial.record.finding import Finding
from underdial.record.look_over import LookOver
from underdial.record.work import Work

_COUNTED = ("First", "Second", "Third", "Fourth", "Fifth", "Sixth", "Seventh", "Eighth", "Ninth")
# Places of which a part has two alike, and the two of a set.
_ENDS = frozenset(
    {"front", "back", "upper", "lower", "top", "bottom", "entry", "exit", "left", "right", "hour", "minute"}
)


def called(look_over: LookOver, look_overs: Sequence[LookOver]) -> str:
    """What a look-over is called: its occasion, else which of several it is by time."""
    if look_over.occasion:
        return look_over.occasion[:1].upper() + look_over.occasion[1:]
    if len(look_overs) == 1:
        return "The look-over"
    at = [one.id for one in in_time(look_overs)].index(look_over.id)
    return f"{_COUNTED[at]} look-over" if at < len(_COUNTED) else f"Look-over {at + 1}"


def in_time(look_overs: Iterable[LookOver]) -> list[LookOver]:
    """Look-overs, the earliest first."""
    return sorted(look_overs, key=lambda one: one.at)


def look_over_of(finding: Finding) -> str | None:
    """The id of the look-over that a finding is from; None for one written down singly."""
    return next((proof.source for proof in finding.evidence if proof.kind == "look_over"), None)


def overtaken(
    findings: Iterable[Finding], look_overs: Iterable[LookOver], works: Iterable[Work] = ()
) -> Mapping[str, Finding]:
    """The id of each finding that another look took the place of, with the finding that holds."""
    looks, done = in_time(look_overs), tuple(works)
    order = {one.id: k for k, one in enumerate(looks)}
    by_part: dict[tuple[str, str], list[Finding]] = {}
    for one in findings:
        if one.standing != "rejected" and one.who == "repairer" and seen_as_found(one, works=done, look_overs=looks):
            by_part.setdefault(part_of(one), []).append(one)
    out: dict[str, Finding] = {}
    for group in by_part.values():
        ordered = sorted(group, key=lambda one: order.get(look_over_of(one) or "", len(order)))
        for one in group:
            # Of several the last look holds.
            found = next((other for other in reversed(ordered) if _takes_place(other, one, order)), None)
            if found is not None:
                out[one.id] = found
    told = {one.id: one for group in by_part.values() for one in group}
    last = {name: _last(holds, out) for name, holds in out.items()}
    return {name: holds for name, holds in last.items() if not _says_the_same(told[name], holds)}


def that_hold(
    findings: Iterable[Finding], look_overs: Iterable[LookOver], works: Iterable[Work] = ()
) -> tuple[Finding, ...]:
    """The findings that no other look took the place of."""
    every = tuple(findings)
    gone = overtaken(every, look_overs, works)
    return tuple(one for one in every if one.id not in gone)


def _last(one: Finding, overtaken_by: Mapping[str, Finding]) -> Finding:
    """What holds in the end, where what took a place was overtaken itself."""
    while one.id in overtaken_by:
        one = overtaken_by[one.id]
    return one


def _says_the_same(one: Finding, other: Finding) -> bool:
    """Whether what holds in the end is what was said first, with another between them."""
    return same_place(one, other) and (one.condition, one.state, one.extent) == (
        other.condition,
        other.state,
        other.extent,
    )


def _takes_place(other: Finding, one: Finding, order: Mapping[str, int]) -> bool:
    """Whether what is said in `other` takes the place of `one`."""
    mine, theirs = order.get(look_over_of(one) or ""), order.get(look_over_of(other) or "")
    if other is one or other.state == "not_examined" or mine is None or mine == theirs:
        return False
    later = theirs is not None and theirs > mine
    if one.state == "not_examined":
        # A part is looked at when one of its places is, but for its two ends, of which one tells nothing of the other.
        whole = place_of(one) is None or place_of(one) in EVERY
        reached = place_of(other) not in _ENDS if whole else same_place(one, other)
        # Only a later look can have tried what was not tried; what was seen once was seen.
        return reached and (later or one.why != "not_tested_yet")
    return later and same_place(one, other) and (goes_against(one, other) or _told_worse_or_less(one, other))


def _told_worse_or_less(one: Finding, other: Finding) -> bool:
    """Whether both tell of the same state, and how far it goes was said otherwise."""
    return (
        (one.condition, one.state) == (other.condition, other.state)
        and None not in (one.extent, other.extent)
        and one.extent != other.extent
    )
