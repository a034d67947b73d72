"""A pivot in its hole: lean, clearance, taper, side shake of a cone.

Clearance is on the diameter. Lean is to one side of upright, over the thickness of the plate.
Source: geometry; [Headrick]_ on broaching for the bench test of lean.
"""

from __future__ import annotations

import math

from underdial.formula import formula


@formula("pivot_lean")
def lean_rad(*, clearance_m: float, plate_m: float) -> float:
    """Lean that the clearance of a pivot allows in its hole.

    Parameters
    ----------
    clearance_m : float
        Hole less pivot, on the diameter [m], 0 to 0.1.
    plate_m : float
        Thickness of the plate at the hole [m], 1e-5 to 1.

    Returns
    -------
    float
        Lean from one edge to the other [rad].

    Notes
    -----
    atan(clearance / plate), the pivot taken as a line. Source: geometry.
    """
    return math.atan(clearance_m / plate_m)


@formula("clearance_for_lean")
def clearance_m(*, lean_rad: float, plate_m: float) -> float:
    """Clearance that lets an arbor lean by a wanted angle.

    Parameters
    ----------
    lean_rad : float
        Lean wanted, one way from upright [rad], 0 to 1.
    plate_m : float
        Thickness of the plate at the hole [m], 1e-5 to 1.

    Returns
    -------
    float
        Hole less pivot, on the diameter [m].

    Notes
    -----
    plate tan(lean). Sources differ between 2 and 5 deg for the lean. Source: geometry; [Headrick]_ Broach6.
    """
    return plate_m * math.tan(lean_rad)


@formula("taper")
def taper_ratio(*, rise_m: float, length_m: float) -> float:
    """Taper of an arbor or broach: growth of the diameter over the length.

    Parameters
    ----------
    rise_m : float
        Growth of the diameter [m], 0 to 1.
    length_m : float
        Over this length [m], 1e-6 to 100.

    Returns
    -------
    float
        Ratio.

    Notes
    -----
    A quotient. Source: definition.
    """
    return rise_m / length_m


@formula("cone_side_shake")
def cone_side_shake_m(*, end_shake_m: float, half_angle_rad: float) -> float:
    """Side shake that the end shake of a cone pivot gives in its cup.

    Parameters
    ----------
    end_shake_m : float
        End shake [m], 0 to 0.01.
    half_angle_rad : float
        Half the included angle of the cup [rad], 0.05 to 1.5.

    Returns
    -------
    float
        Side shake, from the middle to one side [m].

    Notes
    -----
    end shake times tan(half angle). Source: geometry.
    """
    return end_shake_m * math.tan(half_angle_rad)
