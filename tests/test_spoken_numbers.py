"""Numbers in words, there and back, and as they are put into a field."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial import units
from underdial.errors import BadInput
from underdial.spoken_numbers import read, spoken


@given(st.integers(min_value=0, max_value=999_999).map(lambda n: n / 1000.0))
def test_a_number_read_aloud_is_the_same_number(value: float) -> None:
    words = spoken(value).split()

    found = read(words, 0)

    assert found is not None
    assert found.value == pytest.approx(value)
    assert found.end == len(words)


@given(st.integers(min_value=0, max_value=999_999))
def test_a_whole_number_read_aloud_is_the_same_number(value: int) -> None:
    found = read(spoken(value).split(), 0)

    assert found is not None
    assert found.value == value


# Derived: each phrase worked out by hand.
_SAID = {
    "point one five": 0.15,
    "nought point four four": 0.44,
    "oh point two": 0.2,
    "one point four two": 1.42,
    "a hundred and eighty": 180.0,
    "one eighty": 180.0,
    "two seventy": 270.0,
    "one oh five": 105.0,
    "thirteen and a half": 13.5,
    "three quarters": 0.75,
    "five and a quarter": 5.25,
    "three sixteenths": 0.1875,
    "a sixty fourth": 0.015625,
    "fourteen thousand four hundred": 14400.0,
    "zero comma five two": 0.52,
    "3/4": 0.75,
    "1,200": 1200.0,
    "twenty five": 25.0,
    "one decimal nine five": 1.95,
    "three sixty fourths": 0.046875,
    "point four one side": 0.4,
    "ninety hundred": 90.0,
    "fifteen hundred": 1500.0,
    "point four two two hundredths": 0.42,
    "point four eight tenths": 0.4,
    "fourteen ninety nine": 1499.0,
    "fifteen thirty": 15.0,
}


@pytest.mark.parametrize("said", _SAID)
def test_numbers_are_read_as_they_are_said_at_the_bench(said: str) -> None:
    found = read(said.split(), 0)

    assert found is not None
    assert found.value == pytest.approx(_SAID[said])


# Derived: each by hand, an inch being 25.4 mm; what is said at the bench may be put into a field.
_IN_A_FIELD = {
    ("one-eighth inch", "length"): 0.0254 / 8,
    ("three-quarters of an inch", "length"): 0.0254 * 3 / 4,
    ("a hundred thou", "length"): 0.00254,
    ("point fifteen mm", "length"): 0.00015,
    ("two thirds of an inch", "length"): 0.0254 * 2 / 3,
    ("one eighty grams", "mass"): 0.18,
    ("two thousand grams", "mass"): 2.0,
}


@pytest.mark.parametrize(("said", "kind"), _IN_A_FIELD)
def test_a_field_reads_what_is_said_at_the_bench(said: str, kind: str) -> None:
    assert units.parse(said, kind=kind).value == pytest.approx(_IN_A_FIELD[said, kind])


def test_a_part_behind_a_hundred_is_no_part_of_all_of_it() -> None:
    """ "One hundred and one quarter inches" is a hundred and a bit: never a quarter of a hundred and one."""
    with pytest.raises(BadInput):
        units.parse("one hundred and one quarter inches", kind="length")
