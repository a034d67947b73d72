"""Several benches on one shop at once, in one process and in several."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import sqlalchemy as sa

from tests.store.conftest import NOON
from tests.store.test_records import BENT, received
from underdial.errors import MachineRefused, RuleBroken
from underdial.store import database
from underdial.store.backup import restore_backup, write_backup
from underdial.store.database import open_database, reading, writing
from underdial.store.records import Writer, add, change, read_all
from underdial.store.soundness import problems_of

OPENER = (
    "import sys; from pathlib import Path; from underdial.bench.shop import open_shop; "
    "open_shop(Path(sys.argv[1])); print('open')"
)


def test_what_many_threads_add_is_all_there_and_numbered_once(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        received(connection, writer)

    def bench(_: int) -> list[str]:
        names = []
        for _ in range(10):
            with writing(engine) as connection:
                names.append(str(add(connection, BENT, writer, clock_id="c1").id))
        return names

    with ThreadPoolExecutor(4) as benches:
        names = [name for many in benches.map(bench, range(4)) for name in many]
    with reading(engine) as connection:
        kept = [one.record.id for one in read_all(connection, "finding", clock_id="c1")]

    # Derived: four benches of ten each.
    assert kept == [f"finding-{number}" for number in range(1, 41)]
    assert sorted(names) == sorted(kept)


def test_of_two_who_change_one_record_at_once_one_is_told(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        received(connection, writer)
        kept = add(connection, BENT, writer, clock_id="c1")

    def bench(extent: str) -> str:
        from dataclasses import replace

        try:
            with writing(engine) as connection:
                change(connection, replace(kept, extent=extent), writer, clock_id="c1", version_count=1)
        except RuleBroken:
            return "told"
        return extent

    with ThreadPoolExecutor(3) as benches:
        said = list(benches.map(bench, ("slight", "moderate", "bad")))
    with reading(engine) as connection:
        now = read_all(connection, "finding", clock_id="c1")[0].record.extent

    assert sorted(said, key=lambda one: one != "told")[:2] == ["told", "told"]
    assert now in said


def test_a_writer_that_waits_too_long_is_told_to_try_again(
    engine: sa.Engine, writer: Writer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "PATIENCE_MS", 50)
    other = open_database(tmp_path / "shop.sqlite")
    with writing(engine) as connection:
        received(connection, writer)
        with (
            pytest.raises(MachineRefused, match="another program is writing to the shop; try again"),
            writing(other) as second,
        ):
            received(second, writer)
    other.dispose()


def test_a_backup_taken_while_others_write_is_one_sound_moment(
    engine: sa.Engine, writer: Writer, tmp_path: Path
) -> None:
    with writing(engine) as connection:
        received(connection, writer)

    def bench() -> None:
        for _ in range(30):
            with writing(engine) as connection:
                add(connection, BENT, writer, clock_id="c1")

    with ThreadPoolExecutor(1) as benches:
        working = benches.submit(bench)
        for number in range(3):
            write_backup(engine, tmp_path / "attachments", tmp_path / f"{number}.backup", at=NOON)
        working.result()
    for number in range(3):
        restore_backup(tmp_path / f"{number}.backup", tmp_path / f"again{number}")
        again = open_database(tmp_path / f"again{number}" / "shop.sqlite")

        assert list(problems_of(again, tmp_path / f"again{number}" / "attachments")) == []
        again.dispose()


def test_two_programs_that_open_a_new_shop_at_once_both_open_it(tmp_path: Path) -> None:
    openers = [
        subprocess.Popen(
            [sys.executable, "-c", OPENER, str(tmp_path / "shop")],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    told = [one.communicate() for one in openers]

    assert [out.strip() for out, _ in told] == ["open", "open"], told
