"""The same records in PostgreSQL, for a shop that several benches share: a real server in a temporary folder."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from tests.bench.erased import NAME, TALES, sent_home, with_hester
from tests.bench.test_billing import credited_by_both, issued_by_both, numbers_of
from tests.store.conftest import NOON
from tests.store.test_records import BENT, LESSON, RECORDER, received
from underdial.bench.as_found.looking import add_finding
from underdial.bench.counter.erasing import erase_person
from underdial.bench.counter.receiving import NEW_TAG, receive_clock
from underdial.bench.keeping import backup_shop, restore_shop
from underdial.bench.shop import Shop, clock_page, history_of, job, open_shop
from underdial.errors import BadInput, MachineRefused, RuleBroken
from underdial.record.clock import Clock
from underdial.record.visit import Visit
from underdial.store import database
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


@pytest.fixture
def benches(shared: sa.Engine, tmp_path: Path) -> Iterator[tuple[Shop, Shop]]:
    """Two programs on the same shop, with the clocks `a` and `b` in it."""
    address = shared.url.render_as_string(hide_password=False).replace("+psycopg", "")
    (tmp_path / "shop.toml").write_text(f'database = "{address}"\n')
    both = open_shop(tmp_path), open_shop(tmp_path)
    for tag in ("a", "b"):
        receive_clock(both[0], Clock(tag=tag, name="drum timepiece"), Visit(received_at=NOON))
    yield both
    for one in both:
        one.engine.dispose()


def test_invoices_of_two_benches_take_every_number_once(benches: tuple[Shop, Shop]) -> None:
    issued_by_both(benches, ("a", "b"))

    # Derived: ten invoices of each bench, in one row from 1 to 20.
    assert numbers_of(benches[0], ("a", "b")) == list(range(1, 21))


def test_credit_notes_of_two_benches_take_every_number_once(benches: tuple[Shop, Shop]) -> None:
    # Derived: ten credit notes of each bench, in one row from 1 to 20, though as many were refused between.
    assert credited_by_both(benches, ("a", "b")) == list(range(1, 21))
    # Derived: the invoices keep a row of their own.
    assert numbers_of(benches[0], ("a", "b")) == [1, 2]


def test_the_server_itself_keeps_no_credit_number_twice(benches: tuple[Shop, Shop]) -> None:
    credited_by_both(benches, ("a", "b"))
    note = clock_page(benches[0], "a").credits[0]

    with pytest.raises(RuleBroken), job(benches[0], "a", by="x") as at:
        add(at.connection, replace(note, id=""), at.writer, clock_id=at.clock_id)


def test_a_person_is_erased_there_too(benches: tuple[Shop, Shop]) -> None:
    shop, other = benches
    person_id, voice = with_hester(shop)
    sent_home(shop, person_id)
    erase_person(
        shop, person_id, name=NAME, why="the owner, by letter", also=("Quillfeather",), files=(f"drum/{voice.id}",)
    )
    with reading(other.engine) as connection:
        told = " ".join(
            str(row)
            for table in (*METADATA.tables.values(),)
            if table.name != "bill"
            for row in connection.execute(sa.select(table))
            if "'bill'" not in str(row)
        )

    for tale in TALES:
        assert tale.casefold() not in told.casefold()
    assert clock_page(other, "drum").bills[0].to[0] == NAME
    assert list(problems_of(other.engine, other.attachments)) == []
    with pytest.raises(RuleBroken, match="the history is only added to"), writing(other.engine) as connection:
        connection.exec_driver_sql("update history set why = 'x'")


@pytest.mark.parametrize("tags", [("a", "a"), ("a", "b")])
def test_what_two_benches_add_at_once_is_all_kept(benches: tuple[Shop, Shop], tags: tuple[str, str]) -> None:
    def add_thirty(bench: Shop, tag: str) -> list[str]:
        return [add_finding(bench, tag, replace(BENT, visit_id="")).id for _ in range(30)]

    with ThreadPoolExecutor(2) as hands:
        names = list(hands.map(add_thirty, benches, tags))

    for tag in set(tags):
        given = sorted(name for many, of in zip(names, tags, strict=True) if of == tag for name in many)
        kept = [one.id for one in clock_page(benches[0], tag).findings]
        # Derived: thirty of each bench, numbered from 1 without a gap.
        assert kept == [f"finding-{number}" for number in range(1, 1 + 30 * tags.count(tag))]
        assert given == sorted(kept)


def test_two_counters_that_receive_at_once_give_out_two_tickets(benches: tuple[Shop, Shop]) -> None:
    def receive_five(counter: Shop) -> list[str]:
        return [
            receive_clock(counter, Clock(tag=NEW_TAG, name="longcase"), Visit(received_at=NOON)).tag for _ in range(5)
        ]

    with ThreadPoolExecutor(2) as hands:
        tags = [tag for many in hands.map(receive_five, benches) for tag in many]

    # Derived: five of each counter behind the two that were there.
    assert sorted(int(tag.split("-")[1]) for tag in tags) == list(range(3, 13))


def test_two_programs_that_open_a_new_shared_shop_at_once_both_open_it(server: str, shared: sa.Engine) -> None:
    with writing(shared) as connection:
        connection.exec_driver_sql("drop schema public cascade")
        connection.exec_driver_sql("create schema public")
    openers = [open_database(server) for _ in range(2)]
    with ThreadPoolExecutor(2) as hands:
        list(hands.map(bring_up_to_date, openers))

    assert [revision_of(one) for one in openers] == [REVISION, REVISION]
    for one in openers:
        one.dispose()


def test_a_bench_that_waits_too_long_for_its_turn_is_told_to_try_again(
    shared: sa.Engine, writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "PATIENCE_MS", 50)
    with (
        writing(shared) as connection,
        pytest.raises(MachineRefused, match="another program is writing to the shop; try again"),
        writing(shared),
    ):
        received(connection, writer)


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


@pytest.fixture
def nothing_there(server: str) -> str:
    """The address of the server's database, with nothing in it."""
    opened = open_database(server)
    with writing(opened) as connection:
        connection.exec_driver_sql("drop schema public cascade")
        connection.exec_driver_sql("create schema public")
    opened.dispose()
    return server


