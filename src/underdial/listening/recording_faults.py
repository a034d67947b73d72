"""What is wrong with a recording as a recording: clipping, voices, hum, automatic gain, gating, loops.

Each is measured from the samples alone, so that a refusal can say why, and so that a fault which bends the beat
times or makes them up is never mistaken for a clock.

Limits: a stretch of a minute or so; a loop is seen when it repeats within the stretch.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage

Array = NDArray[np.float64]
Floats = NDArray[np.float32]

_PROBE_S = 0.35
_PROBES = 4
# Two stretches of real room noise never agree as well as this; copies do even after lossy coding.
_COPY_AGREEMENT = 0.55
# In simulated rooms of 0.3 to 2.5 s rounds agreed by 0.62 at most, and led the usual by 0.38 at most; loops of two
# rounds or more led by 0.5 at least, even after coding at 64 kbit/s.
_COPY_BANDS = 16
_SURE_COPY_AGREEMENT, _COPY_LEAD, _ROUND_SLACK_S = 0.85, 0.42, 0.006


@dataclass(frozen=True, slots=True)
class Faults:
    """Shares and sizes of each fault over a stretch; what they mean for the number is decided elsewhere."""

    clipped_ratio: float
    silent_ratio: float
    voice_nats: float
    line_ratio: float


def measure(samples: Floats, levels: Floats, line_ratio: float) -> Faults:
    """Measure the faults that need no beats: flat tops, digital silence, slow swelling as of a voice, lines."""
    return Faults(clipped_ratio(samples), silent_ratio(samples), _voice(levels), line_ratio)


def flat_tops(samples: Floats) -> NDArray[np.bool_]:
    """Marks samples that lie in a run of three or more at the same extreme: the converter had no more to give."""
    top, bottom = float(samples.max(initial=0.0)), float(samples.min(initial=0.0))
    size = max(top, -bottom)
    if size <= 0.0:
        return np.zeros(samples.size, dtype=bool)
    near = (np.abs(samples - top) < 2e-4 * size) | (np.abs(samples - bottom) < 2e-4 * size)
    run = near[:-2] & near[1:-1] & near[2:]
    out = np.zeros(samples.size, dtype=bool)
    for shift in range(3):
        out[shift : samples.size - 2 + shift] |= run
    return out


def clipped_ratio(samples: Floats) -> float:
    """Share of samples in flat tops."""
    return float(np.mean(flat_tops(samples))) if samples.size >= 3 else 0.0


def silent_ratio(samples: Floats) -> float:
    """Share of the time without any sound at all, in stretches of five milliseconds or more: a gate was at work."""
    if samples.size < 256:
        return 0.0
    still = samples[: samples.size // 240 * 240].reshape(-1, 240)
    return float(np.mean(np.ptp(still, axis=1) == 0.0))


def copied(samples: Floats, sample_hz: int, beats_s: Array) -> bool:
    """True when a piece between ticks comes again elsewhere: the recording is looped or pasted.

    In a live room the tails of all ticks are alike; a piece that comes again is like its copies alone. One round over
    and over is found only as long as no coding has come between.
    """
    band_hz = (400.0, 0.42 * min(sample_hz, 16000))
    step = max(int(sample_hz // 16000), 1)
    thin = _thinned(samples, sample_hz, step, band_hz)
    rate = sample_hz / step
    beat = float(np.median(np.diff(beats_s))) if beats_s.size > 1 else 1.0
    size = int(max(_PROBE_S, 1.5 * beat) * rate)
    if thin.size < 4 * size:
        return False
    thin = _whitened(_without_beats(thin, rate, beats_s), rate, band_hz)
    # Another clock's ticks are alike as well; cut down to the room's own level they do not outweigh it.
    usual = 2.0 * float(np.median(np.abs(thin[thin != 0.0]))) if np.any(thin) else 1.0
    thin = np.clip(thin, -usual, usual)
    count = fft.next_fast_len(thin.size + size, real=True)
    whole = fft.rfft(thin, count)
    running = np.concatenate([[0.0], np.cumsum(thin.astype(np.float64) ** 2)])
    energy = np.sqrt(np.maximum(running[size:] - running[:-size], 1e-9 * running[-1] + 1e-30))
    for at in np.linspace(0.1, 0.7, _PROBES) * (thin.size - size):
        probe = thin[int(at) : int(at) + size]
        against = fft.irfft(whole * np.conj(fft.rfft(probe, count)), count)[: energy.size]
        agreement = against / energy / max(float(np.linalg.norm(probe)), 1e-12)
        agreement[max(int(at) - size, 0) : int(at) + size] = 0.0
        best = float(agreement.max())
        usual = _usual_agreement(agreement, int(at), size, 2.0 * beat * rate, int(_ROUND_SLACK_S * rate))
        if best < _COPY_AGREEMENT or (best < _SURE_COPY_AGREEMENT and best - usual < _COPY_LEAD):
            continue
        there = int(np.argmax(agreement))
        if _alike_all_over(probe, thin[there : there + size], rate, band_hz):
            return True
    return False


def _alike_all_over(one: Floats, other: Floats, rate: float, band_hz: tuple[float, float]) -> bool:
    """True when two pieces agree in most of their bands: two strokes of one bell agree in a few tones alone."""
    hz = np.fft.rfftfreq(one.size, 1.0 / rate)
    mine, its = fft.rfft(one), fft.rfft(other)
    edges = np.linspace(1.1 * band_hz[0], 0.95 * band_hz[1], _COPY_BANDS + 1)
    agreed = []
    for low, high in pairwise(edges):
        inside = (hz >= low) & (hz < high)
        agreed.append(
            float(np.real(np.vdot(its[inside], mine[inside])))
            / max(float(np.linalg.norm(mine[inside]) * np.linalg.norm(its[inside])), 1e-12)
        )
    return float(np.median(agreed)) > _COPY_AGREEMENT / 2.0


def _usual_agreement(agreement: Array, at: int, size: int, fold: float, slack: int) -> float:
    """How well a piece agrees whole rounds of the clock away, where two in three do better."""
    turns = np.arange(-int(at / fold), int((agreement.size - at) / fold) + 1)
    middles = np.round(at + turns[np.abs(turns) * fold > size] * fold).astype(np.int64)
    middles = middles[(middles >= slack) & (middles < agreement.size - slack)]
    return (
        float(np.quantile([agreement[one - slack : one + slack + 1].max() for one in middles], 0.3))
        if middles.size
        else 0.0
    )


def gain_swing_nats(levels: Floats, fold_s: float, places_s: tuple[float, ...]) -> float:
    """How much the floor climbs from just after a beat to just before the next [nats of power]; negative is ringing."""
    phase = np.arange(levels.shape[0]) / 1000.0 % fold_s
    since = np.min(np.stack([(phase - place) % fold_s for place in places_s]), axis=0)
    gap = fold_s / max(len(places_s), 1)
    early = (since > max(0.05, 0.15 * gap)) & (since < 0.35 * gap)
    late = (since > 0.75 * gap) & (since < gap - 0.02)
    if early.sum() < 50 or late.sum() < 50:
        return 0.0
    # The bands with the least tick in them show the gain best; the median over bands stands for them.
    return float(np.median(np.median(levels[late], axis=0) - np.median(levels[early], axis=0)))


def _voice(levels: Floats) -> float:
    """Spread of the level of 250 to 2500 Hz over tenths of a second [nats], ticks taken out by a running median."""
    low = np.log(np.exp(levels[:, :5]).mean(axis=1) + 1e-20)
    calm = ndimage.median_filter(low, 61, mode="nearest")[::20]
    slow = ndimage.uniform_filter1d(calm, 100, mode="nearest")
    return float(np.std(calm - slow))


def _thinned(samples: Floats, sample_hz: int, step: int, band_hz: tuple[float, float]) -> Floats:
    """Every `step`-th sample of the sound between two frequencies [Hz], cut in the spectrum."""
    short = fft.next_fast_len(-(-samples.size // step), real=True)
    spectrum = fft.rfft(samples, short * step)[: short // 2 + 1]
    hz = np.arange(spectrum.size) * sample_hz / (short * step)
    spectrum[(hz < band_hz[0]) | (hz > band_hz[1])] = 0.0
    return np.asarray(fft.irfft(spectrum, short)[: samples.size // step] / step, dtype=np.float32)


def _without_beats(thin: Floats, rate: float, beats_s: Array) -> Floats:
    """Ticks are alike by nature; they are put to silence so that only the room is compared."""
    out = thin.copy()
    # A tick's mark may lie at its last pulse, and the room answers for a while: the last part before the next beat is
    # the quietest.
    beat = float(np.median(np.diff(beats_s))) if beats_s.size > 1 else 1.0
    before, after = int(min(0.035, 0.25 * beat) * rate), int(0.5 * beat * rate)
    for at in (beats_s * rate).astype(int):
        out[max(at - before, 0) : at + after] = 0.0
    return out


def _whitened(thin: Floats, rate: float, band_hz: tuple[float, float]) -> Floats:
    count = fft.next_fast_len(thin.size, real=True)
    spectrum = fft.rfft(thin, count)
    width = max(int(4.0 * count / rate), 3)
    size = np.sqrt(ndimage.uniform_filter1d(np.abs(spectrum) ** 2, width, mode="nearest"))
    # A standing line would agree with itself for ever; its own bins are held to the level of their neighbours.
    flat = spectrum / np.maximum(np.maximum(size, np.abs(spectrum) / 2.0), 1e-20)
    # Outside the filter's band there is nothing but the filter's own ringing, which must not be lifted.
    hz = np.arange(flat.size) * rate / count
    flat[(hz < 1.1 * band_hz[0]) | (hz > 0.95 * band_hz[1])] = 0.0
    return np.asarray(fft.irfft(flat, count)[: thin.size], dtype=np.float32)
