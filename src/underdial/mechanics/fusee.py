"""The fusee: radii that make the torque even, and what remains uneven.

Line tension is barrel torque over barrel radius; at the fusee it acts on the radius of the turn it lies on. All radii
to the middle of line or chain. Source: statics; [Rawlings1948]_ ch. on the fusee (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from underdial.errors import BadInput, OutOfRange
from underdial.formula import formula


@formula("fusee_radius")
def radius_m(*, barrel_torque_n_m: float, barrel_radius_m: float, fusee_torque_n_m: float) -> float:
    """Radius of the fusee at which a barrel torque gives the wanted torque.

    Parameters
    ----------
    barrel_torque_n_m : float
        Torque of the barrel at that moment [N m], 1e-6 to 1000.
    barrel_radius_m : float
        Radius of the barrel to the middle of the line [m], 0.0005 to 1.
    fusee_torque_n_m : float
        Torque wanted at the fusee [N m], 0 to 1000.

    Returns
    -------
    float
        Radius to the middle of the line [m].

    Notes
    -----
    M_fusee R_barrel / M_barrel. Source: statics.
    """
    return fusee_torque_n_m * barrel_radius_m / barrel_torque_n_m


@formula("fusee_torque")
def torque_n_m(*, barrel_torque_n_m: float, barrel_radius_m: float, fusee_radius_m: float) -> float:
    """Torque at the fusee from that of the barrel.

    Parameters
    ----------
    barrel_torque_n_m : float
        Torque of the barrel [N m], 0 to 1000.
    barrel_radius_m : float
        Radius of the barrel to the middle of the line [m], 0.0005 to 1.
    fusee_radius_m : float
        Radius of the fusee at that turn [m], 0.0005 to 1.

    Returns
    -------
    float
        Torque [N m].

    Notes
    -----
    M_barrel r_fusee / R_barrel. Source: statics.
    """
    return barrel_torque_n_m * fusee_radius_m / barrel_radius_m


@formula("fusee_set_up")
def set_up_turns(*, largest_radius_m: float, smallest_radius_m: float, barrel_turns: float) -> float:
    """Set-up that makes a fusee of given end radii even at both ends, for a spring linear in its turns.

    Parameters
    ----------
    largest_radius_m : float
        Radius of the last turn, clock down [m], 0.0005 to 1.
    smallest_radius_m : float
        Radius of the first turn, fully wound [m], 0.0005 to 1.
    barrel_turns : float
        Turns of the barrel between the two, 0.1 to 100.

    Returns
    -------
    float
        Turns from the spring's free form that must be left in it when the clock is down.

    Raises
    ------
    OutOfRange
        The fusee does not taper towards the wound end.

    Notes
    -----
    s/(s + n) = r_small/r_large. Source: statics.
    """
    if largest_radius_m <= smallest_radius_m:
        raise OutOfRange("largest_radius_m", largest_radius_m, smallest_radius_m, 1.0, "m")
    return barrel_turns * smallest_radius_m / (largest_radius_m - smallest_radius_m)


@formula("fusee_profile")
def profile_m(
    *,
    torque_per_turn_n_m: float,
    set_up_turns: float,
    barrel_radius_m: float,
    fusee_torque_n_m: float,
    fusee_turns: float,
    points_count: int = 9,
) -> list[float]:
    """Radii of an even fusee from clock down to fully wound, for a spring linear in its turns.

    Parameters
    ----------
    torque_per_turn_n_m : float
        Torque of the spring for a turn of the barrel [N m], 1e-6 to 1000.
    set_up_turns : float
        Turns in the spring when the clock is down, 0.01 to 100.
    barrel_radius_m : float
        Radius of the barrel to the middle of the line [m], 0.0005 to 1.
    fusee_torque_n_m : float
        Torque wanted at the fusee [N m], 1e-6 to 1000.
    fusee_turns : float
        Turns of the fusee, 0.1 to 100.
    points_count : int
        Points along the turns, 2 to 1000.

    Returns
    -------
    list of float
        Radii at equal steps of fusee turns [m].

    Notes
    -----
    Energy given back to angle x of the fusee is M_f x, so the barrel's turns are sqrt(s^2 + 2 M_f x / k) in closed
    form (x in turns, k the torque for a turn); exact. Source: derived.
    """
    radii = []
    for j in range(int(points_count)):
        x = fusee_turns * j / (int(points_count) - 1)
        turns = math.sqrt(set_up_turns**2 + 2.0 * fusee_torque_n_m * x / torque_per_turn_n_m)
        radii.append(fusee_torque_n_m * barrel_radius_m / (torque_per_turn_n_m * turns))
    return radii


@formula("fusee_unevenness")
def unevenness_ratio(barrel_torques_n_m: Sequence[float], fusee_radii_m: Sequence[float]) -> float:
    """Largest torque at the fusee over the smallest, from readings of torque and radius at the same moments.

    Parameters
    ----------
    barrel_torques_n_m : list of float
        Torque of the barrel at each moment [N m], 1e-6 to 1000.
    fusee_radii_m : list of float
        Radius of the fusee at each moment [m], 0.0005 to 1.

    Returns
    -------
    float
        Ratio; 1 for an even fusee.

    Notes
    -----
    The barrel's radius cancels. Source: statics.
    """
    if len(barrel_torques_n_m) != len(fusee_radii_m) or not barrel_torques_n_m:
        raise BadInput("fusee_radii_m", len(fusee_radii_m), f"as many as there are torques, {len(barrel_torques_n_m)}")
    products = [m * r for m, r in zip(barrel_torques_n_m, fusee_radii_m, strict=True)]
    return max(products) / min(products)
