"""A recording laid down whole, with a note beside it by which it is taken up again after a cut.

Each recording has a folder of its own, named by the word of its page: the bytes, the captions given with it, the note,
and a file that is locked as long as a program has the recording in hand (the lock goes with the program, however that
ends). The note is written last, so bytes without one came only in part.

A note is believed only when all of it is as we write it: what comes from a disk after a power cut may be anything.

Never here: hearing, the record, what is said to the repairer of a recording that is taken in.
"""

from __future__ import annotations

import json
import logging
import os
import re
import secrets
import shutil
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any, BinaryIO

from underdial.capture.recording import plain_name
from underdial.errors import BadInput, UnderdialError
from underdial.store.files import disk_worded, force_folder

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

FORMAT, VERSION = "underdial-recording", 1
_NOTE, _CAPTIONS, _IN_HAND = "note.json", "captions", "in-hand"
_WORD = re.compile(r"[0-9a-f]{16}")
_RECORD_ID = re.compile(r"[\w-]{1,100}")
_LAID_DOWN, _HEARD = "laid_down", "heard"
_MOST_NOTE_BYTES = 1_000_000
# What a cut left goes after so long.
_LEFT_BEHIND_S = 48 * 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What a recording's hearing brought: its look-over by id and by the moment it was kept, and what was amiss."""

    look_over_id: str
    taken_at: datetime
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What must be known of a recording to take it up again: whose it is, the word of its page, the file of its bytes
    and how many they are, how many times it was begun, and what was heard once it was.

    `heard` is written a moment before the record keeps the look-over: it holds only if the record has that look-over.
    """

    tag: str
    name: str
    word: str
    file: str
    size_bytes: int
    has_captions: bool
    begun_count: int = 0
    heard: Heard | None = None


@dataclass(slots=True)
class Laid:
    """A recording that is laid down and in this program's hand: its path, its note, and the lock on it."""

    path: Path
    note: Note
    _in_hand: BinaryIO
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _begun: bool = False
    _forgotten: bool = False

    def captions(self) -> bytes | None:
        """The captions given with it, if any were."""
        if not self.note.has_captions:
            return None
        with disk_worded(self.path.parent):
            return (self.path.parent / _CAPTIONS).read_bytes()

    def begin(self) -> None:
        """Write that it is begun once more."""
        self._begun = True
        self._change(lambda note: replace(note, begun_count=note.begun_count + 1))

    def put_by(self) -> None:
        """Write that this beginning does not count: it ended by no fault of the recording."""
        if self._begun:
            self._begun = False
            self._change(lambda note: replace(note, begun_count=note.begun_count - 1))

    def keep_heard(self, heard: Heard) -> None:
        """Write what was heard."""
        self._change(lambda note: replace(note, heard=heard))

    def forget(self) -> None:
        """Take its note away, for good: it is not taken up again."""
        with self._lock:
            self._forgotten = True
            (self.path.parent / _NOTE).unlink(missing_ok=True)

    def let_go(self) -> None:
        """Leave it lying, for the next start or until the two days are over."""
        self._in_hand.close()

    def clear(self) -> None:
        """Take note and bytes away. The note goes first, so that a cut in between leaves nothing to be taken up."""
        try:
            self.forget()
        except OSError:
            logging.getLogger("underdial.bench").exception("the note of %s stays", self.path)
        self.let_go()
        clear(self.path)

    def _change(self, changed: Callable[[Note], Note]) -> None:
        with self._lock:
            if not self._forgotten:
                self.note = changed(self.note)
                _write(self.path.parent, self.note)


def new_place(folder: Path, name: str) -> Path:
    """A path for the bytes of a new recording, in a folder of its own. MachineRefused when it cannot be made."""
    with disk_worded(folder):
        own = folder / secrets.token_hex(8)
        own.mkdir(parents=True)
    return own / plain_name(name)


def clear(path: Path) -> None:
    """Take the bytes of a recording away with all that lies beside them."""
    shutil.rmtree(path.parent, ignore_errors=True)


