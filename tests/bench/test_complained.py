"""What the owner complained of is tried in the test: a line for each complaint, with where its figure is from."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import Any

import pytest

from underdial.bench.rounds.complained import ON_TEST, kept_by, lines_of_complaint
from underdial.movement.as_made import Movement
from underdial.movement.composition import compose
from underdial.record.choice import Choice
from underdial.record.complaint import Complaint
from underdial.trade.families import families
from underdial.trade.vocabulary import quantities

# Complaints that going its hours without a stop tries, which every test does.
BY_GOING = {"runs_for_s", "never_runs", "runs_dial_up_for_s", "goes_only"}
# Answers that are no complaint by themselves: the words are watched for only where nothing else was told.
NO_COMPLAINT = {"words", "since"}
TOLD: dict[str, Any] = {
    "rate_s_per_day": 600.0,
    "hands_stand": True,
    "stops_at": "before_hour",
    "rate_kind": "irregular",
    "strikes": "wrong_count",
    "races": True,
    "swing": "too_small",
    "winding": "slips",
    "chimes": "never",
    "alarm": "never",
    "noise": "a squeak",
    "stops_in_cold": True,
}


def made(family: str) -> Movement:
    return compose(asdict(families()[family]), {})


def asked(told: Complaint, *, cased: bool = False, choice: Choice | None = None) -> dict[str, str]:
    lines = lines_of_complaint(told, movement=made("english_longcase"), choice=choice, cased=cased)
    assert all(one.because for one in lines)
    return {one.quantity: one.must_be for one in lines}


def test_every_complaint_that_can_be_told_is_tried() -> None:
    assert {one.name for one in fields(Complaint)} == BY_GOING | NO_COMPLAINT | TOLD.keys()
    for name, value in TOLD.items():
        assert asked(Complaint(**{name: value}), cased=True), name
    for name in BY_GOING:
        value: Any = "tilted" if name == "goes_only" else 600.0 if name.endswith("_s") else True
        assert asked(Complaint(**{name: value})) == {}, name
    assert asked(Complaint()) == {}


def test_strike_is_counted_through_twelve_hours_by_hand_on_the_stand_and_by_the_train_on_both() -> None:
    wrong = Complaint(strikes="wrong_count")

    assert asked(wrong) == {"hours_struck_by_hand": "12", "hours_struck_by_train": "12"}
    assert asked(wrong, cased=True) == {"hours_struck_by_train": "12"}


@pytest.mark.parametrize(
    ("stops_at", "bare", "cased"),
    [
        ("same_dial_time", "2 or more", "2 or more"),
        ("same_minute", "24 or more", "24 or more"),
        ("before_hour", "12 or more", "12 or more"),
        ("same_wind", None, "1 or more"),
        ("irregular", None, None),
    ],
)
def test_it_goes_past_where_it_used_to_stop(stops_at: str, bare: str | None, cased: str | None) -> None:
    told = Complaint(stops_at=stops_at)

    assert asked(told).get("times_past_the_stop") == bare
    assert asked(told, cased=True).get("times_past_the_stop") == cased


@pytest.mark.parametrize(
    ("family", "bound_s_per_day", "because"),
    [
        # Derived: one and four minutes a week are 8.6 and 34.3 s a day, outward to a second
        ("english_longcase", 9.0, "a minute a week"),
        ("french_round_pendulum", 35.0, "four minutes a week"),
        ("pin_pallet_alarm", 60.0, "a minute a day"),
    ],
)
def test_a_rate_is_kept_as_such_clocks_keep_it(family: str, bound_s_per_day: float, because: str) -> None:
    kept = kept_by(Complaint(rate_s_per_day=600.0), made(family), None)

    assert kept.bound_s_per_day == bound_s_per_day
    assert because in kept.because
    assert "common practice" in kept.because


def test_the_wider_of_promise_and_practice_counts_and_never_what_was_complained_of() -> None:
    promised = Choice(title="a", rate_low_s_per_day=-80.2, rate_high_s_per_day=12.0)
    longcase = made("english_longcase")
    gains = Complaint(rate_s_per_day=600.0)

    # Derived: 80.2 outward to a second; half of 30 s a day is 15
    assert kept_by(gains, longcase, promised).bound_s_per_day == 81.0
    assert "promises" in kept_by(gains, longcase, promised).because
    assert kept_by(Complaint(rate_s_per_day=-30.0), longcase, promised).bound_s_per_day == 15.0
    assert asked(gains, choice=promised) == {"rate": "−81 to 81 s/d"}
    assert kept_by(gains, None, None).bound_s_per_day == 60.0  # Derived: a minute a day where no kind was said


def test_what_no_reading_tries_is_watched_for_in_the_owners_words() -> None:
    (line,) = lines_of_complaint(Complaint(words="it groans " * 20), movement=None, choice=None, cased=False)
    swings = Choice(title="a", half_arc_low_deg=1.0, half_arc_high_deg=2.0)

    assert (line.quantity, line.must_be) == ("times_complained_of", "0")
    assert line.because is not None
    assert line.because.startswith("“it groans it groans")
    assert line.because.endswith("…”")
    assert asked(Complaint(words="it gains", rate_s_per_day=600.0)).keys() == {"rate"}
    assert asked(Complaint(swing="too_small"), choice=swings) == {}
    assert asked(Complaint(swing="knocks"), choice=swings) == {"times_complained_of": "0"}


def test_a_drift_that_the_choice_promises_has_no_second_line() -> None:
    told = Complaint(rate_kind="changes_over_wind")
    promised = Choice(title="a", rate_low_s_per_day=-5.0, rate_high_s_per_day=5.0)

    assert asked(told, choice=promised) == {}
    assert asked(told).keys() == {"rate_drift"}


def test_what_only_a_test_reads_is_on_no_list_of_the_trade() -> None:
    assert not ON_TEST.keys() & quantities().keys()
