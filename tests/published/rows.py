"""The rows of published values and whether our functions give them."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from . import materials, numbers, pendulums, springs, teeth, trains

DATA = Path(__file__).parents[1] / "data" / "checks"
CALLS: dict[str, Callable[[dict[str, Any]], Any]] = {
    **trains.CALLS, **pendulums.CALLS, **springs.CALLS, **teeth.CALLS, **materials.CALLS, **numbers.CALLS
}  # fmt: skip


# Rows whose book prints a loss, or a shortening, as a size: ours is below nought.
PRINTED_AS_A_SIZE = frozenset(
    {
        "pendulum-21",
        "pendulum-22",
        "pendulum-42",
        "pendulum-44",
        "pendulum-45",
        "pendulum-64",
        "balance-04",
        "balance-05",
    }
)


@dataclass(frozen=True)
class Outcome:
    """What came of one row: our value and whether it lies within the row's tolerance."""

    id: str
    group: int
    topic: str
    ours: list[float]
    expected: list[float]
    passed: bool


def rows(kind: str) -> list[dict[str, Any]]:
    """All rows of a kind: test, plausibility or definition."""
    table = json.loads((DATA / "published.json").read_text(encoding="utf-8"))["rows"]
    return [row for row in table if row["kind"] == kind]


def outcome(row: dict[str, Any]) -> Outcome:
    """Hand a row's inputs to our function and hold the answer, its sign too, to what is expected."""
    ours, expected = _flat(CALLS[row["id"]](row["inputs"])), _flat(row["expected"])
    if row["id"] in PRINTED_AS_A_SIZE:
        expected = [-one for one in expected]
    tolerance = row["tolerance"]
    good = len(ours) == len(expected) and all(
        abs(a - b) <= tolerance.get("abs", 0.0) + tolerance.get("rel", 0.0) * abs(b) + 1e-12 * abs(b)
        for a, b in zip(ours, expected, strict=True)
    )
    return Outcome(row["id"], row["group"], row["topic"], ours, expected, good and all(map(math.isfinite, ours)))


def _flat(value: Any) -> list[float]:
    if isinstance(value, list | tuple):
        return [one for part in value for one in _flat(part)]
    return [float(value)]
