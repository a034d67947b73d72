"""Turns of set-up counted on a fusee, as evidence for or against a wrong set-up.

One and three eighths of a turn, give or take three eighths, is usual, and one clock in ten is rightly set up with two
to three; a wrong set-up is taken to be any from none to four turns, alike. Bayes' rule does the rest.

Limits: the tenth and the four turns are ours, [assumption]; how much the torque then differs over the wind is left to
the law of the fault. Source of what is usual: the fault's own row (PWR-27, how it is seen).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from underdial.diagnosis.case_file import Reading, Unused
from underdial.diagnosis.suspects import Suspicion

QUANTITY = "set_up_turns"
_FAULT = "PWR-27"
# Share, mean and standard deviation in turns of set-ups that are right.
_RIGHT = ((0.9, 1.375, 0.375), (0.1, 2.5, 0.4))
_WRONG_WITHIN_TURNS = 4.0
# Counted to a tooth or so of the set-up ratchet.
_COUNTED_U_TURNS = 0.1


def with_set_up_counted(found: Suspicion, readings: Sequence[Reading]) -> Suspicion:
    """The suspicion with every set-up that was counted taken into it."""
    suspects, unused = list(found.suspects), list(found.unused)
    for reading in readings:
        if reading.quantity != QUANTITY or reading.kind != "turns":
            continue
        named = f"measurements[{reading.index}] {QUANTITY}"
        at = next((k for k, one in enumerate(suspects) if one.fault == _FAULT), None)
        if at is None:
            unused.append(Unused(named, "set-up is that of a fusee, and this clock has none"))
            continue
        if set((reading.of or "").replace(":", ".").split(".")) & {"strike", "chime"}:
            unused.append(Unused(named, "the set-up of another train leaves the going alone"))
            continue
        if suspects[at].reports:
            unused.append(Unused(named, "the finding on the set-up stands for it"))
            continue
        before = suspects[at].probability
        odds = before / (1.0 - before) / likelihood_ratio_of_right(reading.value, reading.u or _COUNTED_U_TURNS)
        suspects[at] = replace(
            suspects[at],
            probability=odds / (1.0 + odds),
            heard=f"counted: a set-up of {reading.value:g} turns, where 1 to 1 3/4 is usual",
        )
    return replace(found, suspects=tuple(suspects), unused=tuple(unused))


def likelihood_ratio_of_right(turns: float, u_turns: float) -> float:
    """How many times likelier a count of turns is of a right set-up than of a wrong one.

    Parameters
    ----------
    turns : float
        Turns of the barrel arbor let down [1], 0 or more.
    u_turns : float
        Standard error of the count [1], above 0.

    Returns
    -------
    float
        Ratio of the two densities [1], above 0.
    """
    right = sum(
        share * math.exp(-0.5 * ((turns - mean) / sd) ** 2) / (sd * math.sqrt(2.0 * math.pi))
        for share, mean, sd in ((share, mean, math.hypot(sd, u_turns)) for share, mean, sd in _RIGHT)
    )
    return max(right, 1e-6) * _WRONG_WITHIN_TURNS
