"""Rates as they are spoken.

Source: the arithmetic of minutes and days; slow is negative, as tests/data/lookovers/README.md labels it.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial import spoken_numbers as numbers
from underdial.telling import look_over
from underdial.telling.measurements import rates
from underdial.telling.measurements.number_words import number_words
from underdial.telling.sentences import clauses
from underdial.telling.speech import captions, words

GOING = "Swing is two degrees each side. "


def told(text: str) -> list[tuple[float, str]]:
    return [
        (one.value, one.unit)
        for one in look_over.read(captions.parse(GOING + text, name="a.txt"), layers=look_over.GRAMMAR).measurements
        if one.unit != "deg"
    ]


@pytest.mark.parametrize(
    ("text", "rate_s_per_day"),
    [
        # Derived, all: minutes times 60, per week a seventh, per hour times 24; slow is negative.
        ("Rate? Forty-five seconds fast.", 45.0),
        ("Two minutes fast a day on the timer.", 120.0),
        ("Rate, call it three minutes a day slow.", -180.0),
        ("The rate is six minutes a day slow just now.", -360.0),
        ("It is losing two minutes and twenty seconds a day here.", -140.0),
        ("It is losing two minutes twenty a day here.", -140.0),
        ("Minus two minutes and twenty seconds a day.", -140.0),
        ("Minus two minutes twenty a day.", -140.0),
        ("Two minutes twenty a day fast on the timer.", 140.0),
        ("Rate plus one minute forty.", 100.0),
        ("And the daily rate, the middle of it is minus twenty-two minutes.", -1320.0),
        ("Minus one hundred and fifty seconds a day late.", -150.0),
        ("Forty-five slow a day, dial up.", -45.0),
        ("Rate minus two point eight.", -2.8),
        ("Eighteen hundred seconds slow on the timer.", -1800.0),
        ("It gains a minute, no, seven minutes a week.", 60.0),
        ("A hundred and eighty a day to the bad on the beat meter.", -180.0),
        ("Eighty seconds a day to the good.", 80.0),
        ("I make that thirty a day slow.", -30.0),
        ("I'm getting a minute and a half a day fast.", 90.0),
        ("The bob is bent. It gains one and a half minutes a day on the timer.", 90.0),
        ("It was gaining. Now it is losing ten seconds an hour.", -240.0),
    ],
)
def test_a_rate_is_told_in_seconds_a_day(text: str, rate_s_per_day: float) -> None:
    found = told(text)

    assert [unit for _, unit in found] == ["s/d"]
    # Derived: see the table.
    assert found[0][0] == pytest.approx(rate_s_per_day)


@pytest.mark.parametrize(
    "text",
    [
        "The hall clock was ten minutes slow by the church.",
        "I gave it two minutes to settle.",
        "It ran for forty seconds and quit.",
        "The alarm goes off half an hour late.",
    ],
)
def test_a_time_is_no_rate(text: str) -> None:
    assert told(text) == []


def test_what_is_fast_without_a_day_is_left_to_the_learned_reading() -> None:
    sentences = clauses.sentences(
        words.split(captions.parse("It was ten minutes slow by the church.", name="a.txt").cues)
    )
    # Derived: ten minutes of sixty seconds, slow.
    assert [(one.value, one.unit) for one in number_words(sentences)] == [(-600.0, "s/d")]


@given(
    st.integers(1, 30),
    st.integers(5, 59),
    st.sampled_from([("minus", -1.0), ("plus", 1.0)]),
    st.sampled_from(["", "and"]),
    st.sampled_from(["", "seconds"]),
    st.sampled_from(["", "a day", "slow a day"]),
)
def test_minutes_and_seconds_add_up(
    minutes: int, seconds: int, sign: tuple[str, float], joined: str, unit: str, per: str
) -> None:
    said = f"{sign[0]} {numbers.spoken(minutes)} minutes {joined} {numbers.spoken(seconds)} {unit} {per}".split()
    found = rates.compound(said, 1)

    assert found is not None
    # Derived: sixty seconds a minute.
    assert found == (pytest.approx(sign[1] * (60.0 * minutes + seconds)), len(said))
