"""A film or sound on its way into the record: laid down as it comes, heard beside the pages, looked after until it is
done.

Hearing twenty minutes takes minutes, so it runs by itself and its page asks how far it is; the tablet may sleep
meanwhile. One recording is heard at a time. The only state that lives between requests: the recordings being taken in,
and what came of the last ones.

What was laid down whole when the program ended is taken up again by the next start under the same word, unless it was
begun twice and the program ended both times.

Never here: how a recording is heard, and how it and its note lie on the disk.
"""

from __future__ import annotations

import logging
import shutil
import threading
from collections import OrderedDict
from dataclasses import dataclass, field, replace
from pathlib import Path

from underdial.bench.as_found.filming import (
    MEDIA_TYPES,
    Filmed,
    go_on_with_recording,
    keep_unfinished,
    read_look_over,
    take_in_recording,
)
from underdial.bench.as_found.heard_apart import HearingEnded, hear_apart
from underdial.bench.as_found.laid_down import Heard, Laid, clear, lay_down, left_whole, new_place, sweep
from underdial.bench.as_found.looking import TakenIn
from underdial.bench.shop import Shop, clock_page
from underdial.capture import speech
from underdial.capture.film import NotFinished, read_recording
from underdial.errors import BadInput, MachineRefused, NotFound, RuleBroken, UnderdialError
from underdial.papers.sentences import clock_words
from underdial.record.visit import check_in_shop

MOST_REMEMBERED, MOST_WAITING = 16, 4
MOST_BEGUN = 2
_FOLDER = ".incoming"
_SPARE_BYTES = 500_000_000
# The notes are read in far less; a page that is asked for meanwhile waits so long.
_TAKEN_UP_S = 5.0


