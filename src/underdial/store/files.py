"""Attachments: each kept once, named by the SHA-256 of its bytes, in a folder of the shop.

A file is written under a temporary name, forced to the disk, and moved into place; only then may a record name
it. So a record never points at half a file, and what a cut leaves behind is at most a temporary name.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

import sqlalchemy as sa

from underdial.errors import MachineRefused, NotFound
from underdial.store.schema import FILE

_CHUNK_BYTES = 1 << 20
_INCOMING = ".incoming"


def keep_file(folder: Path, source: BinaryIO) -> tuple[str, int]:
    """Keep the bytes of `source` under `folder`; their SHA-256 and how many they are. Kept twice is kept once."""
    incoming = folder / _INCOMING
    with disk_worded(folder):
        incoming.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=incoming)
        part = Path(name)
        try:
            with os.fdopen(handle, "wb") as target:
                sha256, size = _copy(source, target)
                target.flush()
                os.fsync(target.fileno())
            place = file_place(folder, sha256)
            place.parent.mkdir(parents=True, exist_ok=True)
            part.replace(place)
            for where in (place.parent, folder):
                force_folder(where)
        finally:
            part.unlink(missing_ok=True)
    return sha256, size


def note_file(connection: sa.Connection, *, sha256: str, size_bytes: int) -> None:
    """Write in the database that these bytes are kept, so that an attachment may name them."""
    if connection.execute(sa.select(FILE.c.sha256).where(FILE.c.sha256 == sha256)).first() is None:
        connection.execute(FILE.insert().values(sha256=sha256, size_bytes=size_bytes))


def file_place(folder: Path, sha256: str) -> Path:
    """Where a kept file lies: `ab/ab12…` under the folder of attachments."""
    assert re.fullmatch("[0-9a-f]{64}", sha256), "a file is named by its SHA-256"
    return folder / sha256[:2] / sha256


def open_file(folder: Path, sha256: str) -> BinaryIO:
    """A kept file, open for reading; NotFound when its bytes are not there."""
    try:
        return file_place(folder, sha256).open("rb")
    except FileNotFoundError:
        raise NotFound(
            "attachment",
            sha256,
            "a file kept in the shop",
            f"attachment: the file {sha256[:12]}… is not in the shop's folder; run check.",
        ) from None


def sha256_of(file: Path) -> str:
    """The SHA-256 of a file's bytes, read piece by piece."""
    found = hashlib.sha256()
    with file.open("rb") as source:
        while piece := source.read(_CHUNK_BYTES):
            found.update(piece)
    return found.hexdigest()


def kept_files(folder: Path) -> dict[str, Path]:
    """Every kept file by its SHA-256, temporary names left aside."""
    return {
        place.name: place for place in folder.glob("[0-9a-f][0-9a-f]/*") if re.fullmatch("[0-9a-f]{64}", place.name)
    }


@contextmanager
def disk_worded(place: Path) -> Iterator[None]:
    """What the disk refuses, as one sentence: full, no permission, gone."""
    try:
        yield
    except OSError as wrong:
        words = {
            errno.ENOSPC: ("room on the disk", "the disk is full"),
            errno.EDQUOT: ("room on the disk", "the disk is full"),
            errno.EACCES: ("permission to write", "there is no permission to write"),
            errno.EROFS: ("a disk that can be written", "it may only be read"),
        }
        allowed, said = words.get(wrong.errno or 0, ("a folder that can be written", wrong.strerror or str(wrong)))
        raise MachineRefused(
            "folder",
            str(place),
            allowed,
            f"folder: {place}: {said}; nothing of this was kept, and what was confirmed before is safe.",
        ) from wrong


def force_folder(folder: Path) -> None:
    """Force a folder's list of names to the disk, so that a move in it survives a power cut (not on Windows)."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _copy(source: BinaryIO, target: BinaryIO) -> tuple[str, int]:
    found, size = hashlib.sha256(), 0
    while piece := source.read(_CHUNK_BYTES):
        target.write(piece)
        found.update(piece)
        size += len(piece)
    return found.hexdigest(), size
