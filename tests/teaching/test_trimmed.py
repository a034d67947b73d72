"""Where a label begins to tell something."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from teaching.examples import Example, Label, Saying, TaggedWord
from teaching.trimmed import trimmed, with_trimmed


def words_of(text: str) -> list[TaggedWord]:
    return [TaggedWord(word, "", "word", "", 0, float(at)) for at, word in enumerate(text.split())]


@pytest.mark.parametrize(
    ("quoted", "told"),
    [
        # Derived: by hand from the rule.
        ("is a bit loose", "loose"),
        ("all good", "good"),
        ("there is a groove", "groove"),
        ("no wear", "no wear"),
        ("is not bent", "not bent"),
        ("too long", "too long"),
        # All of it only leads up: nothing is taken away.
        ("they are", "they are"),
    ],
)
def test_a_label_begins_where_it_tells_something(quoted: str, told: str) -> None:
    words = words_of(quoted)
    first = trimmed(words, 0, len(words) - 1)
    assert " ".join(word.text for word in words[first:]) == told


@given(st.lists(st.sampled_from(["is", "a", "bit", "all", "worn", "no"]), min_size=1, max_size=8))
def test_a_label_never_ends_before_it_begins(said: list[str]) -> None:
    words = words_of(" ".join(said))
    first = trimmed(words, 0, len(words) - 1)
    # Derived: trimming only moves the beginning forward, and moves it no further once done.
    assert 0 <= first < len(words)
    assert trimmed(words, first, len(words) - 1) == first


def test_sayings_that_become_the_same_words_are_one() -> None:
    labels = [
        Label(part, None, None, "good", "present", False, (), {}, None, None, "repairer") for part in ("click", "rack")
    ]
    example = Example(
        "a",
        False,
        tuple(words_of("click and rack are good")),
        (Saying(3, 4, (labels[0],)), Saying(4, 4, (labels[1],))),
        (),
        (),
        {},
        0,
    )
    # Derived: "are good" and "good" both begin with "good".
    assert with_trimmed(example).sayings == (Saying(4, 4, tuple(labels)),)
