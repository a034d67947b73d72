"""Comparisons of recorders' clocks, kept by the shop and not by a clock."""

from __future__ import annotations

import sqlalchemy as sa

from underdial.record.codec import from_text
from underdial.record.recorder import Recorder
from underdial.store.schema import TABLES


def read_recorders(connection: sa.Connection, *, device: str | None = None) -> tuple[Recorder, ...]:
    """Every comparison, of one device where it is named, the newest first."""
    table = TABLES["recorder"]
    question = sa.select(table.c.body).order_by(table.c.made_at.desc(), table.c.id)
    if device is not None:
        question = question.where(table.c.device == device.strip().casefold())
    found = tuple(from_text(text) for text in connection.execute(question).scalars())
    assert all(isinstance(one, Recorder) for one in found)
    return found
