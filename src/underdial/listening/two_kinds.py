"""Whether tick and tock can be told apart: two sounds, or one sound that comes at every second beat.

A clock whose tock cannot be heard sounds like one of half its count. But then every beat heard is the same pallet's:
all sound alike, and all fall evenly. Tick and tock of a real movement differ in loudness and pitch, or fall unevenly.

Limits: needs a dozen beats; without the count known beforehand a clock whose two pallets sound quite alike, in perfect
beat, is not told from one that is heard half.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from underdial.listening import rate_fit, tick_template
from underdial.listening.rate_fit import BeatLog
from underdial.listening.tick_template import Lens

Array = NDArray[np.float64]
Floats = NDArray[np.float32]

_BANDS, _LOW_HZ = 12, 300.0
# Five standard errors in one of a dozen bands come by chance once in a hundred thousand; a tenth of a neper (0.9 dB
# of power is 0.2) keeps the unlike teeth of one wheel, which meet the same pallet in turn, from passing for two.
_SURE, _LEAST_NEPER, _LEAST_LATE_S = 5.0, 0.1, 2e-4
_LEAST_TURN_NEPER, _LEAST_TURN_S = 0.35, 5e-4


def told_apart(samples: Floats, lens: Lens, log: BeatLog) -> bool:
    """True when the two kinds of beat differ in sound, or fall unevenly, by far more than their own scatter."""
    late, late_u = _lateness(log)
    # A mark lies at a place of the template, which for unlike sounds may be anywhere; alike sounds share it.
    if abs(late) > max(_SURE * late_u, _LEAST_LATE_S):
        return True
    return any(_differ(loudness, log.kinds, 2.0 * _LEAST_NEPER) for loudness in _loudnesses(samples, lens, log))


def turn_by_turn(samples: Floats, lens: Lens, log: BeatLog) -> bool:
    """True when every second beat of a kind sounds or falls otherwise than the rest: the true round holds four of these
    sounds, not two.

    A movement that makes two loud sounds a beat has a tick and a tock behind what looks like one kind. Unlike teeth
    change from beat to beat too, but not by turns; what is left of them among fifteen odd and even ones is small.
    """
    late = rate_fit.fit_rate(log).residual_s
    loudnesses = _loudnesses(samples, lens, log)
    for kind in (0, 1):
        mine = log.kinds == kind
        turn = (np.floor(log.numbers[mine] / 2.0) % 2).astype(np.int8)
        if _differ(late[mine], turn, _LEAST_TURN_S) or any(
            _differ(one[mine], turn, _LEAST_TURN_NEPER) for one in loudnesses
        ):
            return True
    return False


def _loudnesses(samples: Floats, lens: Lens, log: BeatLog) -> list[Array]:
    """Loudness of each beat [nepers of power] in each band that the sampling carries."""
    spectra, _ = tick_template.window_spectra(samples, lens, log.times_s + 0.1 * lens.before / lens.sample_hz)
    power = np.abs(spectra) ** 2
    hz = np.arange(power.shape[1]) * lens.sample_hz / lens.padded
    edges = np.geomspace(_LOW_HZ, 0.46 * lens.sample_hz, _BANDS + 1)
    bands = [(hz >= low) & (hz < high) for low, high in pairwise(edges)]
    return [np.log(power[:, inside].mean(axis=1) + 1e-20) for inside in bands if inside.any()]


def scatter_ratio(log: BeatLog, beat_s: float) -> float:
    """How many times more the one kind of beat scatters about its own neighbours than the other."""
    both = [
        tick_template.scatter_s(
            log.times_s[log.kinds == kind], beat_s * log.numbers[log.kinds == kind], log.kinds[log.kinds == kind]
        )
        for kind in (0, 1)
    ]
    return max(both) / max(min(both), 1e-5)


def _lateness(log: BeatLog) -> tuple[float, float]:
    fit = rate_fit.fit_rate(log)
    return fit.late_s, fit.late_u_s


def _differ(values: Array, kinds: NDArray[np.int8], least: float) -> bool:
    one, other = values[kinds == 0], values[kinds == 1]
    if min(one.size, other.size) < 6:
        return False
    # Medians and quartiles: a knock on top of a few beats is no mark of their kind.
    apart = abs(float(np.median(one) - np.median(other)))
    spread = [float(np.subtract(*np.quantile(part, (0.75, 0.25)))) / 1.349 for part in (one, other)]
    error = 1.25 * math.hypot(spread[0] / math.sqrt(one.size), spread[1] / math.sqrt(other.size))
    return apart > max(_SURE * error, least)
