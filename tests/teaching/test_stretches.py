"""Every word is read once, and every saying is wanted once, from the stretch in which it begins."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from teaching.answers import COMPONENTS, CONDITIONS, STATES, TagNumbers
from teaching.base_weights import WordPieces
from teaching.examples import Example, example_of
from teaching.stretches import (
    BEGINS,
    GOES_ON,
    IGNORED,
    OUTSIDE,
    STOP,
    TOLD_COMPONENT,
    LaidOut,
    lay_out,
    stretches,
    targets,
)

from teaching import answers
from underdial.telling.learned import laid_out, sayings

from .conftest import SPEECH, speech


def _laid(example: Example, pieces: WordPieces) -> LaidOut:
    return lay_out(example, pieces, TagNumbers.met((word.kind, word.value) for word in example.words))


@given(pieces_count=st.integers(0, 2000), shift_count=st.integers(0, 200))
def test_stretches_read_every_piece_once_and_see_some_context(pieces_count: int, shift_count: int) -> None:
    cut = stretches(pieces_count, shift_count=shift_count)

    assert [at for one in cut for at in range(one.begin, one.end)] == list(range(pieces_count))
    assert all(0 <= one.low <= one.begin < one.end <= one.high <= pieces_count for one in cut)
    assert all(one.high - one.low <= sayings.BEFORE_COUNT + sayings.STRETCH_COUNT + sayings.BEHIND_COUNT for one in cut)


@pytest.mark.parametrize("shift_count", [0, 63, 200])
def test_long_speech_wants_every_word_and_every_saying_once(pieces: WordPieces, shift_count: int) -> None:
    head, _, told_part = SPEECH.strip().partition("cut: sentence\n")
    again = told_part.replace("\n> ", "\n>> ")
    example = example_of(speech(f"{head}cut: sentence\n{told_part}\n" + "\n".join([again] * 20)))
    laid = _laid(example, pieces)
    cut = stretches(len(laid.ids), shift_count=shift_count)
    wanted = [targets(laid, one) for one in cut]

    assert len(cut) > 2
    assert sum(
        int(
            np.isin(
                one.begun[stretch.begin - stretch.low : stretch.end - stretch.low], (OUTSIDE, BEGINS, GOES_ON)
            ).sum()
        )
        for stretch, one in zip(cut, wanted, strict=True)
    ) == len(example.words)
    # A saying that is cut through belongs to the stretch it begins in; what is left of it in the next one is outside.
    within = sum(
        int((laid.first[one.seen[list(saying.words)]] < stretch.end).sum())
        for stretch, one in zip(cut, wanted, strict=True)
        for saying in one.sayings
    )
    assert sum(int((one.begun == OUTSIDE).sum()) for one in wanted) == len(example.words) - within
    assert sorted(saying.first_word for one in wanted for saying in one.sayings) == sorted(
        saying.first for saying in example.sayings
    )


def test_a_saying_begins_at_its_first_word_and_goes_on_to_its_last(example: Example, pieces: WordPieces) -> None:
    laid = _laid(example, pieces)
    begun = targets(laid, stretches(len(laid.ids))[0]).begun
    by_word = begun[laid.first]

    for saying in example.sayings:
        assert by_word[saying.first : saying.last + 1].tolist() == [BEGINS] + [GOES_ON] * (saying.last - saying.first)
    assert (by_word == BEGINS).sum() == len(example.sayings)
    assert (np.delete(begun, laid.first) == IGNORED).all()


def test_targets_are_the_labels_and_what_counts_as_right_besides(example: Example, pieces: WordPieces) -> None:
    laid = _laid(example, pieces)
    wanted = {saying.first_word: saying for saying in targets(laid, stretches(len(laid.ids))[0]).sayings}
    click = next(saying for saying in example.sayings if saying.labels[0].component == "click")
    hands = next(saying for saying in example.sayings if len(saying.labels) > 1)

    assert [CONDITIONS[row] for row in wanted[click.first].conditions] == ["worn"]
    assert {CONDITIONS[row] for row in wanted[click.first].accepted_conditions} == {"worn", "scored"}
    assert wanted[click.first].pointed == click.labels[0].part
    assert [COMPONENTS[row] for row in wanted[hands.first].components] == ["hour_hand", "minute_hand"]
    assert answers.DECISIONS[wanted[hands.first].decision] == "tighten"
    assert wanted[hands.first].count == len(hands.labels) - 1
    assert [wanted[saying.first].again for saying in example.sayings] == [
        saying.labels[0].again for saying in example.sayings
    ]
    assert [STATES[row] for row in wanted[example.sayings[0].first].states] == ["absent"]


def test_a_stop_is_a_piece_of_its_own_only_where_stops_were_written(example: Example, pieces: WordPieces) -> None:
    stops_count = sum(bool(word.stop) for word in example.words)
    with_stops, without = _laid(example, pieces), _laid(replace(example, rough=True), pieces)

    assert (with_stops.owner == -1).sum() == stops_count
    assert (without.owner >= 0).all()
    assert (with_stops.marks[with_stops.owner == -1] == 0).all()
    assert (without.marks[:, STOP] > 0).all()


def test_the_grammars_findings_mark_their_words_and_no_others(example: Example, pieces: WordPieces) -> None:
    laid = _laid(example, pieces)
    marked = {
        word
        for one in example.grammar
        if one.first is not None and one.last is not None
        for word in range(one.first, one.last + 1)
    }

    assert {int(word) for word in laid.owner[laid.marks[:, TOLD_COMPONENT] > 0]} == marked


def test_tags_that_were_not_met_have_no_number() -> None:
    tags = TagNumbers.met([("part", "click"), ("state", "worn"), ("word", "")])

    assert tags.of("part", "dial") == (tags.kinds["part"], 0)
    assert 0 not in {*tags.kinds.values(), *tags.values.values()}
    assert tags.of("state", "worn")[1] != tags.of("part", "click")[1]
    assert tags.of("wheel", "great_wheel") == (0, 0)
    assert tags.of("number", "3")[1] == 0


def test_the_reading_numbers_its_answers_as_the_teaching_does() -> None:
    assert (answers.STATES, answers.SIGNIFICANCE, answers.DECISIONS, answers.WHO) == (
        laid_out.STATES,
        sayings._SIGNIFICANCE,
        sayings._DECISIONS,
        sayings._WHO,
    )
    assert (dict(answers.STOPS), answers.VALUED) == (dict(laid_out._STOPS), laid_out._TAGGED)


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        ("part", "click"),
        ("wheel", "great_wheel"),
        ("shared", "spring"),
        ("state", "tight"),
        ("word", ""),
        ("part", "nothing_known"),
    ],
)
def test_the_reading_names_parts_and_conditions_as_the_teaching_does(kind: str, value: str) -> None:
    components, conditions = (
        {str(name): row for name, row in rows.items()} for rows in (answers.COMPONENT_ROWS, answers.CONDITION_ROWS)
    )

    assert answers.may_name(kind, value) == laid_out._may_name(kind, value, components)
    assert answers.may_say(kind, value) == laid_out._may_say(kind, value, conditions)
