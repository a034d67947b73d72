"""The torsion pendulum: a disc or balls on a strip that twists, as in 400-day clocks.

Sources: torsion of a thin strip [Timoshenko1956]_ part I; the shear modulus of the strip is to be given.
"""

from __future__ import annotations

from underdial.formula import formula


@formula("strip_torsion_stiffness")
def strip_stiffness_n_m_per_rad(
    *, shear_modulus_pa: float, width_m: float, thickness_m: float, length_m: float, weight_n: float = 0.0
) -> float:
    """Twisting stiffness of a thin strip that carries a weight.

    Parameters
    ----------
    shear_modulus_pa : float
        Shear modulus [Pa], 1e9 to 1e12.
    width_m : float
        Width of the strip [m], 1e-5 to 0.1.
    thickness_m : float
        Thickness of the strip [m], 1e-6 to 0.01.
    length_m : float
        Free length [m], 0.001 to 10.
    weight_n : float
        Weight that hangs on it [N], 0 to 1000.

    Returns
    -------
    float
        Stiffness [N m/rad].

    Notes
    -----
    G b t^3/(3 L) (1 - 0.63 t/b) + W b^2/(12 L): the weight untwists it as two threads would. Source: [Timoshenko1956]_.
    """
    own = (
        shear_modulus_pa * width_m * thickness_m**3 / (3.0 * length_m) * (1.0 - 0.63 * min(thickness_m / width_m, 1.0))
    )
    return own + weight_n * width_m**2 / (12.0 * length_m)


@formula("strip_thickness_for_rate")
def thickness_for_rate_ratio(*, rate_s_per_day: float) -> float:
    """Thickness of a strip that brings a torsion pendulum to time, over the thickness now.

    Parameters
    ----------
    rate_s_per_day : float
        Rate observed, + gains [s/day], -40000 to 80000.

    Returns
    -------
    float
        Ratio of thicknesses.

    Notes
    -----
    Beats as the 1.5th power of the thickness, weight left out. Source: [Timoshenko1956]_ part I.
    """
    import math

    return math.pow(1.0 + rate_s_per_day / 86400.0, -2.0 / 3.0)
