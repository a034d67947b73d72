"""Whether the beats belong to music: notes that change from beat to beat, yet begin in step with the beats.

A drum is as regular as a clock, and a machine's drum more so. What no movement does is to play: from one beat to the
next the tones differ, and they set in where the beats are. A voice or a wireless in the room has changing tones too,
but they keep no step with a clock. What comes again at each beat alike (the tick, the ringing of a gong or a case, the
room's answer) is left out, being its own median over the beats.

Limits: ten beats or more; a drum alone, or a metronome, is not told from a clock.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage, signal

Array = NDArray[np.float64]
Floats = NDArray[np.float32]

_WINDOW_S = 0.064
_PLACES = 12
_LOW_HZ, _HIGH_HZ = 200.0, 5000.0
_TALL_RATIO = 8.0
_SHIFTS = 200
# Clocks with talk beside them: shares of 0.6 to 0.7, steps of at most 1.6; clocks alone: shares of at most 0.02, where
# a step means nothing; music at the loudness of the beats: shares of 0.3 and 0.9, steps of 7.6 and 12.5.
_LEAST_SHARE_RATIO, _LEAST_STEP, _LEAST_ROUNDS_RATIO = 0.15, 5.0, 0.65


def played_in_step(samples: Floats, sample_hz: int, *, first_s: float, beat_s: float) -> bool:
    """True when changing tones are a good part of the sound and set in with the beats, of which `first_s` is one
    [s].
    """
    share, step = tones_in_step(samples, sample_hz, first_s=first_s, beat_s=beat_s)
    return share > _LEAST_SHARE_RATIO and step > _LEAST_STEP


def tones_in_step(samples: Floats, sample_hz: int, *, first_s: float, beat_s: float) -> tuple[float, float]:
    """Share of the sound's power that lies in changing tones (0 if they are not there all through), and how far their
    loudness keeps step with the beats, in chance's own spreads.
    """
    size = int(_WINDOW_S * sample_hz)
    # Places through two beats.
    starts = np.arange(first_s % (2.0 * beat_s), samples.size / sample_hz, 2.0 * beat_s)
    at = np.round((starts[:, None] + 2.0 * beat_s * np.arange(_PLACES) / _PLACES) * sample_hz).astype(np.int64)
    at = at[(at[:, 0] >= 0) & (at[:, -1] + size <= samples.size)]
    if at.shape[0] < 5:
        return 0.0, 0.0
    window = signal.windows.hann(size, sym=False).astype(np.float32)
    hz = np.fft.rfftfreq(size, 1.0 / sample_hz)
    inside = (hz > _LOW_HZ) & (hz < min(_HIGH_HZ, 0.45 * sample_hz))
    power = np.stack(
        [
            np.abs(fft.rfft(np.stack([samples[one : one + size] for one in row]) * window, axis=1)[:, inside]) ** 2
            for row in at
        ]
    )
    usual = np.median(power, axis=0)
    around = ndimage.median_filter(power, (1, 1, 21), mode="nearest")
    # Beside the tick itself a note does not stand out; those places would fall silent in step with the beats.
    free = usual.sum(axis=1) < 4.0 * usual.sum(axis=1).min()
    if free.sum() < 4:
        return 0.0, 0.0
    tall = power * ((power > _TALL_RATIO * usual) & (power > _TALL_RATIO * around))
    share = float(tall.sum() / max(float(power.sum()), 1e-30))
    loud = np.log(tall.sum(axis=2) + 0.01 * float(np.mean(power.sum(axis=2))))
    # A note that dies away over several rounds falls within each of them alike; only what stands out of its own two
    # beats counts.
    loud -= ndimage.uniform_filter1d(loud.ravel(), _PLACES, mode="nearest").reshape(loud.shape)
    loud = loud[:, free]
    # The strokes of an hour ring through a part of the recording only; music goes on.
    often = float(np.mean(tall.sum(axis=(1, 2)) > 0.05 * power.sum(axis=(1, 2))))
    return share if often > _LEAST_ROUNDS_RATIO else 0.0, _step(loud)


def _step(loud: Array) -> float:
    """How far the mean over rounds differs between places, less what rounds turned at random give, in its spreads."""
    rng = np.random.default_rng(0)
    places = np.arange(int(loud.shape[1]))
    by_chance = []
    for _ in range(_SHIFTS):
        turned = (places + np.asarray(rng.integers(0, places.size, loud.shape[0]))[:, None]) % places.size
        by_chance.append(float(np.var(np.take_along_axis(loud, turned, axis=1).mean(axis=0))))
    return (float(np.var(loud.mean(axis=0))) - float(np.mean(by_chance))) / max(float(np.std(by_chance)), 1e-12)
