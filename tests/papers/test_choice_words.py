"""Papers that speak of what was chosen: the choice's own words, and nothing that was not agreed or done."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from tests.papers.test_bench_sheet import NOON, dossier
from underdial.papers.blocks import all_words
from underdial.papers.care_sheet import care_sheet
from underdial.papers.choice_words import agreed_choice, rate_over_wind_words, work_words
from underdial.papers.condition_record import condition_record
from underdial.papers.counter_papers import release_note
from underdial.papers.dossier import Dossier
from underdial.papers.work_papers import consent_record
from underdial.record.choice import Choice
from underdial.record.work import Work

DONE = Work(work="bush", component="pivot_hole", of="third_wheel", place="back", by="repairer")


def with_choices(*choices: Choice, **changes: Any) -> Dossier:
    return dossier(choices=choices, **changes)


def test_the_consent_repeats_the_words_of_the_choice() -> None:
    words = all_words(consent_record(dossier()))

    assert "bush the hole at its true centre" in words
    assert work_words(dossier(), "repoint") == "turn new points on both cones"
    assert work_words(dossier(), "esc_01_move_the_wheel") == "esc 01 move the wheel"


def test_the_note_of_release_names_what_was_agreed_and_is_not_done() -> None:
    words = all_words(release_note(dossier(works=(DONE,))))

    assert "Back pivot hole of the third wheel: bush the hole at its true centre." in words
    assert "Agreed, and not written down as done: mainspring: new spring of the old strength." in words
    assert "Agreed, and not written down as done: pivot hole" not in words
    assert "fit other hands" not in words


def test_the_rate_to_expect_is_that_of_the_choice_that_was_agreed() -> None:
    agreed, other = (
        dossier().choices[0],
        Choice(title="Overhaul", id="c2", rate_low_s_per_day=-300.0, rate_high_s_per_day=300.0),
    )
    calm = replace(agreed, rate_low_s_per_day=-0.2, rate_high_s_per_day=0.1)
    both = with_choices(calm, other)

    assert agreed_choice(both) == calm
    assert "about 5 seconds from freshly wound" in (rate_over_wind_words(calm) or "")
    assert "about 5 minutes from freshly wound" in (rate_over_wind_words(other) or "")
    # What was reckoned is the drift over one wind, so that is what is said of it.
    assert "about 5 seconds from freshly wound to nearly run down" in all_words(care_sheet(both))
    assert "run down" not in all_words(care_sheet(with_choices(agreed, other))).replace("before it runs down", "")


def test_an_answer_taken_back_is_no_agreement() -> None:
    back = replace(dossier().consents[0], withdrawn_at=NOON + timedelta(days=1), withdrawn_words="No, after all.")

    assert agreed_choice(dossier(consents=(back,))) is None


@pytest.mark.parametrize(
    ("unseen", "said"),
    [
        ((("seat board", ("seat_board",)),), "seat board."),
        ((("winding", ("click", "click_spring")),), "winding: click, click spring."),
    ],
)
def test_what_was_not_looked_at_is_named_in_words(unseen: tuple[tuple[str, tuple[str, ...]], ...], said: str) -> None:
    words = all_words(condition_record(dossier(unseen=unseen)))

    assert said in words
    assert "_" not in words
