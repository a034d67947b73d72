"""Hours: what is worked is counted once, and what it comes to is reckoned to the penny."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from underdial.errors import RuleBroken
from underdial.record.hours import Hours, running, worked_in_all_s, worked_s, worth_of_hours
from underdial.record.look_over import LookOver, Stretch
from underdial.record.money import Money
from underdial.record.work import Work

NINE = datetime(2026, 3, 2, 9, tzinfo=UTC)


def stretch(begins_min: float, ends_min: float | None, by: str = "A") -> Hours:
    ends = None if ends_min is None else NINE + timedelta(minutes=ends_min)
    return Hours(began_at=NINE + timedelta(minutes=begins_min), ended_at=ends, by=by)


def by_hand(minutes: int) -> Hours:
    return Hours(began_at=NINE, by="A", how="by_hand", by_hand_s=60 * minutes)


def test_time_that_two_counts_of_one_person_share_is_worked_once() -> None:
    hours = (stretch(0, 60), stretch(30, 90), stretch(40, 50), stretch(120, 130))

    # Derived: 9:00 to 10:30 and 11:00 to 11:10 are 100 minutes.
    assert worked_s(hours) == 100 * 60
    # Derived: two people at one clock work each their own time, 60 and 60 minutes.
    assert worked_s((stretch(0, 60), stretch(0, 60, by="B"))) == 120 * 60


def test_what_is_put_right_by_hand_is_added_and_what_runs_is_not_in_it() -> None:
    hours = (stretch(0, 60), by_hand(20), by_hand(-30), stretch(90, None))

    # Derived: 60 + 20 - 30 minutes.
    assert worked_s(hours) == 50 * 60
    assert running(hours) == hours[-1]


def test_hours_said_in_a_look_over_count_with_those_of_the_bench() -> None:
    told = LookOver(taken_at=NINE, by="A", hours=(Stretch(start_s=600.0, end_s=1800.0),))
    dated = LookOver(taken_at=NINE, begins_at=NINE, by="A", hours=(Stretch(start_s=600.0, end_s=1800.0),))

    # Derived: 60 minutes and 20; of one that began at nine, 9:10 to 9:30 lie within the hour.
    assert worked_s((stretch(0, 60),), (told,)) == 80 * 60
    assert worked_s((stretch(0, 60),), (dated,)) == 60 * 60


def test_hours_written_with_works_stand_in_where_none_were_counted_and_are_never_added() -> None:
    works = (
        Work(work="bush", component="pivot_hole", by="A", hours_h=1.5),
        Work(work="oil", component="movement", by="A", hours_h=0.25),
    )

    # Derived: 1.75 h are 6300 s; counted hours take their place.
    assert worked_in_all_s((), (), works) == 6300
    assert worked_in_all_s((stretch(0, 60),), (), works) == 3600
    assert worked_in_all_s((stretch(0, None),), (), ()) is None


@pytest.mark.parametrize(
    ("seconds", "minor"),
    # Derived: 45.00 an hour is 1.25 p a second: 12000 s are 150.00; 1 s rounds to 1 p, 2 s (2.5 p) to 3 p.
    [(12000, 15000), (1, 1), (2, 3), (0, 0)],
)
def test_what_hours_come_to_is_to_the_nearest_penny_half_a_penny_up(seconds: int, minor: int) -> None:
    assert worth_of_hours(seconds, Money(amount_minor=4500, currency="GBP")).amount_minor == minor


def test_a_stretch_cannot_end_before_it_began_nor_a_correction_be_nothing() -> None:
    with pytest.raises(RuleBroken, match="after it began"):
        stretch(10, 5)
    with pytest.raises(RuleBroken, match="nothing, or more than 1000 h"):
        by_hand(0)
