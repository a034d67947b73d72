"""Whether this machine's own clock is kept by network time, and how far it may wander from it.

The kernel of Linux says both; other systems do not tell, and are then taken as not kept.

Limits: reads, never sets.
"""

from __future__ import annotations

import ctypes
import sys
import time

# Network time over the internet wanders by about so much whatever the kernel thinks of it. [common practice]
LEAST_WANDER_S = 0.005
# The kernel's own estimate beyond this is no clock to compare another with.
_MOST_WANDER_S = 0.5
_UNSYNCHRONISED, _STATE_ERROR = 0x0040, 5


class _Timex(ctypes.Structure):
    """`struct timex` of Linux up to the fields that are read, with room for the rest."""

    _fields_ = (
        ("modes", ctypes.c_uint),
        ("offset", ctypes.c_long),
        ("freq", ctypes.c_long),
        ("maxerror", ctypes.c_long),
        ("esterror", ctypes.c_long),
        ("status", ctypes.c_int),
        ("rest", ctypes.c_long * 32),
    )


def wander_s() -> float | None:
    """How far the clock may wander from network time; None when it is not kept by it, or does not say."""
    if not sys.platform.startswith("linux"):
        return None
    asked = _Timex()
    try:
        state = ctypes.CDLL(None).ntp_adjtime(ctypes.byref(asked))
    except (OSError, AttributeError):
        return None
    if state in (-1, _STATE_ERROR) or asked.status & _UNSYNCHRONISED or asked.esterror * 1e-6 > _MOST_WANDER_S:
        return None
    return max(LEAST_WANDER_S, float(asked.esterror) * 1e-6)


def steady_s() -> float:
    """A clock that never steps and is led along by network time, for spans."""
    return time.monotonic()
