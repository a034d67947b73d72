"""Sound files in blocks: WAV, RF64, W64, FLAC, Ogg, MP3 by libsndfile; M4A and films by FFmpeg (PyAV).

Blocks keep memory flat for a file of any length. A file cut short by a power cut gives what it holds. Rates above
48 kHz are brought down to 48 kHz as they are read.

Limits: 8 to 192 kHz, 1 to 32 channels. What is in the sound is for `listening` to say.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from underdial.errors import BadInput, MachineRefused, NotFound

Floats = NDArray[np.float32]

LEAST_HZ, MOST_HZ, HEARD_HZ = 8000, 192000, 48000
BLOCK_S = 1.0
_KINDS = "wav rf64 w64 flac ogg mp3 m4a"
_LOSSY = ("MP3", "OGG", "AAC", "OPUS", "VORBIS", "MP4", "MOV")
# Names of codings, as FFmpeg has them, that give every sample back.
_LOSSLESS = ("alac", "flac", "pcm", "wavpack", "tta", "ape")


@dataclass(frozen=True, slots=True)
class Sound:
    """An open sound: sampling of the blocks [Hz], channels, whether its coding loses sound, and the blocks themselves.

    Each block has shape (frames, channels), scaled to -1 to 1. `recorded_hz` is the sampling of the file itself [Hz].
    """

    sample_hz: int
    channels_count: int
    lossy: bool
    blocks: Iterator[Floats]
    recorded_hz: int


@contextmanager
def open_sound(path: Path) -> Iterator[Sound]:
    """Open a sound file for reading in blocks of about a second.

    Raises NotFound, MachineRefused, or BadInput naming the file when it is empty, no sound, or of a sampling not heard.
    """
    if not path.exists():
        raise NotFound("file", str(path), "a sound file that exists", f"file: {path} is not there")
    if path.is_dir():
        raise BadInput("file", str(path), _KINDS, f"file: {path} is a folder, not a sound file")
    try:
        if path.stat().st_size == 0:
            raise BadInput("file", str(path), _KINDS, f"file: {path.name} is empty")
        with path.open("rb"):
            pass
    except OSError as wrong:
        raise MachineRefused(
            "file", str(path), "a file that can be read", f"file: {path} cannot be read ({wrong.strerror})"
        ) from wrong
    opened = _by_sndfile(path) or _by_ffmpeg(path)
    if opened is None:
        raise BadInput(
            "file", str(path), _KINDS, f"file: {path.name} is not a sound file that can be read; allowed: {_KINDS}"
        )
    source, sound = opened
    try:
        _check(path, sound)
        yield _brought_down(sound)
    finally:
        source.close()


def _check(path: Path, sound: Sound) -> None:
    if not LEAST_HZ <= sound.sample_hz <= MOST_HZ:
        raise BadInput(
            "file",
            str(path),
            f"{LEAST_HZ} to {MOST_HZ} Hz",
            f"file: {path.name} is sampled at {sound.sample_hz} Hz; allowed: {LEAST_HZ} to {MOST_HZ} Hz",
        )


def _by_sndfile(path: Path) -> tuple[Any, Sound] | None:
    import soundfile

    try:
        source = soundfile.SoundFile(str(path))
    except (soundfile.LibsndfileError, RuntimeError):
        return None
    return source, Sound(
        int(source.samplerate),
        int(source.channels),
        any(one in source.format.upper() + source.subtype.upper() for one in _LOSSY),
        _sndfile_blocks(source),
        int(source.samplerate),
    )


def _sndfile_blocks(source: Any) -> Iterator[Floats]:
    import soundfile

    size = int(BLOCK_S * source.samplerate)
    while True:
        try:
            block = source.read(size, dtype="float32", always_2d=True)
        except (soundfile.LibsndfileError, RuntimeError):
            # A FLAC cut short claims its full length and fails after the last whole block: what came is kept.
            return
        if block.shape[0] == 0:
            return
        yield np.nan_to_num(block, copy=False, nan=0.0, posinf=1.0, neginf=-1.0)


def _by_ffmpeg(path: Path) -> tuple[Any, Sound] | None:
    import av

    try:
        source = av.open(str(path))
    except (av.FFmpegError, ValueError, OSError):
        return None
    if not source.streams.audio:
        source.close()
        return None
    stream = source.streams.audio[0]
    lossy = not stream.codec_context.name.startswith(_LOSSLESS)
    return source, Sound(
        int(stream.rate), int(stream.channels), lossy, _ffmpeg_blocks(source, stream), int(stream.rate)
    )


def _ffmpeg_blocks(source: Any, stream: Any) -> Iterator[Floats]:
    import av

    turner = av.AudioResampler(format="fltp", layout=stream.layout.name, rate=stream.rate)
    held: list[Floats] = []
    count = 0
    try:
        for frame in source.decode(stream):
            for part in turner.resample(frame):
                held.append(np.ascontiguousarray(part.to_ndarray().T, dtype=np.float32))
                count += held[-1].shape[0]
            if count >= BLOCK_S * stream.rate:
                yield np.concatenate(held)
                held, count = [], 0
    except av.FFmpegError:
        pass
    if held:
        yield np.concatenate(held)


def _brought_down(sound: Sound) -> Sound:
    if sound.sample_hz <= HEARD_HZ:
        return sound
    return Sound(HEARD_HZ, sound.channels_count, sound.lossy, _resampled(sound), sound.recorded_hz)


def _resampled(sound: Sound) -> Iterator[Floats]:
    import soxr

    turner = soxr.ResampleStream(sound.sample_hz, HEARD_HZ, sound.channels_count, dtype="float32")
    for block in sound.blocks:
        out = turner.resample_chunk(block)
        if out.shape[0]:
            yield out.reshape(-1, sound.channels_count)
    rest = turner.resample_chunk(np.zeros((0, sound.channels_count), dtype=np.float32), last=True)
    if rest.shape[0]:
        yield rest.reshape(-1, sound.channels_count)
