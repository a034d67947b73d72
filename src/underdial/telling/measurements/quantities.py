"""What was measured, and of which part: from the unit, the words around it and the part in focus.

Degrees are an arc, but for lock and drop; turns are of a spring, of the warning or of the set-up; a length is what the
words around it call it, else what is usually measured of the part.

Never here: whether a number was measured; what its value means.
"""

from __future__ import annotations

import re

from underdial.telling.measurements.spoken_units import Amount, of_one_kind
from underdial.telling.parts_meant.focus import Target

_LENGTH_WORDS = (
    ("thickness", r"thick|thickness|thicker|gauge strip"),
    ("height", r"\bhigh\b|height|tall"),
    ("flat_diameter", r"\bflat\b.*\bacross\b|flat (?:is|about)"),
    ("runout", r"runout|run out|runs out|out of true|out of flat|out of round|in the round|in the flat|true in"),
    ("end_shake", r"endshake|end shake|end play|end float"),
    ("spread", r"opens?|opened|spread|sprung out"),
    ("depth", r"\bdeep\b|depth|groove|grooves|rut"),
    ("width", r"\bwide\b|width"),
    ("length", r"\blong\b|length|along|short\b|strip about|inches here"),
    ("gap", r"\bgap\b|off the (?:gong|bell|rod)|clear(?:ance)?"),
    ("side_shake", r"slop|shake|\bjump|rock|moves?\b|daylight"),
    ("lost_motion", r"lost motion|play in the"),
    ("play", r"\bplay\b"),
    ("wear", r"\bwear\b|\bworn\b|wore|oval|up and to"),
    ("distance", r"\bfrom\b|\bdown\b|off to|out by|to the (?:left|right)"),
)
_OF_QUANTITY = {
    "pivot": "diameter",
    "pivot_hole": "hole_diameter",
    "suspension_spring": "thickness",
    "torsion_strip": "thickness",
    "mainspring": "thickness",
    "hairspring": "thickness",
    "cone_pivot": "flat_diameter",
    "arbor": "end_shake",
    "crutch": "lost_motion",
    "pallets": "depth",
    "entry_pallet": "depth",
    "exit_pallet": "depth",
    "plates": "thickness",
    "gut_line": "diameter",
    "rope": "diameter",
}
# A smaller size of a hole said to be worn is how far it is worn. Common practice: the holes of a platform's train are
# the smallest, three tenths of a millimetre.
_LEAST_HOLE = {"mm": 0.3, "thou": 12.0}
_WORN = re.compile(r"\b(?:worn|wear|oval|ovalled|egg\w*|elongated)\b")
_PART_OF_ONE = re.compile(r"\b(?:half|quarters?) (?:a|of a) (?:mil|millimetre)\b")
_OF_MOVEMENT = {
    "ms": ("beat_error", "movement"),
    "s/d": ("rate", "movement"),
    "/h": ("beat_rate", "movement"),
    "/min": ("beats_per_minute", "movement"),
}


def quantity_of(
    one: Amount, clause: str, text: str, target: Target | None, *, oscillator: str
) -> tuple[str, str | None]:
    """The quantity and the part it is of. `clause` stands in the sentence `text`; `oscillator` swings in this clock."""
    part = target.component if target else None
    of = f"{target.component}:{target.of}" if target is not None and target.of is not None else part
    if one.unit == "deg":
        return _angle(one, clause, part if part in ("pendulum", "balance") else oscillator)
    if one.unit in _OF_MOVEMENT:
        return _OF_MOVEMENT[one.unit]
    if one.unit == "turns":
        return _turns(clause, text, part, of)
    if one.unit == "teeth":
        return "tooth_count", part if part in ("escape_wheel", "great_wheel", "rack") else target.of if target else part
    if one.unit == "leaves":
        return "leaf_count", f"pinion:{target.of}" if target and target.of else "pinion"
    if of_one_kind(one.unit, "g"):
        return "mass", of or "weight"
    if one.unit == "strands":
        return "broken_strands", of
    return _length(clause, part, worn_by=_is_small(one, clause) and _WORN.search(text) is not None), of


def _is_small(one: Amount, clause: str) -> bool:
    """Less than the holes of a train are wide, or a part of a millimetre that nobody gauges a hole with."""
    parted = one.unit == "mm" and one.value < 1.0 and _PART_OF_ONE.search(clause) is not None
    return parted or one.value < _LEAST_HOLE.get(one.unit, 0.0)


def _angle(one: Amount, clause: str, swinging: str | None) -> tuple[str, str | None]:
    if re.search(r"\block", clause):
        return "lock", "pallets"
    if re.search(r"\bdrop", clause) and one.value <= 12:
        return "drop", "pallets"
    total = re.search(r"\b(?:in all|all told|total|altogether|overall)\b", clause) and not re.search(
        r"\beach (?:way|side)\b", clause
    )
    return "total_arc" if total else "half_arc", swinging


def _turns(clause: str, text: str, part: str | None, of: str | None) -> tuple[str, str | None]:
    """Turns of the warning, of the set-up, else of a mainspring, with its train where one is named."""
    if part == "warning" or "warning" in text:
        return "turns", of if part == "warning" else "warning"
    if part == "set_up" or "set up" in text:
        return "set_up_turns", of if part == "set_up" else "set_up"
    side = re.search(r"\b(going|strike|chime|time)\b", clause) or re.search(r"\b(going|strike|chime)\b", of or "")
    return "turns", "mainspring" + (f":{'going' if side[1] == 'time' else side[1]}" if side else "")


def _length(clause: str, part: str | None, *, worn_by: bool) -> str:
    """Which length: as the words call it, else that of a hole or a pivot named, else what is measured of the part.

    `worn_by`: a size so small, of what is said to be worn, is how far a hole is worn.
    """
    if worn_by and part == "pivot_hole":
        return "wear"
    for quantity, pattern in _LENGTH_WORDS:
        if re.search(pattern, clause) and not (quantity == "spread" and part not in ("mainspring", "open_spring")):
            return quantity
    if re.search(r"\bhole\b|\btakes\b", clause):
        return "hole_diameter"
    if re.search(r"\bpivot\b", clause):
        return "diameter"
    return _OF_QUANTITY.get(part or "", "length")
