"""Which metal a part is made of: chances, what they forbid, and the least invasive test that would tell more.

Every metal starts at its share among parts that are weighed (`trade.materials`), and each clue multiplies: the density
by weighing in air and water against the metal's range, the magnet, the colour seen at wear that is there already. A
hollow, filled or plated part lets clues lie, and how far is said in the constants below.

Limits: the shares and the chances of a lying clue are judgements, not counts. Source: Bayes's rule; densities of
`trade/data/materials.json`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from underdial.mechanics.density import density_kg_per_m3
from underdial.trade.materials import Metal, metals, treatments
from underdial.uncertain import Uncertain, propagate

# Chance that the clue shows what the metal says: a magnet can be fooled by an iron core, a colour by a plated skin.
_MAGNET_TRUE_PROBABILITY = 0.99
_MAGNET_TRUE_PLATED_PROBABILITY = 0.9
_COLOUR_TRUE = {"no": 0.97, "unknown": 0.85, "yes": 0.3}
# Chance that a closed hollow, or a filling of pitch or lead, makes the weighing lie.
_HOLLOW_PROBABILITY = {"no": 0.01, "unknown": 0.1, "yes": 0.9}
# A weighing that lies can give anything from a third of the metal's density to lead: an even chance over this range.
_LYING_LOW_KG_PER_M3, _LYING_HIGH_KG_PER_M3 = 2000.0, 11300.0
# A metal this likely or more still counts when treatments are forbidden.
FORBIDS_FROM_PROBABILITY = 0.02
_SETTLED_PROBABILITY = 0.95
_WORTH_BIT = 0.1
_COLOURS = ("yellow", "red", "grey", "white")


@dataclass(frozen=True, slots=True)
class Clues:
    """What is known of a part.

    Words `yes`, `no`, `unknown`; `colour` of the metal itself, at wear that is there already.
    """

    density_kg_per_m3: Uncertain | None = None
    magnet: str = "unknown"
    colour: str = "unknown"
    hollow: str = "unknown"
    plated: str = "unknown"


@dataclass(frozen=True, slots=True)
class MetalAnswer:
    """Chances by metal, highest first; treatments forbidden with the reason; the next test, None when none would tell
    more.
    """

    probabilities: tuple[tuple[str, float], ...]
    forbids: tuple[tuple[str, str, tuple[str, ...]], ...]
    next_test: str | None
    next_test_bit: float


def weighed_density(
    *, air_kg: Uncertain, water_kg: Uncertain, water_kg_per_m3: Uncertain, air_kg_per_m3: float = 1.2
) -> Uncertain:
    """Density from weighing in air and water, with its standard uncertainty.

    Parameters
    ----------
    air_kg, water_kg : Uncertain
        Readings in air and in water.
    water_kg_per_m3 : Uncertain
        Density of the water.
    air_kg_per_m3 : float
        Density of the air; 0 leaves its buoyancy out [kg/m3], 0 to 10.

    Returns
    -------
    Uncertain
        Density in kg/m3.

    Notes
    -----
    First order in the uncertainties. Source: Archimedes; JCGM 100:2008, eq. 10.
    """
    values = {"air_kg": air_kg.value, "water_kg": water_kg.value, "water_kg_per_m3": water_kg_per_m3.value}
    return propagate(
        lambda **v: density_kg_per_m3(air_kg_per_m3=air_kg_per_m3, **v),
        values,
        {"air_kg": air_kg.u, "water_kg": water_kg.u, "water_kg_per_m3": water_kg_per_m3.u},
    )


def estimate_metal(clues: Clues) -> MetalAnswer:
    """Chances over metals from every clue at hand, what those chances forbid, and what to try next.

    Parameters
    ----------
    clues : Clues
        What was weighed and seen.

    Returns
    -------
    MetalAnswer
        Probabilities sum to 1. A treatment is forbidden as soon as a metal of 2 % or more forbids it.

    Notes
    -----
    Source: Bayes's rule with the clues taken as independent for a given metal.
    """
    chances = _posterior(clues)
    return MetalAnswer(
        tuple(sorted(chances.items(), key=lambda one: (-one[1], one[0]))),
        _forbids(chances),
        *_next_test(clues, chances),
    )


def _posterior(clues: Clues) -> dict[str, float]:
    weights = {
        name: metal.share_ratio
        * _density_likelihood(metal, clues)
        * _magnet_likelihood(metal, clues.magnet, clues.plated)
        * _colour_likelihood(metal, clues.colour, clues.plated)
        for name, metal in metals().items()
    }
    total = math.fsum(weights.values())
    return {name: weight / total for name, weight in weights.items()}


def _density_likelihood(metal: Metal, clues: Clues) -> float:
    """Chance density of the weighed value: the metal's range, even, blurred by the weighing; or a lying weighing."""
    if clues.density_kg_per_m3 is None:
        return 1.0
    value, u = clues.density_kg_per_m3.value, max(clues.density_kg_per_m3.u, 1.0)
    low, high = metal.density_low_kg_per_m3, metal.density_high_kg_per_m3
    true = (_normal((value - low) / u) - _normal((value - high) / u)) / (high - low)
    lies = _HOLLOW_PROBABILITY[clues.hollow] if metal.id != "other" else 0.0
    lying = 1.0 / (_LYING_HIGH_KG_PER_M3 - _LYING_LOW_KG_PER_M3)
    return (1.0 - lies) * true + lies * lying


