"""Data files of this room, read once into frozen records; a broken file gives one sentence with file and key.

A folder is read once in the life of the program. The record is the schema: a key that it does not know, a key that is
missing, or a value of another kind is refused. The checking is handed to pydantic; what is ours is the sentence and the
way to the key, in which a record in a list is named by its id.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, ClassVar, TypeVar

from underdial.errors import BadInput

DATA = Path(__file__).parent / "data"
T = TypeVar("T")


class Strict:
    """A record that takes only the keys it knows, each of exactly its kind."""

    __slots__ = ()
    __pydantic_config__: ClassVar[Any] = {"extra": "forbid", "strict": True, "allow_inf_nan": False}


def read_record(path: Path, kind: type[T]) -> T:
    """The file as one record of `kind` (or a tuple of them, when `kind` is a tuple type).

    Raises BadInput, naming file and key, when the file is no JSON or does not fit the record.
    """
    from pydantic import TypeAdapter, ValidationError

    try:
        text = path.read_text(encoding="utf-8")
        raw = json.loads(text)
    except OSError as wrong:
        raise broken(path, "file", wrong.strerror, "a file that can be read") from wrong
    except ValueError as wrong:
        raise broken(path, "file", str(wrong), "JSON in UTF-8") from None
    try:
        return TypeAdapter(kind).validate_json(text)
    except ValidationError as wrong:
        first = wrong.errors(include_url=False)[0]
        value = "nothing" if first["type"] == "missing" else _short(first["input"])
        raise broken(path, _key(raw, first["loc"]), value, _allowed(first)) from None


def broken(path: Path, key: str, value: object, allowed: str) -> BadInput:
    """The one sentence about a broken data file: file, key, what stands there, what is allowed."""
    name = f"{path.parent.name}/{path.name}" if path.parent.name != DATA.name else path.name
    return BadInput(f"{name}: {key}", value, allowed)


def keyed(path: Path, records: Iterable[T], name: Callable[[T], str]) -> Mapping[str, T]:
    """The records by name, closed to change; BadInput when a name stands twice in the file."""
    found: dict[str, T] = {}
    for record in records:
        if name(record) in found:
            raise broken(path, f"[{name(record)}]", name(record), "an id that stands once only")
        found[name(record)] = record
    return MappingProxyType(found)


def _key(raw: Any, loc: tuple[int | str, ...]) -> str:
    steps: list[str] = []
    at = raw
    for step in loc:
        inside = isinstance(step, int) and isinstance(at, list) and step < len(at)
        named = at[step] if inside else None
        name = (
            next((named[key] for key in ("id", "key", "act") if key in named), step)
            if isinstance(named, dict)
            else step
        )
        steps.append(f"[{name}]" if isinstance(step, int) else f".{step}")
        try:
            at = at[step]
        except (KeyError, IndexError, TypeError):
            break
    return "".join(steps).removeprefix(".") or "whole file"


def _short(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _allowed(error: Any) -> str:
    match error["type"]:
        case "missing":
            return "a value; every record here has this key"
        case "unexpected_keyword_argument" | "extra_forbidden":
            return "no key of this name"
        case "literal_error":
            return str(error["ctx"]["expected"])
        case _:
            message = str(error["msg"])
            return message[:1].lower() + message[1:]
