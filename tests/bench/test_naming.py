"""What a person writes, to the word of the trade's lists."""

import pytest

from underdial.bench.clock.naming import (
    as_written,
    finding_named,
    handed_over_named,
    measured_part_named,
    owner_part_named,
    part_in_words,
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


@pytest.mark.parametrize(
    ("said", "part", "of", "place"),
    [
        ("winding key", "key", None, None),
        ("fusee line", "gut_line", "fusee", None),
        ("third arbor", "arbor", "third_wheel", None),
        ("front pivot third wheel", "pivot", "third_wheel", "front"),
        ("the third arbor's front pivot", "pivot", "third_wheel", "front"),
        ("third arbor front pivot", "pivot", "third_wheel", "front"),
        ("suspension feather", "suspension_spring", None, None),
        ("a tin of odd screws", None, None, None),
    ],
)
def test_a_part_is_known_by_the_words_of_the_bench_and_words_left_over_name_none(said, part, of, place):
    named = part_in_words(said)

    assert (named and (named.component, named.of, named.place)) == (part and (part, of, place))


def test_what_came_with_it_keeps_its_words_and_known_ones_get_their_part():
    assert handed_over_named("winding key") == ("key", "winding key")
    assert handed_over_named("a tin of  odd screws") == ("other", "a tin of odd screws")
    assert handed_over_named("Pendulum") == ("pendulum", None)
    with pytest.raises(BadInput, match="nothing is written"):
        handed_over_named(" ")


@pytest.mark.parametrize(
    ("typed", "kept", "said"),
    [
        (("click", "worn", "", "", "by the last man"), ("click", "worn", None, "by the last man"), ""),
        (("fusee line", "wrong", "", "", "steel"), ("gut_line", "noted", "fusee", "wrong; steel"), "“wrong”"),
        (
            ("flux capacitor", "worn", "", "", ""),
            ("movement", "noted", None, "flux capacitor, worn"),
            "“flux capacitor”",
        ),
        (("pivot", "worn", "banana", "", ""), ("pivot", "worn", None, "banana"), "“banana”"),
        (("pivot", "worn", "third arbor", "", ""), ("pivot", "worn", "third_wheel", None), ""),
        (("", "", "", "", "moth in the cloth"), ("movement", "noted", None, "moth in the cloth"), ""),
        (("click", "noted", "", "", "as before"), ("click", "noted", None, "as before"), ""),
        (("click", "wron", "", "", ""), ("click", "noted", None, "wron"), "Near it: worn"),
    ],
)
def test_what_no_list_has_becomes_the_note_of_a_finding_and_is_said(typed, kept, said):
    fields, told = finding_named(*typed)

    assert (fields["component"], fields["condition"], fields["of"], fields["note"]) == kept
    assert said in told
    assert bool(told) == bool(said)


@pytest.mark.parametrize("typed", [("", "", "", "", " "), ("click", "", "", "", "")])
def test_a_finding_needs_a_part_and_a_state_or_a_note(typed):
    with pytest.raises(BadInput, match="nothing is written"):
        finding_named(*typed)


def test_a_reading_may_name_the_pivot_of_an_arbor():
    assert measured_part_named("third arbor") == ("third_wheel", None)
    assert measured_part_named("third arbor front pivot") == ("pivot:third_wheel", "front")
    assert measured_part_named("") == (None, None)
    assert quantity_named("arc", "deg")[0] == "half_arc"
