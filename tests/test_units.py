"""Shop units at the edge: what is typed is what is meant, and a wrong word gets one sentence."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial import units
from underdial.errors import BadInput


@pytest.mark.parametrize(
    ("text", "kind", "value", "u"),
    [
        ("1.42mm", "length", 1.42e-3, 0.0),  # Derived: 1 mm is 1e-3 m
        ("1.42+-0.005mm", "length", 1.42e-3, 5e-6),  # Derived: the same
        ("6thou", "length", 6 * 25.4e-6, 0.0),  # Source: yard and pound agreement 1959: the inch is 25.4 mm
        ("3/4in", "length", 0.75 * 0.0254, 0.0),  # Source: yard and pound agreement 1959
        ("1 1/4in", "length", 1.25 * 0.0254, 0.0),  # Source: yard and pound agreement 1959
        ("2.5deg", "angle", math.radians(2.5), 0.0),  # Derived: math.radians
        ("-35s/d", "rate", -35.0, 0.0),  # Derived: rates stay per day
        ("2min/week", "rate", 120.0 / 7.0, 0.0),  # Derived: 120 s in 7 days
        ("12lb", "mass", 12 * 0.45359237, 0.0),  # Source: yard and pound agreement 1959: the pound is 0.45359237 kg
        ("71uNm", "torque", 71e-6, 0.0),  # Derived: micro is 1e-6
        ("20degC", "temperature", 20.0, 0.0),  # Derived: kept in degrees Celsius
        ("1.2 inches", "length", 1.2 * 0.0254, 0.0),  # Source: yard and pound agreement 1959, as are all inches here
        ("two thou", "length", 2 * 25.4e-6, 0.0),  # Derived: a thou is a thousandth of an inch
        ("9 3/4 in", "length", 9.75 * 0.0254, 0.0),  # Derived: 9 and three quarters
        ("9-3/4in", "length", 9.75 * 0.0254, 0.0),  # Derived: the same with a hyphen between
        ("9¾″", "length", 9.75 * 0.0254, 0.0),  # Derived: the same in one sign each
        ('9"', "length", 9 * 0.0254, 0.0),  # Derived: nine inches
        ("1/2 in", "length", 0.0127, 0.0),  # Derived: half an inch
        ("half a millimetre", "length", 5e-4, 0.0),  # Derived: half of 1e-3 m
        ("three quarters of an inch", "length", 0.75 * 0.0254, 0.0),  # Derived: 3/4
        ("an inch and a quarter", "length", 1.25 * 0.0254, 0.0),  # Derived: 1 + 1/4
        ("a tenth of a millimetre", "length", 1e-4, 0.0),  # Derived: 1e-3 m / 10
        ("nought point two five mm", "length", 2.5e-4, 0.0),  # Derived: 0.25 mm
        ("5 ft 3 in", "length", 63 * 0.0254, 0.0),  # Derived: 5 x 12 + 3 inches
        ("12 mm +- 1 mm", "length", 0.012, 1e-3),  # Derived: the unit is said twice
        ("5.2°", "angle", math.radians(5.2), 0.0),  # Derived: math.radians
        ("5° 30′", "angle", math.radians(5.5), 0.0),  # Derived: 30 minutes of arc are half a degree
        ("2:30 hours", "time", 9000.0, 0.0),  # Derived: 2.5 x 3600 s
        ("2h30", "time", 9000.0, 0.0),  # Derived: the same
        ("4 min a day slow", "rate", -240.0, 0.0),  # Derived: 4 x 60 s, slow is negative
        ("loses 4+-1 min a day", "rate", -240.0, 60.0),  # Derived: the same, its error has no sign
        ("gains ten minutes a week", "rate", 600.0 / 7.0, 0.0),  # Derived: 600 s in 7 days
        ("1 min 40 s/d", "rate", 100.0, 0.0),  # Derived: 60 + 40
        ("4 lb 2 oz", "mass", 66 / 16 * 0.45359237, 0.0),  # Derived: 4 x 16 + 2 ounces
        ("2.1e-7 kg m²", "inertia", 2.1e-7, 0.0),  # Derived: the unit as a textbook prints it
        ("71 μN m", "torque", 71e-6, 0.0),  # Derived: micro in its Greek letter
        ("9997 beats an hour", "beats", 9997.0, 0.0),  # Derived: kept as counted
    ],
)
def test_shop_values_are_read_as_spoken(text, kind, value, u):
    read = units.parse(text, kind=kind)

    assert read.value == pytest.approx(value, rel=1e-12)
    assert read.u == pytest.approx(u, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "134.7",
        "abc",
        "",
        "12 parsecs",
        "3/0in",
        "1+-mm",
        "nanmm",
        "2.5deg",
        "half",
        "a tenth",
        "5 ft 13 in",
        "5 mm 3 thou",
        "loses 4mm",
    ],
)
def test_what_is_no_length_is_refused_by_name(text):
    with pytest.raises(BadInput, match="length"):
        units.parse(text, kind="length", field="length")


def test_a_missing_unit_is_answered_with_an_example():
    with pytest.raises(BadInput) as refused:
        units.parse("134.7", kind="length", field="length")

    assert refused.value.message == "length: 134.7 needs a unit, such as 134.7mm"


@given(
    st.floats(-1e6, 1e6, allow_nan=False),
    st.sampled_from([(kind, unit) for kind, table in units._TABLE.items() for unit in table]),
)
def test_every_unit_goes_out_and_comes_back(value, kind_unit):
    kind, unit = kind_unit
    read = units.parse(f"{value!r}{unit}", kind=kind)

    assert read.value / units.factor(unit)[1] == pytest.approx(value, rel=1e-12, abs=1e-300)


@pytest.mark.parametrize(
    ("text", "rate"),
    [
        ("-35", -35.0),  # Derived: seconds, as the field says
        ("-4 min", -240.0),  # Derived: minutes a day
        ("loses 4 min", -240.0),  # Derived: the same
        ("4 min slow", -240.0),  # Derived: the same
        ("two minutes fast", 120.0),  # Derived: 2 x 60
        ("loses a minute and a half", -90.0),  # Derived: 90 s
        ("7 min a week slow", -60.0),  # Derived: what is said goes before what the field says
    ],
)
def test_a_place_that_names_a_day_takes_a_time_for_a_rate(text, rate):
    assert units.parse(text, kind="rate", bare="s/d").value == pytest.approx(rate)


def test_a_time_alone_asks_for_the_day_or_the_week():
    with pytest.raises(BadInput) as refused:
        units.parse("loses 4 min", kind="rate", field="rate")

    assert refused.value.message == "rate: loses 4 min in a day or in a week; write -4min/d or -4min/week."


@pytest.mark.parametrize("text", ["loses -4 min/d", "-4 min/d slow"])
def test_a_sign_beside_a_word_for_it_is_asked_back(text):
    with pytest.raises(BadInput, match="a sign and a word"):
        units.parse(text, kind="rate")


def test_half_past_two_hours_or_minutes_is_asked_back_where_no_unit_is_named():
    with pytest.raises(BadInput, match="2h30min or 2min30s"):
        units.parse("2:30", kind="time")
    assert units.parse("2:30", kind="time", bare="h").value == 9000.0  # Derived: 2.5 x 3600 s
    assert units.parse("2:30", kind="time", bare="min").value == 150.0  # Derived: 2.5 x 60 s


_SAID = [(word, kind, unit) for kind, words in units._SPOKEN.items() for word, unit in words.items()]


@given(st.decimals(0, 999, places=2), st.sampled_from(_SAID))
def test_a_unit_as_said_is_the_unit_as_written(number, said):
    word, kind, unit = said

    assert units.parse(f"{number} {word}", kind=kind) == units.parse(f"{number}{unit}", kind=kind)
    assert units.factor(word)[1] > 0.0


@given(st.integers(0, 40), st.integers(1, 15))
def test_a_whole_and_its_fraction_add_up(whole, above):
    read = units.parse(f"{whole} {above}/16 in", kind="length").value

    assert read == pytest.approx((whole + above / 16) * 0.0254)  # Derived: sixteenths of an inch


@given(st.integers(0, 500), st.integers(0, 59))
def test_minutes_and_seconds_of_a_rate_add_up_and_keep_the_sign(minutes, seconds):
    lost = units.parse(f"loses {minutes} min {seconds} s a day", kind="rate").value

    assert lost == -(60.0 * minutes + seconds)  # Derived: sixty seconds to the minute
    assert units.parse(f"-{minutes} min {seconds} s/d", kind="rate").value == lost
    assert units.parse(f"{minutes} min {seconds} s a day fast", kind="rate").value == -lost


@given(st.text(max_size=40), st.sampled_from(units.KINDS))
def test_any_text_is_a_finite_value_or_one_sentence(text, kind):
    said = ""
    try:
        read = units.parse(text, kind=kind, field="size")
    except BadInput as refused:
        said = refused.message
        read = units.Quantity(0.0, 0.0, kind)

    assert math.isfinite(read.value)
    assert math.isfinite(read.u)
    assert said == "" or said.startswith("size: ")


_ONES = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen"]
_TENS = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


@given(
    st.integers(1, 13) | st.integers(20, 99),
    st.sampled_from([("", 0.0), ("and a half", 0.5), ("and three quarters", 0.75)]),
)
def test_a_number_in_words_is_its_figures(number, part):
    tens, ones = divmod(number, 10)
    words = _ONES[number - 1] if number < 14 else "-".join([_TENS[tens], *([_ONES[ones - 1]] if ones else [])])

    read = units.parse(f"{words} {part[0]} thou", kind="length").value

    assert read == pytest.approx((number + part[1]) * 2.54e-5)  # Derived: 25.4 micrometres each