def _magnet_likelihood(metal: Metal, seen: str, plated: str) -> float:
    if seen == "unknown":
        return 1.0
    if metal.magnet == "unknown":
        return 0.5
    true = (
        _MAGNET_TRUE_PROBABILITY
        if plated == "no"
        else (_MAGNET_TRUE_PLATED_PROBABILITY + _MAGNET_TRUE_PROBABILITY) / 2.0
    )
    true = _MAGNET_TRUE_PLATED_PROBABILITY if plated == "yes" else true
    return true if seen == metal.magnet else 1.0 - true


def _colour_likelihood(metal: Metal, seen: str, plated: str) -> float:
    if seen == "unknown":
        return 1.0
    true = _COLOUR_TRUE[plated]
    if len(metal.colours) == len(_COLOURS):
        return 1.0 / len(_COLOURS)
    if seen in metal.colours:
        return true / len(metal.colours)
    return (1.0 - true) / (len(_COLOURS) - len(metal.colours))


def _forbids(chances: Mapping[str, float]) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """Treatments that a metal still possible does not stand, with the reason of the likeliest such metal."""
    found: dict[str, list[tuple[float, str, str]]] = {}
    for name, metal in metals().items():
        if name == "other" or chances[name] < FORBIDS_FROM_PROBABILITY:
            continue
        for row in metal.forbids:
            found.setdefault(row.treatment, []).append((chances[name], name, row.because))
    order = [one for one in treatments() if one in found]
    return tuple(
        (treatment, max(found[treatment])[2], tuple(name for _, name, _ in sorted(found[treatment], reverse=True)))
        for treatment in order
    )


def _next_test(clues: Clues, chances: Mapping[str, float]) -> tuple[str | None, float]:
    """The least invasive test that is worth a tenth of a bit: magnet, weighing, colour at wear, then X-ray
    fluorescence.
    """
    if max(chances.values()) >= _SETTLED_PROBABILITY:
        return None, 0.0
    if clues.magnet == "unknown":
        told = _information_bit(
            chances,
            [{n: _magnet_likelihood(m, seen, clues.plated) for n, m in metals().items()} for seen in ("yes", "no")],
        )
        if told >= _WORTH_BIT:
            return "magnet", told
    if clues.density_kg_per_m3 is None and clues.hollow != "yes":
        return "weigh_in_air_and_water", _density_bit(chances, clues)
    if clues.colour == "unknown":
        told = _information_bit(
            chances, [{n: _colour_likelihood(m, seen, clues.plated) for n, m in metals().items()} for seen in _COLOURS]
        )
        if told >= _WORTH_BIT:
            return "colour_at_existing_wear", told
    left = -math.fsum(p * math.log2(p) for p in chances.values() if p > 0.0)
    return "x_ray_fluorescence", left


def _density_bit(chances: Mapping[str, float], clues: Clues) -> float:
    """Information of a weighing to 0.3 %, over a grid of what it might show."""
    step = 25.0
    shown = []
    for k in range(int((_LYING_HIGH_KG_PER_M3 - _LYING_LOW_KG_PER_M3) / step)):
        value = Uncertain(_LYING_LOW_KG_PER_M3 + step * k, 25.0)
        seen = Clues(value, hollow=clues.hollow)
        shown.append({n: _density_likelihood(m, seen) * step for n, m in metals().items()})
    return _information_bit(chances, shown)


def _information_bit(chances: Mapping[str, float], outcomes: list[dict[str, float]]) -> float:
    """Bits that a test is expected to tell: how far the chances would move, on average over what it may show."""
    told = 0.0
    for outcome in outcomes:
        total = math.fsum(chances[name] * outcome[name] for name in chances)
        for name, p in chances.items():
            if p > 0.0 and outcome[name] > 0.0 and total > 0.0:
                told += p * outcome[name] * math.log2(outcome[name] / total)
    return told


def _normal(x: float) -> float:
    return 0.5 * math.erfc(-x / math.sqrt(2.0))
