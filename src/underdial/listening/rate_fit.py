"""Beat times to the mean period with an honest error: all beats fitted at once, two kinds of noise weighed.

A clock's beats scatter in two ways. Scatter that does not last (the ear's error, play of the pallets) leaves the next
beat alone; scatter of the period itself is carried on by every later beat, and sets the real limit of a long run.
Which it is, the beats say: their differences have a covariance with three diagonals whose shape depends on the ratio
of the two; the fit is averaged over twenty-four ratios by restricted likelihood. Tick and tock have their own mark.

Limits: twelve beats or more; the ratio constant over the run. Sources: restricted likelihood [Harville1977]_;
averaging over models [Hoeting1999]_; biweight [Beaton1974]_.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg, stats

Array = NDArray[np.float64]

LEAST_BEATS = 12
SECONDS_PER_DAY = 86400.0
_RATIOS = np.concatenate([[0.0], np.geomspace(1e-5, 1e3, 23)])
_MOST_POINTS = 20000


@dataclass(frozen=True, slots=True)
class BeatLog:
    """Beats in time order: time [s], number along the run (gaps counted), kind 0 or 1, run (new after each stop).

    In a log of days a row is the mean of `counts` neighbouring beats of one kind, and its number may be a fraction.
    """

    times_s: Array
    numbers: Array
    kinds: NDArray[np.int8]
    runs: NDArray[np.int16]
    strength: NDArray[np.float32]
    counts: NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class RateFit:
    """Mean beat [s], its standard error, late kind 1 against kind 0 [s], sizes of both noises, freedom left.

    `residual_s` is each used beat's lateness against the straight fit; `used` marks the beats that were not set aside.
    """

    beat_s: float
    beat_u_s: float
    late_s: float
    late_u_s: float
    scatter_s: float
    walk_s: float
    freedom: int
    residual_s: Array
    used: NDArray[np.bool_]


def fit_rate(log: BeatLog) -> RateFit:
    """Fit the mean beat to a log of at least twelve beats (asserted: the callers refuse before)."""
    assert log.times_s.size >= LEAST_BEATS
    rough, used = _rough_fit(log)
    points = _points(log, used, rough)
    beat, late, scatter, walk = _weigh_noises(points, rough)
    residual = log.times_s - beat[0] * log.numbers - late[0] * log.kinds
    for run in np.unique(log.runs):
        here = log.runs == run
        residual[here] -= np.median(residual[here & used]) if np.any(here & used) else 0.0
    freedom = max(int(points.late_s.size) - 2 - int(np.unique(log.runs).size), 1)
    return RateFit(beat[0], beat[1], late[0], late[1], scatter, walk, freedom, residual, used)


def half_width_95(fit: RateFit) -> float:
    """Half the 95 % interval of the mean beat [s], by Student's t for the freedom left."""
    return float(stats.t.ppf(0.975, fit.freedom)) * fit.beat_u_s


def rate_s_per_day(*, beat_s: float, nominal_beat_s: float) -> float:
    """Gain of a clock in a day [s/day] from its beat and the beat it should have [s]; a short beat gains."""
    return (nominal_beat_s / beat_s - 1.0) * SECONDS_PER_DAY


@dataclass(frozen=True, slots=True)
class _Points:
    """Lateness against the rough fit at each point, with how many beats it is the mean of."""

    late_s: Array
    numbers: Array
    kinds: Array
    runs: NDArray[np.int16]
    counts: Array


def _rough_fit(log: BeatLog) -> tuple[tuple[float, float], NDArray[np.bool_]]:
    """Biweight straight line with a mark for the second kind; then beats far from their neighbours are set aside."""
    _, where = np.unique(log.runs, return_inverse=True)
    kinds = [log.kinds.astype(float) - 0.5] if np.unique(log.kinds).size > 1 else []
    design = np.column_stack([log.numbers - float(np.mean(log.numbers)), *kinds])
    times = log.times_s - float(log.times_s[0])
    weight = np.ones(times.size)
    for _ in range(12):
        # Each run has a start of its own: taking off its weighted mean is the same as fitting it.
        heavy = np.bincount(where, weight)
        level = np.bincount(where, times * weight) / heavy
        levels = np.column_stack([np.bincount(where, column * weight) / heavy for column in design.T])
        root = np.sqrt(weight)
        solution = np.linalg.lstsq((design - levels[where]) * root[:, None], (times - level[where]) * root, rcond=None)[
            0
        ]
        late = times - level[where] - (design - levels[where]) @ solution
        size = max(1.4826 * float(np.median(np.abs(late))), 1e-7)
        weight = np.clip(1.0 - (late / (6.0 * size)) ** 2, 1e-6, 1.0) ** 2
    # A wandering period bends the whole line; what counts as far is judged against the nearest ten beats.
    near = _beyond_neighbours(late)
    size = max(1.4826 * float(np.median(np.abs(near))), 1e-7)
    return (float(solution[0]), float(solution[1]) if kinds else 0.0), np.abs(near) < 6.0 * size


