"""Sizes of wheels and pinions from counts: pitch circles, pitch, centres.

The module is pitch diameter over teeth. Diametral pitch of old books is teeth over pitch diameter, in 1/m inside.
Tooth forms are in `tooth_form`. Exact arithmetic. Sources: [Goodrich1905]_ ch. XIV; [Low1888]_.
"""

from __future__ import annotations

import math

from underdial.formula import formula


@formula("diametral_pitch")
def diametral_pitch_per_m(*, teeth_count: float, pitch_diameter_m: float) -> float:
    """Teeth for each length of pitch diameter.

    Parameters
    ----------
    teeth_count : float
        Teeth, 1 to 2000.
    pitch_diameter_m : float
        Pitch diameter [m], 1e-5 to 100.

    Returns
    -------
    float
        Diametral pitch [1/m].

    Notes
    -----
    N / D. Source: [Goodrich1905]_ ch. XIV.
    """
    return teeth_count / pitch_diameter_m


@formula("module_from_pitch")
def module_m(*, diametral_pitch_per_m: float) -> float:
    """Module from the diametral pitch.

    Parameters
    ----------
    diametral_pitch_per_m : float
        Teeth for each length of pitch diameter [1/m], 0.1 to 1e6.

    Returns
    -------
    float
        Module [m].

    Notes
    -----
    The inverse. Source: definition.
    """
    return 1.0 / diametral_pitch_per_m


@formula("pitch_diameter")
def pitch_diameter_m(*, teeth_count: float, module_m: float) -> float:
    """Pitch diameter of a wheel or pinion.

    Parameters
    ----------
    teeth_count : float
        Teeth, 1 to 2000.
    module_m : float
        Module [m], 1e-6 to 1.

    Returns
    -------
    float
        Pitch diameter [m].

    Notes
    -----
    N m. Source: [Goodrich1905]_ ch. XIV.
    """
    return teeth_count * module_m


@formula("outside_diameter")
def outside_diameter_m(*, teeth_count: float, module_m: float, addendum_ratio: float = 1.0) -> float:
    """Outside diameter of a wheel or pinion.

    Parameters
    ----------
    teeth_count : float
        Teeth, 1 to 2000.
    module_m : float
        Module [m], 1e-6 to 1.
    addendum_ratio : float
        Height of the tooth above the pitch circle, in modules: 1 in old machine practice, 0 to 4.

    Returns
    -------
    float
        Outside diameter [m].

    Notes
    -----
    (N + 2 f) m. Source: [Goodrich1905]_ ch. XIV.
    """
    return (teeth_count + 2.0 * addendum_ratio) * module_m


@formula("centre_distance")
def centre_distance_m(*, wheel_count: float, pinion_count: float, module_m: float) -> float:
    """Distance of the centres of wheel and pinion.

    Parameters
    ----------
    wheel_count : float
        Teeth of the wheel, 1 to 2000.
    pinion_count : float
        Leaves of the pinion, 1 to 2000.
    module_m : float
        Module [m], 1e-6 to 1.

    Returns
    -------
    float
        Centre distance [m].

    Notes
    -----
    (z + p) m / 2. Source: [Goodrich1905]_ ch. XIV.
    """
    return (wheel_count + pinion_count) * module_m / 2.0


@formula("pinion_from_wheel")
def pinion_diameter_m(*, wheel_diameter_m: float, wheel_count: float, pinion_count: float) -> float:
    """Pitch diameter of a pinion from that of the wheel which drives it.

    Parameters
    ----------
    wheel_diameter_m : float
        Pitch diameter of the wheel [m], 1e-5 to 100.
    wheel_count : float
        Teeth of the wheel, 1 to 2000.
    pinion_count : float
        Leaves of the pinion, 1 to 2000.

    Returns
    -------
    float
        Pitch diameter [m].

    Notes
    -----
    In proportion to the counts. Source: [Goodrich1905]_ ch. XIV.
    """
    return wheel_diameter_m * pinion_count / wheel_count


@formula("centre_split")
def centre_split(*, ratio: float) -> tuple[float, float]:
    """Parts of a centre distance that pinion and wheel take as pitch radii.

    Parameters
    ----------
    ratio : float
        Turns of the pinion for one of the wheel, 0.001 to 1000.

    Returns
    -------
    pinion_ratio : float
        Part of the pinion.
    wheel_ratio : float
        Part of the wheel.

    Notes
    -----
    1/(1 + i) and i/(1 + i). Source: [Goodrich1905]_ ch. XIV.
    """
    return 1.0 / (1.0 + ratio), ratio / (1.0 + ratio)


@formula("pitch_diameter_from_pitch")
def pitch_diameter_from_pitch_m(*, teeth_count: float, pitch_m: float) -> float:
    """Pitch diameter from the pitch measured along the pitch circle.

    Parameters
    ----------
    teeth_count : float
        Teeth, 1 to 2000.
    pitch_m : float
        Circular pitch [m], 1e-6 to 10.

    Returns
    -------
    float
        Pitch diameter [m].

    Notes
    -----
    N p / pi. Source: [Low1888]_.
    """
    return teeth_count * pitch_m / math.pi
