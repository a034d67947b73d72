"""A small film for the tests, made as it is asked for, and the captions that go with it."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np

WORDS = (
    b"WEBVTT\n\n00:00:01.000 --> 00:00:03.000\nThird wheel, front pivot is scored.\n\n00:00:03.200 --> "
    b"00:00:05.000\nThe crutch is loose.\n"
)


def write_film(path: Path) -> Path:
    """Six seconds of a drawn picture with a tone; made on 3 May 2026 at ten."""
    rng = np.random.default_rng(5)
    with av.open(str(path), "w") as out:
        out.metadata["creation_time"] = "2026-05-03T10:00:00Z"
        picture = out.add_stream("mpeg4", rate=10)
        picture.width, picture.height, picture.pix_fmt = 160, 120, "yuv420p"
        sound = out.add_stream("aac", rate=16000)
        for _ in range(60):
            for packet in picture.encode(
                av.VideoFrame.from_ndarray(rng.integers(0, 255, (120, 160, 3), dtype=np.uint8), format="rgb24")
            ):
                out.mux(packet)
        frame = av.AudioFrame.from_ndarray(
            (0.3 * np.sin(np.arange(96000) * 0.2)).astype(np.float32)[None, :], format="fltp", layout="mono"
        )
        frame.sample_rate = 16000
        for packet in [*sound.encode(frame), *sound.encode(None), *picture.encode(None)]:
            out.mux(packet)
    return path
