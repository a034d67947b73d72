"""Numbers of labelled speech: which words each label is of, and what the network is shown of it."""

from __future__ import annotations

from teaching.answers import COMPONENT_ROWS, OF_ROWS, QUANTITY_ROWS, UNIT_ROWS, TagNumbers
from teaching.base_weights import WordPieces
from teaching.examples import Example, example_of
from teaching.stretches import lay_out, stretches, targets

from .conftest import SPEECH, speech

SPOKEN = (
    SPEECH
    + """The dial is a twelve inch. Third front pivot, sixty-two, and the hole takes point seven one.
= diameter of=pivot:third_wheel 62 thou
= hole_diameter of=pivot_hole:third_wheel 0.71 mm
The spring was six turns. No, seven.
= turns of=mainspring 7 turns
"""
)


def _numbers(example: Example) -> dict[str, tuple[str | None, str | None, str | None, str | None]]:
    return {
        " ".join(word.text for word in example.words[one.first : one.last + 1]): (
            one.unit,
            one.quantity,
            one.component,
            one.of,
        )
        for one in example.numbers
    }


def test_each_label_is_laid_on_the_number_of_its_value() -> None:
    # Source: the labels of the text above; what has none measures nothing.
    assert _numbers(example_of(speech(SPOKEN))) == {
        "twelve": (None, None, None, None),
        "sixty two": ("thou", "diameter", "pivot", "third_wheel"),
        "point seven one": ("mm", "hole_diameter", "pivot_hole", "third_wheel"),
        "six": (None, None, None, None),
        "seven": ("turns", "turns", "mainspring", None),
    }


def test_without_stops_the_same_numbers_are_labelled() -> None:
    labelled = {
        words: told
        for words, told in _numbers(example_of(speech(SPOKEN), stops=False, cut="anywhere")).items()
        if told[0]
    }
    # Source: the labels of the text above.
    assert labelled == {words: told for words, told in _numbers(example_of(speech(SPOKEN))).items() if told[0]}


def test_the_network_is_shown_rows_of_the_lists(pieces: WordPieces) -> None:
    example = example_of(speech(SPOKEN))
    laid = lay_out(example, pieces, TagNumbers.met((word.kind, word.value) for word in example.words))
    shown = [one for stretch in stretches(len(laid.ids)) for one in targets(laid, stretch).numbers]

    assert [one.first_word for one in shown] == [one.first for one in example.numbers]
    assert (UNIT_ROWS[None], None, None) == (shown[0].unit, shown[0].quantity, shown[0].component)
    assert (UNIT_ROWS["thou"], QUANTITY_ROWS["diameter"], COMPONENT_ROWS["pivot"], OF_ROWS["third_wheel"]) == (
        shown[1].unit,
        shown[1].quantity,
        shown[1].component,
        shown[1].of,
    )
