"""The labelled look-overs, pooled: alarms for a reader that got worse.

The figures themselves come from `bench lookover`.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from benchmarks.lookover import FOLDER, labels_of, score_file
from benchmarks.lookover_score import Score, score

from teaching import told
from underdial.bench.as_found.lookover import answer_of, read_look_over
from underdial.telling import look_over
from underdial.telling.speech import captions

BENCH_SPEECH = Path(told.__file__).parent / "bench_speech"
_FILES = [path for path in sorted(FOLDER.iterdir()) if path.suffix in (".vtt", ".srt", ".txt")]


@pytest.fixture(scope="module")
def pooled() -> Score:
    """The look-overs that the reader has been worked on with, together; later ones are for the benchmark."""
    return sum((score_file(path) for path in _FILES if path.stem[0] in "ow"), Score())


def test_findings_stay_as_good_as_they_were(pooled: Score) -> None:
    # Pinned: pooled over twenty-two look-overs, rounded down; both readings have seen them, so this is an alarm and no
    # figure of what to expect.
    assert pooled.basic.f1_ratio > 0.96
    # Pinned: the same, with of and place.
    assert pooled.full.f1_ratio > 0.95


def test_measurements_and_times_stay_as_good_as_they_were(pooled: Score) -> None:
    # Pinned: pooled over the same look-overs, rounded down.
    assert pooled.measurements.f1_ratio > 0.96
    # Pinned: pooled over the same look-overs, rounded down.
    assert pooled.timely.recall_ratio > 0.99


def test_present_and_absent_are_reversed_nowhere(pooled: Score) -> None:
    # Source: the aim of the reader; final words win, and what is in doubt is not written.
    assert sum(score_file(path).reversals_count for path in _FILES if path.stem[0] == "o") == 0
    # Pinned: one is left in the others, "oil: none in the top sinks" read as sinks that are not dry.
    assert pooled.reversals_count <= 1


@pytest.mark.slow
def test_a_saying_alone_is_read_better_by_both_readings_and_no_state_more_is_reversed() -> None:
    grammar, both = Score(), Score()
    for speech in map(told.read, sorted(BENCH_SPEECH.glob("fp/*.told"))):
        for at, saying in enumerate(speech.sayings):
            if any(label.again for label in saying.labels):
                continue
            alone = told.render(replace(speech, name=f"{speech.name}.{at}", story=told.Story(), sayings=(saying,)))
            transcript = captions.parse(alone.captions, name=alone.gold["file"])
            grammar += score(alone.gold, answer_of(look_over.read(transcript, layers=look_over.GRAMMAR)))
            both += score(alone.gold, answer_of(look_over.read(transcript)))

    # Pinned: of a writer in no teaching, rounded towards each other (0.70 and 0.88).
    assert grammar.basic.f1_ratio < 0.75 < 0.85 < both.basic.f1_ratio
    assert both.reversals_count <= grammar.reversals_count


def test_the_labels_score_full_marks_against_themselves() -> None:
    for path in _FILES:
        labels = json.loads(labels_of(path).read_text(encoding="utf-8"))

        same = score(labels, labels)

        # Derived: an answer that is the labels is right in everything.
        assert (same.basic.f1_ratio, same.full.f1_ratio, same.measurements.f1_ratio, same.reversals_count) == (
            1.0,
            1.0,
            1.0,
            0,
        )


def test_a_turned_state_is_counted_as_a_reversal() -> None:
    label = {
        "findings": [{"component": "bell", "condition": "cracked", "state": "absent", "start_s": 1.0, "end_s": 2.0}]
    }

    turned = score(
        label, {"findings": [{"component": "bell", "condition": "cracked", "state": "present", "start_s": 1.0}]}
    )

    # Derived: one entry, turned round; nothing of it is right.
    assert (turned.reversals_count, turned.basic.f1_ratio) == (1, 0.0)


def test_two_ends_meet_a_label_of_both() -> None:
    hole = {
        "component": "pivot_hole",
        "of": "third_wheel",
        "condition": "worn",
        "state": "present",
        "start_s": 1.0,
        "end_s": 2.0,
    }

    met = score(
        {"findings": [hole | {"place": "both"}]}, {"findings": [hole | {"place": "front"}, hole | {"place": "back"}]}
    )

    # Derived: two halves are one whole.
    assert met.full.f1_ratio == 1.0


def test_the_same_words_give_the_same_answer() -> None:
    assert read_look_over(_FILES[0]) == read_look_over(_FILES[0])


def test_private_words_of_a_labelled_look_over_are_in_no_answer() -> None:
    file = next(path for path in _FILES if "This is private" in path.read_text(encoding="utf-8"))

    answer = json.dumps(read_look_over(file))

    assert "two hundred pound" not in answer
    assert len(json.loads(answer)["private"]) == 1


def test_what_the_family_has_and_nobody_spoke_of_is_listed(tmp_path: Path) -> None:
    file = tmp_path / "short.txt"
    file.write_text("Dial good. Hands good. Haven't looked at the mainspring.", encoding="utf-8")

    answer = read_look_over(file, family="french_round_pendulum")

    assert {"component": "mainspring", "of": None, "why": "not_looked_at", "place": None} in answer["not_examined"]
    listed = {one["component"] for one in answer["not_examined"] if one["why"] == "not_mentioned"}
    assert {"click", "pallets", "suspension_spring"} <= listed
    assert not listed & {"dial", "hands", "mainspring", "cone_pivot", "fusee"}
