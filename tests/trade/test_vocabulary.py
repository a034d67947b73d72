"""Words of the bench: ids, kinds, spoken forms, counting of wheels."""

from __future__ import annotations

import dataclasses
from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput, OutOfRange
from underdial.trade.speech import speech
from underdial.trade.vocabulary import components, conditions, quantities
from underdial.trade.wheels import Counting, Train, position_of, wheel_ids


def test_kinds_run_from_the_near_to_the_wide() -> None:
    parts = components()

    assert parts["third_wheel"].kinds == ("wheel",)
    assert parts["crown_wheel"].kinds == ("escape_wheel", "wheel")
    assert parts["movement"].kinds == ()


def test_the_lists_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        cast(Any, components())["movement"] = None
    with pytest.raises(dataclasses.FrozenInstanceError):
        cast(Any, components()["movement"]).preferred = "works"


def test_every_metal_and_every_way_a_clock_is_described_has_one_word_for_it() -> None:
    assert {"half_arc", "rate", "beat_error", "escape_torque", "main_torque"} <= set(quantities())
    assert {one.id for one in conditions().values() if one.kind == "status"} == {
        "unexamined",
        "not_tested",
        "not_accessible",
        "not_with_clock",
    }


def test_no_spoken_form_of_a_condition_is_listed_as_a_mishearing_of_itself() -> None:
    for word in (*components().values(), *conditions().values()):
        assert not set(word.spoken) & set(word.misheard_as), word.id


def test_hedges_keep_their_order_of_certainty() -> None:
    certain = {phrase: hedge.certainty_probability for hedge in speech().hedges for phrase in hedge.phrases}

    order = ["definitely", "obviously", "looks like", "I think", "I'd guess", "might be", "not sure"]
    assert sorted(order, key=lambda phrase: -(certain[phrase] or 0.0)) == order


@pytest.mark.parametrize(
    ("wheel", "train", "counting", "position"),
    [
        # Derived: counted along a UK eight-day longcase train, a French round movement, a US strike.
        ("great_wheel", "going", "uk", 1),
        ("centre_wheel", "going", "uk", 2),
        ("centre_wheel", "going", "french", 3),
        ("centre_wheel", "going", "us", None),
        ("pin_wheel", "strike", "uk", 2),
        ("pin_wheel", "strike", "french", 3),
        ("warning_wheel", "strike", "us", 4),
    ],
)
def test_a_wheel_stands_where_the_country_counts_it(
    wheel: str, train: Train, counting: Counting, position: int | None
) -> None:
    assert position_of(wheel, 5, train=train, counting=counting) == position


@given(st.integers(2, 6), st.sampled_from(["uk", "us", "french"]))
def test_a_going_train_ends_at_the_escape_wheel_and_every_id_finds_its_place_again(
    arbors: int, counting: Counting
) -> None:
    ids = wheel_ids(arbors, counting=counting)

    assert len(ids) == arbors
    assert (ids[0], ids[-1]) == ("great_wheel", "escape_wheel")
    assert [position_of(one, arbors, counting=counting) for one in ids] == list(range(1, arbors + 1))


def test_a_train_longer_than_the_words_and_an_unknown_counting_are_refused() -> None:
    with pytest.raises(OutOfRange):
        wheel_ids(9)
    with pytest.raises(BadInput):
        wheel_ids(5, counting=cast(Any, "martian"))
