"""Where the sound jumps: power in ten bands every millisecond, each measured against its own running floor.

A tick is a sudden rise in several bands at once; a voice, a fan, a hum swell slowly or stand still. Each band is
taken as the logarithm of its power over its own floor, so that slow changes of noise, gain or distance drop out and
one door slam counts no more than one tick. Steady narrow lines (hum, fans) are taken out first, for finding only.

Limits: sound of 8 kHz sampling or more; times on a grid of one millisecond, good enough to find, not to measure.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage, signal

Array = NDArray[np.float64]
Floats = NDArray[np.float32]

FRAME_HZ = 1000
_LOW_HZ, _HIGH_HZ, _BANDS = 250.0, 22000.0, 10
_FLOOR_S = 4.0
# A spectral bin this many times above the median of its neighbours, in a 4 Hz grid, is a standing line.
_LINE_RATIO = 8.0
_CAP = 6.0


def band_edges_hz(sample_hz: float) -> Array:
    """Edges [Hz] of the bands that a recording of this sampling can carry, in equal ratios."""
    top = min(_HIGH_HZ, 0.46 * sample_hz)
    return np.geomspace(_LOW_HZ, top, _BANDS + 1)


def band_levels(samples: Floats, sample_hz: int) -> Floats:
    """Natural logarithm of power in each band, shape (frames, bands), one frame a millisecond.

    The window is a Hann of about five milliseconds, so two clicks nearer than that are one.
    """
    size = 1 << int(np.ceil(np.log2(0.005 * sample_hz)))
    starts = np.arange(0, max(samples.size - size, 1), sample_hz / FRAME_HZ).astype(np.int64)
    window = signal.windows.hann(size, sym=False).astype(np.float32)
    hz = np.arange(size // 2 + 1) * sample_hz / size
    edges = band_edges_hz(sample_hz)
    member = np.zeros((hz.size, _BANDS), dtype=np.float32)
    for band in range(_BANDS):
        # A band narrower than the bins takes the nearest bin, so that none is empty.
        inside = (hz >= edges[band]) & (hz < edges[band + 1])
        if not inside.any():
            inside[np.argmin(np.abs(hz - np.sqrt(edges[band] * edges[band + 1])))] = True
        member[inside, band] = 1.0
    padded = np.concatenate([samples, np.zeros(size, dtype=np.float32)])
    frames = np.lib.stride_tricks.sliding_window_view(padded, size)
    out = np.empty((starts.size, _BANDS), dtype=np.float32)
    for lot in range(0, starts.size, 4096):
        spectrum: Any = fft.rfft(frames[starts[lot : lot + 4096]] * window, axis=1)
        out[lot : lot + 4096] = (spectrum.real**2 + spectrum.imag**2) @ member
    # A digital silence must not become minus infinity; the least level is that of one step of 16 bits.
    return np.asarray(np.log(out + np.float32(size * 1e-10)), dtype=np.float32)


def without_lines(samples: Floats, sample_hz: int) -> tuple[Floats, float]:
    """The sound with standing lines below 4 kHz taken out, and the share of its power that they held."""
    size = int(sample_hz // 4)
    if samples.size < 2 * size:
        return samples, 0.0
    parts = samples[: samples.size // size * size].reshape(-1, size)
    window = signal.windows.hann(size, sym=False).astype(np.float32)
    power = np.zeros(size // 2 + 1)
    for lot in range(0, parts.shape[0], 32):
        power += np.sum(np.abs(fft.rfft(parts[lot : lot + 32] * window, axis=1)) ** 2, axis=0, dtype=np.float64)
    hz = np.fft.rfftfreq(size, 1.0 / sample_hz)
    floor = ndimage.median_filter(power, 31, mode="nearest")
    line = (power > _LINE_RATIO * floor) & (hz < 4000.0) & (hz > 30.0)
    line[1:-1] &= (power[1:-1] >= power[:-2]) | (power[1:-1] >= power[2:])
    if not line.any():
        return samples, 0.0
    wide = np.repeat(line[:, None], 1, axis=1)[:, 0] | np.roll(line, 1) | np.roll(line, -1)
    held = float(np.sum((power - floor)[wide].clip(0.0)) / max(float(np.sum(power)), 1e-30))
    count = fft.next_fast_len(samples.size, real=True)
    spectrum = fft.rfft(samples, count)
    gain = np.ones(hz.size, dtype=np.float32)
    gain[wide] = np.sqrt(floor[wide] / np.maximum(power[wide], 1e-30))
    spectrum *= np.interp(np.arange(spectrum.size) * (sample_hz / count), hz, gain).astype(np.float32)
    clean: Floats = fft.irfft(spectrum, count)[: samples.size].astype(np.float32)
    return clean, held


def rises(levels: Floats) -> Floats:
    """How suddenly each band rises over its own last ten milliseconds, in units of its own noise, capped."""
    steady = _above_floor(levels)
    before = ndimage.uniform_filter1d(steady, 8, axis=0, origin=3, mode="nearest")
    # The look back ends three frames before now, clear of the window's own rise.
    before = np.concatenate([np.repeat(before[:1], 3, axis=0), before[:-3]])
    return np.asarray(np.clip(steady - np.maximum(before, 0.0), 0.0, _CAP), dtype=np.float32)


def excesses(levels: Floats) -> Floats:
    """How far each band stands above its floor over seven milliseconds, in units of its own noise, capped."""
    smooth = ndimage.uniform_filter1d(_above_floor(levels), 7, axis=0, mode="nearest")
    return np.asarray(np.clip(smooth, 0.0, _CAP), dtype=np.float32)


def _above_floor(levels: Floats) -> Floats:
    block = FRAME_HZ // 2
    blocks = max(levels.shape[0] // block, 1)
    cut = levels[: blocks * block].reshape(blocks, -1, levels.shape[1])
    low, middle = np.quantile(cut, (0.15, 0.5), axis=1)
    around = max(int(_FLOOR_S / 0.5) | 1, 3)
    low = ndimage.median_filter(low, (around, 1), mode="nearest")
    middle = ndimage.median_filter(middle, (around, 1), mode="nearest")
    spread = np.maximum(np.median(middle - low, axis=0), 0.05)
    centres = (np.arange(blocks) + 0.5) * block
    frames = np.arange(levels.shape[0])
    floor = np.column_stack([np.interp(frames, centres, middle[:, band]) for band in range(levels.shape[1])])
    return np.asarray((levels - floor) / spread, dtype=np.float32)
