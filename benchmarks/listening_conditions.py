"""Trials without a count of what real recordings have and the plain simulator has not: no wrong count may be accepted.

    python3 -m benchmarks.listening_conditions [--conditions room,mp3,...] [--recordings 12] [--seed 0]

Each recording is of a clock drawn anew (count, evenness, jitter, loudness, noise, one blow or three pulses), 30 to 60
s, then spoilt in one way drawn anew too. The noclock conditions hold none: whatever is accepted there is wrong. `aac`,
`mp3` and `opus` go through `ffmpeg` at 32 to 96 kbit/s and are left out where it is not installed.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray
from scipy import signal

from underdial.listening import simulator
from underdial.listening.follower import Follower
from underdial.listening.hearing import Expected, Heard, hear
from underdial.listening.simulator import Ticking, Truth, speech_like

Array = NDArray[np.float64]
Rng = np.random.Generator

NO_CLOCK = ("noclock_music", "noclock_melody", "noclock_speech", "noclock_bumps", "noclock_steps")
CODECS = {"mp3": ("mp3", "libmp3lame"), "aac": ("m4a", "aac"), "opus": ("opus", "libopus")}
SECOND_SOUNDS = ("double", "triple", "rattle", "drop_lock")
CONDITIONS = (
    "plain",
    "room",
    "bigroom",
    "case",
    "unlike",
    "far_out",
    *SECOND_SOUNDS,
    "strike",
    "bumps",
    "voice",
    "agc",
    "suppress",
    "music",
    "melody",
    "two_32",
    *CODECS,
    "sr8",
    "sr16",
    "quantised",
    "real",
    *NO_CLOCK,
)


def main() -> int:
    """Print a line for each condition, and one for each wrong count."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--conditions", default=",".join(CONDITIONS))
    parser.add_argument("--recordings", type=int, default=12)
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    for condition in given.conditions.split(","):
        if condition in CODECS and shutil.which("ffmpeg") is None:
            print(f"{condition:15s} left out: no ffmpeg")
            continue
        print(_line(condition, [one(condition, given.seed + k) for k in range(given.recordings)]), flush=True)
    return 0


def one(condition: str, seed: int) -> dict[str, Any]:
    """One recording without a count: accepted or why not, the count heard and true, the error in stated errors of the
    fit.
    """
    rng = np.random.default_rng([seed, sum(map(ord, condition))])
    samples, sample_hz, truth = recording(condition, rng)
    heard = _heard(samples.astype(np.float32), sample_hz)
    if heard.refusal is not None or heard.beats_per_hour is None:
        return {"accepted": False, "seed": seed, "reason_id": heard.refusal.reason_id if heard.refusal else None}
    count = heard.beats_per_hour.value
    if truth is None:
        return {"accepted": True, "seed": seed, "count": count, "wrong": True, "errors": 0.0}
    off = count / truth.beats_per_hour - 1.0
    return {
        "accepted": True,
        "seed": seed,
        "count": count,
        "true": truth.beats_per_hour,
        "wrong": abs(off) > 0.01,
        "errors": abs(off) * 86400.0 / max(heard.parts_s_per_day[0] or 0.0, 1e-9),
    }


