"""Press fits: a bush driven into a plate, after Lame, and the shop's old rule for forced fits.

Interference is on the diameter. The plate is taken as wide against the bush, both of one material unless moduli differ.
Limits: elastic, plane stress, smooth cylinders, one length. Source: [Timoshenko1956]_ part II, ch. VI.
"""

from __future__ import annotations

import math

from underdial.errors import OutOfRange
from underdial.formula import formula


@formula("press_fit_pressure")
def pressure_pa(
    *,
    interference_m: float,
    outside_m: float,
    bore_m: float,
    modulus_bush_pa: float = 100e9,
    modulus_plate_pa: float = 100e9,
    poisson_bush_ratio: float = 0.3,
    poisson_plate_ratio: float = 0.3,
) -> float:
    """Pressure between a bush and the plate it is driven into.

    Parameters
    ----------
    interference_m : float
        Bush less hole, on the diameter [m], 0 to 0.001.
    outside_m : float
        Outside diameter of the bush [m], 1e-5 to 1.
    bore_m : float
        Bore of the bush [m], 0 to 1.
    modulus_bush_pa : float
        Modulus of the bush [Pa], 1e8 to 1e12.
    modulus_plate_pa : float
        Modulus of the plate [Pa], 1e8 to 1e12.
    poisson_bush_ratio : float
        Poisson's ratio of the bush, 0 to 0.5.
    poisson_plate_ratio : float
        Poisson's ratio of the plate, 0 to 0.5.

    Returns
    -------
    float
        Pressure [Pa].

    Raises
    ------
    OutOfRange
        The bore is not smaller than the outside.

    Notes
    -----
    Thick-walled ring in a wide plate. Source: [Timoshenko1956]_ part II, ch. VI.
    """
    _check_bore(bore_m, outside_m)
    q = (bore_m / outside_m) ** 2
    bush = ((1.0 + q) / (1.0 - q) - poisson_bush_ratio) / modulus_bush_pa
    plate = (1.0 + poisson_plate_ratio) / modulus_plate_pa
    return interference_m / outside_m / (bush + plate)


@formula("press_fit_push_out")
def push_out_n(*, pressure_pa: float, outside_m: float, plate_m: float, friction_ratio: float = 0.2) -> float:
    """Force that pushes a bush out again.

    Parameters
    ----------
    pressure_pa : float
        Pressure of the fit [Pa], 0 to 1e10.
    outside_m : float
        Outside diameter of the bush [m], 1e-5 to 1.
    plate_m : float
        Thickness of the plate [m], 1e-5 to 1.
    friction_ratio : float
        Coefficient of friction of the fit, 0 to 2.

    Returns
    -------
    float
        Force [N].

    Notes
    -----
    mu p pi D b. Source: statics.
    """
    return friction_ratio * pressure_pa * math.pi * outside_m * plate_m


@formula("press_fit_bore_closes")
def bore_closes_m(*, pressure_pa: float, outside_m: float, bore_m: float, modulus_bush_pa: float = 100e9) -> float:
    """How much the bore of a bush closes, on its diameter, when the bush is driven in.

    Parameters
    ----------
    pressure_pa : float
        Pressure of the fit [Pa], 0 to 1e10.
    outside_m : float
        Outside diameter of the bush [m], 1e-5 to 1.
    bore_m : float
        Bore of the bush [m], 1e-6 to 1.
    modulus_bush_pa : float
        Modulus of the bush [Pa], 1e8 to 1e12.

    Returns
    -------
    float
        Closing of the bore, on the diameter [m].

    Raises
    ------
    OutOfRange
        The bore is not smaller than the outside.

    Notes
    -----
    2 p d / (E (1 - (d/D)^2)). Source: [Timoshenko1956]_ part II, ch. VI.
    """
    _check_bore(bore_m, outside_m)
    return 2.0 * pressure_pa * bore_m / (modulus_bush_pa * (1.0 - (bore_m / outside_m) ** 2))


@formula("press_fit_hoop")
def hoop_pa(*, pressure_pa: float, outside_m: float, bore_m: float) -> float:
    """Largest hoop stress of a bush that is driven in, at its bore (pressing together).

    Parameters
    ----------
    pressure_pa : float
        Pressure of the fit [Pa], 0 to 1e10.
    outside_m : float
        Outside diameter of the bush [m], 1e-5 to 1.
    bore_m : float
        Bore of the bush [m], 0 to 1.

    Returns
    -------
    float
        Stress, as a size [Pa].

    Raises
    ------
    OutOfRange
        The bore is not smaller than the outside.

    Notes
    -----
    2 p / (1 - (d/D)^2). Source: [Timoshenko1956]_ part II, ch. VI.
    """
    _check_bore(bore_m, outside_m)
    return 2.0 * pressure_pa / (1.0 - (bore_m / outside_m) ** 2)


@formula("force_fit_by_factor")
def force_by_factor_n(*, area_m2: float, allowance_m: float, factor_n_per_m3: float) -> float:
    """Force of a forced fit by the old shop's pressure factor.

    Parameters
    ----------
    area_m2 : float
        Area of the fit [m2], 0 to 100.
    allowance_m : float
        Allowance on the diameter [m], 0 to 0.01.
    factor_n_per_m3 : float
        Pressure factor of the diameter [N/m3], 0 to 1e15.

    Returns
    -------
    float
        Force [N].

    Notes
    -----
    area x allowance x factor / 2. Empirical, iron and steel. Source: [Jones1914]_.
    """
    return area_m2 * allowance_m * factor_n_per_m3 / 2.0


def _check_bore(bore_m: float, outside_m: float) -> None:
    if bore_m >= outside_m:
        raise OutOfRange("bore_m", bore_m, 0.0, outside_m, "m")
