"""Lengths and weights of old books: lines, inches, grains, and a count of any unit in metres or kilograms.

What some are worth: inch 25.4 mm and grain 64.79891 mg by the agreement of 1959; Paris line 2.2558291 mm [Lenzen1966]_.
"""

from __future__ import annotations

from underdial.formula import formula


@formula("old_length")
def old_length_m(*, count: float, unit_m: float) -> float:
    """Length given as a count of an old unit.

    Parameters
    ----------
    count : float
        How many, 0 to 1e9.
    unit_m : float
        Length of the unit (Paris line 0.0022558291) [m], 1e-9 to 1e5.

    Returns
    -------
    float
        Length [m].

    Notes
    -----
    Exact. Source: [Lenzen1966]_.
    """
    return count * unit_m


@formula("old_weight")
def old_weight_kg(*, count: float, unit_kg: float) -> float:
    """Mass given as a count of an old unit.

    Parameters
    ----------
    count : float
        How many, 0 to 1e9.
    unit_kg : float
        Mass of the unit (grain 6.479891e-5) [kg], 1e-9 to 1e5.

    Returns
    -------
    float
        Mass [kg].

    Notes
    -----
    Exact. Source: definition.
    """
    return count * unit_kg
