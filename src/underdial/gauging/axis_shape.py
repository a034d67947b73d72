"""Is the axis of a part straight, kinked or bowed? The eccentricity vectors of its stations, weighed by evidence.

Chucking moves and tilts the whole part: `offset + tilt z`, which no straight part can be blamed for. A bend adds
`kink (z - z_b)` beyond z_b, a bow adds `bow z^2`; each is a vector across the axis. The best of the four models is
chosen by the Bayesian information criterion; whether the part is *called* bent rests on a chance of false alarm that
holds for any number of stations and readings, given or estimated noise.

That chance is Davies's bound: for a bend tried at every place between the second and the last but one station, the
chance that a straight part does so well somewhere is at most the chance at one place plus the expected number of
crossings on the way. A bow is one more try. Kinks before the second station or behind the last but one cannot be
told from one odd station and are given there, with a wide error of place.

Limits: one kink or one bow; small angles. Sources: [Davies1987]_ eq. 3.4; [Schwarz1978]_ for the criterion.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from underdial.gauging.harmonics import Station

FloatArray = npt.NDArray[np.float64]

MODELS = ("offset", "tilt", "kink", "bow")
_PARAMETERS = {"offset": 2, "tilt": 4, "kink": 7, "bow": 6}
FALSE_ALARM_PROBABILITY = 0.01
POWER_PROBABILITY = 0.9
_PLACES = 201


@dataclass(frozen=True, slots=True)
class AxisShape:
    """The four models weighed. Vectors are complex (along + i across); `covariance` is that of the kink's
    (z_b, along, across), of the bow's (along, across), for the noise used."""

    bic: dict[str, float]
    false_alarm_probability: float
    bend_z_m: float
    bend_half_width_m: float
    bend_at_edge: bool
    kink_m_per_m: complex
    kink_covariance: FloatArray
    bow_per_m: complex
    bow_covariance: FloatArray
    smallest_tir_m: float


def weigh_axis(stations: Sequence[Station], *, noise_m: float, freedom_count: float, readings_count: int) -> AxisShape:
    """Weigh offset, tilt, kink and bow for four or more stations.

    Parameters
    ----------
    stations : sequence of Station, shape (m,)
        Sections from the chuck outward, at different z.
    noise_m : float
        Standard deviation of one reading [m], above 0.
    freedom_count : float
        Degrees of freedom behind it, infinite when it was given.
    readings_count : int
        Readings in all, for the criterion's penalty.

    Returns
    -------
    AxisShape
        Criterion of each model, chance of false alarm, kink, bow, smallest bend that would be found.
    """
    whitened = _Whitened(stations, noise_m)
    base = whitened.left([np.ones_like(whitened.z), whitened.z])
    z_b, kink, gained, half_width = _best_kink(whitened)
    edge = z_b <= whitened.z[1] * (1.0 + 1e-9) + 1e-12 or z_b >= whitened.z[-2] - 1e-12
    bow_shape = [np.ones_like(whitened.z), whitened.z, whitened.z**2]
    bow_left = whitened.left(bow_shape)
    bow_found, bow_cover = whitened.solve(bow_shape)
    left = {"offset": whitened.left([np.ones_like(whitened.z)]), "tilt": base, "kink": base - gained, "bow": bow_left}
    weight = math.log(readings_count)
    bic = {name: left[name] + _PARAMETERS[name] * weight for name in MODELS}
    length = _path(whitened)
    chance = false_alarm_probability(max(gained, base - bow_left), path_rad=length, freedom_count=freedom_count)
    return AxisShape(
        bic,
        chance,
        z_b,
        half_width,
        bool(edge),
        kink,
        _kink_covariance(whitened, z_b, kink),
        complex(bow_found[4], bow_found[5]),
        bow_cover[4:, 4:],
        _smallest_tir_m(whitened, length, freedom_count),
    )


