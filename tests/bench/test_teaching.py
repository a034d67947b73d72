"""Versions of what finished jobs taught: told first, taken up by a name, gone back from, and named by every answer."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.bench.conftest import moving_time
from tests.bench.finished import finish, take_in
from underdial.bench.causes.answering import known_answer, work_out
from underdial.bench.causes.diagnose import diagnose
from underdial.bench.causes.speaking import Speaking
from underdial.bench.causes.teaching import (
    go_back,
    learned_of,
    lesson_in_use,
    take_up,
    version_count_of,
    what_is_taught,
    what_jobs_would_change,
)
from underdial.bench.clock.case import case_of
from underdial.bench.keeping import backup_shop, check_shop, restore_shop
from underdial.bench.shop import Shop, clock_page, open_shop
from underdial.errors import NotFound, RuleBroken


@pytest.fixture
def taught(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A shop with two finished jobs; effects are learned from few draws, for speed."""
    monkeypatch.setattr("underdial.diagnosis.learning._DRAWS_COUNT", 200)
    finish(shop, "a")
    finish(shop, "b")
    return shop


def test_what_jobs_would_change_is_told_and_not_in_use(taught: Shop) -> None:
    proposal = what_jobs_would_change(taught)

    # Derived: both jobs were taken apart
    assert (proposal.jobs_count, proposal.stripped_count, proposal.left_out) == (2, 2, ())
    shown = next(one for one in proposal.changes if one.fault == "BAL-04" and "brought in" in one.words)
    assert shown.behind == "there in 2 of 2 taken apart"
    assert "blunt" in shown.said
    assert {one.small for one in proposal.changes} == {True, False}
    assert lesson_in_use(taught) is None
    assert what_is_taught(taught).proposal == proposal


def test_the_same_jobs_would_change_the_same_to_the_last_digit(taught: Shop) -> None:
    assert what_jobs_would_change(taught) == what_jobs_would_change(taught)


def test_a_version_is_taken_up_by_somebody_and_its_jobs_teach_no_more(taught: Shop) -> None:
    kept = take_up(taught, what_jobs_would_change(taught).key, by=" Ada Finch ", why="read through on Monday")

    assert (kept.number_count, kept.follows_count, kept.taken_up_by, kept.why) == (
        1,
        0,
        "Ada Finch",
        "read through on Monday",
    )
    assert lesson_in_use(taught) == kept
    assert what_is_taught(taught).waiting_count == 0
    assert what_is_taught(taught).proposal is None
    assert check_shop(taught)["verdict"] == "sound"


def test_nobody_takes_nothing_up(taught: Shop) -> None:
    with pytest.raises(RuleBroken, match="write a name"):
        take_up(taught, what_jobs_would_change(taught).key, by="  ")
    with pytest.raises(NotFound, match="work out anew"):
        take_up(taught, "0" * 64, by="Ada Finch")
    assert what_is_taught(taught).lessons == ()


def test_what_was_told_is_taken_up_once_and_not_over_another_version(taught: Shop) -> None:
    key = what_jobs_would_change(taught).key
    take_up(taught, key, by="Ada Finch")

    with pytest.raises(RuleBroken, match="another version was taken up since"):
        take_up(taught, key, by="Ben Orrin")


def test_jobs_that_teach_nothing_change_nothing(shop: Shop) -> None:
    finish(shop, "a", family=None)
    proposal = what_jobs_would_change(shop)

    assert proposal.empty
    assert [tag for tag, _ in proposal.left_out] == ["a"]
    with pytest.raises(RuleBroken, match="change nothing"):
        take_up(shop, proposal.key, by="Ada Finch")


def test_a_clock_is_reckoned_with_the_version_in_use_and_an_answer_of_another_is_not_shown(
    taught: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[Any, int]] = []

    def reckon(case: Any, *, learned: Any, version_count: int, **_: Any) -> dict[str, Any]:
        asked.append((learned, version_count))
        return {"chances_version_count": version_count}

    monkeypatch.setattr("underdial.bench.causes.diagnose.diagnose", reckon)
    take_in(taught, "c")
    first = work_out(taught, "c")
    kept = take_up(taught, what_jobs_would_change(taught).key, by="Ada Finch")
    unknown = known_answer(taught, clock_page(taught, "c"))
    second = work_out(taught, "c")
    go_back(taught, 0, by="Ada Finch")

    assert asked == [(None, 0), (learned_of(kept), 1)]  # Derived: as delivered, then the first that was taken up
    assert unknown is None
    assert second != first
    assert known_answer(taught, clock_page(taught, "c")) == first


