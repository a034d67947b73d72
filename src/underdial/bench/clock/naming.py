"""What a person writes for a part, a state, a reading or a place, to the word of the trade's lists it stands for.

A list's own name, the name of either country and the forms it is spoken in are all taken, in capitals or not; so are
the names by which the reader of look-overs knows a part or a state. What is not on the list is refused with what is
near it, never kept as a word that nothing can reckon with: a finding keeps it as a note (`finding_named`).
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from underdial import units
from underdial.errors import BadInput
from underdial.record.finding import NOTED
from underdial.telling.names.lexicon import longest, part_names, shared_words
from underdial.telling.names.states import state_phrases
from underdial.telling.speech.words import normal
from underdial.trade.vocabulary import components, conditions, quantities

_TRAINS = ("going", "strike", "chime", "alarm")
# What a note is of when no part of the lists is named.
WHOLE = "movement"
_SMALL = frozenset({"'s", "a", "an", "the", "of", "on", "in", "its", "for"})
_PLACES = frozenset({"front", "back", "both", "upper", "lower", "left", "right", "top", "bottom", "inner", "outer"})
_OWNED = frozenset(
    {"pivot", "pivot_hole", "bush", "pinion", "leaf", "tooth", "arbor", "wheel_collet", "oil_sink", "pivot_shoulder"}
)
_ORDINAL_ARBORS = {
    "great": "great_wheel",
    "first": "great_wheel",
    "second": "second_wheel",
    "third": "third_wheel",
    "fourth": "fourth_wheel",
    "fifth": "fifth_wheel",
    "centre": "centre_wheel",
    "center": "centre_wheel",
    "escape": "escape_wheel",
    "contrate": "contrate_wheel",
    "intermediate": "intermediate_wheel",
}


def part_named(text: str, *, field: str = "part") -> str:
    """The part's id: `pivot hole`, `Pivot holes` and `pivot_hole` are one part."""
    return _found(text, _parts(), field, "a part of a clock, such as pivot hole")


def state_named(text: str) -> str:
    """The id of the state a part is in."""
    return _found(text, _states(), "state", "a state of a part, such as worn")


def owner_part_named(text: str) -> str | None:
    """What a part belongs to: a train, a wheel, or both (`strike great wheel`); None when nothing is written."""
    said = _plain(text.replace(".", " "))
    if not said or said in _TRAINS:
        return said or None
    train, _, rest = said.partition(" ")
    if train in _TRAINS and rest not in ("", "train", "side"):
        return f"{train}.{part_named(rest, field='of')}"
    if train in _TRAINS:
        return train
    # The third arbor is that of the third wheel.
    ordinal, _, behind = said.partition(" ")
    if ordinal in _ORDINAL_ARBORS and behind in ("arbor", "arbors"):
        return _ORDINAL_ARBORS[ordinal]
    return part_named(said, field="of")


@dataclass(frozen=True, slots=True)
class Named:
    """What was written of a part: its id, what it belongs to and its place where the words say them too."""

    component: str
    of: str | None = None
    place: str | None = None


def part_in_words(text: str) -> Named | None:
    """The part that some words name, with what it belongs to: `fusee line` is the line of the fusee; None where words
    are left that name nothing.
    """
    words = [one for one in normal(text).split() if one not in _SMALL]
    at, parts, place = 0, [], None
    while at < len(words):
        ordinal = _ORDINAL_ARBORS.get(words[at])
        named = longest(words, at)
        if ordinal and words[at + 1 : at + 2] in (["arbor"], ["arbors"]):
            parts.append(ordinal)
            at += 2
        elif named is not None and named.kind in ("part", "shared"):
            parts.append(named.value if named.kind == "part" else shared_words()[named.value][-1][0])
            at += named.length
        elif words[at] in _PLACES and place is None:
            place = words[at]
            at += 1
        else:
            return None
    if len(parts) not in (1, 2) or any(one not in components() for one in parts):
        return None
    if len(parts) == 1:
        return (
            Named("arbor", parts[0], place) if "arbor" in words or "arbors" in words else Named(parts[0], None, place)
        )
    # A pivot of a wheel is the pivot, whichever is said first; else the last noun is what is spoken of.
    head, owner = (parts[0], parts[1]) if parts[0] in _OWNED and parts[1] not in _OWNED else (parts[1], parts[0])
    return Named(head, owner, place)


