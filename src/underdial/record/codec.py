"""Records to plain JSON and back: one codec for the database, the exchange file and the history.

The plain form of a record is a map with `record` (its kind) and `version` (of that kind) beside its fields; a
field that has its default value is left out, so that a record written today reads the same when a field is added
tomorrow. Reading checks every name and every type; an older version is brought forward by `_FORWARD`.

Limits: fields may be text, numbers, truth values, times with a zone, days, other records, tuples of these, and
open maps (`Clock.movement`, the numbers of a `Lesson`), which must be plain JSON themselves.
"""

from __future__ import annotations

import dataclasses
import json
import math
import re
import types
import typing
from collections.abc import Callable, Mapping
from datetime import date, datetime
from functools import cache
from typing import Any, Literal, TypeVar, Union

from underdial.errors import BadInput
from underdial.record.bill import Bill
from underdial.record.choice import Choice
from underdial.record.clock import Attachment, Clock
from underdial.record.consent import Consent
from underdial.record.credit import Credit
from underdial.record.custody import CustodyLine
from underdial.record.finding import Finding
from underdial.record.hold import Hold
from underdial.record.hours import Hours
from underdial.record.lesson import Lesson
from underdial.record.look_over import LookOver
from underdial.record.measurement import Measurement
from underdial.record.people import PartToPlay, Person
from underdial.record.proof import Proof
from underdial.record.recorder import Recorder
from underdial.record.visit import Round, Visit
from underdial.record.work import Work

# Kind of a record as it is written -> its class. The order is that in which an exchange file is read back.
KINDS: dict[str, type[Any]] = {
    "clock": Clock,
    "person": Person,
    "visit": Visit,
    "part": PartToPlay,
    "hold": Hold,
    "custody": CustodyLine,
    "attachment": Attachment,
    "look_over": LookOver,
    "round": Round,
    "finding": Finding,
    "measurement": Measurement,
    "choice": Choice,
    "consent": Consent,
    "work": Work,
    "proof": Proof,
    "bill": Bill,
    "credit": Credit,
    "hours": Hours,
    "lesson": Lesson,
    "recorder": Recorder,
}
VERSION = 1

# (kind, version) -> how a plain record of that version becomes one of the next. Empty until a version 2 exists.
_FORWARD: dict[tuple[str, int], Callable[[dict[str, Any]], dict[str, Any]]] = {}

# No text file or PostgreSQL column can hold these: NUL, and halves of characters outside the first plane.
_UNKEEPABLE = re.compile("[\x00\ud800-\udfff]")

_KIND_OF = {record: kind for kind, record in KINDS.items()}
R = TypeVar("R")


def kind_of(record: object) -> str:
    """The kind a record is written as, such as `finding`."""
    kind = _KIND_OF.get(type(record))
    assert kind is not None, f"{type(record).__name__} is no record of the shop"
    return kind


def to_plain(record: object) -> dict[str, Any]:
    """A record as plain JSON, with its kind and version."""
    return {"record": kind_of(record), "version": VERSION, **_fields_to_plain(record)}


def from_plain(plain: Mapping[str, Any]) -> Any:
    """The record a plain map stands for.

    Raises BadInput, naming the field, for an unknown kind or field, a wrong type or a version from the future.
    """
    if not isinstance(plain, Mapping):
        raise BadInput("record", type(plain).__name__, "a map of names and values")
    kind = plain.get("record")
    if kind not in KINDS:
        raise BadInput("record", kind, ", ".join(KINDS))
    return read_as(KINDS[kind], plain)


def read_as(wanted: type[R], plain: Mapping[str, Any]) -> R:
    """A plain map read as this record; for maps without `record` and `version` too, such as what a form sends."""
    kind = _KIND_OF[wanted]
    body = dict(plain)
    found, version = body.pop("record", kind), body.pop("version", VERSION)
    if found != kind:
        raise BadInput("record", found, kind)
    if not isinstance(version, int) or isinstance(version, bool) or not 1 <= version <= VERSION:
        raise BadInput(
            "version",
            version,
            f"1 to {VERSION}",
            f"version: this {kind} was written in version {version}; this program reads up to {VERSION}. Use a newer "
            "one.",
        )
    while version < VERSION:
        body = _FORWARD[(kind, version)](body)
        version += 1
    return _record(wanted, body, kind)


def to_text(record: object) -> str:
    """A record as one line of JSON with its names sorted: the same record always gives the same text."""
    return json.dumps(to_plain(record), ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))


