"""What the learned reading may not make of a look-over: wheels and ends nobody named, and findings out of doubts."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.telling import look_over
from underdial.telling.learned import second_reading
from underdial.telling.learned.candidates import Candidate
from underdial.telling.learned.heads import Reading
from underdial.telling.learned.only_named import only_named
from underdial.telling.learned.sayings import Said, Saying
from underdial.telling.speech import captions

SPOKEN = """WEBVTT

00:01.000 --> 00:05.000
The beat error is eighty milliseconds.
"""


def _saying(of: str | None, place: str | None) -> Saying:
    one = {"pivot": 0.9}, {"worn": 0.9}, {"present": 0.9, "absent": 0.05, "not_examined": 0.05}
    readings = (Reading("pivot", of, place, 0.9),)
    return Saying(0, 1, 0.9, *one, readings, 0.0, 0, None, None, "repairer")


@pytest.mark.parametrize(
    ("text", "of", "place", "left"),
    [
        ("the other pivot is fine", "third_wheel", "back", (None, None)),
        ("the third wheel the other pivot is fine", "third_wheel", "back", ("third_wheel", None)),
        ("front pivot is fine the other one too", "third_wheel", "back", (None, "back")),
        ("main wheel its front hole is worn", "great_wheel", "front", ("great_wheel", "front")),
        ("the bottom pivot is flat", "balance_staff", "lower", (None, "lower")),
        ("strike side the pivot is cut", "strike.third_wheel", None, (None, None)),
        ("the pivot is cut", "strike", "tip", ("strike", "tip")),
        ("its pivot is 3.12 millimetres", "third_wheel", None, (None, None)),
        ("arbor 3 its pivot is cut", "third_wheel", None, ("third_wheel", None)),
        ("a burr in the steel", "pallets", "entry", ("pallets", None)),
    ],
)
def test_no_wheel_and_no_end_that_nobody_named(
    text: str, of: str | None, place: str | None, left: tuple[str | None, str | None]
) -> None:
    (one,) = only_named(Said([_saying(of, place)], []), text).sayings
    # Derived: a numbered wheel stays where its own name or number is in the words, an end where one of the two is.
    assert (one.readings[0].of, one.readings[0].place) == left


def test_a_few_words_name_no_wheel_of_their_own() -> None:
    for said in ("The other pivot is fine.", "Front pivot measures one point four two."):
        account = look_over.read(captions.parse(said, name="typed.txt"))
        # Derived: no wheel is in the words.
        assert not any("wheel" in (one.of or "") for one in (*account.findings, *account.measurements)), said
        assert account.findings or account.measurements


def test_what_is_in_doubt_is_no_finding() -> None:
    account = look_over.read(captions.parse(SPOKEN, name="spoken.vtt"))
    facts = {(one.component, one.condition, one.state) for one in account.findings}
    # Source: the words of the look-over; that eighty milliseconds are out of beat is the grammar's alone.
    assert ("movement", "out_of_beat", "present") not in facts
    (doubted,) = [one for one in account.in_doubt if one.component == "movement"]
    assert (doubted.condition, doubted.state, doubted.start_s) == (
        "out_of_beat",
        "present",
        pytest.approx(1.0, abs=4.0),
    )
    assert "chance 0." in doubted.rule


def test_words_without_times_leave_doubts_without_times() -> None:
    account = look_over.read(captions.parse("The beat error is eighty milliseconds.", name="typed.txt"))
    assert [(one.condition, one.start_s) for one in account.in_doubt] == [("out_of_beat", None)]


def test_the_grammar_alone_is_in_no_doubt() -> None:
    assert look_over.read(captions.parse(SPOKEN), layers=look_over.GRAMMAR).in_doubt == []


rows = st.builds(
    Candidate,
    st.sampled_from(["pivot", "click"]),
    st.sampled_from(["worn", "loose"]),
    st.sampled_from(["present", "absent"]),
    st.sampled_from([None, "third_wheel"]),
    st.none(),
    begin=st.integers(0, 40),
    end=st.just(0),
).map(lambda row: Candidate(row.component, row.condition, row.state, row.of, row.place, row.begin, row.begin + 2))


@given(st.lists(st.tuples(rows, st.floats(0.2, 0.99)), max_size=12))
def test_doubts_do_not_lie_on_one_another_and_stand_in_order(doubtful: list[tuple[Candidate, float]]) -> None:
    shown = second_reading._apart_from([], doubtful)
    begins = [row.begin for row, _ in shown]
    assert begins == sorted(begins)
    assert all(one.end < other.begin for (one, _), (other, _) in itertools.pairwise(shown))
    # The likeliest of all is always shown.
    if doubtful:
        assert max(chance for _, chance in doubtful) in [chance for _, chance in shown]


def test_what_was_taken_back_is_not_in_doubt() -> None:
    account = look_over.read(captions.parse("Front pivot of the third is scored. No, it is not scored.", name="a.txt"))
    assert not any((one.condition, one.state) == ("scored", "present") for one in account.in_doubt)
