"""The place on a part that a noun phrase names: an end, a side, an hour, both, all; and whether that part can have it.

Never here: which part is meant (`subjects`).
"""

from __future__ import annotations

from underdial.telling.names import places_of_parts
from underdial.telling.sentences.noun_phrases import Phrase

OPPOSITE = {
    "front": "back",
    "back": "front",
    "entry": "exit",
    "exit": "entry",
    "upper": "lower",
    "lower": "upper",
    "top": "bottom",
    "bottom": "top",
    "left": "right",
    "right": "left",
    "inner": "outer",
    "outer": "inner",
    "inside": "outside",
    "outside": "inside",
    "going": "strike",
    "strike": "going",
}
_OF_CORNERS = {"top", "bottom", "left", "right", "front", "back"}
_END_OF_PIVOT = {"top": "upper", "bottom": "lower"}


def place_of(phrase: Phrase, all_of: str | None = None) -> str | None:
    """The place a noun phrase names, if it names one; else `all_of`, else its word of quantity."""
    named = list(dict.fromkeys(item.value for item in phrase.items if item.kind == "place"))
    if not named:
        return all_of or (phrase.quant if phrase.quant != "none" else None)
    if len(named) >= 2 and OPPOSITE.get(named[0]) == named[1]:
        return "both"
    at_hour = next((place for place in named if place.startswith("at_")), None)
    if at_hour is not None:
        return at_hour
    return "_".join(named[:2]) if len(named) >= 2 and set(named[:2]) <= _OF_CORNERS else named[0]


def counted(part: str, place: str | None) -> str | None:
    """ "Both" and "all" are places of parts that have ends or stand in rows, not of screws and hands."""
    if (place == "both" and part in places_of_parts.NOT_BOTH) or (place == "all" and part in places_of_parts.NOT_ALL):
        return None
    return place


def fitting(part: str, place: str | None) -> str | None:
    """The place as it is written for this part; None where the part has no such place."""
    place = counted(part, place)
    if place == "tip" and part in ("rack_hook", "count_hook", "gathering_pallet", "drop_lever"):
        return None
    if place == "rim" and part == "balance":
        return None
    if part in ("cone_pivot", "cup_bearing", "pivot", "jewel", "pivot_hole", "end_stone"):
        return _END_OF_PIVOT.get(place or "", place)
    return place
