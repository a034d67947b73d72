"""A wheel turned between centres: out of flat (face) against out of round (rim), and the plunger that falls between
teeth.

Face readings: the first harmonic is the wheel standing askew on its arbor, the second and third a bent rim. Rim
readings: the first harmonic is a wheel off its centre, the second an oval. Over teeth, readings taken in a gap lie far
below the rest and are left out: the fit leans on the upper readings first and then keeps what lies near it.

Errors hold the gauge's last digit, and grow by Student's t where few readings are left to tell the noise (eight angles
leave one): take twelve or more. Noise alone makes a wave and adds to a true one by squares, so that a flat wheel always
reads too much. The error of a small wave holds that: twice the error of a flat wheel reaches nought as often as twice
any other holds its value.

Limits: at most two readings in five may have fallen into gaps; lengths in m, angles in rad.
Sources: [Whitehouse1994]_ for harmonics; [Newey1987]_ for the leaning fit (expectiles); length of a vector with normal
errors: Rice's law.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from underdial.errors import BadInput, OutOfRange
from underdial.gauging.harmonics import gauge_step_m
from underdial.uncertain import Uncertain, coverage_factor

FloatArray = npt.NDArray[np.float64]

LEAST_ANGLES_COUNT = 8
_MOST_GAPS_RATIO = 0.4
# How often twice an error holds the value.
_TWICE = math.erf(math.sqrt(2.0))
# Peak to valley of second and third harmonic whose four parts are standard normal: what 95.45 of 100 sets stay below,
# and the length of its slopes there; then the length of the four parts that as many stay below. Derived: 60 000 drawn
# sets; chi with four degrees of freedom.
_SHAPE_OF_NOISE, _SHAPE_SLOPES, _FOUR_PARTS = 7.93, 2.69, 3.120


@dataclass(frozen=True, slots=True)
class Waves:
    """Harmonics of one round of readings. `first` is the full movement of the first harmonic and `angle_rad` where it
    stands highest; `shape_m` the peak to valley of second and third together."""

    first_m: Uncertain
    angle_rad: Uncertain
    shape_m: Uncertain
    noise_m: float
    gaps_count: int
    kept: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class FaceRunout:
    """Out of flat and out of round. `askew_rad` is the wheel's lean on its arbor; what was not read is None."""

    askew_rad: Uncertain | None
    face: Waves | None
    eccentricity_m: Uncertain | None
    rim: Waves | None


def estimate_waves(angles_rad: Sequence[float], readings_m: Sequence[float], *, over_teeth: bool = False) -> Waves:
    """Harmonics of readings round a wheel, gaps between teeth left out.

    Parameters
    ----------
    angles_rad : sequence of float, shape (n,)
        Angle of the wheel under the plunger [rad]; 8 or more different ones.
    readings_m : sequence of float, shape (n,)
        Readings, growing as metal comes nearer [m].
    over_teeth : bool
        The plunger ran over teeth, so that low readings may be gaps.

    Returns
    -------
    Waves
        First harmonic (full movement and angle), shape left over, noise of one reading.

    Raises
    ------
    BadInput
        There are fewer than 8 angles, or more than two readings in five lie in gaps.
    """
    theta, y = np.asarray(angles_rad, dtype=np.float64), np.asarray(readings_m, dtype=np.float64)
    different = len({round(float(one) % (2.0 * math.pi), 6) for one in theta})
    if different < LEAST_ANGLES_COUNT or len(theta) != len(y):
        raise BadInput("angle_deg", different, f"{LEAST_ANGLES_COUNT} different angles or more, one reading to each")
    table = _table(theta)
    kept = _upper(table, y) if over_teeth else np.ones(len(y), dtype=bool)
    gaps = int(np.sum(~kept))
    if gaps > _MOST_GAPS_RATIO * len(y) or np.linalg.matrix_rank(table[kept]) < table.shape[1]:
        raise BadInput(
            "reading_um",
            gaps,
            "at most two readings in five in gaps between teeth",
            f"reading_um: {gaps} of {len(y)} readings fell between teeth; use a wider plunger or read on the tips.",
        )
    found = np.linalg.lstsq(table[kept], y[kept], rcond=None)[0]
    freedom = max(1, int(np.sum(kept)) - table.shape[1])
    seen = math.sqrt(float(np.sum((y[kept] - table[kept] @ found) ** 2)) / freedom)
    # A gauge's last digit is noise too: even within a step, so step over root 12.
    noise = max(seen, gauge_step_m(list(y[kept])) / math.sqrt(12.0))
    cover = np.linalg.inv(table[kept].T @ table[kept]) * (noise * _student_ratio(freedom)) ** 2
    size = math.hypot(found[1], found[2])
    along = np.array([found[1], found[2]]) / max(size, 1e-15)
    u_size = math.sqrt(float(along @ cover[1:3, 1:3] @ along))
    u_part = math.sqrt(float(np.trace(cover[1:3, 1:3])) / 2.0)
    u_size = math.hypot(u_size, _rise(size, _by_noise(_length_of_noise(2, freedom), 1.0) * u_part))
    across = np.array([-along[1], along[0]])
    u_angle = math.sqrt(float(across @ cover[1:3, 1:3] @ across)) / max(size, 1e-15)
    shape, u_shape = _shape(found, cover, freedom)
    return Waves(
        Uncertain(2.0 * size, 2.0 * u_size),
        Uncertain(math.atan2(found[2], found[1]) % (2.0 * math.pi), min(u_angle, math.pi)),
        Uncertain(shape, u_shape),
        noise,
        gaps,
        tuple(bool(one) for one in kept),
    )


