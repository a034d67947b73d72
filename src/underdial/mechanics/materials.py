"""Constants of the metals and woods that the formulas need: expansion, modulus, Poisson's ratio.

Densities and what a metal forbids are the trade's (`trade.materials`). Values are those of old clockmaking practice
unless the source says otherwise; alloys differ by the spread given. Sources by key: docs/reference/sources.md.
"""

from __future__ import annotations

from dataclasses import dataclass

from underdial.errors import NotFound


@dataclass(frozen=True, slots=True)
class Material:
    """Linear expansion with its usual spread, modulus of elasticity and Poisson's ratio (None where not needed)."""

    id: str
    expansion_per_k: float
    expansion_low_per_k: float
    expansion_high_per_k: float
    modulus_pa: float | None
    poisson_ratio: float | None
    source: str


# What hairsprings, mainsprings, suspensions and pivots are reckoned with when nothing better is known. [memory]
STEEL_PA = 205e9

MATERIALS: dict[str, Material] = {
    one.id: one
    for one in (
        Material("steel", 11.5e-6, 11.0e-6, 12.0e-6, STEEL_PA, 0.3, "[Grimthorpe1903]_ p. 55; modulus from memory"),
        Material("cast_iron", 11.9e-6, 10.0e-6, 12.0e-6, 110e9, 0.26, "[Grimthorpe1903]_ p. 55; modulus from memory"),
        Material("iron", 12.6e-6, 11.5e-6, 12.6e-6, 200e9, 0.3, "[Grimthorpe1903]_ p. 55; modulus from memory"),
        Material("brass", 18.9e-6, 18.0e-6, 20.0e-6, 100e9, 0.34, "[Grimthorpe1903]_ p. 55; modulus from memory"),
        Material("bronze", 18.0e-6, 17.0e-6, 18.5e-6, 103e9, 0.34, "modulus and expansion from memory"),
        Material("copper", 17.0e-6, 16.5e-6, 19.1e-6, 120e9, 0.34, "[Grimthorpe1903]_ p. 55 (19.1); else memory"),
        Material("zinc", 28.8e-6, 26.0e-6, 31.0e-6, 96e9, 0.25, "[Grimthorpe1903]_ p. 55; [Goodrich1905]_ ch. III"),
        Material("lead", 29.0e-6, 28.0e-6, 30.0e-6, 16e9, 0.44, "[Grimthorpe1903]_ p. 55; modulus from memory"),
        Material("glass", 8.6e-6, 8.0e-6, 9.0e-6, 70e9, 0.22, "[Grimthorpe1903]_ p. 55; modulus from memory"),
        Material("wood", 4.0e-6, 3.0e-6, 5.0e-6, None, None, "[Goodrich1905]_ ch. III; along the grain, dry"),
        Material("invar", 1.2e-6, 0.8e-6, 1.6e-6, 145e9, 0.29, "[Britannica1910]_ art. Clock; modulus from memory"),
        Material("sapphire", 5.4e-6, 5.0e-6, 6.7e-6, 380e9, 0.25, "[Neale1973]_ A24; expansion from memory"),
        Material("aluminium", 23.1e-6, 22.0e-6, 24.0e-6, 70e9, 0.33, "from memory"),
    )
}


def material(name: str) -> Material:
    """The constants of a material by its id; NotFound names those there are."""
    if name not in MATERIALS:
        raise NotFound(
            "material",
            name,
            ", ".join(MATERIALS),
            f"material: {name} is not known here; allowed: {', '.join(MATERIALS)}",
        )
    return MATERIALS[name]
