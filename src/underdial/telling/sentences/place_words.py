"""Which words of a sentence are a place on a part or a clock: "front", "top left", "right hand", "by the four".

"Back", "left", "right", "top" are common words too: each is a place only beside the words that make it so.

Never here: whose place it is.
"""

from __future__ import annotations

from underdial import spoken_numbers as numbers
from underdial.telling.names import lexicon
from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import listed

_PLACES = {
    "front": "front",
    "dial side": "front",
    "front side": "front",
    "rear": "back",
    "back": "back",
    "back side": "back",
    "backside": "back",
    "upper": "upper",
    "lower": "lower",
    "top": "top",
    "bottom": "bottom",
    "entry": "entry",
    "entrance": "entry",
    "exit": "exit",
    "entry side": "entry",
    "exit side": "exit",
    "inside": "inside",
    "outside": "outside",
    "outer end": "outer_end",
    "inner end": "inner_end",
    "outer": "outer",
    "inner": "inner",
    "tip": "tip",
    "tips": "tip",
    "middle": "middle",
    "half way": "middle",
    "halfway": "middle",
    "both ends": "both",
    "either end": "both",
    "each end": "both",
    "both sides": "both",
    "either side": "both",
    "both faces": "both",
    "either face": "both",
    "each side": "both",
    "left": "left",
    "left hand": "left",
    "left side": "left",
    "right hand": "right",
    "right side": "right",
    "right": "right",
    "below right": "bottom_right",
    "below left": "bottom_left",
    "above right": "top_right",
    "above left": "top_left",
    "boss": "boss",
    "rim": "rim",
    "root": "root",
    "one underneath": "lower",
    "one below": "lower",
    "one above": "upper",
    "one behind": "back",
    "one in front": "front",
    "in front": "front",
    "at the front": "front",
    "at the back": "back",
    "behind": "back",
    "corner": "corner",
    "splice": "splice",
    "slots": "slots",
    "slot": "slots",
    "joints": "joints",
    "far end": "far_end",
    "outside end": "outer_end",
    "inside end": "inner_end",
    "outer coils": "outer",
    "outer coil": "outer",
    "inner coils": "inner",
    "inner coil": "inner",
    "edge": "edge",
    "entry one": "entry",
    "exit one": "exit",
}
_NOT_BACK_AFTER = listed("""go going come coming came put bend bending bring get getting set push went call turn move
    hold roll straight years year ago way fight look take takes taken glued goes bent them it you him fell drop ease
    those two""")
_NOT_BACK_BEFORE = listed("in to together into again when then off on up ago")
_PARTLIKE_NEXT = listed("""hole holes pivot pivots end bush bushing side one pallet pin face cone cup jewel corner edge
    hand plate third half""")
_ON_THE_RIGHT = listed("finial column foot door hinge bellows weight pulley glass fret bellow pallet")
_FITTING_NEXT = listed("one ones size way length place thing strength hole")
_ENDS_AND_MIDDLES = listed("tip tips corner edge edges rim root boss splice joints middle")
_BEFORE_HOUR = listed("by at near round around under beside behind over of to above below")
_AFTER_HOUR = listed("oclock and is 's where to it when that which but with going running so")


def place_at(words: list[str], at: int, *, begins: bool) -> Item | None:
    """The place that begins at word `at`, if one does. `begins`: a clause begins here."""
    word = words[at]
    if word in ("left", "right"):
        if begins and _is_heading(words, at):
            return Item("place", word, at, at + 1)
        if _is_one_of_two(words, at):
            return Item("place", word, at, at + 2)
    for length in (3, 2, 1):
        phrase = " ".join(words[at : at + length])
        if len(words) - at >= length and phrase in _PLACES and _is_place(words, at, length):
            item = Item("place", _PLACES[phrase], at, at + length)
            return _with_corner(words, item)
    if word == "about":
        return _about_oclock(words, at)
    if word in _BEFORE_HOUR:
        return _at_hour(words, at)
    return None


def _is_heading(words: list[str], at: int) -> bool:
    """`left: worn`, or `right` alone behind a comma."""
    return (
        at + 1 < len(words) and (named := lexicon.longest(words, at + 1)) is not None and named.kind == "state"
    ) or (len(words) == at + 1 and at > 0)


def _is_one_of_two(words: list[str], at: int) -> bool:
    """`the left one`, but not `is the right one`."""
    return words[at + 1 : at + 2] in (["one"], ["ones"]) and not (
        at and words[at - 1] == "the" and at > 1 and words[at - 2] in ("is", "not", "'s", "are")
    )


