"""Cautions appear by trigger, the gravest first, never more than a screen carries."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput
from underdial.trade.cautions import AT_MOST_COUNT, cautions, due, read_cautions, shown, triggers
from underdial.trade.files import DATA

RANKS = ["stop", "before_step", "note", "law_block"]
some_triggers = st.sets(st.sampled_from(sorted(triggers())), max_size=12)


@given(some_triggers)
def test_a_screen_carries_at_most_two_and_the_gravest(present: set[str]) -> None:
    screen, all_due = shown(present), due(present)

    assert len(screen) <= AT_MOST_COUNT
    assert screen == all_due[: len(screen)]
    ranks = [RANKS.index(caution.rank) for caution in all_due]
    assert ranks == sorted(ranks)


@given(some_triggers)
def test_acknowledging_brings_up_every_caution_that_is_due(present: set[str]) -> None:
    seen: list[str] = []
    while screen := shown(present, acknowledged=seen):
        seen += [caution.id for caution in screen]

    assert seen == [caution.id for caution in due(present)]


@given(some_triggers, some_triggers)
def test_more_triggers_never_take_a_caution_away(present: set[str], more: set[str]) -> None:
    assert set(due(present)) <= set(due(present | more))


@pytest.mark.parametrize("entry", sorted({entry for caution in cautions().values() for entry in caution.show_when}))
def test_every_entry_calls_its_caution_and_needs_all_its_parts(entry: tuple[str, ...]) -> None:
    waiting = [caution for caution in cautions().values() if entry in caution.show_when]

    assert set(waiting) <= set(due(entry))
    for caution in waiting:
        if len(caution.show_when) == 1 and len(entry) > 1:
            assert caution not in due(entry[:1])


def test_a_part_of_a_narrower_kind_calls_for_the_caution_of_the_wider() -> None:
    assert cautions()["C01"] in due(["component:open_spring"])


def test_a_reader_is_shown_only_what_is_meant_for_that_reader() -> None:
    for caution in due(triggers(), reader="owner"):
        assert "owner" in caution.audience


def test_a_misspelt_step_is_refused_and_not_passed_over() -> None:
    with pytest.raises(BadInput, match="let-down"):
        due(["step:let down"])


def test_no_caution_ever_calls_anything_safe() -> None:
    for caution in cautions().values():
        assert " is safe" not in caution.text


def test_what_an_owner_is_told_is_for_an_owner() -> None:
    told = [caution for caution in cautions().values() if "owner" in caution.audience]

    assert {caution.id for caution in told} >= {"C03", "C05", "C06", "C07", "C16", "C23", "C29"}
    for caution in told:
        for word in ("bench", "gloves", "letter", "the owner", "spill kit", "hold the weight", "inspected"):
            assert word not in caution.owner_text, (caution.id, word)


@pytest.mark.parametrize("fault", ["PWR-26", "PEN-30", "LNG-01"])
def test_a_weight_is_spoken_of_only_where_a_weight_drives(fault: str) -> None:
    assert cautions()["C29"] not in due([f"fault:{fault}", "trait:fusee"])
    assert cautions()["C29"] in due([f"fault:{fault}", "trait:weight"])


def test_a_caution_without_words_for_the_owner_it_is_meant_for_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    shutil.copytree(DATA, folder)
    path = folder / "cautions.json"
    broken = json.loads((DATA / "cautions.json").read_text(encoding="utf-8"))
    del broken[2]["owner_text"]
    path.write_text(json.dumps(broken), encoding="utf-8")

    with pytest.raises(BadInput, match="owner_text"):
        read_cautions(folder)
