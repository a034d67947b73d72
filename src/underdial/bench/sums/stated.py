"""A number and its standard uncertainty as two keys of an answer, the unit last: `bore_m` and `bore_u_m`."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping, Sequence
from typing import Any

from underdial.errors import BadInput
from underdial.uncertain import Uncertain
from underdial.units import Quantity, factor, parse


def stated(name: str, unit: str, value: Uncertain | None) -> dict[str, float | None]:
    """Two keys of an answer: the value and its standard uncertainty, both None where nothing is known."""
    joined = f"_{unit}" if unit else ""
    return {
        f"{name}{joined}": None if value is None else value.value,
        f"{name}_u{joined}": None if value is None else value.u,
    }


def in_degrees(value: Uncertain | None) -> Uncertain | None:
    """An angle in radians, for an answer, in degrees."""
    return None if value is None else Uncertain(math.degrees(value.value), math.degrees(value.u))


def taken(given: Quantity | tuple[float, float] | None) -> Uncertain | None:
    """A value as typed, with its uncertainty."""
    if given is None:
        return None
    return Uncertain(given[0], given[1])


def three_lengths(text: str, field: str, like: str) -> list[Quantity]:
    """Three lengths of a strip such as `0.44mm x 19mm x 1400mm`; BadInput says what it is to be `like`."""
    parts = re.split(r"\s*[x×]\s*", text.strip())
    if len(parts) != 3:
        raise BadInput(field, text, like)
    return [parse(one, kind="length", field=field) for one in parts]


def read_rows(
    text: str, *, columns: Sequence[str], also: Sequence[str] = (), field: str = "file"
) -> list[dict[str, str]]:
    """Rows of a table with a head line, lines that are empty or begin with # left out.

    BadInput names a column that is missing or not known, and the line of a row that is too short.
    """
    lines = [
        (number, line)
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        raise BadInput(
            field,
            "nothing",
            f"a table with the columns {', '.join(columns)}",
            f"{field}: there is nothing in it; a table with the columns {','.join(columns)} is wanted",
        )
    rows = list(
        csv.reader(io.StringIO("\n".join(line for _, line in lines)), delimiter=";" if ";" in lines[0][1] else ",")
    )
    head = [one.strip().lower() for one in rows[0]]
    for name in columns:
        if name not in head:
            raise BadInput(
                field,
                ",".join(head),
                ",".join(columns),
                f"{field}: its first line has no column {name}; wanted are {','.join(columns)}",
            )
    unknown = [one for one in head if one not in (*columns, *also)]
    if unknown:
        raise BadInput(
            field,
            unknown[0],
            ",".join((*columns, *also)),
            f"{field}: column {unknown[0]} is not known here; allowed: {','.join((*columns, *also))}",
        )
    for (number, _), row in zip(lines[1:], rows[1:], strict=True):
        if len(row) != len(head):
            raise BadInput(
                field,
                f"line {number}",
                f"{len(head)} values",
                f"{field}: line {number} has {len(row)} values where its first line names {len(head)}",
            )
    found = [dict(zip(head, (one.strip() for one in row), strict=True)) for row in rows[1:]]
    if not found:
        raise BadInput(field, "no rows", "a row for each reading", f"{field}: there is no row below its first line")
    return [{**row, "": str(number)} for row, (number, _) in zip(found, lines[1:], strict=True)]


def number_of(row: Mapping[str, str], column: str, *, low: float, high: float) -> float:
    """A bare number of a row; BadInput with line, column and range when it is none or lies outside."""
    line = row.get("", "?")
    try:
        value = float(row[column])
    except ValueError:
        raise BadInput(
            column,
            row[column] or "(nothing)",
            "a bare number",
            f"{column}: line {line} has {row[column] or 'nothing'}, a bare number is wanted",
        ) from None
    if not low <= value <= high:
        raise BadInput(
            column, value, f"{low:g} to {high:g}", f"{column}: line {line} has {value:g}; allowed: {low:g} to {high:g}"
        )
    return value


def held(
    field: str, given: Quantity | tuple[float, float] | None, *, low: float, high: float, unit: str = ""
) -> Uncertain | None:
    """A value as typed, or None; BadInput, in the unit it is spoken of, when it lies outside its range (itself in that
    unit).
    """
    if given is None:
        return None
    size = factor(unit)[1] if unit else 1.0
    value = given[0] / size
    if not low <= value <= high:
        tail = f" {unit}" if unit else ""
        raise BadInput(
            field,
            f"{value:g}{unit}",
            f"{low:g} to {high:g}{tail}",
            f"{field}: {value:g}{tail} is outside {low:g} to {high:g}{tail}.",
        )
    return Uncertain(given[0], given[1])


def refused(keys: Mapping[str, Any], reason: str, **known: Any) -> dict[str, Any]:
    """An answer that refuses: the same keys, those not known None, the verdict and why."""
    return {
        **dict.fromkeys(keys),
        **known,
        "verdict": "refused",
        "reason": reason,
        "warnings": known.get("warnings", []),
        "sources": known.get("sources", []),
    }
