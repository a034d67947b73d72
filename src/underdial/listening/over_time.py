"""One recording over its own length: the rate of each stretch, an even series for its wander, and where its stops fall.

Stretches are fitted as the whole is, each with its own error. Stops are folded on the turns of the arbors in *going*
time, because a train that stands does not turn: a stop that comes at one place of a wheel gathers at one phase.

Limits: stretches of a minute or more with twelve beats each; a fold wants three stops that span three turns.
Sources: Rayleigh's test of a preferred direction [Mardia2000]_; correction for arbors tried [Bonferroni1936]_.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.listening import rate_fit
from underdial.listening.rate_fit import LEAST_BEATS, BeatLog, RateFit
from underdial.listening.wheel_patterns import LEAST_TURNS

Array = NDArray[np.float64]

LEAST_STRETCH_S = 60.0
MOST_STRETCHES = 12
LEAST_STOPS = 3
_COLUMNS = ("times_s", "numbers", "kinds", "runs", "strength", "counts")
# A series with more holes than this says more of the room than of the clock.
_MOST_HOLES_RATIO, _LONGEST_HOLE = 0.1, 4.0


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a recording [s] with its mean beat and the standard error of that [s]."""

    start_s: float
    end_s: float
    beat_s: float
    beat_u_s: float


@dataclass(frozen=True, slots=True)
class StopFold:
    """Stops folded on one arbor's turn [s]: at which part of a turn after the first stop they gather, and the chance of
    that by luck.
    """

    arbor: str
    period_s: float
    turn_ratio: float
    chance_probability: float


def stretches(log: BeatLog) -> tuple[Stretch, ...]:
    """The recording in up to twelve equal stretches of a minute or more; empty when there are not two."""
    first, last = float(log.times_s[0]), float(log.times_s[-1])
    count = min(int((last - first) / LEAST_STRETCH_S), MOST_STRETCHES)
    if count < 2:
        return ()
    out = []
    for k in range(count):
        low, high = first + (last - first) * k / count, first + (last - first) * (k + 1) / count
        here = (log.times_s >= low) & (log.times_s < high) if k + 1 < count else log.times_s >= low
        if int(here.sum()) < LEAST_BEATS:
            continue
        fit = rate_fit.fit_rate(BeatLog(*(getattr(log, name)[here] for name in _COLUMNS)))
        out.append(Stretch(low, high, fit.beat_s, fit.beat_u_s))
    return tuple(out) if len(out) > 1 else ()


def even_series(log: BeatLog, fit: RateFit) -> tuple[float, Array]:
    """Spacing [s] and relative frequency of the longest run without a stop, tick and tock averaged; empty when there
    are too many holes.
    """
    step = 2.0 * fit.beat_s * max(float(np.median(log.counts)), 1.0)
    times, late, runs = (column[fit.used] for column in (log.times_s, fit.residual_s, log.runs))
    # A run that a stop cuts without moving its beats goes on under its number: it is cut here.
    piece = np.cumsum(np.concatenate([[0], (np.diff(runs) != 0) | (np.diff(times) > _LONGEST_HOLE * step)]))
    here = piece == int(np.argmax(np.bincount(piece)))
    times, late = times[here], late[here]
    place = np.floor((times - times[0]) / step + 0.25).astype(int)
    counts = np.bincount(place)
    known = np.flatnonzero(counts)
    if known.size < 8 or np.mean(counts == 0) > _MOST_HOLES_RATIO:
        return step, np.zeros(0)
    phase = np.interp(np.arange(counts.size), known, np.bincount(place, late)[known] / counts[known])
    # A clock whose beats come later and later goes slow: its frequency is below its mean.
    return step, np.asarray(-np.diff(phase) / step)


def stop_folds(stops_s: Sequence[tuple[float, float]], arbors: Sequence[tuple[str, float]]) -> tuple[StopFold, ...]:
    """Stops folded on each arbor whose turn fits at least three times between the first and the last of them."""
    if len(stops_s) < LEAST_STOPS:
        return ()
    stood, going = 0.0, []
    for start, end in sorted(stops_s):
        going.append(start - stood)
        stood += end - start
    since = np.array(going) - going[0]
    tried = [(name, period) for name, period in arbors if since[-1] >= LEAST_TURNS * period]
    out = []
    for name, period in tried:
        mean = complex(np.mean(np.exp(2j * np.pi * since / period)))
        chance = min(1.0, rayleigh_probability(len(stops_s), abs(mean)) * len(tried))
        out.append(StopFold(name, period, math.atan2(mean.imag, mean.real) / (2.0 * math.pi) % 1.0, chance))
    return tuple(sorted(out, key=lambda one: one.period_s))


def rayleigh_probability(count: int, length_ratio: float) -> float:
    """Chance that so many directions without any preference have a mean this long [ratio]; for a chance up to 0.05 its
    error is below 0.02, to the safe side (a test).
    """
    z = count * length_ratio**2
    second = (2.0 * z - z**2) / (4.0 * count)
    third = (24.0 * z - 132.0 * z**2 + 76.0 * z**3 - 9.0 * z**4) / (288.0 * count**2)
    return float(np.clip(math.exp(-z) * (1.0 + second - third), 0.0, 1.0))
