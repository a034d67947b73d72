"""From the opening of a recording to a lock on one clock, or to the reason why there is none.

The search proposes, and a chain of tests disposes: the places in the fold must be those of one clock, the templates
must find most beats where noise is not found, single beats must agree to far better than the window they were looked
for in, and nothing else may tick alike. Only then is there a lock, and only a lock is followed and fitted.

Limits: an opening of 8 to 90 s at 8 to 48 kHz. What a lock claims was tried on simulated nuisances:
benchmarks.listening.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.listening import finding, played_in_step, recording_faults, steady_lines, tick_template, two_kinds
from underdial.listening.finding import Ear, Ticking
from underdial.listening.period_search import Fold
from underdial.listening.rate_fit import LEAST_BEATS, BeatLog
from underdial.listening.recording_faults import Faults
from underdial.listening.refusal import Refusal, refuse
from underdial.listening.tick_template import Lens, Templates

Array = NDArray[np.float64]
Floats = NDArray[np.float32]
# Expected time [s], number and kind of each beat.
Beats = tuple[Array, NDArray[np.int64], NDArray[np.int8]]

LEAST_S = 8.0
_FIRST_WINDOW_S = 0.012
_LEAST_FOUND_RATIO = 0.45
_SECOND_SCORE = 60.0
# A dozen knocks or the strokes of an hour reach 280 by luck, a clock from a few decibels below the first one on over
# 600.
_SURE_SECOND_SCORE = 600.0
# Four decibels: a room's own echo goes the other way.
_MOST_SWING_NATS = 1.0
_MOST_JUMP_S = 0.012
_MOST_SCATTER_RATIO = 6.0
# Beats that are heard follow by less than a hundredth, the edges of a window cut out of a hum by nine tenths.
_MOST_FOLLOWS_RATIO = 0.1
_LOUD_VOICE_NATS = 0.9
# Refusals that a wrong count may be behind.
_OF_COUNT = ("spliced", "two_clocks", "no_beat", "noisy")
# Beyond any rate of a clock that goes.
_SAME_COUNT_RATIO = 0.02


@dataclass(frozen=True, slots=True)
class Lock:
    """A clock that is being heard: beat [s], lateness of the second kind, how to time it, and its beats so far.

    `found_strength_ratio` is the agreement above which a beat counts as heard; `expected_count` counts all beats that
    fell in the opening.
    """

    beat_s: float
    late_s: float
    first_s: float
    lens: Lens
    templates: Templates
    scatter_s: float
    found_strength_ratio: float
    log: BeatLog
    expected_count: int
    faults: Faults
    warnings: tuple[str, ...]
    outlines: Array
    outline_at_s: Array


def lock(samples: Floats, sample_hz: int, beats_per_hour: float | None) -> Lock | Refusal:
    """Look for one clock in an opening, with its count if known."""
    if samples.size < LEAST_S * sample_hz:
        return refuse(
            "too_short",
            f"Only {samples.size / sample_hz:.0f} s were heard; at least {LEAST_S:.0f} s are needed to find a beat.",
        )
    sound = steady_lines.without_rumble(samples, sample_hz)
    ear = finding.open_ear(sound, sample_hz)
    faults = recording_faults.measure(samples, ear.levels, ear.line_ratio)
    if faults.silent_ratio > 0.999:
        return refuse(
            "no_beat", "There is no sound in the recording at all: the microphone was off, or another one was recorded."
        )
    if faults.silent_ratio > 0.2:
        return refuse(
            "gain",
            f"{100 * faults.silent_ratio:.0f} in 100 parts of the recording are cut to nothing: a gate or noise "
            "suppression was at work.",
        )

    def tampered(ticking: Ticking) -> Refusal | None:
        return _tampered(samples, sample_hz, ear, ticking)

    def other_count(refusal: Refusal) -> Refusal:
        return refusal if beats_per_hour is None else _other_count(ear, beats_per_hour, tampered) or refusal

    chosen = _given(ear, beats_per_hour, tampered) if beats_per_hour is not None else _blind(ear, tampered)
    if isinstance(chosen, Refusal):
        return _explained(other_count(chosen) if chosen.reason_id in _OF_COUNT else chosen, faults)
    ticking, fold, warnings = chosen
    heard = _expected(ear, ticking, fold)
    clean = steady_lines.without_steady_lines(sound, sample_hz, heard[0], beat_s=ticking.fold_s / 2.0)
    got = _measured(clean, sample_hz, ticking, heard, faults, warnings)
    if isinstance(got, Lock):
        return (
            _cut_flat(samples, sample_hz, faults, got.log.times_s)
            or (_doubtful_count(clean, got) if beats_per_hour is None else None)
            or got
        )
    return other_count(got) if got.reason_id in _OF_COUNT else got


def _doubtful_count(samples: Floats, got: Lock) -> Refusal | None:
    """Half the beats unheard, or one sound in two that is no beat, would pass for another count."""
    count = 3600.0 / got.beat_s
    if played_in_step.played_in_step(samples, got.lens.sample_hz, first_s=got.first_s, beat_s=got.beat_s):
        return refuse("speech", "Tones that change set in with the beats: this is music, or a clock lost in it.")
    if not two_kinds.told_apart(samples, got.lens, got.log):
        return refuse(
            "no_beat",
            f"All beats sound alike and fall evenly: {count:.0f} an hour if every one is heard, {2 * count:.0f} if "
            "every second is silent.",
        )
    if two_kinds.turn_by_turn(samples, got.lens, got.log):
        return refuse(
            "two_clocks",
            "The sounds take turns of four, not of tick and tock: each beat may make two of them, and the count be "
            f"{count / 2:.0f} and not {count:.0f} an hour.",
        )
    if two_kinds.scatter_ratio(got.log, got.beat_s) > _MOST_SCATTER_RATIO:
        return refuse(
            "noisy",
            "One sound in two comes far less evenly than the other; it may be no beat, and the count "
            f"{count / 2:.0f} and not {count:.0f} an hour.",
        )
    return None


def _given(
    ear: Ear, beats_per_hour: float, tampered: Callable[[Ticking], Refusal | None]
) -> tuple[Ticking, Fold, tuple[str, ...]] | Refusal:
    folds = finding.find_given(ear, beats_per_hour)
    if not folds or folds[0].score < finding.SURE_SCORE / 2:
        score = folds[0].score if folds else 0.0
        return refuse(
            "noisy" if score > 6.0 else "no_beat", f"No beat near {beats_per_hour:.0f} an hour stands out of the sound."
        )
    ticking, fold = finding.settle(ear, folds[0].period_s)
    if ticking.score < finding.SURE_SCORE:
        return refuse("noisy", f"A beat near {beats_per_hour:.0f} an hour is too faint to be sure of.")
    places = _two_places(finding.places(fold), fold)
    if places is None:
        return _jumped(ticking) or _wrong_count(fold, beats_per_hour)
    ticking = _placed(ticking, places)
    refusal = tampered(ticking)
    if refusal is not None:
        return refusal
    rest = finding.without_ticking(ear, ticking)
    if any(
        one.score > _SECOND_SCORE and not _akin(one.period_s, ticking.fold_s, rest.duration_s)
        for one in finding.find_given(rest, beats_per_hour)[:1]
    ):
        return refuse("two_clocks", "Two clocks of nearly the same count are heard.")
    rival = _rival(rest, ticking)
    if rival is not None and rival.score > 4.0 * ticking.score:
        return refuse(
            "two_clocks",
            f"What ticks loudest makes {3600 / rival.period_s:.0f} or {7200 / rival.period_s:.0f} beats an hour, not "
            f"{beats_per_hour:.0f}.",
        )
    return ticking, fold, ("Another regular sound is heard beside the clock.",) if rival is not None else ()


def _blind(ear: Ear, tampered: Callable[[Ticking], Refusal | None]) -> tuple[Ticking, Fold, tuple[str, ...]] | Refusal:
    folds = finding.find_blind(ear)
    if not folds or folds[0].score < finding.SURE_SCORE / 2:
        return refuse("no_beat", "No steady beat stands out of the sound.")
    ticking, fold = finding.settle(ear, folds[0].period_s)
    if ticking.score < 2.0 * finding.SURE_SCORE:
        return refuse("noisy", "Something beats, but too faintly to tell its count.")
    found = finding.places(fold)
    if len(found) == 1:
        ticking, fold = _doubled(ear, ticking)
    places = _two_places(finding.places(fold), fold)
    if places is None:
        return _jumped(ticking) or refuse(
            "two_clocks", "The sounds that come again do not fall into tick and tock of one clock."
        )
    if not 0.28 < (places[1] - places[0]) % 1.0 < 0.72:
        return refuse("no_beat", "Tick and tock lie so unevenly that the count cannot be told by ear.")
    ticking = _placed(ticking, places)
    # What automatic gain or a loop does comes again with the beat, and would pass for a second clock.
    refusal = tampered(ticking)
    if refusal is not None:
        return refusal
    rival = _rival(finding.without_ticking(ear, ticking), ticking)
    if rival is not None:
        return refuse(
            "two_clocks",
            f"A second regular sound, every {rival.period_s:.3f} s, is heard beside a beat every "
            f"{ticking.fold_s / 2:.3f} s.",
        )
    return ticking, fold, ()


def _doubled(ear: Ear, ticking: Ticking) -> tuple[Ticking, Fold]:
    """One place in the fold is one beat; the full fold holds two."""
    return finding.settle(ear, 2.0 * ticking.fold_s)


def _two_places(found: list[tuple[float, float]], fold: Fold) -> tuple[float, float] | None:
    """Tick and tock in the fold, in order of time, or None when it does not hold exactly two beats."""
    if len(found) == 1:
        weak = [one for one in finding.places(fold, least_ratio=0.0) if 0.3 < (one[0] - found[0][0]) % 1.0 < 0.7]
        found = found + [one for one in weak[:1] if one[1] > 6.0]
    if len(found) != 2:
        return None
    first, second = sorted(one[0] for one in found)
    return (first, second) if 0.2 < second - first < 0.8 else None


def _jumped(ticking: Ticking) -> Refusal | None:
    """One clock in each part of the stretch, but not at one place in all: the recording has been cut."""
    jump = finding.jump_s(ticking)
    if jump > _MOST_JUMP_S:
        return refuse("spliced", f"The beat jumps by {1e3 * jump:.0f} ms in the middle of the recording.")
    return None


def _placed(ticking: Ticking, places: tuple[float, float]) -> Ticking:
    at = tuple(one * ticking.fold_s for one in places)
    return Ticking(ticking.fold_s, at, ticking.score, ticking.height, ticking.drive)


def _wrong_count(fold: Fold, beats_per_hour: float) -> Refusal:
    heard = len(finding.places(fold))
    if heard <= 1:
        return refuse(
            "no_beat",
            "Only one sound in two beats is heard: either every second beat is silent here, or the count is "
            f"{beats_per_hour / 2:.0f} and not {beats_per_hour:.0f} an hour.",
        )
    return refuse(
        "two_clocks",
        f"{heard} sounds fall in the time of two beats: another clock, or the count is not {beats_per_hour:.0f} an "
        "hour.",
    )


def _other_count(ear: Ear, beats_per_hour: float, tampered: Callable[[Ticking], Refusal | None]) -> Refusal | None:
    """Where the sound is that of one clock of another count than was told: that, and which it is.

    Half the count that was told stays open: every second beat may be silent.
    """
    found = _blind(ear, tampered)
    if isinstance(found, Refusal):
        return None
    count = 7200.0 / found[0].fold_s
    if any(abs(count / one - 1.0) < _SAME_COUNT_RATIO for one in (beats_per_hour, beats_per_hour / 2.0)):
        return None
    return Refusal(
        "no_beat",
        f"The sound does not fit the count that was told, {beats_per_hour:.0f} an hour; it would fit about "
        f"{count:.0f}. See that the right clock is heard; count its train again, or listen to this recording without "
        "a count.",
    )


def _rival(rest: Ear, ticking: Ticking) -> Fold | None:
    """Another period in what is left when this ticking is taken out; its own parts and multiples do not count."""
    for one in finding.find_blind(rest, mixes=2, longest_s=40.0):
        if one.score < _SECOND_SCORE:
            return None
        if not _akin(one.period_s, ticking.fold_s, min(rest.duration_s, 32.0)) and (
            one.score > _SURE_SECOND_SCORE or finding.lasting(rest, one.period_s)
        ):
            return one
    return None


def _akin(one_s: float, other_s: float, duration_s: float) -> bool:
    """True when a full period is a whole number of the other's beats, or goes whole times into it: it may be the same
    clock.

    Any other ratio, be it as simple as four to five, takes a second clock.
    """
    beats = 2.0 * one_s / other_s
    ratio, slack = (beats, 2.0) if beats >= 1.0 else (other_s / one_s, other_s / one_s)
    whole = round(ratio)
    return whole <= 16 and abs(ratio / whole - 1.0) < 0.03 / duration_s * slack


def _measured(
    samples: Floats, sample_hz: int, ticking: Ticking, heard: Beats, faults: Faults, warnings: tuple[str, ...]
) -> Lock | Refusal:
    expected, numbers, kinds = heard
    beat = ticking.fold_s / 2.0
    lens = tick_template.make_lens(samples, sample_hz, expected, beat_s=beat)
    within = min(_FIRST_WINDOW_S, 0.1 * beat)
    templates, got = tick_template.fit_templates(samples, lens, expected, kinds, within_s=within)
    found_strength_ratio = _chance_strength(samples, lens, templates, expected, kinds, beat)
    found = got.strength > found_strength_ratio
    if numbers[-1] + 1 < LEAST_BEATS:
        return refuse(
            "too_short", f"Only {numbers[-1] + 1} beats fell in the recording; {LEAST_BEATS} are the least for a rate."
        )
    scatter = tick_template.scatter_s(got.times_s[found], expected[found], kinds[found])
    least = _LEAST_FOUND_RATIO * expected.size
    if found.sum() < max(least, LEAST_BEATS) or min(np.sum(found & (kinds == k)) for k in (0, 1)) < 0.25 * least:
        return _explained(
            refuse("noisy", f"Of {expected.size} beats only {int(found.sum())} could be heard one by one."), faults
        )
    if scatter > 0.25 * within:
        return _explained(
            refuse("noisy", f"Single beats scatter by {1e3 * scatter:.1f} ms, hardly less than chance would."), faults
        )
    if (
        tick_template.follows_ratio(samples, lens, templates, got.times_s[found], kinds[found], within_s=within)
        > _MOST_FOLLOWS_RATIO
    ):
        return _explained(
            refuse("noisy", "The beats come wherever they are looked for: another sound is stronger than they are."),
            faults,
        )
    count = int(found.sum())
    log = BeatLog(
        got.times_s[found],
        numbers[found].astype(float),
        kinds[found],
        np.zeros(count, dtype=np.int16),
        got.strength[found].astype(np.float32),
        np.ones(count, dtype=np.float32),
    )
    late = float(
        np.median(got.times_s[found & (kinds == 1)] - beat * numbers[found & (kinds == 1)])
        - np.median(got.times_s[found & (kinds == 0)] - beat * numbers[found & (kinds == 0)])
    )
    return Lock(
        beat,
        late,
        float(np.median(got.times_s[found] - beat * numbers[found] - late * kinds[found])),
        lens,
        templates,
        scatter,
        found_strength_ratio,
        log,
        int(expected.size),
        faults,
        warnings,
        *tick_template.mean_outlines(samples, lens, got.times_s[found], kinds[found]),
    )


def _tampered(samples: Floats, sample_hz: int, ear: Ear, ticking: Ticking) -> Refusal | None:
    """Automatic gain, or pieces that come again, told from what lies between the beats."""
    swing = recording_faults.gain_swing_nats(ear.levels, ticking.fold_s, ticking.places_s)
    if swing > _MOST_SWING_NATS:
        return refuse(
            "gain",
            f"The background drops at each tick and climbs by {4.34 * swing:.0f} dB before the next: automatic gain "
            "was on.",
        )
    cycles = np.arange(int(ear.duration_s / ticking.fold_s) + 1)
    beats = (cycles[:, None] * ticking.fold_s + np.array(ticking.places_s)).ravel()
    jumped = _jumped(ticking)
    if jumped is not None:
        return jumped
    if recording_faults.copied(samples, sample_hz, beats):
        return refuse("spliced", "A piece of this recording comes again in it: it is looped or put together.")
    return None


def _cut_flat(samples: Floats, sample_hz: int, faults: Faults, beats: Array) -> Refusal | None:
    flat = recording_faults.flat_tops(samples)
    if faults.clipped_ratio > 0.0:
        per_beat = np.array(
            [
                flat[max(int((at - 0.003) * sample_hz), 0) : int((at + 0.012) * sample_hz)].mean()
                if at > 0.003
                else 0.0
                for at in beats
            ]
        )
        if np.mean(per_beat > 0.25) > 0.5:
            return refuse("clipped", "Most ticks are cut off flat at the top of the recorder's range.")
    return None


def _expected(ear: Ear, ticking: Ticking, fold: Fold) -> Beats:
    """Expected time, number and kind of every beat whose window lies in the opening."""
    middle, late = finding.track(ticking, fold)
    cycles = np.arange(int(ear.duration_s / ticking.fold_s) + 1)
    times = (cycles[:, None] * ticking.fold_s + np.array(ticking.places_s)).ravel()
    times = times + np.interp(times, middle, late)
    kinds = np.tile(np.array([0, 1], dtype=np.int8), cycles.size)
    keep = (times > 0.004) & (times < ear.duration_s - 0.02)
    numbers = np.arange(times.size)[keep]
    return times[keep], numbers - numbers[0] + kinds[keep][0], kinds[keep]


def _chance_strength(
    samples: Floats, lens: Lens, templates: Templates, expected: Array, kinds: NDArray[np.int8], beat: float
) -> float:
    """Agreement that the templates reach half a beat away, where there is nothing to hear, in one of fifty places."""
    between = tick_template.time_beats(samples, lens, templates, expected + 0.47 * beat, kinds, within_s=0.002)
    return float(max(np.quantile(between.strength, 0.95), 4.0 if templates.ruler == "wave" else 2.0))


def _explained(refusal: Refusal, faults: Faults) -> Refusal:
    """Where the recording itself shows why nothing was heard, say that instead."""
    if refusal.reason_id == "spliced" and faults.voice_nats > _LOUD_VOICE_NATS:
        # Talk has no steady beat, and what was taken for one jumps.
        return refuse("speech", "The sound swells and falls like talking; no beat stands out of it.")
    if refusal.reason_id not in ("noisy", "no_beat"):
        return refusal
    if faults.clipped_ratio > 0.01:
        return refuse(
            "clipped",
            f"{100 * faults.clipped_ratio:.0f} in 100 samples are cut off at the top of the recorder's range, and no "
            "beat can be trusted.",
        )
    if faults.line_ratio > 0.5:
        return refuse(
            "hum",
            f"A steady hum holds {100 * faults.line_ratio:.0f} in 100 parts of the sound; no beat stands out of it.",
        )
    if faults.voice_nats > _LOUD_VOICE_NATS:
        return refuse("speech", "The sound swells and falls like talking; no beat stands out of it.")
    return refusal
