"""Opening a shop's database, and the two kinds of transaction on it.

SQLite: write-ahead log, every commit forced to the disk (`synchronous` FULL), foreign keys on, five seconds of
patience when another program writes. PostgreSQL by address, with the same patience. On both a writing transaction
takes the shop's one lock before it reads anything, so that two benches never both read and then both write: the
second waits, sees what the first has kept, and both are kept.

What the machine refuses (disk full, no permission, locked, server away) becomes one MachineRefused sentence.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event, exc

from underdial.errors import BadInput, MachineRefused, RuleBroken

PATIENCE_MS = 5000
# Names the lock of all writers among the advisory locks of a PostgreSQL database; any number will do that stays.
_WRITERS_LOCK = 0x756E646572


def open_database(where: str | Path) -> sa.Engine:
    """An engine on a SQLite file (a path) or a PostgreSQL database (an address). Nothing is read or written yet."""
    if isinstance(where, Path):
        engine = sa.create_engine(sa.URL.create("sqlite+pysqlite", database=str(where)))
        event.listen(engine, "connect", _set_up_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    try:
        url = sa.make_url(where)
    except exc.ArgumentError:
        url = None
    if url is None or url.get_backend_name() != "postgresql":
        raise BadInput(
            "database",
            where,
            "an address that begins with postgresql://",
            f"database: {where} is no address of a PostgreSQL database; allowed: postgresql://host/name.",
        )
    return sa.create_engine(
        url.set(drivername="postgresql+psycopg"), isolation_level="REPEATABLE READ", pool_pre_ping=True
    )


@contextmanager
def reading(engine: sa.Engine) -> Iterator[sa.Connection]:
    """A transaction that only reads: one moment of the shop, whatever others write meanwhile."""
    with _worded(engine), engine.connect().execution_options(underdial_reads=True) as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: sa.Engine) -> Iterator[sa.Connection]:
    """A transaction that writes: all of it or nothing. When this has ended without an error, it is on the disk."""
    shared = engine.dialect.name == "postgresql"
    # One writer at a time is all the order that is needed; each statement must see what was kept while it waited.
    options = {"isolation_level": "READ COMMITTED"} if shared else {}
    with _worded(engine), engine.connect().execution_options(**options) as connection, connection.begin():
        if shared:
            _wait_for_turn(connection)
        yield connection


def write_anew(engine: sa.Engine, tables: Iterable[str]) -> None:
    """Write a database anew, so that nothing of what was taken out stays in room that is not used. Nobody may be
    reading or writing meanwhile for longer than our patience: MachineRefused, and it is to be done once more.
    """
    try:
        if engine.dialect.name == "sqlite":
            _write_file_anew(engine)
            return
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(sa.select(sa.func.set_config("lock_timeout", f"{PATIENCE_MS}ms", False)))
            for name in tables:
                connection.exec_driver_sql(f"vacuum full {name}")
    except (sqlite3.Error, exc.DBAPIError) as wrong:
        said = _first_line(wrong) if isinstance(wrong, exc.DBAPIError) else str(wrong)
        raise MachineRefused(
            "database",
            said,
            "nobody else at work in the shop, and room on the disk",
            "database: what was taken out is out of every record and of the history, but its bytes still lie in the "
            f"database's file ({said}). Do the same once more while nobody else is at work in the shop.",
        ) from wrong


def _write_file_anew(engine: sa.Engine) -> None:
    raw = engine.raw_connection()
    try:
        raw.cursor().execute("VACUUM")
        busy, *_ = raw.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    finally:
        raw.close()
    if busy:
        # While somebody reads the log is not taken back into the file, and both hold what was before.
        raise sqlite3.OperationalError("somebody else is reading")


@contextmanager
def _worded(engine: sa.Engine) -> Iterator[None]:
    try:
        yield
    except exc.IntegrityError as wrong:
        raise _forbidden(wrong) from wrong
    except exc.DBAPIError as wrong:
        raise _refused(engine, wrong) from wrong


def _forbidden(wrong: exc.IntegrityError) -> RuleBroken:
    said = _first_line(wrong)
    for sign, words in (
        ("foreign key", "it names a visit, person, choice, round or file that is not in the record"),
        ("unique", "something of this name is there already"),
        ("primary key", "something of this name is there already"),
        ("history", "the history is only added to"),
    ):
        if sign in said.lower():
            return RuleBroken(
                "record", said, "what the rest of the record allows", f"record: this is not kept: {words}."
            )
    return RuleBroken("record", said, "what the rest of the record allows", f"record: this is not kept ({said}).")


def _refused(engine: sa.Engine, wrong: exc.DBAPIError) -> MachineRefused:
    said = _first_line(wrong)
    name = engine.url.database or "database"
    for sign, allowed, words in (
        (
            "disk is full",
            "room on the disk",
            "the disk is full; nothing of this was kept, and what was confirmed before is safe",
        ),
        (
            "disk I/O error",
            "a disk that can be written",
            "the disk will not be written or read; nothing of this was kept",
        ),
        ("is locked", "one writer at a time", "another program is writing to the shop; try again"),
        ("lock timeout", "one writer at a time", "another program is writing to the shop; try again"),
        ("readonly", "permission to write", "there is no permission to write"),
        ("unable to open", "a folder that can be read and written", "it cannot be opened"),
        ("not a database", "a shop's database", "this file is no database of a shop"),
        ("malformed", "a sound database", "the database is damaged; restore the last backup"),
        ("connection", "a server that answers", "the database server does not answer"),
    ):
        if sign in said:
            return MachineRefused("shop", name, allowed, f"shop: {name}: {words}.")
    return MachineRefused("shop", name, "a working database", f"shop: {name}: {said}.")


def _first_line(wrong: exc.DBAPIError) -> str:
    return str(wrong.orig).strip().splitlines()[0]


def _set_up_sqlite(connection: sqlite3.Connection, _: Any) -> None:
    connection.isolation_level = None  # We say BEGIN ourselves, so that DDL is inside transactions too.
    for pragma in (
        f"busy_timeout={PATIENCE_MS}",
        "foreign_keys=ON",
        "synchronous=FULL",
        "journal_mode=WAL",
        "trusted_schema=OFF",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _wait_for_turn(connection: sa.Connection) -> None:
    """Take the lock of all writers, which ends with the transaction."""
    connection.execute(sa.select(sa.func.set_config("lock_timeout", f"{PATIENCE_MS}ms", True)))
    connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_WRITERS_LOCK)))


def _begin_sqlite(connection: sa.Connection) -> None:
    reads = connection.get_execution_options().get("underdial_reads")
    connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")
