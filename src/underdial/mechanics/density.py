"""Density by weighing in air and water, mixtures and bobs; the densities of water and air are in `air_and_water`.

Mixtures and weighing are mechanics.
Hollow, plated or soldered things weigh as a mixture: the weighing cannot know.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from underdial.errors import BadInput, OutOfRange
from underdial.formula import formula


@formula("density")
def density_kg_per_m3(
    *, air_kg: float, water_kg: float, water_kg_per_m3: float = 998.2, air_kg_per_m3: float = 1.2
) -> float:
    """Density of a thing weighed in air and hung in water.

    Parameters
    ----------
    air_kg : float
        Reading in air [kg], 1e-7 to 10000.
    water_kg : float
        Reading in water [kg], -10000 to 10000.
    water_kg_per_m3 : float
        Density of the water [kg/m3], 900 to 1100.
    air_kg_per_m3 : float
        Density of the air; 0 leaves its buoyancy out [kg/m3], 0 to 10.

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    OutOfRange
        The reading in water is not below that in air.

    Notes
    -----
    W_a (rho_w - rho_a)/(W_a - W_w) + rho_a; exact. Source: Archimedes; [Davidson2004]_.
    """
    if water_kg >= air_kg:
        raise OutOfRange("water_kg", water_kg, -10000.0, air_kg, "kg")
    return air_kg * (water_kg_per_m3 - air_kg_per_m3) / (air_kg - water_kg) + air_kg_per_m3


@formula("specific_gravity")
def specific_gravity_ratio(*, air_kg: float, water_kg: float) -> float:
    """Specific gravity of a thing weighed in air and hung in water, the air's buoyancy left out.

    Parameters
    ----------
    air_kg : float
        Reading in air [kg], 1e-7 to 10000.
    water_kg : float
        Reading in water [kg], -10000 to 10000.

    Returns
    -------
    float
        Ratio to the water used.

    Raises
    ------
    OutOfRange
        The reading in water is not below that in air.

    Notes
    -----
    W_a / (W_a - W_w). Source: Archimedes.
    """
    return density_kg_per_m3(air_kg=air_kg, water_kg=water_kg, water_kg_per_m3=1000.0, air_kg_per_m3=0.0) / 1000.0


@formula("density_of_mass")
def density_of_mass_kg_per_m3(*, mass_kg: float, volume_m3: float) -> float:
    """Density from mass and volume.

    Parameters
    ----------
    mass_kg : float
        Mass [kg], 0 to 1e9.
    volume_m3 : float
        Volume [m3], 1e-15 to 1e9.

    Returns
    -------
    float
        Density [kg/m3].

    Notes
    -----
    A quotient. Source: definition.
    """
    return mass_kg / volume_m3


@formula("mixture_density")
def mixture_density_kg_per_m3(
    densities_kg_per_m3: Sequence[float], *, mass_parts: Sequence[float] = (), volume_parts: Sequence[float] = ()
) -> float:
    """Density of a mixture whose volumes add, from parts by mass or parts by volume.

    Parameters
    ----------
    densities_kg_per_m3 : list of float
        Density of each part [kg/m3], 0.01 to 25000.
    mass_parts : list of float
        Parts by mass, 0 to 1e9.
    volume_parts : list of float
        Parts by volume, in place of the masses, 0 to 1e9.

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    BadInput
        Neither or both of masses and volumes are given, or not as many as densities, or all are 0.

    Notes
    -----
    Ideal mixing; tin and lead keep to it within 0.001. Source: [Henley1907]_.
    """
    parts = mass_parts or volume_parts
    if bool(mass_parts) == bool(volume_parts) or len(parts) != len(densities_kg_per_m3):
        raise BadInput(
            "mass_parts", len(parts), f"either mass_parts or volume_parts, {len(densities_kg_per_m3)} of them"
        )
    if not any(parts):
        raise BadInput("mass_parts" if mass_parts else "volume_parts", 0, "one part above 0 at least")
    if mass_parts:
        return math.fsum(mass_parts) / math.fsum(m / d for m, d in zip(mass_parts, densities_kg_per_m3, strict=True))
    return math.fsum(v * d for v, d in zip(volume_parts, densities_kg_per_m3, strict=True)) / math.fsum(volume_parts)


@formula("heavy_part")
def heavy_part_ratio(*, density_kg_per_m3: float, light_kg_per_m3: float, heavy_kg_per_m3: float) -> float:
    """Part by mass of the heavier of two components, from the density of the mixture.

    Parameters
    ----------
    density_kg_per_m3 : float
        Density of the mixture [kg/m3], 0.01 to 25000.
    light_kg_per_m3 : float
        Density of the lighter component [kg/m3], 0.01 to 25000.
    heavy_kg_per_m3 : float
        Density of the heavier component [kg/m3], 0.01 to 25000.

    Returns
    -------
    float
        Part by mass.

    Raises
    ------
    OutOfRange
        The mixture does not lie between its components.

    Notes
    -----
    heavy (s - light)/(s (heavy - light)); ideal mixing. Source: [Henley1907]_, solved.
    """
    if not light_kg_per_m3 < heavy_kg_per_m3:
        raise OutOfRange("light_kg_per_m3", light_kg_per_m3, 0.01, heavy_kg_per_m3, "kg/m3")
    if not light_kg_per_m3 <= density_kg_per_m3 <= heavy_kg_per_m3:
        raise OutOfRange("density_kg_per_m3", density_kg_per_m3, light_kg_per_m3, heavy_kg_per_m3, "kg/m3")
    return (
        heavy_kg_per_m3
        * (density_kg_per_m3 - light_kg_per_m3)
        / (density_kg_per_m3 * (heavy_kg_per_m3 - light_kg_per_m3))
    )


@formula("bored_cylinder_mass")
def bored_cylinder_kg(*, density_kg_per_m3: float, diameter_m: float, length_m: float, hole_m: float = 0.0) -> float:
    """Mass of a cylindrical bob or weight with a hole along its middle.

    Parameters
    ----------
    density_kg_per_m3 : float
        Density [kg/m3], 0.01 to 25000.
    diameter_m : float
        Diameter [m], 0 to 10.
    length_m : float
        Length [m], 0 to 100.
    hole_m : float
        Diameter of the hole [m], 0 to 10.

    Returns
    -------
    float
        Mass [kg].

    Raises
    ------
    OutOfRange
        The hole is wider than the cylinder.

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. IV table of cylinders.
    """
    if hole_m > diameter_m:
        raise OutOfRange("hole_m", hole_m, 0.0, diameter_m, "m")
    return density_kg_per_m3 * math.pi / 4.0 * (diameter_m**2 - hole_m**2) * length_m


@formula("bob_mass_by_length")
def bob_mass_by_length_kg(*, bob_kg_per_m: float, hole_kg_per_m: float, length_m: float) -> float:
    """Mass of a bored bob from tables of mass for a length.

    Parameters
    ----------
    bob_kg_per_m : float
        Mass of the full cylinder for a length [kg/m], 0 to 100000.
    hole_kg_per_m : float
        Mass of a cylinder as wide as the hole for a length [kg/m], 0 to 100000.
    length_m : float
        Length [m], 0 to 100.

    Returns
    -------
    float
        Mass [kg].

    Notes
    -----
    Exact. Source: [Goodrich1905]_ ch. IV.
    """
    return (bob_kg_per_m - hole_kg_per_m) * length_m