def from_text(text: str) -> Any:
    """The record that a line of JSON stands for; BadInput when it is no JSON."""
    try:
        plain = json.loads(text)
    except ValueError as wrong:
        raise BadInput("record", text[:40], "JSON", f"record: what is stored is no JSON ({wrong}).") from None
    return from_plain(plain)


def _fields_to_plain(record: Any) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for field in dataclasses.fields(record):
        value = getattr(record, field.name)
        default = field.default_factory() if field.default_factory is not dataclasses.MISSING else field.default
        if default is not dataclasses.MISSING and type(value) is type(default) and value == default:
            continue
        found[field.name] = _to_plain(value)
    return found


def _to_plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value):
        return _fields_to_plain(value)
    if isinstance(value, tuple | list):
        return [_to_plain(one) for one in value]
    if isinstance(value, Mapping):
        return {name: _to_plain(one) for name, one in value.items()}
    if isinstance(value, datetime | date):
        return value.isoformat()
    return value


@cache
def _hints(wanted: Any) -> dict[str, Any]:
    return typing.get_type_hints(wanted)


def _record(wanted: type[R], body: Mapping[str, Any], where: str) -> R:
    if not isinstance(body, Mapping):
        raise BadInput(where, body, "a map of names and values")
    hints = _hints(typing.cast(Any, wanted))
    unknown = [name for name in body if name not in hints]
    if unknown:
        raise BadInput(
            f"{where}.{unknown[0]}",
            body[unknown[0]],
            f"one of {', '.join(hints)}",
            f"{where}.{unknown[0]}: there is no such field; allowed: {', '.join(hints)}.",
        )
    for field in dataclasses.fields(wanted):  # type: ignore[arg-type]
        needed = field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
        if needed and body.get(field.name) is None:
            raise BadInput(
                f"{where}.{field.name}",
                "nothing",
                "a value",
                f"{where}.{field.name}: this is missing, and the record cannot be without it.",
            )
    return wanted(**{name: _value(hints[name], value, f"{where}.{name}") for name, value in body.items()})


def _value(hint: Any, value: Any, where: str) -> Any:
    origin = typing.get_origin(hint)
    if origin in (Union, types.UnionType):
        return _one_of(typing.get_args(hint), value, where)
    if origin is Literal:
        allowed = typing.get_args(hint)
        if value not in allowed:
            raise BadInput(where, value, ", ".join(allowed))
        return value
    if origin is tuple:
        if not isinstance(value, list | tuple):
            raise BadInput(where, value, "a list")
        inner = typing.get_args(hint)[0]
        return tuple(_value(inner, one, f"{where}[{place}]") for place, one in enumerate(value))
    if origin is not None and issubclass(origin, Mapping):
        return _open_map(value, where)
    if dataclasses.is_dataclass(hint):
        return _record(hint, value, where)  # type: ignore[arg-type]
    return _simple(hint, value, where)


def _one_of(hints: tuple[Any, ...], value: Any, where: str) -> Any:
    if value is None:
        if type(None) in hints:
            return None
        raise BadInput(where, "nothing", "a value")
    rest = [hint for hint in hints if hint is not type(None)]
    for hint in rest[:-1]:
        if isinstance(hint, type) and type(value) is hint:
            return value
    return _value(rest[-1], value, where)


def _simple(hint: Any, value: Any, where: str) -> Any:
    if hint is float and isinstance(value, int | float) and not isinstance(value, bool):
        if not math.isfinite(value):
            raise BadInput(where, value, "a finite number")
        return float(value)
    if hint in (datetime, date):
        try:
            return hint.fromisoformat(value)
        except (TypeError, ValueError):
            example = "2026-03-02T14:05:00+00:00" if hint is datetime else "2026-03-02"
            raise BadInput(where, value, f"a date as {example}") from None
    if hint is str and isinstance(value, str) and _UNKEEPABLE.search(value):
        raise BadInput(where, repr(value[:40]), "text without the NUL sign or half characters")
    if hint in (str, int, bool) and type(value) is hint:
        return value
    named = {str: "text", int: "a whole number", bool: "true or false", float: "a number"}
    raise BadInput(where, value, named.get(hint, "something else"))


def _open_map(value: Any, where: str) -> dict[str, Any]:
    if not isinstance(value, Mapping):
        raise BadInput(where, value, "a map of names and values")
    try:
        kept = json.loads(json.dumps(dict(value), allow_nan=False))
    except (TypeError, ValueError):
        raise BadInput(where, "something", "names with texts, finite numbers, lists or maps") from None
    assert isinstance(kept, dict)
    return kept
