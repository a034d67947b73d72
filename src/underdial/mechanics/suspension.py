"""The suspension spring: how a strip in tension moves the turning point and quickens a pendulum.

The strip is a beam in tension, clamped in the chops and to the rod; below it hangs a rigid pendulum. The two
displacements of the strip's lower end give two modes; the slow one is the pendulum. Thickness matters by its cube
while the tension governs the shape, so a strip twice as thick adds nearly three times the stiffness.

Limits: small swings, strip without mass, no anticlastic curvature. Source: stiffness of a beam in tension
[Timoshenko1961]_ s. 1.11; the reduction to a pendulum is derived.
"""

from __future__ import annotations

import math

from underdial.formula import formula
from underdial.mechanics.materials import STEEL_PA


@formula("suspension_period")
def suspension_period_s(
    *,
    mass_kg: float,
    centre_depth_m: float,
    gyration_m: float,
    strip_length_m: float,
    strip_width_m: float,
    strip_thickness_m: float,
    modulus_pa: float = STEEL_PA,
    g_m_per_s2: float = 9.80665,
) -> float:
    """Period of a rigid pendulum that hangs by a strip.

    Parameters
    ----------
    mass_kg : float
        Mass of the pendulum [kg], 1e-4 to 1e4.
    centre_depth_m : float
        Lower end of the strip to centre of gravity [m], 0.001 to 100.
    gyration_m : float
        Radius of gyration about the centre of gravity [m], 0 to 100.
    strip_length_m : float
        Free length of the strip [m], 0.0005 to 0.5.
    strip_width_m : float
        Width of the strip, of both together if there are two [m], 0.0001 to 0.5.
    strip_thickness_m : float
        Thickness of the strip [m], 1e-6 to 0.005.
    modulus_pa : float
        Modulus of elasticity [Pa], 1e9 to 1e12.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.

    Returns
    -------
    float
        Time of one full swing [s].

    Notes
    -----
    Slow root of the two-freedom problem, exact for small swings. Source: [Timoshenko1961]_ s. 1.11.
    """
    weight = mass_kg * g_m_per_s2
    bending = modulus_pa * strip_width_m * strip_thickness_m**3 / 12.0
    k11, k12, k22 = _strip_stiffness(bending, weight, strip_length_m)
    k22 += weight * centre_depth_m
    m11, m12 = mass_kg, mass_kg * centre_depth_m
    m22 = mass_kg * (centre_depth_m**2 + gyration_m**2)
    # det(K - w2 M) = 0, written as a w2^2 - b w2 + c = 0; the small root without loss of digits is 2c/(b + root).
    a = m11 * m22 - m12 * m12
    b = k11 * m22 + k22 * m11 - 2.0 * k12 * m12
    c = k11 * k22 - k12 * k12
    w2 = 2.0 * c / (b + math.sqrt(max(0.0, b * b - 4.0 * a * c)))
    return 2.0 * math.pi / math.sqrt(w2)


@formula("suspension_turning_depth")
def turning_depth_m(
    *,
    weight_n: float,
    strip_width_m: float,
    strip_thickness_m: float,
    strip_length_m: float,
    modulus_pa: float = STEEL_PA,
) -> float:
    """Depth below the chops of the point through which the strip always pulls: a pendulum keeps time as if hung there.

    Parameters
    ----------
    weight_n : float
        Weight that hangs by the strip [N], 1e-4 to 1e5.
    strip_width_m : float
        Width of the strip, of both together if there are two [m], 0.0001 to 0.5.
    strip_thickness_m : float
        Thickness of the strip [m], 1e-6 to 0.005.
    strip_length_m : float
        Free length of the strip [m], 0.0005 to 0.5.
    modulus_pa : float
        Modulus of elasticity [Pa], 1e9 to 1e12.

    Returns
    -------
    float
        Depth of that point [m].

    Notes
    -----
    1/(q tanh(q s)) with q = sqrt(W/EI), for a pendulum long against the strip; a stiff strip puts it below its own
    lower end. Source: derived from [Timoshenko1961]_ s. 1.11.
    """
    q = math.sqrt(weight_n / (modulus_pa * strip_width_m * strip_thickness_m**3 / 12.0))
    return 1.0 / (q * math.tanh(q * strip_length_m))


def _strip_stiffness(bending: float, tension: float, length: float) -> tuple[float, float, float]:
    """Stiffness of the lower end of a beam in tension against shift and turn (all over cosh, so that none
    overflows).
    """
    mu = length * math.sqrt(tension / bending)
    if mu < 1e-3:
        return (
            12 * bending / length**3 + 1.2 * tension / length,
            -6 * bending / length**2 - tension / 10.0,
            4 * bending / length + 2 * tension * length / 15.0,
        )
    over = 1.0 / math.cosh(mu) if mu < 350.0 else 0.0
    tanh = math.tanh(mu)
    phi = 2.0 * over - 2.0 + mu * tanh
    return (
        bending / length**3 * mu**3 * tanh / phi,
        -bending / length**2 * mu**2 * (1.0 - over) / phi,
        bending / length * mu * (mu - tanh) / phi,
    )