@dataclass(slots=True)
class Taking:
    """One recording being taken in: what is done now (`waits`, `heard`, `stills`), the part that is done, and how it
    ended.
    """

    tag: str
    name: str
    laid: Laid
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
    _placed: set[Path] = field(default_factory=set)
    _taking_up: threading.Thread | None = None
    _closed: bool = False

    def place(self, tag: str, name: str, *, has_captions: bool, size_bytes: int | None = None) -> Path:
        """Where the bytes of a recording are laid as they come. Raises before they come when they could not be used."""
        check_in_shop(clock_page(self.shop, tag).visit)
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
            path = new_place(self._folder, name)
            self._placed.add(path)
        return path

    def begin(self, tag: str, path: Path, *, name: str, captions_text: bytes | None = None) -> str:
        """Begin to take in a recording that came whole; the word of its page. Raises BadInput for what is no recording,
        MachineRefused when it cannot be forced to the disk.
        """
        try:
            held = read_recording(path)
        except NotFinished as wrong:
            try:
                keep_unfinished(self.shop, tag, path, name)
            finally:
                self.drop(path)
            raise BadInput(
                wrong.field,
                name,
                str(wrong.allowed),
                f"{_by_name(wrong, path, name)} It is kept with the clock as it came.",
            ) from wrong
        except UnderdialError:
            self.drop(path)
            raise
        try:
            laid = lay_down(path, tag=tag, name=name, captions_text=captions_text)
        except UnderdialError:
            self.drop(path)
            raise
        self._placed.discard(path)
        taking = Taking(tag, laid.note.name, laid, held.lasts_s)
        self._remember(taking)
        self._start(taking)
        return laid.note.word

    def take_up(self) -> None:
        """Take up what was laid down whole when the program ended, beside the pages."""
        self._closed = False
        self._taking_up = threading.Thread(target=self._take_up, daemon=True, name="taking up")
        self._taking_up.start()

    def close(self) -> None:
        """The program ends in order: what is being taken in is no cause of that, and what came in part goes."""
        with self.lock:
            self._closed = True
            running = [one for one in self.takings.values() if one.doing != "waits" and not one.over]
            placed, self._placed = self._placed, set()
        for path in placed:
            clear(path)
        for taking in running:
            _put_by(taking)

    def find(self, tag: str, word: str) -> Taking:
        """One recording of this clock; NotFound when it ended before the program was started anew."""
        if word not in self.takings and self._taking_up is not None:
            self._taking_up.join(_TAKEN_UP_S)
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
        return [(word, one) for word, one in list(self.takings.items()) if one.tag == tag and not one.over]

    def stop(self, tag: str, word: str) -> None:
        """Stop for good; while it is heard nothing is kept, later what was heard is."""
        taking = self.find(tag, word)
        taking.stopped = True
        if not taking.over:
            taking.laid.forget()

    def drop(self, path: Path) -> None:
        """Take the bytes away of a recording that is not to be taken in."""
        clear(path)
        self._placed.discard(path)

    @property
    def _folder(self) -> Path:
        return self.shop.folder / _FOLDER

    def _remember(self, taking: Taking) -> None:
        with self.lock:
            self.takings[taking.laid.note.word] = taking
            while (
                len(self.takings) > MOST_REMEMBERED
                and (over := next((key for key, one in self.takings.items() if one.over), None)) is not None
            ):
                del self.takings[over]

    def _start(self, taking: Taking) -> None:
        threading.Thread(target=self._take, args=(taking,), daemon=True, name="taking in").start()

    def _take_up(self) -> None:
        """What lies there, each with its page, then begun; what nobody took up goes when its time is over."""
        not_again: list[Laid] = []
        try:
            for laid in left_whole(self._folder):
                taking = Taking(laid.note.tag, laid.note.name, laid, None)
                if laid.note.begun_count >= MOST_BEGUN:
                    taking.refused = _not_again(laid)
                    laid.let_go()
                    not_again.append(laid)
                self._remember(taking)
                if not taking.over:
                    self._start(taking)
            sweep(self._folder, self.shop.now().timestamp())
            with self.lock:
                for laid in not_again:
                    if not laid.path.exists():
                        self.takings.pop(laid.note.word, None)
        except Exception:
            # A fault of ours here must not keep the pages from opening; what lies there lies there still.
            logging.getLogger("underdial.bench").exception("a fault of ours")

    def _take(self, taking: Taking) -> None:
        stays = False
        try:
            with self.one_at_a_time:
                if self._closed:
                    stays = True
                    return
                if taking.stopped:
                    raise RuleBroken(
                        "film",
                        taking.name,
                        "a film heard to its end",
                        f"film: {taking.name} was stopped before it was heard; nothing of it was kept.",
                    )
                if (refused := self._not_now(taking)) is not None:
                    stays, taking.refused = True, refused
                    return
                taking.doing = "heard"
                taking.filmed = self._taken_in(taking)
        except HearingEnded:
            stays = not taking.stopped
            _put_by(taking)
            taking.refused = (
                f"The hearing of {taking.name} was ended from outside; it begins again when Underdial is next started."
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
            if stays:
                taking.laid.let_go()
            else:
                taking.laid.clear()

    def _taken_in(self, taking: Taking) -> Filmed:
        """Take a recording in, or go on where the program ended once its look-over was kept."""
        laid, by = taking.laid, self.shop.settings.repairer

        def progress(doing: str, done_ratio: float) -> None:
            taking.doing, taking.done_ratio = doing, done_ratio

        if taking.lasts_s is None:
            taking.lasts_s = read_recording(laid.path).lasts_s
        if (taken := self._kept_before(laid)) is not None:
            taking.doing = "stills"
            return go_on_with_recording(
                self.shop,
                taking.tag,
                laid.path,
                taken,
                name=taking.name,
                by=by,
                progress=progress,
                stop=lambda: taking.stopped,
            )
        return take_in_recording(
            self.shop,
            taking.tag,
            laid.path,
            name=taking.name,
            captions_text=laid.captions(),
            by=by,
            progress=progress,
            stop=lambda: taking.stopped,
            hear=hear_apart,
            keeping=lambda taken: laid.keep_heard(
                Heard(
                    look_over_id=taken.look_over.id,
                    taken_at=taken.look_over.taken_at,
                    warnings=tuple(one for one in taken.warnings if one),
                )
            ),
        )

    def _kept_before(self, laid: Laid) -> TakenIn | None:
        """The look-over of a recording, when the record kept it before the program ended.

        The note was written a moment before the record: only the moment tells it from a later one of the same id.
        """
        heard = laid.note.heard
        taken = None if heard is None else read_look_over(self.shop, laid.note.tag, heard.look_over_id)
        if heard is None or taken is None:
            return None
        same = taken.look_over.taken_at == heard.taken_at and taken.look_over.file_name == laid.note.name
        return replace(taken, warnings=heard.warnings) if same else None

    def _not_now(self, taking: Taking) -> str | None:
        """Begin a recording, or say why it cannot be begun now and stays: its clock has gone or cannot be read, or the
        disk will not take its note.
        """
        try:
            clock_page(self.shop, taking.tag)
            taking.laid.begin()
        except UnderdialError as wrong:
            # The page of a clock that has gone does not open, so the log says it too.
            logging.getLogger("underdial.bench").warning("%s is not taken in: %s", taking.name, wrong.message)
            return (
                f"film: {taking.name} cannot be taken in now and is tried again when Underdial is next started; "
                f"{wrong.message}"
            )
        return None


def _by_name(wrong: UnderdialError, path: Path, name: str) -> str:
    """A sentence with the name that the file had where it came from."""
    return wrong.message.replace(path.name, name)


def _not_again(laid: Laid) -> str:
    """Why a recording is not begun once more, and what can be done."""
    kept = "what was heard of it is kept, and " if laid.note.heard is not None else ""
    return (
        f"film: Underdial ended {MOST_BEGUN} times while {laid.note.name} was taken in, so it is not begun again; "
        f"{kept}its file lies for two days in {laid.path.parent}: hand it in in shorter pieces, or with captions that "
        "another recogniser made."
    )


def _put_by(taking: Taking) -> None:
    """Do not count the beginning of a recording that was cut off by no fault of its own."""
    try:
        taking.laid.put_by()
    except UnderdialError as wrong:
        logging.getLogger("underdial.bench").warning("%s: %s", taking.name, wrong)
