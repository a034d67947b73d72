"""Faults by the words a repairer would use, where part and condition alone would not say which fault is meant.

`The mainspring may be broken at its inner eye` against `in the body`: both are a broken mainspring. Each is kept as
what may be so; what is so is made from it.

Limits: English; faults that are not listed are said by part and condition (`phrases`).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from underdial.trade.faults import faults, read_faults
from underdial.trade.files import DATA, Strict, broken, keyed, read_record
from underdial.trade.phrases import clause

_MAY = re.compile(r"^(?P<who>.+?) may (?P<un>not )?(?P<verb>\w+)(?P<rest>.*)$")
_SINGULAR = {"be": "is", "have": "has", "catch": "catches", "touch": "touches", "carry": "carries"}
_SINGULAR_SUBJECTS = ("glass", "brass")


@dataclass(frozen=True, slots=True)
class FaultName(Strict):
    """A fault as something that may be so: a clause with `may` in it, without its stop."""

    fault: str
    may: str


def fault_words(fault: str, *, may: bool) -> str:
    """The fault as a clause without its stop, as possible or as found."""
    named = _names().get(fault)
    if named is None:
        known = faults()[fault]
        return clause(known.component, known.condition, may=may)
    return named if may else _found(named)


def read_fault_names(folder: Path) -> Mapping[str, str]:
    """The clauses of a data folder by fault id; BadInput, naming file and key, when one is broken."""
    path = folder / "fault_names.json"
    known = read_faults(folder)
    rows = keyed(path, read_record(path, tuple[FaultName, ...]), lambda one: one.fault)
    for fault, one in rows.items():
        if fault not in known:
            raise broken(path, f"[{fault}].fault", fault, "a fault that is known")
        if _MAY.match(one.may) is None or one.may.endswith("."):
            raise broken(path, f"[{fault}].may", one.may, "a clause with `may`, without its stop")
    return MappingProxyType({fault: one.may for fault, one in rows.items()})


@cache
def _names() -> Mapping[str, str]:
    return read_fault_names(DATA)


def _found(may: str) -> str:
    """`The hands may catch each other` as `The hands catch each other`."""
    match = _MAY.match(may)
    assert match is not None
    head = re.split(r" of | on | at | beside | or ", match["who"])[0]
    many = head.endswith(("s", "teeth")) and not head.endswith(_SINGULAR_SUBJECTS)
    verb = match["verb"]
    if match["un"] and verb not in ("be", "have"):
        return f"{match['who']} {'do' if many else 'does'} not {verb}{match['rest']}"
    said = {"be": "are", "have": "have"}.get(verb, verb) if many else _SINGULAR.get(verb, f"{verb}s")
    return f"{match['who']} {said}{' not' if match['un'] else ''}{match['rest']}"
