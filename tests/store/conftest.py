"""A fresh database and a small clock for every test: real files, no stand-ins."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
import sqlalchemy as sa

from underdial.store.database import open_database
from underdial.store.migrate import bring_up_to_date
from underdial.store.records import Writer

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[sa.Engine]:
    opened = open_database(tmp_path / "shop.sqlite")
    bring_up_to_date(opened)
    yield opened
    opened.dispose()


@pytest.fixture
def writer() -> Writer:
    return Writer(by="repairer", at=NOON)
