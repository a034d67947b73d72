"""Writes docs/reference/record.md from the records themselves: every kind, every field, and the rules on them.

How: `.venv/bin/python scripts/make_record_reference.py` writes the page; `--print` shows it. When: a field, a list of
allowed words or a rule of `underdial.record` has changed (a test sees when the page is old). From: the dataclasses of
`underdial.record`, their docstrings, and the rules told below.
"""

from __future__ import annotations

import dataclasses
import inspect
import sys
import types
import typing
from pathlib import Path
from typing import Any

from underdial.record import (
    aim,
    clock,
    complaint,
    consent,
    custody,
    finding,
    hold,
    hours,
    measurement,
    people,
    proof,
    recorder,
    visit,
)
from underdial.record.codec import KINDS, VERSION

PAGE = Path(__file__).resolve().parent.parent / "docs" / "reference" / "record.md"
ALLOWED: dict[tuple[str, str], typing.Sequence[str]] = {
    ("Finding", "state"): finding.STATES,
    ("Finding", "why"): finding.WHYS,
    ("Finding", "extent"): finding.EXTENTS,
    ("Finding", "significance"): finding.SIGNIFICANCES,
    ("Finding", "decision"): finding.DECISIONS,
    ("Finding", "who"): finding.SPEAKERS,
    ("Finding", "standing"): finding.STANDINGS,
    ("Evidence", "kind"): finding.EVIDENCE_KINDS,
    ("Measurement", "who"): finding.SPEAKERS,
    ("Recorder", "method"): recorder.METHODS,
    ("Measurement", "standing"): finding.STANDINGS,
    ("Measurement", "lent_parts"): measurement.LENT_PARTS,
    ("Complaint", "stops_at"): complaint.STOPS_AT,
    ("Complaint", "rate_kind"): complaint.RATE_KINDS,
    ("Complaint", "strikes"): complaint.STRIKES,
    ("Complaint", "swing"): complaint.SWINGS,
    ("Complaint", "goes_only"): complaint.GOES_ONLY,
    ("Complaint", "since"): complaint.SINCE,
    ("Complaint", "winding"): complaint.WINDINGS,
    ("Complaint", "chimes"): complaint.CHIMES,
    ("Complaint", "alarm"): complaint.ALARMS,
    ("Attachment", "kind"): clock.ATTACHMENT_KINDS,
    ("Aim", "what"): aim.AIMS,
    ("Visit", "stage"): visit.STAGES,
    ("Visit", "arrived_as"): visit.ARRIVED_AS,
    ("Visit", "return_cause"): visit.RETURN_CAUSES,
    ("HandedOver", "status"): visit.PART_STATUSES,
    ("Trial", "result"): visit.TRIAL_RESULTS,
    ("PartToPlay", "part"): people.PARTS,
    ("Hold", "reason"): hold.REASONS,
    ("Hold", "forbids"): hold.FORBIDDEN,
    ("CustodyLine", "kind"): custody.CUSTODY_KINDS,
    ("Hours", "how"): hours.HOWS,
    ("Consent", "channel"): consent.CHANNELS,
    ("ConsentLine", "answer"): consent.ANSWERS,
    ("Proof", "verdict"): proof.VERDICTS,
}
HEAD = f"""# The record of a shop

What the shop keeps, kind by kind. This page is written by `scripts/make_record_reference.py` from the records themselves;
[file_formats.md](file_formats.md) says how they lie in files.

A record is frozen: it is never altered, only followed by another, and every change is an event in the history with who, when,
before, after and why. Plain JSON of a record is a map of the fields below with `record` (its kind) and `version` (now {VERSION});
a field that has its default is left out. Times carry their zone; a day carries the place whose day it is; money is whole minor
units with its currency; a number's unit is the last part of its name, or stands in `unit` beside it.

## Rules

| rule | what the program does |
| --- | --- |
| A hedge is never made surer by writing. | A finding's certainty rises, or a part not examined becomes examined, only with new evidence. |
| *Not with the clock* is no fault; *missing* is. | A part that stayed at home enters no sum and no list of faults. |
| A hold says no until it is lifted. | Altering, releasing, opening, running, winding, sending out: refused, with the reason of the hold. |
| No work beyond consent. | A work that alters the clock needs a line somebody who may instruct said yes to; the last word on a line counts. |
| One ceiling. | Works charged together above the sum the owner named, else the ceiling of the choice taken, are refused until the owner is asked; so is an invoice. |
| With two owners nobody instructs until one is named. | Or several are named: each of them then may. |
| A result counts only with the clock's own parts. | A reading with a part of the shop on the clock is kept, but is no result of a test. |
| Lent parts come off before release. | So must every part that is out be back and checked. |
| A plan comes before its test. | It is for a day or more; its lines do not move once a result is in; a stop fails it, and nothing passes without its reading. |
| A clock goes home with something open only for a reason. | A test not passed or missing, an agreed work not done: the reason is kept and printed. |
| A clock that went home is closed. | Nothing is written of it until it is received again, but what was done before it went. |
| An invoice that was issued is never altered. | What is charged later has one of its own; what was wrong a credit note, of no more than is left of it. |
| Time is worked once. | Two counts of one person that overlap count once; hours written with works are not added to hours counted. |
| The parts of a price are the price. | What the works of a choice take of it adds up to it, to the penny. |
| What was predicted stays. | A round's prediction is closed once something was seen. |
| What was said in private never enters the record. | Only the times of the stretch are kept, to keep it out. |
| A change made from an old reading is refused. | Each record has a version in the shop; a page that writes over a record sends the version it read. |
| What finished jobs taught is used only once somebody takes it up. | A version is never changed; going back adds one that is the same as an earlier. |
| The history is only added to. | The database itself refuses to change or delete an event. |

"""


