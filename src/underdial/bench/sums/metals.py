"""Which metal a part is made of, from weighing, magnet and colour."""

from __future__ import annotations

from typing import Any

from underdial.bench.sums.stated import refused, stated
from underdial.errors import BadInput
from underdial.gauging import metal
from underdial.mechanics.air_and_water import water_density_kg_per_m3
from underdial.trade.materials import metals, treatments
from underdial.uncertain import Uncertain
from underdial.units import Quantity

# Water of the tap, and a thermometer read to a degree: what the density of the water is known to.
_WATER_U_KG_PER_M3 = 0.2
# From here on the other readings outweigh the magnet.
_AT_ODDS_PROBABILITY = 0.5
_KEYS = dict.fromkeys(
    (
        "density_kg_per_m3",
        "density_u_kg_per_m3",
        "metals",
        "forbids",
        "next_test",
        "next_test_bit",
        "seen_as",
        "verdict",
        "reason",
        "assumed",
    )
)


def tell_metal(
    *,
    air: Quantity | None = None,
    water: Quantity | None = None,
    water_temperature: Quantity | None = None,
    magnet: str = "unknown",
    colour: str = "unknown",
    hollow: str = "unknown",
    plated: str = "unknown",
) -> dict[str, Any]:
    """Chances over metals from weighing, magnet and colour; what they forbid; the next test."""
    density, assumed = None, {}
    if air is None and water is None and magnet == "unknown" and colour == "unknown":
        first = metal.estimate_metal(metal.Clues(None, magnet, colour, hollow, plated))
        return refused(
            _KEYS,
            "Nothing was weighed or tried yet, so every metal is as likely as among all parts. Try a magnet first; "
            "then weigh it in air and hung in water.",
            next_test=first.next_test,
            next_test_bit=first.next_test_bit,
            assumed={},
        )
    if (air is None) != (water is None):
        raise BadInput(
            "water" if water is None else "air",
            "nothing",
            "both weights, in air and in water",
            "weigh in air and in water: one of --air and --water is missing",
        )
    if air is not None and water is not None:
        if water_temperature is None:
            assumed = {"water_temperature_deg_c": 20.0}
        degrees = 20.0 if water_temperature is None else water_temperature.value
        wet = Uncertain(water_density_kg_per_m3(temperature_deg_c=degrees), _WATER_U_KG_PER_M3)
        density = metal.weighed_density(
            air_kg=Uncertain(air.value, air.u), water_kg=Uncertain(water.value, water.u), water_kg_per_m3=wet
        )
    found = metal.estimate_metal(metal.Clues(density, magnet, colour, hollow, plated))
    warnings = _at_odds(found, magnet)
    if density is not None and hollow != "no":
        warnings.append(
            "A hollow, filled or soldered part weighs as something it is not; look for seams before you trust the "
            "weight."
        )
    if plated != "no":
        warnings.append(
            "A plated skin hides the metal below; judge colour at wear that is there already, never by a fresh scratch."
        )
    return {
        **stated("density", "kg_per_m3", density),
        "metals": [{"metal": name, "probability": p} for name, p in found.probabilities],
        "forbids": [
            {"treatment": treatment, "because": because, "metals": list(names), "words": treatments()[treatment].words}
            for treatment, because, names in found.forbids
        ],
        "next_test": found.next_test,
        "next_test_bit": found.next_test_bit,
        "seen_as": {name: metals()[name].seen_as for name, p in found.probabilities[:3] if p > 0.05},
        "verdict": "told",
        "reason": None,
        "assumed": assumed,
        "warnings": warnings,
        "sources": ["Davidson2004", "Kell1975"],
    }


def _at_odds(found: metal.MetalAnswer, magnet: str) -> list[str]:
    """Where the metal that all else speaks for is not one that a magnet does this to, that is said."""
    likeliest, _ = found.probabilities[0]
    against = sum(p for name, p in found.probabilities if {metals()[name].magnet, magnet} == {"yes", "no"})
    if against <= _AT_ODDS_PROBABILITY or {metals()[likeliest].magnet, magnet} != {"yes", "no"}:
        return []
    name = likeliest.replace("_", " ")
    if magnet == "yes":
        return [
            f"The readings do not agree: they speak for {name}, and a magnet does not hold to {name}. Look for a steel "
            "screw, pin or core, and read again."
        ]
    return [
        f"The readings do not agree: they speak for {name}, and a magnet holds to {name}. Try the magnet on bare "
        "metal, and read again."
    ]