def _is_place(words: list[str], at: int, length: int) -> bool:
    """Whether words that can name a place do so here."""
    word = words[at]
    before = words[at - 1] if at else ""
    following = words[at + length] if at + length < len(words) else ""
    if word == "behind":
        return following in ("", "also", "too") or (
            following not in ("the", "a", "that", "it", "his", "its", "us", "me") and at <= 1
        )
    if word == "in" and following in ("of",):
        return False
    if length >= 2:
        return True
    if word == "back":
        return (
            before not in _NOT_BACK_AFTER
            and following not in _NOT_BACK_BEFORE
            and not (before == "'s" and following == "")
        )
    if word == "right":
        return _is_right_side(words, at)
    if word == "left":
        return _is_left_side(words, at)
    if word == "top":
        return following not in ("of", "marks") or before in ("the",)
    if word == "bottom":
        return following != "line"
    if word in ("slot", "slots"):
        return following in ("is", "are", "'s", "not", "good", "worn") and at <= 3
    if word in _ENDS_AND_MIDDLES:
        return before in ("the", "at", "on", "its", "top", "a", "one", "front", "leading", "to", "") or word in (
            "tip",
            "tips",
            "corner",
            "joints",
        )
    return True


def _is_right_side(words: list[str], at: int) -> bool:
    """`the right`, `right hand`, not `the right size`."""
    before = words[at - 1] if at else ""
    following = words[at + 1] if at + 1 < len(words) else ""
    return (
        (at == 0 and following in _ON_THE_RIGHT)
        or (before in ("the", "top", "bottom", "back", "far") and following not in _FITTING_NEXT)
        or following in ("hand", "side")
        or (at > 0 and before == "left")
    )


def _is_left_side(words: list[str], at: int) -> bool:
    """`on the left`, `left pallet`, not `left it alone`."""
    before = words[at - 1] if at else ""
    following = words[at + 1] if at + 1 < len(words) else ""
    named = lexicon.longest(words, at + 1) if at + 1 < len(words) else None
    return (
        before in ("on", "the", "to", "its")
        or (at == 0 and named is not None and named.kind in ("part", "shared"))
        or following in _PARTLIKE_NEXT
        or (at == 0 and following in ("good", "fine", "is", "'s"))
    ) and following not in ("of", "in", "it", "alone", "over")


def _with_corner(words: list[str], item: Item) -> Item:
    """`top left`, `bottom right hand`, `back right` are one place."""
    if item.value not in ("top", "bottom", "back", "front", "upper", "lower") or item.end >= len(words):
        return item
    if words[item.end] in ("left", "right") and not (
        words[item.end] == "right" and item.end + 1 < len(words) and words[item.end + 1] in ("in", "through", "out")
    ):
        end = item.end + 1
        if end < len(words) and words[end] in ("hand", "side", "corner"):
            end += 1
        return Item("place", f"{item.value}_{words[item.end]}", item.start, end)
    return item


def _about_oclock(words: list[str], at: int) -> Item | None:
    """`about four oclock`."""
    if (
        at + 2 < len(words)
        and words[at + 2] == "oclock"
        and (spoken := numbers.read(words, at + 1)) is not None
        and _is_hour(spoken)
    ):
        return Item("place", f"at_{spoken.value:g}", at, at + 3)
    return None


def _at_hour(words: list[str], at: int) -> Item | None:
    """`by the four`, `at six oclock`, `near three`."""
    word = words[at]
    skip = at + 1
    if skip < len(words) and words[skip] == "the":
        skip += 1
    elif word not in ("at", "near", "by"):
        return None
    spoken = numbers.read(words, skip)
    if spoken is None or not _is_hour(spoken) or spoken.end != skip + 1:
        return None
    following = words[spoken.end] if spoken.end < len(words) else ""
    if (
        following
        and following not in _AFTER_HOUR
        and (lexicon.longest(words, spoken.end) is None or following == "one")
    ):
        return None
    if following in ("of", "in") or (
        word in ("of", "to", "over", "under", "round", "around")
        and following not in ("", "oclock", "and", "is", "'s", "where")
    ):
        return None
    return Item("place", f"at_{spoken.value:g}", at, spoken.end + (following == "oclock"))


def _is_hour(spoken: numbers.Spoken) -> bool:
    return spoken.whole and 1 <= spoken.value <= 12