def recording(condition: str, rng: Rng) -> tuple[Array, int, Truth | None]:
    """Samples, sampling and truth (None without a clock) of one recording in this condition."""
    sample_hz = {"sr8": 8000, "sr16": 16000, "sr44": 44100}.get(condition, int(rng.choice([44100, 48000])))
    clock = _clock(rng, sample_hz)
    beat = 3600.0 / clock.beats_per_hour
    if condition in NO_CLOCK:
        return _without_a_clock(condition, sample_hz, rng), sample_hz, None
    if condition == "unlike":
        clock = replace(clock, tock_db=float(rng.uniform(-30, -8)))
    if condition == "far_out":
        clock = replace(clock, asymmetry_s=float(rng.choice([-1, 1]) * rng.uniform(0.06, 0.25)) * beat)
    seed = int(rng.integers(1 << 31))
    quiet, truth = simulator.simulate(replace(clock, snr_db=140.0), np.random.default_rng(seed))
    ticks = quiet.astype(float)
    noise = simulator._noise(clock, ticks.size, rng) * clock.level / 10 ** (clock.snr_db / 20.0)
    size = float(np.sqrt(np.mean(noise**2)))
    if condition in SECOND_SOUNDS:
        _add_second_sounds(condition, ticks, clock, truth, rng)
    if condition in CODECS:
        wet = rng.random() >= 0.5
        return (
            *_coded(
                (_in_a_room(ticks, sample_hz, rng) if wet else ticks) + noise,
                sample_hz,
                condition,
                str(rng.choice(["32k", "64k", "96k"])),
            ),
            truth,
        )
    if condition in ("room", "bigroom"):
        ticks = _in_a_room(
            ticks,
            sample_hz,
            rng,
            **({"t60_s": rng.uniform(1.0, 2.5), "wet_db": rng.uniform(-3, 9)} if condition == "bigroom" else {}),
        )
    if condition == "case":
        ticks = _in_a_case(ticks, sample_hz, rng)
        ticks *= clock.level / np.sqrt(np.mean(ticks**2)) * np.sqrt(truth.beats_s.size / ticks.size)
    if condition == "real":
        sound = (
            _in_a_case(_in_a_room(ticks, sample_hz, rng), sample_hz, rng) * 0.5
            + noise
            + _bumps(ticks.size, sample_hz, rng) * size * 10 ** (rng.uniform(0, 20) / 20.0)
        )
        return (
            (
                sound + _talk(sound.size, sample_hz, rng) * size * 10 ** (rng.uniform(-10, 10) / 20.0)
                if rng.random() < 0.5
                else sound
            ),
            sample_hz,
            truth,
        )
    return _spoilt(condition, ticks + noise, size, clock, rng), sample_hz, truth


def _line(condition: str, rows: list[dict[str, Any]]) -> str:
    taken = [row for row in rows if row["accepted"]]
    reasons: dict[str, int] = {}
    for row in rows:
        if not row["accepted"]:
            reasons[row["reason_id"]] = reasons.get(row["reason_id"], 0) + 1
    wrong = [row for row in taken if row["wrong"]]
    far = [row["seed"] for row in taken if not row["wrong"] and row["errors"] > 3.0]
    return (
        f"{condition:15s} recordings {len(rows)}  accepted {len(taken)}  wrong count {len(wrong)}  beyond three "
        f"stated errors {far}  refused {reasons}" + "".join(f"\n    wrong: {row}" for row in wrong)
    )


def _heard(samples: NDArray[np.float32], sample_hz: int) -> Heard:
    follower = Follower(sample_hz, None)
    follower.feed(samples)
    follower.close()
    return hear(follower, Expected())


def _clock(rng: Rng, sample_hz: int) -> Ticking:
    family = rng.choice(["long", "bracket", "lever", "odd"])
    if family == "long":
        count = 3600 * (1 + rng.uniform(-0.002, 0.002))
    elif family == "bracket":
        count = float(rng.choice([5400, 6000, 7200, 7500, 8000, 9000, 10800])) * (1 + rng.uniform(-0.01, 0.01))
    elif family == "lever":
        count = float(rng.choice([14400, 16200, 18000, 19800, 21600, 28800])) * (1 + rng.uniform(-0.002, 0.002))
    else:
        count = float(rng.uniform(3300, 12000))
    return Ticking(
        duration_s=float(rng.uniform(30, 60)),
        sample_hz=sample_hz,
        beats_per_hour=count,
        snr_db=float(rng.uniform(25, 50)),
        asymmetry_s=float(rng.uniform(-0.06, 0.06)) * 3600.0 / count,
        jitter_s=float(10 ** (rng.uniform(-4.3, -2.9) if count < 12000 else rng.uniform(-4.5, -3.7))),
        half_arc_deg=float(rng.uniform(140, 290)) if family == "lever" else None,
        tock_db=float(rng.uniform(-7, 3)),
        loudness_ratio=float(rng.uniform(0.05, 0.25)),
        noise=str(rng.choice(["white", "pink", "brown"])),
    )


