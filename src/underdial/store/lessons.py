"""Versions of what finished jobs taught, and what finished jobs there are to be taught by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from underdial.record.codec import from_text
from underdial.record.lesson import Lesson
from underdial.store.schema import TABLES


@dataclass(frozen=True, slots=True)
class Gone:
    """One visit that is over: its clock, and the version its record has in the shop."""

    clock_id: str
    visit_id: str
    version_count: int

    @property
    def job_id(self) -> str:
        """The name under which this job teaches."""
        return f"{self.clock_id}/{self.visit_id}"


def newest_lesson(connection: sa.Connection) -> Lesson | None:
    """The version in use; None while nothing was taken up."""
    table = TABLES["lesson"]
    text = connection.execute(sa.select(table.c.body).order_by(table.c.number.desc()).limit(1)).scalar()
    return None if text is None else _lesson(text)


def read_lessons(connection: sa.Connection) -> tuple[Lesson, ...]:
    """Every version that was ever taken up, the oldest first."""
    table = TABLES["lesson"]
    return tuple(
        _lesson(text) for text in connection.execute(sa.select(table.c.body).order_by(table.c.number)).scalars()
    )


def gone_visits(connection: sa.Connection) -> tuple[Gone, ...]:
    """The visits that are over, in the order they came in."""
    visit = TABLES["visit"]
    question = (
        sa.select(visit.c.clock_id, visit.c.id, visit.c.version)
        .where(visit.c.gone == 1)
        .order_by(visit.c.received_at, visit.c.clock_id, visit.c.id)
    )
    return tuple(Gone(row.clock_id, row.id, row.version) for row in connection.execute(question))


def state_of_gone(connection: sa.Connection, *kinds: str) -> tuple[int, ...]:
    """How many visits are over and the sum of their versions, then the same of their records of these kinds: what
    changes when one of them does.
    """
    visit = TABLES["visit"]
    found = [
        *connection.execute(
            sa.select(sa.func.count(), sa.func.coalesce(sa.func.sum(visit.c.version), 0)).where(visit.c.gone == 1)
        ).one()
    ]
    for kind in kinds:
        table = TABLES[kind]
        same = (visit.c.clock_id == table.c.clock_id) & (visit.c.id == table.c.visit_id)
        found += connection.execute(
            sa.select(sa.func.count(), sa.func.coalesce(sa.func.sum(table.c.version), 0))
            .select_from(table.join(visit, same))
            .where(visit.c.gone == 1)
        ).one()
    return tuple(int(one) for one in found)


def of_gone(connection: sa.Connection, kind: str) -> dict[str, list[Any]]:
    """All records of a kind that belong to visits that are over, by the name of their job."""
    table, visit = TABLES[kind], TABLES["visit"]
    same = (visit.c.clock_id == table.c.clock_id) & (visit.c.id == table.c.visit_id)
    question = (
        sa.select(table.c.clock_id, table.c.visit_id, table.c.body)
        .join(visit, same)
        .where(visit.c.gone == 1)
        .order_by(table.c.clock_id, table.c.number)
    )
    found: dict[str, list[Any]] = {}
    for row in connection.execute(question.execution_options(yield_per=500)):
        found.setdefault(f"{row.clock_id}/{row.visit_id}", []).append(from_text(row.body))
    return found


def _lesson(text: str) -> Lesson:
    found = from_text(text)
    assert isinstance(found, Lesson)
    return found
