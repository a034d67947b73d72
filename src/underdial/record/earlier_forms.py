"""Records as earlier programs wrote them, brought to the form of now: in a shop when it is migrated, and in an exchange
file when it is read.

They are plain maps as the codec writes them, for the records themselves would refuse some of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

# The kinds that may have to be changed, and those that are looked up for it.
KINDS_CHANGED = ("visit", "choice", "consent", "work")
_Plain = dict[str, Any]


def as_now(records: Iterable[Mapping[str, Any]]) -> list[_Plain]:
    """All plain records of one clock in the form of now, in their order; one that has it already is the same again."""
    kept = [dict(one) for one in records]
    planned = {
        (one.get("id"), work.get("line")): work
        for one in kept
        if one.get("record") == "choice"
        for work in _maps(one.get("works"))
    }
    consents = {one.get("id"): _consent(one, planned) for one in kept if one.get("record") == "consent"}
    return [consents[one.get("id")] if one.get("record") == "consent" else _one(one, consents) for one in kept]


def _one(plain: _Plain, consents: Mapping[Any, _Plain]) -> _Plain:
    match plain.get("record"):
        case "visit":
            return _visit(plain)
        case "choice":
            # Which choices stand against each other was never written: of those laid out one is taken.
            return {name: value for name, value in plain.items() if name != "excludes"}
        case "work":
            return _work(plain, consents)
    return plain


def _visit(plain: _Plain) -> _Plain:
    """A test that ended, or a change of stage, after the clock had gone home once brought it back into the shop."""
    return plain if plain.get("gone_at") is None else {**plain, "stage": "gone"}


def _consent(plain: _Plain, planned: Mapping[tuple[Any, Any], Mapping[str, Any]]) -> _Plain:
    """A line of an answer once left out the place of the work it answers."""
    lines = plain.get("lines")
    if not isinstance(lines, list):
        return plain
    choice = plain.get("choice_id")
    return {
        **plain,
        "lines": [
            _placed(line, planned.get((choice, line.get("line")), {})) if isinstance(line, dict) else line
            for line in lines
        ],
    }


def _work(plain: _Plain, consents: Mapping[Any, _Plain]) -> _Plain:
    """A work once left out its place; the line that allowed it tells."""
    lines = _maps(consents.get(plain.get("consent_id"), {}).get("lines"))
    return _placed(plain, next((line for line in lines if line.get("line") == plain.get("consent_line")), {}))


def _placed(plain: _Plain, known: Mapping[str, Any]) -> _Plain:
    place = known.get("place")
    return plain if place is None or plain.get("place") is not None else {**plain, "place": place}


def _maps(value: Any) -> list[Mapping[str, Any]]:
    return [one for one in value if isinstance(one, dict)] if isinstance(value, list) else []
