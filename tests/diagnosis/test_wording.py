"""Answers read as a repairer would speak: numbers of this clock, no marks of the program, nothing said twice."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.diagnosis.cases import asked, finding, leading
from underdial.diagnosis.answer import brief
from underdial.diagnosis.case_file import COMPLAINT
from underdial.diagnosis.told_words import rate_words, share_words, time_words, told_words
from underdial.trade.fault_laws import fault_laws, symptom_laws
from underdial.trade.fault_names import fault_words

LONGCASE, THIRTY, BRACKET, REGULATOR = (
    "english_longcase",
    "longcase_thirty_hour",
    "english_fusee_bracket",
    "weight_regulator",
)
CASES: list[tuple[str, dict[str, Any]]] = [
    (THIRTY, {"complaint": {"runs_for_s": 1500}, "findings": [finding("tooth", "bent", of="escape_wheel")]}),
    (
        LONGCASE,
        {
            "complaint": {"hands_stand": True},
            "findings": [finding("pivot_hole", "worn", of="third_wheel", extent="slight")],
        },
    ),
    (
        BRACKET,
        {
            "complaint": {"strikes": "runs_on", "runs_for_s": 7200},
            "findings": [finding("gathering_pallet", "too_short")],
        },
    ),
    (LONGCASE, {"complaint": {"stops_at": "same_wind", "since": "moved"}}),
    (REGULATOR, {"complaint": {"rate_kind": "irregular", "noise": "knocks"}, "last_done": ["new suspension spring"]}),
    (
        "pin_pallet_alarm",
        {"complaint": {"never_runs": True, "since": "fall"}, "findings": [finding("movement", "old_oil")]},
    ),
]


@pytest.fixture(scope="module", params=CASES, ids=lambda c: c[0])
def rows(request: pytest.FixtureRequest) -> list[dict[str, Any]]:
    family, case = request.param
    one = asked(family, **case)
    _, found, causes = leading(one)
    return list(brief(one, found, causes)["causes"])


def test_no_mark_of_the_program_is_left_in_a_sentence(rows: list[dict[str, Any]]) -> None:
    for row in rows:
        said = " ".join([row["sentence"], row["alone"], row["would_change"], row["title"], *row["because"]])
        assert not re.search(r"_|\bTrue\b|\bFalse\b|\bNone\b|\bnan\b|finding \d", said), said
        assert ", of 0" not in said
        assert row["sentence"].endswith(".")


def test_no_sentence_is_said_twice_in_an_answer(rows: list[dict[str, Any]]) -> None:
    for key in ("title", "sentence"):
        said = [row[key] for row in rows]
        assert len(set(said)) == len(said), [s for s in said if said.count(s) > 1]


def test_no_fault_is_said_to_do_little_without_saying_how(rows: list[dict[str, Any]]) -> None:
    assert not any("takes little" in row["sentence"] for row in rows)


def test_a_bent_escape_tooth_stops_it_at_its_place_in_a_turn_of_its_own_time() -> None:
    family, case = CASES[0]
    one = asked(family, **case)
    order, found, causes = leading(one)
    row = next(r for r in brief(one, found, causes)["causes"] if r["fault"] == "ESC-05")

    assert order[0] == "ESC-05"
    assert "TRN-18" not in [r["fault"] for r in brief(one, found, causes)["causes"] if r["reported"]]
    assert (
        row["sentence"]
        == "The teeth of the escape wheel are bent: this stops the clock at its place in the turn of the escape "
        "wheel, every 60 s."
    )


def test_the_hands_that_stand_are_said_in_words() -> None:
    assert told_words("hands_stand", True) == "that the hands stand while it ticks"


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(45.0, "45 s"), (1200.0, "20 min"), (43_200.0, "12 h"), (691_200.0, "8 days"), (34_560_000.0, "400 days")],
)
def test_times_are_said_as_they_are_spoken(seconds: float, said: str) -> None:
    assert time_words(seconds) == said  # Derived: 60 s a minute, 3600 s an hour, 86 400 s a day


@pytest.mark.parametrize(("rate", "said"), [(-35.0, "35 s"), (-480.0, "8 min"), (3600.0, "60 min")])
def test_rates_are_said_in_seconds_or_minutes(rate: float, said: str) -> None:
    assert rate_words(rate) == said  # Derived: 60 s a minute


def test_every_value_of_the_complaint_has_its_words() -> None:
    for field, values in COMPLAINT.items():
        for value in values if isinstance(values, tuple) else ():
            if field != "since":
                assert "told (" not in told_words(field, value), (field, value)


def test_no_two_faults_are_called_by_the_same_words() -> None:
    known = {**fault_laws(), **symptom_laws()}
    said: dict[str, str] = {}
    for fault in known:
        words = fault_words(fault, may=True)
        assert words not in said, (words, said.get(words), fault)
        said[words] = fault


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ("PWR-02", "The mainspring is broken at its inner eye"),
        ("MOT-01", "The hands catch each other"),
        ("PEN-24", "The suspension spring does not sit home"),
        ("LEV-13", "The escape teeth are worn"),
        ("PWR-36", "The clock has not been wound fully"),
        ("PEN-15", "The pendulum is not the right one"),
    ],
)
def test_what_may_be_so_is_said_as_found(fault: str, words: str) -> None:
    assert fault_words(fault, may=False) == words


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_larger_share_of_clocks_is_never_said_to_be_smaller(one: float, other: float) -> None:
    rising = ["a few", "some", "many", "most", "nearly all"]

    assert (rising.index(share_words(one)) <= rising.index(share_words(other))) or one > other


def test_a_balance_has_an_amplitude_and_a_pendulum_an_arc_each_side() -> None:
    said = {}
    for family, case in (CASES[0], CASES[5]):
        one = asked(family, **case)
        _, found, causes = leading(one)
        said[family] = " ".join(row["sentence"] for row in brief(one, found, causes)["causes"])

    assert "arc each side" in said[THIRTY]
    assert "amplitude" not in said[THIRTY]
    assert "the amplitude " in said["pin_pallet_alarm"]
    assert "arc" not in said["pin_pallet_alarm"]
