"""Sound files of every kind in blocks, and what is not sound in one sentence."""

from pathlib import Path

import numpy as np
import pytest
import soundfile

from underdial.capture.sound import open_sound
from underdial.errors import BadInput, NotFound


def wave(count: int, *, sample_hz: int = 16000) -> np.ndarray:
    return (0.5 * np.sin(2 * np.pi * 440.0 * np.arange(count) / sample_hz)).astype(np.float32)


def whole(path: Path) -> tuple[int, np.ndarray]:
    with open_sound(path) as sound:
        return sound.sample_hz, np.concatenate(list(sound.blocks))


@pytest.mark.parametrize(
    ("ending", "form", "subtype"),
    [("wav", "WAV", "PCM_16"), ("wav", "RF64", "PCM_24"), ("flac", "FLAC", "PCM_16"), ("w64", "W64", "FLOAT")],
)
def test_uncompressed_and_lossless_files_come_back_as_they_were(
    tmp_path: Path, ending: str, form: str, subtype: str
) -> None:
    path = tmp_path / f"one.{ending}"
    soundfile.write(str(path), wave(40000), 16000, format=form, subtype=subtype)
    sample_hz, got = whole(path)

    # Derived: as written.
    assert sample_hz == 16000
    assert got.shape == (40000, 1)  # Derived: as written.
    # Derived: half a step of 16 bits.
    assert np.abs(got[:, 0] - wave(40000)).max() <= 1.0 / 32768


@pytest.mark.parametrize(("ending", "form"), [("ogg", "OGG"), ("mp3", "MP3")])
def test_lossy_files_are_read_and_said_to_be_lossy(tmp_path: Path, ending: str, form: str) -> None:
    path = tmp_path / f"one.{ending}"
    with soundfile.SoundFile(str(path), "w", 16000, 1, format=form) as out:
        for at in range(0, 40000, 4000):
            out.write(wave(40000)[at : at + 4000])
    with open_sound(path) as sound:
        lossy, got = sound.lossy, np.concatenate(list(sound.blocks))

    assert lossy
    # Derived: 2.5 s were written; coders add up to a tenth of a second of padding.
    assert got.shape[0] == pytest.approx(40000, abs=2500)


@pytest.mark.parametrize(("coding", "lossy"), [("aac", True), ("alac", False)])
def test_m4a_is_read(tmp_path: Path, coding: str, lossy: bool) -> None:
    import av

    path = tmp_path / "one.m4a"
    with av.open(str(path), "w") as out:
        stream = out.add_stream(coding, rate=16000, layout="mono")
        for at in range(0, 32768, 1024):
            frame = av.AudioFrame.from_ndarray(wave(32768)[None, at : at + 1024], format="fltp", layout="mono")
            frame.sample_rate = 16000
            frame.pts = at
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))
    sample_hz, got = whole(path)
    with open_sound(path) as sound:
        assert sound.lossy is lossy

    # Derived: as written.
    assert sample_hz == 16000
    # Derived: 2.048 s were written; the coder primes with up to two frames of 1024.
    assert got.shape[0] == pytest.approx(32768, abs=2100)


def test_192_khz_stereo_is_brought_down_to_48(tmp_path: Path) -> None:
    path = tmp_path / "high.wav"
    soundfile.write(str(path), np.stack([wave(192000, sample_hz=192000)] * 2, axis=1), 192000)
    sample_hz, got = whole(path)
    with open_sound(path) as sound:
        assert sound.recorded_hz == 192000  # Derived: as written

    # Derived: the most that is handed on.
    assert sample_hz == 48000
    # Derived: one second at a quarter of the sampling.
    assert got.shape[0] == pytest.approx(48000, abs=4)
    assert got.shape[1] == 2


def test_a_file_cut_short_gives_what_it_holds(tmp_path: Path) -> None:
    path = tmp_path / "cut.wav"
    soundfile.write(str(path), wave(80000), 16000)
    path.write_bytes(path.read_bytes()[: 44 + 2 * 30000])
    _, got = whole(path)

    # Derived: thirty thousand samples of two bytes were left behind the head of 44 bytes.
    assert got.shape[0] == pytest.approx(30000, abs=50)


def test_what_is_no_sound_is_told_in_one_sentence(tmp_path: Path) -> None:
    words, empty = tmp_path / "words.wav", tmp_path / "empty.wav"
    words.write_text("this is not a sound file")
    empty.touch()
    for path, kind in ((words, BadInput), (empty, BadInput), (tmp_path / "none.wav", NotFound), (tmp_path, BadInput)):
        with pytest.raises(kind, match="file: "), open_sound(path):
            pass


def test_sampling_below_what_ticks_need_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "slow.wav"
    soundfile.write(str(path), wave(8000), 4000)

    with pytest.raises(BadInput, match="8000 to 192000"), open_sound(path):
        pass
