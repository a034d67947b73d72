"""The case made from a record: a swing of a moment is none that the sums may take for the swing of the running
clock.
"""

from dataclasses import replace

import pytest

from underdial.bench.clock.case import case_of, without_moments
from underdial.bench.demo import open_demo
from underdial.record.measurement import Measurement

PLAIN = Measurement(quantity="half_arc", value=2.1, unit="deg", of="pendulum", words="two point one degrees each side")
DROPS = replace(PLAIN, value=1.5, words="it drops to one point five degrees each side")


@pytest.mark.parametrize(("other", "stays"), [
    (DROPS, False),
    (replace(DROPS, words="Falls away to one and a half"), False),
    (replace(DROPS, words="one and a half with the case pushed over"), True),
    (replace(DROPS, words="on test it goes to two and a half"), True),
    (replace(DROPS, position="9_up"), True),
    (replace(DROPS, of="balance"), True),
    (replace(DROPS, quantity="drop"), True),
    (replace(DROPS, words=None), True),
])  # fmt: skip
def test_a_swing_that_the_plain_one_drops_to_is_of_a_moment(other, stays):
    assert without_moments([PLAIN, other]) == ([PLAIN, other] if stays else [PLAIN])


def test_the_only_swing_stays_however_it_was_told():
    assert without_moments([DROPS]) == [DROPS]


def test_the_swing_at_the_warning_stays_in_the_record_and_out_of_the_case(tmp_path):
    swings = [
        one["value"] for one in case_of(open_demo(tmp_path), "33")["measurements"] if one["quantity"] == "half_arc"
    ]

    # Source: the words of the demo's look-over; it drops to 1.5 degrees at five to the hour.
    assert swings == [2.1]
