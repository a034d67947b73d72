"""A film or sound on its way into the record: laid down as it comes, heard beside the pages, looked after until it is
done.

Hearing twenty minutes takes minutes, so it runs by itself and its page asks how far it is; the tablet may sleep
meanwhile. One recording is heard at a time. The only state that lives between requests: the recordings being taken in,
and what came of the last ones.
"""

from __future__ import annotations

import logging
import secrets
import shutil
import threading
from collections import OrderedDict
from dataclasses import dataclass, field
from pathlib import Path

from underdial.bench.filming import MEDIA_TYPES, Filmed, take_in_recording
from underdial.bench.heard_apart import hear_apart
from underdial.bench.shop import Shop, clock_page
from underdial.capture import speech
from underdial.capture.film import read_recording
from underdial.capture.recording import Shelf
from underdial.errors import BadInput, MachineRefused, NotFound, RuleBroken, UnderdialError
from underdial.papers.sentences import clock_words

MOST_REMEMBERED, MOST_WAITING = 16, 4
_FOLDER = ".incoming"
# What a cut left half laid down goes after so long.
_LEFT_BEHIND_S = 48 * 3600.0
_SPARE_BYTES = 500_000_000


@dataclass(slots=True)
class Taking:
    """One recording being taken in: what is done now (`waits`, `heard`, `stills`), the part that is done, and how it
    ended.
    """

    tag: str
    name: str
    path: Path
    lasts_s: float | None
    doing: str = "waits"
    done_ratio: float = 0.0
    filmed: Filmed | None = None
    refused: str | None = None
    stopped: bool = False

    @property
    def over(self) -> bool:
        """Whether it has ended, well or not."""
        return self.filmed is not None or self.refused is not None

    @property
    def at_words(self) -> str:
        """Where in the recording it is, in minutes and seconds."""
        return clock_words(self.done_ratio * (self.lasts_s or 0.0))

    @property
    def lasts_words(self) -> str:
        """How long the recording lasts, in minutes and seconds."""
        return clock_words(self.lasts_s)


@dataclass(slots=True)
class Films:
    """The recordings being taken in at this shop, each by a word that only its page knows."""

    shop: Shop
    takings: OrderedDict[str, Taking] = field(default_factory=OrderedDict)
    lock: threading.Lock = field(default_factory=threading.Lock)
    one_at_a_time: threading.Lock = field(default_factory=threading.Lock)
    _shelf: Shelf | None = None

    def place(self, tag: str, name: str, *, has_captions: bool, size_bytes: int | None = None) -> Path:
        """Where the bytes of a recording are laid as they come. Raises before they come when they could not be used."""
        clock_page(self.shop, tag)
        if Path(name).suffix.lower() not in MEDIA_TYPES:
            raise BadInput(
                "file",
                name,
                "vtt srt txt wav flac ogg mp3 m4a mp4 mov webm mkv",
                f"file: {name} is neither captions nor sound nor film.",
            )
        if not has_captions and not speech.free_recogniser_there():
            raise MachineRefused(
                "speech",
                "faster-whisper",
                speech.INSTALL_FREE,
                f"speech: no recogniser for free talk is installed; {speech.INSTALL_FREE} brings one, or give the "
                "captions another recogniser made with the film.",
            )
        with self.lock:
            if sum(not one.over for one in self.takings.values()) >= MOST_WAITING:
                raise RuleBroken(
                    "film",
                    name,
                    f"up to {MOST_WAITING} at once",
                    f"film: {MOST_WAITING} recordings are being taken in already; wait until one of them is done.",
                )
            free = shutil.disk_usage(self.shop.folder).free
            # The bytes lie there twice for a moment: as they came, and as they are kept.
            if size_bytes is not None and 2 * size_bytes + _SPARE_BYTES > free:
                raise MachineRefused(
                    "film",
                    name,
                    "room on the disk",
                    f"film: {name} needs {2 * size_bytes / 1e9:.1f} GB while it is taken in, and {free / 1e9:.1f} GB "
                    "are free.",
                )
            if self._shelf is None:
                self._shelf = Shelf.under(_swept(self.shop.folder / _FOLDER, self.shop.now().timestamp()))
            return self._shelf.place(name)

    def begin(self, tag: str, path: Path, *, name: str, captions_text: bytes | None = None) -> str:
        """Begin to take in a recording that was laid down; the word of its page. Raises BadInput for what is no
        recording.
        """
        try:
            held = read_recording(path)
        except UnderdialError:
            self.drop(path)
            raise
        taking = Taking(tag, name, path, held.lasts_s)
        word = secrets.token_hex(8)
        with self.lock:
            self.takings[word] = taking
            while (
                len(self.takings) > MOST_REMEMBERED
                and (over := next((key for key, one in self.takings.items() if one.over), None)) is not None
            ):
                del self.takings[over]
        threading.Thread(target=self._take, args=(taking, captions_text), daemon=True, name="taking in").start()
        return word

    def find(self, tag: str, word: str) -> Taking:
        """One recording of this clock; NotFound when the program was started anew since."""
        found = self.takings.get(word)
        if found is None or found.tag != tag:
            raise NotFound(
                "film",
                word,
                "a recording being taken in",
                "film: nothing is being taken in under this address; what was kept stands on the page As found.",
            )
        return found

    def running(self, tag: str) -> list[tuple[str, Taking]]:
        """The recordings of a clock that are still being taken in."""
        return [(word, one) for word, one in self.takings.items() if one.tag == tag and not one.over]

    def stop(self, tag: str, word: str) -> None:
        """Stop; while it is heard nothing is kept, later what was heard is."""
        self.find(tag, word).stopped = True

    def drop(self, path: Path) -> None:
        """Take the bytes of a recording away that is not wanted any more."""
        if self._shelf is not None:
            self._shelf.clear(path)

    def _take(self, taking: Taking, captions_text: bytes | None) -> None:
        def progress(doing: str, done_ratio: float) -> None:
            taking.doing, taking.done_ratio = doing, done_ratio

        try:
            with self.one_at_a_time:
                if taking.stopped:
                    raise RuleBroken(
                        "film",
                        taking.name,
                        "a film heard to its end",
                        f"film: {taking.name} was stopped before it was heard; nothing of it was kept.",
                    )
                taking.doing = "heard"
                taking.filmed = take_in_recording(
                    self.shop,
                    taking.tag,
                    taking.path,
                    name=taking.name,
                    captions_text=captions_text,
                    by=self.shop.settings.repairer,
                    progress=progress,
                    stop=lambda: taking.stopped,
                    hear=hear_apart,
                )
        except UnderdialError as wrong:
            taking.refused = wrong.message
        except Exception:
            # A fault of ours ends the thread; its page must not wait for ever.
            taking.refused = (
                f"A fault of ours while {taking.name} was taken in. What was confirmed is safe. The "
                "window in which Underdial was started names the place."
            )
            logging.getLogger("underdial.bench").exception("a fault of ours")
        finally:
            self.drop(taking.path)


def _swept(folder: Path, now_s: float) -> Path:
    """The folder of incoming recordings, without what a cut left there two days ago or longer."""
    try:
        folder.mkdir(exist_ok=True)
        for one in folder.iterdir():
            if now_s - one.stat().st_mtime > _LEFT_BEHIND_S:
                shutil.rmtree(one, ignore_errors=True)
    except OSError as wrong:
        raise MachineRefused(
            "folder",
            str(folder),
            "a folder that can be written",
            f"folder: {folder} cannot be written ({wrong.strerror or wrong}).",
        ) from wrong
    return folder
