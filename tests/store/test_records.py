"""Single records in a real database: history, versions, foreign keys, and what is stored twice."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from hypothesis import HealthCheck, given, settings

from tests.record.strategies import of_kind
from tests.store.conftest import NOON
from underdial.errors import BadInput, MachineRefused, NotFound, RuleBroken
from underdial.record.clock import Clock
from underdial.record.finding import Finding
from underdial.record.lesson import Lesson
from underdial.record.recorder import Recorder
from underdial.record.visit import Visit
from underdial.store.database import open_database, reading, writing
from underdial.store.lessons import gone_visits, newest_lesson, of_gone, read_lessons
from underdial.store.migrate import bring_up_to_date, revision_of
from underdial.store.recorders import read_recorders
from underdial.store.records import Writer, add, change, read, read_all, read_history
from underdial.store.schema import METADATA, REVISION
from underdial.store.soundness import problems_of

DRUM = Clock(id="c1", tag="drum", name="drum timepiece")
BENT = Finding(component="staff", condition="bent", state="present", visit_id="visit-1")


def received(connection: sa.Connection, writer: Writer) -> None:
    add(connection, DRUM, writer)
    add(connection, Visit(received_at=NOON), writer, clock_id="c1")


def test_the_migrations_make_exactly_the_tables_of_the_program(engine: sa.Engine) -> None:
    with reading(engine) as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []


def test_the_program_knows_the_head_of_its_migrations() -> None:
    config = Config()
    config.set_main_option("script_location", "underdial.store:migrations")

    assert ScriptDirectory.from_config(config).get_heads() == [REVISION]


def test_every_table_is_strict_and_the_log_is_written_ahead(engine: sa.Engine) -> None:
    with reading(engine) as connection:
        loose = (
            connection.exec_driver_sql(
                "select name from pragma_table_list where strict = 0 and type = 'table' and schema = 'main'"
            )
            .scalars()
            .all()
        )
        modes = [
            connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        ]

    assert set(loose) <= {"alembic_version", "sqlite_schema", "sqlite_sequence"}
    # Source: SQLite documentation, PRAGMA synchronous: 2 is FULL; foreign_keys: 1 is on.
    assert modes == ["wal", 2, 1]


def test_opening_a_second_time_migrates_nothing(engine: sa.Engine) -> None:
    assert bring_up_to_date(engine) is None
    assert revision_of(engine) == REVISION


def test_a_shop_of_a_newer_program_is_left_alone(engine: sa.Engine) -> None:
    with writing(engine) as connection:
        connection.exec_driver_sql("update alembic_version set version_num = '9999'")

    with pytest.raises(BadInput, match="written by a newer program"):
        bring_up_to_date(engine)


def brought_to(engine: sa.Engine, form: str) -> None:
    """The shape that the program of that time made."""
    config = Config()
    config.set_main_option("script_location", "underdial.store:migrations")
    with writing(engine) as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, form)


def test_a_shop_of_an_older_program_is_copied_before_it_is_changed(tmp_path: Path) -> None:
    old = open_database(tmp_path / "shop.sqlite")
    brought_to(old, "0001")
    with writing(old) as connection:
        received(connection, Writer(by="repairer", at=NOON))

    assert bring_up_to_date(old) == "0001"
    copy = open_database(tmp_path / f"shop.sqlite.before-{REVISION}")
    for engine in (old, copy):
        with reading(engine) as connection:
            assert read(connection, "clock", "c1").record == DRUM
    with reading(old) as connection:
        assert newest_lesson(connection) is None
        assert read_recorders(connection) == ()
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
    copy.dispose()
    old.dispose()


def test_a_database_of_something_else_is_left_alone(tmp_path: Path) -> None:
    other = open_database(tmp_path / "other.sqlite")
    with writing(other) as connection:
        connection.exec_driver_sql("create table clock (colour text)")

    with pytest.raises((BadInput, MachineRefused)):
        bring_up_to_date(other)
    with reading(other) as connection:
        assert sa.inspect(connection).get_table_names() == ["clock"]


def test_a_file_that_is_no_database_gives_one_sentence(tmp_path: Path) -> None:
    file = tmp_path / "shop.sqlite"
    file.write_bytes(b"these are notes, not a database, and longer than a header of one" * 40)

    with pytest.raises(MachineRefused, match="no database of a shop"):
        bring_up_to_date(open_database(file))


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(of_kind("finding"))
def test_a_finding_is_read_as_it_was_written(engine: sa.Engine, finding: Finding) -> None:
    with writing(engine) as connection:
        if connection.exec_driver_sql("select count(*) from clock").scalar() == 0:
            received(connection, Writer(by="repairer", at=NOON))
        kept = add(
            connection,
            replace(finding, id="", visit_id="visit-1", round_id=None),
            Writer(by="repairer", at=NOON),
            clock_id="c1",
        )

    with reading(engine) as connection:
        assert read(connection, "finding", kept.id, clock_id="c1").record == kept


def test_records_are_numbered_within_their_clock(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        received(connection, writer)
        names = [add(connection, BENT, writer, clock_id="c1").id for _ in range(3)]

    # Derived: counted from one, by kind.
    assert names == ["finding-1", "finding-2", "finding-3"]


def test_every_change_is_an_event_with_before_and_after(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        received(connection, writer)
        kept = add(connection, BENT, writer, clock_id="c1")
        change(
            connection,
            replace(kept, extent="slight"),
            Writer(by="second bench", at=NOON, why="looked again"),
            clock_id="c1",
            deed="corrected",
        )
    with reading(engine) as connection:
        events = read_history(connection, clock_id="c1", record_id="finding-1")

    assert [(one.deed, one.by, one.why) for one in events] == [
        ("added", "repairer", None),
        ("corrected", "second bench", "looked again"),
    ]
    assert events[1].before is not None
    assert events[1].after is not None
    assert "extent" not in events[1].before
    assert events[1].after["extent"] == "slight"


def test_a_change_made_from_an_old_reading_is_refused_and_nothing_is_written(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        received(connection, writer)
        kept = add(connection, BENT, writer, clock_id="c1")
        change(connection, replace(kept, extent="slight"), writer, clock_id="c1", version_count=1)
    with pytest.raises(RuleBroken, match="changed by somebody else"), writing(engine) as connection:
        change(connection, replace(kept, extent="bad"), writer, clock_id="c1", version_count=1)

    with reading(engine) as connection:
        assert read(connection, "finding", "finding-1", clock_id="c1").record.extent == "slight"


def test_a_change_that_changes_nothing_writes_nothing(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        received(connection, writer)
        kept = add(connection, BENT, writer, clock_id="c1")
        change(connection, kept, writer, clock_id="c1")
        count = len(read_history(connection, clock_id="c1", record_id="finding-1"))

    # Derived: only the event of adding.
    assert count == 1


@pytest.mark.parametrize("deed", ["update history set why = 'better'", "delete from history"])
def test_the_history_cannot_be_altered_even_by_hand(engine: sa.Engine, writer: Writer, deed: str) -> None:
    with writing(engine) as connection:
        received(connection, writer)

    with pytest.raises(RuleBroken, match="the history is only added to"), writing(engine) as connection:
        connection.exec_driver_sql(deed)


def test_a_finding_of_a_visit_that_never_was_is_refused(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        received(connection, writer)

    with pytest.raises(RuleBroken), writing(engine) as connection:
        add(connection, replace(BENT, visit_id="visit-9"), writer, clock_id="c1")


def test_an_unknown_record_is_named(engine: sa.Engine) -> None:
    with reading(engine) as connection, pytest.raises(NotFound, match="there is no finding-7 here"):
        read(connection, "finding", "finding-7", clock_id="c1")


def test_what_fails_halfway_leaves_nothing(engine: sa.Engine, writer: Writer) -> None:
    def halfway() -> None:
        with writing(engine) as connection:
            received(connection, writer)
            raise KeyError("the bench's own fault")

    with pytest.raises(KeyError):
        halfway()
    with reading(engine) as connection:
        # Derived: nothing.
        assert (
            connection.exec_driver_sql("select (select count(*) from clock) + (select count(*) from history)").scalar()
            == 0
        )


def test_two_readers_and_a_writer_do_not_wait_for_each_other(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        received(connection, writer)
    with reading(engine) as early:
        before = len(read_all(early, "finding", clock_id="c1"))
        with writing(engine) as connection:
            add(connection, BENT, writer, clock_id="c1")
        during: tuple[Any, ...] = read_all(early, "finding", clock_id="c1")

    # Derived: a reader sees the one moment at which it began.
    assert (before, len(during)) == (0, 0)


LESSON = Lesson(
    id="lesson-1",
    number_count=1,
    follows_count=0,
    taken_up_at=NOON,
    taken_up_by="Ada Finch",
    chances={"PWR-01": 0.1 + 0.2},
    sizes={"BAL-04": 1.0 / 0.7},
)


def test_a_lesson_is_kept_to_the_last_digit_and_the_newest_is_in_use(engine: sa.Engine, writer: Writer) -> None:
    back = Lesson(
        id="lesson-2", number_count=2, follows_count=1, same_as_count=0, taken_up_at=NOON, taken_up_by="Ada Finch"
    )
    with writing(engine) as connection:
        add(connection, LESSON, writer)
        add(connection, back, writer)

    with reading(engine) as connection:
        assert read_lessons(connection) == (LESSON, back)
        assert newest_lesson(connection) == back
    assert list(problems_of(engine, Path("nowhere"))) == []


def test_two_lessons_cannot_have_one_number(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        add(connection, LESSON, writer)

    with pytest.raises(RuleBroken, match="there already"), writing(engine) as connection:
        add(connection, replace(LESSON, id="lesson-x"), writer)


def test_only_visits_that_are_over_are_finished_jobs(engine: sa.Engine, writer: Writer) -> None:
    with writing(engine) as connection:
        received(connection, writer)
        add(connection, Visit(received_at=NOON, stage="gone", gone_at=NOON), writer, clock_id="c1")
        add(connection, BENT, writer, clock_id="c1")
        kept = add(connection, replace(BENT, visit_id="visit-2"), writer, clock_id="c1")

    with reading(engine) as connection:
        assert [one.job_id for one in gone_visits(connection)] == ["c1/visit-2"]
        assert of_gone(connection, "finding") == {"c1/visit-2": [kept]}


RECORDER = Recorder(
    id="r1",
    device="Field recorder",
    sample_hz=48000,
    ppm=0.1 + 0.2,
    u_ppm=0.4,
    made_at=NOON,
    by="Ada Finch",
    method="reference",
    words="a quartz clock",
)


def test_comparisons_of_a_recorder_are_found_by_its_name_the_newest_first(engine: sa.Engine, writer: Writer) -> None:
    later = replace(RECORDER, id="r0", made_at=NOON + timedelta(days=1))
    other = replace(RECORDER, id="r2", device="Tablet", made_at=NOON - timedelta(days=1))
    with writing(engine) as connection:
        for one in (RECORDER, later, other):
            add(connection, one, writer)

    with reading(engine) as connection:
        assert read_recorders(connection) == (later, RECORDER, other)
        assert read_recorders(connection, device=" field RECORDER") == (later, RECORDER)
    assert list(problems_of(engine, Path("nowhere"))) == []
