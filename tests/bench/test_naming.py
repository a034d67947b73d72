"""What a person writes, to the word of the trade's lists."""

import pytest

from underdial.bench.clock.naming import (
    as_written,
    owner_part_named,
    part_named,
    place_named,
    quantity_named,
    state_named,
)
from underdial.errors import BadInput
from underdial.trade.vocabulary import components, conditions


@pytest.mark.parametrize("said", ["pivot_hole", "pivot hole", "Pivot holes", "the pivot hole", " PIVOT  hole "])
def test_a_part_is_known_by_the_words_for_it(said):
    assert part_named(said) == "pivot_hole"


def test_every_word_of_the_lists_is_taken_back_as_it_is_shown():
    assert [part_named(as_written(one)) for one in components()] == list(components())
    assert [state_named(as_written(one)) for one in conditions()] == list(conditions())


def test_a_wheel_may_be_named_with_its_train():
    assert owner_part_named("strike great wheel") == owner_part_named("strike.great_wheel") == "strike.great_wheel"
    assert (owner_part_named("strike"), owner_part_named("third wheel"), owner_part_named(" ")) == (
        "strike",
        "third_wheel",
        None,
    )
    assert as_written("strike.great_wheel") == "strike great wheel"


def test_a_reading_is_kept_in_a_unit_it_is_read_in():
    assert quantity_named("Half arc", "°") == quantity_named("half_arc", "deg") == ("half_arc", "deg")
    assert place_named("12 up") == "12_up"


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda: part_named("flux capacitor"), "not on the list"),
        (lambda: state_named("wron"), "worn"),
        (lambda: state_named(" "), "nothing is written"),
        (lambda: owner_part_named("banana"), "not on the list"),
        (lambda: quantity_named("love", "deg"), "not on the list"),
        (lambda: quantity_named("half arc", "mm"), "allowed: deg"),
    ],
)
def test_what_is_on_no_list_is_refused_with_what_is_near(ask, said):
    with pytest.raises(BadInput, match=said):
        ask()
