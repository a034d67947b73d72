"""What a look-over did not reach, against the list of parts of that kind of clock.

Three things are told apart where they were said: not looked at, could not be reached, not tested. What nobody
spoke of at all is listed beside them, in groups and short: a group of which nothing was spoken is named as one.

Never here: a judgement on the clock.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Protocol

from underdial.telling.heard import NotExamined
from underdial.trade.families import traits_of

_WHY = {"not_accessible": "not_reached", "not_tested": "not_tested"}

# Group, the parts that count for it, and the traits one of which the clock must have (none: every clock).
# Source: common practice of a first inspection; the families' traits.
_LISTS: tuple[tuple[str, str, frozenset[str]], ...] = (
    ("case", "case glass dial hands", frozenset()),
    ("seat board", "seat_board", frozenset(("longcase",))),
    ("wall fixing", "wall_fixing", frozenset(("wall_hung",))),
    ("mainspring and barrel", "mainspring barrel", frozenset(("going_barrel", "fusee"))),
    ("mainspring", "mainspring", frozenset(("open_spring",))),
    ("fusee and chain", "fusee fusee_chain", frozenset(("fusee",))),
    ("weights and lines", "weight gut_line pulley", frozenset(("weight",))),
    ("winding", "click click_spring ratchet_wheel", frozenset(("going_barrel", "open_spring", "fusee", "weight"))),
    ("going train", "great_wheel centre_wheel third_wheel escape_wheel", frozenset()),
    ("plates", "plates", frozenset()),
    ("motion work", "cannon_pinion minute_wheel hour_wheel", frozenset()),
    (
        "pallets",
        "pallets",
        frozenset(("recoil", "deadbeat", "brocot", "strip_pallets", "pin_pallet", "lever", "pinwheel")),
    ),
    ("cylinder", "cylinder", frozenset(("cylinder",))),
    ("crutch and suspension", "crutch suspension_spring pendulum", frozenset(("pendulum",))),
    ("torsion pendulum", "torsion_strip torsion_fork guide_cup", frozenset(("torsion",))),
    ("balance", "balance hairspring regulator", frozenset(("balance",))),
    ("balance pivots", "cone_pivot cup_bearing", frozenset(("cone_pivot",))),
    ("jewels", "jewel end_stone", frozenset(("jewelled",))),
    ("strike", "hammer fly warning", frozenset(("rack", "count_wheel"))),
    ("rack and snail", "rack rack_tail snail gathering_pallet", frozenset(("rack",))),
    ("count wheel", "count_wheel", frozenset(("count_wheel",))),
    ("chime", "chime_barrel chime_rod hammer", frozenset(("chime",))),
    ("alarm", "alarm", frozenset(("alarm",))),
    ("bird and bellows", "bird bellows", frozenset(("cuckoo",))),
)
_ALSO = {
    "case": "bezel base moulding door veneer hood trunk backboard foot handle finial",
    "glass": "dome tablet",
    "dial": "chapter_ring numerals dial_foot",
    "hands": "minute_hand hour_hand seconds_hand",
    "mainspring": "open_spring",
    "plates": "front_plate back_plate pillar",
    "pallets": "anchor entry_pallet exit_pallet pin_pallet pallet_stone lever",
    "gut_line": "rope weight_chain",
    "pulley": "sprocket",
    "pendulum": "bob pendulum_rod rating_nut",
    "suspension_spring": "silk_thread",
    "regulator": "regulator_pins",
    "hairspring": "hairspring_stud hairspring_collet overcoil",
    "jewel": "end_stone",
    "barrel": "barrel_cover barrel_arbor barrel_hook",
    "weight": "weight_shell",
    "hammer": "hammer_head hammer_spring hammer_tip",
    "fusee_chain": "chain_hook gut_line",
    "centre_wheel": "second_wheel intermediate_wheel",
    "cannon_pinion": "motion_work",
    "minute_wheel": "motion_work",
    "hour_wheel": "motion_work",
    "bellows": "whistle",
    "chime_rod": "gong",
    "cone_pivot": "balance_staff",
    "torsion_strip": "suspension_spring",
    "crutch": "crutch_pin",
    "ratchet_wheel": "winding_square",
    "great_wheel": "barrel",
    "balance": "balance_staff",
}


class Spoken(Protocol):
    """Anything that names a part, whose and where it is, and the state it was found in."""

    @property
    def component(self) -> str: ...
    @property
    def of(self) -> str | None: ...
    @property
    def place(self) -> str | None: ...
    @property
    def condition(self) -> str: ...
    @property
    def state(self) -> str: ...


def said_not_examined(findings: Iterable[Spoken]) -> list[NotExamined]:
    """The parts of which the speaker said that they were not looked at, not reached or not tested."""
    found = {
        NotExamined(f.component, f.of, _WHY.get(f.condition, "not_looked_at"), f.place): None
        for f in findings
        if f.state == "not_examined"
    }
    return list(found)


def not_mentioned(
    findings: Iterable[Spoken], *, family: str, traits: Collection[str] = ()
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Groups of the family's list with the parts of which nothing was said.

    A group that was spoken of in no word comes with all its parts. Raises NotFound for an unknown family.
    """
    carried = {*traits_of(family), *traits}
    spoken: set[str] = set()
    for finding in findings:
        spoken.add(finding.component)
        if finding.of is not None:
            spoken.add(finding.of.rsplit(".", 1)[-1])
    groups: list[tuple[str, tuple[str, ...]]] = []
    for name, parts, needed in _LISTS:
        if needed and not needed & carried:
            continue
        missed = tuple(part for part in parts.split() if not ({part, *_ALSO.get(part, "").split()} & spoken))
        if missed:
            groups.append((name, missed))
    return tuple(groups)
