"""One clock (or several) from shop to shop: its whole record, its people, its history and its files.

The file is a zip: `manifest.json`, `clocks.json` (plain records as the codec writes them) and
`attachments/<sha256>`. What comes in is read by the codec with every rule in force, in one transaction: a file
with one bad record brings in nothing.
"""

from __future__ import annotations

import io
import json
import tempfile
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from underdial.errors import BadInput, MachineRefused
from underdial.record.codec import KINDS, from_plain, to_plain
from underdial.record.earlier_forms import as_now
from underdial.record.history import Event
from underdial.store.backup import ATTACHMENTS_NAME, Carried, open_zip, place_whole, unpack, write_zip
from underdial.store.clocks import free_tag, people_of
from underdial.store.database import reading, writing
from underdial.store.files import disk_worded, file_place, keep_file, note_file, sha256_of
from underdial.store.records import Writer, add, read, read_all, read_history
from underdial.store.schema import TABLES, moment_text

FORMAT, VERSION = "underdial-clock", 1
_RECORDS_NAME = "clocks.json"
_OF_SHOP = ("clock", "person", "lesson", "recorder")
_OF_CLOCK = tuple(kind for kind in KINDS if kind not in _OF_SHOP)
_MOST_BYTES = 256 << 20


def write_exchange(
    engine: sa.Engine, folder: Path, clock_ids: Iterable[str], file: Path, *, at: datetime, replace_file: bool = False
) -> Carried:
    """Write these clocks to a file; moved into place only when it is whole."""
    if file.exists() and not replace_file:
        raise BadInput(
            "out", str(file), "a new file name, or --replace", f"out: {file} exists; give another name, or --replace."
        )
    with reading(engine) as connection:
        clocks = [_packed(connection, clock_id) for clock_id in clock_ids]
    shas = sorted({one["sha256"] for clock in clocks for one in clock["records"] if one["record"] == "attachment"})
    with disk_worded(file.parent), tempfile.TemporaryDirectory(dir=file.parent, prefix=".underdial-") as made:
        records = Path(made) / _RECORDS_NAME
        records.write_text(
            json.dumps({"clocks": clocks}, ensure_ascii=False, sort_keys=True, indent=1), encoding="utf-8"
        )
        part = Path(made) / "part.zip"
        manifest = {"format": FORMAT, "version": VERSION, "made_at": moment_text(at), "clocks_count": len(clocks)}
        left_out = write_zip(
            part,
            manifest,
            {_RECORDS_NAME: records, **{f"{ATTACHMENTS_NAME}/{sha256}": file_place(folder, sha256) for sha256 in shas}},
        )
        _check_whole(clocks, left_out)
        place_whole(part, file, replace=replace_file)
    return Carried(len(clocks), len(shas), sha256_of(file))


def read_exchange(engine: sa.Engine, folder: Path, file: Path, writer: Writer) -> tuple[Carried, tuple[str, ...]]:
    """Take the clocks of a file in, all or none; what was carried, and what had to be changed, in words."""
    with (
        open_zip(file, FORMAT, VERSION) as (source, manifest),
        tempfile.TemporaryDirectory(prefix="underdial-") as made,
    ):
        places: dict[str, Path] = {}
        for name, facts in manifest["files"].items():
            if facts["size_bytes"] > _MOST_BYTES and name == _RECORDS_NAME:
                raise BadInput("file", str(file), f"records up to {_MOST_BYTES >> 20} MiB")
            places[name] = Path(made) / name
            unpack(source, name, facts, places[name])
        clocks = _clocks_in(places.get(_RECORDS_NAME), file)
        sizes = {}
        for name, place in places.items():
            if name != _RECORDS_NAME:
                with place.open("rb") as bytes_in:
                    sha256, size = keep_file(folder, bytes_in)
                sizes[sha256] = size
    warnings: list[str] = []
    with writing(engine) as connection:
        for sha256, size in sizes.items():
            note_file(connection, sha256=sha256, size_bytes=size)
        for clock in clocks:
            warnings += _take_in(connection, clock, writer, known=set(sizes))
    return Carried(len(clocks), len(sizes), sha256_of(file)), tuple(warnings)


def _check_whole(clocks: Iterable[Mapping[str, Any]], left_out: tuple[str, ...]) -> None:
    """MachineRefused, naming clock and file, when a file could not be taken along: no shop could take that in."""
    lost = {name.removeprefix(f"{ATTACHMENTS_NAME}/") for name in left_out}
    for clock in clocks:
        tag = next(one["tag"] for one in clock["records"] if one["record"] == "clock")
        for one in clock["records"]:
            if one["record"] == "attachment" and one["sha256"] in lost:
                raise MachineRefused(
                    "attachment",
                    one["name"],
                    "a sound file",
                    f"attachment: {one['name']} of the clock {tag} cannot be taken along: its file "
                    f"{one['sha256'][:12]}… is gone or has changed on the disk; bring it back from an earlier backup.",
                )
    assert not left_out, left_out


