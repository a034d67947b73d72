"""Recordings of ticking clocks made from known truth, for tests, benchmarks and the demo.

A tick is a handful of damped vibrations evaluated at its exact time, so beats fall between samples as they do in
life. A lever tick has three pulses (unlocking, impulse, drop) spread by the swing of the balance; a pendulum's tick
is one blow. Loudness is set by energy over noise: the energy of a tick (sum of its squared samples) over the
variance of one noise sample, in decibels.

Limits: one microphone in a dead room; no echo unless asked for. Sources: our own construction; the spread of the
pulses is that of a sine of the given amplitude, t = T / pi * asin(lift / (2 amplitude)) [textbook kinematics].
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]
Array = NDArray[np.float64]

_TICK_S = 0.030
_SECONDS_PER_DAY = 86400.0


@dataclass(frozen=True, slots=True)
class Ticking:
    """A clock in front of a microphone: what it does, and how it is disturbed.

    Levels in dB are energy of a tick over the variance of one noise sample (`snr_db`), or relative to the clock's
    own ticks (second clock), or peak to peak rms of the noise floor (hum, speech, bursts over `snr` noise).
    `swing_s_per_day` is how far the rate rises and falls, once over the recording, as with a day's warmth.
    """

    duration_s: float = 60.0
    sample_hz: int = 48000
    beats_per_hour: float = 3600.0
    rate_s_per_day: float = 0.0
    snr_db: float = 40.0
    asymmetry_s: float = 0.0
    jitter_s: float = 0.0
    period_noise_s: float = 0.0
    swing_s_per_day: float = 0.0
    half_arc_deg: float | None = None
    lift_deg: float = 50.0
    unlock_db: float = -12.0
    tock_db: float = -1.5
    loudness_ratio: float = 0.05
    noise: str = "white"
    hum_db: float | None = None
    hum_hz: float = 50.0
    speech_db: float | None = None
    second_db: float | None = None
    second_beats_per_hour: float = 5400.0
    burst_db: float | None = None
    dropped_ratio: float = 0.0
    clip_db: float | None = None
    pumping_db: float = 0.0
    wheel_s: float = 0.0
    wheel_count: int = 30
    stop_s: tuple[float, float] | None = None
    step_s: tuple[float, float] | None = None
    gate: bool = False
    level: float = 0.02


@dataclass(frozen=True, slots=True)
class Truth:
    """What the simulator knows: beat times, mean rate, and the least spread the recording allows."""

    beats_s: Array
    kinds: NDArray[np.int8]
    beats_per_hour: float
    rate_s_per_day: float
    beat_error_s: float
    arrival_bound_s: float
    rate_bound_s_per_day: float
    tick_energy: float
    noise_variance: float
    extra: dict[str, Any] = field(default_factory=dict)


def simulate(clock: Ticking, rng: np.random.Generator) -> tuple[Samples, Truth]:
    """Make the samples of a recording and the truth behind them; every call with the same `rng` state is the same."""
    count = round(clock.duration_s * clock.sample_hz)
    beats, kinds = _beat_times(clock, rng)
    shapes = _shapes(clock, rng)
    sigma = clock.level / 10 ** (clock.snr_db / 20.0)
    loud = np.exp(rng.normal(0.0, clock.loudness_ratio, beats.size)) * np.where(
        kinds == 1, 10 ** (clock.tock_db / 20.0), 1.0
    )
    heard = rng.random(beats.size) >= clock.dropped_ratio
    if clock.stop_s is not None:
        heard &= (beats < clock.stop_s[0]) | (beats > clock.stop_s[1])
    samples = np.zeros(count)
    for kind in (0, 1):
        _add_ticks(
            samples,
            beats[heard & (kinds == kind)],
            loud[heard & (kinds == kind)] * clock.level,
            shapes[kind],
            clock.sample_hz,
        )
    noise = _noise(clock, count, rng) * sigma
    samples += noise + _disturbances(clock, count, sigma, rng)
    samples = _spoil(clock, samples, beats, noise, rng)
    return samples.astype(np.float32), _truth(clock, beats, kinds, shapes, sigma)


def tick_shape(rng: np.random.Generator, pulses: tuple[tuple[float, float], ...] = ((0.0, 1.0),)) -> Array:
    """Rows of (start [s], gain, frequency [Hz], decay [s], phase) for one kind of tick, unit energy not yet set."""
    rows = []
    base = [
        (rng.uniform(1200, 2500), rng.uniform(0.002, 0.004), 1.0),
        (rng.uniform(2800, 4500), rng.uniform(0.0012, 0.0025), 0.8),
        (rng.uniform(5000, 8000), rng.uniform(0.0006, 0.0015), 0.6),
        (rng.uniform(9000, 12000), rng.uniform(0.0004, 0.0008), 0.3),
    ]
    for start, gain in pulses:
        for hz, decay, part in base:
            rows.append(
                (
                    start,
                    gain * part * rng.uniform(0.7, 1.3),
                    hz * rng.uniform(0.97, 1.03),
                    decay,
                    rng.uniform(0, 2 * math.pi),
                )
            )
    return np.array(rows)


def nuisance(name: str, clock: Ticking, rng: np.random.Generator) -> Ticking:
    """The same clock disturbed in one named way, at a strength drawn from `rng` (benchmark and tests use it)."""
    draw = rng.uniform
    kinds: dict[str, dict[str, Any]] = {
        "speech": {"speech_db": draw(-5, 20)},
        "second_clock": {"second_db": draw(-6, 6), "second_beats_per_hour": clock.beats_per_hour * draw(0.55, 1.9)},
        "bursts": {"burst_db": draw(10, 30)},
        "dropped": {"dropped_ratio": draw(0.05, 0.4)},
        "hum": {"hum_db": draw(0, 25), "hum_hz": float(rng.choice([50.0, 60.0]))},
        "clipping": {"clip_db": draw(3, 25)},
        "pumping": {"pumping_db": draw(3, 15)},
    }
    return replace(clock, **kinds[name])


def _beat_times(clock: Ticking, rng: np.random.Generator) -> tuple[Array, NDArray[np.int8]]:
    beat = 3600.0 / clock.beats_per_hour / (1.0 + clock.rate_s_per_day / _SECONDS_PER_DAY)
    start = rng.uniform(0.02, 0.98) * beat
    count = int((clock.duration_s - start) / beat) + 1
    index = np.arange(count)
    kinds = (index % 2).astype(np.int8)
    times = start + beat * index + np.where(kinds == 1, clock.asymmetry_s, 0.0)
    times = (
        times
        + np.cumsum(rng.normal(0.0, 1.0, count)) * clock.period_noise_s
        + rng.normal(0.0, 1.0, count) * clock.jitter_s
    )
    # The rate's sine has no mean over the recording; what it has gained meanwhile is its integral.
    times -= (
        clock.swing_s_per_day
        / _SECONDS_PER_DAY
        * clock.duration_s
        / (2 * np.pi)
        * (1.0 - np.cos(2 * np.pi * times / clock.duration_s))
    )
    times += clock.wheel_s * np.sin(2 * np.pi * (index // 2) / clock.wheel_count + rng.uniform(0, 6.28))
    if clock.step_s is not None:
        times = times + np.where(times > clock.step_s[0], clock.step_s[1], 0.0)
    keep = (times > 0.002) & (times < clock.duration_s - 0.002)
    return times[keep], kinds[keep]


def _shapes(clock: Ticking, rng: np.random.Generator) -> list[Array]:
    if clock.half_arc_deg is None:
        return [tick_shape(rng), tick_shape(rng)]
    period = 7200.0 / clock.beats_per_hour
    whole = period / math.pi * math.asin(clock.lift_deg / 2.0 / clock.half_arc_deg)
    first = 10 ** (clock.unlock_db / 20.0)
    pulses = ((0.0, first), (0.45 * whole, 0.5), (whole, 1.0))
    return [tick_shape(rng, pulses), tick_shape(rng, pulses)]


def _wave(shape: Array, t: Array) -> Array:
    """The tick at times `t` [s] after its start; an attack of a tenth of a millisecond keeps it within the band."""
    out = np.zeros_like(t)
    for start, gain, hz, decay, phase in shape:
        since = np.maximum(t - start, 0.0)
        out += (
            gain
            * (1.0 - np.exp(-((since / 1e-4) ** 2)))
            * np.exp(-since / decay)
            * np.sin(2 * np.pi * hz * since + phase)
        )
    return out


def _unit(shape: Array, sample_hz: int) -> float:
    t = np.arange(0.0, _TICK_S + shape[:, 0].max(), 1.0 / sample_hz)
    return float(np.sqrt(np.sum(_wave(shape, t) ** 2)))


def _add_ticks(samples: Array, beats: Array, loud: Array, shape: Array, sample_hz: int) -> None:
    span = int((_TICK_S + shape[:, 0].max()) * sample_hz)
    scale = 1.0 / _unit(shape, sample_hz)
    steps = np.arange(span)
    for lot in range(0, beats.size, 256):
        first = np.floor(beats[lot : lot + 256] * sample_hz).astype(np.int64)
        t = (first[:, None] + steps) / sample_hz - beats[lot : lot + 256, None]
        waves = _wave(shape, t) * (loud[lot : lot + 256, None] * scale)
        for at, wave in zip(first, waves, strict=True):
            end = min(at + span, samples.size)
            samples[at:end] += wave[: end - at]


def _noise(clock: Ticking, count: int, rng: np.random.Generator) -> Array:
    white = rng.normal(0.0, 1.0, count)
    if clock.noise == "white":
        return white
    power = {"pink": -0.5, "brown": -1.0, "blue": 0.5}[clock.noise]
    spectrum = np.fft.rfft(white)
    hz = np.fft.rfftfreq(count, 1.0 / clock.sample_hz)
    gain = np.maximum(hz, 20.0) ** power
    coloured = np.fft.irfft(spectrum * gain, count)
    return np.asarray(coloured / np.std(coloured))


def _disturbances(clock: Ticking, count: int, sigma: float, rng: np.random.Generator) -> Array:
    t = np.arange(count) / clock.sample_hz
    out = np.zeros(count)
    if clock.hum_db is not None:
        for k in range(1, 21):
            out += rng.uniform(0.3, 1.0) / k * np.sin(2 * np.pi * clock.hum_hz * k * t + rng.uniform(0, 6.28))
        out *= sigma * 10 ** (clock.hum_db / 20.0) / np.std(out)
    if clock.speech_db is not None:
        out += speech_like(t, rng) * sigma * 10 ** (clock.speech_db / 20.0)
    if clock.second_db is not None:
        other = replace(
            clock,
            beats_per_hour=clock.second_beats_per_hour,
            rate_s_per_day=rng.uniform(-60, 60),
            level=clock.level * 10 ** (clock.second_db / 20.0),
            dropped_ratio=0.0,
        )
        beats, kinds = _beat_times(other, rng)
        for kind, shape in enumerate(_shapes(other, rng)):
            _add_ticks(
                out, beats[kinds == kind], np.full(int(np.sum(kinds == kind)), other.level), shape, clock.sample_hz
            )
    if clock.burst_db is not None:
        _add_bursts(out, clock, sigma, rng)
    return out


def _add_bursts(out: Array, clock: Ticking, sigma: float, rng: np.random.Generator) -> None:
    for at in np.cumsum(rng.exponential(0.4, int(clock.duration_s * 3))):
        first = int(at * clock.sample_hz)
        span = int(rng.uniform(0.002, 0.15) * clock.sample_hz)
        if first + span >= out.size:
            break
        shape = np.exp(-np.arange(span) / (span / 4.0))
        out[first : first + span] += (
            rng.normal(0, 1, span) * shape * sigma * 10 ** ((clock.burst_db or 0.0) * rng.uniform(0.5, 1.0) / 20.0)
        )


def speech_like(t: Array, rng: np.random.Generator) -> Array:
    """Syllables of harmonics under wandering formants, hisses and pauses; rms about 1 while talking."""
    rate = 1.0 / (t[1] - t[0])
    out = np.zeros_like(t)
    at = rng.uniform(0, 0.5)
    while at < t[-1]:
        if rng.random() < 0.12:
            at += rng.uniform(0.3, 1.5)
        span = rng.uniform(0.08, 0.3)
        first, last = int(at * rate), min(int((at + span) * rate), t.size)
        if last - first > 16:
            out[first:last] += _syllable(np.arange(last - first) / rate, span, rng)
        at += span + rng.exponential(0.05)
    return np.asarray(out / max(float(np.std(out)), 1e-9))


def _syllable(t: Array, span: float, rng: np.random.Generator) -> Array:
    envelope = np.sin(np.pi * np.clip(t / span, 0, 1)) ** rng.uniform(0.3, 1.0)
    if rng.random() < 0.25:
        hiss = np.diff(rng.normal(0, 1, t.size + 1))
        return np.asarray(hiss * envelope * 0.3)
    pitch = rng.uniform(90, 220) * (1.0 + rng.uniform(-0.3, 0.3) * t / span)
    phase = 2 * np.pi * np.cumsum(pitch) * (t[1] - t[0])
    formants = [(rng.uniform(300, 800), 120.0), (rng.uniform(900, 2200), 180.0), (rng.uniform(2400, 3200), 250.0)]
    out = np.zeros_like(t)
    for k in range(1, 30):
        hz = float(np.mean(pitch)) * k
        out += sum(1.0 / (1.0 + ((hz - f) / w) ** 2) for f, w in formants) * np.sin(k * phase + rng.uniform(0, 6.28))
    return np.asarray(out * envelope)


def _spoil(clock: Ticking, samples: Array, beats: Array, noise: Array, rng: np.random.Generator) -> Array:
    if clock.pumping_db > 0:
        since = np.full(samples.size, 9.0)
        marks = np.searchsorted(np.arange(samples.size) / clock.sample_hz, beats)
        for here, after in zip(marks, [*marks[1:], samples.size], strict=True):
            since[here:after] = np.arange(after - here) / clock.sample_hz
        # Gain falls within two milliseconds of a tick and comes back over a third of a beat.
        recovery = 1200.0 / clock.beats_per_hour
        drop = (1.0 - np.exp(-since / 0.002)) * np.exp(-since / recovery)
        samples = samples * 10 ** (-clock.pumping_db * drop / 20.0)
    if clock.gate:
        quiet = np.convolve(np.abs(samples), np.ones(240) / 240, "same") < 4.0 * np.mean(np.abs(noise))
        samples = np.where(quiet, 0.0, samples)
    if clock.clip_db is not None:
        ceiling = (
            float(np.quantile(np.abs(samples), 1 - 20.0 * beats.size / samples.size))
            * 2.0
            / 10 ** (clock.clip_db / 20.0)
        )
        samples = np.clip(samples, -ceiling, ceiling)
        samples = samples / ceiling
    return samples


def _truth(clock: Ticking, beats: Array, kinds: NDArray[np.int8], shapes: list[Array], sigma: float) -> Truth:
    slopes = []
    for kind, shape in enumerate(shapes):
        t = np.arange(0.0, _TICK_S + shape[:, 0].max(), 1.0 / clock.sample_hz)
        gain = clock.level * (10 ** (clock.tock_db / 20.0) if kind else 1.0) / _unit(shape, clock.sample_hz)
        step = 1e-7
        slopes.append(float(np.sum(((_wave(shape, t + step) - _wave(shape, t)) / step * gain) ** 2)))
    arrival = np.array([sigma / math.sqrt(one) for one in slopes])
    variance = arrival[kinds] ** 2 + clock.jitter_s**2
    return Truth(
        beats,
        kinds,
        clock.beats_per_hour * (1 + clock.rate_s_per_day / _SECONDS_PER_DAY),
        clock.rate_s_per_day,
        abs(clock.asymmetry_s),
        float(np.mean(arrival)),
        _rate_bound(kinds, variance, 3600.0 / clock.beats_per_hour),
        clock.level**2,
        sigma**2,
    )


def _rate_bound(kinds: NDArray[np.int8], variance: Array, beat_s: float) -> float:
    """Least standard error of the rate [s/day] of any unbiased fit of period, phase and asymmetry to these beats."""
    index = np.arange(kinds.size, dtype=float)
    design = np.column_stack([np.ones_like(index), index - index.mean(), kinds - 0.5])
    weight = design / np.maximum(variance, 1e-18)[:, None]
    return float(np.sqrt(np.linalg.inv(design.T @ weight)[1, 1]) / beat_s * _SECONDS_PER_DAY)
