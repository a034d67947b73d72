"""Quotes are found in the line of speech that their labels stand under, each where its part is named."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from teaching.examples import example_of
from teaching.quotes import Quoted, laid, lines_of

from teaching import told
from underdial.telling.speech import captions
from underdial.telling.speech.words import Word, split

# Words that stand nowhere else, one for each line.
NAMES = ("alder", "birch", "cedar", "elder", "fir", "hazel", "juniper", "larch", "maple", "oak", "pine", "rowan")
HEAD = "# clock: a clock\n# speaker: a test\n# form: vtt\n# stops: yes\n# cut: sentence\n"


def _speech(text: str) -> told.Told:
    return told.parse(HEAD + text.strip(), name="Z/01.told")


def _laid(text: str, *, stops: bool = True) -> tuple[list[Word], list[Quoted]]:
    speech = _speech(text)
    heard = split(captions.parse(told.render(speech, stops=stops).captions, name="z01.vtt").cues)
    return list(heard), [one for line in laid(heard, speech.sayings) for one in line]


def _words(heard: list[Word], numbers: tuple[int, ...]) -> str:
    return " ".join(heard[number].text for number in numbers)


def test_each_of_several_parts_has_its_own_good() -> None:
    heard, quoted = _laid("""
Click good, click spring good, ratchet good.
> click : is good "good" part="Click"
> click_spring : is good "good" part="click spring"
> ratchet_wheel : is good "good" part="ratchet"
""")

    # Derived: the words are counted from 0; "good" is the second, fifth and seventh.
    assert [one.state for one in quoted] == [(1,), (4,), (6,)]
    assert [_words(heard, one.part) for one in quoted] == ["click", "click spring", "ratchet"]


def test_each_of_two_places_has_its_own_good() -> None:
    _, quoted = _laid("""
Third holes, front good and back good.
> pivot_hole of=third_wheel at=front : is good "good" part="holes"
> pivot_hole of=third_wheel at=back : is good "good" part="holes"
""")

    assert [one.state for one in quoted] == [(3,), (6,)]  # Derived: the fourth word, and the seventh


def test_one_word_said_of_two_parts_is_quoted_by_both() -> None:
    _, quoted = _laid("""
Sprocket and click both fine.
> sprocket : is good "fine" part="Sprocket"
> click : is good "fine" part="click"
""")

    assert [one.state for one in quoted] == [(4,), (4,)]  # Derived: the fifth word


def test_fewer_labels_than_places_go_to_the_place_nearest_to_their_part() -> None:
    _, quoted = _laid("""
No good asking me. The bezel is bent but the glass is good.
> glass : is good "good" part="glass"
""")

    assert quoted == [Quoted((12,), (10,))]  # Derived: the thirteenth word, and the eleventh


def test_a_part_said_twice_is_the_one_before_its_state() -> None:
    _, quoted = _laid("""
Front pivot good, back hole worn, back pivot scored.
> pivot at=front : is good "good" part="pivot"
> pivot at=back : is scored "scored" part="pivot"
""")

    assert [one.part for one in quoted] == [(1,), (7,)]  # Derived: the second word, and the eighth


def test_a_part_named_in_lines_above_is_the_last_so_named() -> None:
    heard, quoted = _laid("""
The click first. Now the click on the strike.
Its spring is fine, and it holds.
> click of=strike : is good "holds" part="click"
""")

    assert [(_words(heard, one.state), one.part) for one in quoted] == [("holds", (5,))]  # Derived: the sixth word


def test_the_next_line_is_not_taken_for_the_line_of_the_label() -> None:
    _, quoted = _laid("""
Glass fine. Good.
> glass : is good "Good" part="Glass"
Good.
Dial good.
> dial : is good "good" part="Dial"
""")

    assert [one.state for one in quoted] == [(2,), (5,)]  # Derived: the third word, and the sixth


def test_a_written_word_that_became_two_is_quoted_as_both() -> None:
    heard, quoted = _laid("""
No, um, it isn't broken, the mainspring.
> mainspring : no broken "isn't broken" part="mainspring"
""")

    assert [_words(heard, one.state) for one in quoted] == ["is not broken"]


def test_sounds_of_hesitation_do_not_part_a_quote() -> None:
    heard, quoted = _laid("""
The dial is, um, rather loose.
> dial : is loose "is, um, rather loose" part="dial"
""")

    assert [_words(heard, one.state) for one in quoted] == ["is rather loose"]


@given(
    st.lists(st.sampled_from(["click", "good", "um", "loose", "it", "isn't", "dial"]), min_size=1, max_size=12),
    st.booleans(),
)
def test_words_stand_in_the_line_that_said_them(said: list[str], stops: bool) -> None:
    # Every line has a word of its own, so that the right line of each word is known.
    lines = [f"{NAMES[number]} {word}." for number, word in enumerate(said)]
    heard = split(captions.parse(told.render(_speech("\n".join(lines)), stops=stops).captions, name="z01.vtt").cues)

    for number, line in enumerate(lines_of(heard, lines)):
        assert {piece.text for piece in line} - {"um"} <= set(told.plain_words(lines[number]))
        assert NAMES[number] in {piece.text for piece in line}


def test_no_quote_of_a_look_over_is_lost_for_its_stops() -> None:
    text = """
Click good, click spring good.
> click : is good "good" part="Click"
> click_spring : is good "good" part="click spring"
"""

    for stops in (True, False):
        assert [len(one.labels) for one in example_of(_speech(text), stops=stops, cut="anywhere").sayings] == [1, 1]
