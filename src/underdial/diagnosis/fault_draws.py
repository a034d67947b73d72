"""Draws of the faults of one clock: which are there, how bad, where, in which sense, and when they strike.

Given the findings the suspects are independent, save that a finding that several could explain picks one of them.
Arrays are (suspects, draws). The random source is passed in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis import severity
from underdial.diagnosis.suspects import Suspect, Suspicion

_MEASURED_LOG_SD = 0.15


@dataclass
class FaultDraws:
    """Severity (0 absent), arbor, sense (+1 or -1) and clock (0 to 1: when in its turn it strikes) of every suspect."""

    severity: NDArray[np.float32]
    arbor: NDArray[np.int8]
    sense: NDArray[np.int8]
    clock: NDArray[np.float32]

    @property
    def count(self) -> int:
        """Draws."""
        return int(self.severity.shape[1])

    def chosen(self, columns: NDArray[np.int64] | NDArray[np.bool_]) -> FaultDraws:
        """The same for some of the draws."""
        return FaultDraws(
            np.ascontiguousarray(self.severity[:, columns]),
            np.ascontiguousarray(self.arbor[:, columns]),
            np.ascontiguousarray(self.sense[:, columns]),
            np.ascontiguousarray(self.clock[:, columns]),
        )

    def without(self, suspects: Sequence[int]) -> FaultDraws:
        """The same draws with some faults put right; the arrays that do not change are shared."""
        left = self.severity.copy()
        left[list(suspects)] = 0.0
        return FaultDraws(left, self.arbor, self.sense, self.clock)

    @staticmethod
    def joined(parts: Sequence[FaultDraws]) -> FaultDraws:
        """Several blocks of draws as one."""
        return FaultDraws(
            *(np.concatenate([getattr(p, n) for p in parts], axis=1) for n in ("severity", "arbor", "sense", "clock"))
        )


def draw_faults(suspicion: Suspicion, count: int, rng: np.random.Generator) -> FaultDraws:
    """Draw the faults of `count` clocks that agree with the findings alone."""
    suspects = suspicion.suspects
    shape = (len(suspects), count)
    draws = FaultDraws(
        np.zeros(shape, np.float32), np.zeros(shape, np.int8), np.zeros(shape, np.int8), np.zeros(shape, np.float32)
    )
    picked = _picked(suspicion, count, rng)
    for k, suspect in enumerate(suspects):
        there = rng.random(count, dtype=np.float32) < suspect.probability
        if k in picked:
            there |= picked[k]
        fill_in(draws, k, suspect, np.flatnonzero(there), rng)
    return draws


def fill_in(draws: FaultDraws, k: int, suspect: Suspect, columns: NDArray[np.int64], rng: np.random.Generator) -> None:
    """Give suspect `k` a fresh severity, arbor, sense and clock in some draws, as its findings allow."""
    n = len(columns)
    if n == 0:
        return
    x = rng.standard_normal(n)
    if suspect.measured_severity is not None:
        s = suspect.measured_severity * np.exp(_MEASURED_LOG_SD * x)
    elif suspect.reports:
        s = severity.seen(x, rng.standard_normal(n), level=suspect.level)
    else:
        s = severity.unseen(x)
        if suspect.read_as_none_share > 0.0:
            passed = rng.random(n) < suspect.read_as_none_share
            s[passed] = severity.seen(x[passed], rng.standard_normal(int(passed.sum())), level="none")
    draws.severity[k, columns] = s
    draws.clock[k, columns] = rng.random(n, dtype=np.float32)
    draws.sense[k, columns] = np.where(rng.random(n, dtype=np.float32) < 0.5, -1, 1)
    if suspect.arbors and not suspect.everywhere:
        draws.arbor[k, columns] = np.asarray(suspect.arbors, np.int8)[rng.integers(0, len(suspect.arbors), n)]
    else:
        draws.arbor[k, columns] = -1


def _picked(suspicion: Suspicion, count: int, rng: np.random.Generator) -> dict[int, NDArray[np.bool_]]:
    """For each finding with several readings, which suspect it was in each draw."""
    out: dict[int, NDArray[np.bool_]] = {}
    for pick in suspicion.picks:
        u = rng.random(count)
        edges = np.concatenate([[0.0], np.cumsum(pick.shares)]) * pick.probability
        for member, low, high in zip(pick.members, edges[:-1], edges[1:], strict=True):
            mask = (u >= low) & (u < high)
            out[member] = out[member] | mask if member in out else mask
    return out
