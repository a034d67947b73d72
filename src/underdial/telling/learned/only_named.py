"""Wheels and ends that nobody named: what the learned reading takes from habit is taken away.

In a whole look-over the network seldom names what was not said before. Of a few words ("the other pivot is fine") it
names the wheel and end that mostly stood there in what it was taught.

Never here: which wheel is meant of several that were named.
"""

from __future__ import annotations

import re
from dataclasses import replace

from underdial.telling.learned.heads import Reading
from underdial.telling.learned.sayings import Said, Saying

# How each may be named, by the beginning of a word. Other wheels have too many names to be told so.
_WHEELS = {
    "great_wheel": r"great|main|first|1st|barrel|big|fusee",
    "second_wheel": r"second|2nd|(?:wheel|arbor|number) (?:2|two)\b",
    "centre_wheel": r"cent",
    "third_wheel": r"third|3rd|(?:wheel|arbor|number) (?:3|three)\b",
    "fourth_wheel": r"fo(?:u)?rth|4th|(?:wheel|arbor|number) (?:4|four)\b",
    "fifth_wheel": r"fifth|5th|(?:wheel|arbor|number) (?:5|five)\b",
    "escape_wheel": r"e?scape|pallet|anchor|verge",
    "crown_wheel": r"crown|contrate",
    "contrate_wheel": r"crown|contrate",
    "ratchet_wheel": r"ratchet|click",
    "warning_wheel": r"warn",
    "balance_staff": r"balance|staff|cock",
}
# Where an end is told of, one of the two, or what stands for it, is named somewhere.
_ENDS = (
    (r"front|dial|face|back|rear|behind|ends?\b|sides?\b", ("front", "back")),
    (r"top|bottom|upper|lower|up\b|down|ends?\b|sides?\b", ("upper", "lower", "top", "bottom")),
    (r"left|right|sides?\b|hand\b", ("left", "right")),
    (r"entr|exit|receiv|discharg|ends?\b|sides?\b", ("entry", "exit")),
    (
        r"inn|insi|out|end|eye|hook|collet|stud|coil|loop|tail",
        ("inner_end", "outer_end", "inner", "outer", "inside", "outside"),
    ),
)


def only_named(said: Said, text: str) -> Said:
    """What was said, without the wheels and ends that stand nowhere in `text`, the words of all of it."""
    unsaid_wheels = frozenset(wheel for wheel, names in _WHEELS.items() if not _is_named(names, text))
    unsaid_ends = frozenset(end for names, ends in _ENDS if not _is_named(names, text) for end in ends)
    if not unsaid_wheels and not unsaid_ends:
        return said
    return Said(
        [_of_saying(one, unsaid_wheels, unsaid_ends) for one in said.sayings],
        [replace(one, of=None) if _wheel(one.of) in unsaid_wheels else one for one in said.numbers],
    )


def _is_named(names: str, text: str) -> bool:
    return re.search(rf"\b(?:{names})", text) is not None


def _of_saying(one: Saying, wheels: frozenset[str], ends: frozenset[str]) -> Saying:
    return replace(
        one,
        readings=tuple(_of_reading(reading, wheels, ends) for reading in one.readings),
        listed=tuple(replace(part, reading=_of_reading(part.reading, wheels, ends)) for part in one.listed),
    )


def _of_reading(reading: Reading, wheels: frozenset[str], ends: frozenset[str]) -> Reading:
    return replace(
        reading,
        of=None if _wheel(reading.of) in wheels else reading.of,
        place=None if reading.place in ends else reading.place,
    )


def _wheel(of: str | None) -> str:
    return (of or "").split(".")[-1]
