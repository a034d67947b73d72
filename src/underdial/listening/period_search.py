"""The period of a ticking, looked for by folding: with a count to expect, or over every clock there is.

The sound's rises are folded on a trial period; ticks pile up in a few places of the folded record, all else spreads.
The score is the sum of the cubed heights that stand out, so the true period beats its multiples (same ticks, more
places, each lower) and its parts (ticks spread over places that hold none). Folding is done in the spectrum: the
folded profile at frequency f is the inverse transform of the spectrum at f, 2f, 3f ..., so all trials share one FFT.

Limits: full periods of 0.11 to 4.2 s (a torsion pendulum is slower); the period steady to about 8 ms over the record.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage

from underdial.listening.loudness import FRAME_HZ

Array = NDArray[np.float64]

LEAST_PERIOD_S, MOST_PERIOD_S = 0.11, 4.2
_PAD = 4
_FIRST_HEIGHT = 2.0


@dataclass(frozen=True, slots=True)
class Fold:
    """A trial period that stands out: one full fold [s], its score, and heights over one fold in noise units."""

    period_s: float
    score: float
    heights: Array


@dataclass(frozen=True, slots=True)
class Spectrum:
    """Whitened spectrum of a detection function, ready to be folded at any period."""

    values: NDArray[np.complex64]
    step_hz: float
    duration_s: float


def spectrum_of(rise: NDArray[np.float32] | Array) -> Spectrum:
    """Spectrum of a detection function on the millisecond grid, each part scaled to unit noise by its neighbours."""
    count = fft.next_fast_len(_PAD * rise.size, real=True)
    centred = rise - ndimage.uniform_filter1d(rise, FRAME_HZ, mode="nearest")
    values = fft.rfft(centred.astype(np.float32), count)
    step_hz = FRAME_HZ / count
    # The floor is taken from every fourth bin (independent ones), over 3 Hz to each side; lines of a clock are few.
    power = np.abs(values[::_PAD]) ** 2
    lot = max(round(0.75 / (step_hz * _PAD)), 8)
    lots = power.size // lot
    median = np.median(power[: lots * lot].reshape(lots, lot), axis=1)
    median = ndimage.median_filter(median, 7, mode="nearest") / np.log(2.0)
    floor = np.interp(np.arange(values.size), (np.arange(lots) + 0.5) * lot * _PAD, median)
    return Spectrum((values / np.sqrt(np.maximum(floor, 1e-12))).astype(np.complex64), step_hz, rise.size / FRAME_HZ)


def fold_heights(spectrum: Spectrum, frequency_hz: Array, *, band_hz: float) -> Array:
    """Folded profiles, shape (trials, places), each in units of its own noise; place 0 is the record's start."""
    parts = max(int(band_hz / float(np.max(frequency_hz))), 4)
    order = np.arange(1, parts + 1)
    at = frequency_hz[:, None] * order / spectrum.step_hz
    whole = np.minimum(np.round(at).astype(np.int64), spectrum.values.size - 1)
    values = spectrum.values[whole]
    # Between bins of a padded spectrum the phase turns by half the record's length.
    values = values * np.exp((-1j * math.pi / _PAD) * (at - whole).astype(np.float32), dtype=np.complex64)
    # One line alone is a hum, not a clock: no part counts more than three times the mean of its neighbours.
    size = np.abs(values)
    wide = min(15, parts)
    usual = np.maximum((ndimage.uniform_filter1d(size, wide, axis=1, mode="nearest") * wide - size) / (wide - 1), 1.0)
    values *= np.minimum(1.0, 3.0 * usual / np.maximum(size, 1e-9))
    places = 1 << int(np.ceil(np.log2(2.2 * parts)))
    spread = np.zeros((frequency_hz.size, places // 2 + 1), dtype=np.complex64)
    spread[:, 1 : parts + 1] = values
    profile = fft.irfft(spread, axis=1) * places
    return np.asarray(profile / math.sqrt(2.0 * parts))


def fold_scores(heights: Array) -> Array:
    """Score of each profile: standing-out heights cubed and summed, less what noise alone would give, in its sd."""
    over = heights * (heights > _FIRST_HEIGHT)
    over = over * over * over
    # For unit normal heights above 2: mean of z^3 is 0.3240, second moment 5.6 (by numerical integration).
    places = heights.shape[1] / 2.2
    return np.asarray((over.mean(axis=1) - 0.324) * places / np.sqrt(places * 5.6))


def search(spectrum: Spectrum, *, low_s: float, high_s: float, band_hz: float, keep: int = 6) -> list[Fold]:
    """The best few periods between two bounds [s], unrelated trials of one peak counted once, best first."""
    if high_s <= low_s:
        return []
    found: list[tuple[float, float]] = []
    top = 1.0 / low_s
    bottom = 1.0 / high_s
    while top > bottom:
        low = max(top / 1.25, bottom)
        parts = max(int(band_hz / top), 4)
        step = 0.3 / (spectrum.duration_s * parts)
        trials = np.arange(low, top + step, step)
        # Lots small enough for a processor's own memory are folded twice as fast.
        scores = np.concatenate(
            [
                fold_scores(fold_heights(spectrum, trials[lot : lot + 128], band_hz=band_hz))
                for lot in range(0, trials.size, 128)
            ]
        )
        for lot in range(0, trials.size, 1024):
            for at in lot + np.argsort(scores[lot : lot + 1024])[-3:]:
                found.append((float(scores[at]), float(trials[at])))
        top = low
    best: list[Fold] = []
    for _, hz in sorted(found, reverse=True):
        if all(abs(hz * one.period_s - 1.0) > 2.0 / spectrum.duration_s * one.period_s for one in best):
            best.append(refine(spectrum, 1.0 / hz, band_hz=band_hz))
        if len(best) >= keep:
            break
    return sorted(best, key=lambda one: -one.score)


def refine(spectrum: Spectrum, period_s: float, *, band_hz: float) -> Fold:
    """The same period climbed to the top of its own peak, good to about a millisecond over the whole record."""
    hz = 1.0 / period_s
    parts = max(int(band_hz / hz), 4)
    span = 0.6 / (spectrum.duration_s * parts)
    for _ in range(4):
        trials = hz + span * np.linspace(-1.0, 1.0, 13)
        scores = fold_scores(fold_heights(spectrum, trials, band_hz=band_hz))
        hz = float(trials[int(np.argmax(scores))])
        span /= 4.0
    heights = fold_heights(spectrum, np.array([hz]), band_hz=band_hz)
    return Fold(1.0 / hz, float(fold_scores(heights)[0]), heights[0])
