"""Captions of every kind we take, and what is said when something is amiss."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput
from underdial.telling.speech.captions import parse

_VTT = (
    "\ufeffWEBVTT\n\nNOTE no words of this\n\n1\n00:01.000 --> 00:03.500 align:start\n<v Ruth>Dial's "
    "<i>fine</i>.\n\n00:04.000 --> 00:06.000\nBezel too &amp; hinge.\n"
)


def test_webvtt_loses_its_marks_and_keeps_words_speaker_and_times() -> None:
    cues = parse(_VTT).cues

    assert [cue.text for cue in cues] == ["Dial's fine .", "Bezel too & hinge."]
    assert cues[0].speaker == "Ruth"
    # Derived: the times as written in the captions above.
    assert (cues[0].start_s, cues[0].end_s) == (1.0, 3.5)


def test_subrip_numbers_are_no_words() -> None:
    cues = parse(
        "1\r\n00:00:01,500 --> 00:00:02,000\r\nClick good.\r\n\r\n2\r\n00:00:02,000 --> 00:00:04,000\r\nSpring "
        "good.\r\n"
    ).cues

    assert [cue.text for cue in cues] == ["Click good.", "Spring good."]
    # Derived: one and a half seconds, as written.
    assert cues[0].start_s == 1.5


def test_plain_text_with_times_runs_each_line_to_the_next() -> None:
    cues = parse("[00:05] Case first.\n[00:09] Bezel sound.\n").cues

    # Derived: the times as written; the first line ends where the second begins.
    assert (cues[0].start_s, cues[0].end_s) == (5.0, 9.0)


def test_a_line_may_begin_with_a_number_behind_its_time() -> None:
    cues = parse("[00:05] 14 thou in front.\n(00:09) 2021 it was cleaned.\n00:12 - case sound.\n").cues

    # Source: the text above.
    assert [(cue.start_s, cue.text) for cue in cues] == [
        (5.0, "14 thou in front."),
        (9.0, "2021 it was cleaned."),
        (12.0, "case sound."),
    ]


def test_plain_text_without_times_is_kept_without_times() -> None:
    cues = parse("Dial good.\nHands good.\n").cues

    assert [cue.text for cue in cues] == ["Dial good.", "Hands good."]
    assert cues[0].start_s is None


def test_a_name_that_opens_many_captions_is_a_speaker_and_a_heading_is_not() -> None:
    text = "Ann: Dial good.\nAnn: Hands: both there.\nAnn: Bezel good.\nHands: fine.\n"

    cues = parse(text).cues

    assert cues[0].speaker == "Ann"
    assert cues[1].text == "Hands: both there."
    assert cues[3].text == "Hands: fine."


def test_rolling_captions_are_read_once() -> None:
    rolling = (
        "WEBVTT\n\n00:00.000 --> 00:02.000\nthe front hole of the third\n\n00:02.000 --> 00:04.000\nthe front hole "
        "of the third\nis worn quite badly\n\n"
        "00:04.000 --> 00:06.000\nis worn quite badly\nand the back is good\n"
    )

    assert (
        " ".join(cue.text for cue in parse(rolling).cues)
        == "the front hole of the third is worn quite badly and the back is good"
    )


def test_times_that_run_backwards_get_one_sentence_and_the_words_are_kept() -> None:
    transcript = parse("WEBVTT\n\n00:10.000 --> 00:11.000\nDial good.\n\n00:05.000 --> 00:06.000\nHands good.\n")

    assert [cue.text for cue in transcript.cues] == ["Dial good.", "Hands good."]
    assert transcript.warnings == ("Times run backwards at 1 caption; the words were taken in the order of the file.",)


def test_a_stretch_in_another_language_is_left_out_and_said() -> None:
    german = "das ist der dritte und der ist nicht gut und die Feder ist auch nicht mehr sehr gut"

    transcript = parse(
        f"The dial is good and the hands are right for it.\n{german}\n{german}\nThe bezel is sound and there is no "
        "dent in it.\n"
    )

    assert [cue.text[:9] for cue in transcript.cues] == ["The dial ", "The bezel"]
    assert transcript.warnings == ("2 captions are in another language (German, it seems) and were left out.",)


def test_a_short_english_caption_beside_another_language_is_kept() -> None:
    german = "das ist der dritte und der ist nicht gut und die Feder ist auch nicht mehr sehr gut"

    transcript = parse(f"The dial is good and the hands are right for it.\nBell cracked.\n{german}\n")

    assert [cue.text[:9] for cue in transcript.cues] == ["The dial ", "Bell crac"]


@pytest.mark.parametrize(
    "text",
    [
        "%PDF-1.7 and so on",
        "<!DOCTYPE html><p>x",
        '{"a": 1}',
        "RIFF\x00\x00\x00",
        "WEBVTT\n\nnonsense --> more\nwords\n",
    ],
)
def test_what_is_no_transcript_is_refused_by_name(text: str) -> None:
    with pytest.raises(BadInput, match=r"file: film\.bin"):
        parse(text, name="film.bin")


@given(st.text(max_size=400))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        transcript = parse(text)
    except BadInput:
        return

    assert all(cue.text for cue in transcript.cues)
