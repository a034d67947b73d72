"""Torque and energy of a mainspring: strip bending, coil friction, another spring in its place.

Torque grows with the turns from the spring's free form and with the cube of its thickness. Coil friction takes a part
on the way out and adds one on the way in. What a set spring still gives must be measured: no torque curve of a used
spring is offered as known.

Sources: [Defossez1950]_ ch. I (strip bending); [Headrick]_ (scaling); hysteresis 0.05 to 0.15 oiled, to 0.3 gummed,
from memory.
"""

from __future__ import annotations

import math

from underdial.formula import formula
from underdial.mechanics.materials import STEEL_PA


@formula("spring_torque_per_turn")
def torque_per_turn_n_m(*, modulus_pa: float = STEEL_PA, height_m: float, thickness_m: float, length_m: float) -> float:
    """Torque that a mainspring gains for each turn of winding.

    Parameters
    ----------
    modulus_pa : float
        Modulus of elasticity [Pa], 1e8 to 1e12.
    height_m : float
        Height (width) of the strip, along the arbor [m], 1e-6 to 1.
    thickness_m : float
        Thickness of the strip [m], 1e-7 to 0.02.
    length_m : float
        Length of the strip [m], 1e-4 to 100.

    Returns
    -------
    float
        Torque for a turn [N m].

    Notes
    -----
    2 pi E b t^3 / (12 L); coils free of one another. Source: [Defossez1950]_ ch. I.
    """
    return 2.0 * math.pi * modulus_pa * height_m * thickness_m**3 / (12.0 * length_m)


@formula("spring_torque")
def torque_n_m(*, torque_per_turn_n_m: float, turns_from_free: float, coil_friction_ratio: float = 0.0) -> float:
    """Torque that a mainspring gives out (or, with a negative friction ratio, asks for in winding).

    Parameters
    ----------
    torque_per_turn_n_m : float
        Torque for a turn [N m], 0 to 1000.
    turns_from_free : float
        Turns wound beyond the form the spring takes when free, 0 to 200.
    coil_friction_ratio : float
        Part of the torque lost between coils: 0.05 to 0.15 oiled, 0.3 gummed, -0.5 to 0.5.

    Returns
    -------
    float
        Torque at the arbor [N m].

    Notes
    -----
    Linear in the turns; the curve's ends, where coils close up, are left out. Source: [Defossez1950]_ ch. I.
    """
    return torque_per_turn_n_m * turns_from_free * (1.0 - coil_friction_ratio)


@formula("spring_energy")
def stored_j(*, torque_per_turn_n_m: float, turns_wound: float, turns_down: float = 0.0) -> float:
    """Energy a mainspring gives between two states, without friction.

    Parameters
    ----------
    torque_per_turn_n_m : float
        Torque for a turn [N m], 0 to 1000.
    turns_wound : float
        Turns from the free form when wound, 0 to 200.
    turns_down : float
        Turns from the free form when down, 0 to 200.

    Returns
    -------
    float
        Energy [J].

    Notes
    -----
    pi k (n1^2 - n2^2) with k the torque for a turn. Source: [Defossez1950]_ ch. I.
    """
    return math.pi * torque_per_turn_n_m * (turns_wound**2 - turns_down**2)


@formula("spring_strength_ratio")
def strength_ratio(
    *,
    thickness_m: float,
    instead_of_thickness_m: float,
    height_m: float = 1.0,
    instead_of_height_m: float = 1.0,
    length_m: float = 1.0,
    instead_of_length_m: float = 1.0,
) -> float:
    """Torque for a turn of one spring over that of the spring it replaces.

    Parameters
    ----------
    thickness_m : float
        Thickness of the new spring [m], 1e-6 to 0.02.
    instead_of_thickness_m : float
        Thickness of the old spring [m], 1e-6 to 0.02.
    height_m : float
        Height of the new spring; leave both heights out when equal [m], 1e-5 to 10.
    instead_of_height_m : float
        Height of the old spring [m], 1e-5 to 10.
    length_m : float
        Length of the new spring; leave both lengths out when equal [m], 0.001 to 100.
    instead_of_length_m : float
        Length of the old spring [m], 0.001 to 100.

    Returns
    -------
    float
        Ratio of torques.

    Notes
    -----
    Cube of thickness, height as it is, length inverse; same modulus. Source: [Headrick]_ mainsprings.
    """
    return (thickness_m / instead_of_thickness_m) ** 3 * height_m / instead_of_height_m * instead_of_length_m / length_m


@formula("spring_thickness_for_torque")
def thickness_for_strength_m(*, instead_of_thickness_m: float, torque_ratio: float) -> float:
    """Thickness, at equal height and length, that changes the torque by a wished ratio.

    Parameters
    ----------
    instead_of_thickness_m : float
        Thickness of the old spring [m], 1e-6 to 0.02.
    torque_ratio : float
        Torque wanted over torque of the old spring, 0.001 to 1000.

    Returns
    -------
    float
        Thickness [m].

    Notes
    -----
    Cube root. Source: [Headrick]_ mainsprings, solved for the thickness.
    """
    return instead_of_thickness_m * math.pow(torque_ratio, 1.0 / 3.0)


@formula("mainspring_working_torque")
def working_torque_n_m(*, full_torque_n_m: float, end_ratio: float, elapsed_ratio: float) -> float:
    """Torque over a wind: from full to its end value in a straight line, and on along it to nought.

    Parameters
    ----------
    full_torque_n_m : float
        Torque given out when fully wound [N m], 0 to 1000.
    end_ratio : float
        Torque at the end of the going time over that at full wind, 0 to 1.
    elapsed_ratio : float
        Time since winding over the going time, 0 to 10.

    Returns
    -------
    float
        Torque [N m].

    Notes
    -----
    End ratio about 0.55 open spring, 0.70 barrel, 0.92 fusee, 1 weight: assumptions, to be replaced by a reading.
    Source: working law of docs/explanation/model.md.
    """
    return full_torque_n_m * max(0.0, 1.0 - (1.0 - end_ratio) * elapsed_ratio)