def finding_named(part: str, state: str, of: str, place: str, note: str) -> tuple[dict[str, Any], str]:
    """The fields of a finding as a person wrote them, and a sentence on what no list has, which becomes its note.

    Raises BadInput where neither a part nor a note is written, or a part with neither a state nor a note.
    """
    state = "" if _plain(state) == NOTED else state
    if not note.strip() and not part.strip():
        part_named(part)
    if not note.strip() and not state.strip():
        state_named(state)
    found, condition = _or_none(part_named, part), _or_none(state_named, state)
    named = Named(found) if found else part_in_words(part)
    owner, no_owner = _owner_or_words(of)
    unknown = [one.strip() for one in (part if named is None else "", no_owner, state if condition is None else "")]
    fields: dict[str, Any] = {
        "of": owner or (named.of if named is not None else None),
        "place": place_named(place) or (named.place if named is not None else None),
    }
    if named is not None and condition is not None:
        fields |= {"component": named.component, "condition": condition}
        left = [no_owner]
    else:
        # Nothing that reckons is said of a part that no list has, or in a word that no list has.
        fields |= {"component": named.component if named is not None else WHOLE, "condition": NOTED}
        left = [part if named is None else "", no_owner, state]
    said = ", ".join(one.strip() for one in left if one.strip())
    fields["note"] = "; ".join(one for one in (said, note.strip()) if one) or None
    return fields, _kept_as_note([one for one in unknown if one])


def _owner_or_words(of: str) -> tuple[str | None, str]:
    """What a part belongs to; or the words that name nothing."""
    try:
        return owner_part_named(of), ""
    except BadInput:
        named = part_in_words(of)
        return (named.of or named.component, "") if named is not None else (None, of)


def _kept_as_note(unknown: list[str]) -> str:
    if not unknown:
        return ""
    near = [
        known.replace("_", " ")
        for one in unknown
        for known in difflib.get_close_matches(_plain(one), [*_parts(), *_states()], n=2, cutoff=0.75)
    ]
    words = " and ".join(f"“{one}”" for one in unknown)
    hint = f" Near it: {', '.join(dict.fromkeys(near))}; put it right below if you meant that." if near else ""
    return f"No list has {words}; it is kept as a note, and nothing reckons with it.{hint}"


def measured_part_named(text: str) -> tuple[str | None, str | None]:
    """What a reading is of, and its place: `third arbor front pivot` is the front pivot of the third wheel."""
    try:
        return owner_part_named(text), None
    except BadInput:
        named = part_in_words(text)
        if named is None:
            raise
        return (f"{named.component}:{named.of}" if named.of else named.component), named.place


def handed_over_named(text: str) -> tuple[str, str | None]:
    """A loose part by its id, and its words as they were written where they are not the list's own; `other` for what no
    list has, such as a tin of screws.
    """
    said = " ".join(text.split())
    if not said:
        part_named(said)
    known = _or_none(part_named, said)
    named = Named(known) if known else part_in_words(said)
    component = named.component if named is not None else "other"
    return component, None if _plain(said) in (_plain(component), _plain(as_written(component))) else said


def _or_none(name: Callable[[str], str], text: str) -> str | None:
    try:
        return name(text)
    except BadInput:
        return None


