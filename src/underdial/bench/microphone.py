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
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from underdial.bench.drawing import movement_of
from underdial.bench.listening import Listened, expect, listen_answer, listen_file
from underdial.bench.looking import attach_file
from underdial.bench.shop import ClockPage, Shop, clock_page, job
from underdial.capture.recording import Recording, Shelf
from underdial.errors import BadInput, NotFound, RuleBroken
from underdial.listening.follower import Follower
from underdial.listening.hearing import Heard, hear, too_slow
from underdial.record.finding import Evidence
from underdial.record.measurement import Measurement
from underdial.units import Quantity

MOST_LIVE, MOST_HELD = 4, 8
_MOST_LIVE_S = 4.0 * 3600.0
# A recording that nothing was added to for so long was left.
_LEFT_S = 300.0
# What is said meanwhile is worked out anew after so much more sound.
_SAID_EVERY_S = 4.0
_INSTRUMENT = "microphone"
_MEDIA = {".wav": "audio/wav", ".flac": "audio/flac", ".ogg": "audio/ogg", ".mp3": "audio/mpeg", ".m4a": "audio/mp4"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What is said on the page before listening; beats and lift are of this movement, position and wind of this recording."""

    beats_per_hour: float | None = None
    lift_deg: float | None = None
    lift_u_deg: float | None = None
    position: str | None = None
    since_winding_h: float | None = None


@dataclass(slots=True)
class Held:
    """An answer with its recording, until it is kept or let go."""

    tag: str
    told: Told
    listened: Listened
    path: Path
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
    frames_count: int = 0
    said_s: float = 0.0
    lock: threading.Lock = field(default_factory=threading.Lock)


@dataclass(slots=True)
class Listener:
    """The clocks being heard and the answers held, each by a word that only its page knows."""

    live: OrderedDict[str, _Live] = field(default_factory=OrderedDict)
    held: OrderedDict[str, Held] = field(default_factory=OrderedDict)
    shelf: Shelf = field(default_factory=Shelf)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def begin(self, shop: Shop, tag: str, told: Told, *, sample_hz: int) -> str:
        """Begin to hear a clock; RuleBroken when too many are being heard."""
        page = clock_page(shop, tag)
        given = expected_of(page, told)
        expected, _, _ = expect(**given)
        now = shop.now()
        with self.lock:
            for word, one in list(self.live.items()):
                if (now - one.last_at).total_seconds() > _LEFT_S:
                    self._let_go(word)
            if len(self.live) >= MOST_LIVE:
                raise RuleBroken("listen", tag, f"up to {MOST_LIVE} at once", f"listen: {MOST_LIVE} clocks are being listened to already; stop one of them first.")
            count = expected.beats_per_hour.value if expected.beats_per_hour else None
            recording = Recording(self.shelf.place(f"heard-{now:%Y-%m-%d-%H%M}.flac"), sample_hz)
            word = secrets.token_hex(8)
            self.live[word] = _Live(page.clock.tag, told, given, sample_hz, Follower(sample_hz, count), recording, now, now)
        return word

    def take(self, shop: Shop, tag: str, word: str, block: bytes, *, first_frame: int) -> dict[str, Any]:
        """Take the next 16-bit samples; how much was heard and, every few seconds, the answer if it ended now.

        A block that was taken already is taken for said twice; RuleBroken when one before it is missing.
        """
        one = self._live(tag, word)
        if len(block) % 2:
            raise BadInput("block", f"{len(block)} bytes", "16-bit samples", "block: half a sample came; send whole 16-bit samples.")
        samples = np.frombuffer(block, dtype="<i2")
        with one.lock:
            if first_frame > one.frames_count:
                raise RuleBroken("first", str(first_frame), str(one.frames_count), "listen: some sound was lost on the way here; stop, and listen again.")
            samples = samples[one.frames_count - first_frame:]
            if (one.frames_count + samples.size) / one.sample_hz > _MOST_LIVE_S:
                raise RuleBroken("listen", tag, "up to 4 h", "listen: four hours are the most that is taken here; stop and keep. Give a longer recording as a file.")
            one.recording.write(samples.astype(np.int16))
            one.follower.feed(samples.astype(np.float32) / np.float32(32768.0))
            one.frames_count += samples.size
            one.last_at = shop.now()
            heard_s = one.frames_count / one.sample_hz
            if heard_s - one.said_s < _SAID_EVERY_S:
                return {"heard_s": heard_s, "listened": None}
            one.said_s = heard_s
            return {"heard_s": heard_s, "listened": _concluded(copy.deepcopy(one.follower), one.given)}

    def stop(self, tag: str, word: str) -> str:
        """End a recording and hold its answer; the word it is held under."""
        one = self._live(tag, word)
        with self.lock:
            self.live.pop(word, None)
        with one.lock:
            one.recording.close()
            if not one.frames_count:
                self.shelf.clear(one.recording.path)
                raise BadInput("listen", "nothing", "sound from the microphone", "listen: no sound came from the microphone; see that it is switched on, and listen again.")
            listened = _concluded(one.follower, one.given)
        return self._hold(Held(one.tag, one.told, listened, one.recording.path))

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
            listened = listen_file(path, **expected_of(page, told))
        except Exception:
            self.shelf.clear(path)
            raise
        return self._hold(Held(page.clock.tag, told, listened, path))

    def find(self, tag: str, word: str) -> Held:
        """The answer held under a word; NotFound when it is no longer held."""
        found = self.held.get(word)
        if found is None or found.tag != tag:
            raise NotFound("listen", word, "one of the last answers", "listen: this answer is no longer held; listen again, or see the readings that were kept.")
        return found

    def _live(self, tag: str, word: str) -> _Live:
        found = self.live.get(word)
        if found is None or found.tag != tag:
            raise NotFound("listen", word, "a clock being listened to", "listen: this recording has ended; listen again.")
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
    counted = movement is not None and bool(page.clock.movement.get("train")) and bool(page.clock.movement.get("escape"))
    if told.beats_per_hour is not None:
        given["beats_per_hour"] = (told.beats_per_hour, 0.0)
    elif movement is not None and movement.oscillator.kind == "torsion":
        given["beats_per_hour"] = (movement.oscillator.beats_per_hour, 0.0)
    if movement is not None and counted and movement.oscillator.kind != "torsion":
        given |= {"train": str(page.clock.movement["train"]), "escape_count": movement.escapement.teeth_count, "hour_arbor": movement.train.hour_arbor}
    if told.lift_deg is not None:
        given["lift"] = Quantity(math.radians(told.lift_deg), math.radians(told.lift_u_deg or 0.0), "angle")
    if movement is not None and movement.oscillator.kind in ("balance", "pendulum"):
        given["oscillator"] = movement.oscillator.kind
    return given


def keep_heard(shop: Shop, listener: Listener, tag: str, word: str, *, by: str = "repairer") -> int:
    """Put an accepted answer into the record: its recording, and each reading with its error; how many readings.

    Keeping twice keeps once. RuleBroken when the recording was refused: it carries no number.
    """
    held = listener.find(clock_page(shop, tag).clock.tag, word)
    answer = listen_answer(held.listened)
    if held.listened.heard.refusal is not None:
        raise RuleBroken("listen", word, "a recording that was accepted", f"listen: there is no reading to keep. {held.listened.heard.refusal.sentence}")
    with listener.lock:
        if held.kept:
            return 0
        held.kept = True
    try:
        with held.path.open("rb") as source:
            sound = attach_file(shop, tag, source, name=held.path.name, kind="sound", media_type=_MEDIA.get(held.path.suffix.lower(), "application/octet-stream"),
                                caption=f"{answer['duration_s']:.0f} s heard", by=by)
        readings = _readings(answer, held.told, sound.id)
        with job(shop, tag, by=by) as at:
            for one in readings:
                at.add(replace(one, visit_id=at.visit_id, taken_at=at.writer.at, standing="confirmed"))
    except Exception:
        held.kept = False
        raise
    return len(readings)


def _readings(answer: Mapping[str, Any], told: Told, sound_id: str) -> list[Measurement]:
    """The readings of an accepted answer: a rate where the count is known, else the beats that were heard."""
    rows: list[tuple[str, str, Any, Any]] = [
        ("rate", "s/d", answer["rate_s_per_day"], answer["rate_u_s_per_day"]),
        ("beat_rate", "/h", answer["beats_per_hour"] if answer["rate_s_per_day"] is None else None, answer["beats_per_hour_u"]),
        ("beat_error", "ms", answer["beat_error_ms"], answer["beat_error_u_ms"]),
        ("half_arc", "deg", answer["amplitude_deg"], answer["amplitude_u_deg"]),
    ]
    kept = []
    for quantity, unit, value, u in rows:
        if value is not None:
            # Two figures of the error, and the value to the same place: more would say more than was heard.
            places = 1 - math.floor(math.log10(u))
            kept.append(Measurement(
                quantity=quantity, of="balance" if quantity == "half_arc" else "movement", value=round(float(value), places), u=round(float(u), places), unit=unit,
                position=told.position, since_winding_h=told.since_winding_h, instrument=_INSTRUMENT,
                evidence=(Evidence(kind="sound", source=sound_id, start_s=0.0, end_s=float(answer["duration_s"])),)))
    return kept


def _concluded(follower: Follower, given: Mapping[str, Any]) -> Listened:
    """What may be said of a follower that hears no more."""
    expected, escape_count, position = expect(**given)
    count = expected.beats_per_hour.value if expected.beats_per_hour else None
    slow = too_slow(count) if count is not None else None
    if slow is not None:
        return Listened(Heard(slow, follower.heard_s, nominal_from=expected.nominal_from, nominal_beats_per_hour=count), expected, escape_count, position)
    follower.close()
    return Listened(hear(follower, expected), expected, escape_count, position)