def tables_there(address: str) -> list[str]:
    opened = open_database(address)
    with reading(opened) as connection:
        found = sa.inspect(connection).get_table_names()
    opened.dispose()
    return found


def backed_up(tmp_path: Path) -> tuple[Shop, Path]:
    """A shop of one bench with a clock, and its backup."""
    (tmp_path / "one").mkdir()
    (tmp_path / "one" / "shop.toml").write_text('name = "The bench"\n')
    one = open_shop(tmp_path / "one")
    person_id, _ = with_hester(one)
    sent_home(one, person_id)
    backup_shop(one, tmp_path / "one.zip")
    return one, tmp_path / "one.zip"


def test_a_backup_is_restored_into_an_empty_database(nothing_there: str, tmp_path: Path) -> None:
    one, file = backed_up(tmp_path)
    told = restore_shop(file, tmp_path / "shared", database=nothing_there)
    shared = open_shop(tmp_path / "shared")
    before, after = clock_page(one, "drum"), clock_page(shared, "drum")
    again = receive_clock(shared, Clock(tag=NEW_TAG, name="carriage clock"), Visit(received_at=NOON))

    assert (told["clocks_count"], told["files_count"]) == (1, 1)  # Derived: the one clock and the one recording.
    assert shared.engine.dialect.name == "postgresql"
    assert shared.settings.name == "The bench"
    assert not list((tmp_path / "shared").glob("shop.sqlite*"))
    assert after.record_sha256 == before.record_sha256
    assert [(one.number_count, one.after) for one in history_of(shared, "drum")] == [
        (one.number_count, one.after) for one in history_of(one, "drum")
    ]
    # What is written next comes after, in records and history.
    assert history_of(shared, again.tag)[0].number_count > history_of(shared, "drum")[-1].number_count
    assert list(problems_of(shared.engine, shared.attachments)) == []
    with pytest.raises(RuleBroken, match="the history is only added to"), writing(shared.engine) as connection:
        connection.exec_driver_sql("delete from history")
    for shop in (one, shared):
        shop.engine.dispose()


def test_a_database_that_holds_something_is_left_as_it_is(shared: sa.Engine, server: str, tmp_path: Path) -> None:
    one, file = backed_up(tmp_path)
    with pytest.raises(BadInput, match="only into an empty database"):
        restore_shop(file, tmp_path / "shared", database=server)
    one.engine.dispose()

    assert not (tmp_path / "shared").exists()
    assert revision_of(shared) == REVISION


def test_a_restore_that_fails_leaves_nothing_in_the_database(
    nothing_there: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, file = backed_up(tmp_path)
    one.engine.dispose()
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2] + b"x" * 40 + whole[len(whole) // 2 + 40 :])
    with pytest.raises(BadInput):
        restore_shop(file, tmp_path / "shared", database=nothing_there)
    assert tables_there(nothing_there) == []
    file.write_bytes(whole)
    monkeypatch.setattr("underdial.store.backup.force_folder", lambda _: (_ for _ in ()).throw(OSError(5, "gone")))
    with pytest.raises(MachineRefused):
        restore_shop(file, tmp_path / "shared", database=nothing_there)

    assert tables_there(nothing_there) == []
    with pytest.raises(BadInput, match="no address of a PostgreSQL database"):
        restore_shop(file, tmp_path / "third", database="mysql://there")
    with pytest.raises(MachineRefused):
        restore_shop(file, tmp_path / "third", database="postgresql://shop@/postgres?host=/nowhere")
    assert not (tmp_path / "third").exists()
