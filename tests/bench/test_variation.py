"""How a clock's rate varies among its kept readings: what may be told, and with which error."""

from __future__ import annotations

from typing import Any

import pytest

from underdial.bench.by_ear.heard_over_time import over_time_lines
from underdial.bench.by_ear.variation import (
    OneRate,
    rates_of_readings,
    variation_keys,
    variation_lines,
    variation_wanting,
)
from underdial.record.finding import Evidence
from underdial.record.measurement import Measurement


def reading(
    value: float, *, quantity: str = "rate", unit: str = "s/d", u: float = 4.4, sound: str = "", **more: Any
) -> Measurement:
    evidence = (Evidence(kind="sound", source=sound),) if sound else ()
    return Measurement(
        quantity=quantity,
        value=value,
        u=u,
        unit=unit,
        of="movement" if quantity == "rate" else "balance",
        evidence=evidence,
        standing="confirmed",
        **more,
    )


def answer(device: str | None, fit: float) -> dict[str, Any]:
    return {"device": device, "answer": {"rate_u_parts": {"fit_s_per_day": fit}}}


def test_one_recorder_leaves_the_difference_of_two_positions_alone() -> None:
    rows = [reading(-2.0, sound="a", position="dial_up"), reading(4.0, sound="b", position="12_up")]
    same = variation_keys(rates_of_readings(rows, {"a": answer("Tablet", 0.2), "b": answer("Tablet", 0.2)}))
    two = variation_keys(rates_of_readings(rows, {"a": answer("Tablet", 0.2), "b": answer("Field recorder", 0.2)}))
    unnamed = variation_keys(rates_of_readings(rows, {"a": answer(None, 0.2), "b": answer(None, 0.2)}))

    # Derived: 6 s a day apart, 0.28 of the two fits; with the recorders' own errors 6.2.
    assert same["position_chance_probability"] < 1e-6
    # Derived: less than one standard error of the two together, whether two recorders heard it or nobody knows which.
    assert two["position_chance_probability"] == unnamed["position_chance_probability"] > 0.3
    assert "more than the errors explain" in variation_lines(same)[0]
    assert "no more than the errors explain" in variation_lines(two)[0]


def test_a_swing_of_the_same_sound_goes_with_its_rate_and_what_was_rejected_does_not() -> None:
    rows = [
        row
        for k, swing in enumerate((240.0, 220.0, 200.0))
        for row in (
            reading(10.0 - 0.1 * swing, u=0.3, sound=str(k), position="12_up", since_winding_h=8.0 * k),
            reading(swing, quantity="half_arc", unit="deg", u=2.0, sound=str(k), position="12_up"),
        )
    ]
    rows.append(Measurement(quantity="rate", value=500.0, u=1.0, unit="s/d", position="6_up", standing="rejected"))
    told = variation_keys(rates_of_readings(rows, {}))

    # Derived: as put in: a tenth of a second a day for a degree, and twenty degrees in eight hours.
    assert told["isochronism_s_per_day_per_deg"] == pytest.approx(-0.1)
    assert told["run_down_deg_per_h"] == pytest.approx(-2.5)
    assert told["wind_s_per_day_per_h"] == pytest.approx(0.25)
    assert [one["position"] for one in told["positions"]] == ["12_up"]
    assert [line[:24] for line in variation_wanting(told)] == ["Over positions: record i"]


def test_along_the_wind_a_position_is_compared_with_itself() -> None:
    rates = [
        OneRate(rate_s_per_day=rate, rate_u_s_per_day=0.1, position=position, since_winding_h=hours)
        for position, hours, rate in (
            ("12_up", 1.0, 5.0),
            ("12_up", 5.0, 5.0),
            ("12_up", 9.0, 5.0),
            ("dial_up", 20.0, 40.0),
        )
    ]

    assert variation_keys(rates)["wind_s_per_day_per_h"] == pytest.approx(0.0, abs=1e-9)  # Derived: all three alike


def test_nothing_is_told_of_nothing() -> None:
    told = variation_keys(())

    assert variation_lines(told) == []
    assert told["positions"] == []


STOPS = {
    "over_time": [],
    "steady_probability": None,
    "drift_s_per_day_per_h": None,
    "drift_u_s_per_day_per_h": None,
    "allan": [],
    "duration_s": 9000.0,
}


def test_stops_that_gather_at_two_arbors_are_told_of_the_slower() -> None:
    folds = [
        {"arbor": "escape_wheel", "period_s": 24.0, "turn_ratio": 0.1, "chance_probability": 1e-5},
        {"arbor": "third_wheel", "period_s": 240.0, "turn_ratio": 0.1, "chance_probability": 1e-4},
    ]
    stops = [
        {"start_s": 700.0, "end_s": 760.0},
        {"start_s": 2000.0, "end_s": 2060.0},
        {"start_s": 5000.0, "end_s": 9000.0},
    ]
    lines = over_time_lines({**STOPS, "stops": stops, "stop_folds": folds})

    assert lines[0] == "It stood, or was not heard, from 11 min 40 s to 12 min 40 s of the recording."
    assert lines[2] == "It stopped, or was heard no more, at 1 h 23 min 20 s, and did not go on."
    assert (
        "one place of the third wheel (a turn in 4 min), where chance would bring them so 100 times in a million"
        in lines[3]
    )


def test_stops_without_a_train_say_what_cannot_be_told() -> None:
    stops = [{"start_s": float(k), "end_s": k + 5.0} for k in (100, 900, 4000)]

    assert "cannot be told" in over_time_lines({**STOPS, "stops": stops, "stop_folds": []})[-1]
