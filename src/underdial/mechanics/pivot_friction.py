"""Friction torque of pivots: cylinder, flat end, ring, cone in its cup.

Dry or mixed friction with one coefficient. A cone pivot in its cup rubs on a point when the axis stands upright (dial
up) and on the tip's flank when it lies (clock upright): the same pivot, hundreds of times the torque.

Limits: one coefficient, no wear within a turn. Sources: [Johnson1985]_ s. 3.4 and 4.2 (Hertz); the friction radii
are derived from pressure times lever.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from underdial.errors import OutOfRange
from underdial.formula import formula
from underdial.mechanics.materials import STEEL_PA


class SphereContact(NamedTuple):
    """A sphere pressed into a cup: radius of the contact, peak pressure, friction radius and torque when it spins."""

    contact_radius_m: float
    pressure_pa: float
    effective_radius_m: float
    torque_n_m: float


@formula("pivot_friction")
def cylinder_torque_n_m(*, force_n: float, radius_m: float, friction_ratio: float = 0.15) -> float:
    """Friction torque of a cylindrical pivot in its hole, or of a ring.

    Parameters
    ----------
    force_n : float
        Load on the pivot [N], 0 to 100000.
    radius_m : float
        Radius of the pivot, or of the ring it rubs on [m], 0 to 1.
    friction_ratio : float
        Coefficient of friction, 0 to 2.

    Returns
    -------
    float
        Torque [N m].

    Notes
    -----
    mu F r; the hole's friction lowers the load's lever by cos(atan mu), 1 % at 0.15, left out. Source: statics.
    """
    return friction_ratio * force_n * radius_m


@formula("flat_pivot_friction")
def flat_torque_n_m(*, force_n: float, radius_m: float, friction_ratio: float = 0.15) -> float:
    """Friction torque of a pivot that stands on a flat end.

    Parameters
    ----------
    force_n : float
        Load along the pivot [N], 0 to 100000.
    radius_m : float
        Radius of the flat [m], 0 to 1.
    friction_ratio : float
        Coefficient of friction, 0 to 2.

    Returns
    -------
    float
        Torque [N m].

    Notes
    -----
    (2/3) mu F r, even pressure. Source: statics.
    """
    return 2.0 / 3.0 * friction_ratio * force_n * radius_m


@formula("cone_ring_friction")
def cone_ring_torque_n_m(
    *, force_n: float, radius_m: float, half_angle_rad: float, friction_ratio: float = 0.15
) -> float:
    """Friction torque of a cone pivot that hangs on the wall of its cup, axis upright.

    Parameters
    ----------
    force_n : float
        Load along the axis [N], 0 to 1000.
    radius_m : float
        Radius of the tip's rounding [m], 0 to 0.1.
    half_angle_rad : float
        Half the included angle of the cup [rad], 0.05 to 1.57.
    friction_ratio : float
        Coefficient of friction, 0 to 2.

    Returns
    -------
    float
        Torque [N m].

    Notes
    -----
    mu F r / tan(half angle): the wall's normal force is F / sin, its lever r cos. Source: statics.
    """
    return friction_ratio * force_n * radius_m / math.tan(half_angle_rad)


@formula("sphere_contact")
def sphere_contact(
    *,
    radius_m: float,
    cup_radius_m: float,
    force_n: float,
    modulus1_pa: float = STEEL_PA,
    modulus2_pa: float = STEEL_PA,
    poisson1_ratio: float = 0.3,
    poisson2_ratio: float = 0.3,
    friction_ratio: float = 0.15,
) -> SphereContact:
    """A pivot's round tip standing in a cup: contact, pressure, and friction when it spins.

    Parameters
    ----------
    radius_m : float
        Radius of the tip [m], 1e-7 to 0.1.
    cup_radius_m : float
        Radius of the cup's bottom, larger than the tip's [m], 1e-7 to 1000.
    force_n : float
        Load along the axis [N], 1e-9 to 10000.
    modulus1_pa : float
        Modulus of elasticity of the tip [Pa], 1e8 to 2e12.
    modulus2_pa : float
        Modulus of elasticity of the cup [Pa], 1e8 to 2e12.
    poisson1_ratio : float
        Poisson's ratio of the tip, 0 to 0.5.
    poisson2_ratio : float
        Poisson's ratio of the cup, 0 to 0.5.
    friction_ratio : float
        Coefficient of friction, 0 to 2.

    Returns
    -------
    contact_radius_m : float
        Radius of the contact [m].
    pressure_pa : float
        Peak pressure in its middle [Pa].
    effective_radius_m : float
        Friction torque over coefficient and load [m].
    torque_n_m : float
        Friction torque [N m].

    Raises
    ------
    OutOfRange
        The cup is not larger than the tip, so that the tip does not reach its bottom.

    Notes
    -----
    Hertz: a = (3 F R / 4 E*)^(1/3), p = 3 F / (2 pi a^2), torque (3 pi/16) mu F a. Holds while a is small against the
    tip and nothing yields. Source: [Johnson1985]_ eq. 4.22 to 4.24.
    """
    if cup_radius_m <= radius_m:
        raise OutOfRange("cup_radius_m", cup_radius_m, radius_m, 1000.0, "m")
    relative = 1.0 / (1.0 / radius_m - 1.0 / cup_radius_m)
    stiff = 1.0 / ((1.0 - poisson1_ratio**2) / modulus1_pa + (1.0 - poisson2_ratio**2) / modulus2_pa)
    a = (3.0 * force_n * relative / (4.0 * stiff)) ** (1.0 / 3.0)
    lever = 3.0 * math.pi / 16.0 * a
    return SphereContact(a, 1.5 * force_n / (math.pi * a * a), lever, friction_ratio * force_n * lever)


@formula("contact_pressure_scaled")
def pressure_scaled_pa(*, pressure_pa: float, radius_m: float, to_radius_m: float) -> float:
    """Peak pressure of the same load and materials on a tip of another radius, the cup in proportion.

    Parameters
    ----------
    pressure_pa : float
        Peak pressure known [Pa], 0 to 1e12.
    radius_m : float
        Radius of the tip it belongs to [m], 1e-7 to 1.
    to_radius_m : float
        Radius of the other tip [m], 1e-7 to 1.

    Returns
    -------
    float
        Peak pressure [Pa].

    Notes
    -----
    Hertz: as the radius to the power -2/3. Source: [Johnson1985]_ eq. 4.24.
    """
    return pressure_pa * math.pow(radius_m / to_radius_m, 2.0 / 3.0)


@formula("self_locking_friction")
def needed_torque_n_m(
    *, net_torque_n_m: float, friction_lever_m: float, force_per_torque_per_m: float, weight_n: float
) -> float:
    """Torque to bring to an arbor so that a net torque is left after its pivots' friction.

    Parameters
    ----------
    net_torque_n_m : float
        Torque wanted after friction, drag included [N m], 0 to 1000.
    friction_lever_m : float
        Coefficient of friction times pivot radius [m], 0 to 0.1.
    force_per_torque_per_m : float
        Pivot load that one unit of torque makes [1/m], 0 to 1e6.
    weight_n : float
        Weight of the arbor, across the mesh load [N], 0 to 10000.

    Returns
    -------
    float
        Torque [N m].

    Raises
    ------
    OutOfRange
        The pivots lock: their friction grows faster than the torque.

    Notes
    -----
    With f = mu r, p the load per torque, q = 1 - (f p)^2: [c + f sqrt(W^2 q + p^2 c^2)]/q. Exact inverse of
    net = M - f sqrt((p M)^2 + W^2). Source: derived, docs/explanation/model.md.
    """
    f, p, c = friction_lever_m, force_per_torque_per_m, net_torque_n_m
    q = 1.0 - (f * p) ** 2
    if q <= 0.0:
        raise OutOfRange("friction_lever_m", f, 0.0, 1.0 / p, "m")
    return (c + f * math.sqrt(weight_n**2 * q + p * p * c * c)) / q
