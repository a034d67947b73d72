"""Erasing a person: the one way round a history that is only added to.

Their record keeps its id and loses all else; every writing of them in the history is put in the same form; their words
in the records of their clocks are struck out; files are taken off the disk. Issued invoices stay as they were: the law
of tax asks for them. Everything is done in one transaction, in which the guard of the history is put aside and set
again; afterwards the database is written anew, so that nothing of it stays in unused room of the file.

Never here: who may ask, and what is to be struck out. What cannot be reached from here: backups, exported clocks,
papers that were given out, and the write-ahead log of a PostgreSQL server until the server has used it up.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from underdial.errors import BadInput, UnderdialError
from underdial.record.clock import Attachment
from underdial.record.codec import from_text, to_plain, to_text
from underdial.record.history import Event
from underdial.record.people import Person
from underdial.store.database import reading, write_anew, writing
from underdial.store.files import disk_worded, file_place, force_folder, keep_file, note_file
from underdial.store.records import Writer, note_event, read
from underdial.store.schema import FILE, HISTORY, TABLES, columns_of

STRUCK = "[erased]"
ERASED_NAME = "Somebody whose name was erased"
# Fields of words of a list and of ids.
_KEYS = frozenset(
    {
        "record",
        "id",
        "component",
        "condition",
        "of",
        "against",
        "place",
        "kind",
        "state",
        "standing",
        "sha256",
        "media_type",
        "part",
        "stage",
        "family",
        "work",
        "line",
        "quantity",
        "unit",
        "traits",
        "hazards",
        "answer",
        "channel",
        "significance",
        "decision",
        "who",
        "evidence",
        "findings",
        "movement",
    }
)
# Invoices and credit notes are kept as they were issued.
_KEPT = frozenset({"bill", "credit"})
# Days and moments as they are kept: nobody's name stands in them.
_TIME = re.compile(r"\d{4}-\d\d-\d\d(T[\d:.]+(Z|[+-][\d:]+)?)?")
# What may stand between the figures of a telephone; fewer figures are none, and so many at its end are its own,
# whatever country or trunk figure stands before.
_BETWEEN = r"[\s\-()./]*"
_LEAST_DIGITS, _OWN_DIGITS = 5, 9
_SIGN = "This file was erased because somebody whose data it held asked for it."


@dataclass(frozen=True, slots=True)
class Erased:
    """What was erased: how many records and events of the history were put in another form, and how many files went."""

    records_count: int
    events_count: int
    files_count: int


def clocks_of_person(connection: sa.Connection, person_id: str) -> tuple[str, ...]:
    """The ids of the clocks at which somebody plays or played a part, or which they collected or agreed for."""
    part, consent, visit = TABLES["part"], TABLES["consent"], TABLES["visit"]
    collected = sa.select(visit.c.clock_id).where(visit.c.body.contains(person_id, autoescape=True))
    named = sa.union(
        sa.select(part.c.clock_id).where(part.c.person_id == person_id),
        sa.select(consent.c.clock_id).where(consent.c.person_id == person_id),
        collected,
    )
    return tuple(sorted(connection.execute(named).scalars()))


def where_written(connection: sa.Connection, words: Collection[str], clock_ids: Collection[str]) -> dict[str, int]:
    """For each of these words, in how many records of these clocks it is written, invoices left aside."""
    found = dict.fromkeys(words, 0)
    for kind in _scrubbed_kinds():
        table = TABLES[kind]
        key = table.c.id if kind == "clock" else table.c.clock_id
        for text in connection.execute(sa.select(table.c.body).where(key.in_(clock_ids))).scalars():
            for word in words:
                found[word] += bool(list(_matches(word, json.loads(text))))
    return found


def clocks_elsewhere(connection: sa.Connection, words: Collection[str], clock_ids: Collection[str]) -> tuple[str, ...]:
    """Tickets of other clocks in whose records one of these words is written: of this person, or of a namesake."""
    clock, tags = TABLES["clock"], set()
    for kind in _scrubbed_kinds():
        table = TABLES[kind]
        key = table.c.id if kind == "clock" else table.c.clock_id
        question = sa.select(key, table.c.body).where(key.not_in(clock_ids)).execution_options(yield_per=500)
        for row in connection.execute(question):
            if any(list(_matches(word, json.loads(row[1]))) for word in words):
                tags.add(row[0])
    return tuple(connection.execute(sa.select(clock.c.tag).where(clock.c.id.in_(tags)).order_by(clock.c.tag)).scalars())


def erase_person(
    engine: sa.Engine,
    folder: Path,
    person_id: str,
    writer: Writer,
    *,
    words: Collection[str],
    files: Collection[tuple[str, str]],
    may: Callable[[sa.Connection], None],
) -> Erased:
    """Erase somebody: their record, `words` in all records of their clocks, and `files` (clock id and attachment id).

    `may` is asked inside the transaction and raises when it may not be done. The history gets one event, without a word
    of who it was.
    """
    sha256, size = keep_file(folder, io.BytesIO(_SIGN.encode())) if files else ("", 0)
    with writing(engine) as connection:
        may(connection)
        before: Person = read(connection, "person", person_id).record
        erased = Person(id=person_id, name=ERASED_NAME, erased_at=before.erased_at or writer.at)
        clock_ids = clocks_of_person(connection, person_id)
        with _history_open(connection):
            records = _put_person(connection, erased)
            if files:
                note_file(connection, sha256=sha256, size_bytes=size)
            changed = {
                (clock_id, name): _file_gone(connection, clock_id, name, sha256, size) for clock_id, name in files
            }
            records += len(changed) + _strike_records(connection, words, clock_ids)
            events = _strike_history(connection, erased, words, clock_ids, changed)
        note_event(
            connection,
            Event(
                at=writer.at,
                by=writer.by,
                why=writer.why,
                deed="erased",
                record="person",
                record_id=person_id,
                after=to_plain(erased),
            ),
        )
    clear_erased(engine, folder)
    return Erased(records, events, len(files))


def clear_erased(engine: sa.Engine, folder: Path) -> None:
    """Take what nothing names any more off the disk: files of erased attachments, and unused room in the database.

    Done again when a cut came between the erasing and this.
    """
    attachment = TABLES["attachment"]
    nobody = ~sa.exists().where(attachment.c.sha256 == FILE.c.sha256)
    with reading(engine) as connection:
        gone = tuple(connection.execute(sa.select(FILE.c.sha256).where(nobody)).scalars())
    with disk_worded(folder):
        for sha256 in gone:
            place = file_place(folder, sha256)
            place.unlink(missing_ok=True)
            if place.parent.exists():
                force_folder(place.parent)
    with writing(engine) as connection:
        connection.execute(FILE.delete().where(FILE.c.sha256.in_(gone), nobody))
    write_anew(engine, [table.name for table in (*TABLES.values(), HISTORY)])


def _put_person(connection: sa.Connection, erased: Person) -> int:
    table = TABLES["person"]
    connection.execute(
        table.update()
        .where(table.c.id == erased.id)
        .values(version=table.c.version + 1, body=to_text(erased), **columns_of(erased))
    )
    return 1


def _file_gone(connection: sa.Connection, clock_id: str, name: str, sha256: str, size: int) -> Attachment:
    """The record of a file in the form in which it stays: that there was one, of which visit, and no more."""
    table = TABLES["attachment"]
    before: Attachment = read(connection, "attachment", name, clock_id=clock_id).record
    kept = Attachment(
        sha256=sha256,
        name=STRUCK,
        kind="other",
        media_type="text/plain",
        size_bytes_count=size,
        set_aside=True,
        id=before.id,
        visit_id=before.visit_id,
    )
    connection.execute(
        table.update()
        .where(table.c.clock_id == clock_id, table.c.id == name)
        .values(version=table.c.version + 1, body=to_text(kept), **columns_of(kept))
    )
    return kept


def _strike_records(connection: sa.Connection, words: Collection[str], clock_ids: Collection[str]) -> int:
    """Strike words out of the records of these clocks; how many had one."""
    count = 0
    for kind in _scrubbed_kinds():
        table = TABLES[kind]
        key = table.c.id if kind == "clock" else table.c.clock_id
        for row in connection.execute(sa.select(key, table.c.id, table.c.body).where(key.in_(clock_ids))).all():
            text = _struck_text(row.body, words)
            if text == row.body:
                continue
            record = _still_a_record(text, row.body, words)
            where = (table.c.id == row.id) & (key == row[0])
            connection.execute(
                table.update().where(where).values(version=table.c.version + 1, body=text, **columns_of(record))
            )
            count += 1
    return count


def _strike_history(
    connection: sa.Connection,
    erased: Person,
    words: Collection[str],
    clock_ids: Collection[str],
    files: dict[tuple[str, str], Attachment],
) -> int:
    """Put the history of the person and of their clocks in the same form; how many events were changed."""
    of_person = (HISTORY.c.record == "person") & (HISTORY.c.record_id == erased.id)
    of_clocks = HISTORY.c.clock_id.in_(clock_ids)
    count = 0
    for row in connection.execute(sa.select(HISTORY).where(of_person | of_clocks)).all():
        if row.record == "person" and row.record_id == erased.id:
            new = {name: to_text(erased) if getattr(row, name) else None for name in ("before", "after")}
            new["why"] = None if row.deed != "erased" else row.why
        elif row.record == "attachment" and (row.clock_id, row.record_id) in files:
            kept = to_text(files[row.clock_id, row.record_id])
            new = {name: kept if getattr(row, name) else None for name in ("before", "after")}
            new["why"] = _struck(row.why, words)
        elif row.record in _KEPT:
            continue
        else:
            new = {
                name: _struck_text(text, words) if (text := getattr(row, name)) else None
                for name in ("before", "after")
            }
            new["why"] = _struck(row.why, words)
        new["by"] = _struck(row.by, words)
        if any(value != getattr(row, name) for name, value in new.items()):
            connection.execute(HISTORY.update().where(HISTORY.c.number == row.number).values(**new))
            count += 1
    return count


def _still_a_record(text: str, before: str, words: Collection[str]) -> Any:
    """The record of a struck text. BadInput naming a word that cannot be struck, for the record needs it."""
    try:
        return from_text(text)
    except UnderdialError:
        for word in words:
            try:
                from_text(_struck_text(before, (word,)))
            except UnderdialError:
                raise BadInput(
                    "also",
                    word,
                    "words that are no words of the program's own lists",
                    f"also: {word} is a word that the record itself needs, and cannot be struck out; nothing was "
                    "erased.",
                ) from None
        raise


def _scrubbed_kinds() -> tuple[str, ...]:
    of_clock = tuple(kind for kind, table in TABLES.items() if "clock_id" in table.c and kind not in _KEPT)
    return ("clock", *of_clock)


def _struck_text(text: str, words: Collection[str]) -> str:
    plain = json.loads(text)
    struck = _struck(plain, words)
    return text if struck == plain else _plain_text(struck)


def _plain_text(plain: Any) -> str:
    """As the codec writes it; an event of long ago may hold a form that records no longer have."""
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))


def _struck(value: Any, words: Collection[str]) -> Any:
    """A value with every one of these words struck out of its texts; names of fields and ids stay."""
    if isinstance(value, str):
        for word in () if _TIME.fullmatch(value) else words:
            value = _pattern(word).sub(STRUCK, value)
        return value
    if isinstance(value, list):
        return [_struck(one, words) for one in value]
    if isinstance(value, dict):
        return {name: one if _is_key(name) else _struck(one, words) for name, one in value.items()}
    return value


def _matches(word: str, value: Any) -> Iterator[str]:
    if isinstance(value, str):
        if not _TIME.fullmatch(value):
            yield from (found[0] for found in _pattern(word).finditer(value))
    elif isinstance(value, list):
        for one in value:
            yield from _matches(word, one)
    elif isinstance(value, dict):
        for name, one in value.items():
            if not _is_key(name):
                yield from _matches(word, one)


def _is_key(name: str) -> bool:
    """Fields that hold a word of a list or an id: nobody's name stands in them, and struck they could not be read."""
    return name in _KEYS or name.endswith("_id")


