"""Backup, restore, exchange and check of a whole shop, on real files."""

from __future__ import annotations

import errno
import hashlib
import io
import json
import os
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.bench.conftest import NOON, moving_time
from underdial.bench.as_found.looking import add_finding, attach_file, correct_finding
from underdial.bench.clock.case import case_of
from underdial.bench.counter.receiving import Received, receive_clock
from underdial.bench.keeping import backup_shop, check_folder, check_shop, export_clocks, import_clocks, restore_shop
from underdial.bench.shop import Shop, clock_page, history_of, in_the_shop, open_shop
from underdial.errors import BadInput, MachineRefused, NotFound, UnderdialError
from underdial.record.clock import Clock
from underdial.record.finding import Finding
from underdial.record.visit import Visit
from underdial.store.backup import FORMAT, VERSION, open_zip, unpack, write_zip
from underdial.store.files import kept_files, open_file
from underdial.store.records import read_history

PICTURE = b"\x89PNG one picture"


@pytest.fixture
def full(shop: Shop, drum: Received) -> Shop:
    """The shop with a finding, a correction and a picture on its clock."""
    kept = add_finding(shop, "drum", Finding(component="staff", condition="bent", state="present", certainty=0.7))
    correct_finding(shop, "drum", kept.id, {"extent": "slight"}, why="looked again")
    attach_file(shop, "drum", io.BytesIO(PICTURE), name="staff.png", kind="picture", media_type="image/png")
    return shop


def test_a_backup_restored_is_the_same_shop(full: Shop, tmp_path: Path) -> None:
    told = backup_shop(full, tmp_path / "shop.backup")
    back = restore_shop(tmp_path / "shop.backup", tmp_path / "again")
    again = open_shop(tmp_path / "again")

    # Derived: one clock with one picture went in.
    assert (told["clocks_count"], told["files_count"]) == (1, 1)
    assert back == told
    assert told["sha256"] == hashlib.sha256((tmp_path / "shop.backup").read_bytes()).hexdigest()
    assert clock_page(again, "drum") == clock_page(full, "drum")
    assert check_shop(again)["verdict"] == "sound"
    with open_file(again.attachments, clock_page(again, "drum").attachments[0].sha256) as kept:
        assert kept.read() == PICTURE


def test_the_settings_come_along_and_a_restored_shop_lies_in_its_own_folder(full: Shop, tmp_path: Path) -> None:
    (full.folder / "shop.toml").write_text(
        'name = "The Long Room"\ndatabase = "postgresql://there/shop"\ncurrency = "EUR"\n'
    )
    told = backup_shop(full, tmp_path / "shop.backup")
    back = restore_shop(tmp_path / "shop.backup", tmp_path / "again")
    again = open_shop(tmp_path / "again")

    assert back == told
    assert (again.settings.name, again.settings.currency, again.settings.database) == ("The Long Room", "EUR", None)
    assert [line.tag for line in in_the_shop(again).lines] == ["drum"]


def test_a_backup_is_never_written_over_a_file(full: Shop, tmp_path: Path) -> None:
    (tmp_path / "shop.backup").write_text("something of mine")

    with pytest.raises(BadInput, match="never written over"):
        backup_shop(full, tmp_path / "shop.backup")
    assert (tmp_path / "shop.backup").read_text() == "something of mine"


def test_a_shop_is_restored_into_an_empty_folder_and_no_other(full: Shop, tmp_path: Path) -> None:
    backup_shop(full, tmp_path / "shop.backup")
    (tmp_path / "empty").mkdir()
    restore_shop(tmp_path / "shop.backup", tmp_path / "empty")

    with pytest.raises(BadInput, match="is not empty"):
        restore_shop(tmp_path / "shop.backup", tmp_path / "empty")