def estimate_face_runout(
    angles_rad: Sequence[float],
    *,
    face_m: Sequence[float] | None = None,
    rim_m: Sequence[float] | None = None,
    radius_m: float,
    over_teeth: bool = False,
) -> FaceRunout:
    """Tell a wheel out of flat from one out of round.

    Parameters
    ----------
    angles_rad : sequence of float, shape (n,)
        Angle of the wheel under the plunger [rad].
    face_m : sequence of float, shape (n,), or None
        Readings along the arbor, on the side of the rim [m].
    rim_m : sequence of float, shape (n,), or None
        Readings towards the arbor, on the rim or over the teeth [m].
    radius_m : float
        Radius at which the face was read [m], 0.0001 to 1.
    over_teeth : bool
        The rim was read over its teeth.

    Returns
    -------
    FaceRunout
        Lean on the arbor, bent rim, eccentricity, oval.

    Raises
    ------
    OutOfRange
        The radius lies outside its range.
    BadInput
        Too few angles, or too many gaps.
    """
    if not 1e-4 <= radius_m <= 1.0:
        raise OutOfRange("radius_m", radius_m, 1e-4, 1.0, "m")
    face = estimate_waves(angles_rad, face_m) if face_m is not None else None
    rim = estimate_waves(angles_rad, rim_m, over_teeth=over_teeth) if rim_m is not None else None
    askew = None
    if face is not None:
        lean = face.first_m.value / 2.0 / radius_m
        askew = Uncertain(math.atan(lean), face.first_m.u / 2.0 / radius_m / (1.0 + lean**2))
    off = Uncertain(rim.first_m.value / 2.0, rim.first_m.u / 2.0) if rim is not None else None
    return FaceRunout(askew, face, off, rim)


def _table(theta: FloatArray) -> FloatArray:
    return np.column_stack([np.ones_like(theta), *(wave(n * theta) for n in (1, 2, 3) for wave in (np.cos, np.sin))])


def _student_ratio(freedom_count: int) -> float:
    """Factor on an error whose noise rests on few readings: twice the error then still holds 95.45 of 100."""
    return coverage_factor(probability=_TWICE, degrees_of_freedom=freedom_count) / 2.0


def _upper(table: FloatArray, y: FloatArray) -> npt.NDArray[np.bool_]:
    """Readings near the upper surface: a fit that weighs what lies above it twenty times, then six deviations round
    it.
    """
    low = table[:, :3]
    weight = np.ones_like(y)
    for _ in range(50):
        root = np.sqrt(weight)
        found = np.linalg.lstsq(low * root[:, None], y * root, rcond=None)[0]
        weight = np.where(y >= low @ found, 20.0, 1.0)
    kept = y >= low @ found - np.median(np.abs(y - low @ found)) - 1e-9
    for _ in range(20):
        found = (
            np.linalg.lstsq(table[kept], y[kept], rcond=None)[0]
            if np.sum(kept) > 9
            else np.append(found[:3], np.zeros(4))
        )
        off = y - table @ found
        spread = max(1.4826 * float(np.median(np.abs(off[kept]))), 1e-6)
        again = off > -6.0 * spread
        if np.array_equal(again, kept):
            break
        kept = again
    return np.asarray(kept)


def _length_of_noise(parts_count: int, freedom_count: int) -> float:
    """Length of a vector of noise alone, over the error of each of its parts, that 95.45 of 100 stay below."""
    from scipy.special import fdtri

    largest = parts_count * float(fdtri(parts_count, freedom_count, _TWICE))
    return math.sqrt(largest) / _student_ratio(freedom_count)


def _by_noise(largest: float, slopes: float) -> float:
    """What noise adds by squares, taken so that at the largest size it makes twice the error just reaches nought."""
    return math.sqrt(largest**2 - (largest - math.sqrt(max(0.0, largest**2 / 4.0 - slopes**2))) ** 2)


def _rise(size: float, by_noise: float) -> float:
    """How much of a size may be the doing of noise that adds to a true one by squares."""
    return size - math.sqrt(max(0.0, size**2 - by_noise**2))


def _shape(found: FloatArray, cover: FloatArray, freedom_count: int) -> tuple[float, float]:
    """Peak to valley of second and third harmonic, and its uncertainty by the slopes at the two places."""
    grid = _table(np.linspace(0.0, 2.0 * math.pi, 721))[:, 3:]
    surface = grid @ found[3:]
    difference = grid[int(np.argmax(surface))] - grid[int(np.argmin(surface))]
    size = float(np.ptp(surface))
    by_slopes = math.sqrt(float(difference @ cover[3:, 3:] @ difference))
    largest = _SHAPE_OF_NOISE * _length_of_noise(4, freedom_count) / _FOUR_PARTS
    u_part = math.sqrt(float(np.trace(cover[3:, 3:])) / 4.0)
    return size, math.hypot(by_slopes, _rise(size, _by_noise(largest, _SHAPE_SLOPES) * u_part))
