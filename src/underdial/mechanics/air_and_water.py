"""Densities of water and air, and oil between two temperatures.

Sources: [Kell1975]_ eq. 16 (water free of air, one atmosphere); [Picard2008]_ (CIPM-2007, moist air); the ISA for dry
air [ISO2533]_; [ASTMD341]_ for oil.
"""

from __future__ import annotations

import math

from underdial.errors import OutOfRange
from underdial.formula import formula

GAS_CONSTANT_J_PER_MOL_K = 8.314472  # as CIPM-2007 takes it. Source: [Picard2008]_ table 1.


@formula("water_density")
def water_density_kg_per_m3(*, temperature_deg_c: float) -> float:
    """Density of water at one atmosphere.

    Parameters
    ----------
    temperature_deg_c : float
        Temperature [degC], 0 to 100.

    Returns
    -------
    float
        Density [kg/m3].

    Notes
    -----
    Error below 0.01 kg/m3; within 0.02 of other standards. Source: [Kell1975]_ eq. 16.
    """
    t = temperature_deg_c
    above = (
        999.83952
        + 16.945176 * t
        - 7.9870401e-3 * t**2
        - 46.170461e-6 * t**3
        + 105.56302e-9 * t**4
        - 280.54253e-12 * t**5
    )
    return above / (1.0 + 16.879850e-3 * t)


@formula("water_relative_density")
def water_relative_density_ratio(*, temperature_deg_c: float, reference_deg_c: float = 4.0) -> float:
    """Density of water over that at a reference temperature.

    Parameters
    ----------
    temperature_deg_c : float
        Temperature [degC], 0 to 100.
    reference_deg_c : float
        Temperature of reference [degC], 0 to 100.

    Returns
    -------
    float
        Ratio.

    Notes
    -----
    Source: [Kell1975]_ eq. 16.
    """
    return water_density_kg_per_m3(temperature_deg_c=temperature_deg_c) / water_density_kg_per_m3(
        temperature_deg_c=reference_deg_c
    )


@formula("dry_air_density")
def dry_air_density_kg_per_m3(
    *, temperature_deg_c: float, pressure_pa: float = 101325.0, gas_constant_j_per_kg_k: float = 287.05287
) -> float:
    """Density of dry air as an ideal gas.

    Parameters
    ----------
    temperature_deg_c : float
        Temperature [degC], -100 to 200.
    pressure_pa : float
        Pressure [Pa], 0 to 1e7.
    gas_constant_j_per_kg_k : float
        Specific gas constant [J/kg/K], 1 to 10000.

    Returns
    -------
    float
        Density [kg/m3].

    Notes
    -----
    p / (R T); within 0.05 % of real air near room conditions. Source: [ISO2533]_.
    """
    return pressure_pa / (gas_constant_j_per_kg_k * (temperature_deg_c + 273.15))


@formula("moist_air_density")
def moist_air_density_kg_per_m3(
    *, temperature_deg_c: float, pressure_pa: float = 101325.0, humidity_ratio: float = 0.5, co2_ratio: float = 0.0004
) -> float:
    """Density of moist air.

    Parameters
    ----------
    temperature_deg_c : float
        Temperature [degC], 0 to 50.
    pressure_pa : float
        Pressure [Pa], 60000 to 110000.
    humidity_ratio : float
        Relative humidity, 0 to 1.
    co2_ratio : float
        Mole fraction of carbon dioxide, 0 to 0.01.

    Returns
    -------
    float
        Density [kg/m3].

    Notes
    -----
    CIPM-2007, relative error 2.2e-5 from 15 to 27 degC, larger outside. Source: [Picard2008]_ eq. 1, 2, A1.1 to A1.4.
    """
    t, kelvin, p = temperature_deg_c, temperature_deg_c + 273.15, pressure_pa
    saturated = math.exp(1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin)
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t**2
    x = humidity_ratio * enhancement * saturated / p
    z = (
        1.0
        - p
        / kelvin
        * (
            1.58123e-6
            - 2.9331e-8 * t
            + 1.1043e-10 * t**2
            + (5.707e-6 - 2.051e-8 * t) * x
            + (1.9898e-4 - 2.376e-6 * t) * x**2
        )
        + (p / kelvin) ** 2 * (1.83e-11 - 0.765e-8 * x**2)
    )
    molar = 28.96546e-3 + 12.011e-3 * (co2_ratio - 0.0004)
    return p * molar / (z * GAS_CONSTANT_J_PER_MOL_K * kelvin) * (1.0 - 0.3780 * x)


@formula("oil_viscosity")
def oil_viscosity_cst(
    *,
    viscosity1_cst: float,
    temperature1_deg_c: float,
    viscosity2_cst: float,
    temperature2_deg_c: float,
    at_deg_c: float,
    added_cst: float = 0.7,
) -> float:
    """Kinematic viscosity of an oil at one temperature from its values at two others.

    Parameters
    ----------
    viscosity1_cst : float
        Viscosity at the first temperature [cSt], 0.3 to 1e7.
    temperature1_deg_c : float
        First temperature [degC], -60 to 200.
    viscosity2_cst : float
        Viscosity at the second temperature [cSt], 0.3 to 1e7.
    temperature2_deg_c : float
        Second temperature [degC], -60 to 200.
    at_deg_c : float
        Temperature wanted [degC], -60 to 200.
    added_cst : float
        Constant added before the logarithms [cSt], 0 to 1.

    Returns
    -------
    float
        Viscosity [cSt].

    Raises
    ------
    OutOfRange
        The two temperatures are equal, or a viscosity with the constant added is 1 cSt or less.

    Notes
    -----
    log log (v + c) on a straight line in log T (Walther); above 2 cSt within a per cent or two. Source: [ASTMD341]_.
    """
    if temperature1_deg_c == temperature2_deg_c:
        raise OutOfRange("temperature2_deg_c", temperature2_deg_c, -60.0, 200.0, "degC")
    for name, one in (("viscosity1_cst", viscosity1_cst), ("viscosity2_cst", viscosity2_cst)):
        # The logarithm of a logarithm needs more than 1.
        if one + added_cst <= 1.0:
            raise OutOfRange(name, one, 1.0 - added_cst, 1e7, "cSt")
    w1, w2 = (math.log10(math.log10(v + added_cst)) for v in (viscosity1_cst, viscosity2_cst))
    t1, t2, t = (math.log10(one + 273.15) for one in (temperature1_deg_c, temperature2_deg_c, at_deg_c))
    return math.pow(10.0, math.pow(10.0, w1 + (w2 - w1) * (t - t1) / (t2 - t1))) - added_cst
