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
    ],
)
def test_shop_values_are_read_as_spoken(text, kind, value, u):
    read = units.parse(text, kind=kind)

    assert read.value == pytest.approx(value, rel=1e-12)
    assert read.u == pytest.approx(u, rel=1e-12)


@pytest.mark.parametrize("text", ["134.7", "abc", "", "12 parsecs", "3/0in", "1+-mm", "nanmm", "2.5deg"])
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
