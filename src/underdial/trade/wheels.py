"""Which wheel stands where: ids by position from the power, as the UK, the US and the French shops count.

The position is what is stored; the spoken name depends on who speaks. A US centre arbor may be a side branch
that carries the hands, so it has no position there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from underdial.errors import BadInput, OutOfRange
from underdial.trade.files import DATA, Strict, broken, read_record
from underdial.trade.sources import Source, check_sources, read_texts
from underdial.trade.vocabulary import read_vocabulary

Train = Literal["going", "strike"]
Counting = Literal["uk", "us", "french"]


@dataclass(frozen=True, slots=True)
class WheelCounting(Strict):
    """Ids from the power on for one train; `last` closes it; `also` pairs an id with another name for its place."""

    train: Train
    counting: Counting
    ids: tuple[str, ...]
    last: str
    also: tuple[tuple[str, str], ...]
    note: str
    sources: tuple[Source, ...]


def wheel_ids(arbors_count: int, *, train: Train = "going", counting: Counting = "uk") -> tuple[str, ...]:
    """Ids of a train of so many arbors, power first: great_wheel, second_wheel, ..., escape_wheel (or fly).

    Raises OutOfRange beyond what the words reach.
    """
    way = _way(train, counting)
    if not 2 <= arbors_count <= len(way.ids) + 1:
        raise OutOfRange("arbors", arbors_count, 2, len(way.ids) + 1)
    return (*way.ids[: arbors_count - 1], way.last)


def position_of(wheel: str, arbors_count: int, *, train: Train = "going", counting: Counting = "uk") -> int | None:
    """Position from the power (great wheel 1) that a spoken wheel has; None when it has none in this counting."""
    way = _way(train, counting)
    ids = wheel_ids(arbors_count, train=train, counting=counting)
    place = next((main for main, other in way.also if other == wheel), wheel)
    return ids.index(place) + 1 if place in ids else None


def read_wheels(folder: Path) -> tuple[WheelCounting, ...]:
    """The ways of counting of a data folder; BadInput, naming file and key, when the file is broken."""
    path = folder / "wheels.json"
    ways = read_record(path, tuple[WheelCounting, ...])
    known, texts = read_vocabulary(folder).components, read_texts(folder)
    for way in ways:
        name = f"{way.train} {way.counting}"
        check_sources(path, name, way.sources, texts)
        for wheel in (*way.ids, way.last, *(one for pair in way.also for one in pair)):
            if wheel not in known:
                raise broken(path, f"[{name}]", wheel, "a component of components.json")
    return ways


@cache
def _ways() -> tuple[WheelCounting, ...]:
    return read_wheels(DATA)


def _way(train: str, counting: str) -> WheelCounting:
    for way in _ways():
        if (way.train, way.counting) == (train, counting):
            return way
    allowed = ", ".join(f"{way.train} {way.counting}" for way in _ways())
    raise BadInput("counting", f"{train} {counting}", allowed)
