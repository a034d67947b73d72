"""The whole shop in one file, and back into an empty folder.

The file is a zip: `manifest.json`, `shop.sqlite` (one moment of the database, taken while others may write) and
`attachments/<sha256>`. The manifest names every file with its size and SHA-256; nothing is restored unless all
agree. A shop kept in PostgreSQL is copied, table by table in one transaction, into the same SQLite form, and from there
into an empty PostgreSQL database where one is given.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import re
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, nullcontext
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, BinaryIO

import sqlalchemy as sa

from underdial.errors import BadInput, MachineRefused, NotFound
from underdial.store.database import open_database, reading, writing
from underdial.store.files import disk_worded, file_place, force_folder, sha256_of
from underdial.store.migrate import bring_up_to_date
from underdial.store.schema import FILE, METADATA, REVISION, TABLES, moment_text

FORMAT, VERSION = "underdial-shop", 1
DATABASE_NAME, ATTACHMENTS_NAME, SETTINGS_NAME = "shop.sqlite", "attachments", "shop.toml"
_MOST_MANIFEST_BYTES = 64 << 20
_ROWS_AT_ONCE = 1000
# What the reading of a damaged zip raises: also for a way of packing that there is not, and for a file that says it is
# locked with a word.
_DAMAGED = (zipfile.BadZipFile, KeyError, ValueError, EOFError, zlib.error, NotImplementedError, RuntimeError)


@dataclass(frozen=True, slots=True)
class Carried:
    """What a backup, restore, export or import carried, the SHA-256 of its file, and what is not in it, in words."""

    clocks_count: int
    files_count: int
    sha256: str
    warnings: tuple[str, ...] = ()


def write_backup(engine: sa.Engine, folder: Path, file: Path, *, at: datetime, settings: Path | None = None) -> Carried:
    """Write the shop to `file`, which must not exist yet. Moved into place only when it is whole and on the disk.

    `settings` is the shop's own settings file, taken along when it is there. A file that is gone or has changed on the
    disk is left out and named in a warning: it is no reason to leave all the others without a backup.
    """
    if file.exists():
        raise BadInput(
            "file", str(file), "a new file name", f"file: {file} exists; a backup is never written over another file."
        )
    with disk_worded(file.parent), tempfile.TemporaryDirectory(dir=file.parent, prefix=".underdial-") as made:
        snapshot = Path(made) / DATABASE_NAME
        _take_snapshot(engine, snapshot)
        with closing(sqlite3.connect(snapshot)) as source:
            clocks = source.execute("select count(*) from clock").fetchone()[0]
            shas = [row[0] for row in source.execute("select sha256 from file order by sha256")]
        part = Path(made) / "part.zip"
        files = {
            DATABASE_NAME: snapshot,
            **{f"{ATTACHMENTS_NAME}/{sha256}": file_place(folder, sha256) for sha256 in shas},
        }
        if settings is not None and settings.exists():
            files[SETTINGS_NAME] = settings
        manifest = {
            "format": FORMAT,
            "version": VERSION,
            "revision": REVISION,
            "made_at": moment_text(at),
            "clocks_count": clocks,
        }
        left_out = write_zip(part, manifest, files)
        with closing(sqlite3.connect(snapshot)) as source:
            warnings = tuple(_said_lost(source, name) for name in left_out)
        place_whole(part, file)
    lost_count = sum(name != SETTINGS_NAME for name in left_out)
    return Carried(clocks, len(shas) - lost_count, sha256_of(file), warnings)


def restore_backup(file: Path, into: Path, *, database: str | None = None) -> Carried:
    """Bring a shop back into a folder that is empty or not there yet, its records into an empty PostgreSQL database
    where the address of one is given. Nothing is left behind when it fails.
    """
    into = into.resolve()
    server = None if database is None else _empty_server(database)
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise BadInput(
            "into",
            str(into),
            "an empty or new folder",
            f"into: {into} is not empty; a shop is restored only into an empty or new folder.",
        )
    # A folder that is there stays the same folder: somebody may stand in it, or a disk may hang on it.
    home = into if into.exists() else into.parent
    with open_zip(file, FORMAT, VERSION) as (source, manifest), disk_worded(home):
        if DATABASE_NAME not in manifest["files"]:
            raise BadInput(
                "file",
                str(file),
                "a backup with its database",
                f"file: {file} has no database inside; nothing was restored.",
            )
        home.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(dir=home, prefix=".underdial-"))
        try:
            for name, facts in manifest["files"].items():
                sha256 = name.removeprefix(f"{ATTACHMENTS_NAME}/")
                place = (
                    made / name
                    if name in (DATABASE_NAME, SETTINGS_NAME)
                    else file_place(made / ATTACHMENTS_NAME, sha256)
                )
                unpack(source, name, facts, place)
            _own_database(made / SETTINGS_NAME)
            _check_database(made / DATABASE_NAME, file)
            clocks = _count_and_migrate(made / DATABASE_NAME)
            with nullcontext() if server is None else _carried_over(made, server, str(database)):
                if home == into:
                    _move_up(made, into)
                else:
                    made.rename(into)
                force_folder(home)
        finally:
            shutil.rmtree(made, ignore_errors=True)
    files = [name for name in manifest["files"] if name.startswith(f"{ATTACHMENTS_NAME}/")]
    return Carried(clocks, len(files), sha256_of(file))


def write_zip(part: Path, manifest: Mapping[str, Any], files: Mapping[str, Path]) -> tuple[str, ...]:
    """A zip of these files with their sizes and hashes in `manifest.json`; forced to the disk.

    Returned are the names that the manifest leaves out, because the file cannot be read or has not the bytes it is
    named by.
    """
    told: dict[str, dict[str, Any]] = {}
    with part.open("wb") as target:
        with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as packed:
            for name, place in files.items():
                facts = _pack(packed, name, place)
                if facts is not None:
                    told[name] = facts
            packed.writestr(
                "manifest.json", json.dumps({**manifest, "files": told}, ensure_ascii=False, sort_keys=True, indent=1)
            )
        target.flush()
        os.fsync(target.fileno())
    return tuple(name for name in files if name not in told)


def place_whole(part: Path, file: Path, *, replace: bool = False) -> None:
    """Move a whole file into place. Without `replace` a file that came there meanwhile is left alone."""
    if replace:
        part.replace(file)
    else:
        try:
            os.link(part, file)
        except FileExistsError:
            raise BadInput("file", str(file), "a new file name", f"file: {file} exists; give another name.") from None
        except OSError:
            # A disk without hard links (a memory stick): the look beforehand has to do.
            part.rename(file)
    force_folder(file.parent)


@contextmanager
def open_zip(file: Path, format_name: str, version: int) -> Iterator[tuple[zipfile.ZipFile, dict[str, Any]]]:
    """An opened file of ours and its manifest, refused in one sentence when it is not of this format."""
    try:
        opened = zipfile.ZipFile(file)
    except FileNotFoundError:
        raise NotFound("file", str(file), "a file that exists", f"file: {file} is not there.") from None
    except (zipfile.BadZipFile, EOFError, NotImplementedError):
        raise _not_ours(file, format_name) from None
    except OSError as wrong:
        raise MachineRefused(
            "file", str(file), "a file that can be read", f"file: {file} cannot be read ({wrong.strerror})."
        ) from wrong
    with opened:
        try:
            with opened.open("manifest.json") as told:
                manifest = json.loads(told.read(_MOST_MANIFEST_BYTES))
        except _DAMAGED:
            raise _not_ours(file, format_name) from None
        except OSError as wrong:
            # A place inside the file that lies before its beginning: the list of what is inside is damaged.
            if wrong.errno != errno.EINVAL:
                raise
            raise _not_ours(file, format_name) from None
        yield opened, _checked_manifest(manifest, file, format_name, version)


def unpack(source: zipfile.ZipFile, name: str, facts: Mapping[str, Any], place: Path) -> None:
    """Take one file out to `place`; BadInput when its size or hash is not what the manifest says."""
    place.parent.mkdir(parents=True, exist_ok=True)
    found, size = hashlib.sha256(), 0
    try:
        with source.open(name) as packed, place.open("wb") as target:
            while piece := packed.read(1 << 20):
                size += len(piece)
                if size > facts["size_bytes"]:
                    break
                found.update(piece)
                target.write(piece)
            target.flush()
            os.fsync(target.fileno())
    except _DAMAGED:
        size = -1
    except OSError as wrong:
        if wrong.errno != errno.EINVAL:
            raise
        size = -1
    if size != facts["size_bytes"] or found.hexdigest() != facts.get("sha256"):
        raise BadInput(
            "file",
            name,
            "the bytes the manifest names",
            f"file: {name} inside is not what the manifest says; the file is damaged, and nothing was taken from it.",
        )


def _not_ours(file: Path, format_name: str) -> BadInput:
    return BadInput(
        "file",
        str(file),
        f"a file of the form {format_name}",
        f"file: {file} is not a file this program wrote, or it is damaged.",
    )


def _checked_manifest(manifest: Any, file: Path, format_name: str, version: int) -> dict[str, Any]:
    found = manifest.get("format") if isinstance(manifest, dict) else None
    if found != format_name:
        raise BadInput(
            "file",
            str(file),
            f"a file of the form {format_name}",
            f"file: {file} is of the form {found}, not {format_name}.",
        )
    written, files = manifest.get("version"), manifest.get("files")
    if not isinstance(written, int) or not 1 <= written <= version:
        raise BadInput(
            "file",
            str(file),
            f"version 1 to {version}",
            f"file: {file} has version {written}; this program reads up to {version}. Use a newer one.",
        )
    good = isinstance(files, dict) and all(
        _is_our_name(name) and isinstance(facts, dict) and isinstance(facts.get("size_bytes"), int)
        for name, facts in files.items()
    )
    if not good:
        raise BadInput(
            "file",
            str(file),
            "a manifest as this program writes it",
            f"file: {file} names files that do not belong in it.",
        )
    return dict(manifest)


def _is_our_name(name: object) -> bool:
    if name in (DATABASE_NAME, SETTINGS_NAME, "clocks.json"):
        return True
    tail = (
        name.removeprefix(f"{ATTACHMENTS_NAME}/")
        if isinstance(name, str) and name.startswith(f"{ATTACHMENTS_NAME}/")
        else ""
    )
    return len(tail) == 64 and set(tail) <= set("0123456789abcdef")


def _pack(packed: zipfile.ZipFile, name: str, place: Path) -> dict[str, Any] | None:
    """Pack one file; its hash and size, or None when it cannot be read or its bytes have changed."""
    found, size = hashlib.sha256(), 0
    info = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    info.compress_type = zipfile.ZIP_STORED if name.startswith(ATTACHMENTS_NAME) else zipfile.ZIP_DEFLATED
    source: BinaryIO
    try:
        source = place.open("rb")
    except OSError:
        return None
    with source, packed.open(info, "w", force_zip64=True) as target:
        while True:
            # What the disk refuses to read is the fault of this file, not of the folder that is written to.
            try:
                piece = source.read(1 << 20)
            except OSError:
                return None
            if not piece:
                break
            found.update(piece)
            size += len(piece)
            target.write(piece)
    if name.startswith(ATTACHMENTS_NAME) and found.hexdigest() != name.removeprefix(f"{ATTACHMENTS_NAME}/"):
        return None
    return {"sha256": found.hexdigest(), "size_bytes": size}


def _said_lost(source: sqlite3.Connection, name: str) -> str:
    if name == DATABASE_NAME:
        raise MachineRefused(
            "backup", name, "a disk that can be read", "backup: the copy of the records cannot be read."
        )
    if name == SETTINGS_NAME:
        return f"{SETTINGS_NAME} cannot be read and is not in the backup."
    sha256 = name.removeprefix(f"{ATTACHMENTS_NAME}/")
    question = "select c.tag, a.body from attachment a join clock c on c.id = a.clock_id where a.sha256 = ?"
    named = [f"{json.loads(body)['name']} of the clock {tag}" for tag, body in source.execute(question, (sha256,))]
    return (
        f"{' and '.join(named) or 'A file that no record names'} is not in the backup: its file {sha256[:12]}… is gone "
        "or has changed on the disk; bring it back from an earlier backup."
    )


def _move_up(made: Path, into: Path) -> None:
    """Move what was made into the folder round it, the database after its files; all of it or nothing."""
    names = sorted((one.name for one in made.iterdir()), key=lambda name: (name != ATTACHMENTS_NAME, name))
    try:
        for name in names:
            (made / name).rename(into / name)
    except OSError:
        for name in names:
            if (into / name).exists():
                (into / name).rename(made / name)
        raise


def _take_snapshot(engine: sa.Engine, target: Path) -> None:
    if engine.dialect.name == "sqlite":
        with (
            closing(sqlite3.connect(str(engine.url.database), timeout=30.0)) as source,
            closing(sqlite3.connect(target)) as copy,
        ):
            source.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
        return
    copy_engine = open_database(target)
    bring_up_to_date(copy_engine)
    with reading(engine) as source_connection, writing(copy_engine) as connection:
        connection.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        for table in (FILE, *TABLES.values(), METADATA.tables["history"]):
            rows = [dict(row) for row in source_connection.execute(sa.select(table)).mappings()]
            if rows:
                connection.execute(table.insert(), rows)
    copy_engine.dispose()
    with closing(sqlite3.connect(target)) as settle:
        settle.execute("PRAGMA journal_mode=DELETE")


def _empty_server(address: str) -> sa.Engine:
    """The database of that address, which must be empty. Raises BadInput; MachineRefused when it does not answer."""
    engine = open_database(address)
    with reading(engine) as connection:
        found = sa.inspect(connection).get_table_names()
    if found:
        raise BadInput(
            "database",
            engine.url.database,
            "an empty database",
            f"database: {engine.url.database} holds something already ({', '.join(sorted(found)[:3])}); a shop is "
            "restored only into an empty database.",
        )
    return engine


@contextmanager
def _carried_over(made: Path, server: sa.Engine, address: str) -> Iterator[None]:
    """The records of an unpacked shop in a PostgreSQL database, its settings naming that; taken out again when what is
    done inside fails.
    """
    copy = made / DATABASE_NAME
    try:
        bring_up_to_date(server)
        source = open_database(copy)
        with reading(source) as told, writing(server) as connection:
            for table in (FILE, *TABLES.values(), METADATA.tables["history"]):
                rows = told.execute(sa.select(table).execution_options(yield_per=_ROWS_AT_ONCE)).mappings()
                for some in rows.partitions():
                    connection.execute(table.insert(), [dict(row) for row in some])
            # The next event takes the number after the last.
            connection.exec_driver_sql(
                "select setval(pg_get_serial_sequence('history', 'number'), max(number)) from history "
                "having max(number) > 0"
            )
        source.dispose()
        for one in made.glob(f"{DATABASE_NAME}*"):
            one.unlink()
        settings = made / SETTINGS_NAME
        before = settings.read_text(encoding="utf-8") if settings.exists() else ""
        settings.write_text(f"database = {json.dumps(address)}\n{before}", encoding="utf-8")
        yield
    except BaseException:
        with writing(server) as connection:
            METADATA.drop_all(connection)
            connection.exec_driver_sql("drop table if exists alembic_version")
            connection.exec_driver_sql("drop function if exists history_stays")
        raise
    finally:
        server.dispose()


def _own_database(settings: Path) -> None:
    """A restored shop lies in its own folder: an address of a shared database is kept as a remark only."""
    if settings.exists():
        text = settings.read_text(encoding="utf-8")
        settings.write_text(
            re.sub(r"^(\s*database\s*=)", r"# restored from a shared shop: \1", text, flags=re.MULTILINE),
            encoding="utf-8",
        )


def _check_database(database: Path, file: Path) -> None:
    try:
        with closing(sqlite3.connect(database)) as opened:
            sound = opened.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    except sqlite3.DatabaseError:
        sound = False
    if not sound:
        raise BadInput(
            "file", str(file), "a sound backup", f"file: the database inside {file} is damaged; nothing was restored."
        )


def _count_and_migrate(database: Path) -> int:
    engine = open_database(database)
    bring_up_to_date(engine)
    with reading(engine) as connection:
        clocks = connection.execute(sa.select(sa.func.count()).select_from(TABLES["clock"])).scalar_one()
    engine.dispose()
    return int(clocks)
