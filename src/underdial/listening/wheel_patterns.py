"""Which arbor: beats that come late, and late again one turn of a wheel on.

For each arbor whose turn fits at least three times into the record, a sine and its double of that period are fitted to
the residuals with the slow drift of the rate in the same fit, and judged by the F test. The chance of a pattern that
good by luck is multiplied by the number of arbors tried. Sound numbers no teeth: the rose begins at the first beat.

Limits: periods of six beats or more. Sources: F test of nested fits [Draper1998]_; correction [Bonferroni1936]_.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from underdial.listening.rate_fit import BeatLog, RateFit

Array = NDArray[np.float64]

LEAST_TURNS = 3.0
SURE_PROBABILITY = 1e-3
_LEAST_BEATS_A_TURN = 6.0


@dataclass(frozen=True, slots=True)
class Pattern:
    """One period tried: its arbor if known, half the swing from early to late [s], chance of that by luck.

    `needed_s` is how long a recording must be to tell of this arbor at all; the last two are None when this one was too
    short.
    """

    period_s: float
    arbor: str | None
    peak_s: float | None
    chance_probability: float | None
    needed_s: float


def patterns(log: BeatLog, fit: RateFit, arbors: tuple[tuple[str, float], ...]) -> tuple[Pattern, ...]:
    """Try the period of every arbor; the shortest first."""
    span = float(log.times_s[-1] - log.times_s[0])
    grain = float(np.median(log.counts)) * 2.0 * fit.beat_s
    fits = [
        one
        for one in arbors
        if one[1] * LEAST_TURNS <= span and one[1] >= max(_LEAST_BEATS_A_TURN * fit.beat_s, 2.0 * grain)
    ]
    out = []
    for name, period in sorted(arbors, key=lambda one: one[1]):
        if (name, period) in fits:
            peak, chance = _one_period(log, fit, period)
            out.append(Pattern(period, name, peak, min(1.0, chance * len(fits)), LEAST_TURNS * period))
        else:
            out.append(Pattern(period, name, None, None, LEAST_TURNS * period))
    return tuple(out)


def without_patterns(log: BeatLog, fit: RateFit, found: tuple[Pattern, ...]) -> BeatLog:
    """The log with the swing of every sure pattern taken off its times: a known swing is no doubt about the rate."""
    times = log.times_s.copy()
    for one in found:
        if one.chance_probability is None or one.chance_probability >= SURE_PROBABILITY:
            continue
        base, wave = _drift_terms(log, fit, one.period_s), _wave(log.times_s, one.period_s)
        both = np.column_stack([base, wave])
        solution = np.linalg.lstsq(both[fit.used], fit.residual_s[fit.used], rcond=None)[0]
        times -= wave @ solution[-4:]
    return replace(log, times_s=times)


def rose(log: BeatLog, fit: RateFit, *, period_s: float, petals_count: int) -> tuple[Array, Array]:
    """Mean lateness [s] and its standard error [s] in each petal of a turn, drift taken out, the first beat in petal
    0.
    """
    used = fit.used
    late = _without_drift(log, fit)[used]
    turn = (log.numbers[used] - log.numbers[used][0]) * fit.beat_s / period_s
    petal = np.floor(turn % 1.0 * petals_count).astype(int) % petals_count
    counts = np.maximum(np.bincount(petal, minlength=petals_count), 1)
    mean = np.bincount(petal, late, petals_count) / counts
    spread = float(np.std(late - mean[petal]))
    return mean, spread / np.sqrt(counts)


def _one_period(log: BeatLog, fit: RateFit, period_s: float) -> tuple[float, float]:
    used = fit.used
    times = log.times_s[used]
    late = fit.residual_s[used]
    base = _drift_terms(log, fit, period_s)[used]
    wave = _wave(times, period_s)
    without = late - base @ np.linalg.lstsq(base, late, rcond=None)[0]
    both = np.column_stack([base, wave])
    solution = np.linalg.lstsq(both, late, rcond=None)[0]
    within = late - both @ solution
    freedom = late.size - both.shape[1]
    if freedom < 10:
        return 0.0, 1.0
    correlated = _inflation(within)
    value = ((without @ without - within @ within) / 4.0) / ((within @ within) / freedom) / correlated
    shape = _wave(np.arange(360) / 360.0, 1.0) @ solution[-4:]
    return float(np.ptp(shape) / 2.0), float(stats.f.sf(value, 4, max(freedom / correlated, 5.0)))


def _wave(times_s: Array, period_s: float) -> Array:
    """A sine and its double of one period, as four columns."""
    angle = 2.0 * np.pi * times_s / period_s
    return np.column_stack([np.cos(angle), np.sin(angle), np.cos(2.0 * angle), np.sin(2.0 * angle)])


def _drift_terms(log: BeatLog, fit: RateFit, period_s: float) -> Array:
    """Slow terms up to one bend every three turns: enough for a drifting rate, too slow to swallow the pattern."""
    times = log.times_s
    span = float(times[-1] - times[0])
    bends = int(np.clip(span / period_s / LEAST_TURNS, 2, 24))
    x = 2.0 * (times - times[0]) / span - 1.0
    kinds = [log.kinds.astype(float)] if np.unique(log.kinds).size > 1 else []
    runs = [(log.runs == run).astype(float) for run in np.unique(log.runs)[1:]]
    return np.column_stack([np.polynomial.chebyshev.chebvander(x, bends), *kinds, *runs])


def _without_drift(log: BeatLog, fit: RateFit) -> Array:
    base = _drift_terms(log, fit, float(log.times_s[-1] - log.times_s[0]) / 12.0)
    used = fit.used
    return np.asarray(fit.residual_s - base @ np.linalg.lstsq(base[used], fit.residual_s[used], rcond=None)[0])


def _inflation(left: Array) -> float:
    """How much neighbours that hang together swell the F value: from the first fifty lags, never below one."""
    centred = left - left.mean()
    power = float(centred @ centred)
    if power <= 0.0:
        return 1.0
    lags = min(50, left.size // 4)
    chain = [float(centred[:-k] @ centred[k:]) / power for k in range(1, lags)]
    total = 1.0
    for one in chain:
        # The chain is cut where it first falls into its own noise.
        if one < 2.0 / np.sqrt(left.size):
            break
        total += 2.0 * one
    return total
