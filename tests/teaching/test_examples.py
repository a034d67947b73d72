"""Labels are laid on the very words that were quoted, and words carry the tags that the grammar gives them."""

from __future__ import annotations

import pytest
from teaching.examples import Example, example_of, sentences_of, tagged

from underdial.telling.sentences import tags
from underdial.telling.speech import captions

from .conftest import SPEECH, speech


def _said(example: Example, first: int, last: int) -> str:
    return " ".join(word.text for word in example.words[first : last + 1])


def test_every_label_lies_on_the_words_it_quotes(example: Example) -> None:
    found = {
        (_said(example, saying.first, saying.last), label.component, label.state, label.again)
        for saying in example.sayings
        for label in saying.labels
    }

    assert found == {
        ("is not broken", "mainspring", "absent", False),
        ("looks worn", "click", "present", False),
        ("loose", "hour_hand", "present", False),
        ("loose", "minute_hand", "present", False),
        ("loose too", "dial", "present", False),
        ("worn as i said", "click", "present", True),
    }
    assert example.lost_count == 0


def test_labels_with_the_same_words_are_one_saying(example: Example) -> None:
    both = [saying for saying in example.sayings if len(saying.labels) > 1]

    assert [{label.component for label in saying.labels} for saying in both] == [{"hour_hand", "minute_hand"}]
    assert {label.decision for label in both[0].labels} == {"tighten"}


def test_the_part_is_looked_up_where_it_was_said_nearest(example: Example) -> None:
    clicks = [number for number, word in enumerate(example.words) if word.text == "click"]
    parts = [label.part for saying in example.sayings for label in saying.labels if label.component == "click"]

    assert parts == [(clicks[0],), (clicks[1],)]


def test_words_carry_the_tags_of_the_grammar() -> None:
    sentences, _ = sentences_of(captions.parse("[00:01] The front plate is cracked.\n", name="a.txt"))
    found = tagged(sentences)
    items = tags.tag([word.text for word in sentences[0]])

    assert [(word.kind, word.value) for word in found] == [
        (item.kind, item.value if item.kind != "word" else "") for item in items for _ in range(item.start, item.end)
    ]
    assert ("state", "cracked", ".") in {(word.kind, word.value, word.stop) for word in found}


@pytest.mark.parametrize(("stops", "rough"), [(True, False), (False, True)])
def test_speech_without_stops_is_known_as_such_and_keeps_its_labels(stops: bool, rough: bool) -> None:
    example = example_of(speech(), stops=stops, cut="anywhere")

    assert example.rough is rough
    assert example.lost_count == 0
    assert len({label.component for saying in example.sayings for label in saying.labels}) == len(
        {"mainspring", "click", "hour_hand", "minute_hand", "dial"}
    )


def test_what_the_grammar_found_stands_on_its_words(example: Example) -> None:
    loose = [one for one in example.grammar if one.component == "dial" and one.condition == "loose"]

    assert loose
    assert all(
        one.first is not None and one.last is not None and "dial" in _said(example, one.first, one.last)
        for one in loose
    )


def test_the_gold_of_an_example_counts_a_restatement_once(example: Example) -> None:
    assert len(example.gold["findings"]) == SPEECH.count("\n> ")
