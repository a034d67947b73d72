"""Beats counted in an hour or a minute, as a rate against the train; every unit that may be written is known."""

from __future__ import annotations

import math
from typing import Any

import pytest

from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.question import question
from underdial.telling.learned import second_numbers
from underdial.telling.measurements import spoken_units
from underdial.trade.vocabulary import quantities

# A seconds clock: 2 x 30 x (64/8) x (60/8) = 3600 beats an hour.
_SECONDS = {"train": "96/8 64/8 60/8", "escape": 30}


def _rates(measurements: list[dict[str, Any]], **case: Any) -> list[tuple[float, float]]:
    asked = question(parse_case({"family": "english_longcase", "measurements": measurements, **case}))
    return [(one.value, one.u) for one in asked.gauges.gauges if one.kind == "rate" and one.index >= 0]


def _unused(measurements: list[dict[str, Any]], **case: Any) -> list[str]:
    asked = question(parse_case({"family": "english_longcase", "measurements": measurements, **case}))
    return [one.reason for one in asked.unused]


def test_beats_counted_in_an_hour_are_a_rate_against_the_train_of_this_clock() -> None:
    counted = {"quantity": "beat_rate", "value": 3603, "unit": "/h"}

    [(rate, u)] = _rates([counted], movement=_SECONDS)

    # Derived: 3 beats in 3600 are 3 x 24 s gained in a day
    assert rate == pytest.approx(72.0)
    # Derived: sd of a count between two moments, 1/sqrt(6) beat of 24 s/day, beside the 12 s/day of any rate
    assert u == pytest.approx(math.hypot(24.0 / math.sqrt(6.0), 12.0))


def test_a_count_of_one_minute_is_sixty_times_less_sharp() -> None:
    counted = {"quantity": "beats_per_minute", "value": 60, "unit": "/min"}

    [(rate, u)] = _rates([counted], movement=_SECONDS)

    assert rate == pytest.approx(0.0)  # Derived: 60 a minute are 3600 an hour
    assert u == pytest.approx(math.hypot(60 * 24.0 / math.sqrt(6.0), 12.0))  # Derived: one beat a minute is 1440 s/day


def test_an_error_that_was_told_stands_alone() -> None:
    heard = {"quantity": "beat_rate", "value": 3600.5, "u": 0.05, "unit": "/h"}

    # Derived: half a beat is 12 s/day; a twentieth 1.2 s/day
    assert _rates([heard], movement=_SECONDS) == [(pytest.approx(12.0), pytest.approx(1.2))]


def test_the_usual_train_is_no_measure_of_a_clock_whose_train_was_not_counted() -> None:
    counted = {"quantity": "beat_rate", "value": 3700, "unit": "/h"}

    assert _rates([counted]) == []
    assert any("once this clock's own train is counted" in reason for reason in _unused([counted]))


def test_the_usual_train_serves_where_count_and_told_rate_agree_with_it() -> None:
    counted = {"quantity": "beat_rate", "value": 9997, "unit": "/h"}
    asked = question(
        parse_case(
            {"family": "french_round_pendulum", "complaint": {"rate_s_per_day": 600.0}, "measurements": [counted]}
        )
    )
    [rate] = [one.value for one in asked.gauges.gauges if one.index == 0]

    # Derived: (9997 / 9928 - 1) x 86400 s, the usual train of a French round movement making 9928
    assert rate == pytest.approx((9997 / 9928 - 1) * 86400)
    assert any("usual train" in one for one in asked.assumed)


def test_counted_swings_are_not_taken_for_beats() -> None:
    counted = {"quantity": "beat_rate", "value": 1800, "unit": "/h"}

    assert _rates([counted], movement=_SECONDS) == []
    assert any("one of the two counts is wrong" in reason for reason in _unused([counted], movement=_SECONDS))


@pytest.mark.parametrize(
    ("quantity", "unit"),
    [(one.id, unit) for one in quantities().values() for unit in one.units]
    + [("length", unit) for unit in ("ft",)]
    + [("mass", "cwt"), ("decay", "swings"), ("broken_strands", "strands")]
    + [(quantity, unit) for unit, quantity in second_numbers._PLAINEST.items()],
)
def test_every_unit_of_the_vocabulary_is_known(quantity: str, unit: str) -> None:
    # A value that any of them may have.
    value = {"/h": 3600, "/min": 60}.get(unit, 0.00001)
    case = parse_case(
        {"family": "english_longcase", "measurements": [{"quantity": quantity, "value": value, "unit": unit}]}
    )

    assert [one.quantity for one in case.readings] == [quantity]
    assert case.unused == ()


@pytest.mark.parametrize("unit", sorted({unit for unit, _ in spoken_units.UNITS.values()} | {"s/d", "/h", "/min"}))
def test_every_unit_that_the_reader_writes_is_known(unit: str) -> None:
    row = {"component": "weight", "condition": "worn", "state": "present", "value": 1.0, "unit": unit}
    case = parse_case(
        {
            "family": "english_longcase",
            "findings": [row],
            "measurements": [{"quantity": "broken_strands", "value": 1, "unit": unit}],
        }
    )

    assert not [one for one in case.unused if "not a unit known" in one.reason]
