"""A recording over its own length: stretches, an even series, stops folded on the arbors."""

from __future__ import annotations

import numpy as np
import pytest

from underdial.listening import over_time, rate_fit
from underdial.listening.follower import Follower
from underdial.listening.hearing import Expected, Heard, hear
from underdial.listening.rate_fit import BeatLog
from underdial.listening.simulator import Ticking, simulate
from underdial.uncertain import Uncertain

BEAT_S = 0.4


def log_of(times_s: np.ndarray, runs: np.ndarray | None = None) -> BeatLog:
    count = times_s.size
    numbers = np.arange(count, dtype=float)
    return BeatLog(
        times_s,
        numbers,
        (np.arange(count) % 2).astype(np.int8),
        np.zeros(count, dtype=np.int16) if runs is None else runs,
        np.ones(count, dtype=np.float32),
        np.ones(count, dtype=np.float32),
    )


def test_a_rate_that_changes_half_way_shows_in_the_stretches() -> None:
    rng = np.random.default_rng(1)
    beat = np.where(np.arange(1520) < 760, BEAT_S, BEAT_S * (1.0 + 1e-4))
    parts = over_time.stretches(log_of(np.cumsum(beat) + rng.normal(0.0, 5e-5, 1520)))

    # Derived: 608 s make ten stretches of a minute.
    assert len(parts) == 10
    assert parts[0].beat_s == pytest.approx(BEAT_S, abs=5.0 * parts[0].beat_u_s)
    assert parts[-1].beat_s == pytest.approx(BEAT_S * (1.0 + 1e-4), abs=5.0 * parts[-1].beat_u_s)
    assert parts[0].beat_u_s < 0.1e-4 * BEAT_S  # Derived: a tenth of the change: sqrt(12) 50 us / 150^1.5 is 0.1 us


def test_under_two_minutes_has_no_stretches() -> None:
    assert over_time.stretches(log_of(np.arange(200) * BEAT_S)) == ()


def test_the_even_series_has_the_sign_of_a_rate() -> None:
    # Derived: beats grow longer by one part in ten thousand over the record, so from the first to the last tenth the
    # frequency falls by nine tenths of that.
    count = 2000
    times = np.cumsum(BEAT_S * (1.0 + 1e-4 * np.linspace(0.0, 1.0, count)))
    log = log_of(times)
    step, frequency = over_time.even_series(log, rate_fit.fit_rate(log))

    # Derived: two beats a point; nine tenths of the change, of which a tenth is averaged at each end.
    assert step == pytest.approx(2.0 * BEAT_S, rel=1e-3)
    assert frequency[-100:].mean() - frequency[:100].mean() == pytest.approx(-0.9e-4, rel=0.02)


def test_white_scatter_makes_the_series_wander_as_it_must() -> None:
    from underdial.mechanics.rate_statistics import allan

    log = log_of(np.arange(4000) * BEAT_S + np.random.default_rng(2).normal(0.0, 1e-4, 4000))
    step, frequency = over_time.even_series(log, rate_fit.fit_rate(log))
    (found,) = allan("oadev", frequency.tolist(), [8.0 * step], rate_hz=1.0 / step)

    # Derived: white phase of 0.1 ms / sqrt 2 (two beats a point) gives sqrt(3) of it over the span.
    assert found == pytest.approx(3.0**0.5 * 1e-4 / 2.0**0.5 / (8.0 * step), rel=0.1)


def test_a_series_full_of_holes_is_none() -> None:
    keep = np.random.default_rng(3).random(1000) < 0.4
    log = log_of(np.arange(1000) * BEAT_S)
    thin = BeatLog(
        *(getattr(log, name)[keep] for name in ("times_s", "numbers", "kinds", "runs", "strength", "counts"))
    )

    assert over_time.even_series(thin, rate_fit.fit_rate(thin))[1].size == 0


