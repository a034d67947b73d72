"""The care sheet says what holds of this clock, by how it is built, and nothing of a part that it has not."""

from __future__ import annotations

from typing import Any

import pytest

from tests.papers.test_bench_sheet import dossier
from underdial.papers.blocks import all_words
from underdial.papers.care_sheet import care_sheet
from underdial.record.clock import Clock

DRUM = ("open_spring", "balance", "key_wound")
LONGCASE = ("weight", "pendulum", "rack", "key_wound")
DIAL = ("fusee", "pendulum", "key_wound")


def sheet(*traits: str, name: str = "Clock", movement: Any = None, going_time_h: float | None = 192.0) -> str:
    clock = Clock(tag="1", name=name, movement=movement or {})
    return all_words(care_sheet(dossier(clock=clock, traits=traits, going_time_h=going_time_h, consents=())))


def test_a_balance_timepiece_has_no_pendulum_to_take_off_and_no_strike_to_wait_for() -> None:
    words = sheet(*DRUM, movement={"strike": "none"})

    for one in ("pendulum", "strike", "even tick", "weight"):
        assert one not in words, one
    assert "until you feel the stop" in words


def test_the_weights_come_off_before_the_pendulum() -> None:
    words = sheet(*LONGCASE)

    assert "take off the weights first, then the pendulum" in words
    assert "each weight to just below the seat board" in words
    assert "until you feel the stop" not in words
    assert "each time it strikes wait" in words


def test_a_spring_clock_with_a_pendulum_is_told_of_no_weight() -> None:
    words = sheet(*DIAL)

    assert "weight" not in words
    assert "take off the pendulum" in words


@pytest.mark.parametrize(
    ("traits", "name", "movement", "said"),
    [
        ((*DIAL, "count_wheel"), "Clock", {}, "each time it strikes wait"),
        ((*DIAL, "chime", "rack"), "Clock", {}, "until it has chimed"),
        (DIAL, "Clock", {}, "if it strikes, wait"),
        (DIAL, "English dial timepiece", {}, "forwards."),
        (DIAL, "Clock", {"strike": "none"}, "forwards."),
    ],
)
def test_striking_is_spoken_of_where_it_strikes_or_may(
    traits: tuple[str, ...], name: str, movement: dict[str, object], said: str
) -> None:
    words = sheet(*traits, name=name, movement=movement)

    assert said in words
    assert ("strikes" in words) == ("strikes" in said)


# Derived: 30 h go a day, 8 and 15 days a week, 31 days a month, 400 days a year.
@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (30.0, "every day"),
        (192.0, "each week"),
        (360.0, "each week"),
        (740.0, "each month"),
        (9600.0, "once a year"),
        (None, "before it runs down"),
    ],
)
def test_it_is_wound_as_often_as_its_going_time_asks(hours: float | None, said: str) -> None:
    assert said in sheet(*DIAL, going_time_h=hours)


def test_a_chain_is_pulled_and_a_battery_is_not_wound() -> None:
    assert "pull the chain or rope down" in sheet("weight", "pendulum", "pull_wound", going_time_h=30.0)
    assert "Wind it" not in sheet("battery", "balance")
