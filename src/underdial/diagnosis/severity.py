"""How bad a fault is: severity before and after somebody looked.

Severity s is 0 when a fault is absent, else lognormal with log standard deviation 0.6 about 1 ("what a repairer means
by moderate"). A look reads it with noise and says none, slight, moderate or severe by three cuts. Everything is driven
by two standard normal numbers a draw, so that a sampler can move them.

Limits: cuts and noise are starting values of ours, [assumption], to be learned from finished jobs.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

Array = NDArray[np.float64]

LOG_SD = 0.6
READ_LOG_SD = 0.35
CUTS = (0.3, 0.8, 1.7)
LEVELS = ("slight", "moderate", "severe")
_TOTAL_LOG_SD = math.hypot(LOG_SD, READ_LOG_SD)
_BOUNDS: dict[str | None, tuple[float, float]] = {
    None: (CUTS[0], math.inf),
    "slight": (CUTS[0], CUTS[1]),
    "moderate": (CUTS[1], CUTS[2]),
    "severe": (CUTS[2], math.inf),
    "none": (0.0, CUTS[0]),
}


def unseen(x: Array) -> Array:
    """Severity of a fault that is there but that nobody has looked at.

    Parameters
    ----------
    x : array, shape (n,)
        Standard normal numbers.

    Returns
    -------
    array, shape (n,)
        Severity [1], above 0.
    """
    return np.exp(LOG_SD * x)


def seen(x: Array, noise: Array, *, level: str | None) -> Array:
    """Severity of a fault that was read at a level; exact for the reading model.

    Parameters
    ----------
    x, noise : array, shape (n,)
        Standard normal numbers: the first places the reading within its level, the second the truth about it.
    level : str or None
        `slight`, `moderate`, `severe`, None when no extent was said (anything above the lowest cut), or `none` for a
        fault that is there but was read as sound.

    Returns
    -------
    array, shape (n,)
        Severity [1], above 0.

    Notes
    -----
    log s ~ N(0, a), log reading = log s + N(0, b): the reading is N(0, a + b) cut to its level, and log s given it is
    normal with mean reading a/(a + b) and variance ab/(a + b). Textbook conditional of two normals.
    """
    low, high = _BOUNDS[level]
    p_low = float(ndtr(math.log(low) / _TOTAL_LOG_SD)) if low > 0.0 else 0.0
    p_high = 1.0 if math.isinf(high) else float(ndtr(math.log(high) / _TOTAL_LOG_SD))
    inside = np.clip(p_low + (p_high - p_low) * ndtr(x), 1e-12, 1 - 1e-12)
    reading = _TOTAL_LOG_SD * ndtri(inside)
    share = (LOG_SD / _TOTAL_LOG_SD) ** 2
    spread = LOG_SD * READ_LOG_SD / _TOTAL_LOG_SD
    return np.asarray(np.exp(share * reading + spread * noise))


def said_level(severity: Array, noise: Array) -> NDArray[np.int64]:
    """What a look would say of a severity: 0 none, 1 slight, 2 moderate, 3 severe (for simulated clocks)."""
    with np.errstate(divide="ignore"):
        reading = severity * np.exp(READ_LOG_SD * noise)
    return np.searchsorted(np.asarray(CUTS), reading, side="right").astype(np.int64)


def threshold(probability: float) -> float:
    """Severity above which a fault stops the clock hard, so that it does so with this chance when it is present."""
    return math.exp(LOG_SD * float(ndtri(min(max(1.0 - probability, 1e-6), 1 - 1e-6))))


def chance_of_saying_none() -> float:
    """Chance that a fault that is there reads as none, by noise of the reading alone (0.042)."""
    return float(ndtr(math.log(CUTS[0]) / _TOTAL_LOG_SD))