def lay_down(path: Path, *, tag: str, name: str, captions_text: bytes | None) -> Laid:
    """Force a recording that came whole to the disk, and write its note. MachineRefused when the disk will not."""
    folder = path.parent
    with disk_worded(folder):
        in_hand = _new_in_hand(folder)
        try:
            with path.open("r+b") as laid:
                os.fsync(laid.fileno())
                size_bytes = os.fstat(laid.fileno()).st_size
            if captions_text is not None:
                _force(folder / _CAPTIONS, captions_text)
            note = Note(
                tag=tag,
                name=_last_part(name),
                word=folder.name,
                file=path.name,
                size_bytes=size_bytes,
                has_captions=captions_text is not None,
            )
            _write(folder, note)
            for where in (folder.parent, folder.parent.parent):
                force_folder(where)
        except BaseException:
            in_hand.close()
            raise
    return Laid(path, note, in_hand)


def left_whole(folder: Path) -> Iterator[Laid]:
    """The recordings of a folder that were laid down whole and are in nobody's hand, the oldest first.

    A note that is broken or from elsewhere is passed over, and the log says why.
    """
    for own in sorted((one for one in _listed(folder) if _is_own(one) and (one / _NOTE).exists()), key=_changed_s):
        in_hand = None
        try:
            in_hand = _take_in_hand(own)
            if in_hand is not None:
                note = read_note(own)
                yield Laid(own / note.file, note, in_hand)
        except (UnderdialError, OSError) as wrong:
            logging.getLogger("underdial.bench").warning("a recording in %s is passed over: %s", own, wrong)
            if in_hand is not None:
                in_hand.close()


def sweep(folder: Path, now_s: float) -> None:
    """Take away what a cut left in a folder two days ago or longer and nobody has in hand."""
    for one in _listed(folder):
        if now_s - _changed_s(one) <= _LEFT_BEHIND_S:
            continue
        try:
            in_hand = _take_in_hand(one)
            if in_hand is None:
                continue
            in_hand.close()
        except OSError:
            # No file of ours to lock, or a disk that knows no locks: nobody has it in hand for so long.
            pass
        shutil.rmtree(one, ignore_errors=True)


def read_note(folder: Path) -> Note:
    """The note in a recording's folder. BadInput unless note, bytes and captions are all as we lay them down."""
    with disk_worded(folder), (folder / _NOTE).open("rb") as source:
        content = source.read(_MOST_NOTE_BYTES + 1)
    try:
        told = json.loads(content.decode("utf-8"))
        note = _note_of(told)
    except (ValueError, TypeError, KeyError, RecursionError) as wrong:
        raise _unbelieved(folder, str(wrong)) from wrong
    if told != _plain(note) or len(content) > _MOST_NOTE_BYTES:
        raise _unbelieved(folder, "it holds what no note holds")
    if note.word != folder.name:
        raise _unbelieved(folder, "it is of another recording")
    bytes_there = folder / note.file
    if bytes_there.is_symlink() or not bytes_there.is_file() or bytes_there.stat().st_size != note.size_bytes:
        raise _unbelieved(folder, "its bytes are not as they were laid down")
    captions = folder / _CAPTIONS
    if note.has_captions and (captions.is_symlink() or not captions.is_file()):
        raise _unbelieved(folder, "its captions are gone")
    return note


def _note_of(told: Any) -> Note:
    """A note out of plain JSON. ValueError, TypeError or KeyError for what is none."""
    if told["format"] != FORMAT or told["version"] != VERSION:
        raise ValueError("of another form")
    texts = {name: _text(told[name]) for name in ("tag", "name", "word", "file")}
    if texts["name"] != _last_part(texts["name"]) or texts["name"] in (".", ".."):
        raise ValueError("a path in a name")
    if _WORD.fullmatch(texts["word"]) is None or plain_name(texts["file"]) != texts["file"]:
        raise ValueError("a path in a name")
    if texts["file"] in (_NOTE, _CAPTIONS, _IN_HAND):
        raise ValueError("bytes under a name of ours")
    if type(told["has_captions"]) is not bool:
        raise TypeError("has_captions is no yes or no")
    heard = told["heard"]
    if told["stage"] not in (_LAID_DOWN, _HEARD) or (told["stage"] == _HEARD) != (heard is not None):
        raise ValueError("no stage of a recording")
    return Note(
        **texts,
        size_bytes=_count(told["size_bytes"]),
        has_captions=told["has_captions"],
        begun_count=_count(told["begun_count"]),
        heard=None if heard is None else _heard_of(heard),
    )


