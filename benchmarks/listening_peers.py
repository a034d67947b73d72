"""What general libraries make of the same recordings, each helped along by being told the beat to expect.

Peaks or onsets are given their number by rounding to the expected beat, then a straight line is fitted: the best that
can be made of them. Libraries: scipy.signal.find_peaks, librosa onset detection and beat tracking, and aubio's onsets
and beats where that is installed (its own distribution builds on few machines; `aubio-ledfx` is the same library as
wheels).
"""

from __future__ import annotations

import importlib
import importlib.util
import warnings
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import signal

Array = NDArray[np.float64]
FAILED_S_PER_DAY = 100.0


def peers() -> dict[str, Callable[[NDArray[np.float32], int, float], float | None]]:
    """Name of each peer to a function from samples, sampling and expected beat [s] to the beat it finds [s], or
    None.
    """
    known: dict[str, Callable[[NDArray[np.float32], int, float], float | None]] = {
        "find_peaks": by_find_peaks,
        "librosa_onset": by_librosa_onset,
        "librosa_beat": by_librosa_beat,
        "librosa_beat_fine": by_librosa_beat_fine,
    }
    if importlib.util.find_spec("aubio") is not None:
        known |= {"aubio_onset": by_aubio_onset, "aubio_tempo": by_aubio_tempo}
    return known


def by_find_peaks(samples: NDArray[np.float32], sample_hz: int, beat_s: float) -> float | None:
    """Peaks of a five-millisecond envelope of 1 to 10 kHz, at least six tenths of a beat apart, and a line."""
    sos = signal.butter(4, [1000.0, min(10000.0, 0.45 * sample_hz)], "bandpass", fs=sample_hz, output="sos")
    width = int(0.005 * sample_hz)
    envelope = np.convolve(np.abs(signal.sosfilt(sos, samples)), np.ones(width) / width, "same")
    peaks, _ = signal.find_peaks(
        envelope,
        distance=max(int(0.6 * beat_s * sample_hz), 1),
        prominence=3.0 * float(np.std(envelope[envelope < np.median(envelope) * 3])),
    )
    return _line(peaks / sample_hz, beat_s)


def by_librosa_onset(samples: NDArray[np.float32], sample_hz: int, beat_s: float) -> float | None:
    """librosa.onset.onset_detect with 64 samples a step, and a line."""
    import librosa

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        times = librosa.onset.onset_detect(y=samples, sr=sample_hz, hop_length=64, units="time")
    return _line(np.asarray(times, dtype=float), beat_s)


def by_librosa_beat(samples: NDArray[np.float32], sample_hz: int, beat_s: float, *, hop: int = 512) -> float | None:
    """librosa.beat.beat_track told the beat, with `hop` samples a step, and a line."""
    import librosa

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        _, times = librosa.beat.beat_track(y=samples, sr=sample_hz, hop_length=hop, bpm=60.0 / beat_s, units="time")
    return _line(np.asarray(times, dtype=float), beat_s)


def by_librosa_beat_fine(samples: NDArray[np.float32], sample_hz: int, beat_s: float) -> float | None:
    """The same with 128 samples a step: finer when the ticks are clear, sooner lost when they are not."""
    return by_librosa_beat(samples, sample_hz, beat_s, hop=128)


def by_aubio_onset(samples: NDArray[np.float32], sample_hz: int, beat_s: float) -> float | None:
    """aubio.onset with 64 samples a step, and a line."""
    aubio = importlib.import_module("aubio")
    return _line(_by_aubio(aubio.onset("default", 512, 64, sample_hz), samples), beat_s)


def by_aubio_tempo(samples: NDArray[np.float32], sample_hz: int, beat_s: float) -> float | None:
    """aubio.tempo with 512 samples a step, and a line; it cannot be told the beat to expect."""
    aubio = importlib.import_module("aubio")
    return _line(_by_aubio(aubio.tempo("default", 1024, 512, sample_hz), samples), beat_s)


def _by_aubio(detector: Any, samples: NDArray[np.float32]) -> Array:
    step = detector.hop_size
    return np.array(
        [detector.get_last_s() for at in range(0, samples.size - step + 1, step) if detector(samples[at : at + step])]
    )


def _line(times: Array, beat_s: float) -> float | None:
    if times.size < 6:
        return None
    steps = np.maximum(np.round(np.diff(times) / beat_s), 0.0)
    numbers = np.concatenate([[0.0], np.cumsum(steps)])
    if numbers[-1] < 3:
        return None
    return float(np.polyfit(numbers, times, 1)[0])
