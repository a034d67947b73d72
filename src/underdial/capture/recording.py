"""A recording while it is made or looked at: sound as it comes, kept in a file of its own until it is wanted or not.

A live recording is written as FLAC, 16 bits, one channel, without loss. What nobody keeps goes when the folder goes.

Limits: 8 to 48 kHz. What is in the sound is for `listening` to say.
"""

from __future__ import annotations

import re
import secrets
import shutil
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from underdial.errors import BadInput, MachineRefused

LEAST_HZ, MOST_HZ = 8000, 48000


@dataclass(slots=True)
class Shelf:
    """A folder for recordings that nobody has kept yet; it goes with the program."""

    _folder: tempfile.TemporaryDirectory[str] = field(
        default_factory=lambda: tempfile.TemporaryDirectory(prefix="underdial-heard-")
    )

    def place(self, name: str) -> Path:
        """A path for a new file of this name in a folder of its own."""
        folder = Path(self._folder.name) / secrets.token_hex(8)
        folder.mkdir()
        return folder / plain_name(name)

    def lay(self, source: BinaryIO, name: str) -> Path:
        """Lay a whole file on the shelf."""
        path = self.place(name)
        try:
            with path.open("wb") as out:
                shutil.copyfileobj(source, out, 1 << 20)
        except OSError as wrong:
            self.clear(path)
            raise MachineRefused(
                "file", name, "room on the disk", f"file: {name} could not be laid down ({wrong.strerror})."
            ) from wrong
        return path

    def clear(self, path: Path) -> None:
        """Take a file off the shelf."""
        shutil.rmtree(path.parent, ignore_errors=True)


def plain_name(name: str) -> str:
    """A name for a file that every disk takes, without a path in it; a plain name stays as it is."""
    last = re.sub(r"[^\w.-]+", "_", Path(name.replace("\\", "/")).name)
    return last[-80:].lstrip(".") or "recording"


class Recording:
    """Sound that is being recorded: 16-bit samples in, a FLAC file growing."""

    def __init__(self, path: Path, sample_hz: int) -> None:
        import soundfile

        if not LEAST_HZ <= sample_hz <= MOST_HZ:
            raise BadInput(
                "sample_hz",
                sample_hz,
                f"{LEAST_HZ} to {MOST_HZ}",
                f"sample_hz: the microphone gives {sample_hz} samples a second; allowed: {LEAST_HZ} to {MOST_HZ}.",
            )
        self.path = path
        self._file: Any = soundfile.SoundFile(str(path), "w", sample_hz, 1, subtype="PCM_16", format="FLAC")

    def write(self, samples: NDArray[np.int16]) -> None:
        """Add the next samples."""
        self._file.write(samples)

    def close(self) -> None:
        """No more will come; the file is whole."""
        self._file.close()
