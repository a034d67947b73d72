"""Films with a moment that is sharp: found again, and what is no film is refused in one sentence."""

import io
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from underdial.capture.film import read_recording, speech_blocks
from underdial.capture.stills import sharpest_near, sharpness_ratio
from underdial.errors import BadInput, NotFound

RATE, SECONDS, SHARP_S = 10, 6, 3.5


@pytest.fixture(scope="module")
def film(tmp_path_factory) -> Path:
    """Six seconds, blurred but for one frame, with a tone beside them."""
    path = tmp_path_factory.mktemp("film") / "look.mp4"
    rng = np.random.default_rng(3)
    sharp = rng.integers(0, 255, (120, 160, 3), dtype=np.uint8)
    with av.open(str(path), "w") as out:
        picture = out.add_stream("mpeg4", rate=RATE, options={"q": "2"})
        picture.width, picture.height, picture.pix_fmt, picture.gop_size = 160, 120, "yuv420p", 1
        sound = out.add_stream("aac", rate=16000)
        for k in range(RATE * SECONDS):
            shown = sharp if k == int(SHARP_S * RATE) else np.full_like(sharp, 90 + k)
            for packet in picture.encode(av.VideoFrame.from_ndarray(shown, format="rgb24")):
                out.mux(packet)
        tone = (0.3 * np.sin(np.arange(16000 * SECONDS) * 0.2)).astype(np.float32)[None, :]
        frame = av.AudioFrame.from_ndarray(tone, format="fltp", layout="mono")
        frame.sample_rate = 16000
        for one in (frame, None):
            for packet in sound.encode(one):
                out.mux(packet)
        for packet in picture.encode(None):
            out.mux(packet)
    return path


def test_the_sharpest_frame_near_a_finding_is_taken(film):
    warnings: list[str] = []
    still = next(sharpest_near(film, [(3.0, 4.0)], warnings=warnings))

    assert still.at_s == pytest.approx(SHARP_S, abs=0.5 / RATE)  # Derived: the one frame that is not blank
    assert Image.open(io.BytesIO(still.jpeg)).size == (160, 120)  # Derived: the film's own size
    assert not warnings


def test_sound_of_a_film_comes_in_blocks_of_sixteen_thousand_a_second(film):
    warnings: list[str] = []
    total = sum(len(block) for block in speech_blocks(film, warnings=warnings))

    assert total == pytest.approx(16000 * SECONDS, rel=0.02)  # Derived: six seconds at 16 kHz, with the coder's padding
    assert read_recording(film).lasts_s == pytest.approx(SECONDS, abs=0.2)  # Derived: the same


def test_a_blurred_picture_is_less_sharp():
    rng = np.random.default_rng(1)
    sharp = rng.integers(0, 255, (90, 90), dtype=np.uint8)
    blurred = ((sharp[:-1, :-1].astype(int) + sharp[1:, :-1] + sharp[:-1, 1:] + sharp[1:, 1:]) // 4).astype(np.uint8)

    assert sharpness_ratio(blurred) < sharpness_ratio(sharp)
    assert sharpness_ratio(np.full((90, 90), 7, dtype=np.uint8)) == 0


def test_what_is_no_film_is_refused_by_name(tmp_path):
    (tmp_path / "odd.mp4").write_bytes(b"not a film at all")

    with pytest.raises(BadInput, match=r"odd\.mp4"):
        read_recording(tmp_path / "odd.mp4")
    with pytest.raises(NotFound):
        read_recording(tmp_path / "none.mp4")
