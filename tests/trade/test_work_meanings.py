"""Works in everyday words: each that a choice can hold, and no word of the trade in any."""

from __future__ import annotations

import re

import pytest

from underdial.diagnosis.found_faults import remedy_for
from underdial.errors import BadInput
from underdial.trade.faults import faults
from underdial.trade.vocabulary import conditions
from underdial.trade.work_meanings import read_works_to_owner, said_to_owner
from underdial.trade.works import works

from .conftest import Break

# Words that somebody who has never seen inside a clock does not know, or takes for something else.
_TRADE = re.compile(
    r"\b(?:arbor|bush(?!ed)|burnish|broach|collet|contrate|crutch|deburr|detent|donor|draw\b(?! it out)|drop\b|endshake"
    r"|guard pin|in beat|leaf|lock\b|mainspring|peg\b|pinion|pivot|poise|proud|re-|regulator|rivet|shellac|shim|snail"
    r"|stake|strip,|the owner|to owner|top the|train\b|trundle|true the)",
    re.IGNORECASE,
)


def _offered() -> set[str]:
    """The works that a choice can hold: those that go round, and what is counted on for each fault."""
    found = {"set_up_again", "overhaul_one_train", "overhaul_two_train", "overhaul_three_train", "repair_part"}
    for fault in faults():
        for condition in (None, *conditions()):
            for decision in (None, "replace"):
                if remedy := remedy_for(fault, condition, decision):
                    found.add(f"{fault}.{remedy.id}")
    return found


def test_no_work_that_an_owner_is_offered_is_told_in_words_of_the_trade() -> None:
    told = {work: said_to_owner(work, works()[work].do) for work in _offered()}

    assert {work: words for work, words in told.items() if _TRADE.search(words)} == {}


def test_a_condition_before_the_work_stays_and_what_somebody_wrote_themselves_is_left_alone() -> None:
    do = works()["STR-09.clean_free_levers"].do

    assert said_to_owner("str_09_clean_free_levers", f"if it is tight: {do}") == (
        "if it is tight: clean and free the levers that let off the strike, and ease their spring"
    )
    assert said_to_owner("str_09_clean_free_levers", "polish the lifting post") == "polish the lifting post"
    assert said_to_owner("bush", None) == "bush"


@pytest.mark.parametrize("row", [{"id": "NONE-01.x", "says": "mend it"}, {"id": "look_over", "says": " "}])
def test_a_broken_row_is_refused_by_file_and_key(break_file: Break, row: dict[str, str]) -> None:
    folder = break_file("works_to_owner.json", lambda held: held.append(row))

    with pytest.raises(BadInput, match=r"works_to_owner\.json: \["):
        read_works_to_owner(folder)
