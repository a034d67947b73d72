"""Is a shop sound? The database, every record's own rules, what is stored twice, every file's bytes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from underdial.errors import UnderdialError
from underdial.record.codec import from_text, kind_of
from underdial.store.database import reading
from underdial.store.files import kept_files, sha256_of
from underdial.store.schema import FILE, HISTORY, REVISION, TABLES, columns_of


@dataclass(frozen=True, slots=True)
class Problem:
    """Something that is not as it must be, and where."""

    what: str
    where: str


def problems_of(engine: sa.Engine, folder: Path) -> Iterator[Problem]:
    """Everything wrong with a shop; nothing when it is sound. Reads all of it, and writes nothing."""
    try:
        with reading(engine) as connection:
            sqlite = engine.dialect.name == "sqlite"
            if sqlite:
                yield from _of_database(connection)
            found = connection.execute(sa.text("select version_num from alembic_version")).scalar()
            if found != REVISION:
                yield Problem(f"the database has form {found}, this program needs {REVISION}", "database")
            yield from _of_records(connection)
            yield from _of_history(connection)
            yield from _of_files(connection, folder)
    except UnderdialError as wrong:
        yield Problem(wrong.message, "database")


def left_over(engine: sa.Engine, folder: Path) -> tuple[str, ...]:
    """Files that no record names: what a cut between file and record leaves. Harmless; nothing confirmed is in them."""
    with reading(engine) as connection:
        known = set(connection.execute(sa.select(FILE.c.sha256)).scalars())
    waiting = tuple(str(one.relative_to(folder)) for one in folder.glob(".incoming/*"))
    return (*(sha256 for sha256 in sorted(kept_files(folder)) if sha256 not in known), *waiting)


def _of_database(connection: sa.Connection) -> Iterator[Problem]:
    for row in connection.exec_driver_sql("PRAGMA integrity_check"):
        if row[0] != "ok":
            yield Problem(str(row[0]), "database")
    for row in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        yield Problem(f"a {row[0]} names a {row[2]} that is not there", f"{row[0]} row {row[1]}")


def _of_records(connection: sa.Connection) -> Iterator[Problem]:
    for kind, table in TABLES.items():
        for row in connection.execute(sa.select(table).execution_options(yield_per=500)).mappings():
            where = f"{row['clock_id']} {row['id']}" if "clock_id" in row else str(row["id"])
            try:
                record = from_text(row["body"])
            except UnderdialError as wrong:
                yield Problem(wrong.message, where)
                continue
            if kind_of(record) != kind or record.id != row["id"]:
                yield Problem(f"the record inside is {kind_of(record)} {record.id}", where)
            elif apart := [name for name, value in columns_of(record).items() if row[name] != value]:
                yield Problem(f"{', '.join(apart)} beside the record is not what the record says", where)


def _of_history(connection: sa.Connection) -> Iterator[Problem]:
    """Each record stands as its last event left it: a change that went round the history shows here."""
    for kind, table in TABLES.items():
        mine = table.c.clock_id if "clock_id" in table.c else None
        last = sa.select(HISTORY.c.record_id, HISTORY.c.clock_id, sa.func.max(HISTORY.c.number).label("number")).where(
            HISTORY.c.record == kind
        )
        newest = last.group_by(HISTORY.c.record_id, HISTORY.c.clock_id).subquery()
        meets = (
            newest.c.record_id == table.c.id
            if mine is None
            else (newest.c.record_id == table.c.id) & (newest.c.clock_id == mine)
        )
        question = (
            sa.select(table.c.id, table.c.body, HISTORY.c.after, *([mine] if mine is not None else []))
            .select_from(table.outerjoin(newest, meets).outerjoin(HISTORY, HISTORY.c.number == newest.c.number))
            .execution_options(yield_per=500)
        )
        for row in connection.execute(question):
            if row.after != row.body:
                yield Problem(
                    "the record is not as its history left it", f"{row[3]} {row.id}" if mine is not None else row.id
                )


def _of_files(connection: sa.Connection, folder: Path) -> Iterator[Problem]:
    there = kept_files(folder)
    for row in connection.execute(sa.select(FILE)):
        place = there.get(row.sha256)
        if place is None:
            yield Problem("a file is not there", row.sha256)
        elif place.stat().st_size != row.size_bytes or sha256_of(place) != row.sha256:
            yield Problem("a file's bytes have changed", row.sha256)