def _pattern(word: str) -> re.Pattern[str]:
    """A word as it may be written: with other spaces between, not inside another word; one name by itself only as it is
    written, for a rose is no Rose; a telephone however it is spaced, with or without its country.
    """
    digits = "".join(one for one in word if one.isdigit())
    if len(digits) >= _LEAST_DIGITS and not any(one.isalpha() for one in word):
        return _telephone(digits)
    inner = r"\s+".join(re.escape(one) for one in word.split())
    alone = word.isalpha()
    return re.compile(rf"(?<!\w){inner}(?!\w)", re.NOFLAG if alone else re.IGNORECASE)


def _telephone(digits: str) -> re.Pattern[str]:
    own = _BETWEEN.join(digits[-_OWN_DIGITS:])
    before = rf"(?:(?:\+|00)[\d()]+{_BETWEEN}[\d()]*|[\d()]{{0,5}}){_BETWEEN}" if len(digits) >= _OWN_DIGITS else ""
    return re.compile(rf"(?<![\d+]){before}{own}(?!\d)")


@contextmanager
def _history_open(connection: sa.Connection) -> Iterator[None]:
    """The guard of the history put aside within this transaction; whatever ends it, the guard stands again."""
    if connection.dialect.name == "sqlite":
        guard = connection.exec_driver_sql(
            "select sql from sqlite_master where name = 'history_no_update'"
        ).scalar_one()
        connection.exec_driver_sql("drop trigger history_no_update")
        yield
        connection.exec_driver_sql(guard)
        return
    connection.exec_driver_sql("alter table history disable trigger history_stays")
    yield
    connection.exec_driver_sql("alter table history enable trigger history_stays")
