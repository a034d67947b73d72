"""What was said beside what happened, over the finished jobs of a shop: honest with none, with few, with many."""

from __future__ import annotations

import pytest

from tests.bench.finished import finish
from underdial.bench.causes.said_and_seen import _headline, how_it_held
from underdial.bench.shop import Shop


def test_with_no_finished_job_it_says_so_and_draws_nothing(shop: Shop) -> None:
    held = how_it_held(shop)

    assert held.head == "No finished job tells yet whether what is said holds."
    assert (held.picture, held.rows, held.jobs_count) == (None, (), 0)


def test_jobs_of_which_nothing_was_said_beforehand_are_counted_in_a_sentence_of_their_own(shop: Shop) -> None:
    finish(shop, "a", chance=None)
    first = how_it_held(shop).under
    finish(shop, "b", chance=None)

    assert first == "One job is finished; it had no chance stated before a test, or no test that came to an end."
    assert how_it_held(shop).under.startswith("Two jobs are finished; they had no chance stated")


def test_few_jobs_are_counted_and_called_too_few(shop: Shop) -> None:
    finish(shop, "a", chance=0.95)
    finish(shop, "b", chance=0.95, stop="in the night")
    finish(shop, "c", chance=0.6)
    finish(shop, "d", chance=None)
    held = how_it_held(shop)

    assert held.head == "Three jobs; too few to tell."
    assert [(one.word, one.said, one.happened) for one in held.rows] == [
        ("very likely", "95", "1 of 2"),
        ("more likely than not", "60", "1 of 1"),
    ]
    assert "Beside them one job had no chance stated before a test" in held.under
    assert held.picture is not None
    assert "very likely, said 95 in 100: 1 of 2 went their full time" in held.picture


@pytest.mark.parametrize(
    ("ran", "ending"),
    [
        (27, "What was said has held."),
        (20, "Fewer than was said, and by more than chance."),
        (30, "What was said has held."),
    ],
)
def test_twenty_jobs_and_more_are_judged(ran: int, ending: str) -> None:
    # Derived: thirty at 0.9 make 27, give or take sqrt(30 x 0.9 x 0.1) = 1.64; 20 lies 4.3 of those below, 30 lies 1.8
    # above
    assert (
        _headline(30, 27.0, ran, 1.643, enough=True)
        == f"Of 30 jobs, 27 should have gone their full time; {ran} did. {ending}"
    )


def test_what_was_counted_is_kept_until_another_job_is_finished(shop: Shop) -> None:
    finish(shop, "a", chance=0.95)
    first, again = how_it_held(shop), how_it_held(shop)
    finish(shop, "b", chance=0.95)

    assert again == first
    assert (first.told_count, how_it_held(shop).told_count) == (1, 2)  # Derived: one job, then one more