def _packed(connection: sa.Connection, clock_id: str) -> dict[str, Any]:
    records = [read(connection, "clock", clock_id).record, *people_of(connection, clock_id).values()]
    for kind in _OF_CLOCK:
        records += [one.record for one in read_all(connection, kind, clock_id=clock_id)]
    return {
        "records": [to_plain(one) for one in records],
        "history": [_event_to_plain(event) for event in read_history(connection, clock_id=clock_id)],
    }


def _clocks_in(place: Path | None, file: Path) -> list[Mapping[str, Any]]:
    if place is None:
        raise BadInput("file", str(file), f"a file with {_RECORDS_NAME} inside", f"file: {file} holds no clocks.")
    try:
        told = json.loads(io.TextIOWrapper(place.open("rb"), encoding="utf-8").read())
        clocks = told["clocks"]
        good = isinstance(clocks, list) and all(
            isinstance(one["records"], list)
            and all(isinstance(record, dict) for record in one["records"])
            and isinstance(one.get("history", []), list)
            for one in clocks
        )
    except (ValueError, KeyError, TypeError):
        good = False
    if not good:
        raise BadInput(
            "file",
            str(file),
            "clocks with their records",
            f"file: {file} cannot be read: {_RECORDS_NAME} inside is not as this program writes it.",
        )
    return list(clocks)


def _take_in(connection: sa.Connection, told: Mapping[str, Any], writer: Writer, *, known: set[str]) -> list[str]:
    records = [from_plain(one) for one in as_now(told["records"])]
    found = [one for one in records if type(one) is KINDS["clock"]]
    if len(found) != 1 or not found[0].id:
        raise BadInput(
            "file",
            len(found),
            "one clock with its id in each part",
            "file: each part of it holds one clock with its id; this one does not.",
        )
    clock, warnings = found[0], []
    table = TABLES["clock"]
    if connection.execute(sa.select(table.c.id).where(table.c.id == clock.id)).first() is not None:
        raise BadInput(
            "clock",
            clock.tag,
            "a clock that is not in this shop yet",
            f"clock: {clock.tag} ({clock.name}) is already in this shop; nothing was taken in.",
        )
    tag = free_tag(connection, clock.tag)
    if tag != clock.tag:
        warnings.append(f"Another clock here has the ticket {clock.tag}; this one now has {tag}.")
        clock = replace(clock, tag=tag)
    history = [_event_from_plain(event, clock.id) for event in told.get("history", [])]
    add(connection, clock, writer, deed="imported", earlier=history)
    order = {kind: place for place, kind in enumerate(KINDS)}
    for record in sorted(
        (one for one in records if one is not found[0]), key=lambda one: order[to_plain(one)["record"]]
    ):
        _take_one(connection, record, writer, clock_id=clock.id, known=known)
    return warnings


def _take_one(connection: sa.Connection, record: Any, writer: Writer, *, clock_id: str, known: set[str]) -> None:
    kind = to_plain(record)["record"]
    if not record.id:
        raise BadInput("id", "nothing", "an id for every record", f"id: a {kind} in the file has none.")
    if kind == "person":
        table = TABLES["person"]
        if connection.execute(sa.select(table.c.id).where(table.c.id == record.id)).first() is None:
            add(connection, record, writer, deed="imported")
        return
    if kind in ("lesson", "recorder"):
        raise BadInput(
            "record",
            kind,
            "records of a clock",
            "record: what another shop was taught does not come in with a clock, nor what it found of its recorders; "
            "nothing was taken in.",
        )
    if kind == "attachment" and record.sha256 not in known:
        raise BadInput(
            "attachment",
            record.name,
            "a file that is inside",
            f"attachment: the bytes of {record.name} are not in the file.",
        )
    if kind in ("bill", "credit"):
        # Its number is of another shop's row.
        record = replace(record, from_elsewhere=True)
    add(connection, record, writer, clock_id=clock_id, deed="imported")


def _event_to_plain(event: Event) -> dict[str, Any]:
    return {
        "at": moment_text(event.at),
        "by": event.by,
        "deed": event.deed,
        "record": event.record,
        "record_id": event.record_id,
        "before": event.before,
        "after": event.after,
        "why": event.why,
    }


def _event_from_plain(plain: Any, clock_id: str) -> Event:
    try:
        return Event(
            at=datetime.fromisoformat(plain["at"]),
            by=plain["by"],
            deed=plain["deed"],
            record=plain["record"],
            record_id=plain["record_id"],
            before=plain.get("before"),
            after=plain.get("after"),
            why=plain.get("why"),
            clock_id=clock_id,
        )
    except (KeyError, TypeError, ValueError, AttributeError):
        raise BadInput(
            "history",
            str(plain)[:60],
            "an event with at, by, deed, record and record_id",
            "history: an event in the file cannot be read; nothing was taken in.",
        ) from None
