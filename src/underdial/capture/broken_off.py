"""Whether a film's file was finished: an mp4 or mov without the list of what lies where, a webm or mkv that ends in the
middle.

Only the frame of the file is read, never picture or sound. Sources: ISO/IEC 14496-12 (boxes), RFC 8794 (EBML).
"""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO

# Boxes with which a file of the mp4 family begins.
_FIRST_BOXES = frozenset({b"ftyp", b"mdat", b"wide", b"free", b"skip"})
_EBML_HEAD = b"\x1a\x45\xdf\xa3"
# Segment, Cluster and BlockGroup hold other elements; all else is passed over by its size.
_HOLD_OTHERS = frozenset({0x18538067, 0x1F43B675, 0xA0})
_MOST_ELEMENTS = 5_000_000


def never_finished(path: Path) -> bool:
    """That a file of the mp4 family has no list of what lies where (`moov`): it cannot be played, whole or in part."""
    size = path.stat().st_size
    with path.open("rb") as source:
        at, seen = 0, False
        while at + 8 <= size:
            source.seek(at)
            head = source.read(16)
            length, kind = int.from_bytes(head[:4], "big"), head[4:8]
            if kind == b"moov":
                return False
            if not seen and kind not in _FIRST_BOXES:
                return False
            seen = True
            if length == 1:
                length = int.from_bytes(head[8:16], "big")
            if length < 8:
                break
            at += length
        return seen


def ends_in_the_middle(path: Path) -> bool:
    """That a webm or mkv ends before what it has begun: what came before can be read."""
    size = path.stat().st_size
    with path.open("rb") as source:
        if source.read(4) != _EBML_HEAD:
            return False
        source.seek(0)
        for _ in range(_MOST_ELEMENTS):
            at = source.tell()
            if at == size:
                return False
            name, length = _number(source, keep_mark=True), _number(source, keep_mark=False)
            if name is None or length is None:
                return True
            unknown, begins = length < 0, source.tell()
            if not unknown and begins + length > size:
                return True
            if name not in _HOLD_OTHERS:
                if unknown:
                    return False
                source.seek(begins + length)
    return False


def _number(source: BinaryIO, *, keep_mark: bool) -> int | None:
    """A number of EBML: the zeros before its first one say how long it is; -1 for a size that is not told, None where
    the file ends in it.
    """
    first = source.read(1)
    if not first or first[0] == 0:
        return None
    more = 8 - first[0].bit_length()
    rest = source.read(more)
    if len(rest) < more:
        return None
    mark = 0 if keep_mark else 1 << (7 - more)
    told = int.from_bytes(bytes([first[0] - mark]) + rest, "big")
    return -1 if not keep_mark and told == (1 << (7 * (more + 1))) - 1 else told
