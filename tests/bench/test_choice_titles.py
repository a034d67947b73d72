"""Choices laid out for an owner are called by different names."""

from __future__ import annotations

from underdial.bench.causes.choice_titles import title as _title
from underdial.bench.causes.choice_titles import title_to_owner, told_apart
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


def test_an_owner_reads_everyday_words_and_the_bench_those_of_the_trade() -> None:
    line = PlannedWork(line="2", work="pwr_26_new_line_fill", component="gut_line", words="fit a new line, long enough")
    hole = PlannedWork(line="3", work="trn_01_bush_concentric_original", component="pivot_hole", of="third_wheel")
    many = tuple(work(f"{n}", part, "dress") for n, part in enumerate(("pallets", "bob", "crutch"), 4))

    assert title_to_owner(()) == "Leave it as it is"
    assert title_to_owner((OVERHAUL,)) == "Clean it throughout"
    assert title_to_owner((line,)) == "Fit a new line, long enough"
    assert title_to_owner((OVERHAUL, hole)) == "Clean it throughout and line the worn hole afresh, in its old place"
    assert title_to_owner(many) == "Put three parts right"
    assert _title(many) == "Put right: pallets, bob, crutch"


def test_titles_to_an_owner_that_are_alike_say_what_is_more() -> None:
    few = (OVERHAUL, work("2", "pallets", "polish"), work("3", "bob", "turn true"), work("4", "crutch", "tighten"))
    other = (OVERHAUL, work("2", "pallets", "face"), work("3", "minute_hand", "bend"), work("4", "bezel", "ease"))
    one, two = told_apart(
        [Choice(title=_title(each), title_to_owner=title_to_owner(each), works=each) for each in (few, other)]
    )

    assert one.title_to_owner == "Clean it throughout and put three parts right"
    assert two.title_to_owner == (
        "Clean it throughout and put three parts right; also the pallets, the minute hand and the bezel"
    )


def test_a_part_of_a_long_name_is_one_part() -> None:
    one = PlannedWork(
        line="1",
        work="work_1",
        component="pivot_hole",
        of="strike.second_intermediate_wheel_of_the_quarters",
        words="dress it",
    )

    assert title_to_owner((one,)) == "Put one part right"


def test_a_choice_with_more_is_never_said_to_have_fewer_works() -> None:
    few = (OVERHAUL, work("2", "pallets", "polish"))
    more = (*few, work("3", "bob", "if it is loose, turn it true"))
    choices = [Choice(title=_title(each), title_to_owner=title_to_owner(each), works=each) for each in (few, more)]

    assert told_apart(choices)[1].title_to_owner.endswith("; also if it is loose, turn it true")
