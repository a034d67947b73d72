"""A number is read the same in every field of every page."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput
from underdial.web.numbers_typed import number_typed

UNPROCESSABLE = 422


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1,5", 1.5),
        ("1.5", 1.5),
        (" -3 ", -3.0),
        ("−3", -3.0),
        ("+2", 2.0),
        (".5", 0.5),
        (",5", 0.5),
        ("7.", 7.0),
        ("1e3", 1000.0),
        ("−1,5e-2", -0.015),
        ("9 3/4", 9.75),
        ("3/4", 0.75),
        ("−1 1/2", -1.5),
    ],
)
def test_point_comma_and_either_minus_are_read(text, number):
    assert number_typed("value", text) == number  # Derived: by hand


def test_nothing_typed_is_no_number_and_no_refusal():
    assert number_typed("value", "  ") is None


@pytest.mark.parametrize(
    "text", ["nan", "inf", "-Infinity", "soon", "1,234.5", "1_000", "−−3", "1 000", "٣", "0x10", "1/0", "3/4/5"]
)
def test_what_is_no_number_is_refused_with_field_value_and_what_will_do(text):
    with pytest.raises(BadInput) as wrong:
        number_typed("give or take", text)

    assert wrong.value.message == f"give or take: {text} is no number; allowed: a number such as 1.5 or −3."


def test_a_number_out_of_range_is_refused_with_the_range():
    with pytest.raises(BadInput) as wrong:
        number_typed("gains", "90000", -86400.0, 86400.0)
    with pytest.raises(BadInput, match="value: 1e999 will not do"):
        number_typed("value", "1e999")

    assert wrong.value.message == "gains: 90000 will not do; −86400 to 86400 is wanted."


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [
        ("-4 min", "s/d", -240.0),  # Derived: 4 x 60 s
        ("loses 4 min", "s/d", -240.0),  # Derived: the same
        ("4 min slow", "s/d", -240.0),  # Derived: the same
        ("2:30", "h", 2.5),  # Derived: half an hour is 0.5
        ("90 min", "h", 1.5),  # Derived: 90 / 60
        ("5.2 deg", "deg", 5.2),  # Derived: the field's own unit
        ("1/2 in", "mm", 12.7),  # Source: yard and pound agreement 1959: the inch is 25.4 mm
        ("9 3/4", "in", 9.75),  # Derived: 9 + 3/4
        ("two thou", "mm", 0.0508),  # Derived: 2 x 0.0254 mm
        ("1,5", "mm", 1.5),  # Derived: a comma is a point
    ],
)
def test_a_field_in_a_unit_reads_values_as_they_are_spoken(text, unit, number):
    assert number_typed("value", text, unit=unit) == number  # Derived: in the table above


@pytest.mark.parametrize("text", ["soon", "4 lb", "5+-1 deg"])
def test_a_field_in_degrees_says_what_it_takes(text):
    with pytest.raises(BadInput, match="value: ") as wrong:
        number_typed("value", text, unit="deg")

    assert text in wrong.value.message


@given(st.floats(-1e11, 1e11))
def test_every_number_comes_back_as_it_was_written(number):
    assert number_typed("value", repr(number).replace("-", "−").replace(".", ",")) == number


@pytest.mark.parametrize(("address", "data"), [
    ("/clock/31/measurements", {"quantity": "half arc", "unit": "deg", "value": "nan"}),
    ("/clock/31/test", {"title": "on the stand", "lasts_h": "nan"}),
    ("/clock/31/picture/x/scale", {"x1": "0", "y1": "0", "x2": "1", "y2": "1", "length_mm": "nan"}),
    ("/clock/31/listen/live", {"sample_hz": "16000", "beats": "nan"}),
    ("/bench/runout/keep", {"ticket": "31", "size": "runout", "typed": "x=1", "allowed_off": "nan"}),
])  # fmt: skip
def test_each_page_says_the_same_of_what_is_no_number(client, address, data):
    answer = client.post(address, data=data)

    assert answer.status_code == UNPROCESSABLE
    assert ": nan is no number; allowed: " in answer.text
