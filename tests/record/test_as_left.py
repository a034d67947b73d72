"""What a finding and a reading tell of, by the works, tests and look-overs beside them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from underdial.record.as_left import is_put_right, left_as_it_is, seen_as_found, stand_of_reading
from underdial.record.finding import Evidence, Finding
from underdial.record.look_over import LookOver
from underdial.record.measurement import Measurement
from underdial.record.proof import PassLine, Proof
from underdial.record.work import Work

NOON = datetime(2026, 5, 3, 12, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)
FRAYED = Finding(component="gut_line", condition="frayed", state="present", of="strike", id="f1")
WORMED = Finding(component="case", condition="wormed", state="present", id="f2")
OLD_OIL = Finding(component="movement", condition="old_oil", state="present", id="f3")
BUSH = Work(work="bush", component="pivot_hole", of="third_wheel", by="A", done_at=NOON)
LATER = replace(BUSH, done_at=NOON + 2 * HOUR)
ARC = Measurement(quantity="half_arc", value=1.9, unit="deg", id="m1")


def work(name: str, component: str, **more: Any) -> Work:
    return Work(work=name, component=component, by="A", **more)


@pytest.mark.parametrize(
    ("finding", "done", "right"),
    [
        (FRAYED, work("pwr_26_new_line_fill", "gut_line"), True),
        (FRAYED, work("pwr_26_new_line_fill", "gut_line", of="going"), False),
        (FRAYED, work("trn_01_bush_concentric_original", "pivot_hole"), False),
        (FRAYED, work("replace", "gut_line", of="strike"), True),
        (FRAYED, work("replace", "pulley", findings=("f1",)), True),
        (FRAYED, work("inspect", "gut_line", findings=("f1",), alters=False), False),
        # A work of another fault on the same part puts nothing else of that part right.
        (WORMED, work("pen_17_stand_firm_longcase", "case"), False),
        (WORMED, work("overhaul_one_train", "movement"), False),
        (OLD_OIL, work("overhaul_one_train", "movement"), True),
        (OLD_OIL, work("set_up_again", "movement"), False),
    ],
)
def test_a_work_puts_right_what_it_is_the_remedy_of_and_nothing_else(finding: Finding, done: Work, right: bool) -> None:
    assert is_put_right(finding, (done,)) is right


def test_what_the_clock_does_and_what_was_done_before_is_not_left_on_a_part() -> None:
    gains = Finding(component="movement", condition="gains", state="present", id="f4")
    replaced = Finding(component="hour_hand", condition="replaced", state="present", id="f5")
    sound = Finding(component="bell", condition="good", state="present", id="f6")
    unseen = Finding(component="pallets", condition="not_accessible", state="not_examined", id="f7")

    every = (FRAYED, WORMED, OLD_OIL, gains, replaced, sound, unseen, replace(WORMED, standing="rejected", id="f8"))
    assert left_as_it_is(every, (work("pwr_26_new_line_fill", "gut_line"),)) == (WORMED, OLD_OIL)


# Derived: the two works are of twelve and of two o'clock.
@pytest.mark.parametrize(
    ("taken_at", "works", "stand"),
    [
        (NOON - HOUR, (BUSH, LATER), "as_found"),
        (NOON + HOUR, (BUSH, LATER), "under_work"),
        (NOON + 3 * HOUR, (BUSH, LATER), "as_left"),
        (NOON, (BUSH,), "as_left"),
        (None, (BUSH,), "as_found"),
        (NOON + HOUR, (), "as_found"),
        (NOON + HOUR, (replace(BUSH, work="inspect", alters=False),), "as_found"),
    ],
)
def test_a_reading_stands_by_its_time_among_the_works(
    taken_at: datetime | None, works: tuple[Work, ...], stand: str
) -> None:
    assert stand_of_reading(replace(ARC, taken_at=taken_at), works=works, proofs=(), look_overs=()) == stand


def test_a_reading_on_test_or_in_a_round_is_never_as_found() -> None:
    line = PassLine(quantity="half_arc", low=1.0, high=3.0, unit="deg")
    proof = Proof(title="bare", planned_at=NOON, lines=(line,), results=("m1",))

    assert stand_of_reading(ARC, works=(), proofs=(proof,), look_overs=()) == "as_left"
    assert stand_of_reading(replace(ARC, round_id="r1"), works=(), proofs=(), look_overs=()) == "as_left"
    early = replace(ARC, taken_at=NOON + HOUR)
    assert stand_of_reading(early, works=(BUSH, LATER), proofs=(proof,), look_overs=()) == "under_work"


def test_what_was_spoken_stands_by_the_time_of_its_look_over() -> None:
    spoken = (Evidence(kind="look_over", source="l1"),)
    before = LookOver(taken_at=NOON + HOUR, by="A", begins_at=NOON - HOUR, id="l1")
    after = replace(before, begins_at=None)

    assert stand_of_reading(replace(ARC, evidence=spoken), works=(BUSH,), proofs=(), look_overs=(before,)) == "as_found"
    assert stand_of_reading(replace(ARC, evidence=spoken), works=(BUSH,), proofs=(), look_overs=(after,)) == "as_left"
    assert seen_as_found(replace(WORMED, evidence=spoken), works=(BUSH,), look_overs=(before,))
    assert not seen_as_found(replace(WORMED, evidence=spoken), works=(BUSH,), look_overs=(after,))
    assert not seen_as_found(replace(WORMED, round_id="r1"), works=(), look_overs=())