def test_every_byte_of_a_backup_that_is_changed_is_noticed_or_does_not_matter(full: Shop, tmp_path: Path) -> None:
    backup_shop(full, tmp_path / "shop.backup")
    sound = (tmp_path / "shop.backup").read_bytes()
    page = clock_page(full, "drum")
    spoilt_count = 0
    for place in range(7, len(sound), len(sound) // 60):
        (tmp_path / "spoilt").write_bytes(sound[:place] + bytes([sound[place] ^ 0x55]) + sound[place + 1 :])
        try:
            restore_shop(tmp_path / "spoilt", tmp_path / f"again{place}")
        except UnderdialError:
            spoilt_count += 1
            assert not (tmp_path / f"again{place}").exists()
        else:
            assert clock_page(open_shop(tmp_path / f"again{place}"), "drum") == page

    # Derived: nearly all bytes lie in the packed database, the picture or the manifest, each with its hash.
    assert spoilt_count > 45


@pytest.mark.parametrize("flip", [0x55, 0xFF])
def test_no_changed_byte_of_a_small_file_brings_out_a_fault_of_ours(tmp_path: Path, flip: int) -> None:
    (tmp_path / "inside").write_bytes(b"a short file" * 5)
    write_zip(tmp_path / "file", {"format": FORMAT, "version": VERSION}, {"shop.sqlite": tmp_path / "inside"})
    sound = (tmp_path / "file").read_bytes()
    told_count = 0
    for place, byte in enumerate(sound):
        (tmp_path / "spoilt").write_bytes(sound[:place] + bytes([byte ^ flip]) + sound[place + 1 :])
        try:
            with open_zip(tmp_path / "spoilt", FORMAT, VERSION) as (source, manifest):
                for name, facts in manifest["files"].items():
                    unpack(source, name, facts, tmp_path / "out" / name)
        except UnderdialError:
            told_count += 1
        else:
            assert (tmp_path / "out" / "shop.sqlite").read_bytes() == b"a short file" * 5  # Derived: as it was written

    # Derived: half of so small a file are names, sizes, hashes and packed bytes, each of which is looked at.
    assert told_count > len(sound) // 2


@pytest.mark.parametrize("size", [0, 10, 500])
def test_a_backup_cut_short_restores_nothing(full: Shop, tmp_path: Path, size: int) -> None:
    backup_shop(full, tmp_path / "shop.backup")
    (tmp_path / "short").write_bytes((tmp_path / "shop.backup").read_bytes()[:size])

    with pytest.raises(BadInput, match="not a file this program wrote, or it is damaged"):
        restore_shop(tmp_path / "short", tmp_path / "again")
    assert not (tmp_path / "again").exists()


def test_a_backup_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="is not there"):
        restore_shop(tmp_path / "no.backup", tmp_path / "again")


def test_an_exchange_file_is_no_backup(full: Shop, tmp_path: Path) -> None:
    export_clocks(full, ["drum"], tmp_path / "clock.zip")

    with pytest.raises(BadInput, match="of the form underdial-clock, not underdial-shop"):
        restore_shop(tmp_path / "clock.zip", tmp_path / "again")


def test_a_clock_goes_from_shop_to_shop_with_its_history_people_and_files(full: Shop, tmp_path: Path) -> None:
    told = export_clocks(full, ["drum"], tmp_path / "clock.zip")
    other = open_shop(tmp_path / "other", now=moving_time())
    came = import_clocks(other, tmp_path / "clock.zip")

    assert came == told
    assert case_of(other, "drum") == case_of(full, "drum")
    assert clock_page(other, "drum").people == clock_page(full, "drum").people
    with other.engine.connect() as connection:
        deeds = [
            one.deed
            for one in read_history(connection, clock_id=clock_page(full, "drum").clock.id, record_id="finding-1")
        ]
    assert deeds == ["added", "corrected", "imported"]
    assert check_shop(other) == {"verdict": "sound", "problems": [], "warnings": [], "sources": []}


