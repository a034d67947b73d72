"""A shop with very many clocks, and how long its list and one clock's page take.

`fill` makes the shop through the same tables and codec as the program, in bulk; `benchmarks/web.py` opens its
pages over it. Run alone it prints the times of the questions to the database: the fastest and the slowest of 30.
"""

from __future__ import annotations

import argparse
import json
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from underdial.bench.shop import Shop, clock_page, in_the_shop, open_shop
from underdial.record.aim import Aim
from underdial.record.clock import Clock
from underdial.record.codec import kind_of, to_plain, to_text
from underdial.record.finding import Finding
from underdial.record.hold import Hold
from underdial.record.measurement import Measurement
from underdial.record.money import Day
from underdial.record.people import PartToPlay, Person
from underdial.record.visit import STAGES, Visit
from underdial.store.database import writing
from underdial.store.schema import HISTORY, TABLES, columns_of, moment_text

FAMILIES = ("english_longcase", "french_round", "open_spring_balance_30h", "vienna_regulator")
SURNAMES = ("Ashdown", "Brook", "Carver", "Dene", "Eastwood", "Fenn", "Garth", "Holt", "Ivory", "Jessop")
PARTS = (
    "pivot_hole",
    "pallets",
    "mainspring",
    "suspension_spring",
    "click",
    "minute_hand",
    "dial",
    "strike.great_wheel",
)
BEGAN = datetime(2016, 1, 4, 9, tzinfo=UTC)


def fill(folder: Path, *, clocks_count: int, in_shop_ratio: float = 0.2) -> Shop:
    """Make a shop in an empty folder with this many clocks, each received once with an owner, findings and readings.

    Every fifth is still in the shop; the numbers and words come round in turn, so that the same call gives the same
    shop.
    """
    shop = open_shop(folder)
    every = max(round(1 / in_shop_ratio), 1)
    rows: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for number in range(clocks_count):
        at = BEGAN + timedelta(hours=8 * number)
        clock_id, person_id = f"{number:032x}", f"{number:031x}p"
        stage = STAGES[number // every % (len(STAGES) - 1)] if number % every == 0 else "gone"
        for record in _records(number, at, clock_id, person_id, stage):
            _note(rows, record, at, clock_id)
    with writing(shop.engine) as connection:
        for table in (*TABLES.values(), HISTORY):
            if rows[table.name]:
                connection.execute(table.insert(), rows[table.name])
    return shop


def main(argv: list[str]) -> int:
    """Fill a shop and time the questions a page asks."""
    wanted = argparse.ArgumentParser(prog="dev.py bench full_shop")
    wanted.add_argument("--clocks", type=int, default=10_000)
    wanted.add_argument("--json", action="store_true")
    given = wanted.parse_args(argv)
    with tempfile.TemporaryDirectory() as made:
        began = time.perf_counter()
        shop = fill(Path(made) / "shop", clocks_count=given.clocks)
        told: dict[str, Any] = {"clocks_count": given.clocks, "filled_s": round(time.perf_counter() - began, 1)}
        questions: dict[str, Callable[[], object]] = {
            "list": lambda: in_the_shop(shop),
            "list_gone_far_back": lambda: in_the_shop(shop, gone=True, first_count=given.clocks // 2),
            "list_by_stage": lambda: in_the_shop(shop, stage="on_test"),
            "search_owner": lambda: in_the_shop(shop, search="jessop"),
            "search_nothing": lambda: in_the_shop(shop, search="zzz"),
            "clock_page": lambda: clock_page(shop, f"tag-{given.clocks // 2}"),
        }
        for name, ask in questions.items():
            told[f"{name}_ms"] = _times_ms(ask)
        shop.engine.dispose()
    print(json.dumps(told) if given.json else "\n".join(f"{name}: {value}" for name, value in told.items()))
    return 0


def _times_ms(ask: Callable[[], object]) -> list[float]:
    times = []
    for _ in range(30):
        began = time.perf_counter()
        ask()
        times.append(1000 * (time.perf_counter() - began))
    return [round(min(times), 2), round(max(times), 2)]


def _records(number: int, at: datetime, clock_id: str, person_id: str, stage: str) -> list[Any]:
    visit = Visit(
        received_at=at,
        stage=stage,
        gone_at=at + timedelta(days=60) if stage == "gone" else None,
        id="visit-1",
        reason="stops",
        aim=Aim(needed_by=Day(on=date(2016, 4, 1) + timedelta(days=number % 3000), zone="UTC") if number % 3 else None),
    )
    seen = [
        Finding(
            component=PARTS[(number + place) % 7],
            condition="worn" if place % 2 else "good",
            state="present",
            visit_id="visit-1",
            id=f"finding-{place + 1}",
            words="worn, I think, towards the back",
            start_s=10.0 * place,
            end_s=10.0 * place + 4.0,
            standing="confirmed",
        )
        for place in range(5)
    ]
    read = [
        Measurement(
            quantity="half_arc",
            value=1.8 + place / 10,
            u=0.1,
            unit="deg",
            of="pendulum",
            taken_at=at,
            visit_id="visit-1",
            id=f"measurement-{place + 1}",
        )
        for place in range(3)
    ]
    held = (
        [
            Hold(
                reason="dispute",
                why="two owners do not agree",
                forbids=("release",),
                since=at,
                visit_id="visit-1",
                id="hold-1",
            )
        ]
        if number % 50 == 0
        else []
    )
    person = Person(
        name=f"{'ABCDEFGHIJ'[number // 10 % 10]}. {SURNAMES[number % 10]}",
        telephone=f"01632 {960000 + number % 1000}",
        id=person_id,
    )
    clock = Clock(
        tag=f"tag-{number}",
        name=f"{FAMILIES[number % 4].replace('_', ' ')} clock",
        family=FAMILIES[number % 4],
        known_since=at,
        id=clock_id,
    )
    owns = PartToPlay(person_id=person_id, part="owns", visit_id="visit-1", id="part-1")
    return [clock, person, visit, owns, replace(owns, part="pays", id="part-2"), *held, *seen, *read]


def _note(rows: dict[str, list[dict[str, Any]]], record: Any, at: datetime, clock_id: str) -> None:
    kind = kind_of(record)
    text = to_text(record)
    keys = {"clock_id": clock_id, "number": int(record.id.rsplit("-", 1)[1])} if "clock_id" in TABLES[kind].c else {}
    rows[kind].append({"id": record.id, "version": 1, "body": text, **keys, **columns_of(record)})
    after = json.dumps(to_plain(record), ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    rows["history"].append(
        {
            "clock_id": None if kind == "person" else clock_id,
            "at": moment_text(at),
            "by": "repairer",
            "deed": "added",
            "record": kind,
            "record_id": record.id,
            "before": None,
            "after": after,
            "why": None,
        }
    )


if __name__ == "__main__":
    import sys

    sys.exit(main(sys.argv[1:]))
