"""The pendulum with its real masses: rod, bob and anything else, each with its own moment.

A part has a mass, the depth of its centre below the pivot, and its own radius of gyration about that centre (about an
axis along the pivot's). Small swings; the suspension is a knife edge here, see `suspension` for the spring.

Source: [Huygens1673]_ part IV; [Grimthorpe1903]_ p. 38. Moments of bodies: [Routh1897]_ ch. I.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from underdial.errors import BadInput, OutOfRange
from underdial.formula import formula


@formula("equivalent_length")
def equivalent_length_m(*, centre_depth_m: float, gyration_m: float) -> float:
    """Length of the simple pendulum that keeps time with a body hung from a pivot.

    Parameters
    ----------
    centre_depth_m : float
        Pivot to centre of gravity [m], 1e-6 to 1e4.
    gyration_m : float
        Radius of gyration about the centre of gravity [m], 0 to 1e4.

    Returns
    -------
    float
        Pivot to centre of oscillation [m].

    Notes
    -----
    (k^2 + h^2) / h; exact. Pivot and centre of oscillation may change places. Source: [Grimthorpe1903]_ p. 38.
    """
    return (gyration_m**2 + centre_depth_m**2) / centre_depth_m


@formula("rod_equivalent_length")
def rod_equivalent_length_m(*, rod_m: float) -> float:
    """Equivalent length of a uniform rod hung by its end.

    Parameters
    ----------
    rod_m : float
        Length of the rod [m], 1e-6 to 1e4.

    Returns
    -------
    float
        Pivot to centre of oscillation [m].

    Notes
    -----
    Two thirds of the rod; exact for a thin rod. Source: [Goodrich1905]_ ch. II.
    """
    return equivalent_length_m(centre_depth_m=rod_m / 2.0, gyration_m=rod_m / math.sqrt(12.0))


@formula("compound_length")
def compound_length_m(masses_kg: Sequence[float], depths_m: Sequence[float], gyrations_m: Sequence[float]) -> float:
    """Equivalent length of a pendulum made of several parts.

    Parameters
    ----------
    masses_kg : list of float
        Mass of each part [kg], 0 to 1e5.
    depths_m : list of float
        Depth of each part's centre below the pivot, above the pivot negative [m], -100 to 100.
    gyrations_m : list of float
        Radius of gyration of each part about its own centre [m], 0 to 100.

    Returns
    -------
    float
        Pivot to centre of oscillation [m].

    Raises
    ------
    BadInput
        The lists are not equally long.
    OutOfRange
        The whole is not pendulous: its centre of gravity lies at or above the pivot.

    Notes
    -----
    Sum of m (d^2 + k^2) over sum of m d; exact for small swings. Source: [Huygens1673]_ part IV.
    """
    if not len(masses_kg) == len(depths_m) == len(gyrations_m):
        raise BadInput("depths_m", len(depths_m), f"as many as there are masses, {len(masses_kg)}")
    moment = sum(m * d for m, d in zip(masses_kg, depths_m, strict=True))
    if moment <= 0.0:
        raise OutOfRange("depths_m", moment, 1e-12, 1e7, "kg m")
    return sum(m * (d * d + k * k) for m, d, k in zip(masses_kg, depths_m, gyrations_m, strict=True)) / moment


@formula("disc_gyration")
def disc_gyration_m(*, diameter_m: float, thickness_m: float = 0.0) -> float:
    """Radius of gyration of a lens bob, taken as a disc that swings in its own plane.

    Parameters
    ----------
    diameter_m : float
        Diameter of the disc [m], 0 to 10.
    thickness_m : float
        Thickness along the pivot's axis, without effect in this plane [m], 0 to 10.

    Returns
    -------
    float
        Radius of gyration [m].

    Notes
    -----
    Radius over the root of two; a lens ground thin at the edge has up to 18 % less. Source: [Routh1897]_ ch. I.
    """
    return diameter_m / math.sqrt(8.0)


@formula("cylinder_gyration")
def cylinder_gyration_m(*, diameter_m: float, height_m: float) -> float:
    """Radius of gyration of an upright cylindrical bob or a rod.

    Parameters
    ----------
    diameter_m : float
        Diameter [m], 0 to 10.
    height_m : float
        Height along the rod [m], 0 to 100.

    Returns
    -------
    float
        Radius of gyration about an axis across it through its centre [m].

    Notes
    -----
    sqrt(d^2/16 + h^2/12). Source: [Routh1897]_ ch. I.
    """
    return math.sqrt(diameter_m**2 / 16.0 + height_m**2 / 12.0)


@formula("sphere_gyration")
def sphere_gyration_m(*, diameter_m: float) -> float:
    """Radius of gyration of a ball.

    Parameters
    ----------
    diameter_m : float
        Diameter [m], 0 to 10.

    Returns
    -------
    float
        Radius of gyration [m].

    Notes
    -----
    Root of two fifths of the radius. Source: [Routh1897]_ ch. I.
    """
    return diameter_m / 2.0 * math.sqrt(0.4)
