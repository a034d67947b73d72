"""Beat times made from known noise, back to the rate with an honest error."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from underdial.listening import rate_fit
from underdial.listening.rate_fit import BeatLog

MICROSECOND = 1e-6


def beats(
    count: int, *, beat_s: float, scatter_s: float = 1e-4, walk_s: float = 0.0, late_s: float = 0.004, seed: int = 1
) -> BeatLog:
    rng = np.random.default_rng(seed)
    numbers = np.arange(count)
    kinds = (numbers % 2).astype(np.int8)
    times = (
        0.3
        + beat_s * numbers
        + late_s * kinds
        + rng.normal(0, scatter_s, count)
        + np.cumsum(rng.normal(0, walk_s, count) if walk_s else np.zeros(count))
    )
    return BeatLog(
        times,
        numbers.astype(float),
        kinds,
        np.zeros(count, dtype=np.int16),
        np.ones(count, dtype=np.float32),
        np.ones(count, dtype=np.float32),
    )


def test_a_clock_without_scatter_gives_its_beat_and_lateness_back() -> None:
    fit = rate_fit.fit_rate(beats(100, beat_s=0.5, scatter_s=1e-9))

    # Derived: the truth put in; rounding of times near 50 s in double precision is far below a nanosecond.
    assert fit.beat_s == pytest.approx(0.5, abs=1e-9)
    # Derived: the truth put in.
    assert fit.late_s == pytest.approx(0.004, abs=1e-8)


def test_a_short_beat_gains() -> None:
    # Derived: 1/0.999 of a day is 86486.5 s, 86.486 s too many.
    assert rate_fit.rate_s_per_day(beat_s=0.999, nominal_beat_s=1.0) == pytest.approx(86.486, abs=0.001)


def test_beats_far_from_their_neighbours_are_set_aside() -> None:
    log = beats(200, beat_s=0.5)
    moved = [0, 20, 77, 150, 199]
    log.times_s[moved] += 0.02
    fit = rate_fit.fit_rate(log)

    # Derived: five beats, the first and the last among them, were moved by two hundred scatters.
    assert not fit.used[moved].any()
    # Derived: those five at least, and no more than a few honest ones besides.
    assert 5 <= np.sum(~fit.used) <= 10


def test_wander_of_the_period_is_seen_and_widens_the_error() -> None:
    steady = rate_fit.fit_rate(beats(300, beat_s=0.4))
    wandering = rate_fit.fit_rate(beats(300, beat_s=0.4, walk_s=3e-4))

    # Derived: 300 us a beat over the square root of 300 beats is 17 us a beat; jitter alone gives sqrt(12) 100 us /
    # 300^1.5 = 0.07 us.
    assert wandering.beat_u_s == pytest.approx(17 * MICROSECOND, rel=0.4)
    # Derived: as above, with room for the doubt whether the period wanders.
    assert steady.beat_u_s < 0.3 * MICROSECOND


@settings(max_examples=20, deadline=None)
@given(shift=st.floats(-1e4, 1e4), scale=st.floats(0.3, 3.0))
def test_later_start_changes_nothing_and_a_slower_clock_scales(shift: float, scale: float) -> None:
    log = beats(60, beat_s=0.5)
    one = rate_fit.fit_rate(log)
    moved = rate_fit.fit_rate(
        BeatLog(log.times_s * scale + shift, log.numbers, log.kinds, log.runs, log.strength, log.counts)
    )

    # Derived: a straight fit is linear in the times; 1e-9 s is what is left of doubles near 1e4 s.
    assert moved.beat_s == pytest.approx(one.beat_s * scale, abs=1e-8)


def test_a_stop_in_the_middle_does_not_bend_the_rate() -> None:
    log = beats(200, beat_s=0.5)
    later = log.numbers >= 100
    log.times_s[later] += 17.3
    log.runs[later] = 1
    fit = rate_fit.fit_rate(log)

    # Derived: the truth put in, within four standard errors of two runs of a hundred (0.35 us / sqrt 2 each).
    assert fit.beat_s == pytest.approx(0.5, abs=1.5 * MICROSECOND)


@pytest.mark.slow
@pytest.mark.parametrize(("walk_s", "low"), [(0.0, 0.93), (1e-4, 0.88)])
def test_intervals_of_95_in_100_hold_the_truth_about_as_often(walk_s: float, low: float) -> None:
    inside = []
    for seed in range(400):
        fit = rate_fit.fit_rate(beats(100, beat_s=0.5, walk_s=walk_s, seed=seed))
        inside.append(abs(fit.beat_s - 0.5) <= rate_fit.half_width_95(fit))

    # Derived: 0.95 less three standard errors of 400 trials (0.033), and for a wander the loss that its own doubt
    # costs.
    assert np.mean(inside) >= low


def test_a_rate_off_by_more_than_the_scatter_sets_no_honest_beat_aside() -> None:
    log = beats(3000, beat_s=0.4)
    # A day's warmth within twenty minutes: forty seconds a day up and down, 185 us a beat where a beat scatters by 100.
    swung = log.times_s - 40.0 / 86400.0 * 1200.0 / (2 * np.pi) * (1.0 - np.cos(2 * np.pi * log.times_s / 1200.0))
    fit = rate_fit.fit_rate(BeatLog(swung, log.numbers, log.kinds, log.runs, log.strength, log.counts))

    # Derived: of 3000 normal beats none lies beyond six standard deviations (2e-9 each); a robust size may be a tenth
    # short.
    assert np.mean(fit.used) > 0.999
    # Derived: the sine has no mean over the 1200 s; what the error must say is that of a wander of that size.
    assert abs(fit.beat_s - 0.4) < 3.0 * fit.beat_u_s


def test_more_beats_than_are_weighed_one_by_one_are_taken_in_lots_that_end_with_their_run() -> None:
    count = 50_001
    log = beats(count, beat_s=0.5)
    later = log.numbers >= 20_002
    log.times_s[later] += 17.3
    log.runs[later] = 1

    points = rate_fit._points(log, np.ones(count, dtype=bool), (0.5, 0.004))

    # Derived: no beat is lost, and no more points are left than may be weighed, of either kind and with one lot cut.
    assert points.counts.sum() == count
    assert points.late_s.size <= 20_000 + 4
    assert set(np.unique(points.kinds)) == {0.0, 1.0}
    # Derived: the lateness put in is 0.3 s, after the stop 17.3 s more; a lot that held both would lie between.
    expected = np.where(points.runs == 1, 17.6, 0.3)
    assert np.abs(points.late_s - expected).max() < 6e-4
    # Derived: within a run the points stand in the order of their numbers.
    assert all((np.diff(points.numbers[points.runs == run]) >= 0.0).all() for run in (0, 1))


def dense_fit(log: BeatLog) -> tuple[np.ndarray, np.ndarray, float, float]:
    """Mean beat and lateness, their errors, scatter and walk, with whole matrices and a weight for each ratio.

    Noises of beats and of periods laid into one covariance; differences within runs by a matrix; restricted likelihood
    [Harville1977]_; models averaged with the variance between them [Hoeting1999]_.
    """
    n = log.times_s.size
    together = [i for i in range(n - 1) if log.runs[i] == log.runs[i + 1]]
    take = np.zeros((len(together), n))
    for row, i in enumerate(together):
        take[row, i], take[row, i + 1] = -1.0, 1.0
    columns = take @ np.column_stack([log.numbers, log.kinds.astype(float)])
    wander = np.minimum.outer(log.numbers, log.numbers)
    chances, beat, variances, scatters = [], [], [], []
    for ratio in [0.0, *np.geomspace(1e-5, 1e3, 23)]:
        cover = take @ (np.diag(1.0 / log.counts) + ratio * wander) @ take.T
        inverse = np.linalg.inv(cover)
        normal = columns.T @ inverse @ columns
        found = np.linalg.solve(normal, columns.T @ inverse @ (take @ log.times_s))
        left = take @ log.times_s - columns @ found
        freedom = len(together) - 2
        size = float(left @ inverse @ left) / freedom
        likelihood = -0.5 * (freedom * np.log(size) + np.linalg.slogdet(cover)[1] + np.linalg.slogdet(normal)[1])
        chances.append(likelihood + (np.log(4.0) if ratio == 0.0 else 0.0))
        beat.append(found)
        variances.append(size * np.diag(np.linalg.inv(normal)))
        scatters.append(np.sqrt(size))
    weight = np.exp(np.array(chances) - max(chances))
    weight /= weight.sum()
    mean = weight @ np.array(beat)
    between = weight @ (np.array(variances) + (np.array(beat) - mean) ** 2)
    walks = np.array(scatters) * np.sqrt([0.0, *np.geomspace(1e-5, 1e3, 23)])
    return mean, np.sqrt(between), float(weight @ np.array(scatters)), float(weight @ walks)


@pytest.mark.parametrize(("walk_s", "seed"), [(0.0, 1), (1e-4, 2), (1e-4, 3), (4e-4, 4)])
def test_the_banded_fit_of_two_noises_is_that_of_whole_matrices(walk_s: float, seed: int) -> None:
    log = beats(40, beat_s=0.5, walk_s=walk_s, seed=seed)
    log.runs[log.numbers >= 23] = 1
    log.times_s[log.numbers >= 23] += 3.0
    log.counts[:] = 1.0 + log.numbers % 3
    fit = rate_fit.fit_rate(log)
    assert fit.used.all()

    beat, u, scatter, walk = dense_fit(log)

    # Derived: the same law written with whole matrices; what is left is rounding of times near 20 s.
    assert (fit.beat_s, fit.late_s) == pytest.approx(tuple(beat), abs=1e-12)
    assert (fit.beat_u_s, fit.late_u_s) == pytest.approx(tuple(u), rel=1e-6)
    assert (fit.scatter_s, fit.walk_s) == pytest.approx((scatter, walk), rel=1e-6)
    # Derived: what a beat is late by is what is left of it, about the middle of its run.
    straight = log.times_s - fit.beat_s * log.numbers - fit.late_s * log.kinds
    for run in (0, 1):
        here = log.runs == run
        assert fit.residual_s[here] == pytest.approx(straight[here] - np.median(straight[here]), abs=1e-12)