def test_work_goes_on_in_the_other_shop(full: Shop, tmp_path: Path) -> None:
    export_clocks(full, ["drum"], tmp_path / "clock.zip")
    other = open_shop(tmp_path / "other", now=moving_time())
    import_clocks(other, tmp_path / "clock.zip")

    assert add_finding(other, "drum", Finding(component="glass", condition="good", state="present")).id == "finding-2"


def test_a_clock_that_is_here_already_is_not_taken_in_twice(full: Shop, tmp_path: Path) -> None:
    export_clocks(full, ["drum"], tmp_path / "clock.zip")

    with pytest.raises(BadInput, match="already in this shop; nothing was taken in"):
        import_clocks(full, tmp_path / "clock.zip")
    assert check_shop(full)["verdict"] == "sound"


def test_a_tag_that_is_taken_gets_the_next_number_and_says_so(full: Shop, tmp_path: Path) -> None:
    export_clocks(full, ["drum"], tmp_path / "clock.zip")
    other = open_shop(tmp_path / "other", now=moving_time())
    receive_clock(other, Clock(tag="drum", name="another drum"), Visit(received_at=NOON))
    told = import_clocks(other, tmp_path / "clock.zip")

    assert told["warnings"] == ["Another clock here has the ticket drum; this one now has drum-2."]
    assert sorted(line.tag for line in in_the_shop(other).lines) == ["drum", "drum-2"]
    assert check_shop(other)["problems"] == []
    clock = clock_page(other, "drum-2").clock
    assert [one.deed for one in history_of(other, "drum-2", record_id=clock.id)] == ["added", "imported"]


def test_an_exchange_file_is_written_over_only_when_told(full: Shop, tmp_path: Path) -> None:
    export_clocks(full, ["drum"], tmp_path / "clock.zip")

    with pytest.raises(BadInput, match="--replace"):
        export_clocks(full, ["drum"], tmp_path / "clock.zip")
    # Derived: the one clock.
    assert export_clocks(full, ["drum"], tmp_path / "clock.zip", replace=True)["clocks_count"] == 1


def _repacked(source: Path, target: Path, change: Callable[[dict[str, Any]], None]) -> None:
    """The same exchange file with other records inside, hashes put right: what a stranger could send."""
    with zipfile.ZipFile(source) as old:
        inside = {name: old.read(name) for name in old.namelist()}
    clocks, manifest = json.loads(inside["clocks.json"]), json.loads(inside["manifest.json"])
    change(clocks)
    inside["clocks.json"] = json.dumps(clocks).encode()
    manifest["files"]["clocks.json"] = {
        "sha256": hashlib.sha256(inside["clocks.json"]).hexdigest(),
        "size_bytes": len(inside["clocks.json"]),
    }
    inside["manifest.json"] = json.dumps(manifest).encode()
    with zipfile.ZipFile(target, "w") as new:
        for name, content in inside.items():
            new.writestr(name, content)