def page() -> str:
    """The whole page."""
    told: list[str] = [HEAD]
    inner: list[type[Any]] = []
    for kind, record in KINDS.items():
        told.append(f"## `{kind}`\n\n{_about(record)}\n\n{_table(record, inner)}\n")
    for record in inner:
        told.append(f"## {record.__name__}\n\nInside other records. {_about(record)}\n\n{_table(record, inner)}\n")
    return "\n".join(told)


def _about(record: type[Any]) -> str:
    return inspect.cleandoc(record.__doc__ or "")


def _table(record: type[Any], inner: list[type[Any]]) -> str:
    lines = ["| field | what it holds | default |", "| --- | --- | --- |"]
    hints = typing.get_type_hints(record)
    for field in dataclasses.fields(record):
        allowed = ALLOWED.get((record.__name__, field.name))
        holds = ", ".join(f"`{word}`" for word in allowed) if allowed else _words(hints[field.name], inner)
        holds = f"any of {holds}" if allowed and typing.get_origin(hints[field.name]) is tuple else holds
        if allowed:
            _words(hints[field.name], inner)
        lines.append(f"| `{field.name}` | {holds} | {_default(field)} |")
    return "\n".join(lines)


def _words(hint: Any, inner: list[type[Any]]) -> str:
    origin = typing.get_origin(hint)
    if origin in (typing.Union, types.UnionType):
        return " or ".join(_words(one, inner) for one in typing.get_args(hint) if one is not type(None))
    if origin is tuple:
        return f"a list: {_words(typing.get_args(hint)[0], inner)}"
    if origin is not None and origin is not typing.Literal:
        return "a map of names and values"
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        if hint not in inner:
            inner.append(hint)
        return f"[{hint.__name__}](#{hint.__name__.lower()})"
    return {str: "text", int: "whole number", float: "number", bool: "true or false"}.get(
        hint, "time with its zone" if getattr(hint, "__name__", "") == "datetime" else "day"
    )


def _default(field: dataclasses.Field[Any]) -> str:
    if field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING:
        return "*needed*"
    default = field.default_factory() if field.default_factory is not dataclasses.MISSING else field.default
    if default is None or default == "" or default == () or default == {} or dataclasses.is_dataclass(default):
        return "none"
    return {True: "true", False: "false"}.get(default, f"`{default}`") if isinstance(default, bool) else f"`{default}`"


if __name__ == "__main__":
    if "--print" in sys.argv:
        sys.stdout.write(page())
    else:
        PAGE.write_text(page(), encoding="utf-8")
