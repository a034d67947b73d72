"""What was said and does not enter the sums, named as the repairer said it: which finding, which reading, which words.

The answer names it by its place in the case file, which is for programs; this makes `said` of it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from underdial.trade.phrases import clause, part_words
from underdial.trade.vocabulary import components, conditions

_ROW = re.compile(r"^(findings|measurements|readings|trials)\[(\d+)\]\.?(.*)$")


def with_said(rows: Sequence[Mapping[str, Any]], case: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The unused of an answer, each with `said`: what it is in words, without a stop."""
    return [{**row, "said": said_of(str(row["what"]), case)} for row in rows]


def said_of(what: str, case: Mapping[str, Any]) -> str:
    """`findings[0] door cracked` as `The case door is cracked`; what is no row of the case as it stands, without its
    signs.
    """
    match = _ROW.match(what)
    if match is not None:
        rows, number = case.get(match[1]) or (), int(match[2])
        # Readings stand behind the measurements of a case, and an old case has them alone.
        if match[1] == "measurements" and number >= len(rows):
            rows = case.get("readings") or ()
        if number < len(rows):
            return _of_finding(rows[number], match[3]) if match[1] == "findings" else _of_reading(rows[number])
    kind, _, rest = what.partition(" ")
    if kind == "last_done":
        return f"What was done before: “{rest}”"
    if kind == "trials":
        return f"The trial of a good {part_words(rest)}"
    if what == "complaint.words":
        return "The owner’s own words"
    if what.startswith("complaint."):
        name, _, value = what.removeprefix("complaint.").partition("=")
        return f"What the owner says, {_plain(name)}" + (f": {_plain(value)}" if value else "")
    return f"“{_plain(what)}” in the case"


def _of_finding(row: Mapping[str, Any], key: str) -> str:
    component, condition = str(row.get("component")), str(row.get("condition"))
    name, _, value = key.partition("=")
    if component not in components() or condition not in conditions() or name == "of":
        of = f" of the {_plain(str(row['of']))}" if row.get("of") else ""
        return f"The finding “{_plain(component)}{of}: {_plain(condition)}”"
    absent = row.get("state") == "absent"
    said = clause(component, condition, of=row.get("of"), place=row.get("place"), absent=absent)
    if name == "extent":
        return f"{said}: its extent, “{value}”"
    if name == "unit":
        return f"{said}: its size, {row.get('value')} {value}"
    return said


def _of_reading(row: Mapping[str, Any]) -> str:
    name = _plain(str(row.get("quantity")))
    of = f" of the {_plain(str(row['of']).replace(':', ' of the '))}" if row.get("of") else ""
    value = row.get("value")
    shown = f"{value:g}" if isinstance(value, int | float) else str(value)
    return f"The reading {name}{of}, {shown} {row.get('unit') or ''}".rstrip()


def _plain(word: str) -> str:
    return word.replace("_", " ").replace(".", " ")
