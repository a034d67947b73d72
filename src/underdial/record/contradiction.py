"""Findings that cannot both be so: one part in one place, said to be worn and to be in good order.

Nothing is decided here: which of the two holds is for whoever looks again (where a later look-over said otherwise,
`looked_over` says which holds). What an owner tells and what earlier hands
did is set against nothing, and neither is a finding of a later round of work: it was so then.

Limits: two places are one when they are the same or one of them is both or all; other contradictions of sense (too
deep and too shallow) are not looked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from underdial.record.finding import Finding, is_fault
from underdial.trade.vocabulary import conditions

# A part that is one of a pair or set -> the set, and its place there. Source: plain meaning of the names.
_ONE_OF = {
    "entry_pallet": ("pallets", "entry"),
    "exit_pallet": ("pallets", "exit"),
    "front_plate": ("plates", "front"),
    "back_plate": ("plates", "back"),
    "hour_hand": ("hands", "hour"),
    "minute_hand": ("hands", "minute"),
}
_SETS = frozenset(whole for whole, _ in _ONE_OF.values())
EVERY = frozenset({"both", "all"})
_GOOD = "good"
# A good part may have been mended, be dirty or look worn.
_BESIDE_GOOD = frozenset({"history", "dirt", "finish", "safety", "status"})


def contradictions(findings: Iterable[Finding]) -> Mapping[str, tuple[Finding, ...]]:
    """Each finding's id with the others that do not go with it; findings that stand against none are left out."""
    told = [
        one for one in findings if one.standing != "rejected" and one.state != "not_examined" and one.who == "repairer"
    ]
    by_part: dict[tuple[str, str, str | None], list[Finding]] = {}
    for one in told:
        by_part.setdefault((*part_of(one), one.round_id), []).append(one)
    out: dict[str, tuple[Finding, ...]] = {}
    for group in by_part.values():
        for one in group:
            against = tuple(other for other in group if other is not one and goes_against(one, other))
            if against:
                out[one.id] = against
    return out


def part_of(one: Finding) -> tuple[str, str]:
    """The part a finding tells of, one of a set as the set, and what that belongs to."""
    return _where(one)[0], (one.of or "").removeprefix("going.")


def place_of(one: Finding) -> str | None:
    """The place a finding tells of; of one of a set which of it, of a set without a place all of it."""
    return _where(one)[1]


def same_place(one: Finding, other: Finding) -> bool:
    """Whether two findings of one part can tell of the same place."""
    first, second = place_of(one), place_of(other)
    return first == second or bool({first, second} & EVERY)


def goes_against(one: Finding, other: Finding) -> bool:
    """Whether two findings of one part cannot both be so."""
    if not same_place(one, other):
        return False
    if one.condition == other.condition:
        return one.state != other.state
    return _good_against_fault(one, other) or _good_against_fault(other, one)


def _good_against_fault(good: Finding, fault: Finding) -> bool:
    if good.condition != _GOOD or good.state != "present" or not is_fault(fault):
        return False
    kind = conditions()[fault.condition].kind if fault.condition in conditions() else "status"
    return kind not in _BESIDE_GOOD and fault.significance not in ("cosmetic", "none")


def _where(one: Finding) -> tuple[str, str | None]:
    """The part and its place; one of a set as the set and its place there, a set without a place as all of it."""
    if one.component in _ONE_OF:
        return _ONE_OF[one.component]
    if one.component in _SETS and one.place is None:
        return one.component, "all"
    return one.component, one.place
