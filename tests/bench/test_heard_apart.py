"""A recording heard in a process of its own says what it would have said in this one."""

import wave

import pytest

from underdial.bench.as_found.heard_apart import hear_apart
from underdial.errors import BadInput


def test_what_is_no_recording_is_refused_in_the_same_words(tmp_path):
    path = tmp_path / "look.wav"
    path.write_bytes(b"no sound")

    with pytest.raises(BadInput, match=r"look\.wav is broken or no recording"):
        hear_apart(path)


def test_captions_beside_it_are_its_words(tmp_path):
    path = tmp_path / "look.wav"
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(16000)
        out.writeframes(bytes(64000))
    path.with_suffix(".vtt").write_text(
        "WEBVTT\n\n00:00:00.500 --> 00:00:01.500\nThe crutch is loose – I'd say.\n", encoding="utf-8"
    )
    told = hear_apart(path)

    # Derived: the caption above
    assert [(one.text, one.start_s, one.end_s) for one in told.cues] == [("The crutch is loose – I'd say.", 0.5, 1.5)]
    assert any("look.vtt" in one for one in told.warnings)
