"""A recorder's own clock, from frames against the system's clock and from a reference tick."""

import numpy as np
import pytest

from underdial.errors import BadInput
from underdial.listening import recorder_clock


def stamps(ppm: float, *, span_s: float = 3600.0, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    true = np.arange(0.0, span_s, 0.5)
    frames = np.round(true * 48000 * (1 + ppm * 1e-6))
    return frames, 1e9 + true + rng.exponential(0.01, true.size)


@pytest.mark.parametrize("ppm", [-80.0, 0.0, 25.0])
def test_frames_against_system_time_give_the_clock_back(ppm: float) -> None:
    frames, times = stamps(ppm)
    got = recorder_clock.estimate_from_frames(frames_count=frames, stamps_s=times, sample_hz=48000, wander_s=0.0)

    # Derived: the truth put in; late stamps of 10 ms leave the least of ninety within 0.1 ms, some 0.1 ppm over an
    # hour.
    assert got.value == pytest.approx(ppm, abs=max(4 * got.u, 0.3))


def test_the_wander_of_network_time_is_part_of_the_error() -> None:
    frames, times = stamps(5.0)
    got = recorder_clock.estimate_from_frames(frames_count=frames, stamps_s=times, sample_hz=48000, wander_s=0.005)

    # Derived: sqrt(2) * 5 ms over an hour is 1.96 parts in a million.
    assert got.u == pytest.approx(1.96, rel=0.1)


def test_under_five_minutes_are_refused() -> None:
    frames, times = stamps(5.0, span_s=200.0)

    with pytest.raises(BadInput, match="300 s"):
        recorder_clock.estimate_from_frames(frames_count=frames, stamps_s=times, sample_hz=48000, wander_s=0.0)


def test_a_reference_tick_that_seems_slow_shows_a_fast_recorder() -> None:
    got = recorder_clock.estimate_from_reference(
        heard_beat_s=1.00002, heard_u_s=1e-8, true_beat_s=1.0, true_u_ratio=5.8e-6
    )

    # Derived: 20 parts in a million more frames than there should be.
    assert got.value == pytest.approx(20.0, abs=1e-6)
    # Derived: the quartz clock's own 15 s a month.
    assert got.u == pytest.approx(5.8, abs=0.01)
