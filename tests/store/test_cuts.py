"""A killed process, a full disk, a power cut between two writes: what was confirmed is there, and nothing half."""

from __future__ import annotations

import errno
import io
import os
import shutil
import signal
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa

from tests.store.conftest import NOON
from tests.store.test_records import BENT, received
from underdial.errors import MachineRefused
from underdial.store import backup, files
from underdial.store.backup import restore_backup, write_backup
from underdial.store.database import open_database, reading, writing
from underdial.store.files import keep_file, kept_files, note_file
from underdial.store.migrate import bring_up_to_date
from underdial.store.records import Writer, add, read_all
from underdial.store.soundness import problems_of

# Adds findings one transaction at a time and says each number only when it is confirmed; a last transaction is
# left open with one more write in it, and the process waits to be killed.
WRITER = textwrap.dedent("""
    import sys, time
    from dataclasses import replace
    from datetime import UTC, datetime
    from pathlib import Path
    from underdial.record.clock import Clock
    from underdial.record.finding import Finding
    from underdial.record.visit import Visit
    from underdial.store.database import open_database, writing
    from underdial.store.migrate import bring_up_to_date
    from underdial.store.records import Writer, add, change

    at = Writer(by="repairer", at=datetime(2026, 3, 2, 12, tzinfo=UTC))
    engine = open_database(Path(sys.argv[1]))
    bring_up_to_date(engine)
    with writing(engine) as connection:
        add(connection, Clock(id="c1", tag="drum", name="drum"), at)
        add(connection, Visit(received_at=at.at), at, clock_id="c1")
    for number in range(8):
        with writing(engine) as connection:
            bent = Finding(component="staff", condition="bent", state="present", visit_id="visit-1")
            kept = add(connection, bent, at, clock_id="c1")
        print(kept.id, flush=True)
    with writing(engine) as connection:
        change(connection, replace(kept, extent="bad"), at, clock_id="c1")
        print("between", flush=True)
        time.sleep(600)
""")


