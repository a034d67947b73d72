"""Numbers taken back and put right in the same breath or the next."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial import spoken_numbers as numbers
from underdial.telling.heard import Measurement
from underdial.telling.learned.sayings import NumberSaid
from underdial.telling.learned.second_numbers import measured_again
from underdial.telling.measurements.number_slips import put_right
from underdial.telling.measurements.number_words import NumberWords, number_words
from underdial.telling.sentences import clauses
from underdial.telling.speech import captions, words
from underdial.telling.speech.words import Word


def heard(text: str) -> tuple[list[Word], list[NumberWords]]:
    sentences = clauses.sentences(
        words.split(captions.parse(f"WEBVTT\n\n00:00.000 --> 00:30.000\n{text}\n", name="a.vtt").cues)
    )
    return [word for sentence in sentences for word in sentence], number_words(sentences)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # Derived: by hand; what is meant, in the unit it has or takes over.
        ("The beat error is two milliseconds. No, I beg your pardon, twelve.", [(12.0, "ms")]),
        ("It has eighteen teeth, no, twenty.", [(20.0, None)]),
        (
            "One point two degrees either side. No sorry, I'm reading it from the wrong end, one point four.",
            [(1.4, "deg")],
        ),
        ("Nine pounds six, no, I misread it, eight pounds six ounces.", [(8.375, "lb")]),
        ("Ninety hundredths. Let me look again, ninety-two.", [(0.92, "mm")]),
        ("Let down, four turns and a bit, four and a quarter say.", [(4.25, "turns")]),
        ("It's gaining fifty seconds a day. No, I'm reading that wrong, it's losing fifty.", [(-50.0, "s/d")]),
        ("Half a millimetre. Sorry, four milliseconds.", []),
        ("Six thou in front, no wear behind that, and eight.", []),
        ("Six thou, no, the back hole is eight.", []),
        ("Four degrees and three turns.", []),
    ],
)
def test_the_second_number_is_meant_when_the_first_was_taken_back(
    text: str, expected: list[tuple[float, str | None]]
) -> None:
    said, found = heard(text)
    assert [(pytest.approx(one.value), one.unit) for one in put_right(said, found).values()] == expected


def test_what_was_measured_by_a_slip_is_measured_by_what_was_meant() -> None:
    said, found = heard("The beat error is two milliseconds. No, I beg your pardon, twelve.")
    slip = Measurement("beat_error", "movement", 2.0, "ms", said[found[0].first].start_s, sentence=0)
    sure, doubtful = (
        NumberSaid(one, chance, "ms", 0.9, "beat_error", 0.9, "movement", None, 0.9)
        for one, chance in zip(found, (0.9, 0.1), strict=True)
    )

    # Source: the words; twelve is meant, whatever the learned reading makes of it.
    assert [(one.quantity, one.value, one.unit) for one in measured_again([slip], [sure, doubtful], said)] == [
        ("beat_error", 12.0, "ms")
    ]


def test_a_size_without_a_unit_is_in_that_of_the_size_before_it() -> None:
    said, found = heard("Pivot sixty-three hundredths, hole seventy.")
    numbers_said = [
        NumberSaid(one, 0.9, "thou", 0.9, quantity, 0.9, "pivot", "third_wheel", 0.9)
        for one, quantity in zip(found, ("diameter", "hole_diameter"), strict=True)
    ]

    # Derived: a hundredth is a hundredth of a millimetre.
    assert [(one.value, one.unit) for one in measured_again([], numbers_said, said)] == [(0.63, "mm"), (0.7, "mm")]


@given(st.integers(2, 90), st.integers(2, 90))
def test_of_two_numbers_that_differ_the_second_is_meant(first: int, second: int) -> None:
    said, found = heard(f"It is {numbers.spoken(first)} thou. Sorry, {numbers.spoken(second)} thou.")
    # Derived: the numbers as they were put in; the same number again corrects nothing.
    assert [one.value for one in put_right(said, found).values()] == ([second] if first != second else [])