def false_alarm_probability(gain_ratio: float, *, path_rad: float, freedom_count: float) -> float:
    """Chance that a straight part gains so much in chi-square from a bend somewhere, or from a bow.

    Parameters
    ----------
    gain_ratio : float
        Chi-square gained by the bend, noise counted as one, 0 or more.
    path_rad : float
        Length of the way of the bend's unit shape as its place moves [rad], 0 to 10.
    freedom_count : float
        Degrees of freedom of the noise, infinite when known.

    Returns
    -------
    float
        Probability, at most 1.

    Notes
    -----
    2 P(chi2 > c) + (length/sqrt(pi)) sqrt(c/2) exp(-c/2), averaged over the spread of the estimated noise.
    Source: [Davies1987]_ eq. 3.4, with two components.
    """
    c, n = gain_ratio, freedom_count
    if math.isinf(n):
        alone, slope = math.exp(-c / 2.0), math.sqrt(c / 2.0) * math.exp(-c / 2.0)
    else:
        alone = math.pow(1.0 + c / n, -n / 2.0)
        lead = math.exp(math.lgamma((n + 1.0) / 2.0) - math.lgamma(n / 2.0))
        slope = math.sqrt(c / n) * lead * math.pow(1.0 + c / n, -(n + 1.0) / 2.0)
    return min(1.0, 2.0 * alone + path_rad / math.sqrt(math.pi) * slope)


def found_probability(gain_ratio: float, *, centrality_ratio: float, freedom_count: float) -> float:
    """Chance that a bend of known place gains more than this in chi-square.

    Parameters
    ----------
    gain_ratio : float
        Chi-square that has to be passed, noise counted as one, 0 or more.
    centrality_ratio : float
        Chi-square that the bend would gain without noise, 0 to 1000.
    freedom_count : float
        Degrees of freedom of the noise, infinite when known.

    Returns
    -------
    float
        Probability.

    Notes
    ----- Non-central chi-square (known noise) or F (estimated) of two components, as a Poisson mixture of central ones,
    summed until less than 1e-12 is left. Loading a library for it would double the time of the command; a test holds it
    to SciPy's. Source: [Johnson1995]_ ch. 29 and 30.
    """
    mean, n, x = centrality_ratio / 2.0, freedom_count, gain_ratio / 2.0
    weight, left, total = math.exp(-mean), 1.0, 0.0
    # Chance that exactly j of the waiting events come before the gain is reached, and of at most j.
    term = math.exp(-x) if math.isinf(n) else math.pow(1.0 + 2.0 * x / n, -n / 2.0)
    at_most, j = term, 0
    while left > 1e-12 and j < 4000:
        total += weight * at_most
        left -= weight
        j += 1
        weight *= mean / j
        term *= x / j if math.isinf(n) else (n / 2.0 + j - 1.0) / j * (2.0 * x / n) / (1.0 + 2.0 * x / n)
        at_most += term
    return min(1.0, total)


class _Whitened:
    """Eccentricities of all stations, made of equal and independent noise of one."""

    def __init__(self, stations: Sequence[Station], noise_m: float) -> None:
        self.z = np.array([one.z_m for one in stations])
        self.half = [np.linalg.cholesky(np.linalg.inv(np.array(one.unit_covariance))).T / noise_m for one in stations]
        vectors = [np.array([one.along_m, one.across_m]) for one in stations]
        self.y = np.concatenate([half @ one for half, one in zip(self.half, vectors, strict=True)])
        # One weight a station, for what does not turn on direction: mean of the two components.
        self.weight = np.array([math.sqrt(float(np.sum(half**2)) / 2.0) for half in self.half])

    def table(self, shapes: Sequence[FloatArray]) -> FloatArray:
        """Columns along and across for each shape along z, whitened; shape (2 m, 2 shapes)."""
        columns = []
        for shape in shapes:
            for unit in (np.array([1.0, 0.0]), np.array([0.0, 1.0])):
                columns.append(np.concatenate([half @ (unit * s) for half, s in zip(self.half, shape, strict=True)]))
        return np.column_stack(columns)

    def solve(self, shapes: Sequence[FloatArray]) -> tuple[FloatArray, FloatArray]:
        """Least-squares vectors of each shape, and their covariance."""
        table = self.table(shapes)
        found = np.linalg.lstsq(table, self.y, rcond=None)[0]
        return np.asarray(found), np.asarray(np.linalg.pinv(table.T @ table), dtype=np.float64)

    def left(self, shapes: Sequence[FloatArray]) -> float:
        """Chi-square left over by these shapes."""
        table = self.table(shapes)
        found = np.linalg.lstsq(table, self.y, rcond=None)[0]
        return float(np.sum((self.y - table @ found) ** 2))


