"""Beats that come late and early with the turn of one arbor, as evidence: something that pulses sits at that arbor.

The reading is `periodic_error` of an arbor, heard with its chance of luck already below one in a thousand. Half of such
patterns are taken to be the ordinary eccentricity of a sound wheel; the other half is shared among the faults that make
the torque pulse once a turn there, by their chance and by how much they make it pulse.

Limits: which arbor, not how much: the swing in milliseconds is not turned into a torque. The half is ours,
[assumption].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from underdial.diagnosis.case_file import Reading, Unused
from underdial.diagnosis.places import Places
from underdial.diagnosis.suspects import Pick, Suspect, Suspicion

QUANTITY = "periodic_error"
FAULT_PROBABILITY = 0.5
# The pulse of a spring or weight is always that of the first arbor.
_GREAT = 0


def with_heard_patterns(found: Suspicion, readings: Sequence[Reading]) -> Suspicion:
    """The suspicion with every pattern that was heard at an arbor taken into it."""
    suspects, picks, unused = list(found.suspects), list(found.picks), list(found.unused)
    for reading in readings:
        if reading.quantity != QUANTITY:
            continue
        arbor = found.places.named(reading.of)
        if arbor is None or arbor >= found.places.count:
            unused.append(Unused(f"measurements[{reading.index}] {QUANTITY}", "it names no arbor of the going train"))
            continue
        words = (
            f"heard: beats come late and early by {1e3 * reading.value:.2g} ms with each turn of the "
            f"{str(reading.of).rsplit('.', 1)[-1].replace('_', ' ')}"
        )
        known = [
            number
            for number, one in enumerate(suspects)
            if one.reports and _sits_at(one, arbor) and _pulse_ratio(one, arbor) > 0.0
        ]
        if known:
            # Somebody has found what pulses there: the pattern is explained, and says nothing of a second fault.
            for number in known:
                suspects[number] = replace(suspects[number], heard=words)
            continue
        _suspect_all(suspects, picks, arbor, found.places, words)
    return replace(found, suspects=tuple(suspects), picks=tuple(picks), unused=tuple(unused))


def _suspect_all(suspects: list[Suspect], picks: list[Pick], arbor: int, places: Places, words: str) -> None:
    """Put every fault that pulses at this arbor there, each with its share of the evidence."""
    may = [
        (number, one)
        for number, one in enumerate(suspects)
        if not one.reports and arbor in one.arbors and _pulse_ratio(one, arbor) > 0.0
    ]
    weights = [one.probability / len(one.arbors) * _pulse_ratio(one, arbor) for _, one in may]
    total = sum(weights)
    if total <= 0.0:
        return
    members, shares = [], []
    for (number, one), weight in zip(may, weights, strict=True):
        share = weight / total
        here = replace(
            one,
            probability=one.probability / len(one.arbors) * (1.0 - share),
            arbors=(arbor,),
            everywhere=False,
            of=places.label(arbor),
            heard=words,
        )
        left = tuple(each for each in one.arbors if each != arbor)
        if not left:
            suspects[number] = here
            members.append(number)
        else:
            if not one.everywhere:
                suspects[number] = replace(one, arbors=left, probability=one.probability * len(left) / len(one.arbors))
            members.append(len(suspects))
            suspects.append(here)
        shares.append(share)
    picks.append(Pick(FAULT_PROBABILITY, tuple(members), tuple(shares)))


def _sits_at(one: Suspect, arbor: int) -> bool:
    return one.arbors == (arbor,)


def _pulse_ratio(one: Suspect, arbor: int) -> float:
    """How much of the torque a fault makes pulse once a turn of its arbor, at a severity of one."""
    return sum(size for term, size in one.law.laws if term == "ripple" or (term == "main_ripple" and arbor == _GREAT))