def _of_kind(clocks: dict[str, Any], kind: str) -> dict[str, Any]:
    found = next(one for one in clocks["clocks"][0]["records"] if one["record"] == kind)
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda clocks: _of_kind(clocks, "finding").update(certainty=7), "certainty: 7"),
        (lambda clocks: _of_kind(clocks, "finding").update(colour="red"), "no such field"),
        (lambda clocks: _of_kind(clocks, "finding").update(visit_id="visit-9"), "names a visit, person"),
        (lambda clocks: _of_kind(clocks, "finding").pop("id"), "has none"),
        (lambda clocks: _of_kind(clocks, "attachment").update(sha256="0" * 64), "are not in the file"),
        (
            lambda clocks: clocks["clocks"][0].update(history=[{"at": "yesterday"}]),
            "an event in the file cannot be read",
        ),
        (lambda clocks: clocks.update(clocks=3), "is not as this program writes it"),
        (lambda clocks: _of_kind(clocks, "clock").update(version=2), "Use a newer one"),
        (
            lambda clocks: clocks["clocks"][0]["records"].append(
                {
                    "record": "lesson",
                    "version": 1,
                    "id": "lesson-1",
                    "number_count": 1,
                    "follows_count": 0,
                    "taken_up_by": "a stranger",
                    "taken_up_at": "2026-03-02T12:00:00+00:00",
                }
            ),
            "what another shop was taught does not come in",
        ),
        (
            lambda clocks: clocks["clocks"][0]["records"].append(
                {
                    "record": "recorder",
                    "version": 1,
                    "id": "r-1",
                    "device": "field recorder",
                    "sample_hz": 48000,
                    "ppm": 3.0,
                    "u_ppm": 1.0,
                    "by": "a stranger",
                    "method": "given",
                    "made_at": "2026-03-02T12:00:00+00:00",
                }
            ),
            "nor what it found of its recorders",
        ),
    ],
)
def test_a_file_with_one_bad_record_brings_in_nothing(
    full: Shop, tmp_path: Path, change: Callable[[dict[str, Any]], None], said: str
) -> None:
    export_clocks(full, ["drum"], tmp_path / "clock.zip")
    _repacked(tmp_path / "clock.zip", tmp_path / "bad.zip", change)
    other = open_shop(tmp_path / "other", now=moving_time())

    with pytest.raises(UnderdialError, match=said):
        import_clocks(other, tmp_path / "bad.zip")
    assert in_the_shop(other).all_count == 0  # Derived: all or none.
    assert check_shop(other)["verdict"] == "sound"


