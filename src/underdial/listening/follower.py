"""A clock followed live: blocks of sound in, beats out, in memory that does not grow with the hours.

The opening minute is kept until one clock is locked on to; then each twenty seconds are timed by the templates, the
prediction of the next beat is led along, and the sound is forgotten. When the beats are no longer where they should
be, their place is looked for anew: found elsewhere, a new run begins (the clock stood and went on, or sound was lost).

The same follower serves a file and a microphone: feed blocks of any size, look at `now()` whenever you like, `close()`
at the end. Limits: one channel of 8 to 48 kHz; the beat may wander by a tenth of itself in twenty seconds, not more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from underdial.listening import finding, period_search, tick_template
from underdial.listening.lock import Lock, lock
from underdial.listening.rate_fit import BeatLog
from underdial.listening.recording_faults import flat_tops
from underdial.listening.refusal import Refusal, refuse
from underdial.listening.steady_lines import without_rumble, without_steady_lines

Array = NDArray[np.float64]
Floats = NDArray[np.float32]

OPENING_S = 64.0
_STRIDE_S = 20.0
_MOST_ROWS = 1 << 16
_COLUMNS = ("times_s", "numbers", "kinds", "runs", "strength", "counts")


@dataclass(slots=True)
class Run:
    """Where the next beats are expected: time of number 0 [s], beat [s], and which run this is."""

    zero_s: float
    beat_s: float
    number: int


@dataclass(slots=True)
class Follower:
    """Listens to one channel; `beats_per_hour` is the count to expect, if it is known."""

    sample_hz: int
    beats_per_hour: float | None = None
    locked: Lock | None = None
    why_not: Refusal | None = None
    heard_s: float = 0.0
    clipped_count: int = 0
    expected_count: int = 0
    _held: list[Floats] = field(default_factory=list)
    _held_count: int = 0
    _held_from_s: float = 0.0
    _rows: list[BeatLog] = field(default_factory=list)
    _merged: int = 1
    _run: Run | None = None

    def feed(self, block: Floats) -> None:
        """Take the next samples, of any number, scaled to -1 to 1."""
        self._held.append(np.asarray(block, dtype=np.float32))
        self._held_count += block.size
        self.heard_s += block.size / self.sample_hz
        want = OPENING_S if self.locked is None else _STRIDE_S + 2.0
        while self._held_count >= want * self.sample_hz:
            if self.locked is None:
                self._open()
            else:
                self._follow(_STRIDE_S)
            want = OPENING_S if self.locked is None else _STRIDE_S + 2.0

    def close(self) -> None:
        """No more sound will come: time what is still held."""
        # An opening that was refused before is not tried again on what is left of it alone.
        if (
            self.locked is None
            and self._held_count
            and not (self.why_not and self._held_count < 0.6 * OPENING_S * self.sample_hz)
        ):
            self._open()
        if self.locked is not None and self._held_count > 0.5 * self.sample_hz:
            self._follow(self._held_count / self.sample_hz)
        self._held, self._held_count = [], 0

    def try_now(self) -> bool:
        """Look for a clock in what has been heard so far, sooner than the opening is full; True when there is one."""
        if self.locked is None and self._held_count >= 8.0 * self.sample_hz:
            got = lock(self._samples(), self.sample_hz, self.beats_per_hour)
            if isinstance(got, Lock):
                self._take(got)
            else:
                self.why_not = got
        return self.locked is not None

    def now(self) -> BeatLog | None:
        """All beats so far, or None before there is a lock."""
        if not self._rows:
            return None
        if len(self._rows) > 1:
            self._rows = [_joined(self._rows)]
        return self._rows[0]

    def _samples(self) -> Floats:
        if len(self._held) > 1:
            self._held = [np.concatenate(self._held)]
        return self._held[0] if self._held else np.zeros(0, dtype=np.float32)

    def _open(self) -> None:
        samples = self._samples()[: int(OPENING_S * self.sample_hz)]
        got = lock(samples, self.sample_hz, self.beats_per_hour)
        if isinstance(got, Lock):
            self._take(got)
            return
        # The first refusal with a cause of its own is kept; faintness may pass.
        if self.why_not is None or self.why_not.reason_id in ("noisy", "no_beat", "too_short"):
            self.why_not = got
        self._forget(OPENING_S / 2.0)

    def _take(self, got: Lock) -> None:
        self.locked = got
        shift = self._held_from_s
        self._keep(BeatLog(got.log.times_s + shift, *(getattr(got.log, name) for name in _COLUMNS[1:])))
        self.expected_count += got.expected_count
        last = got.log.numbers[-1]
        recent = got.log.numbers >= last - 40
        late = got.log.times_s - got.beat_s * got.log.numbers - got.late_s * got.log.kinds
        self._run = Run(float(np.median(late[recent])) + shift, got.beat_s, 0)
        self._forget(max(float(got.log.times_s[-1]) - 0.3 * got.beat_s, 0.0))

    def _forget(self, seconds: float) -> None:
        samples = self._samples()
        drop = min(int(seconds * self.sample_hz), samples.size)
        # A view would keep the whole of the old sound alive.
        self._held = [samples[drop:].copy()]
        self._held_count = samples.size - drop
        self._held_from_s += drop / self.sample_hz

    def _follow(self, seconds: float) -> None:
        assert self.locked is not None
        assert self._run is not None
        samples = self._samples()
        self.clipped_count += (
            int(flat_tops(samples[: int(seconds * self.sample_hz)]).sum())
            if self.locked.faults.clipped_ratio > 0
            else 0
        )
        low, high = self._held_from_s, self._held_from_s + min(seconds, self._held_count / self.sample_hz)
        first, last = (
            math.floor((edge - self._run.zero_s) / self._run.beat_s)
            for edge in (low, low + self._held_count / self.sample_hz)
        )
        beats: Array = self._run.zero_s + self._run.beat_s * np.arange(first, last + 2, dtype=np.float64) - low
        samples = without_steady_lines(
            without_rumble(samples, self.sample_hz), self.sample_hz, beats, beat_s=self._run.beat_s
        )
        got = self._timed(samples, self._run, low, high)
        share = float(np.mean(got[0])) if got[0].size else 1.0
        if share < 0.6:
            got = self._relocked(samples, low, high, got)
        found, log = got
        # A clock that begins to go again near the end of a stretch is too short in it to be found: that half is heard
        # again with the next.
        latter = log.times_s > 0.5 * (low + high)
        passed = high - low if latter.any() and np.mean(found[latter]) > 0.3 else 0.5 * (high - low)
        self.expected_count += round(found.size * passed / max(high - low, 1e-9))
        self._keep(BeatLog(*(getattr(log, name)[found] for name in _COLUMNS)))
        self._lead(found, log)
        self._forget(passed)

    def _timed(self, samples: Floats, run: Run, low: float, high: float) -> tuple[NDArray[np.bool_], BeatLog]:
        """Time the beats of a run between two times; which were found, and all as a log."""
        assert self.locked is not None
        late = self.locked.late_s
        first = int(np.floor((low - run.zero_s) / run.beat_s)) - 1
        numbers = np.arange(first, int((high - run.zero_s) / run.beat_s) + 2)
        # The kind goes with the number; a new run may begin with either.
        kinds = (numbers % 2).astype(np.int8)
        expected = run.zero_s + run.beat_s * numbers + late * kinds
        inside = (
            (expected >= low + 0.01 * run.beat_s)
            & (expected < high + 0.01 * run.beat_s)
            & (expected < self.heard_s - 0.02)
        )
        last = self._rows[-1].times_s[-1] if self._rows and self._rows[-1].times_s.size else -1.0
        inside &= expected > last + 0.4 * run.beat_s
        numbers, kinds, expected = numbers[inside], kinds[inside], expected[inside]
        wide = min(max(0.004, 12.0 * self.locked.scatter_s), 0.08 * run.beat_s)
        narrow = tick_template.window_s(self.locked.scatter_s, most_s=wide)
        times, strength = [np.zeros(0)], [np.zeros(0)]
        for lot in range(0, numbers.size, 128):
            part = slice(lot, lot + 128)
            got = tick_template.time_beats(
                samples,
                self.locked.lens,
                self.locked.templates,
                expected[part] - self._held_from_s,
                kinds[part],
                within_s=wide,
                again_s=narrow,
            )
            times.append(got.times_s + self._held_from_s)
            strength.append(got.strength)
        heard = np.concatenate(strength)
        log = BeatLog(
            np.concatenate(times),
            numbers.astype(float),
            kinds,
            np.full(numbers.size, run.number, dtype=np.int16),
            heard.astype(np.float32),
            np.ones(numbers.size, dtype=np.float32),
        )
        return heard > self.locked.found_strength_ratio, log

    def _relocked(
        self, samples: Floats, low: float, high: float, old: tuple[NDArray[np.bool_], BeatLog]
    ) -> tuple[NDArray[np.bool_], BeatLog]:
        """Look for the beats elsewhere in this stretch; what still fits the old run before the change is kept."""
        assert self.locked is not None
        assert self._run is not None
        found, log = old
        steady = np.convolve(found.astype(float), np.ones(5), "same") >= 4.0
        until = int(np.flatnonzero(steady)[-1]) + 1 if steady.any() else 0
        keep = found & (np.arange(found.size) < until)
        zero = _phase_of(samples, self.sample_hz, self._run.beat_s, self.locked.late_s)
        if zero is None:
            return keep, log
        run = Run(zero + self._held_from_s, self._run.beat_s, self._run.number + 1)
        off = (run.zero_s - self._run.zero_s) / run.beat_s
        if abs(off - round(off)) * run.beat_s < 0.004 and round(off) % 2 == 0:
            return keep, log
        start = float(log.times_s[until - 1]) if until else low
        new_found, new = self._timed(samples, run, max(low, start), high)
        if new_found.sum() < 4 or np.mean(new_found[np.flatnonzero(new_found)[0] :]) < 0.6:
            return keep, log
        self._run = run
        begin = (
            np.arange(new_found.size)
            >= int(np.flatnonzero(np.convolve(new_found.astype(float), np.ones(5), "same") >= 4.0)[0]) - 2
            if new_found.size > 5
            else new_found
        )
        both = [np.concatenate([getattr(log, name), getattr(new, name)]) for name in _COLUMNS]
        return np.concatenate([keep, new_found & begin]), BeatLog(*both)

    def _lead(self, found: NDArray[np.bool_], log: BeatLog) -> None:
        """Lead the prediction along with what was found: place by the latest beats, beat by the whole stretch."""
        assert self.locked is not None
        assert self._run is not None
        run = self._run
        mine = found & (log.runs == run.number)
        if mine.sum() < 6:
            return
        numbers = log.numbers[mine]
        late = log.times_s[mine] - run.zero_s - run.beat_s * numbers - self.locked.late_s * log.kinds[mine]
        half = numbers > np.median(numbers)
        slope = (np.median(late[half]) - np.median(late[~half])) / max(
            float(np.mean(numbers[half]) - np.mean(numbers[~half])), 1.0
        )
        slope *= 0.5
        end = float(numbers[-1])
        recent = numbers > end - max(12, 0.3 * numbers.size)
        place = float(np.median(late[recent] - slope * (numbers[recent] - end)))
        run.beat_s += slope
        run.zero_s += place - slope * end

    def _keep(self, log: BeatLog) -> None:
        self._rows.append(log)
        if sum(one.times_s.size for one in self._rows) > _MOST_ROWS:
            self._rows = [_halved(_joined(self._rows))]


def _phase_of(samples: Floats, sample_hz: int, beat_s: float, late_s: float) -> float | None:
    """Time [s] of a beat of kind 0 in this stretch, for a clock whose beat is known; None when it is not heard."""
    ear = finding.open_ear(samples, sample_hz)
    fold = 2.0 * beat_s
    spectrum = period_search.spectrum_of(ear.excesses.sum(axis=1, dtype=np.float64))
    best = period_search.refine(spectrum, fold, band_hz=60.0)
    if best.score < finding.SURE_SCORE or abs(best.period_s / fold - 1.0) > 0.01:
        return None
    found = finding.places(best)
    if len(found) not in (1, 2):
        return None
    places = sorted(one[0] * best.period_s for one in found)
    # Which of the two is kind 0: the one after which the other comes late by the known amount.
    if len(places) == 2 and abs(places[1] - places[0] - beat_s - late_s) > abs(
        places[0] + fold - places[1] - beat_s - late_s
    ):
        places.reverse()
    return float(places[0])


def _joined(rows: list[BeatLog]) -> BeatLog:
    return BeatLog(*(np.concatenate([getattr(one, name) for one in rows]) for name in _COLUMNS))


def _halved(log: BeatLog) -> BeatLog:
    """Neighbouring beats of one kind and run averaged in pairs; an odd one out is left alone."""
    kept: list[BeatLog] = []
    for run in np.unique(log.runs):
        for kind in (0, 1):
            mine = np.flatnonzero((log.runs == run) & (log.kinds == kind))
            pairs, rest = mine[: mine.size // 2 * 2].reshape(-1, 2), mine[mine.size // 2 * 2 :]
            weight = log.counts[pairs] / log.counts[pairs].sum(axis=1, keepdims=True)
            kept.append(
                BeatLog(
                    (log.times_s[pairs] * weight).sum(axis=1),
                    (log.numbers[pairs] * weight).sum(axis=1),
                    log.kinds[pairs[:, 0]],
                    log.runs[pairs[:, 0]],
                    log.strength[pairs].mean(axis=1),
                    log.counts[pairs].sum(axis=1),
                )
            )
            kept.append(BeatLog(*(getattr(log, name)[rest] for name in _COLUMNS)))
    joined = _joined(kept)
    order = np.argsort(joined.times_s, kind="stable")
    return BeatLog(*(getattr(joined, name)[order] for name in _COLUMNS))


def unlocked_reason(follower: Follower) -> Refusal:
    """Why a closed follower has no clock."""
    if follower.why_not is not None:
        return follower.why_not
    return refuse("too_short", f"Only {follower.heard_s:.0f} s were heard.")
