"""A recorder's clock as it was found: for which device, for how long, and how sure still."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput
from underdial.record.recorder import Recorder

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
FOUND = Recorder(
    device="Field recorder",
    sample_hz=48000,
    ppm=12.0,
    u_ppm=0.5,
    made_at=NOON,
    by="Ada Finch",
    method="reference",
    temperature_deg_c=18.0,
)


def test_it_serves_its_own_device_at_its_own_sampling() -> None:
    assert FOUND.serves(device=" field recorder ", sample_hz=48000)
    assert not FOUND.serves(device="Tablet", sample_hz=48000)
    assert not FOUND.serves(device="Field recorder", sample_hz=44100)


def test_in_the_same_warmth_on_the_same_day_it_is_nearly_as_sure_as_it_was() -> None:
    then = FOUND.at(NOON, temperature_deg_c=18.0)

    assert then is not None
    assert then.value == FOUND.ppm
    # Derived: 0.5 of the comparison and 0.5 a degree of a thermometer good to a degree.
    assert then.u == pytest.approx(math.hypot(0.5, 0.5))


def test_a_warmth_that_nobody_wrote_down_and_a_year_cost_what_they_may_have_changed() -> None:
    then = FOUND.at(NOON + timedelta(days=365))

    assert then is not None
    # Derived: 0.5 of the comparison, 2 of a year (of 365.25 days), 0.5 a degree over 5 degrees.
    assert then.u == pytest.approx(math.sqrt(0.25 + 4.0 + 6.25), rel=1e-3)


def test_after_two_years_it_is_compared_anew() -> None:
    assert FOUND.at(NOON + timedelta(days=731)) is None


@given(st.floats(0, 700), st.floats(0, 29), st.floats(10, 40))
def test_it_never_grows_surer_with_age_or_warmth(age_days: float, more_days: float, warm_deg_c: float) -> None:
    here = FOUND.at(NOON + timedelta(days=age_days), temperature_deg_c=warm_deg_c)
    later = FOUND.at(NOON + timedelta(days=age_days + more_days), temperature_deg_c=warm_deg_c)

    assert here is not None
    assert later is not None
    assert FOUND.u_ppm <= here.u <= later.u


def test_what_no_recorder_that_works_does_is_refused() -> None:
    with pytest.raises(BadInput, match="see what was compared"):
        replace(FOUND, ppm=1500.0)