def _heard_of(told: Any) -> Heard:
    if _RECORD_ID.fullmatch(_text(told["look_over_id"])) is None:
        raise ValueError("no id of a look-over")
    if type(told["warnings"]) is not list:
        raise TypeError("warnings is no list")
    taken_at = datetime.fromisoformat(_text(told["taken_at"]))
    if taken_at.utcoffset() is None:
        raise ValueError("taken_at has no zone")
    return Heard(
        look_over_id=told["look_over_id"], taken_at=taken_at, warnings=tuple(_text(one) for one in told["warnings"])
    )


def _plain(note: Note) -> dict[str, Any]:
    """A note as plain JSON."""
    plain = asdict(note)
    if note.heard is not None:
        plain["heard"] |= {"taken_at": note.heard.taken_at.isoformat(), "warnings": list(note.heard.warnings)}
    return {"format": FORMAT, "version": VERSION, "stage": _HEARD if note.heard else _LAID_DOWN, **plain}


def _text(told: Any) -> str:
    if type(told) is not str or not told:
        raise TypeError("no text where a text belongs")
    return told


def _count(told: Any) -> int:
    if type(told) is not int or told < 0:
        raise TypeError("no count where a count belongs")
    return told


def _unbelieved(folder: Path, why: str) -> BadInput:
    return BadInput(
        "note", str(folder / _NOTE), "a note as it was written", f"note: {folder / _NOTE} is not believed: {why}."
    )


def _write(folder: Path, note: Note) -> None:
    """Write a note whole: under another name, forced to the disk, then moved into place."""
    with disk_worded(folder):
        part = folder / f"{_NOTE}.part"
        _force(part, json.dumps(_plain(note), indent=1).encode())
        part.replace(folder / _NOTE)
        force_folder(folder)


def _force(path: Path, content: bytes) -> None:
    with path.open("wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())


def _last_part(name: str) -> str:
    """A name without the folders that some browsers send with it, on one line."""
    return re.sub(r"[\x00-\x1f]", " ", name.replace("\\", "/").rsplit("/", 1)[-1])


def _new_in_hand(folder: Path) -> BinaryIO:
    """The lock on a recording that was laid down just now."""
    (folder / _IN_HAND).touch()
    try:
        in_hand = _take_in_hand(folder)
        assert in_hand is not None, "what was made just now is in nobody else's hand"
    except OSError as wrong:
        # A disk that knows no locks: taken in now, but not taken up after a cut, since two programs might do so.
        logging.getLogger("underdial.bench").warning("%s cannot be locked: %s", folder, wrong)
        in_hand = (folder / _IN_HAND).open("r+b")
    return in_hand


def _take_in_hand(folder: Path) -> BinaryIO | None:
    """The lock on a recording; None while another has it. OSError when there is no file of ours to lock."""
    in_hand = (folder / _IN_HAND).open("r+b")
    try:
        if sys.platform == "win32":
            msvcrt.locking(in_hand.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(in_hand, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        in_hand.close()
        return None
    except OSError:
        in_hand.close()
        raise
    return in_hand


def _listed(folder: Path) -> list[Path]:
    """What lies in a folder; nothing when it is not there or cannot be read, which the log then says."""
    try:
        return list(folder.iterdir())
    except FileNotFoundError:
        return []
    except OSError as wrong:
        logging.getLogger("underdial.bench").warning("%s cannot be read: %s", folder, wrong)
        return []


def _is_own(one: Path) -> bool:
    return _WORD.fullmatch(one.name) is not None and one.is_dir() and not one.is_symlink()


def _changed_s(one: Path) -> float:
    """When something was last made in a folder [s since 1970]; long ago when it went meanwhile."""
    try:
        return one.lstat().st_mtime
    except OSError:
        return 0.0
