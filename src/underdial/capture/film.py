"""Films and sound recordings in a stream: what they hold, and their sound as mono blocks at 16 kHz.

A film is never held in memory. One that breaks off gives what it holds and says in one sentence where it ended; a
silent film, a film without sound and a sound without film are no faults: `Recording` says what is there.

Limits: whatever FFmpeg reads (wav flac ogg mp3 m4a mp4 mov webm mkv avi). What is in picture or sound is not for this
room to say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from underdial.capture.broken_off import ends_in_the_middle, never_finished
from underdial.errors import BadInput, MachineRefused, NotFound

Samples = NDArray[np.float32]
Progress = Callable[[float], None]

SPEECH_HZ = 16000
BLOCK_S = 1.0
# A 16-bit recorder left running with its microphone off gives at most a few steps of its last bit.
SILENT_PEAK = 4.0 / 32768.0
_KINDS = "wav flac ogg mp3 m4a mp4 mov webm mkv"
# Streams of pictures that are the cover of a sound file, not a film.
_COVER_CODECS = frozenset({"mjpeg", "png", "bmp", "gif"})


@dataclass(frozen=True, slots=True)
class Recording:
    """What a file holds: how long it lasts [s] (None when it does not say), sound, film, and when it was made."""

    lasts_s: float | None
    has_sound: bool
    has_film: bool
    made_at: datetime | None = None


class NotFinished(BadInput):
    """A film that its camera never finished: its bytes may be of worth to somebody who mends films."""

    def __init__(self, name: str) -> None:
        super().__init__(
            "file",
            name,
            "a film that its camera finished",
            f"file: {name} was not finished by the camera (its battery or card gave out, or the copying was cut), so "
            "nothing in it can be found. Keep the original on the card; hand in another copy of it, or the sound by "
            "itself, or write what you saw.",
        )


@contextmanager
def open_media(path: Path) -> Iterator[Any]:
    """The open container of a recording.

    Raises NotFound, MachineRefused, or BadInput naming the file when it is empty or no recording; NotFinished when its
    camera never finished it.
    """
    import av

    if not path.exists():
        raise NotFound("file", str(path), "a recording that exists", f"file: {path} is not there")
    if path.is_dir():
        raise BadInput("file", str(path), _KINDS, f"file: {path} is a folder, not a recording")
    try:
        if path.stat().st_size == 0:
            raise BadInput("file", str(path), _KINDS, f"file: {path.name} is empty")
        with path.open("rb"):
            pass
    except OSError as wrong:
        raise MachineRefused(
            "file", str(path), "a file that can be read", f"file: {path} cannot be read ({wrong.strerror})"
        ) from wrong
    try:
        container = av.open(str(path))
    except (av.FFmpegError, ValueError, OSError) as wrong:
        if never_finished(path):
            raise NotFinished(path.name) from wrong
        raise BadInput(
            "file", str(path), _KINDS, f"file: {path.name} is broken or no recording; a recording is one of {_KINDS}."
        ) from wrong
    try:
        yield container
    finally:
        container.close()


def read_recording(path: Path) -> Recording:
    """What a file holds, from its head alone.

    Raises as `open_media`, and BadInput when there is neither sound nor film.
    """
    with open_media(path) as container:
        film = film_stream(container)
        sound = bool(container.streams.audio)
        if film is None and not sound:
            raise BadInput("file", str(path), _KINDS, f"file: {path.name} holds neither sound nor film.")
        return Recording(_length_s(container), sound, film is not None, _made_at(container))


def film_stream(container: Any) -> Any | None:
    """The stream of moving pictures; None for a sound with nothing but its cover."""
    return next(
        (one for one in container.streams.video if one.codec_context.name not in _COVER_CODECS or one.frames > 1), None
    )


def speech_blocks(path: Path, *, warnings: list[str], progress: Progress | None = None) -> Iterator[Samples]:
    """The sound of a recording as mono blocks of about a second at 16 kHz, -1 to 1, beginning at the recording's zero.

    Says in `warnings` when the recording breaks off or is silent. `progress` is told the part that is read, 0 to 1.
    Raises as `open_media`, and BadInput when there is no sound at all.
    """
    with open_media(path) as container:
        if not container.streams.audio:
            raise BadInput(
                "file",
                str(path),
                "a recording with sound",
                f"file: {path.name} has no sound, so nothing was said in it.",
            )
        length_s = _length_s(container)
        done_s, peak, amiss = 0.0, 0.0, len(warnings)
        for block in _in_seconds(_mono(container, path.name, warnings)):
            done_s += block.size / SPEECH_HZ
            peak = max(peak, float(np.max(np.abs(block), initial=0.0)))
            if progress is not None and length_s:
                progress(min(done_s / length_s, 1.0))
            yield block
        if len(warnings) == amiss and ends_in_the_middle(path):
            warnings.append(f"{path.name} was cut off; it was read up to {_clock(done_s)}, where it ends.")
        if peak <= SILENT_PEAK:
            warnings.append(f"{path.name} is silent from end to end; the microphone was off.")


def _in_seconds(parts: Iterator[Samples]) -> Iterator[Samples]:
    held: list[Samples] = []
    count = 0
    for part in parts:
        held.append(part)
        count += part.size
        if count >= BLOCK_S * SPEECH_HZ:
            yield np.concatenate(held)
            held, count = [], 0
    if held:
        yield np.concatenate(held)


def _mono(container: Any, name: str, warnings: list[str]) -> Iterator[Samples]:
    import av

    stream = container.streams.audio[0]
    turner = av.AudioResampler(format="flt", layout="mono", rate=SPEECH_HZ)
    at = 0
    try:
        for frame in container.decode(stream):
            # A gap in the times (a pause of the recorder, a late start) becomes silence, so that seconds stay seconds.
            if frame.time is not None:
                gap = round(frame.time * SPEECH_HZ) - at
                if 0.1 * SPEECH_HZ < gap < 4 * 3600 * SPEECH_HZ:
                    yield from _silence(gap)
                    at += gap
            for part in turner.resample(frame):
                samples = np.nan_to_num(
                    part.to_ndarray().reshape(-1).astype(np.float32, copy=False), nan=0.0, posinf=1.0, neginf=-1.0
                )
                at += samples.size
                yield samples
    except av.FFmpegError:
        warnings.append(
            f"{name} breaks off at {at // SPEECH_HZ // 60}:{at // SPEECH_HZ % 60:02d}; what came before was kept."
        )
        return
    length_s = _length_s(container)
    if length_s is not None and at / SPEECH_HZ < length_s - max(2.0, 0.02 * length_s):
        warnings.append(
            f"{name} says it lasts {_clock(length_s)}, and its sound ends at {_clock(at / SPEECH_HZ)}; what came "
            "before was kept."
        )


def _silence(count: int) -> Iterator[Samples]:
    while count > 0:
        part = min(count, SPEECH_HZ)
        yield np.zeros(part, dtype=np.float32)
        count -= part


def _length_s(container: Any) -> float | None:
    return None if container.duration is None or container.duration <= 0 else float(container.duration) / 1e6


def _made_at(container: Any) -> datetime | None:
    text = container.metadata.get("creation_time") or ""
    try:
        made = datetime.fromisoformat(text.replace("Z", "+00:00"))
    except ValueError:
        return None
    return made if made.utcoffset() is not None and made.year > 1990 else None


def _clock(at_s: float) -> str:
    return f"{int(at_s) // 60}:{int(at_s) % 60:02d}"