@pytest.mark.slow
def test_every_answer_names_its_version_and_going_back_gives_the_very_same_answer(taught: Shop) -> None:
    take_in(taught, "c")
    before = anew(taught)
    take_up(taught, what_jobs_would_change(taught).key, by="Ada Finch")
    after = anew(taught)
    back = go_back(taught, 0, by="Ada Finch")
    again = anew(taught)
    forward = go_back(taught, 1, by="Ben Orrin")

    # Derived: as delivered, then the first that was taken up
    assert (before["chances_version_count"], after["chances_version_count"]) == (0, 1)
    assert again == before
    assert after["causes"] != before["causes"]
    assert (back.number_count, back.same_as_count, forward.same_as_count) == (2, 0, 1)
    assert anew(taught) == after
    # Derived: each deed adds one, none goes
    assert [one.number_count for one in what_is_taught(taught).lessons] == [1, 2, 3]
    assert what_is_taught(taught).to_go_back_to == (0,)  # Derived: 1 is in use, 2 and 3 have no numbers of their own
    assert diagnose(case_of(taught, "c"))["chances_version_count"] == 0  # Derived: a bare case knows of no shop


def anew(shop: Shop) -> dict[str, Any]:
    """The answer worked out again, not read from what was kept."""
    shutil.rmtree(shop.folder / "worked_out", ignore_errors=True)
    return work_out(shop, "c")


def test_what_is_said_while_one_speaks_follows_the_version(taught: Shop) -> None:
    take_in(taught, "c")
    speaking = Speaking()
    before = speaking.so_far(taught, "c")
    take_up(taught, what_jobs_would_change(taught).key, by="Ada Finch")

    after = speaking.so_far(taught, "c")
    # Derived: as delivered, then the first that was taken up
    assert (before["chances_version_count"], after["chances_version_count"]) == (0, 1)
    assert after["causes"] != before["causes"]
    go_back(taught, 0, by="Ada Finch")
    assert speaking.so_far(taught, "c") == before


def test_going_back_lets_the_jobs_teach_again(taught: Shop) -> None:
    first = take_up(taught, what_jobs_would_change(taught).key, by="Ada Finch")
    go_back(taught, 0, by="Ada Finch", why="the swing was read wrongly")

    assert what_is_taught(taught).waiting_count == len(first.jobs)
    assert version_count_of(lesson_in_use(taught)) == 0
    again = take_up(taught, what_jobs_would_change(taught).key, by="Ada Finch")
    # Derived: after the first and the going back
    assert (again.number_count, again.follows_count, again.chances) == (3, 2, first.chances)


@pytest.mark.parametrize("number", [0, 7])
def test_there_is_no_going_back_to_what_is_in_use_or_was_never(shop: Shop, number: int) -> None:
    with pytest.raises((RuleBroken, NotFound), match="already" if number == 0 else "no version 7"):
        go_back(shop, number, by="Ada Finch")


def test_stopping_keeps_nothing(taught: Shop) -> None:
    def stop(part: float) -> None:
        raise RuleBroken("jobs", part, "to the end", "stopped")

    with pytest.raises(RuleBroken, match="stopped"):
        what_jobs_would_change(taught, progress=stop)
    assert what_is_taught(taught).proposal is None


def test_versions_come_along_in_a_backup(taught: Shop, tmp_path: Path) -> None:
    kept = take_up(taught, what_jobs_would_change(taught).key, by="Ada Finch")
    backup_shop(taught, tmp_path / "shop.backup")
    restore_shop(tmp_path / "shop.backup", tmp_path / "again")
    again = open_shop(tmp_path / "again", now=moving_time())

    assert lesson_in_use(again) == kept
    assert check_shop(again)["verdict"] == "sound"
