"""The service record keeps as found and as left apart, and names all that was left."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.papers.test_bench_sheet import NOON, dossier
from underdial.papers.blocks import Rows, Words, all_words
from underdial.papers.condition_record import condition_record
from underdial.papers.counter_papers import release_note
from underdial.papers.dossier import Dossier
from underdial.papers.sentences import finding_sentence, measurement_words
from underdial.papers.service_record import service_record
from underdial.record.clock import Clock
from underdial.record.finding import Finding
from underdial.record.measurement import Measurement
from underdial.record.proof import PassLine, Proof
from underdial.record.work import Size, Work

HOUR = timedelta(hours=1)
BUSH = Work(
    work="trn_01_bush_concentric_original",
    component="pivot_hole",
    of="third_wheel",
    place="back",
    by="Ada",
    done_at=NOON,
    materials=("bush of bronze", "clock oil"),
    sizes=(Size(quantity="hole_diameter", unit="mm", before=1.4, after=1.25, u=0.01),),
    old_part_kept="in the bag",
)
READINGS = (
    Measurement(quantity="rate", value=-240.0, unit="s/d", taken_at=NOON - HOUR, position="12_up", id="m1"),
    Measurement(quantity="half_arc", value=1.9, unit="deg", taken_at=NOON - HOUR, of="pendulum", id="m2"),
    Measurement(quantity="half_arc", value=2.6, unit="deg", taken_at=NOON + HOUR, id="m3", since_winding_h=2.0),
)
TEST = Proof(
    title="In its case",
    planned_at=NOON,
    lines=(PassLine(quantity="half_arc", low=2.0, high=3.0, unit="deg"),),
    lasts_h=216.0,
    ended_at=datetime(2026, 3, 12, 12, tzinfo=UTC),
    results=("m3",),
    verdict="passed",
)


def finding(component: str, condition: str, **more: Any) -> Finding:
    return Finding(**{"component": component, "condition": condition, "state": "present", "id": component, **more})


@pytest.fixture
def done() -> Dossier:
    return dossier(
        clock=Clock(tag="214", name="Drum timepiece", movement={"train": "96/8 84/7", "escape": 30}),
        works=(BUSH,),
        measurements=READINGS,
        proofs=(TEST,),
        findings=(
            finding("pivot_hole", "worn", of="third_wheel", place="back"),
            finding("case", "wormed"),
            finding("dial", "flaking"),
            finding("barrel_hook", "not_looked_at", state="not_examined", place="both"),
        ),
        unseen=(("plates", ("plates",)),),
    )


def rows(one: Dossier, heading: str) -> list[tuple[str, ...]]:
    blocks = service_record(one).blocks
    return [row for each in blocks if isinstance(each, Rows) and each.heading == heading for row in each.rows]


def told(one: Dossier, heading: str) -> tuple[str, ...]:
    blocks = service_record(one).blocks
    return next((each.paragraphs for each in blocks if isinstance(each, Words) and each.heading == heading), ())


def test_readings_stand_as_found_or_as_left_with_their_day(done: Dossier) -> None:
    assert rows(done, "Readings as found") == [
        ("rate, 12 up", "−240 s/d, loses", "2 March 2026", "not said"),
        ("half arc of the pendulum", "1.9 deg", "2 March 2026", "not said"),
    ]
    assert rows(done, "Readings as left") == [("half arc", "2.6 deg", "2 March 2026", "on test, 2 h after winding")]


def test_the_condition_record_does_not_grow_with_the_work(done: Dossier) -> None:
    words = all_words(condition_record(done))

    assert "−240 s/d, loses" in words
    assert "2.6 deg" not in words


def test_work_sizes_counts_and_the_test_are_there(done: Dossier) -> None:
    words = all_words(service_record(done))

    assert rows(done, "Done")[0][1:] == ("bush of bronze; clock oil; old part: in the bag", "Ada, 2 March 2026")
    assert rows(done, "Sizes") == [("back pivot hole of the third wheel", "hole diameter", "1.4 mm", "1.25 ± 0.01 mm")]
    assert "96/8 84/7, escape wheel 30" in words
    assert "In its case: passed." in words


def test_all_that_was_left_is_named_and_all_that_nobody_looked_at(done: Dossier) -> None:
    assert told(done, "Left as it is") == ("The case is wormed.", "The dial shows flaking paint.")
    assert told(done, "Not examined") == ("Both barrel hooks: not looked at.", "Not mentioned: plates.")


def test_the_note_of_release_leaves_out_nothing_of_what_was_left(done: Dossier) -> None:
    words = all_words(release_note(done))

    assert "The case is wormed." in words
    assert "The dial shows flaking paint." in words


# Derived: the readings themselves; what gains is above 0.
@pytest.mark.parametrize(
    ("reading", "words"),
    [
        ({"quantity": "rate", "value": 40.0, "unit": "s/d"}, ("rate", "+40 s/d, gains")),
        ({"quantity": "rate", "value": 0.0, "unit": "s/d"}, ("rate", "0 s/d")),
        ({"quantity": "rate_spread", "value": 40.0, "unit": "s/d"}, ("rate spread", "40 s/d")),
        (
            {"quantity": "mass", "value": 12.0, "unit": "lb", "of": "weight:going"},
            ("mass of the weight of the going train", "12 lb"),
        ),
        (
            {"quantity": "rate", "value": -1.0, "unit": "s/d", "of": "strike"},
            ("rate of the strike train", "−1 s/d, loses"),
        ),
        (
            {"quantity": "diameter", "value": 9.0, "unit": "mm", "of": "strike.great_wheel"},
            ("diameter of the great wheel of the strike train", "9 mm"),
        ),
    ],
)
def test_a_reading_says_its_way_and_its_part_in_words(reading: dict[str, Any], words: tuple[str, str]) -> None:
    assert measurement_words(Measurement(**reading)) == words


def test_two_of_a_part_have_no_article() -> None:
    both = finding("barrel_hook", "unexamined", state="not_examined", place="both")

    assert finding_sentence(both) == "Both barrel hooks: not looked at."
    assert finding_sentence(finding("plates", "unexamined", state="not_examined")) == "The plates: not looked at."
