"""Lists of parts that share one verdict."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.telling.sentences import clauses, tags
from underdial.telling.sentences.part_lists import PartList, part_lists
from underdial.telling.speech import captions, words

PARTS = ("click", "hinge", "bezel", "rack", "snail", "bob", "crutch", "bell")


def heard(text: str, *, rough: bool = False) -> tuple[list[PartList], list[str]]:
    """The lists of a text, and its words."""
    sentences = clauses.sentences(words.split(captions.parse(text, name="said.txt").cues))
    tagged = [tags.tag_sentence(sentence) for sentence in sentences]
    return part_lists(sentences, tagged, rough=rough), [word.text for sentence in sentences for word in sentence]


def names(text: str, *, rough: bool = False) -> list[list[str]]:
    """The word that names each member, list by list."""
    found, said = heard(text, rough=rough)
    return [[said[member.head] for member in one.members] for one in found]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("The click, the click spring and the ratchet are good.", [["click", "spring", "ratchet"]]),
        ("Bob and rod, nothing wrong.", [["bob", "rod"]]),
        ("Not tested, the silent lever or the self-correction.", [["lever", "correction"]]),
        ("Contrate teeth, third wheel teeth and the pinions are clean.", [["teeth", "teeth", "pinions"]]),
        # The train only says where; it is no name of the list.
        ("On the strike, the rack, the snail and the rack hook are fine.", [["rack", "snail", "hook"]]),
        ("The hook of the going side and the click are fine.", [["hook", "click"]]),
        ("The bell is cracked.", []),
        ("The rack is bent and the snail is loose.", []),
        ("The bell, the bell is cracked.", []),
    ],
)
def test_names_with_nothing_between_them_but_stops_and_small_words_are_a_list(
    text: str, expected: list[list[str]]
) -> None:
    # Derived: by hand from the rule.
    assert names(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("handle feet and bezel are all sound", [["handle", "feet", "bezel"]]),
        # Without an "and" two names side by side may be one name, or the end of one thought and the beginning of the
        # next.
        ("the hinge the dial is white", []),
    ],
)
def test_without_stops_an_and_makes_the_list(text: str, expected: list[list[str]]) -> None:
    # Derived: by hand from the rule.
    assert names(text, rough=True) == expected


@pytest.mark.parametrize(
    ("text", "several"),
    [("Rack, snail, both good.", True), ("Rack and snail good.", True), ("Rack, snail good.", False)],
)
def test_a_list_knows_whether_its_verdict_speaks_of_several(text: str, several: bool) -> None:
    # Derived: an "and", or a word for several behind the list.
    assert [one.several for one in heard(text)[0]] == [several]


@given(st.lists(st.sampled_from(PARTS), min_size=2, max_size=6, unique=True))
def test_however_long_a_list_every_name_stands_in_it(parts: list[str]) -> None:
    found, said = heard(f"The {', the '.join(parts[:-1])} and the {parts[-1]} are fine.")
    # Derived: the names as they were put in.
    assert [said[member.head] for member in found[0].members] == parts
    assert all(found[0].covers(member.head) for member in found[0].members)
    assert not found[0].covers(len(said) - 1)
