"""From a stretch of sound to a ticking: its period, its two kinds of beat and where they fall.

With a count to expect, periods within three in a hundred of it are tried; without one, every period a clock can
have. Bands are then weighed by how clearly each shows the ticks, and the fold is taken again. One place in the fold
is one beat; two places near the half are tick and tock; anything else is not one clock.

Limits: a stretch of 8 to 90 s. The place of a beat is good to two milliseconds here; templates do the measuring.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from underdial.listening import loudness, period_search
from underdial.listening.period_search import Fold, Spectrum

Array = NDArray[np.float64]
Floats = NDArray[np.float32]

NOMINAL_SPAN_RATIO = 0.03
# Scores are in standard deviations of what unpatterned noise gives; these are far beyond chance over all trials.
SURE_SCORE = 20.0
_COARSE_HZ, _FINE_HZ = 60.0, 150.0
_BLIND_S = 32.0
_TAIL_S = 0.12
_HALF_TURN = 0.4
_LEAST_PRESENT_RATIO = 0.34


@dataclass(frozen=True, slots=True)
class Ear:
    """A stretch of sound as detection functions, with the share of power that stood in narrow lines."""

    rises: Floats
    excesses: Floats
    levels: Floats
    line_ratio: float
    duration_s: float


@dataclass(frozen=True, slots=True)
class Ticking:
    """A ticking found: full fold of two beats [s], places of the beats in it [s], how clear, heard through `drive`."""

    fold_s: float
    places_s: tuple[float, ...]
    score: float
    height: float
    drive: Array


def open_ear(samples: Floats, sample_hz: int) -> Ear:
    """Make a stretch ready to be searched: lines out, bands against their floors."""
    clean, held = loudness.without_lines(samples, sample_hz)
    levels = loudness.band_levels(clean, sample_hz)
    return Ear(loudness.rises(levels), loudness.excesses(levels), levels, held, samples.size / sample_hz)


def find_given(ear: Ear, beats_per_hour: float) -> list[Fold]:
    """Folds near the full period of a given count, best first, over several mixes of bands."""
    fold = 7200.0 / beats_per_hour
    low, high = fold * (1.0 - NOMINAL_SPAN_RATIO), fold * (1.0 + NOMINAL_SPAN_RATIO)
    found = [
        one
        for drive in _mixes(ear)
        for one in period_search.search(
            period_search.spectrum_of(drive), low_s=low, high_s=high, band_hz=_COARSE_HZ, keep=2
        )
    ]
    return sorted(found, key=lambda one: -one.score)


def find_blind(ear: Ear, *, mixes: int = 3, longest_s: float = 90.0) -> list[Fold]:
    """The clearest folds over every period a clock can have, best first."""
    found: list[Fold] = []
    for length in (_BLIND_S, ear.duration_s):
        if length > longest_s:
            break
        frames = int(length * loudness.FRAME_HZ)
        for drive in _mixes(ear)[:mixes]:
            spectrum = period_search.spectrum_of(drive[:frames])
            found += period_search.search(
                spectrum,
                low_s=period_search.LEAST_PERIOD_S,
                high_s=min(period_search.MOST_PERIOD_S, ear.duration_s / 4.0),
                band_hz=_COARSE_HZ,
            )
        found.sort(key=lambda one: -one.score)
        if (found and found[0].score > 3.0 * SURE_SCORE) or ear.duration_s <= length:
            break
    return found


def settle(ear: Ear, fold_s: float) -> tuple[Ticking, Fold]:
    """Weigh the bands by how clearly each shows this fold, fold again finely, and read off the places of the beats."""
    drive = _weighed(ear, fold_s)
    spectrum = period_search.spectrum_of(drive)
    coarse = period_search.refine(spectrum, fold_s, band_hz=_COARSE_HZ)
    fine = period_search.refine(spectrum, coarse.period_s, band_hz=_FINE_HZ)
    best = fine if fine.score > 0.5 * coarse.score else coarse
    return Ticking(
        best.period_s,
        tuple(one * best.period_s for one, _ in places(best)),
        best.score,
        float(best.heights.max()),
        drive,
    ), best


def places(fold: Fold, *, least_ratio: float = 0.2) -> list[tuple[float, float]]:
    """Where in a fold (0 to 1) the sound piles up, and how high, highest first; what lies within a beat is one
    place.
    """
    heights = fold.heights.copy()
    apart = min(max(0.045 / fold.period_s, 0.08), 0.2)
    out: list[tuple[float, float]] = []
    least = max(5.0, least_ratio * float(heights.max()))
    position = np.arange(heights.size) / heights.size
    while len(out) < 8:
        at = int(np.argmax(heights))
        if heights[at] < least:
            break
        out.append((_summit(fold.heights, at), float(heights[at])))
        gap = np.abs((position - position[at] + 0.5) % 1.0 - 0.5)
        heights[gap <= apart] = 0.0
    return [one for one in out if not _in_a_tail(one, out, fold.period_s)]


def _in_a_tail(one: tuple[float, float], all_places: list[tuple[float, float]], period_s: float) -> bool:
    """A lesser sound soon after a greater is the room's answer to it, not a beat."""
    reach = min(_TAIL_S / period_s, 0.3)
    return any(one[1] < 0.5 * other[1] and 0.0 < (one[0] - other[0]) % 1.0 < reach for other in all_places)


