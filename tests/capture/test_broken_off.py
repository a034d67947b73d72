"""A film that was cut: an mp4 that its camera never finished is said to be so, a webm or mkv is read up to the cut."""

import pytest

from tests.made_films import write_film
from underdial.capture.broken_off import ends_in_the_middle, never_finished
from underdial.capture.film import SPEECH_HZ, NotFinished, read_recording, speech_blocks
from underdial.errors import BadInput


def cut(whole, part, name):
    """The first part of a film."""
    bytes_of = whole.read_bytes()
    path = whole.with_name(name)
    path.write_bytes(bytes_of[: int(part * len(bytes_of))])
    return path


@pytest.mark.parametrize("ending", ["mp4", "mov"])
def test_an_mp4_that_its_camera_never_finished_is_told_so_with_what_to_do(tmp_path, ending):
    whole = write_film(tmp_path / f"whole.{ending}")
    half = cut(whole, 0.5, f"half.{ending}")

    assert not never_finished(whole)
    assert never_finished(half)
    with pytest.raises(NotFinished, match=rf"half\.{ending} was not finished by the camera.*another copy.*sound"):
        read_recording(half)


def test_what_is_no_film_at_all_is_not_called_unfinished(tmp_path):
    for content in (b"no film", b"\x00\x00\x00\x10free", b"RIFF\x00\x00\x00\x00WAVE" * 9, b"\x00" * 64):
        path = tmp_path / "look.mp4"
        path.write_bytes(content)
        with pytest.raises(BadInput):
            read_recording(path)
    (tmp_path / "look.mp4").write_bytes(b"no film, and no box of one")
    assert not never_finished(tmp_path / "look.mp4")


@pytest.mark.parametrize("ending", ["mkv"])
def test_a_cut_mkv_is_read_up_to_the_cut_and_says_how_far(tmp_path, ending):
    whole = write_film(tmp_path / f"whole.{ending}")
    half = cut(whole, 0.6, f"half.{ending}")
    said, said_of_whole = [], []
    read_s = sum(one.size for one in speech_blocks(half, warnings=said)) / SPEECH_HZ
    whole_s = sum(one.size for one in speech_blocks(whole, warnings=said_of_whole)) / SPEECH_HZ

    assert (ends_in_the_middle(whole), ends_in_the_middle(half)) == (False, True)
    assert said_of_whole == []
    assert 0.5 < read_s < whole_s  # Derived: six tenths of six seconds, less a lump of sound at most.
    assert len(said) == 1
    assert f"0:0{int(read_s)}" in said[0]


def test_a_film_of_unknown_length_that_was_cut_says_how_far_too(tmp_path):
    whole = write_film(tmp_path / "whole.mkv")
    told = bytearray(cut(whole, 0.6, "half.mkv").read_bytes())
    # Source: RFC 8794, 6.2: all ones is a size that is not told, as a recorder writes it that does not know the end.
    segment = told.index(b"\x18\x53\x80\x67") + 4
    width = 8 - told[segment].bit_length() + 1
    told[segment : segment + width] = bytes([told[segment] | (0xFF >> (width - 1))]) + b"\xff" * (width - 1)
    # Source: RFC 9559: 0x4489 is how long the whole lasts, a number of 8 bytes; RFC 8794: 0xEC is void.
    lasts = told.index(b"\x44\x89\x88")
    told[lasts : lasts + 11] = b"\xec\x89" + bytes(9)
    path = tmp_path / "live.mkv"
    path.write_bytes(bytes(told))
    said, said_of_half = [], []
    read_s = sum(one.size for one in speech_blocks(path, warnings=said)) / SPEECH_HZ
    half_s = sum(one.size for one in speech_blocks(tmp_path / "half.mkv", warnings=said_of_half)) / SPEECH_HZ

    assert ends_in_the_middle(path)
    assert read_recording(path).lasts_s is None
    assert read_s == half_s
    assert said == [f"live.mkv was cut off; it was read up to 0:0{int(read_s)}, where it ends."]
