"""A recording that was laid down whole is known again by its note; a note that is not all as we write it is passed
over.
"""

from __future__ import annotations

import json
import logging
import os
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.bench.conftest import NOON
from underdial.bench.as_found.laid_down import Heard, Laid, lay_down, left_whole, new_place, read_note, sweep
from underdial.errors import BadInput

HOUR_S = 3600.0


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / ".incoming"


@pytest.fixture
def laid(folder: Path) -> Laid:
    path = new_place(folder, "look.mp4")
    path.write_bytes(b"film")
    return lay_down(path, tag="31", name="look.mp4", captions_text=b"WEBVTT")


def found(folder: Path) -> list[str]:
    names = []
    for one in left_whole(folder):
        names.append(one.note.name)
        one.let_go()
    return names


def test_a_recording_is_found_again_as_it_was_noted_once_nobody_has_it_in_hand(folder: Path, laid: Laid) -> None:
    laid.begin()
    laid.keep_heard(Heard(look_over_id="look_over-2", taken_at=NOON, warnings=("It breaks off at 3:12.",)))
    held = found(folder)
    laid.let_go()
    (again,) = left_whole(folder)
    again.let_go()

    assert held == []
    assert again.note == laid.note
    assert (again.note.begun_count, again.captions()) == (1, b"WEBVTT")
    assert again.path.read_bytes() == b"film"


def test_a_beginning_that_was_put_by_does_not_count_and_is_put_by_once(laid: Laid) -> None:
    laid.begin()
    laid.put_by()
    laid.put_by()

    assert read_note(laid.path.parent).begun_count == 0


def test_what_is_forgotten_is_not_noted_again(folder: Path, laid: Laid) -> None:
    laid.forget()
    laid.begin()
    laid.let_go()

    assert found(folder) == []
    assert laid.path.exists()


def test_the_folders_that_a_browser_sends_with_a_name_are_left_out(folder: Path) -> None:
    path = new_place(folder, "C:\\films\\the look.mp4")
    path.write_bytes(b"film")
    laid = lay_down(path, tag="31", name="C:\\films\\the look.mp4", captions_text=None)

    assert (laid.note.name, laid.note.file) == ("the look.mp4", "the_look.mp4")
    assert read_note(path.parent) == replace(laid.note)


@pytest.mark.parametrize(
    "spoilt",
    [
        {"format": "another"},
        {"version": "1"},
        {"tag": 31},
        {"tag": ""},
        {"name": "../look.mp4"},
        {"name": "C:\\look.mp4"},
        {"name": ".."},
        {"file": "../../shop.sqlite"},
        {"file": "/etc/passwd"},
        {"file": "note.json"},
        {"file": "other.mp4"},
        {"word": "0123456789abcdef"},
        {"word": "../0123456789abc"},
        {"size_bytes": 5},
        {"size_bytes": 4.0},
        {"size_bytes": True},
        {"has_captions": 1},
        {"has_captions": "yes"},
        {"begun_count": -1},
        {"begun_count": "0"},
        {"begun_count": False},
        {"stage": "kept"},
        {"stage": "heard"},
        {"heard": {"look_over_id": "look_over-1", "taken_at": "2026-03-02T12:00:00+00:00", "warnings": []}},
        {"stage": "heard", "heard": []},
        {"stage": "heard", "heard": {"look_over_id": "../x", "taken_at": "2026-03-02T12:00:00+00:00", "warnings": []}},
        {"stage": "heard", "heard": {"look_over_id": "look_over-1", "taken_at": "2026-03-02T12:00:00", "warnings": []}},
        {"stage": "heard", "heard": {"look_over_id": "look_over-1", "taken_at": "2026-03-02", "warnings": "none"}},
        {"further": "something"},
    ],
)
def test_a_note_that_is_not_as_we_write_it_is_passed_over_and_logged(
    folder: Path, laid: Laid, spoilt: dict[str, Any], caplog: pytest.LogCaptureFixture
) -> None:
    laid.let_go()
    note = laid.path.parent / "note.json"
    note.write_text(json.dumps(json.loads(note.read_text()) | spoilt))
    with caplog.at_level(logging.WARNING, "underdial.bench"):
        names = found(folder)

    assert names == []
    assert laid.path.parent.name in caplog.text
    assert laid.path.exists()


@pytest.mark.parametrize("content", [b"", b"{", b"null", b"[]", b"\xff\xfe", b"[" * 100_000, b'{"format": 1}'])
def test_what_is_no_note_at_all_is_refused(laid: Laid, content: bytes) -> None:
    (laid.path.parent / "note.json").write_bytes(content)

    with pytest.raises(BadInput, match="is not believed"):
        read_note(laid.path.parent)


def test_bytes_that_point_elsewhere_are_not_believed(laid: Laid, tmp_path: Path) -> None:
    (tmp_path / "else").write_bytes(b"film")
    laid.path.unlink()
    laid.path.symlink_to(tmp_path / "else")

    with pytest.raises(BadInput, match="not as they were laid down"):
        read_note(laid.path.parent)


def test_captions_that_are_gone_are_noticed(laid: Laid) -> None:
    (laid.path.parent / "captions").unlink()

    with pytest.raises(BadInput, match="captions are gone"):
        read_note(laid.path.parent)


def test_what_came_in_part_goes_after_two_days_and_what_is_in_hand_stays(folder: Path, laid: Laid) -> None:
    part = new_place(folder, "part.mp4")
    part.write_bytes(b"fil")
    now_s = part.parent.stat().st_mtime
    for own in (laid.path.parent, part.parent):
        os.utime(own, (now_s, now_s))
    names = found(folder)
    sweep(folder, now_s + 47 * HOUR_S)
    stayed = part.exists()
    sweep(folder, now_s + 49 * HOUR_S)

    assert names == []
    assert stayed
    assert not part.parent.exists()
    assert laid.path.exists()
    laid.let_go()
    sweep(folder, now_s + 49 * HOUR_S)
    assert not laid.path.parent.exists()
