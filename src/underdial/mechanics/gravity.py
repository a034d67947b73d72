"""Gravity by place, and what a move does to a pendulum.

Normal gravity is that of the WGS84 ellipsoid; the ground itself departs from it by up to some 0.001 m/s2 (4 s/d).
Latitudes in radians inside; the handbook shows degrees.
"""

from __future__ import annotations

import math

from underdial.formula import formula

# WGS84 ellipsoid and normal gravity. Source: [NIMA2000] tables 3.1 to 3.4, eq. 4-1 and 4-3.
_EQUATOR_G, _K, _E2 = 9.7803253359, 0.00193185265241, 0.00669437999013
_SEMI_MAJOR_M, _FLATTENING, _M = 6378137.0, 1.0 / 298.257223563, 0.00344978650684


@formula("normal_gravity")
def normal_gravity_m_per_s2(*, latitude_rad: float, height_m: float = 0.0) -> float:
    """Gravity of the WGS84 ellipsoid at a latitude and height.

    Parameters
    ----------
    latitude_rad : float
        Latitude, north or south [rad], -1.5707963267948968 to 1.5707963267948968.
    height_m : float
        Height above the ellipsoid [m], -500 to 20000.

    Returns
    -------
    float
        Gravity [m/s2].

    Notes
    -----
    Closed form on the ellipsoid, series to the square of the height above it (error below 1e-7 m/s2 at 1 km).
    Real gravity departs by up to 0.001 m/s2. Source: [NIMA2000]_ eq. 4-1, 4-3.
    """
    s = math.sin(latitude_rad) ** 2
    on_ground = _EQUATOR_G * (1.0 + _K * s) / math.sqrt(1.0 - _E2 * s)
    h = height_m / _SEMI_MAJOR_M
    return on_ground * (1.0 - 2.0 * (1.0 + _FLATTENING + _M - 2.0 * _FLATTENING * s) * h + 3.0 * h * h)


@formula("gravity_rate")
def gravity_rate_s_per_day(*, from_m_per_s2: float, to_m_per_s2: float) -> float:
    """Change of a pendulum's rate between two values of gravity.

    Parameters
    ----------
    from_m_per_s2 : float
        Gravity where the clock kept time [m/s2], 0.1 to 30.
    to_m_per_s2 : float
        Gravity where it stands now [m/s2], 0.1 to 30.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Notes
    -----
    86400 (sqrt(g2/g1) - 1); exact. Source: [Huygens1673]_ part IV.
    """
    return 86400.0 * (math.sqrt(to_m_per_s2 / from_m_per_s2) - 1.0)


@formula("move_rate")
def move_rate_s_per_day(
    *, from_latitude_rad: float, to_latitude_rad: float, from_height_m: float = 0.0, to_height_m: float = 0.0
) -> float:
    """Change of a pendulum's rate when the clock is taken to another place.

    Parameters
    ----------
    from_latitude_rad : float
        Latitude where the clock kept time [rad], -1.5707963267948968 to 1.5707963267948968.
    to_latitude_rad : float
        Latitude where it stands now [rad], -1.5707963267948968 to 1.5707963267948968.
    from_height_m : float
        Height there [m], -500 to 20000.
    to_height_m : float
        Height here [m], -500 to 20000.

    Returns
    -------
    float
        Change of rate, + gains [s/day].

    Notes
    -----
    From normal gravity; real gravity may add up to 4 s/d. Source: [NIMA2000]_ eq. 4-1.
    """
    return gravity_rate_s_per_day(
        from_m_per_s2=normal_gravity_m_per_s2(latitude_rad=from_latitude_rad, height_m=from_height_m),
        to_m_per_s2=normal_gravity_m_per_s2(latitude_rad=to_latitude_rad, height_m=to_height_m),
    )


@formula("seconds_pendulum_old_rule")
def seconds_pendulum_old_rule_m(*, latitude_rad: float, equator_m: float = 0.9910318, rise_m: float = 0.00508) -> float:
    """Seconds pendulum of a latitude by the rule of the nineteenth century.

    Parameters
    ----------
    latitude_rad : float
        Latitude [rad], -1.5707963267948968 to 1.5707963267948968.
    equator_m : float
        Seconds pendulum at the equator [m], 0.9 to 1.1.
    rise_m : float
        What it is longer at the pole [m], 0 to 0.1.

    Returns
    -------
    float
        Length [m].

    Notes
    -----
    l = 39.017 in + 0.2 in sin^2(latitude): within 0.03 mm of WGS84. Source: [Grimthorpe1903]_ p. 39.
    """
    return equator_m + rise_m * math.sin(latitude_rad) ** 2