def quantity_named(text: str, unit: str) -> tuple[str, str]:
    """The quantity's id, and its unit when that is one it is read in."""
    name = _found(text, _readings(), "what", "something that is measured, such as half arc")
    kind, unit = quantities()[name], unit.strip()
    if kind.units and unit not in kind.units:
        unit = next((one for one in kind.units if one == _spelt(unit)), unit)
    if kind.units and unit not in kind.units:
        said = unit or "nothing"
        raise BadInput(
            "unit",
            said,
            ", ".join(kind.units),
            f"unit: {said} will not do for this reading; allowed: {', '.join(kind.units)}.",
        )
    return name, unit


def _spelt(unit: str) -> str:
    """A unit as the list has it: `inches` is `in`, `sec/day` `s/d`; as written where it is none."""
    return units.unit_said(f"1 {unit}") or unit


def readings_to_pick() -> list[str]:
    """The names of what can be measured, for a list to pick from."""
    return sorted(one.replace("_", " ") for one in quantities())


def place_named(text: str) -> str | None:
    """A place or position as one word: `12 up`, `12_up`; None when nothing is written."""
    return re.sub(r"[^a-z0-9]+", "_", text.casefold()).strip("_") or None


def as_written(word: str | None) -> str:
    """How a list's word is shown for a person to write over: `strike great wheel` for `strike.great_wheel`."""
    if not word:
        return ""
    return " ".join(_shown(one) for one in word.split("."))


def _shown(word: str) -> str:
    name = (
        components()[word].preferred
        if word in components()
        else conditions()[word].term
        if word in conditions()
        else word
    )
    # A name that two rows share is shown as its id, so that what is shown is always read back as itself.
    name = name.split(" (")[0]
    return name if word in (_parts().get(_plain(name)), _states().get(_plain(name))) else word.replace("_", " ")


def _found(text: str, known: Mapping[str, str], field: str, allowed: str) -> str:
    said = _plain(text)
    if not said:
        raise BadInput(field, "nothing", allowed, f"{field}: nothing is written there; write {allowed}.")
    singular = said.removesuffix("s")
    if said in known or singular in known:
        return known.get(said) or known[singular]
    near = list(
        dict.fromkeys(known[one].replace("_", " ") for one in difflib.get_close_matches(said, known, n=5, cutoff=0.6))
    )
    raise BadInput(
        field,
        text.strip(),
        allowed,
        f"{field}: {text.strip()} is not on the list; {'near it: ' + ', '.join(near) if near else 'write ' + allowed}.",
    )


def _plain(text: str) -> str:
    return " ".join(text.replace("_", " ").casefold().split(" (")[0].split()).removeprefix("the ")


def _words(rows: Iterable[tuple[str, str, Iterable[str]]]) -> dict[str, str]:
    """Every way to say a word; a row's id wins over a name, and a name over a form that two rows share."""
    ids: dict[str, str] = {}
    names: dict[str, str] = {}
    spoken: dict[str, str] = {}
    for word, name, forms in rows:
        ids[_plain(word)] = word
        names.setdefault(_plain(name), word)
        for form in forms:
            spoken.setdefault(_plain(form), word)
    return {**spoken, **names, **ids}


@cache
def _parts() -> Mapping[str, str]:
    return _words(
        (one.id, one.preferred, (*one.uk, *one.us, *one.spoken, *part_names().get(one.id, ())))
        for one in components().values()
    )


@cache
def _states() -> Mapping[str, str]:
    listed = _words((one.id, one.term, (*one.synonyms, *one.spoken)) for one in conditions().values())
    # How a state is said of any part whatever; what is said of some parts only would be settled by the part.
    for phrase, states in state_phrases().items():
        if len(states) == 1 and states[0].parts is None and states[0].present:
            listed.setdefault(_plain(phrase), states[0].condition)
    return listed


@cache
def _readings() -> Mapping[str, str]:
    ours = {
        "half_arc": ("swing", "swing each side", "amplitude", "arc", "arc each side", "semi arc"),
        "hole_diameter": ("hole",),
        "rate": ("gains",),
    }
    return _words((one.id, one.id, ours.get(one.id, ())) for one in quantities().values())
