"""Choices laid out for an owner are called by different names."""

from __future__ import annotations

from underdial.bench.causes.answering import _title, told_apart
from underdial.record.choice import Choice, PlannedWork

OVERHAUL = PlannedWork(line="1", work="overhaul_one_train", component="movement", words="strip, clean, oil")


def work(line: str, component: str, words: str) -> PlannedWork:
    return PlannedWork(line=line, work=f"work_{line}", component=component, words=words)


def called(*sets: tuple[PlannedWork, ...]) -> list[str]:
    titles = [Choice(title="Overhaul; put right: pallets, bob, crutch and 1 more", works=works) for works in sets]
    return [one.title for one in told_apart(titles)]


def test_titles_that_were_cut_short_alike_name_all_their_parts() -> None:
    common = (OVERHAUL, work("2", "pallets", "polish"), work("3", "bob", "turn true"), work("4", "crutch", "tighten"))

    first, second = called((*common, work("5", "cheeks", "pinch")), (*common, work("5", "minute_hand", "bend clear")))

    assert first != second
    assert first.endswith("cheeks")
    assert second.endswith("minute hand")


def test_two_works_on_the_same_parts_are_told_apart_by_what_is_done() -> None:
    first, second = called(
        (OVERHAUL, work("2", "pallets", "polish them")), (OVERHAUL, work("2", "pallets", "face them afresh"))
    )

    assert first == "Overhaul; put right: pallets"
    assert second == "Overhaul; put right: pallets; also face them afresh"


def test_titles_that_differ_stay_as_they_are() -> None:
    one, two = (
        Choice(title="Leave it as it is", works=()),
        Choice(title="Set up again", works=(work("1", "movement", "set it up"),)),
    )

    assert [choice.title for choice in told_apart([one, two])] == ["Leave it as it is", "Set up again"]


def test_a_clock_that_is_only_brought_to_time_is_not_just_set_up() -> None:
    set_up = PlannedWork(line="1", work="set_up_again", component="movement", words="set level and in beat")
    to_time = PlannedWork(line="2", work="test_and_regulate", component="movement", words="regulate")

    assert _title((set_up, to_time)) == "Set up again and bring to time"
    assert _title((set_up,)) == "Set up again"
