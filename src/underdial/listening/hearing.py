"""What may be said of a recording: the answer with its errors, or the refusal.

The parts of the rate's uncertainty are kept apart: the fit of the beats, the recorder's own clock, the count that the
clock should make. A recorder whose clock was never compared is taken as good to 50 parts in a million.

Limits: what the rooms below can tell; torsion pendulums are refused, being too slow to be worth listening to.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from underdial.listening import beat_pulses, rate_fit, wheel_patterns
from underdial.listening.beat_pulses import Evenness, Swing
from underdial.listening.follower import Follower, unlocked_reason
from underdial.listening.rate_fit import LEAST_BEATS, SECONDS_PER_DAY, BeatLog, RateFit
from underdial.listening.refusal import Refusal, refuse
from underdial.listening.wheel_patterns import Pattern
from underdial.uncertain import Uncertain

Array = NDArray[np.float64]

UNKNOWN_RECORDER = Uncertain(0.0, 50.0)
LEAST_BEATS_PER_HOUR = 1200.0
# Counts that many movements share; a count heard within three in a thousand of one is taken for it. [common practice]
LISTED_BEATS_PER_HOUR = (3600.0, 7200.0, 14400.0, 16200.0, 18000.0, 19800.0, 21600.0, 25200.0, 28800.0, 36000.0)
_LISTED_SPAN_RATIO = 0.003
_LEAST_GAP_S, _GAP_BEATS = 3.0, 4.0
# Of beats lost in noise so many in a row never are: three in ten heard leave thirty unheard twice in a hundred
# thousand.
_LONG_STOP_S, _LONG_STOP_BEATS = 20.0, 30.0
_DRIVER_BLOCK_S = 0.010


@dataclass(frozen=True, slots=True)
class Expected:
    """What is known before listening: count and its error, lift, kind of oscillator, arbors and their turns [s]."""

    beats_per_hour: Uncertain | None = None
    nominal_from: str = "none"
    lift_deg: Uncertain | None = None
    balance: bool | None = None
    recorder_ppm: Uncertain = UNKNOWN_RECORDER
    arbors: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Heard:
    """The answer. `refusal` is None when the number may be signed; then every part of it is there."""

    refusal: Refusal | None
    duration_s: float
    beats_per_hour: Uncertain | None = None
    nominal_beats_per_hour: float | None = None
    nominal_from: str = "none"
    rate_s_per_day: float | None = None
    half_95_s_per_day: float | None = None
    parts_s_per_day: tuple[float | None, float | None, float | None] = (None, None, None)
    evenness: Evenness | None = None
    swing: Swing = field(default_factory=lambda: Swing(None, None, None))
    beats_found_count: int = 0
    beats_expected_count: int = 0
    patterns: tuple[Pattern, ...] = ()
    stops_s: tuple[tuple[float, float], ...] = ()
    warnings: tuple[str, ...] = ()
    fit: RateFit | None = None
    log: BeatLog | None = None


def hear(follower: Follower, expected: Expected) -> Heard:
    """Conclude from a closed follower."""
    log = follower.now()
    locked = follower.locked
    if locked is None or log is None:
        return Heard(
            unlocked_reason(follower),
            follower.heard_s,
            nominal_from=expected.nominal_from,
            nominal_beats_per_hour=expected.beats_per_hour.value if expected.beats_per_hour else None,
        )
    found = int(log.counts.sum())
    wanted = _wanted_count(log, locked.beat_s, follower, found)
    refusal = _too_little(found, wanted)
    if refusal is not None:
        return Heard(
            refusal,
            follower.heard_s,
            beats_found_count=found,
            beats_expected_count=wanted,
            nominal_from=expected.nominal_from,
            nominal_beats_per_hour=expected.beats_per_hour.value if expected.beats_per_hour else None,
        )
    log, notes = _rejoined(log, locked.beat_s)
    fit = rate_fit.fit_rate(log)
    refusal = _not_one_line(log, fit)
    if refusal is not None:
        return Heard(
            refusal,
            follower.heard_s,
            beats_found_count=found,
            beats_expected_count=wanted,
            nominal_from=expected.nominal_from,
            nominal_beats_per_hour=expected.beats_per_hour.value if expected.beats_per_hour else None,
        )
    found_patterns = wheel_patterns.patterns(log, fit, expected.arbors)
    rated = rate_fit.fit_rate(wheel_patterns.without_patterns(log, fit, found_patterns))
    # The residuals that are shown still hold the swing: it is what one wants to see.
    fit = replace(rated, residual_s=fit.residual_s, used=fit.used)
    return _answered(follower, expected, log, fit, (found, wanted), notes, found_patterns)


def too_slow(beats_per_hour: float) -> Refusal | None:
    """A torsion pendulum beats a few times a minute; listening adds nothing to counting it."""
    if beats_per_hour >= LEAST_BEATS_PER_HOUR:
        return None
    return Refusal(
        "no_beat",
        f"A clock of {beats_per_hour:.0f} beats an hour, such as one with a torsion pendulum, is too slow to listen "
        "to. "
        "Count its turns for ten minutes against a watch, and enter the time.",
    )


def _answered(
    follower: Follower,
    expected: Expected,
    log: BeatLog,
    fit: RateFit,
    counts: tuple[int, int],
    notes: list[str],
    found_patterns: tuple[Pattern, ...],
) -> Heard:
    assert follower.locked is not None
    locked = follower.locked
    clock = expected.recorder_ppm
    beat = fit.beat_s / (1.0 + clock.value * 1e-6)
    heard = 3600.0 / beat
    fit_part = fit.beat_u_s / fit.beat_s * SECONDS_PER_DAY
    recorder_part = clock.u * 1e-6 * SECONDS_PER_DAY
    nominal, source = _nominal(heard, expected)
    notes += list(locked.warnings) + _notes(follower, expected, source, heard)
    nominal_part = nominal.u / nominal.value * SECONDS_PER_DAY if nominal is not None else None
    rate = rate_fit.rate_s_per_day(beat_s=beat, nominal_beat_s=3600.0 / nominal.value) if nominal is not None else None
    half = math.hypot(
        rate_fit.half_width_95(fit) / fit.beat_s * SECONDS_PER_DAY,
        1.96 * math.hypot(recorder_part, nominal_part or 0.0),
    )
    lift = expected.lift_deg
    swing = beat_pulses.swing(
        outlines=locked.outlines,
        at_s=locked.outline_at_s,
        beat_s=fit.beat_s,
        lift_deg=lift.value if lift else None,
        lift_u_deg=lift.u if lift else 0.0,
        balance=expected.balance,
    )
    return Heard(
        None,
        follower.heard_s,
        Uncertain(heard, heard * math.hypot(fit.beat_u_s / fit.beat_s, clock.u * 1e-6)),
        nominal.value if nominal else None,
        source,
        rate,
        half if rate is not None else None,
        (fit_part, recorder_part, nominal_part),
        beat_pulses.evenness(
            late_s=fit.late_s, late_u_s=fit.late_u_s, outlines=locked.outlines, at_s=locked.outline_at_s
        ),
        swing,
        *counts,
        found_patterns,
        _stops(log, fit.beat_s, follower),
        tuple(dict.fromkeys(notes)),
        fit,
        log,
    )


def _wanted_count(log: BeatLog, beat_s: float, follower: Follower, found: int) -> int:
    """Beats to be expected while it went: those of long stops, when it made none, are taken off."""
    stood = sum(
        end - start
        for start, end in _stops(log, beat_s, follower)
        if end - start > max(_LONG_STOP_S, _LONG_STOP_BEATS * beat_s)
    )
    return max(follower.expected_count - round(stood / beat_s), found)


def _too_little(found: int, wanted: int) -> Refusal | None:
    if found < LEAST_BEATS:
        return refuse("too_short", f"Only {found} beats were heard; {LEAST_BEATS} are the least for a rate.")
    if found < 0.4 * wanted:
        return refuse("noisy", f"Of {wanted} beats only {found} could be heard.")
    return None


def _not_one_line(log: BeatLog, fit: RateFit) -> Refusal | None:
    """Beats that jump, or whose halves tell of two rates, are not one clock going undisturbed."""
    step = _largest_step(log, fit)
    if step is not None:
        return refuse("spliced", f"At {step[0]:.0f} s the beat jumps by {1e3 * step[1]:.1f} ms without a pause.")
    if np.mean(fit.used) < 0.7:
        return refuse(
            "noisy", f"{100 * (1 - np.mean(fit.used)):.0f} in 100 beats do not fall in with their neighbours."
        )
    if log.times_s.size >= 4 * LEAST_BEATS and np.unique(log.runs).size == 1:
        half = log.numbers < np.median(log.numbers)
        parts = [
            rate_fit.fit_rate(
                BeatLog(
                    *(
                        getattr(log, name)[side]
                        for name in ("times_s", "numbers", "kinds", "runs", "strength", "counts")
                    )
                )
            )
            for side in (half, ~half)
        ]
        apart = abs(parts[0].beat_s - parts[1].beat_s) / math.hypot(parts[0].beat_u_s, parts[1].beat_u_s)
        if apart > 6.0 and abs(parts[0].beat_s / parts[1].beat_s - 1.0) * SECONDS_PER_DAY > 60.0:
            return refuse("noisy", "The two halves of the recording tell of two rates.")
    return None


def _largest_step(log: BeatLog, fit: RateFit) -> tuple[float, float] | None:
    """Time and size [s] of a jump of the beats that stands far out of all other changes, or None."""
    # Beats set aside are no evidence of a jump: knocks and words between them lie anywhere.
    late, times, runs = fit.residual_s[fit.used], log.times_s[fit.used], log.runs[fit.used]
    width = 4
    if late.size < 4 * width:
        return None
    windows = np.lib.stride_tricks.sliding_window_view(late, width)
    middle = np.median(windows, axis=1)
    change = middle[width:] - middle[:-width]
    same = runs[width : late.size - width + 1] == runs[: late.size - 2 * width + 1]
    # A rate that drifts changes all along; only what stands out of its neighbourhood is a jump.
    change = change - ndimage.median_filter(change, min(41, change.size // 2 * 2 - 1), mode="nearest")
    usual = max(1.4826 * float(np.median(np.abs(change))), 3e-5)
    at = int(np.argmax(np.abs(change) * same[: change.size]))
    if abs(change[at]) > max(12.0 * usual, 1.5e-3):
        return float(times[at + width]), float(abs(change[at]))
    return None


def _rejoined(log: BeatLog, beat_s: float) -> tuple[BeatLog, list[str]]:
    """Runs that follow each other without a pause, whole driver blocks apart, are one run with sound lost between."""
    notes: list[str] = []
    times, numbers, runs = log.times_s.copy(), log.numbers.copy(), log.runs.copy()
    joined = int(runs.min(initial=0))
    for run in np.unique(runs)[1:]:
        now, before = np.flatnonzero(runs == run), np.flatnonzero(runs == joined)
        if now.size < 8 or before.size < 8 or times[now[0]] - times[before[-1]] > _GAP_BEATS * beat_s:
            joined = run
            continue
        place = [
            float(np.median((times - beat_s * numbers)[part[:12] if part is now else part[-12:]]))
            for part in (before, now)
        ]
        off = (place[1] - place[0] + beat_s) % (2.0 * beat_s) - beat_s
        blocks = round(off / _DRIVER_BLOCK_S)
        if blocks and abs(off - blocks * _DRIVER_BLOCK_S) < 4e-4:
            notes.append(
                f"At {times[now[0]]:.0f} s {abs(blocks) * 10} ms of sound were lost or put in by the recorder; the "
                "beats were joined again."
            )
            later = times >= times[now[0]]
            times[later] -= off
            numbers[now] += round((place[1] - off - place[0]) / beat_s)
            runs[now] = joined
        else:
            joined = run
    return BeatLog(times, numbers, log.kinds, runs, log.strength, log.counts), notes


def _nominal(heard: float, expected: Expected) -> tuple[Uncertain | None, str]:
    if expected.beats_per_hour is not None:
        return expected.beats_per_hour, expected.nominal_from
    near = [one for one in LISTED_BEATS_PER_HOUR if abs(heard / one - 1.0) < _LISTED_SPAN_RATIO]
    return (Uncertain(near[0]), "listed") if near else (None, "none")


def _notes(follower: Follower, expected: Expected, source: str, heard: float) -> list[str]:
    notes = []
    if expected.recorder_ppm.u >= UNKNOWN_RECORDER.u:
        notes.append(
            "Recorder clock unknown: 50 parts in a million (4.3 s/day) are part of the uncertainty. Compare it to do "
            "better."
        )
    if source == "listed":
        notes.append(
            "No count was given; the nearest count that many movements share was taken. Give --beats-per-hour or "
            "--train to be sure."
        )
    if source == "none":
        notes.append(
            "No count was given and none that many movements share lies near, so there is no rate. Give "
            "--beats-per-hour or --train."
        )
    if follower.locked is not None and follower.locked.faults.clipped_ratio > 0.0005:
        notes.append("Some ticks are cut off at the top of the recorder's range; turn the level down next time.")
    return notes


def _stops(log: BeatLog, beat_s: float, follower: Follower) -> tuple[tuple[float, float], ...]:
    gaps = np.diff(log.times_s)
    each = max(float(np.median(log.counts)), 1.0)
    whole, lone = max(_LEAST_GAP_S, _GAP_BEATS * beat_s) * each, 1.6 * beat_s * each
    stops = []
    for k in np.flatnonzero(gaps > whole):
        # A lone beat beside a long stop, with its neighbours missing, is a sound of the room where a beat would have
        # been.
        first, then = int(k), int(k) + 1
        for _ in range(2):
            first -= int(first > 0 and gaps[first - 1] > lone)
            then += int(then < gaps.size and gaps[then] > lone)
        stops.append((float(log.times_s[first]), float(log.times_s[then])))
    if follower.heard_s - log.times_s[-1] > max(10.0, 8.0 * beat_s):
        stops.append((float(log.times_s[-1]), follower.heard_s))
    joined: list[tuple[float, float]] = []
    for start, end in stops:
        # A knock or two of the room where a beat would have been is no going between two stops.
        if joined and start - joined[-1][1] < whole:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return tuple(joined)
