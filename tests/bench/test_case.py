"""The case made from a record: a swing of a moment is none that the sums may take for the swing of the running clock."""

import pytest

from underdial.bench.case import case_of, is_of_a_moment
from underdial.bench.demo import open_demo
from underdial.record.measurement import Measurement


@pytest.mark.parametrize(("words", "position", "expected"), [
    ("it drops to one point five degrees each side", None, True),
    ("Down to one fifty before it lets the hammers go", None, True),
    ("two point one degrees each side", None, False),
    ("drops to one forty-five with the nine at the top", "9_up", False),
    (None, None, False),
])  # fmt: skip
def test_a_swing_told_as_what_it_drops_to_is_of_a_moment(words, position, expected):
    assert is_of_a_moment(Measurement(quantity="half_arc", value=1.5, unit="deg", of="pendulum", words=words, position=position)) is expected


def test_a_length_that_drops_is_no_swing():
    assert not is_of_a_moment(Measurement(quantity="drop", value=1.5, unit="mm", words="it drops to one point five"))


def test_the_swing_at_the_warning_stays_in_the_record_and_out_of_the_case(tmp_path):
    swings = [one["value"] for one in case_of(open_demo(tmp_path), "33")["measurements"] if one["quantity"] == "half_arc"]

    # Source: the words of the demo's look-over; it drops to 1.5 degrees at five to the hour.
    assert swings == [2.1]
