"""The same records in PostgreSQL, for a shop that several benches share: a real server in a temporary folder."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from tests.store.conftest import NOON
from tests.store.test_records import BENT, LESSON, RECORDER, received
from underdial.errors import BadInput, MachineRefused, RuleBroken
from underdial.record.finding import Finding
from underdial.store.backup import restore_backup, write_backup
from underdial.store.clocks import in_the_shop
from underdial.store.database import open_database, reading, writing
from underdial.store.lessons import newest_lesson, state_of_gone
from underdial.store.migrate import bring_up_to_date, revision_of
from underdial.store.recorders import read_recorders
from underdial.store.records import Writer, add, change, read, read_all
from underdial.store.schema import METADATA, REVISION
from underdial.store.soundness import problems_of

pytestmark = pytest.mark.postgres


def programs() -> Path | None:
    """The folder with `initdb` and `postgres`, where Debian or the path has them."""
    found = [*Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    on_path = shutil.which("initdb")
    return max(found).parent if found else Path(on_path).parent if on_path else None


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    """The address of a server that is started for these tests, on a socket of its own."""
    folder = programs()
    if folder is None:
        pytest.skip("the programs of PostgreSQL are not here (Debian: apt-get install postgresql)")
    as_postgres: list[str] = []
    if os.geteuid() == 0:
        if (
            shutil.which("setpriv") is None
            or subprocess.run(["id", "postgres"], capture_output=True, check=False).returncode != 0
        ):
            pytest.skip("PostgreSQL does not run as root, and there is no setpriv or no user postgres to run it as")
        as_postgres = ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups"]
    # A socket's whole path may have 107 signs, so it lies in a folder with a short name.
    place = Path(tempfile.mkdtemp(prefix="ud-pg-", dir="/tmp" if Path("/tmp").is_dir() else None))
    if as_postgres:
        shutil.chown(place, "postgres", "postgres")
    data = place / "data"
    run = {"cwd": place, "check": True, "capture_output": True, "text": True}
    try:
        subprocess.run([*as_postgres, folder / "initdb", "-D", data, "-A", "trust", "-U", "shop", "--no-sync"], **run)  # type: ignore[call-overload]
        options = f"-c listen_addresses='' -c unix_socket_directories={place} -c fsync=off"
        subprocess.run(
            [*as_postgres, folder / "pg_ctl", "-D", data, "-w", "-o", options, "-l", place / "log", "start"],
            **{**run, "capture_output": False},
        )  # type: ignore[call-overload]
        try:
            yield f"postgresql://shop@/postgres?host={place}"
        finally:
            subprocess.run([*as_postgres, folder / "pg_ctl", "-D", data, "-m", "immediate", "-w", "stop"], **run)  # type: ignore[call-overload]
    finally:
        shutil.rmtree(place, ignore_errors=True)


@pytest.fixture
def shared(server: str) -> Iterator[sa.Engine]:
    """An empty shop in the server."""
    opened = open_database(server)
    with writing(opened) as connection:
        connection.exec_driver_sql("drop schema public cascade")
        connection.exec_driver_sql("create schema public")
    bring_up_to_date(opened)
    yield opened
    opened.dispose()


def test_the_migrations_make_the_same_tables_there(shared: sa.Engine) -> None:
    with reading(shared) as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
    assert revision_of(shared) == REVISION


def test_records_versions_and_rules_hold_there_too(shared: sa.Engine, writer: Writer) -> None:
    with writing(shared) as connection:
        received(connection, writer)
        kept = add(connection, BENT, writer, clock_id="c1")
        change(connection, replace(kept, extent="slight"), writer, clock_id="c1", version_count=1)
    with pytest.raises(RuleBroken, match="changed by somebody else"), writing(shared) as connection:
        change(connection, replace(kept, extent="bad"), writer, clock_id="c1", version_count=1)
    with pytest.raises(RuleBroken), writing(shared) as connection:
        add(connection, replace(BENT, visit_id="visit-9"), writer, clock_id="c1")

    with reading(shared) as connection:
        assert read(connection, "finding", "finding-1", clock_id="c1").record.extent == "slight"
        assert [line.tag for line in in_the_shop(connection, search="DRUM").lines] == ["drum"]
    assert list(problems_of(shared, Path("nowhere"))) == []


def test_the_history_cannot_be_altered_there_either(shared: sa.Engine, writer: Writer) -> None:
    with writing(shared) as connection:
        received(connection, writer)

    with pytest.raises(RuleBroken, match="the history is only added to"), writing(shared) as connection:
        connection.exec_driver_sql("delete from history")


def test_two_benches_that_add_at_once_never_share_a_number(shared: sa.Engine, writer: Writer) -> None:
    with writing(shared) as connection:
        received(connection, writer)
    other = open_database(shared.url.render_as_string(hide_password=False).replace("+psycopg", ""))
    late = Finding(component="click", condition="worn", state="present", visit_id="visit-1")

    def both() -> None:
        with writing(shared) as first:
            add(first, BENT, writer, clock_id="c1")
            with writing(other) as second:
                second.exec_driver_sql("set local lock_timeout = '200ms'")
                add(second, late, writer, clock_id="c1")

    with pytest.raises((MachineRefused, RuleBroken)):
        both()
    with writing(other) as connection:
        add(connection, late, writer, clock_id="c1")
        names = [one.record.id for one in read_all(connection, "finding", clock_id="c1")]
    other.dispose()

    # Derived: neither of the first two was confirmed, so the third has the first number.
    assert names == ["finding-1"]


def test_a_shared_shop_is_backed_up_into_the_same_form(shared: sa.Engine, writer: Writer, tmp_path: Path) -> None:
    with writing(shared) as connection:
        received(connection, writer)
        add(connection, BENT, writer, clock_id="c1")
        add(connection, LESSON, writer)
        add(connection, RECORDER, writer)
    carried = write_backup(shared, tmp_path / "attachments", tmp_path / "shop.backup", at=NOON)
    restore_backup(tmp_path / "shop.backup", tmp_path / "again")
    again = open_database(tmp_path / "again" / "shop.sqlite")
    with reading(again) as connection, reading(shared) as there:
        assert read_all(connection, "finding", clock_id="c1") == read_all(there, "finding", clock_id="c1")
        assert newest_lesson(connection) == LESSON
        assert state_of_gone(there, "finding") == (0, 0, 0, 0)  # Derived: the one clock is still in the shop
        assert read_recorders(connection) == read_recorders(there) == (RECORDER,)

    # Derived: one clock was received.
    assert carried.clocks_count == 1
    assert list(problems_of(again, tmp_path / "again" / "attachments")) == []
    again.dispose()


def test_a_server_that_is_not_there_gives_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(MachineRefused, match="does not answer"):
        revision_of(open_database(f"postgresql://shop@/postgres?host={tmp_path}&connect_timeout=2"))


@pytest.mark.parametrize("address", ["mysql://shop/there", "not an address", "sqlite:///shop.sqlite"])
def test_another_kind_of_database_is_refused_by_its_address(address: str) -> None:
    with pytest.raises(BadInput, match="no address of a PostgreSQL database"):
        open_database(address)