def test_a_process_killed_between_two_writes_loses_nothing_confirmed_and_leaves_nothing_half(tmp_path: Path) -> None:
    database = tmp_path / "shop.sqlite"
    process = subprocess.Popen([sys.executable, "-c", WRITER, str(database)], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    confirmed = []
    for line in process.stdout:
        if line.strip() == "between":
            break
        confirmed.append(line.strip())
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    process.stdout.close()

    engine = open_database(database)
    with reading(engine) as connection:
        kept = [one.record for one in read_all(connection, "finding", clock_id="c1")]
    assert confirmed == [one.id for one in kept]
    assert all(one.extent is None for one in kept)
    assert list(problems_of(engine, tmp_path / "attachments")) == []


def test_what_was_on_the_disk_at_any_moment_is_a_sound_shop(tmp_path: Path, writer: Writer) -> None:
    """A power cut keeps what was forced to the disk: a copy of the files taken after each confirmed write opens, sound
    and whole.
    """
    engine = open_database(tmp_path / "shop.sqlite")
    bring_up_to_date(engine)
    with writing(engine) as connection:
        received(connection, writer)
    for number in range(1, 6):
        with writing(engine) as connection:
            add(connection, BENT, writer, clock_id="c1")
        cut = tmp_path / f"cut{number}"
        cut.mkdir()
        for name in ("shop.sqlite", "shop.sqlite-wal"):
            shutil.copy(tmp_path / name, cut / name)
        after = open_database(cut / "shop.sqlite")
        with reading(after) as connection:
            # Derived: as many findings as were confirmed before the cut.
            assert len(read_all(connection, "finding", clock_id="c1")) == number
        assert list(problems_of(after, cut)) == []
        after.dispose()


def test_a_torn_last_write_of_the_log_is_dropped_whole(tmp_path: Path, writer: Writer) -> None:
    engine = open_database(tmp_path / "shop.sqlite")
    bring_up_to_date(engine)
    with writing(engine) as connection:
        received(connection, writer)
    sound = (tmp_path / "shop.sqlite-wal").stat().st_size
    with writing(engine) as connection:
        add(connection, BENT, writer, clock_id="c1")
    log = (tmp_path / "shop.sqlite-wal").read_bytes()
    cut = tmp_path / "cut"
    cut.mkdir()
    shutil.copy(tmp_path / "shop.sqlite", cut / "shop.sqlite")
    (cut / "shop.sqlite-wal").write_bytes(log[: sound + (len(log) - sound) // 2])

    after = open_database(cut / "shop.sqlite")
    with reading(after) as connection:
        assert read_all(connection, "finding", clock_id="c1") == ()
    assert list(problems_of(after, cut)) == []


class FullDisk(io.RawIOBase):
    """Bytes that come from somewhere, until the disk they go to is full."""

    def __init__(self) -> None:
        self._left = 3

    def read(self, size: int = -1) -> bytes:
        self._left -= 1
        if self._left == 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return b"x" * 1000


def test_a_disk_that_fills_while_a_file_comes_in_leaves_no_part_of_it(tmp_path: Path) -> None:
    with pytest.raises(MachineRefused, match="the disk is full; nothing of this was kept"):
        keep_file(tmp_path, FullDisk())  # type: ignore[arg-type]

    assert [one for one in tmp_path.rglob("*") if one.is_file()] == []


def test_a_disk_that_fills_at_the_last_moment_leaves_no_part_either(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(MachineRefused, match="the disk is full"):
        keep_file(tmp_path, io.BytesIO(b"picture"))

    assert kept_files(tmp_path) == {}


def test_a_backup_onto_a_full_disk_leaves_no_file(
    engine: sa.Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    target = tmp_path / "safe" / "shop.backup"
    target.parent.mkdir()
    monkeypatch.setattr(backup.os, "fsync", full)
    with pytest.raises(MachineRefused, match="the disk is full"):
        write_backup(engine, tmp_path / "attachments", target, at=NOON)

    assert list(target.parent.iterdir()) == []


def test_a_restore_onto_a_full_disk_leaves_no_folder(
    engine: sa.Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_backup(engine, tmp_path / "attachments", tmp_path / "shop.backup", at=NOON)

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(backup.os, "fsync", full)
    before = sorted(tmp_path.iterdir())
    with pytest.raises(MachineRefused, match="the disk is full"):
        restore_backup(tmp_path / "shop.backup", tmp_path / "again")

    assert sorted(tmp_path.iterdir()) == before


@pytest.fixture
def tiny_disk(tmp_path: Path) -> Iterator[Path]:
    place = tmp_path / "tiny"
    place.mkdir()
    if os.geteuid() != 0 or shutil.which("mount") is None:
        pytest.skip("a tiny disk can be mounted by root only")
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)], capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        pytest.skip(f"no tiny disk can be mounted here: {done.stderr.strip()}")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def test_a_really_full_disk_keeps_every_confirmed_record(tiny_disk: Path, writer: Writer) -> None:
    engine = open_database(tiny_disk / "shop.sqlite")
    bring_up_to_date(engine)
    with writing(engine) as connection:
        received(connection, writer)
    confirmed: list[str] = []

    def until_full() -> None:
        for _ in range(2000):
            with writing(engine) as connection:
                name = add(connection, BENT, writer, clock_id="c1").id
            confirmed.append(name)

    with pytest.raises(MachineRefused, match="the disk is full"):
        until_full()
    with pytest.raises(MachineRefused, match="the disk is full"):
        keep_file(tiny_disk / "attachments", io.BytesIO(b"x" * 3_000_000))

    with reading(engine) as connection:
        kept = [one.record.id for one in read_all(connection, "finding", clock_id="c1")]
    assert confirmed
    assert confirmed == kept
    assert list(problems_of(engine, tiny_disk / "attachments")) == []
    engine.dispose()


def test_a_file_that_came_before_its_record_is_left_over_and_no_problem(engine: sa.Engine, tmp_path: Path) -> None:
    keep_file(tmp_path / "attachments", io.BytesIO(b"picture"))

    assert list(problems_of(engine, tmp_path / "attachments")) == []


def test_a_record_whose_file_is_gone_or_spoilt_is_a_problem(engine: sa.Engine, tmp_path: Path) -> None:
    folder = tmp_path / "attachments"
    for text in (b"one", b"two"):
        sha256, size = keep_file(folder, io.BytesIO(text))
        with writing(engine) as connection:
            note_file(connection, sha256=sha256, size_bytes=size)
    first, second = kept_files(folder).values()
    first.unlink()
    second.write_bytes(b"2wo")

    assert sorted(one.what for one in problems_of(engine, folder)) == [
        "a file is not there",
        "a file's bytes have changed",
    ]


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        ("update clock set tag = 'other'", "tag beside the record"),
        (
            "update clock set body = replace(body, 'drum timepiece', 'ship clock'), name = 'ship clock', "
            "search = 'drum ship clock'",
            "not as its history left it",
        ),
        ("update finding set body = '{}'", "record: "),
    ],
)
def test_a_change_that_went_round_the_program_is_found(
    engine: sa.Engine, tmp_path: Path, writer: Writer, spoil: str, said: str
) -> None:
    with writing(engine) as connection:
        received(connection, writer)
        add(connection, BENT, writer, clock_id="c1")
        connection.exec_driver_sql(spoil)

    assert any(said in one.what for one in problems_of(engine, tmp_path))
