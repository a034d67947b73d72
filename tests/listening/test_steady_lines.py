"""Rumble and hum under the beats: taken off, or found out; never allowed to hold the beats together."""

from dataclasses import replace

import numpy as np
import pytest

from underdial.listening import steady_lines, tick_template
from underdial.listening.follower import Follower
from underdial.listening.hearing import Expected, hear
from underdial.listening.simulator import Ticking, simulate
from underdial.uncertain import Uncertain

PENDULUM = Ticking(beats_per_hour=3600.0, asymmetry_s=0.010, jitter_s=1e-4, snr_db=26.944, rate_s_per_day=63.627)
NOISE = PENDULUM.level / 10 ** (PENDULUM.snr_db / 20.0)


def beat_errors(samples: np.ndarray, truth_s: np.ndarray, sample_hz: int = 48000) -> tuple[np.ndarray, float]:
    """How far each beat is timed off from its truth [s], the mean of its kind taken off, and the scatter that the beats
    show [s].
    """
    follower = Follower(sample_hz, 3600.0)
    follower.feed(samples)
    follower.close()

    assert follower.locked is not None
    log = follower.locked.log
    off = log.times_s - truth_s[[int(np.argmin(np.abs(truth_s - at))) for at in log.times_s]]
    for kind in (0, 1):
        off[log.kinds == kind] -= np.median(off[log.kinds == kind])
    return off, follower.locked.scatter_s


def test_a_hum_does_not_hold_the_beats_together() -> None:
    # The one recording of three hundred that was wrong: 23 us of scatter where there are 105, off by 0.33 s/day where
    # 0.024 was stated.
    rng = np.random.default_rng(91277)
    rng.uniform()
    clock = replace(PENDULUM, hum_db=21.54, hum_hz=50.0)
    samples, truth = simulate(clock, rng)
    off, scatter = beat_errors(samples, truth.beats_s)

    # Derived: the beats were made to scatter by 0.1 ms; of sixty a robust size is good to a fifth, and two kinds of
    # beat help.
    assert scatter == pytest.approx(1e-4, rel=0.4)
    # Derived: the least arrival error the noise allows is 2.7 us; 120 us was seen.
    assert 1.4826 * np.median(np.abs(off)) < 4.0 * truth.arrival_bound_s

    follower = Follower(48000, 3600.0)
    follower.feed(samples)
    follower.close()
    heard = hear(follower, Expected(Uncertain(3600.0), "given"))

    assert heard.beats_per_hour is not None
    stated = heard.parts_s_per_day[0] or 0.0
    # Derived: sixty beats of 0.1 ms cannot give the rate to better than this, whatever they agree on.
    assert stated > 0.8 * truth.rate_bound_s_per_day
    assert abs(heard.beats_per_hour.value / truth.beats_per_hour - 1.0) * 86400.0 < 3.0 * stated


@pytest.mark.parametrize("under", ["offset", "slow tone", "rumble"])
def test_what_lies_below_the_ticks_does_not_hold_the_beats_together(under: str) -> None:
    samples, truth = simulate(PENDULUM, np.random.default_rng(1))
    t = np.arange(samples.size) / 48000.0
    rumble = np.cumsum(np.random.default_rng(2).normal(0.0, 1.0, samples.size // 800))
    rumble = np.interp(t, np.arange(rumble.size) / 60.0, rumble - np.mean(rumble))
    sounds = {
        "offset": np.full(t.size, 30.0),
        "slow tone": 14.0 * np.sin(2 * np.pi * 23.7 * t),
        "rumble": 30.0 * rumble / np.std(rumble),
    }
    off, scatter = beat_errors((samples + NOISE * sounds[under]).astype(np.float32), truth.beats_s)

    # Derived: as above.
    assert scatter == pytest.approx(1e-4, rel=0.4)
    assert 1.4826 * np.median(np.abs(off)) < 4.0 * truth.arrival_bound_s


@pytest.mark.parametrize(
    ("beats_per_hour", "hum_hz", "sample_hz"),
    [(3600.0, 50.0, 48000), (18000.0, 60.0, 44100), (21600.0, 50.0, 8000), (36000.0, 50.0, 16000)],
)
def test_a_hum_is_taken_off_under_the_beats_too(beats_per_hour: float, hum_hz: float, sample_hz: int) -> None:
    clock = Ticking(duration_s=40.0, beats_per_hour=beats_per_hour, sample_hz=sample_hz, snr_db=30.0)
    plain, truth = simulate(clock, np.random.default_rng(3))
    t = np.arange(plain.size) / sample_hz
    # The mains wander by a few parts in ten thousand within a minute.
    turns = hum_hz * (t + 1e-3 * np.sin(2 * np.pi * t / 37.0))
    hum = sum(np.sin(2 * np.pi * k * turns + 1.7 * k) / k for k in range(1, 21))
    sigma = clock.level / 10**1.5
    samples = (plain + 10.0 * sigma * hum / np.std(hum)).astype(np.float32)
    cleared = steady_lines.without_steady_lines(samples, sample_hz, truth.beats_s, beat_s=3600.0 / beats_per_hour)
    under = (
        np.abs(
            (
                t[:, None] - truth.beats_s[np.searchsorted(truth.beats_s, t).clip(0, truth.beats_s.size - 1)][:, None]
            ).ravel()
        )
        < 0.01
    )
    left = cleared - plain

    # Derived: the hum put in is ten times the noise; a fifth of the noise is thirty-four decibels less.
    assert np.sqrt(np.mean(left[under] ** 2)) < 0.2 * sigma
    assert np.sqrt(np.mean(left**2)) < 0.2 * sigma


def test_sound_without_a_tone_is_handed_back_untouched() -> None:
    samples, truth = simulate(replace(PENDULUM, duration_s=20.0), np.random.default_rng(4))

    assert steady_lines.without_steady_lines(samples, 48000, truth.beats_s, beat_s=1.0) is samples


def test_beats_that_the_looking_puts_in_are_found_out() -> None:
    clock = replace(PENDULUM, hum_db=21.54)
    rng = np.random.default_rng(91277)
    rng.uniform()
    humming, truth = simulate(clock, rng)
    plain, _ = simulate(PENDULUM, np.random.default_rng(1))
    follows = []
    for samples, beats in ((humming, truth.beats_s), (plain, simulate(PENDULUM, np.random.default_rng(1))[1].beats_s)):
        kinds = (np.arange(beats.size) % 2).astype(np.int8)
        lens = tick_template.make_lens(samples, 48000, beats, beat_s=1.0)
        # Where a steady clock would be expected: each beat's own jitter is not known beforehand.
        expected = np.polyval(np.polyfit(np.arange(beats.size), beats, 1), np.arange(beats.size)) + np.where(
            kinds == 1, 0.005, -0.005
        )
        templates, got = tick_template.fit_templates(samples, lens, expected, kinds, within_s=0.012)
        follows.append(tick_template.follows_ratio(samples, lens, templates, got.times_s, kinds, within_s=0.012))

    # Derived: clicks of the window's own edges go all the way with it, ticks of the clock not at all.
    assert follows[0] > 0.5
    assert abs(follows[1]) < 0.05