def test_stops_at_one_place_of_a_wheel_gather_there_whatever_it_stood_for() -> None:
    rng = np.random.default_rng(4)
    # The third wheel turns in 240 s; it stops at one place of it after 3, 4, 7, 9 and 12 turns, and stands for a while
    # each time.
    stops, stood = [], 0.0
    for turns in (3, 4, 7, 9, 12):
        start = 240.0 * (turns + 0.02 * rng.normal()) + stood
        stands = float(rng.uniform(20.0, 400.0))
        stops.append((start, start + stands))
        stood += stands
    folds = {
        one.arbor: one
        for one in over_time.stop_folds(
            stops, (("third_wheel", 240.0), ("second_wheel", 3600.0), ("fourth_wheel", 37.0))
        )
    }

    # Derived: five stops within some hundredths of one place; at places of no rule on the other.
    assert folds["third_wheel"].chance_probability < 0.01
    assert folds["fourth_wheel"].chance_probability > 0.01
    # Derived: nine turns of 240 s are not three of an hour.
    assert "second_wheel" not in folds


def test_two_stops_tell_nothing() -> None:
    assert over_time.stop_folds([(100.0, 120.0), (900.0, 950.0)], (("escape_wheel", 24.0),)) == ()


@pytest.mark.parametrize("count", [3, 5, 12])
def test_directions_by_luck_are_as_rare_as_they_are_said_to_be(count: int) -> None:
    rng = np.random.default_rng(5)
    long = np.abs(np.exp(2j * np.pi * rng.random((20000, count))).mean(axis=1))
    said = np.array([over_time.rayleigh_probability(count, one) for one in long])

    for level in (0.01, 0.05):
        # Derived: 20000 draws give 0.0015 at one in twenty; the series is cut after the second power of 1/n, which for
        # three directions errs to the safe side.
        assert level - 0.02 < float(np.mean(said < level)) < level + 0.005


def going_and_standing(*lasts_s: float) -> Heard:
    """A clock of 9000 beats that goes and stands by turns, so long each, heard with its count; the room is as quiet
    when it stands.
    """
    sample_hz, rng = 16000, np.random.default_rng(2)
    went = [
        simulate(
            Ticking(duration_s=lasts, sample_hz=sample_hz, beats_per_hour=9000.0, jitter_s=5e-5, level=0.2),
            np.random.default_rng(1),
        )[0]
        for lasts in lasts_s[::2]
    ]
    stood = [
        rng.normal(0.0, float(np.std(went[0][:100])), int(lasts * sample_hz)).astype(np.float32)
        for lasts in lasts_s[1::2]
    ]
    follower = Follower(sample_hz, 9000.0)
    for k in range(len(lasts_s)):
        follower.feed(stood[k // 2] if k % 2 else went[k // 2])
    follower.close()
    return hear(follower, Expected(Uncertain(9000.0), "given"))


def test_a_clock_that_stood_longer_than_it_went_is_heard_and_not_called_noisy() -> None:
    heard = going_and_standing(60.0, 150.0, 40.0)

    assert heard.refusal is None
    ((start, end),) = heard.stops_s
    # Derived: as put together; two beats of 0.4 s may be lost at a cut.
    assert (start, end) == (pytest.approx(60.0, abs=0.9), pytest.approx(210.0, abs=0.9))
    # Derived: 250 beats in the hundred seconds that it went, and the edges of a stretch
    assert heard.beats_expected_count < 300


def test_stops_are_dated_well_enough_to_be_folded_on_a_wheel() -> None:
    # It goes for 3, 4 and 5 turns of a wheel of 24 s between stops of no such length.
    heard = going_and_standing(72.0, 31.3, 96.0, 18.7, 120.0, 40.1)
    (fold,) = over_time.stop_folds(heard.stops_s, (("escape_wheel", 24.0),))

    # Derived: starts of stops at 72, 199.3 and 338 s; three stops all at one place have a chance of 0.033 by the
    # series.
    assert [start for start, _ in heard.stops_s] == [pytest.approx(one, abs=0.9) for one in (72.0, 199.3, 338.0)]
    assert fold.chance_probability < 0.04
