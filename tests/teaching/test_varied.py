"""Other names for parts, with the labels that belong to them."""

from __future__ import annotations

import random

from teaching.examples import Example, example_of
from teaching.varied import varied

from underdial.telling.names import lexicon

from .conftest import SPEECH, speech


def _told(example: Example) -> list[str]:
    return [" ".join(word.text for word in example.words[saying.first : saying.last + 1]) for saying in example.sayings]


def test_the_words_that_tell_a_state_stay_as_they_were_said(example: Example) -> None:
    within = example_of(speech(SPEECH.replace('"loose too"', '"The dial is loose"')))

    for one in (example, within):
        assert all(_told(varied(one, random.Random(seed))) == _told(one) for seed in range(30))


def test_a_part_under_another_name_is_labelled_as_what_it_is_now(example: Example) -> None:
    swapped = 0
    for seed in range(60):
        other = varied(example, random.Random(seed))
        for saying, before in zip(other.sayings, example.sayings, strict=True):
            for label, old in zip(saying.labels, before.labels, strict=True):
                swapped += label.component != old.component
                named = {other.words[word].value for word in label.part if other.words[word].kind == "part"}
                assert label.component == old.component or named == {label.component}

    assert swapped > 0


def test_a_part_named_in_the_words_that_tell_its_state_stays_that_part() -> None:
    within = example_of(
        speech(SPEECH.replace('"loose too"', '"The dial is loose"').replace("Both hands", "Now the dial. Both hands"))
    )
    others = [varied(within, random.Random(seed)) for seed in range(60)]

    assert all(
        any(label.component == "dial" for saying in other.sayings for label in saying.labels) for other in others
    )


def test_new_names_are_names_of_the_part_they_are_tagged_with(example: Example) -> None:
    other = varied(example, random.Random(3))
    runs: dict[str, list[str]] = {}
    for word in other.words:
        if word.kind == "part":
            runs.setdefault(word.value, []).append(word.text)

    for part, texts in runs.items():
        known = {piece for name in lexicon.part_names()[part] for piece in name.split()}
        assert {text.rstrip("s") for text in texts} <= {piece.rstrip("s") for piece in known}


def test_the_same_seed_gives_the_same_words(example: Example) -> None:
    assert varied(example, random.Random(5)) == varied(example, random.Random(5))
    assert any(varied(example, random.Random(seed)).words != example.words for seed in range(10))
