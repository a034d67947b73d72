"""A shop in a temporary folder with a clock of its own, and a time that moves on by a minute with every deed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from underdial.bench.counter.receiving import Received, receive_clock
from underdial.bench.shop import Shop, open_shop
from underdial.record.clock import Clock
from underdial.record.people import Person
from underdial.record.visit import Visit

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def moving_time() -> Callable[[], datetime]:
    """A time of day that goes on by a minute each time it is asked."""
    asked = [0]

    def now() -> datetime:
        asked[0] += 1
        return NOON + timedelta(minutes=asked[0])

    return now


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = open_shop(tmp_path / "shop", now=moving_time())
    yield opened
    opened.engine.dispose()


@pytest.fixture
def drum(shop: Shop) -> Received:
    """A drum timepiece, received from its one owner."""
    owner = Person(name="Hester Quill", telephone="01632 960001")
    return receive_clock(
        shop,
        Clock(tag="drum", name="drum timepiece", family="open_spring_balance_30h"),
        Visit(received_at=NOON, reason="stops"),
        ((owner, ("owns", "brings", "pays")),),
    )