def without_ticking(ear: Ear, ticking: Ticking) -> Ear:
    """The same stretch with what falls within a beat of this ticking put back to each band's mean."""
    frames = np.arange(ear.rises.shape[0]) / loudness.FRAME_HZ
    apart = min(max(0.045, 0.06 * ticking.fold_s), 0.12 * ticking.fold_s)
    near = np.zeros(frames.size, dtype=bool)
    for place in ticking.places_s:
        near |= np.abs((frames - place + ticking.fold_s / 2) % ticking.fold_s - ticking.fold_s / 2) < apart
    rises, excesses = ear.rises.copy(), ear.excesses.copy()
    for one in (rises, excesses):
        one[near] = one[~near].mean(axis=0) if np.any(~near) else 0.0
    return replace(ear, rises=rises, excesses=excesses)


def track(ticking: Ticking, fold: Fold) -> tuple[Array, Array]:
    """How the fold wanders: middle time of each block [s] and its lateness [s], from each block's own fold."""
    frames = ticking.drive.size
    period = ticking.fold_s * loudness.FRAME_HZ
    need = (7.0 / max(ticking.height, 7.0)) ** 2 * frames
    block = int(max(need, 4 * period))
    blocks = max(int(frames // block), 1)
    position = np.arange(frames) / period
    pattern = np.interp(
        (position % 1.0), np.arange(fold.heights.size + 1) / fold.heights.size, np.append(fold.heights, fold.heights[0])
    )
    pattern = np.maximum(pattern, 0.0)
    reach = int(min(20, 0.1 * period))
    edges = np.linspace(0, frames, blocks + 1).astype(int)
    late = np.zeros(blocks)
    for k in range(blocks):
        low, high = edges[k] + reach, edges[k + 1] - reach
        if high - low < period:
            continue
        scores = np.array([ticking.drive[low + s : high + s] @ pattern[low:high] for s in range(-reach, reach + 1)])
        late[k] = (int(np.argmax(scores)) - reach) / loudness.FRAME_HZ
    if blocks >= 3:
        late = ndimage.median_filter(late, 3, mode="nearest")
    return (edges[:-1] + edges[1:]) / 2.0 / loudness.FRAME_HZ, late


def jump_s(ticking: Ticking) -> float:
    """Largest shift [s] of the fold between neighbouring sixths of the stretch, where both show it clearly; a wander is
    milliseconds.
    """
    frames = ticking.drive.size
    lots = 6 if frames >= 30 * ticking.fold_s * loudness.FRAME_HZ else 3
    edges = np.linspace(0, frames, lots + 1).astype(int)
    profiles = []
    for low, high in pairwise(edges):
        heights = period_search.fold_heights(
            period_search.spectrum_of(ticking.drive[low:high]), np.array([1.0 / ticking.fold_s]), band_hz=_COARSE_HZ
        )[0]
        # Each part is folded from its own start; turned back, all begin together.
        turned = np.roll(heights, round(low / loudness.FRAME_HZ / ticking.fold_s % 1.0 * heights.size))
        profiles.append(np.maximum(turned, 0.0) if heights.max() > 6.0 else None)
    largest = 0.0
    for one, other in pairwise(profiles):
        if one is None or other is None:
            continue
        agreement = np.fft.irfft(np.conj(np.fft.rfft(one)) * np.fft.rfft(other), one.size)
        lag = int(np.argmax(agreement))
        turn = abs((lag / one.size + 0.5) % 1.0 - 0.5)
        # Half a turn away tick only meets tock; that says nothing.
        if agreement[lag] > 1.3 * agreement[0] and turn < _HALF_TURN:
            largest = max(largest, turn * ticking.fold_s)
    return largest


def lasting(ear: Ear, fold_s: float) -> bool:
    """True when a sound that comes again does so all through: a clock does, a few knocks or the strokes of an hour do
    not.

    In each third of the stretch most rounds must hold it, more loudly than nine in ten of the other places.
    """
    ticking, _ = settle(ear, fold_s)
    if not ticking.places_s:
        return False
    frames = ticking.drive.size
    reach = max(int(0.03 * loudness.FRAME_HZ), 1)
    loudest = ndimage.maximum_filter1d(ticking.drive, 2 * reach + 1, mode="nearest")
    rounds = np.arange(int(frames / loudness.FRAME_HZ / ticking.fold_s) + 1)
    # The clearest place speaks for all: a second one may be a soft tock.
    shares = []
    for place in ticking.places_s[:2]:
        at = np.round((rounds * ticking.fold_s + place) * loudness.FRAME_HZ).astype(np.int64)
        at = at[at < frames]
        present = loudest[at] > np.quantile(loudest[::reach], 0.9)
        shares.append(min((float(np.mean(part)) for part in np.array_split(present, 3) if part.size), default=0.0))
    return max(shares) > _LEAST_PRESENT_RATIO


def _mixes(ear: Ear) -> list[Array]:
    half = ear.rises.shape[1] // 2
    return [
        ear.excesses.sum(axis=1, dtype=np.float64),
        ear.rises.sum(axis=1, dtype=np.float64),
        ear.rises[:, half:].sum(axis=1, dtype=np.float64),
    ]


def _weighed(ear: Ear, fold_s: float) -> Array:
    best: tuple[float, Array] | None = None
    for bands in (ear.rises, ear.excesses):
        heights = [_height(period_search.spectrum_of(bands[:, k]), fold_s) for k in range(bands.shape[1])]
        weight = np.clip(np.array(heights) - 2.5, 0.0, None)
        if not np.any(weight > 0):
            weight = np.ones(bands.shape[1])
        drive = (bands @ (weight / weight.sum())).astype(np.float64)
        score = period_search.refine(period_search.spectrum_of(drive), fold_s, band_hz=_COARSE_HZ).score
        if best is None or score > best[0]:
            best = (score, drive)
    assert best is not None
    return best[1]


def _height(spectrum: Spectrum, fold_s: float) -> float:
    heights = period_search.fold_heights(spectrum, np.array([1.0 / fold_s]), band_hz=_COARSE_HZ)
    return float(heights.max())


def _summit(heights: Array, at: int) -> float:
    """Refine a summit to a part of a place by a parabola; 0 to 1."""
    left, top, right = heights[at - 1], heights[at], heights[(at + 1) % heights.size]
    bend = left - 2.0 * top + right
    shift = 0.5 * (left - right) / bend if bend < 0 else 0.0
    return float(((at + shift) / heights.size) % 1.0)
