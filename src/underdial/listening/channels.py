"""Which channel of a recording to listen to: the one, or the mean, in which a beat stands out most.

Limits: two channels or more, judged on up to twenty seconds of sound.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from underdial.listening import finding, period_search

Floats = NDArray[np.float32]
JUDGED_S = 20.0


def channel_mix_ratios(frames: Floats, sample_hz: int, beats_per_hour: float | None) -> tuple[float, ...]:
    """Weights [ratio] to mix the channels of `frames`, shape (n, channels): one channel alone, or all alike.

    All alike is taken only when no channel alone shows the beat as well.
    """
    count = frames.shape[1]
    if count == 1:
        return (1.0,)
    part = frames[: int(JUDGED_S * sample_hz)]
    mixes: list[tuple[float, ...]] = [tuple(float(k == one) for k in range(count)) for one in range(min(count, 4))] + [
        (1.0 / count,) * count
    ]
    scores = []
    for mix in mixes:
        ear = finding.open_ear((part @ np.array(mix, dtype=np.float32)).astype(np.float32), sample_hz)
        drive = ear.excesses.sum(axis=1, dtype=np.float64)
        fold = 7200.0 / beats_per_hour if beats_per_hour else None
        low, high = (
            (0.97 * fold, 1.03 * fold)
            if fold
            else (period_search.LEAST_PERIOD_S, min(period_search.MOST_PERIOD_S, ear.duration_s / 4))
        )
        found = period_search.search(period_search.spectrum_of(drive), low_s=low, high_s=high, band_hz=60.0, keep=1)
        scores.append(found[0].score if found else 0.0)
    scores[-1] *= 0.8
    return mixes[int(np.argmax(scores))]
