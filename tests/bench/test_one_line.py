"""One line spoken to the tablet: what may be heard is what can be written down, and orders to the page are no
findings.
"""

import re
import shutil
import subprocess

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.bench.as_found.dictating import hear_line, hear_order
from underdial.bench.as_found.one_line import ORDERS, line_grammar, read_line
from underdial.errors import BadInput


def rules():
    return dict(re.findall(r"^(?:public )?<(\w+)> = (.*);$", line_grammar(), re.MULTILINE))


@st.composite
def spoken(draw, rule):
    """Any words that the grammar lets through, made from the grammar itself."""
    words: list[str] = []

    def say(text):
        text = text.strip()
        choices = parted(text, "|")
        if len(choices) > 1:
            return say(draw(st.sampled_from(choices)))
        for piece in pieces(text):
            if piece.startswith("<"):
                say(rules()[piece[1:-1]])
            elif piece.startswith("["):
                if draw(st.booleans()):
                    say(piece[1:-1])
            elif piece.startswith("("):
                say(piece[1:-1])
            else:
                words.append(piece)
        return None

    say(rules()[rule])
    return " ".join(words)


def parted(text, sign):
    """A text cut at a sign that stands in no bracket."""
    parts, depth, start = [], 0, 0
    for at, letter in enumerate(text):
        depth += (letter in "[(") - (letter in "])")
        if letter == sign and depth == 0:
            parts.append(text[start:at])
            start = at + 1
    return [*parts, text[start:]]


def pieces(text):
    """Words, rules and whole brackets of a text, in their order."""
    found, depth, start = [], 0, 0
    for at, letter in enumerate(text + " "):
        if letter in "[(":
            if depth == 0:
                start = at
            depth += 1
        elif letter in "])":
            depth -= 1
            if depth == 0:
                found.append(text[start : at + 1])
                start = at + 1
        elif depth == 0 and letter == " ":
            if text[start:at].strip():
                found.append(text[start:at].strip())
            start = at + 1
    return found


@given(spoken("said"))
def test_whatever_the_grammar_lets_through_can_be_written_down(words):
    line = read_line(words)

    assert [line.finding, line.measurement, line.tray].count(None) == 2  # Derived: it is one of the three
    assert line.reads.endswith(".")


@pytest.mark.parametrize(
    ("words", "reads"),
    [
        (
            "front pivot third arbor one point four two",
            "The front pivot of the third wheel, diameter: 1.42 millimetres.",
        ),
        ("escape wheel thirty teeth", "The teeth of the escape wheel, tooth count: 30."),
        ("third arbor front pivot forty two thou", "The front pivot of the third wheel, diameter: 42 thou."),
    ],
)
def test_a_size_is_read_back_with_its_part_and_unit(words, reads):
    told = read_line(words)

    assert told.measurement is not None
    # Derived: the words above, in the order of the paper's sentences
    assert told.reads.removeprefix("The ").casefold().replace("the ", "") == reads.removeprefix(
        "The "
    ).casefold().replace("the ", "")


@pytest.mark.parametrize("words", ["the weather is fine", "front pivot", "one point four two", *ORDERS])
def test_what_is_no_line_is_refused(words):
    with pytest.raises(BadInput):
        read_line(words)


@pytest.mark.skipif(shutil.which("flite") is None, reason="flite is not installed")
@pytest.mark.parametrize(
    ("words", "order"),
    [
        ("keep it", "keep"),
        ("carry on", "carry_on"),
        ("private", "private"),
        ("hours start", "hours_start"),
        ("hours stop", "hours_stop"),
    ],
)
def test_an_order_is_heard_as_one_and_a_line_is_none(tmp_path, words, order):
    pytest.importorskip("pocketsphinx")
    heard = hear_line(spoken_by_flite(tmp_path, words))

    assert (heard.order, heard.line) == (order, None)
    assert hear_order(spoken_by_flite(tmp_path, "third wheel back hole worn")) is None
    assert hear_order(b"no sound") is None


def spoken_by_flite(place, words):
    file = place / "line.wav"
    subprocess.run(["flite", "-voice", "rms", "-t", words, "-o", str(file)], check=True)
    return file.read_bytes()


def test_a_line_says_in_which_tray_a_part_lies():
    for words in ("crutch tray three", "the crutch goes in tray three"):
        line = read_line(words)
        assert line.tray == ("tray three", "crutch")
        assert line.reads == "Crutch: in tray three."
    with pytest.raises(BadInput, match="names no part"):
        read_line("tray three")
