"""What an escapement does to the rate: a push that comes late makes a clock slow, one that comes early fast.

Angles are those of the oscillator from rest, negative before the middle of its swing on the way there; the half arc is
A. All rates + gain and are first order in the push. In the terms below E is energy, k stiffness (m g L of a pendulum).

Sources: [Airy1830]_, p. 105 in integrated form; lever pick-up and recoil derived by the same averaging.
"""

from __future__ import annotations

import math

from underdial.errors import OutOfRange
from underdial.formula import formula


@formula("airy_rate")
def push_rate_s_per_day(
    *, torque_n_m: float, begins_rad: float, ends_rad: float, stiffness_n_m_per_rad: float, half_arc_rad: float
) -> float:
    """Change of rate from a constant torque that helps over a part of every swing.

    Parameters
    ----------
    torque_n_m : float
        Torque along the motion, once in each half swing [N m], -100 to 100.
    begins_rad : float
        Angle where it begins, negative before the middle [rad], -6.3 to 6.3.
    ends_rad : float
        Angle where it ends [rad], -6.3 to 6.3.
    stiffness_n_m_per_rad : float
        Stiffness of spring or pendulum [N m/rad], 1e-12 to 1e5.
    half_arc_rad : float
        Arc to one side of rest [rad], 0.001 to 6.3.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Raises
    ------
    OutOfRange
        The oscillator does not reach the angles.

    Notes
    -----
    -86400 T/(pi k A) [sqrt(1 - (a/A)^2) - sqrt(1 - (b/A)^2)]; first order in T. Source: [Airy1830]_ p. 105.
    """
    if max(abs(begins_rad), abs(ends_rad)) > half_arc_rad:
        raise OutOfRange("half_arc_rad", half_arc_rad, max(abs(begins_rad), abs(ends_rad)), 6.3, "rad")
    a, b = begins_rad / half_arc_rad, ends_rad / half_arc_rad
    return (
        -86400.0
        * torque_n_m
        / (math.pi * stiffness_n_m_per_rad * half_arc_rad)
        * (math.sqrt(1.0 - a * a) - math.sqrt(1.0 - b * b))
    )


@formula("short_impulse_rate")
def short_impulse_rate_s_per_day(
    *, energy_j: float, begins_rad: float, ends_rad: float, stiffness_n_m_per_rad: float, half_arc_rad: float
) -> float:
    """Change of rate from a push near the middle of the swing, by the small-angle form.

    Parameters
    ----------
    energy_j : float
        Energy of the push, once in each half swing [J], 0 to 100.
    begins_rad : float
        Angle where it begins [rad], -6.3 to 6.3.
    ends_rad : float
        Angle where it ends [rad], -6.3 to 6.3.
    stiffness_n_m_per_rad : float
        Stiffness of spring or pendulum [N m/rad], 1e-12 to 1e5.
    half_arc_rad : float
        Arc to one side of rest [rad], 0.001 to 6.3.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Notes
    -----
    -86400 E (a + b)/(2 pi k A^3); too small by (a^2 + b^2)/4A^2 of itself. Source: [Airy1830]_ p. 105.
    """
    return -86400.0 * energy_j * (begins_rad + ends_rad) / (2.0 * math.pi * stiffness_n_m_per_rad * half_arc_rad**3)


@formula("lever_pick_up_rate")
def lever_pick_up_rate_s_per_day(*, inertia_ratio: float, begins_rad: float, half_arc_rad: float) -> float:
    """Change of rate from the lever's inertia, picked up before the middle and left behind after it.

    Parameters
    ----------
    inertia_ratio : float
        Inertia of lever and wheel, reflected to the balance, over that of the balance, 0 to 0.1.
    begins_rad : float
        Angle where the pin meets the lever [rad], -6.3 to 6.3.
    half_arc_rad : float
        Arc to one side of rest [rad], 0.001 to 6.3.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Notes
    -----
    86400 (kappa/pi) x sqrt(1 - x^2), x = begin / A: slow when met before the middle. First order. Source: derived.
    """
    x = max(-1.0, min(1.0, begins_rad / half_arc_rad))
    return 86400.0 * inertia_ratio / math.pi * x * math.sqrt(1.0 - x * x)


@formula("recoil_rate")
def recoil_rate_s_per_day(
    *, recoil_torque_n_m: float, ends_rad: float, stiffness_n_m_per_rad: float, half_arc_rad: float
) -> float:
    """Change of rate from the torque of a recoil face beyond the impulse, out and back.

    Parameters
    ----------
    recoil_torque_n_m : float
        Torque towards the middle, beyond the end of the impulse [N m], 0 to 100.
    ends_rad : float
        Angle where the impulse ends and recoil begins [rad], 0 to 6.3.
    stiffness_n_m_per_rad : float
        Stiffness of spring or pendulum [N m/rad], 1e-12 to 1e5.
    half_arc_rad : float
        Arc to one side of rest [rad], 0.001 to 6.3.

    Returns
    -------
    float
        Change of rate, + gains, so 0 or above [s/day].

    Notes
    -----
    86400 x 2 R sqrt(1 - (b/A)^2) / (pi k A); first order. Source: derived as [Airy1830]_ p. 105.
    """
    x = min(1.0, ends_rad / half_arc_rad)
    return 86400.0 * 2.0 * recoil_torque_n_m * math.sqrt(1.0 - x * x) / (math.pi * stiffness_n_m_per_rad * half_arc_rad)
