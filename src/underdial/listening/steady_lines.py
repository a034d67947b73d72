"""What sounds on under the beats and would bend their times: rumble below the ticks, and standing tones such as a hum.

A window cut out of a loud slow sound has a click at each of its two edges, the same in every window, always where the
window was cut. A template takes the clicks in, and the beats then come where they were expected: they agree far better
than they truly do, and the rate is that of the expectation. So all below the ticks' own sound goes before any window
is cut. A tone among the ticks' own frequencies does the same, and one that comes back in step with the beats is kept by
every mean of them. It is followed in size and phase as they change over a third of a second or more, by what is heard
between beats alone, so that no part of a tick is in it, and taken off the whole sound.

Limits: tones below 0.45 of the thinned sampling (5 kHz at 44.1 and 48 kHz), standing out of their neighbourhood in a
four-second spectrum; a tone that changes faster than half a hertz is only weakened. The clock's own repetition is left.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage, signal

Array = NDArray[np.float64]
Floats = NDArray[np.float32]

_THIN_HZ = 11000
_SEGMENT_S = 4.0
# Mean of a few exponentials: ten times the median is past chance over all bins with five segments or more.
_LINE_RATIO = 10.0
_ROUNDS = 7
_WIDTH_HZ = 0.5
_LEAST_HZ = 30.0
_PAD_S = 3.0
# Below the first band that is listened to (200 Hz in tick_template); 50 Hz comes out 44 dB lower.
_LOWEST_HZ = 180.0


def without_rumble(samples: Floats, sample_hz: int) -> Floats:
    """The sound above 180 Hz; slow swings and a constant offset are gone, the filter begins as if they had always
    been.
    """
    if samples.size == 0:
        return samples
    sections = signal.butter(4, _LOWEST_HZ, "highpass", fs=sample_hz, output="sos").astype(np.float32)
    begun = signal.sosfilt_zi(sections).astype(np.float32) * samples[0]
    return np.asarray(signal.sosfilt(sections, samples, zi=begun)[0], dtype=np.float32)


def without_steady_lines(samples: Floats, sample_hz: int, beats_s: Array, *, beat_s: float) -> Floats:
    """The sound with its standing tones taken off; the same array where there are none."""
    step = max(sample_hz // _THIN_HZ, 1)
    rate = sample_hz / step
    thin = samples[: samples.size // step * step].reshape(-1, step) @ np.full(step, 1.0 / step, dtype=np.float32)
    if thin.size < 2 * _SEGMENT_S * rate:
        return samples
    weight = _between(thin.size, rate, beats_s, beat_s)
    tone = _tones(thin, weight, rate, beat_s)
    return samples if tone is None else samples - _at_full_rate(tone, step, sample_hz, samples.size)


def _tones(thin: Floats, weight: Floats, rate: float, beat_s: float) -> Floats | None:
    """All tones together, in the padded thinned sound; None when there are none."""
    count = fft.next_fast_len(thin.size + int(_PAD_S * rate), real=True)
    hz = np.arange(count // 2 + 1) * rate / count
    heard = fft.irfft(fft.rfft(weight, count) * np.exp(-0.5 * (hz / _WIDTH_HZ) ** 2), count)
    share = (1.0 / np.maximum(heard, 0.05)).astype(np.float32)
    gain = np.zeros(hz.size, dtype=np.float32)
    tone = np.zeros(count, dtype=np.float32)
    left = thin
    for turn in range(_ROUNDS):
        found = _lines_hz(left * weight, rate, beat_s) if turn < _ROUNDS - 1 else np.zeros(0)
        if turn == 0 and found.size == 0:
            return None
        for line in found:
            low, high = np.searchsorted(hz, (line - 3.0 * _WIDTH_HZ, line + 3.0 * _WIDTH_HZ))
            gain[low:high] = np.maximum(gain[low:high], np.exp(-0.5 * ((hz[low:high] - line) / _WIDTH_HZ) ** 2))
        # What is heard between beats, smoothed, over how much of the time was heard: tones go on through the beats.
        tone += fft.irfft(fft.rfft(left * weight, count) * gain, count).astype(np.float32) * share
        left = thin - tone[: thin.size]
    return tone


def _between(size: int, rate: float, beats_s: Array, beat_s: float) -> Floats:
    """One between beats, nothing from just before a beat until its sound has died down, smooth in between."""
    before, after, edge = min(0.03, 0.15 * beat_s), min(0.09, 0.35 * beat_s), min(0.02, 0.1 * beat_s)
    out = np.ones(size, dtype=np.float32)
    for at in beats_s:
        out[max(int((at - before) * rate), 0) : max(int((at + after) * rate), 0)] = 0.0
    width = max(int(edge * rate), 1)
    soft = ndimage.uniform_filter1d(ndimage.uniform_filter1d(out, width, mode="nearest"), width, mode="nearest")
    # Nothing of a beat gets in: what the smoothing spreads into the gaps is cut, what it takes off beside them stays
    # off.
    return np.asarray(np.clip(2.0 * soft - 1.0, 0.0, 1.0), dtype=np.float32)


def _lines_hz(sound: Floats, rate: float, beat_s: float) -> Array:
    """Frequencies [Hz] that stand out of both their neighbourhood and the clock's own lines, the strongest of each
    neighbourhood.
    """
    size = int(_SEGMENT_S * rate)
    segments = np.lib.stride_tricks.sliding_window_view(sound, size)[:: size // 2] * signal.windows.hann(
        size, sym=False
    ).astype(np.float32)
    power = np.mean(np.abs(fft.rfft(segments, axis=1)) ** 2, axis=0)
    hz = np.arange(power.size) * rate / size
    # Over 40 Hz to each side, far wider than any line; and the same among multiples of the pair of beats.
    around = int(80.0 / hz[1]) | 1
    floor = ndimage.median_filter(power, around, mode="nearest")
    tall = (power[1:-1] > _LINE_RATIO * floor[1:-1]) & (power[1:-1] >= power[:-2]) & (power[1:-1] >= power[2:])
    at = 1 + np.flatnonzero(tall & (hz[1:-1] > _LEAST_HZ) & (hz[1:-1] < 0.45 * rate))
    # The gaps cut for the beats give each tone side tones; only the strongest of a neighbourhood is sure to be one.
    strongest = ndimage.maximum_filter1d(power, around, mode="nearest")
    at = at[power[at] > 0.6 * strongest[at]]
    # A clock's own lines are about as strong some places further on; of a tone's side tones some are always weak.
    comb = np.concatenate([np.arange(-8, -1), np.arange(2, 9)]) / beat_s
    own = np.quantile(np.interp(hz[at][:, None] + comb, hz, power), 0.3, axis=1)
    at = at[power[at] > _LINE_RATIO * own]
    log = np.log(power + 1e-30)
    bend = log[at - 1] - 2.0 * log[at] + log[at + 1]
    return np.asarray(
        hz[at] + np.where(bend < 0, 0.5 * (log[at - 1] - log[at + 1]) / np.where(bend < 0, bend, -1.0), 0.0) * hz[1]
    )


def _at_full_rate(tone: Floats, step: int, sample_hz: int, size: int) -> Floats:
    """Undo the thinning: each thinned sample was the mean of `step` and stood for their middle."""
    spectrum = fft.rfft(tone)
    turn = np.pi * np.arange(spectrum.size) / (tone.size * step)
    if step > 1:
        droop = np.sin(step * turn) / np.maximum(step * np.sin(turn), 1e-12)
        droop[0] = 1.0
        spectrum = spectrum / droop * np.exp(-1j * turn * (step - 1)) * step
        out = np.zeros(tone.size * step // 2 + 1, dtype=np.complex64)
        out[: spectrum.size] = spectrum
        return np.asarray(fft.irfft(out, tone.size * step)[:size], dtype=np.float32)
    return tone[:size]
