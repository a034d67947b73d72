"""What a person writes for a part, a state, a reading or a place, to the word of the trade's lists it stands for.

A list's own name, the name of either country and the forms it is spoken in are all taken, in capitals or not. What
is not on the list is refused with what is near it, never kept as a word that nothing can reckon with.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from functools import cache

from underdial import units
from underdial.errors import BadInput
from underdial.trade.vocabulary import components, conditions, quantities

_TRAINS = ("going", "strike", "chime", "alarm")


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
    return train if train in _TRAINS else part_named(said, field="of")


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
    return _words((one.id, one.preferred, (*one.uk, *one.us, *one.spoken)) for one in components().values())


@cache
def _states() -> Mapping[str, str]:
    return _words((one.id, one.term, (*one.synonyms, *one.spoken)) for one in conditions().values())


@cache
def _readings() -> Mapping[str, str]:
    ours = {"half_arc": ("swing", "swing each side", "amplitude"), "hole_diameter": ("hole",), "rate": ("gains",)}
    return _words((one.id, one.id, ours.get(one.id, ())) for one in quantities().values())
