"""Writing and reading single records: every write is one row, one event in the history, one version further.

All functions take a connection inside a transaction; nothing is confirmed before that transaction has ended.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from underdial.errors import NotFound, RuleBroken
from underdial.record.codec import from_text, kind_of, to_plain, to_text
from underdial.record.history import Event
from underdial.store.schema import HISTORY, TABLES, columns_of, moment_text


@dataclass(frozen=True, slots=True)
class Stored:
    """A record with the version it has in the shop, to be given back when it is changed."""

    record: Any
    version_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer:
    """Who writes, when, and why: what every event of the history says."""

    by: str
    at: datetime
    why: str | None = None


def add(
    connection: sa.Connection,
    record: Any,
    writer: Writer,
    *,
    clock_id: str | None = None,
    deed: str = "added",
    earlier: Iterable[Event] = (),
) -> Any:
    """Keep a new record; the same record with its id (`finding-3`), unless it came with one.

    `earlier` is what happened before, elsewhere: it stands in the history below this.
    """
    kind = kind_of(record)
    table = TABLES[kind]
    keys: dict[str, Any] = {}
    if "clock_id" in table.c:
        assert clock_id is not None, f"a {kind} belongs to a clock"
        top = (
            connection.execute(sa.select(sa.func.max(table.c.number)).where(table.c.clock_id == clock_id)).scalar() or 0
        )
        keys = {"clock_id": clock_id, "number": top + 1}
        record = record if record.id else replace(record, id=f"{kind}-{top + 1}")
    assert record.id, f"a {kind} belongs to the shop and comes with its id"
    connection.execute(
        table.insert().values(id=record.id, version=1, body=_checked_text(record), **keys, **columns_of(record))
    )
    for event in earlier:
        note_event(connection, event)
    _note(connection, record, writer, clock_id=clock_id, deed=deed, before=None)
    return record


def change(
    connection: sa.Connection,
    record: Any,
    writer: Writer,
    *,
    clock_id: str | None = None,
    version_count: int | None = None,
    deed: str = "changed",
) -> Stored:
    """Keep a changed record in place of the one with its id, and the old one in the history.

    `version_count` is the version the change was made from: RuleBroken when somebody else changed it since. A change
    that changes nothing writes nothing.
    """
    kind = kind_of(record)
    table = TABLES[kind]
    before = read(connection, kind, record.id, clock_id=clock_id)
    if version_count is not None and version_count != before.version_count:
        raise RuleBroken(
            "version",
            version_count,
            str(before.version_count),
            f"version: this {kind.replace('_', ' ')} was changed by somebody else since you read version "
            f"{version_count} of it (it has {before.version_count} now); nothing of yours was written. Read it "
            "again.",
        )
    if before.record == record:
        return before
    where = _where(table, record.id, clock_id) & (table.c.version == before.version_count)
    done = connection.execute(
        table.update()
        .where(where)
        .values(version=before.version_count + 1, body=_checked_text(record), **columns_of(record))
    )
    if done.rowcount != 1:
        raise RuleBroken(
            "version",
            before.version_count,
            "the newest",
            f"version: this {kind.replace('_', ' ')} was changed by somebody else just now; nothing of yours was "
            "written. Read it again.",
        )
    _note(connection, record, writer, clock_id=clock_id, deed=deed, before=before.record)
    return Stored(record, before.version_count + 1)


def read(connection: sa.Connection, kind: str, record_id: str, *, clock_id: str | None = None) -> Stored:
    """One record; NotFound when there is none of that id."""
    table = TABLES[kind]
    row = connection.execute(sa.select(table.c.body, table.c.version).where(_where(table, record_id, clock_id))).first()
    if row is None:
        raise NotFound(
            kind,
            record_id,
            f"a {kind} of this {'clock' if clock_id else 'shop'}",
            f"{kind}: there is no {record_id} here.",
        )
    return Stored(from_text(row.body), row.version)


def read_all(connection: sa.Connection, kind: str, *, clock_id: str, visit_id: str | None = None) -> tuple[Stored, ...]:
    """All records of a kind of one clock, or of one of its visits, in the order they were added."""
    table = TABLES[kind]
    question = sa.select(table.c.body, table.c.version).where(table.c.clock_id == clock_id).order_by(table.c.number)
    if visit_id is not None and "visit_id" in table.c:
        question = question.where(table.c.visit_id == visit_id)
    return tuple(Stored(from_text(row.body), row.version) for row in connection.execute(question))


def read_history(connection: sa.Connection, *, clock_id: str, record_id: str | None = None) -> tuple[Event, ...]:
    """What happened to a clock's records, or to one of them, oldest first."""
    question = sa.select(HISTORY).where(HISTORY.c.clock_id == clock_id).order_by(HISTORY.c.number)
    if record_id is not None:
        question = question.where(HISTORY.c.record_id == record_id)
    return tuple(
        Event(
            number_count=row.number,
            clock_id=row.clock_id,
            at=datetime.fromisoformat(row.at),
            by=row.by,
            deed=row.deed,
            record=row.record,
            record_id=row.record_id,
            before=json.loads(row.before) if row.before else None,
            after=json.loads(row.after) if row.after else None,
            why=row.why,
        )
        for row in connection.execute(question)
    )


def note_event(connection: sa.Connection, event: Event) -> None:
    """Add one event to the history as it is; the database gives it its number."""
    connection.execute(
        HISTORY.insert().values(
            clock_id=event.clock_id,
            at=moment_text(event.at),
            by=event.by,
            deed=event.deed,
            record=event.record,
            record_id=event.record_id,
            before=_plain_text(event.before),
            after=_plain_text(event.after),
            why=event.why,
        )
    )


def _note(
    connection: sa.Connection, record: Any, writer: Writer, *, clock_id: str | None, deed: str, before: Any
) -> None:
    kind = kind_of(record)
    note_event(
        connection,
        Event(
            at=writer.at,
            by=writer.by,
            why=writer.why,
            deed=deed,
            record=kind,
            record_id=record.id,
            clock_id=record.id if kind == "clock" else clock_id,
            before=to_plain(before) if before is not None else None,
            after=to_plain(record),
        ),
    )


def _checked_text(record: Any) -> str:
    """The text of a record, read back before it is written: what cannot be read again is never kept."""
    text = to_text(record)
    again = from_text(text)
    assert again == record, f"{record!r} does not survive being written"
    return text


def _where(table: sa.Table, record_id: str, clock_id: str | None) -> sa.ColumnElement[bool]:
    found: sa.ColumnElement[bool] = table.c.id == record_id
    if "clock_id" in table.c:
        assert clock_id is not None, f"a {table.name} is found by its clock"
        found = found & (table.c.clock_id == clock_id)
    return found


def _plain_text(plain: Any) -> str | None:
    return (
        None
        if plain is None
        else json.dumps(plain, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))
    )