def _beyond_neighbours(late: Array) -> Array:
    """How far each beat lies from the line through its ten nearest neighbours, itself left out.

    A median of eleven that held the beat would be the beat itself wherever the rate is off by more than the scatter.
    """
    width = min(11, late.size)
    own = np.arange(late.size)[:, None]
    start = np.clip(own - width // 2, 0, late.size - width)
    which = start + np.arange(width - 1)
    which += which >= own
    x, y = (which - own).astype(float), late[which]
    half = (width - 1) // 2
    slope = (np.median(y[:, half:], axis=1) - np.median(y[:, :half], axis=1)) / (
        x[:, half:].mean(axis=1) - x[:, :half].mean(axis=1)
    )
    return np.asarray(late - np.median(y - slope[:, None] * x, axis=1))


def _points(log: BeatLog, used: NDArray[np.bool_], rough: tuple[float, float]) -> _Points:
    """Beats, or for a long log means of neighbouring beats of one kind, as late against the rough fit."""
    late = log.times_s - rough[0] * log.numbers - rough[1] * log.kinds
    keep = np.flatnonzero(used)
    late, numbers, kinds, runs = (
        late[keep],
        log.numbers[keep].astype(float),
        log.kinds[keep].astype(float),
        log.runs[keep],
    )
    size = int(np.ceil(keep.size / _MOST_POINTS))
    if size <= 1:
        return _Points(late, numbers, kinds, runs, log.counts[keep].astype(float))
    lot = (np.arange(keep.size) // (2 * size)).astype(np.int64) * 4 + (kinds > 0) * 2
    lot += (runs != runs[np.minimum(lot // 4 * 2 * size, keep.size - 1)]).astype(np.int64)
    _, where, counts = np.unique(lot, return_inverse=True, return_counts=True)
    mean = [np.bincount(where, one) / counts for one in (late, numbers, kinds, runs.astype(float))]
    beats = np.bincount(where, log.counts[keep]).astype(float)
    order = np.lexsort((mean[1], np.round(mean[3])))
    return _Points(
        mean[0][order], mean[1][order], mean[2][order], np.round(mean[3][order]).astype(np.int16), beats[order]
    )


def _weigh_noises(
    points: _Points, rough: tuple[float, float]
) -> tuple[tuple[float, float], tuple[float, float], float, float]:
    together = np.diff(points.runs) == 0
    step = np.diff(points.numbers)[together]
    change = np.diff(points.late_s)[together]
    design = np.column_stack([step, np.diff(points.kinds)[together]])
    if not np.any(design[:, 1]):
        design = design[:, :1]
    white = 1.0 / points.counts
    own = (white[1:] + white[:-1])[together]
    # Two differences share the beat between them, unless a run ended there.
    at = np.flatnonzero(together)
    shared = np.where(np.diff(at) == 1, -white[at[1:]], 0.0)
    rows = [_one_ratio(ratio, step, change, design, own, shared) for ratio in _RATIOS]
    log_chance = np.array([row[0] for row in rows])
    # No wander at all is believed beforehand as much as four sizes of it: more, and a small wander that the beats
    # cannot show is too often left out of the error; less, and every short recording of a good clock looks worse.
    log_chance[0] += np.log(4.0)
    chance = np.exp(log_chance - log_chance.max())
    chance /= chance.sum()
    values = np.array([row[1] for row in rows])
    spreads = np.array([row[2] for row in rows])
    mean = chance @ values
    variance = chance @ (spreads + (values - mean) ** 2)
    scatter = float(chance @ np.array([row[3] for row in rows]))
    walk = float(chance @ np.array([row[3] * np.sqrt(ratio) for row, ratio in zip(rows, _RATIOS, strict=True)]))
    late = (rough[1] + mean[1], float(np.sqrt(variance[1]))) if mean.size > 1 else (rough[1], 0.0)
    return (rough[0] + float(mean[0]), float(np.sqrt(variance[0]))), (float(late[0]), late[1]), scatter, walk


def _one_ratio(
    ratio: float, step: Array, change: Array, design: Array, own: Array, shared: Array
) -> tuple[float, Array, Array, float]:
    """Log restricted likelihood, estimates, their variances and the scatter at one ratio of the two noises."""
    band = np.zeros((2, change.size))
    band[0] = own + ratio * step
    band[1, :-1] = shared
    root = linalg.cholesky_banded(band, lower=True)
    solved = linalg.cho_solve_banded((root, True), np.column_stack([design, change]))
    normal = design.T @ solved[:, :-1]
    estimate = np.linalg.solve(normal, design.T @ solved[:, -1])
    left = change - design @ estimate
    freedom = change.size - design.shape[1]
    variance = max(float(left @ linalg.cho_solve_banded((root, True), left)) / freedom, 1e-24)
    log_chance = -0.5 * (freedom * np.log(variance) + 2.0 * np.sum(np.log(root[0])) + np.linalg.slogdet(normal)[1])
    return float(log_chance), estimate, variance * np.diag(np.linalg.inv(normal)), float(np.sqrt(variance))
