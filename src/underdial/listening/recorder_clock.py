"""How fast a recorder's own clock runs, from frames counted against a clock that is known, or from a reference tick.

What was found is kept as `record.recorder`, which says for how long it may be used.

A sound card's crystal is off by tens of parts in a million, a few seconds a day: more than most rates worth knowing.
Stamps of the system come late, never early, by an uneven delay, so each stretch is held to its earliest stamp.

Limits: five minutes or more; the system clock disciplined by network time (say so in the record, with its wander).
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from underdial.errors import BadInput
from underdial.uncertain import Uncertain

Array = NDArray[np.float64]

LEAST_SPAN_S = 300.0
_STRETCHES = 40


def estimate_from_frames(*, frames_count: Array, stamps_s: Array, sample_hz: int, wander_s: float) -> Uncertain:
    """Parts in a million by which the recorder runs fast, from frame counts and the system's stamps of them.

    Parameters
    ----------
    frames_count : array, shape (n,)
        Frames received up to each stamp, growing.
    stamps_s : array, shape (n,)
        System time of each stamp [s], spanning 300 s or more.
    sample_hz : int
        Nominal sampling [Hz].
    wander_s : float
        How far the system clock wanders from true time [s]: 0.005 for network time over the internet.

    Returns
    -------
    Uncertain
        Parts in a million, and the standard uncertainty.

    Raises
    ------
    BadInput
        Fewer than 20 stamps, or a span under 300 s.

    Notes
    -----
    Least excess delay of each of forty stretches, then a straight line; the wander enters as sqrt(2) wander / span.
    """
    span = float(stamps_s[-1] - stamps_s[0]) if stamps_s.size else 0.0
    if stamps_s.size < 20 or span < LEAST_SPAN_S:
        raise BadInput(
            "stamps", f"{stamps_s.size} over {span:.0f} s", f"20 stamps or more over {LEAST_SPAN_S:.0f} s or more"
        )
    device = (frames_count - frames_count[0]) / sample_hz
    late = (stamps_s - stamps_s[0]) - device
    edges = np.linspace(0, stamps_s.size, min(_STRETCHES, stamps_s.size // 5) + 1).astype(int)
    slope, where = float(np.polyfit(device, late, 1)[0]), None
    # The least delay depends a little on the slope itself; two rounds settle it.
    for _ in range(2):
        flat = late - slope * device
        where = np.array([low + int(np.argmin(flat[low:high])) for low, high in pairwise(edges)])
        design = np.column_stack([device[where], np.ones(where.size)])
        solution = np.linalg.lstsq(design, late[where], rcond=None)[0]
        slope = float(solution[0])
    assert where is not None
    left = late[where] - design @ solution
    spread = float(left @ left) / max(where.size - 2, 1) * float(np.linalg.inv(design.T @ design)[0, 0])
    # System time gains on the device when the device is slow: fast is the opposite sign.
    return Uncertain(-slope * 1e6, math.hypot(math.sqrt(spread), math.sqrt(2.0) * wander_s / span) * 1e6)


def estimate_from_reference(
    *, heard_beat_s: float, heard_u_s: float, true_beat_s: float, true_u_ratio: float
) -> Uncertain:
    """Parts in a million fast, from a reference that ticks into the recorder with a period that is known.

    `true_u_ratio` is the reference's own standard error as a ratio: 5.8e-6 for an unchecked quartz clock of 15 s a
    month.
    """
    ratio = heard_beat_s / true_beat_s - 1.0
    return Uncertain(ratio * 1e6, math.hypot(heard_u_s / true_beat_s, true_u_ratio) * 1e6)