def _without_a_clock(condition: str, sample_hz: int, rng: Rng) -> Array:
    count = 40 * sample_hz
    makers: dict[str, Callable[[], Array]] = {
        "noclock_music": lambda: _music(count, sample_hz, rng),
        "noclock_melody": lambda: _music(count, sample_hz, rng, drums=False),
        "noclock_speech": lambda: _talk(count, sample_hz, rng),
        "noclock_bumps": lambda: _bumps(count, sample_hz, rng) + _bumps(count, sample_hz, rng),
        "noclock_steps": lambda: _steps(count, sample_hz, rng),
    }
    return makers[condition]() + rng.normal(0.0, 0.01 if condition in NO_CLOCK[:3] else 0.003, count)


def _spoilt(condition: str, sound: Array, size: float, clock: Ticking, rng: Rng) -> Array:
    """The whole sound, noise and all, with something laid over it or done to it; `size` is the noise's own rms."""
    count, sample_hz = sound.size, clock.sample_hz

    def over(low_db: float, high_db: float) -> float:
        return size * float(10 ** (rng.uniform(low_db, high_db) / 20.0))

    makers: dict[str, Callable[[], Array]] = {
        "strike": lambda: sound + _strokes(count, sample_hz, rng) * clock.level * 10 ** (rng.uniform(-5, 25) / 20.0),
        "bumps": lambda: sound + _bumps(count, sample_hz, rng) * over(10, 45),
        "voice": lambda: sound + _talk(count, sample_hz, rng) * over(5, 35),
        "music": lambda: sound + _music(count, sample_hz, rng) * over(-5, 30),
        "melody": lambda: sound + _music(count, sample_hz, rng, drums=False) * over(-5, 30),
        "agc": lambda: _gain_led(sound, sample_hz, rng),
        "suppress": lambda: _suppressed(sound, sample_hz, rng),
        "two_32": lambda: sound + _second_clock(clock, rng),
        "quantised": lambda: np.round(sound / np.max(np.abs(sound)) * 127) / 127,
    }
    return makers[condition]() if condition in makers else sound


def _add_second_sounds(condition: str, ticks: Array, clock: Ticking, truth: Truth, rng: Rng) -> None:
    beat = 3600.0 / clock.beats_per_hour
    at = {
        "drop_lock": rng.uniform(0.004, 0.06),
        "double": rng.uniform(0.15, 0.48) * beat,
        "triple": rng.uniform(0.1, 0.3) * beat,
        "rattle": rng.uniform(0.3, 0.7) * beat,
    }[condition]
    own = rng.uniform(0, 2e-3) if condition == "rattle" else rng.uniform(0, 1e-3)
    for turn in range(2 if condition == "triple" else 1):
        for kind in (0, 1):
            if condition == "rattle" and kind == 1 and rng.random() < 0.4:
                continue
            mine = truth.kinds == kind
            times = truth.beats_s[mine] + at * (turn + 1) + rng.normal(0, own, mine.sum())
            times = times[(times > 0.01) & (times < clock.duration_s - 0.05)]
            simulator._add_ticks(
                ticks,
                times,
                np.full(times.size, clock.level * 10 ** (rng.uniform(-10, 6) / 20.0)),
                simulator.tick_shape(rng),
                clock.sample_hz,
            )


def _second_clock(clock: Ticking, rng: Rng) -> Array:
    ratio = float(rng.choice([1.5, 2 / 3, 2.0, 0.5, 4 / 3, 0.75, 3.0, 1 / 3]))
    other = replace(
        clock,
        beats_per_hour=clock.beats_per_hour * ratio * (1 + rng.normal(0, 2e-4)),
        snr_db=140.0,
        half_arc_deg=None,
        asymmetry_s=float(rng.uniform(-0.05, 0.05)) * 3600.0 / clock.beats_per_hour / ratio,
    )
    samples, _ = simulator.simulate(other, rng)
    return samples.astype(float) * 10 ** (rng.uniform(-8, 8) / 20.0)