def test_another_picture_in_place_of_the_one_named_is_refused(full: Shop, tmp_path: Path) -> None:
    export_clocks(full, ["drum"], tmp_path / "clock.zip")
    with zipfile.ZipFile(tmp_path / "clock.zip") as old, zipfile.ZipFile(tmp_path / "bad.zip", "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(PICTURE, PICTURE[::-1]))
    other = open_shop(tmp_path / "other", now=moving_time())

    with pytest.raises(BadInput, match="not what the manifest says"):
        import_clocks(other, tmp_path / "bad.zip")
    assert kept_files(other.attachments) == {}


@pytest.mark.parametrize("name", ["../../outside", "attachments/../../outside", "/etc/outside", "attachments/short"])
def test_a_name_that_would_leave_the_folder_is_refused(full: Shop, tmp_path: Path, name: str) -> None:
    file = tmp_path / "bad.zip"
    facts = {"sha256": hashlib.sha256(b"x").hexdigest(), "size_bytes": 1}
    with zipfile.ZipFile(file, "w") as packed:
        packed.writestr(name, b"x")
        packed.writestr("manifest.json", json.dumps({"format": "underdial-shop", "version": 1, "files": {name: facts}}))

    with pytest.raises(BadInput, match="names files that do not belong in it"):
        restore_shop(file, tmp_path / "again")
    assert not (tmp_path / "outside").exists()


def test_a_file_that_unpacks_to_more_than_it_says_is_refused(full: Shop, tmp_path: Path) -> None:
    file = tmp_path / "bad.zip"
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("shop.sqlite", b"\0" * 30_000_000)
        packed.writestr(
            "manifest.json",
            json.dumps(
                {
                    "format": "underdial-shop",
                    "version": 1,
                    "files": {"shop.sqlite": {"sha256": "0" * 64, "size_bytes": 10}},
                }
            ),
        )

    with pytest.raises(BadInput, match="not what the manifest says"):
        restore_shop(file, tmp_path / "again")


def test_a_damaged_database_is_a_failed_check_and_no_crash(full: Shop) -> None:
    full.engine.dispose()
    for name in ("shop.sqlite-wal", "shop.sqlite-shm"):
        (full.folder / name).unlink(missing_ok=True)
    (full.folder / "shop.sqlite").write_bytes(b"notes, no database " * 300)
    told = check_folder(full.folder)

    assert told["verdict"] == "failed"
    assert told["problems"][0]["where"] == "database"


def test_pages_that_were_torn_out_are_found(full: Shop) -> None:
    full.engine.dispose()
    database = full.folder / "shop.sqlite"
    content = bytearray(database.read_bytes())
    content[-40 * 1024 : -8 * 1024] = b"\x55" * (32 * 1024)
    database.write_bytes(bytes(content))
    told = check_folder(full.folder)

    assert told["verdict"] == "failed"


@pytest.mark.parametrize("spoil", ["changed", "gone", "a folder"])
def test_a_picture_that_is_lost_is_named_and_all_the_rest_is_backed_up(full: Shop, tmp_path: Path, spoil: str) -> None:
    lost = next(iter(kept_files(full.attachments).values()))
    attach_file(full, "drum", io.BytesIO(b"sound"), name="tick.wav", kind="sound", media_type="audio/wav")
    if spoil == "changed":
        lost.write_bytes(PICTURE[:-1] + b"E")
    else:
        lost.unlink()
    if spoil == "a folder":
        lost.mkdir()
    told = backup_shop(full, tmp_path / "shop.backup")
    restore_shop(tmp_path / "shop.backup", tmp_path / "again")
    again = open_shop(tmp_path / "again")

    assert told["files_count"] == 1  # Derived: two files, one of them lost.
    assert [one.partition(": ")[0] for one in told["warnings"]] == ["staff.png of the clock drum is not in the backup"]
    assert clock_page(again, "drum") == clock_page(full, "drum")
    assert [(one["what"], one["where"]) for one in check_shop(again)["problems"]] == [
        ("a file is not there", lost.name)
    ]
    again.engine.dispose()


def test_settings_that_cannot_be_read_do_not_hinder_a_backup(full: Shop, tmp_path: Path) -> None:
    (full.folder / "shop.toml").mkdir()

    assert backup_shop(full, tmp_path / "shop.backup")["warnings"] == [
        "shop.toml cannot be read and is not in the backup."
    ]


@pytest.mark.parametrize("spoil", ["changed", "gone"])
def test_a_clock_with_a_lost_picture_is_not_given_away(full: Shop, tmp_path: Path, spoil: str) -> None:
    lost = next(iter(kept_files(full.attachments).values()))
    lost.unlink()
    if spoil == "changed":
        lost.write_bytes(b"something else")
    with pytest.raises(MachineRefused, match=r"staff\.png of the clock drum cannot be taken along: its file"):
        export_clocks(full, ["drum"], tmp_path / "clock.zip")

    assert [one.name for one in tmp_path.glob("*.zip")] == []


def test_a_shop_is_restored_into_the_folder_one_stands_in(
    full: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    backup_shop(full, tmp_path / "shop.backup")
    (tmp_path / "here").mkdir()
    before = (tmp_path / "here").stat().st_ino
    monkeypatch.chdir(tmp_path / "here")
    restore_shop(tmp_path / "shop.backup", Path())

    assert sorted(one.name for one in Path.cwd().iterdir()) == ["attachments", "shop.sqlite"]
    assert (tmp_path / "here").stat().st_ino == before
    assert check_folder(Path())["verdict"] == "sound"


def test_a_restore_that_fails_at_its_end_leaves_an_empty_folder_empty(
    full: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    backup_shop(full, tmp_path / "shop.backup")
    (tmp_path / "here").mkdir()
    rename = Path.rename

    def full_disk(self: Path, target: Path) -> Path:
        if self.name == "shop.sqlite" and target.parent.name == "here":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", full_disk)
    with pytest.raises(MachineRefused, match="the disk is full"):
        restore_shop(tmp_path / "shop.backup", tmp_path / "here")

    assert list((tmp_path / "here").iterdir()) == []


def test_a_folder_without_a_shop_is_named_and_stays_empty(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="there is no shop in"):
        check_folder(tmp_path / "nothing")
    assert not (tmp_path / "nothing").exists()