def _best_kink(w: _Whitened) -> tuple[float, complex, float, float]:
    """Place, vector and gain of the best kink between the second and the last but one station, and the half width of
    the places whose chi-square is within one of the best (68 % by the likelihood, which for a weak bend is not even).
    """
    q, _ = np.linalg.qr(w.table([np.ones_like(w.z), w.z]))
    free = w.y - q @ (q.T @ w.y)
    low, high = float(w.z[1]), float(w.z[-2])
    places = np.linspace(low, high, _PLACES)
    gains, _ = _gains(w, q, free, places)
    near = places[gains >= gains.max() - 1.0]
    # Each round looks between the neighbours of the best place; four rounds reach 1e-6 of the span.
    for count in (_PLACES, 41, 41, 41):
        places = np.linspace(low, high, count)
        gains, vectors = _gains(w, q, free, places)
        best = int(np.argmax(gains))
        low, high = float(places[max(0, best - 1)]), float(places[min(count - 1, best + 1)])
    return (
        float(places[best]),
        complex(vectors[best, 0], vectors[best, 1]),
        float(gains[best]),
        float(near[-1] - near[0]) / 2.0,
    )


def _gains(w: _Whitened, q: FloatArray, free: FloatArray, places: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Chi-square gained by a kink at each place, shape (p,), and its vector, shape (p, 2)."""
    ramps = np.maximum(0.0, w.z[None, :] - places[:, None])
    half = np.array(w.half)
    columns = np.einsum("pi,ijk->pkij", ramps, half).reshape(len(places), 2, -1)
    columns = columns - (columns @ q) @ q.T
    normal = columns @ columns.transpose(0, 2, 1)
    right = columns @ free
    vectors = np.linalg.solve(normal, right[..., None])[..., 0]
    return np.asarray(np.einsum("pk,pk->p", vectors, right)), np.asarray(vectors)


def _kink_covariance(w: _Whitened, z_b: float, kink: complex) -> FloatArray:
    """Covariance (3, 3) of place, along and across of the kink, from the slopes of the whole model at its best."""
    beyond = np.where(np.isclose(w.z, z_b), 0.5, np.where(w.z > z_b, 1.0, 0.0))
    place = np.concatenate(
        [half @ np.array([kink.real, kink.imag]) * -b for half, b in zip(w.half, beyond, strict=True)]
    )
    table = np.column_stack((place, w.table([np.maximum(0.0, w.z - z_b), np.ones_like(w.z), w.z])))
    return np.asarray(np.linalg.pinv(table.T @ table)[:3, :3])


def _unit_bends(w: _Whitened, places: FloatArray) -> FloatArray:
    """The bend's shape along z with offset and tilt taken off, for one component; shape (p, m)."""
    q, _ = np.linalg.qr(np.column_stack((w.weight, w.weight * w.z)))
    shapes = w.weight * np.maximum(0.0, w.z[None, :] - places[:, None])
    return np.asarray(shapes - (shapes @ q) @ q.T)


def _path(w: _Whitened) -> float:
    """Length of the way that the bend's unit shape makes as its place moves."""
    shapes = _unit_bends(w, np.linspace(w.z[1], w.z[-2], _PLACES))
    units = shapes / np.linalg.norm(shapes, axis=1, keepdims=True)
    return float(np.sum(np.linalg.norm(np.diff(units, axis=0), axis=1)))


def _smallest_tir_m(w: _Whitened, path_rad: float, freedom_count: float) -> float:
    """Bend, as full movement at the last station, found in nine of ten cases wherever it sits in the middle third."""

    def chance(gain: float) -> float:
        return false_alarm_probability(gain, path_rad=path_rad, freedom_count=freedom_count)

    needed = _bisect(lambda one: FALSE_ALARM_PROBABILITY - chance(one), 1e4)

    wanted = _bisect(
        lambda one: found_probability(needed, centrality_ratio=one, freedom_count=freedom_count) - POWER_PROBABILITY,
        1e3,
    )
    span = w.z[-1] - w.z[0]
    places = np.linspace(w.z[0] + span / 3.0, w.z[0] + 2.0 * span / 3.0, 9)
    sizes = 2.0 * (w.z[-1] - places) * math.sqrt(wanted) / np.linalg.norm(_unit_bends(w, places), axis=1)
    return float(sizes.max())


def _bisect(rising: Callable[[float], float], high: float) -> float:
    low = 0.0
    for _ in range(80):
        middle = (low + high) / 2.0
        if rising(middle) < 0.0:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