def _in_a_room(
    sound: Array, sample_hz: int, rng: Rng, *, t60_s: float | None = None, wet_db: float | None = None
) -> Array:
    last = rng.uniform(0.25, 1.2) if t60_s is None else t60_s
    wet = rng.uniform(-15, 3) if wet_db is None else wet_db
    tail = rng.normal(0, 1, int(last * sample_hz)) * 10 ** (-3 * np.arange(int(last * sample_hz)) / sample_hz / last)
    if sample_hz > 13000:
        tail = signal.sosfilt(signal.butter(1, 6000, "low", fs=sample_hz, output="sos"), tail)
    tail *= 10 ** (wet / 20.0) / np.sqrt(np.sum(tail**2))
    after = int(rng.uniform(0.001, 0.006) * sample_hz)
    answer = np.concatenate([np.zeros(after), tail])
    answer[0] = 1.0
    for _ in range(rng.integers(2, 6)):
        answer[int(rng.uniform(0.002, 0.03) * sample_hz)] += rng.uniform(-0.6, 0.6)
    return np.asarray(signal.fftconvolve(sound, answer)[: sound.size])


def _in_a_case(sound: Array, sample_hz: int, rng: Rng) -> Array:
    out = sound.copy()
    for _ in range(rng.integers(2, 6)):
        above, below = signal.iirpeak(rng.uniform(150, min(2500, 0.4 * sample_hz)), rng.uniform(10, 80), fs=sample_hz)
        out = out + signal.lfilter(above, below, sound) * rng.uniform(0.5, 4)
    return out


def _coded(sound: Array, sample_hz: int, codec: str, bits: str) -> tuple[Array, int]:
    ending, library = CODECS[codec]
    with tempfile.TemporaryDirectory() as folder:
        plain, coded, back = (str(Path(folder) / name) for name in ("plain.wav", f"coded.{ending}", "back.wav"))
        soundfile.write(plain, sound / np.max(np.abs(sound)) * 0.7, sample_hz, subtype="PCM_16")
        subprocess.run(["ffmpeg", "-v", "error", "-i", plain, "-c:a", library, "-b:a", bits, coded], check=True)
        subprocess.run(["ffmpeg", "-v", "error", "-i", coded, "-ac", "1", back], check=True)
        samples, rate = soundfile.read(back)
    return np.asarray(samples), int(rate)


def _strokes(count: int, sample_hz: int, rng: Rng) -> Array:
    """One to eight strokes of a gong, each begun by the knock of the hammer."""
    out = np.zeros(count)
    start, gap, strokes = rng.uniform(3, count / sample_hz - 20), rng.uniform(1.2, 2.5), rng.integers(1, 9)
    t = np.arange(int(6 * sample_hz)) / sample_hz
    partials = rng.uniform(200, 600) * np.array([1, 2.76, 5.4, 8.9])
    for stroke in range(strokes):
        first = int((start + stroke * gap) * sample_hz)
        if first + 10 >= count:
            break
        wave = sum(
            rng.uniform(0.3, 1) * np.exp(-t / rng.uniform(0.5, 2.5)) * np.sin(2 * np.pi * hz * t + rng.uniform(0, 6))
            for hz in partials[partials < 0.45 * sample_hz]
        )
        end = min(first + t.size, count)
        out[first:end] += np.asarray(wave)[: end - first]
        out[first : first + 200] += rng.normal(0, 2, min(200, count - first))
    return out


def _bumps(count: int, sample_hz: int, rng: Rng) -> Array:
    out = np.zeros(count)
    for _ in range(rng.integers(2, 15)):
        first, span = int(rng.uniform(0, count - sample_hz)), int(rng.uniform(0.02, 0.3) * sample_hz)
        out[first : first + span] += rng.normal(0, 1, span) * np.exp(-np.arange(span) / (span / 5))
    return np.asarray(signal.lfilter(*signal.butter(1, 400, fs=sample_hz), out))


def _steps(count: int, sample_hz: int, rng: Rng) -> Array:
    pace, out = rng.uniform(0.4, 0.7), np.zeros(count)
    for step in range(int(40 / pace)):
        first, span = int((step * pace + rng.normal(0, 0.02)) * sample_hz), int(0.08 * sample_hz)
        if 0 < first < count - span:
            out[first : first + span] += (
                rng.normal(0, 1, span) * np.exp(-np.arange(span) / (span / 5)) * rng.uniform(0.5, 1)
            )
    return np.asarray(signal.lfilter(*signal.butter(1, 700, fs=sample_hz), out))


def _talk(count: int, sample_hz: int, rng: Rng) -> Array:
    return speech_like(np.arange(count) / sample_hz, rng)


