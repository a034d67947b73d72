"""Dial-gauge readings round a part, one station at a time: eccentricity, ovality, and the gauge's own noise.

A reading at angle t of the part is `mean + a cos t + b sin t + c cos 2t + d sin 2t + noise`, with one mean for each
sense of turning where both were used (that takes off the gauge's backlash). (a, b) points to the high side: it is the
eccentricity vector of that section, and the second harmonic is its oval.

Limits: three-lobed shapes and flats count as noise; lengths in m, angles in rad, any spacing of angles.
Sources: [Whitehouse1994]_ for harmonics of a round part; least squares.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from underdial.errors import BadInput

FloatArray = npt.NDArray[np.float64]

LEAST_ANGLES_COUNT = 8
# A reading this many standard deviations from the fit of all others is named: of clean sets of 72 readings with noise
# alone, 1 in 100 has one by chance (600 drawn sets).
_STRAY_RATIO = 6.0


@dataclass(frozen=True, slots=True)
class Station:
    """One section. `unit_covariance` (2, 2) belongs to (along_m, across_m) for a noise of one; ovality is largest less
    smallest diameter."""

    z_m: float
    along_m: float
    across_m: float
    ovality_m: float
    oval_rad: float
    residual_square_m2: float
    freedom_count: int
    unit_covariance: tuple[tuple[float, float], tuple[float, float]]
    ovality_unit_ratio: float

    @property
    def eccentricity_m(self) -> float:
        """Distance of the section's middle from the axis it was turned on."""
        return math.hypot(self.along_m, self.across_m)

    @property
    def angle_rad(self) -> float:
        """Angle of the part at which it stands highest, 0 to 2 pi."""
        angle = math.atan2(self.across_m, self.along_m)
        return angle if angle >= 0.0 else max(0.0, angle + 2.0 * math.pi) % (2.0 * math.pi)


@dataclass(frozen=True, slots=True)
class Stray:
    """The reading that goes least with the others of its station: by how much it stands out from their fit, and how
    much of the residual square is its doing."""

    z_m: float
    angle_rad: float
    off_m: float
    square_m2: float


def estimate_station(
    z_m: float, angles_rad: Sequence[float], readings_m: Sequence[float], senses: Sequence[str] = ()
) -> tuple[Station, Stray]:
    """Eccentricity and oval of one section, and the reading that stands out most.

    Parameters
    ----------
    z_m : float
        Place of the station [m], -10 to 10.
    angles_rad : sequence of float, shape (n,)
        Angle of the part under the plunger [rad]; 8 or more different ones.
    readings_m : sequence of float, shape (n,)
        Readings, growing as metal comes nearer [m].
    senses : sequence of str, shape (n,) or empty
        Sense of turning at each reading, in any two words.

    Returns
    -------
    tuple of Station and Stray
        The fit; the reading furthest from the fit of the others (`strays` judges whether that is far).

    Raises
    ------
    BadInput
        There are fewer than 8 different angles, or they are bunched on one side.
    """
    theta, y = np.asarray(angles_rad, dtype=np.float64), np.asarray(readings_m, dtype=np.float64)
    where = f"z {z_m * 1e3:g} mm"
    different = len({round(float(one) % (2.0 * math.pi), 6) for one in theta})
    if different < LEAST_ANGLES_COUNT:
        raise BadInput(
            "angle_deg",
            different,
            f"{LEAST_ANGLES_COUNT} different angles or more at each station",
            f"angle_deg: only {different} different angles at {where}; {LEAST_ANGLES_COUNT} are needed, evenly round.",
        )
    table, shifts = _table(theta, senses)
    found, _, rank, sizes = np.linalg.lstsq(table, y, rcond=None)
    if rank < table.shape[1] or sizes[-1] < 0.1 * sizes[0]:
        raise BadInput(
            "angle_deg",
            where,
            "angles evenly round the part",
            f"angle_deg: the angles at {where} are bunched on one side; take them evenly round.",
        )
    spread = np.asarray(np.linalg.inv(table.T @ table), dtype=np.float64)
    residual = y - table @ found
    freedom = len(y) - table.shape[1]
    a, b, c, d = (float(one) for one in found[shifts:])
    cover = spread[shifts:, shifts:]
    station = Station(
        z_m,
        a,
        b,
        4.0 * math.hypot(c, d),
        (math.atan2(d, c) / 2.0) % math.pi,
        float(residual @ residual),
        freedom,
        ((float(cover[0, 0]), float(cover[0, 1])), (float(cover[1, 0]), float(cover[1, 1]))),
        4.0 * math.sqrt(float(cover[2, 2] + cover[3, 3]) / 2.0),
    )
    return station, _furthest(z_m, theta, residual, table, spread)


def pooled_noise_m(stations: Sequence[Station]) -> tuple[float, int]:
    """Standard deviation of one reading from what the harmonics leave over, and its degrees of freedom."""
    freedom = sum(one.freedom_count for one in stations)
    return math.sqrt(math.fsum(one.residual_square_m2 for one in stations) / freedom), freedom


def strays(stations: Sequence[Station], furthest: Sequence[Stray]) -> tuple[Stray, ...]:
    """Readings beyond six standard deviations from the fit of all others, one a station at most."""
    noise, freedom = pooled_noise_m(stations)
    total = noise**2 * freedom
    found = []
    for one in furthest:
        # Two stray readings must not hide each other: the noise is taken without any station's furthest reading.
        without = (total - sum(other.square_m2 for other in furthest)) / max(1, freedom - len(furthest))
        if one.square_m2 > _STRAY_RATIO**2 * max(without, 1e-18) and abs(one.off_m) > 1e-7:
            found.append(one)
    return tuple(found)


def gauge_step_m(readings_m: Sequence[float]) -> float:
    """Step of the gauge's last digit [m]: the difference all readings are whole numbers of; 0 where all are alike."""
    different = sorted({round(one * 1e9) for one in readings_m})
    step = math.gcd(*(b - a for a, b in itertools.pairwise(different))) if len(different) > 1 else 0
    return step * 1e-9


def _table(theta: FloatArray, senses: Sequence[str]) -> tuple[FloatArray, int]:
    """Columns of the fit, and how many of them are means: one for each sense that has readings enough."""
    kinds = sorted(set(senses))
    means = [np.ones_like(theta)]
    if len(kinds) > 1:
        means = [np.array([1.0 if one == kind else 0.0 for one in senses]) for kind in kinds]
    waves = [np.cos(theta), np.sin(theta), np.cos(2.0 * theta), np.sin(2.0 * theta)]
    return np.column_stack((*means, *waves)), len(means)


def _furthest(z_m: float, theta: FloatArray, residual: FloatArray, table: FloatArray, spread: FloatArray) -> Stray:
    """The reading whose own deletion would lessen the residual square most."""
    left = np.maximum(1.0 - np.einsum("ij,jk,ik->i", table, spread, table), 1e-9)
    square = residual**2 / left
    i = int(np.argmax(square))
    return Stray(z_m, float(theta[i]), float(residual[i] / left[i]), float(square[i]))
