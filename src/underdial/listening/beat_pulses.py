"""What a beat is made of: how evenly tick and tock fall, and how far a balance swings.

A template's mark is as good as any for the rate, but tick and tock sound different, so their marks cannot be compared.
Three events inside each beat can: its first rise, its loudest moment, the middle of its loudness. Their spread is part
of the error of the beat error. A lever's beat has three pulses: unlocking, impulse, drop; between the first and the
last the balance turns through the lift, half on each side of rest, which gives its amplitude.

Limits: amplitude only where both kinds of beat show exactly three pulses; a pendulum's beat has none to tell it by.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import signal

Array = NDArray[np.float64]

LEAST_BEAT_ERROR_U_S = 1e-4
_PULSE_HEIGHT = 5.0
_LEAST_PULSE_GAP_S = 0.0015


@dataclass(frozen=True, slots=True)
class Evenness:
    """Half the difference of the two intervals [s] and its standard uncertainty [s]."""

    beat_error_s: float
    u_s: float


@dataclass(frozen=True, slots=True)
class Swing:
    """Half arc of a balance [deg] with its standard uncertainty, or None and why."""

    amplitude_deg: float | None
    u_deg: float | None
    reason: str | None


def evenness(*, late_s: float, late_u_s: float, outlines: Array, at_s: Array) -> Evenness:
    """Beat error from the lateness of the marks and three events inside the beats; never surer than 0.1 ms."""
    pulses = [pulse_rises_s(one, at_s) for one in outlines]
    if pulses[0].size == pulses[1].size == 3:
        # A lever's three pulses are surer marks than the middle of a loudness that jumps from pulse to pulse.
        shifts = late_s + pulses[1] - pulses[0]
    else:
        events = np.array([_events(one, at_s) for one in outlines])
        shifts = late_s + events[1] - events[0]
    spread = float(np.std(shifts, ddof=1)) / math.sqrt(shifts.size)
    return Evenness(abs(float(np.median(shifts))), max(math.hypot(spread, late_u_s), LEAST_BEAT_ERROR_U_S))


def swing(
    *, outlines: Array, at_s: Array, beat_s: float, lift_deg: float | None, lift_u_deg: float, balance: bool | None
) -> Swing:
    """Amplitude of a balance from the pulses of its beats: (lift / 2) / sin(pi dt / T), T the full period.

    Source: sine motion, textbook kinematics. Pulses are taken at their rises, good to about 0.1 ms each.
    """
    if balance is False:
        return Swing(None, None, "A pendulum's swing cannot be heard; read its arc on a scale behind it.")
    if lift_deg is None:
        return Swing(None, None, "The lift of this movement is not known; give it with --lift.")
    pulses = [pulse_rises_s(one, at_s) for one in outlines]
    if any(one.size != 3 for one in pulses):
        counts = " and ".join(str(one.size) for one in pulses)
        return Swing(
            None,
            None,
            f"Three pulses are needed in both kinds of beat; {counts} were heard. A contact microphone on the "
            "movement may show them.",
        )
    spans = np.array([one[2] - one[0] for one in pulses])
    sines = np.sin(np.pi * spans / (2.0 * beat_s))
    each = lift_deg / 2.0 / sines
    mean = float(np.mean(each))
    if abs(each[0] - each[1]) > 0.2 * mean or not 60.0 < mean < 340.0:
        return Swing(
            None, None, f"The two kinds of beat give {each[0]:.0f} and {each[1]:.0f} deg, which do not go together."
        )
    # Two rises of about 0.1 ms each.
    span_u = 1.5e-4
    from_span = mean * (np.pi / (2.0 * beat_s)) * span_u / math.tan(float(np.pi * spans.mean() / (2.0 * beat_s)))
    apart = abs(each[0] - each[1]) / 2.0
    return Swing(mean, math.sqrt(from_span**2 + apart**2 + (mean * lift_u_deg / lift_deg) ** 2), None)


def pulse_rises_s(outline: Array, at_s: Array) -> Array:
    """Times [s] from the mark at which each pulse inside a beat rises steepest, in order."""
    rate = 1.0 / (at_s[1] - at_s[0])
    slope = np.gradient(outline)
    peaks, _ = signal.find_peaks(
        outline,
        height=max(_PULSE_HEIGHT, 0.03 * float(outline.max())),
        distance=max(int(_LEAST_PULSE_GAP_S * rate), 1),
        prominence=max(_PULSE_HEIGHT, 0.03 * float(outline.max())),
    )
    rises = []
    for peak in peaks:
        low = max(peak - int(0.0015 * rate), 0)
        rises.append(at_s[low + int(np.argmax(slope[low : peak + 1]))])
    # A ring that swells again within three milliseconds belongs to the pulse before it when it is softer.
    kept: list[int] = []
    for k, peak in enumerate(peaks):
        if kept and rises[k] - rises[kept[-1]] < 0.003 and outline[peak] < outline[peaks[kept[-1]]]:
            continue
        kept.append(k)
    return np.array([rises[k] for k in kept])


def _events(outline: Array, at_s: Array) -> tuple[float, float, float]:
    """First rise to a quarter of the height, loudest moment, middle of the loudness, each [s] from the mark."""
    top = float(outline.max())
    if top <= 0:
        return (0.0, 0.0, 0.0)
    peak = int(np.argmax(outline))
    first = int(np.argmax(outline > 0.25 * top))
    if first > 0:
        before, after = outline[first - 1], outline[first]
        start = at_s[first - 1] + (0.25 * top - before) / max(after - before, 1e-12) * (at_s[1] - at_s[0])
    else:
        start = at_s[0]
    loud = np.where(outline > 0.1 * top, outline, 0.0)
    middle = float(np.interp(0.5, np.cumsum(loud) / loud.sum(), at_s))
    return float(start), float(at_s[peak]), middle