def _gain_led(sound: Array, sample_hz: int, rng: Rng) -> Array:
    """Gain control as in a telephone: down within milliseconds of a loud sound, up again within a second."""
    attack, release, step = rng.uniform(0.002, 0.03), rng.uniform(0.08, 1.5), int(0.001 * sample_hz)
    peaks = np.abs(sound)[: sound.size // step * step].reshape(-1, step).max(axis=1)
    led, level = np.empty_like(peaks), float(peaks.mean())
    for at, peak in enumerate(peaks):
        level += (peak - level) * (1 - np.exp(-0.001 / (attack if peak > level else release)))
        led[at] = level
    threshold, ratio = float(np.median(led)) * 0.5, rng.uniform(0.3, 0.9)
    gain = (np.maximum(led, threshold) / threshold) ** -ratio
    return np.asarray(sound * np.interp(np.arange(sound.size), np.arange(gain.size) * step, gain))


def _suppressed(sound: Array, sample_hz: int, rng: Rng) -> Array:
    size = 1024 if sample_hz > 20000 else 256
    _, _, spectra = signal.stft(sound, sample_hz, nperseg=size)
    height = np.abs(spectra)
    floor = np.quantile(height, 0.5, axis=1, keepdims=True) * rng.uniform(1, 2)
    _, out = signal.istft(
        spectra * np.clip(1 - floor / np.maximum(height, 1e-20), rng.uniform(0.05, 0.3), 1), sample_hz, nperseg=size
    )
    return np.pad(out[: sound.size], (0, max(sound.size - out.size, 0)))


def _music(count: int, sample_hz: int, rng: Rng, *, drums: bool = True) -> Array:
    """Notes that change from beat to beat, and drums in one of four styles (none in the last)."""
    quarter, out, t = 60 / rng.uniform(70, 160), np.zeros(count), np.arange(int(0.5 * sample_hz)) / sample_hz
    kick = np.sin(2 * np.pi * (50 * t + 9 * (1 - np.exp(-t / 0.02)))) * np.exp(-t / 0.12)
    kick[: int(0.002 * sample_hz)] += rng.normal(0, 0.5, int(0.002 * sample_hz))
    snare = (rng.normal(0, 1, t.size) * np.exp(-t / 0.07) + np.sin(2 * np.pi * 190 * t) * np.exp(-t / 0.1)) * 0.8
    hat = (
        signal.lfilter(*signal.butter(2, min(6000, 0.4 * sample_hz), "high", fs=sample_hz), rng.normal(0, 1, t.size))
        * np.exp(-t / 0.03)
        * 0.6
    )

    def put(wave: Array, at_s: float, gain: float = 1.0) -> None:
        first = int(at_s * sample_hz)
        if 0 <= first < count:
            out[first : first + wave.size] += wave[: count - first] * gain

    unsteady_s = rng.uniform(0, 0.004) * (rng.random() < 0.7)
    root, style = rng.uniform(150, 300), rng.integers(4) if drums else 3
    for beat in range(int(count / sample_hz / quarter) + 1):
        at = beat * quarter + rng.normal(0, 1) * unsteady_s
        if style == 0:
            put(kick if beat % 2 == 0 else snare, at)
        elif style == 1:
            put(kick, at)
        elif style == 2:
            put(hat, at, 1 if beat % 2 else 1.5)
        for half in range(2 if style == 0 else 0):
            put(hat, at + half * quarter / 2)
        if style == 1:
            put(hat, at + quarter / 2)
        for half in range(2 if rng.random() < 0.5 else 1):
            hz, span = (
                root * 2 ** (rng.choice([0, 2, 4, 5, 7, 9, 11, 12]) / 12),
                np.arange(int(quarter * sample_hz * 0.9)) / sample_hz,
            )
            note = (
                sum(np.sin(2 * np.pi * hz * part * span) / part for part in range(1, 6))
                * np.minimum(span / 0.005, 1)
                * np.exp(-span / rng.uniform(0.1, 0.6))
                * 0.5
            )
            put(np.asarray(note), at + half * quarter / 2)
    return out / np.std(out)


if __name__ == "__main__":
    raise SystemExit(main())
