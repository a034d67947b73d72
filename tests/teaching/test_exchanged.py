"""States told in other writers' words, with the labels that belong to them."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from teaching.examples import Example, example_of
from teaching.exchanged import exchanged, phrases

from .conftest import speech

HEAD = """
# clock: mantel clock
# speaker: a test
# form: vtt
# stops: yes
# cut: sentence
"""
# Of both, "worn" and "chewed up" stand behind "is", at the end of a sentence.
WORN = """
The click is worn. The bell measures four inches.
> click : is worn "worn" part="click" or=condition:scored
The fly isn't worn, and the third hole is worn at the back.
> fly : no worn "worn" part="fly"
> pivot_hole of=third_wheel at=back : is worn "worn at the back" part="hole"
= diameter of=bell 4 in
"""
CHEWED = """
The rack is chewed up.
> rack : is worn "chewed up" part="rack" or=condition:pitted
"""


def _example(text: str) -> Example:
    return example_of(speech(HEAD + text.strip()))


def _told(example: Example) -> list[str]:
    return [" ".join(word.text for word in example.words[one.first : one.last + 1]) for one in example.sayings]


def _other(example: Example, of: Example) -> Example:
    """The first of many tries that has a state in other words."""
    of_others = phrases([of])
    tries = (exchanged(example, of_others, random.Random(seed)) for seed in range(100))
    return next(one for one in tries if one.words != example.words)


def test_a_state_is_told_in_the_words_of_another() -> None:
    own = _example(WORN)
    other = _other(own, _example(CHEWED))

    assert _told(own)[0] == "worn"
    assert " ".join(word.text + word.stop for word in other.words[:5]) == "the click is chewed up."
    assert _told(other)[1:] == _told(own)[1:]


def test_what_else_counts_as_right_goes_with_the_words() -> None:
    label = _other(_example(WORN), _example(CHEWED)).sayings[0].labels[0]

    assert (label.component, label.condition, label.state) == ("click", "worn", "present")
    assert list(label.accept["condition"]) == ["pitted"]


def test_labels_numbers_and_findings_move_with_their_words() -> None:
    own = _example(WORN)
    other = _other(own, _example(CHEWED))

    for before, after in zip(own.sayings, other.sayings, strict=True):
        for old, new in zip(before.labels, after.labels, strict=True):
            assert [other.words[word].text for word in new.part] == [own.words[word].text for word in old.part]
    assert [other.words[one.first].text for one in other.numbers] == ["four"]
    for old_finding, new_finding in zip(own.grammar, other.grammar, strict=True):
        assert (old_finding.first is None) == (new_finding.first is None)
    # The words of the third sentence stand one place on: "chewed up" is a word longer than "worn".
    assert [one.first for one in other.grammar if one.first] != [one.first for one in own.grammar if one.first]


@pytest.mark.parametrize(
    "text",
    [
        'The rack is not worn.\n> rack : no worn "worn" part="rack"',
        'The rack is worn front and back.\n> rack at=both : is worn "worn front and back" part="rack"',
        'The rack is worn.\n> rack : is worn "The rack is worn" part="rack"',
    ],
    ids=["denied before", "with the place", "with the part"],
)
def test_words_that_say_more_than_the_state_go_nowhere(text: str) -> None:
    assert phrases([_example(text)]) == {}


def test_words_go_only_where_their_like_stood() -> None:
    """Not into the middle of a clause, and not where another state was told."""
    of_others = phrases([_example(CHEWED)])
    for text in (
        'The click is worn where the tooth drops.\n> click : is worn "worn" part="click"',
        'The click is bent.\n> click : is bent "bent" part="click"',
        'A worn click.\n> click : is worn "worn" part="click"',
    ):
        own = _example(text)
        assert all(exchanged(own, of_others, random.Random(seed)) == own for seed in range(50))


def test_nobody_elses_words_leave_an_example_as_it_is(example: Example) -> None:
    assert exchanged(example, {}, random.Random(1)) == example


def test_words_stay_in_order_of_sentence_and_time() -> None:
    own = _example(WORN)
    other = _other(own, _example(CHEWED))

    assert all(one.sentence <= following.sentence for one, following in pairwise(other.words))
    assert all((one.start_s or 0.0) <= (following.start_s or 0.0) for one, following in pairwise(other.words))
