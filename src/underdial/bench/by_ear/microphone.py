"""Listening at the bench: a clock heard live or from a file, the answer held until it is kept or let go.

What is expected comes from the clock's own movement where its train was counted; a usual train is never taken for a
counted one. A live clock is followed as its sound comes; what is said meanwhile is what would be said if it ended now.

The only state that lives between requests: a few clocks being heard, and the last answers with their recordings.
"""

from __future__ import annotations

import copy
import math
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from underdial.bench.by_ear.hearing_files import hear_with_recorder
from underdial.bench.by_ear.listening import Listened, expect
from underdial.bench.by_ear.recorders import InUse, compare_by_frames, recorder_in_use, told_of_recorder, with_recorder
from underdial.bench.clock.drawing import movement_of
from underdial.bench.shop import ClockPage, Shop, clock_page
from underdial.capture import system_clock
from underdial.capture.recording import Recording, Shelf
from underdial.errors import BadInput, NotFound, RuleBroken
from underdial.listening import rate_fit
from underdial.listening.follower import Follower
from underdial.listening.hearing import UNKNOWN_RECORDER, Heard, hear, too_slow
from underdial.record.recorder import Recorder
from underdial.uncertain import Uncertain
from underdial.units import Quantity

MOST_LIVE, MOST_HELD = 4, 8
_MOST_LIVE_S = 4.0 * 3600.0
# A recording that nothing was added to for so long was left.
_LEFT_S = 300.0
# What is said meanwhile is worked out anew after so much more sound.
_SAID_EVERY_S = 4.0
# How loud it was is drawn from so many pieces of the last seconds.
LOUD_SPAN_S, _LOUD_PIECE_S = 8.0, 0.01
# Sound that is missing against this machine's clock beyond both was lost on the way; a device's own clock is never so
# far out.
_LOST_S, _LOST_RATIO = 0.3, 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What is said on the page before listening; beats and lift are of this movement, position and wind of this
    recording.
    """

    beats_per_hour: float | None = None
    lift_deg: float | None = None
    lift_u_deg: float | None = None
    position: str | None = None
    since_winding_h: float | None = None
    recorder: str | None = None
    temperature_deg_c: float | None = None


@dataclass(slots=True)
class Held:
    """An answer with its recording, until it is kept or let go; `live` when the browser heard it, `compared` what its
    frames told of the recorder.
    """

    tag: str
    told: Told
    listened: Listened
    path: Path
    live: bool = False
    compared: Recorder | None = None
    kept: bool = False


@dataclass(slots=True)
class _Live:
    tag: str
    told: Told
    given: dict[str, Any]
    sample_hz: int
    follower: Follower
    recording: Recording
    began_at: Any
    last_at: Any
    used: InUse | None = None
    frames_count: int = 0
    said_s: float = 0.0
    stamps: list[tuple[int, float]] = field(default_factory=list)
    loud: list[float] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)


@dataclass(slots=True)
class Listener:
    """The clocks being heard and the answers held, each by a word that only its page knows.

    `steady_s` is a clock for spans, `wander_s` how far it may wander from network time (None when nothing keeps it).
    """

    live: OrderedDict[str, _Live] = field(default_factory=OrderedDict)
    held: OrderedDict[str, Held] = field(default_factory=OrderedDict)
    shelf: Shelf = field(default_factory=Shelf)
    lock: threading.Lock = field(default_factory=threading.Lock)
    steady_s: Callable[[], float] = system_clock.steady_s
    wander_s: Callable[[], float | None] = system_clock.wander_s

    def begin(self, shop: Shop, tag: str, told: Told, *, sample_hz: int) -> str:
        """Begin to hear a clock; RuleBroken when too many are being heard."""
        page = clock_page(shop, tag)
        used = (
            recorder_in_use(shop, device=told.recorder, sample_hz=sample_hz, temperature_deg_c=told.temperature_deg_c)
            if told.recorder
            else None
        )
        given = with_recorder(expected_of(page, told), used)
        expected, _, _ = expect(**given)
        now = shop.now()
        with self.lock:
            for word, one in list(self.live.items()):
                if (now - one.last_at).total_seconds() > _LEFT_S:
                    self._let_go(word)
            if len(self.live) >= MOST_LIVE:
                raise RuleBroken(
                    "listen",
                    tag,
                    f"up to {MOST_LIVE} at once",
                    f"listen: {MOST_LIVE} clocks are being listened to already; stop one of them first.",
                )
            count = expected.beats_per_hour.value if expected.beats_per_hour else None
            recording = Recording(self.shelf.place(f"heard-{now:%Y-%m-%d-%H%M}.flac"), sample_hz)
            word = secrets.token_hex(8)
            self.live[word] = _Live(
                page.clock.tag, told, given, sample_hz, Follower(sample_hz, count), recording, now, now, used
            )
        return word

    def take(self, shop: Shop, tag: str, word: str, block: bytes, *, first_frame: int) -> dict[str, Any]:
        """Take the next 16-bit samples; how much was heard and, every few seconds, the answer if it ended now.

        A block that was taken already is taken for said twice; RuleBroken when one before it is missing.
        """
        one = self._live(tag, word)
        if len(block) % 2:
            raise BadInput(
                "block",
                f"{len(block)} bytes",
                "16-bit samples",
                "block: half a sample came; send whole 16-bit samples.",
            )
        samples = np.frombuffer(block, dtype="<i2")
        with one.lock:
            if first_frame > one.frames_count:
                raise RuleBroken(
                    "first",
                    str(first_frame),
                    str(one.frames_count),
                    "listen: some sound was lost on the way here; stop, and listen again.",
                )
            samples = samples[one.frames_count - first_frame :]
            if (one.frames_count + samples.size) / one.sample_hz > _MOST_LIVE_S:
                raise RuleBroken(
                    "listen",
                    tag,
                    "up to 4 h",
                    "listen: four hours are the most that is taken here; stop and keep. Give a longer recording as a "
                    "file.",
                )
            one.recording.write(samples.astype(np.int16))
            one.follower.feed(samples.astype(np.float32) / np.float32(32768.0))
            one.frames_count += samples.size
            one.last_at = shop.now()
            one.stamps.append((one.frames_count, self.steady_s()))
            _keep_loud(one, samples)
            heard_s = one.frames_count / one.sample_hz
            told = {"heard_s": heard_s, "loud": tuple(one.loud), "lost_s": _lost_s(one), "listened": None}
            if heard_s - one.said_s < _SAID_EVERY_S:
                return told
            one.said_s = heard_s
            return {**told, "listened": _by_recorder(_concluded(copy.deepcopy(one.follower), one.given), one)}

    def stop(self, tag: str, word: str) -> str:
        """End a recording and hold its answer; the word it is held under."""
        one = self._live(tag, word)
        with self.lock:
            self.live.pop(word, None)
        with one.lock:
            one.recording.close()
            if not one.frames_count:
                self.shelf.clear(one.recording.path)
                raise BadInput(
                    "listen",
                    "nothing",
                    "sound from the microphone",
                    "listen: no sound came from the microphone; see that it is switched on, and listen again.",
                )
            compared = self._compared(one)
            if compared is not None:
                one.used = InUse(compared, Uncertain(compared.ppm, compared.u_ppm))
            listened = _by_recorder(_concluded(one.follower, with_recorder(one.given, one.used)), one)
        return self._hold(Held(one.tag, one.told, listened, one.recording.path, live=True, compared=compared))

    def drop(self, tag: str, word: str) -> None:
        """End a recording and keep nothing of it."""
        self._live(tag, word)
        with self.lock:
            self._let_go(word)

    def hear_file(self, shop: Shop, tag: str, told: Told, source: BinaryIO, *, name: str) -> str:
        """Listen to a file and hold its answer; the word it is held under."""
        page = clock_page(shop, tag)
        path = self.shelf.lay(source, name)
        try:
            listened = hear_with_recorder(
                path,
                shop=shop,
                recorder=told.recorder,
                temperature_deg_c=told.temperature_deg_c,
                **expected_of(page, told),
            )
        except Exception:
            self.shelf.clear(path)
            raise
        return self._hold(Held(page.clock.tag, told, listened, path))

    def find(self, tag: str, word: str) -> Held:
        """The answer held under a word; NotFound when it is no longer held."""
        found = self.held.get(word)
        if found is None or found.tag != tag:
            raise NotFound(
                "listen",
                word,
                "one of the last answers",
                "listen: this answer is no longer held; listen again, or see the readings that were kept.",
            )
        return found

    def _compared(self, one: _Live) -> Recorder | None:
        """What the frames of this recording tell of its recorder, where that is surer than what was known."""
        if not one.told.recorder or _lost_s(one) > 0.0:
            return None
        found = compare_by_frames(
            device=one.told.recorder,
            sample_hz=one.sample_hz,
            frames_count=[frames for frames, _ in one.stamps],
            stamps_s=[at for _, at in one.stamps],
            wander_s=self.wander_s(),
            at=one.last_at,
            temperature_deg_c=one.told.temperature_deg_c,
        )
        known_u = one.used.now_ppm.u if one.used is not None else UNKNOWN_RECORDER.u
        return found if found is not None and found.u_ppm < known_u else None

    def _live(self, tag: str, word: str) -> _Live:
        found = self.live.get(word)
        if found is None or found.tag != tag:
            raise NotFound(
                "listen", word, "a clock being listened to", "listen: this recording has ended; listen again."
            )
        return found

    def _let_go(self, word: str) -> None:
        gone = self.live.pop(word, None)
        if gone is not None:
            gone.recording.close()
            self.shelf.clear(gone.recording.path)

    def _hold(self, held: Held) -> str:
        word = secrets.token_hex(8)
        with self.lock:
            self.held[word] = held
            while len(self.held) > MOST_HELD:
                self.shelf.clear(self.held.popitem(last=False)[1].path)
        return word


def expected_of(page: ClockPage, told: Told) -> dict[str, Any]:
    """What to expect of this clock, as `expect` takes it: from its counted train, or from what is told."""
    movement = movement_of(page)
    given: dict[str, Any] = {"position": told.position}
    counted = (
        movement is not None and bool(page.clock.movement.get("train")) and bool(page.clock.movement.get("escape"))
    )
    if told.beats_per_hour is not None:
        given["beats_per_hour"] = (told.beats_per_hour, 0.0)
    elif movement is not None and movement.oscillator.kind == "torsion":
        given["beats_per_hour"] = (movement.oscillator.beats_per_hour, 0.0)
    if movement is not None and counted and movement.oscillator.kind != "torsion":
        given |= {
            "train": str(page.clock.movement["train"]),
            "escape_count": movement.escapement.teeth_count,
            "hour_arbor": movement.train.hour_arbor,
        }
    if told.lift_deg is not None:
        given["lift"] = Quantity(math.radians(told.lift_deg), math.radians(told.lift_u_deg or 0.0), "angle")
    if movement is not None and movement.oscillator.kind in ("balance", "pendulum"):
        given["oscillator"] = movement.oscillator.kind
    return given


def _keep_loud(one: _Live, samples: np.ndarray[Any, np.dtype[np.int16]]) -> None:
    """The largest swing of each hundredth of a second, of the last seconds only."""
    piece = max(int(_LOUD_PIECE_S * one.sample_hz), 1)
    whole = np.abs(samples[: samples.size // piece * piece].astype(np.int32)).reshape(-1, piece)
    one.loud.extend((whole.max(axis=1) / 32768.0).tolist() if whole.size else [])
    del one.loud[: max(0, len(one.loud) - int(LOUD_SPAN_S / _LOUD_PIECE_S))]


def _lost_s(one: _Live) -> float:
    """How much sound is missing against this machine's clock [s]; nought while it may be on its way still."""
    if len(one.stamps) < 12:
        return 0.0
    late = [at - frames / one.sample_hz for frames, at in one.stamps]
    lost = min(late[-6:]) - min(late[:6])
    return lost if lost > max(_LOST_S, _LOST_RATIO * (one.stamps[-1][1] - one.stamps[0][1])) else 0.0


def _by_recorder(listened: Listened, one: _Live) -> Listened:
    return told_of_recorder(listened, one.used, device=one.told.recorder, sample_hz=one.sample_hz)


def _concluded(follower: Follower, given: Mapping[str, Any]) -> Listened:
    """What may be said of a follower that hears no more."""
    expected, escape_count, position = expect(**given)
    count = expected.beats_per_hour.value if expected.beats_per_hour else None
    slow = too_slow(count) if count is not None else None
    if slow is not None:
        return Listened(
            Heard(slow, follower.heard_s, nominal_from=expected.nominal_from, nominal_beats_per_hour=count),
            expected,
            escape_count,
            position,
        )
    follower.close()
    heard = hear(follower, expected)
    log = follower.now()
    if heard.refusal is not None and log is not None and log.times_s.size >= rate_fit.LEAST_BEATS:
        # What cannot be signed can still be looked at: it shows what is wrong.
        heard = replace(heard, log=log, fit=rate_fit.fit_rate(log))
    return Listened(heard, expected, escape_count, position)
