"""The flat spiral: stiffness, length, thickness, regulator, and what the pins' gap does to the rate.

Lengths are active lengths, collet to pins. A longer spring loses. Rates: + gains.
Sources: strip bending [Defossez1950]_ ch. III; the gap of the pins is derived by averaging.
"""

from __future__ import annotations

import math

from underdial.formula import formula


@formula("spring_stiffness")
def stiffness_n_m_per_rad(*, modulus_pa: float, height_m: float, thickness_m: float, length_m: float) -> float:
    """Stiffness of a flat spiral: turning moment for one radian.

    Parameters
    ----------
    modulus_pa : float
        Modulus of elasticity [Pa], 1e8 to 1e12.
    height_m : float
        Height of the strip, along the arbor [m], 1e-6 to 1.
    thickness_m : float
        Thickness of the strip [m], 1e-7 to 0.02.
    length_m : float
        Active length [m], 1e-4 to 100.

    Returns
    -------
    float
        Stiffness [N m/rad].

    Notes
    -----
    E h t^3 / (12 L); coils that do not touch, ends clamped. Source: [Defossez1950]_ ch. III.
    """
    return modulus_pa * height_m * thickness_m**3 / (12.0 * length_m)


@formula("hairspring_length")
def length_m(*, modulus_pa: float, height_m: float, thickness_m: float, stiffness_n_m_per_rad: float) -> float:
    """Active length of a strip that has a wanted stiffness.

    Parameters
    ----------
    modulus_pa : float
        Modulus of elasticity [Pa], 1e8 to 1e12.
    height_m : float
        Height of the strip [m], 1e-6 to 1.
    thickness_m : float
        Thickness of the strip [m], 1e-7 to 0.02.
    stiffness_n_m_per_rad : float
        Stiffness wanted [N m/rad], 1e-13 to 1000.

    Returns
    -------
    float
        Active length [m].

    Notes
    -----
    The stiffness solved for the length. Source: [Defossez1950]_ ch. III.
    """
    return modulus_pa * height_m * thickness_m**3 / (12.0 * stiffness_n_m_per_rad)


@formula("hairspring_thickness")
def thickness_m(*, modulus_pa: float, height_m: float, length_m: float, stiffness_n_m_per_rad: float) -> float:
    """Thickness of a strip that has a wanted stiffness at a given length.

    Parameters
    ----------
    modulus_pa : float
        Modulus of elasticity [Pa], 1e8 to 1e12.
    height_m : float
        Height of the strip [m], 1e-6 to 1.
    length_m : float
        Active length [m], 1e-4 to 100.
    stiffness_n_m_per_rad : float
        Stiffness wanted [N m/rad], 1e-13 to 1000.

    Returns
    -------
    float
        Thickness [m].

    Notes
    -----
    The stiffness solved for the thickness. Source: [Defossez1950]_ ch. III.
    """
    return math.pow(12.0 * length_m * stiffness_n_m_per_rad / (modulus_pa * height_m), 1.0 / 3.0)


@formula("hairspring_length_rate")
def length_change_rate_s_per_day(*, length_change_ratio: float) -> float:
    """Change of rate when a hairspring is let out or taken up.

    Parameters
    ----------
    length_change_ratio : float
        Change of active length over the length, + longer, -0.5 to 2.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Notes
    -----
    Exact: 86400 (1/sqrt(1 + x) - 1). Source: [Defossez1950]_ ch. III.
    """
    return 86400.0 * (1.0 / math.sqrt(1.0 + length_change_ratio) - 1.0)


@formula("hairspring_let_out")
def let_out_m(*, length_m: float, rate_s_per_day: float) -> float:
    """Length to let out so that an observed rate goes to nought.

    Parameters
    ----------
    length_m : float
        Active length now [m], 1e-4 to 100.
    rate_s_per_day : float
        Rate observed, + gains [s/day], -80000 to 86400.

    Returns
    -------
    float
        Length to let out; to take up where negative [m].

    Notes
    -----
    Exact: L ((1 + r/86400)^2 - 1). First order: 2 L r / 86400. Source: [Defossez1950]_ ch. III.
    """
    return length_m * ((1.0 + rate_s_per_day / 86400.0) ** 2 - 1.0)


@formula("hairspring_thickness_rate")
def thickness_rate_s_per_day(*, thickness_change_ratio: float) -> float:
    """Change of rate when a strip of the same length is thicker.

    Parameters
    ----------
    thickness_change_ratio : float
        Change of thickness over the thickness, -0.9 to 2.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Notes
    -----
    Exact: 86400 ((1 + x)^1.5 - 1). Source: [Defossez1950]_ ch. III.
    """
    return 86400.0 * (math.pow(1.0 + thickness_change_ratio, 1.5) - 1.0)


@formula("modulus_temperature_coefficient")
def modulus_change_per_k(*, modulus_cold_pa: float, modulus_warm_pa: float, change_k: float) -> float:
    """Relative change of a modulus for one kelvin, from its value at two temperatures.

    Parameters
    ----------
    modulus_cold_pa : float
        Modulus at the lower temperature [Pa], 1e8 to 1e12.
    modulus_warm_pa : float
        Modulus at the higher temperature [Pa], 1e8 to 1e12.
    change_k : float
        Difference of the temperatures [K], 0.001 to 2000.

    Returns
    -------
    float
        Relative change for a kelvin [1/K].

    Notes
    -----
    A quotient, against the cold value. Source: definition.
    """
    return (modulus_warm_pa / modulus_cold_pa - 1.0) / change_k


@formula("regulator_gap_rate")
def gap_rate_s_per_day(*, beyond_pins_ratio: float, gap_rad: float, half_arc_rad: float) -> float:
    """What the play of a spring between the regulator pins does to the rate.

    Parameters
    ----------
    beyond_pins_ratio : float
        Spring between pins and stud over the active length, 0 to 0.5.
    gap_rad : float
        Turn of the balance, from rest, at which the spring first touches a pin [rad], 0 to 6.
    half_arc_rad : float
        Arc of the balance to one side of rest [rad], 0.01 to 6.

    Returns
    -------
    float
        Rate against a spring held fast at the pins; 0 or below, and worse the smaller the arc [s/day].

    Notes
    -----
    Averaging of a spring softer by beyond/(1 + beyond) inside the gap; first order in that. With the arc inside the
    gap the spring acts from the stud. Source: derived here; the effect is described in [Kleinlein1920]_ no. 37.
    """
    softer = beyond_pins_ratio / (1.0 + beyond_pins_ratio)
    x = min(1.0, gap_rad / half_arc_rad)
    return -86400.0 * softer / math.pi * (x * math.sqrt(1.0 - x * x) + math.asin(x))
