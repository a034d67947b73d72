"""Circles and roundness from readings: centre and radius, eccentricity, bend angle, diameter over odd teeth.

Readings round a part are taken at equal or unequal angles; the first harmonic is its eccentricity, what is left its
shape. Sources: [Kasa1976]_ for the algebraic circle, [Whitehouse1994]_ for roundness about the least-squares circle.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from underdial.errors import BadInput, OutOfRange
from underdial.formula import formula

FloatArray = npt.NDArray[np.float64]


class Circle(NamedTuple):
    """A circle: centre and radius."""

    centre_x_m: float
    centre_y_m: float
    radius_m: float


@formula("circle_fit")
def circle_fit(x_m: Sequence[float], y_m: Sequence[float]) -> Circle:
    """Circle through points by algebraic least squares; its radius is the points' mean distance from the centre.

    Parameters
    ----------
    x_m : list of float
        Points, across [m], -1e6 to 1e6.
    y_m : list of float
        Points, up [m], -1e6 to 1e6.

    Returns
    -------
    centre_x_m : float
        Centre, across [m].
    centre_y_m : float
        Centre, up [m].
    radius_m : float
        Radius [m].

    Raises
    ------
    BadInput
        There are fewer than three points, or all lie on one line.

    Notes
    -----
    x^2 + y^2 = 2 a x + 2 b y + c. On a short arc it comes out too small; `circle_fit_geometric` does not.
    Source: [Kasa1976]_.
    """
    x, y = _points(x_m, y_m)
    shift_x, shift_y = float(x.mean()), float(y.mean())
    u, v = x - shift_x, y - shift_y
    table = np.column_stack((2.0 * u, 2.0 * v, np.ones_like(u)))
    found, _, rank, _ = np.linalg.lstsq(table, u * u + v * v, rcond=None)
    if rank < 3:
        raise BadInput("x_m", len(x_m), "points that do not all lie on one line")
    a, b = float(found[0]) + shift_x, float(found[1]) + shift_y
    return Circle(a, b, float(np.mean(np.hypot(x - a, y - b))))


@formula("circle_fit_geometric")
def circle_fit_geometric(x_m: Sequence[float], y_m: Sequence[float]) -> Circle:
    """Circle through points by least squares of their distances from it.

    Parameters
    ----------
    x_m : list of float
        Points, across [m], -1e6 to 1e6.
    y_m : list of float
        Points, up [m], -1e6 to 1e6.

    Returns
    -------
    centre_x_m : float
        Centre, across [m].
    centre_y_m : float
        Centre, up [m].
    radius_m : float
        Radius [m].

    Raises
    ------
    BadInput
        There are fewer than three points, or all lie on one line.

    Notes
    -----
    Gauss-Newton with halved steps from the algebraic circle, to 1e-12 of the radius. Source: [Gander1994]_.
    """
    x, y = _points(x_m, y_m)
    at = np.array(circle_fit(x_m, y_m))

    def off(circle: FloatArray) -> FloatArray:
        return np.asarray(np.hypot(x - circle[0], y - circle[1]) - circle[2])

    for _ in range(100):
        reach = np.hypot(x - at[0], y - at[1])
        slope = np.column_stack(((at[0] - x) / reach, (at[1] - y) / reach, -np.ones_like(x)))
        now = off(at)
        step = np.linalg.lstsq(slope, -now, rcond=None)[0]
        size = 1.0
        while float(np.sum(off(at + size * step) ** 2)) > float(np.sum(now**2)) and size > 1e-6:
            size /= 2.0
        at = at + size * step
        if float(np.max(np.abs(step))) * size < 1e-12 * abs(float(at[2])):
            break
    return Circle(float(at[0]), float(at[1]), float(at[2]))


@formula("first_harmonic")
def first_harmonic(readings_m: Sequence[float], angles_rad: Sequence[float]) -> tuple[float, float, float]:
    """Eccentricity of a round part from readings at angles all round.

    Parameters
    ----------
    readings_m : list of float
        Readings or radii [m], -10 to 10.
    angles_rad : list of float
        Angles, all round the part, equal steps or not [rad], -100 to 100.

    Returns
    -------
    a_m : float
        Part along angle nought [m].
    b_m : float
        Part a quarter turn further [m].
    mean_m : float
        Mean reading [m].

    Raises
    ------
    BadInput
        There are fewer than four readings, or their angles are bunched.

    Notes
    -----
    Least squares of a cos + b sin + mean; at equal steps 2/N sum R cos, 2/N sum R sin, mean. Source: [Whitehouse1994]_.
    """
    if len(readings_m) != len(angles_rad) or len(readings_m) < 4:
        raise BadInput("readings_m", len(readings_m), "four readings or more, one to each angle")
    theta = np.asarray(angles_rad, dtype=np.float64)
    table = np.column_stack((np.cos(theta), np.sin(theta), np.ones_like(theta)))
    found, _, rank, sizes = np.linalg.lstsq(table, np.asarray(readings_m, dtype=np.float64), rcond=None)
    if rank < 3 or sizes[-1] < 0.1 * sizes[0]:
        raise BadInput("angles_rad", len(angles_rad), "angles all round the part, not on one side of it")
    return float(found[0]), float(found[1]), float(found[2])


@formula("roundness")
def roundness_m(readings_m: Sequence[float], angles_rad: Sequence[float]) -> float:
    """Peak to valley of a part's shape, its eccentricity taken off.

    Parameters
    ----------
    readings_m : list of float
        Readings or radii [m], -10 to 10.
    angles_rad : list of float
        Angles, all round the part, equal steps or not [rad], -100 to 100.

    Returns
    -------
    float
        Peak to valley [m].

    Notes
    -----
    About the least-squares circle. Source: [Whitehouse1994]_; term of ISO 12181.
    """
    a, b, mean = first_harmonic(readings_m, angles_rad)
    left = [r - mean - a * math.cos(t) - b * math.sin(t) for r, t in zip(readings_m, angles_rad, strict=True)]
    return max(left) - min(left)


@formula("indicator_movement")
def indicator_movement_m(*, eccentricity_m: float) -> float:
    """Full movement of an indicator on a round part that runs out of true.

    Parameters
    ----------
    eccentricity_m : float
        Centre of the part from the axis it turns on [m], 0 to 1.

    Returns
    -------
    float
        Largest less smallest reading [m].

    Notes
    -----
    Twice the eccentricity. Source: geometry.
    """
    return 2.0 * eccentricity_m


@formula("bend_angle")
def bend_angle_rad(*, eccentricity_m: float, distance_m: float) -> float:
    """Angle of a bend from the eccentricity at a distance beyond it.

    Parameters
    ----------
    eccentricity_m : float
        Eccentricity there [m], 0 to 1.
    distance_m : float
        Distance from the bend [m], 1e-6 to 10.

    Returns
    -------
    float
        Angle [rad].

    Raises
    ------
    OutOfRange
        A number lies outside its range.

    Notes
    -----
    atan(e/d). Source: geometry.
    """
    if distance_m <= 0.0:
        raise OutOfRange("distance_m", distance_m, 1e-6, 10.0, "m")
    return math.atan(eccentricity_m / distance_m)


@formula("diameter_over_odd_teeth")
def diameter_over_odd_teeth_m(*, over_m: float, teeth_count: float) -> float:
    """Full diameter of a wheel with an odd number of teeth from a caliper across them.

    Parameters
    ----------
    over_m : float
        Caliper reading, one tooth against two [m], 1e-5 to 10.
    teeth_count : float
        Teeth, an odd number, 3 to 999.

    Returns
    -------
    float
        Full diameter [m].

    Raises
    ------
    BadInput
        The number of teeth is even.

    Notes
    -----
    2 H/(1 + cos(180 deg/N)). Source: [Goodrich1905]_ ch. XIII.
    """
    if int(teeth_count) % 2 == 0:
        raise BadInput("teeth_count", teeth_count, "an odd number")
    return 2.0 * over_m / (1.0 + math.cos(math.pi / teeth_count))


def _points(x_m: Sequence[float], y_m: Sequence[float]) -> tuple[FloatArray, FloatArray]:
    if len(x_m) != len(y_m) or len(x_m) < 3:
        raise BadInput("x_m", len(x_m), f"three points or more, as many as there are y ({len(y_m)})")
    return np.array(x_m, dtype=np.float64), np.array(y_m, dtype=np.float64)
