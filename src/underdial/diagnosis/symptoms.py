"""Striking, chiming and alarm: causes of symptoms, exactly.

Each fault brings each symptom about with a chance of its own, independently (a noisy OR, with a small chance that none
of the listed faults did it). With few symptoms told the posterior is a short alternating sum over the subsets of the
symptoms that are there: exact, and cheap for any number of faults.

Limits: at most twelve symptoms that are there (2^12 terms); a complaint names one to three.
Source: the inclusion and exclusion sum for two-layer networks of this kind is textbook knowledge (Heckerman 1989).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

LEAK = 0.01


@dataclass(frozen=True, slots=True)
class Cause:
    """A fault with its chance before the symptoms, and the chance with which it brings each symptom about."""

    key: str
    probability: float
    brings: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the symptoms say of one cause.

    present: the fault is there. necessary: every symptom that was told would be gone if only it were put right.
    sufficient: it alone brings all of them about.
    """

    key: str
    present_probability: float
    necessary_probability: float
    sufficient_probability: float


def judge(
    causes: Sequence[Cause], *, told: Sequence[str], not_so: Sequence[str] = (), leak: float = LEAK
) -> list[Verdict]:
    """Exact verdict on every cause, given the symptoms that are there and those that are not.

    Parameters
    ----------
    causes : sequence of Cause
        Independent faults.
    told, not_so : sequence of str
        Symptoms that are there, and that are not. Any other symptom is unknown.
    leak : float
        Chance of each symptom with none of the causes, 0 to 1.

    Returns
    -------
    list of Verdict
        In the order of the causes; probabilities are exact to rounding.
    """
    total, with_each = _sums(causes, told, not_so, leak)
    if total <= 0.0:
        return [Verdict(c.key, c.probability, 0.0, 0.0) for c in causes]
    there, absent = list(told), list(not_so)
    without = _stay_off(causes, [*there, *absent])
    quiet = np.prod(without) * (1.0 - leak) ** (len(there) + len(absent))
    out = []
    for i, cause in enumerate(causes):
        alone = cause.probability * float(np.prod([cause.brings.get(v, 0.0) for v in there]))
        alone *= float(np.prod([1.0 - cause.brings.get(v, 0.0) for v in absent])) if there else 0.0
        others_quiet = quiet / without[i] if without[i] > 0 else 0.0
        absent_off = np.prod(np.delete(_stay_off(causes, absent), i)) * (1.0 - leak) ** len(absent)
        out.append(
            Verdict(
                cause.key,
                float(with_each[i] / total),
                float(alone * others_quiet / total),
                float(alone * absent_off / total),
            )
        )
    return out


def gone_after(
    causes: Sequence[Cause],
    *,
    told: Sequence[str],
    not_so: Sequence[str] = (),
    removed: Collection[str],
    leak: float = LEAK,
) -> float:
    """Chance that every symptom told would be gone were some causes put right, given the symptoms.

    That is: those causes alone brought all of them about, and neither another cause nor chance had a hand in any.
    """
    total, _ = _sums(causes, told, not_so, leak)
    if total <= 0.0 or not told:
        return 0.0
    kept = [c for c in causes if c.key not in removed]
    quiet = float(np.prod(_stay_off(kept, [*told, *not_so]))) * (1.0 - leak) ** (len(told) + len(not_so))
    by_removed, _ = _sums([c for c in causes if c.key in removed], told, not_so, 0.0)
    return float(np.clip(quiet * by_removed / total, 0.0, 1.0))


def chance_of(causes: Sequence[Cause], symptom: str, *, leak: float = LEAK) -> float:
    """Chance of one symptom before anything is told (it serves as the leak of a larger model)."""
    off = 1.0 - leak
    for cause in causes:
        off *= 1.0 - cause.probability * cause.brings.get(symptom, 0.0)
    return 1.0 - off


def _stay_off(causes: Sequence[Cause], symptoms: Sequence[str]) -> np.ndarray:
    """For each cause the chance that it brings none of these symptoms about."""
    return np.asarray(
        [
            1.0 - c.probability + c.probability * float(np.prod([1.0 - c.brings.get(v, 0.0) for v in symptoms]))
            for c in causes
        ]
    )


def _sums(causes: Sequence[Cause], told: Sequence[str], not_so: Sequence[str], leak: float) -> tuple[float, np.ndarray]:
    """Chance of the evidence, and the same with each cause there: the alternating sum over subsets of `told`."""
    total = 0.0
    with_each = np.zeros(len(causes))
    for size in range(len(told) + 1):
        for chosen in combinations(told, size):
            off = [*chosen, *not_so]
            factors = _stay_off(causes, off)
            sign = (-1.0) ** size * (1.0 - leak) ** len(off)
            product = float(np.prod(factors))
            total += sign * product
            there = np.asarray(
                [c.probability * float(np.prod([1.0 - c.brings.get(v, 0.0) for v in off])) for c in causes]
            )
            with np.errstate(divide="ignore", invalid="ignore"):
                rest = np.where(factors > 0, product / np.where(factors > 0, factors, 1.0), 0.0)
            with_each += sign * rest * there
    return total, with_each
