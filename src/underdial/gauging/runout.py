"""Runout of a staff or arbor: what the chuck did, what the part did, and the smallest bend the readings could show.

Readings at several stations and angles become an eccentricity vector a station (`harmonics`), and the vectors a shape
of the axis (`axis_shape`). A part is called bent when a straight one would look so bent in fewer than 1 of 100 sets of
readings. It is refused, not called straight, when the noise would hide a bend that matters.

Limits: one bend or one even bow, round sections; the gauge's scale is trusted within `scale_u_ratio`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from underdial.errors import BadInput, OutOfRange
from underdial.gauging.axis_shape import FALSE_ALARM_PROBABILITY, AxisShape, weigh_axis
from underdial.gauging.harmonics import (
    LEAST_ANGLES_COUNT,
    Station,
    Stray,
    estimate_station,
    gauge_step_m,
    pooled_noise_m,
    strays,
)
from underdial.uncertain import Uncertain

LEAST_STATIONS_COUNT = 4
# A staff whose bends below this cannot be seen is not called straight: about the shake of a small pivot in its hole.
WANTED_TIR_M = 40e-6
# Scatter beyond this multiple of the stated noise is no longer that gauge's noise.
_BELIEVED_RATIO = 3.0


@dataclass(frozen=True, slots=True)
class Bend:
    """A kink of the axis: where, how sharp (eccentricity per length), towards which angle of the part, and the full
    movement it makes at the last station. `at_edge`: it may as well sit beyond the second or last but one station.
    For an even bow it is the kink that comes nearest."""

    z_m: Uncertain
    slope_m_per_m: Uncertain
    angle_rad: Uncertain
    tir_at_end_m: Uncertain
    at_edge: bool


@dataclass(frozen=True, slots=True)
class Bow:
    """An even bow: its rise in the middle over the chord from first to last station, and where it is hollow."""

    rise_m: Uncertain
    angle_rad: Uncertain


@dataclass(frozen=True, slots=True)
class Runout:
    """The answer. `model` is None and `reason` says why when the readings were refused."""

    verdict: str
    model: str | None
    stations: tuple[Station, ...]
    bend: Bend | None
    bow: Bow | None
    noise_m: float
    smallest_tir_m: float | None
    false_alarm_probability: float | None
    bic: dict[str, float]
    strays: tuple[Stray, ...]
    reason: str | None


def estimate_runout(
    z_m: Sequence[float],
    angles_rad: Sequence[float],
    readings_m: Sequence[float],
    *,
    senses: Sequence[str] = (),
    noise_m: float | None = None,
    scale_u_ratio: float = 0.0,
    wanted_tir_m: float = WANTED_TIR_M,
) -> Runout:
    """Tell a bend of the part from the set of the chuck.

    Parameters
    ----------
    z_m : sequence of float, shape (n,)
        Station of each reading, from the chuck outward [m], -10 to 10.
    angles_rad : sequence of float, shape (n,)
        Angle of the part under the plunger, clockwise seen from the free end [rad].
    readings_m : sequence of float, shape (n,)
        Readings, growing as metal comes nearer [m], -0.1 to 0.1.
    senses : sequence of str, shape (n,) or empty
        Sense of turning at each reading, where both were used.
    noise_m : float or None
        Standard deviation of one reading [m], 1e-9 to 0.001; None to take it from the readings.
    scale_u_ratio : float
        Standard uncertainty of the gauge's scale, as a share of what it shows, 0 to 0.2.
    wanted_tir_m : float
        Bend, as full movement at the last station, that must not be overlooked [m], 1e-7 to 0.01.

    Returns
    -------
    Runout
        `straight`, `bent` or `refused`, with the smallest bend that nine of ten such sets would show.

    Raises
    ------
    OutOfRange
        The noise, the scale or the wanted bend lies outside its range.

    Notes
    -----
    Trials with bends of 20 micrometres and without: tests/gauging/test_runout_power.py. Sources: [Davies1987]_,
    [Schwarz1978]_, [Whitehouse1994]_.
    """
    for name, value, low, high in (
        ("noise_m", noise_m, 1e-9, 1e-3),
        ("scale_u_ratio", scale_u_ratio, 0.0, 0.2),
        ("wanted_tir_m", wanted_tir_m, 1e-7, 0.01),
    ):
        if value is not None and not low <= value <= high:
            raise OutOfRange(name, value, low, high)
    if len(set(readings_m)) == 1:
        return _refused(
            "Every reading is the same: the gauge did not move. See that its plunger touches the part.", (), math.nan
        )
    too_few = _too_few(z_m, angles_rad)
    if too_few is not None:
        return _refused(too_few, (), math.nan)
    stations: list[Station] = []
    furthest: list[Stray] = []
    for place in sorted(set(z_m)):
        rows = [i for i, one in enumerate(z_m) if one == place]
        try:
            station, off = estimate_station(
                place,
                [angles_rad[i] for i in rows],
                [readings_m[i] for i in rows],
                [senses[i] for i in rows] if senses else (),
            )
        except BadInput as wrong:
            return _refused(wrong.message, (), math.nan)
        stations.append(station)
        furthest.append(off)
    return _judged(tuple(stations), strays(stations, furthest), readings_m, noise_m, scale_u_ratio, wanted_tir_m)


def _judged(
    stations: tuple[Station, ...],
    off: tuple[Stray, ...],
    readings_m: Sequence[float],
    given_m: float | None,
    scale_u: float,
    wanted_m: float,
) -> Runout:
    seen_m, freedom = pooled_noise_m(stations)
    if given_m is not None and seen_m > _BELIEVED_RATIO * given_m:
        return _refused(
            f"The readings scatter by {seen_m * 1e6:.2g} µm round a smooth oval, {seen_m / given_m:.1f} times the "
            "noise given"
            f"{_named(off)}.",
            stations,
            seen_m,
            off,
        )
    # A gauge's last digit is noise too, for readings that repeat to the digit: even within a step, so step over root
    # 12.
    noise = given_m if given_m is not None else max(seen_m, gauge_step_m(readings_m) / math.sqrt(12.0), 1e-9)
    shape = weigh_axis(
        stations,
        noise_m=noise,
        freedom_count=math.inf if given_m is not None else float(freedom),
        readings_count=len(readings_m),
    )
    bent = shape.false_alarm_probability < FALSE_ALARM_PROBABILITY
    among = ("kink", "bow") if bent else ("offset", "tilt")
    model = min(among, key=lambda name: shape.bic[name])
    if not bent and shape.smallest_tir_m > wanted_m:
        return _refused(
            f"With noise of {noise * 1e6:.2g} µm these readings could only show a bend of "
            f"{shape.smallest_tir_m * 1e6:.2g} µm "
            f"at the free end, and one of {wanted_m * 1e6:.2g} µm must not be overlooked{_named(off)}.",
            stations,
            noise,
            off,
            shape,
        )
    return Runout(
        "bent" if bent else "straight",
        model,
        stations,
        _bend(shape, stations, scale_u) if bent else None,
        _bow(shape, stations, scale_u) if model == "bow" else None,
        noise,
        shape.smallest_tir_m,
        shape.false_alarm_probability,
        shape.bic,
        off,
        None,
    )


def _too_few(z_m: Sequence[float], angles_rad: Sequence[float]) -> str | None:
    places = set(z_m)
    if len(places) < LEAST_STATIONS_COUNT:
        return (
            f"Readings of {len(places)} station{'s' if len(places) != 1 else ''} are too few; a bend shows from "
            f"{LEAST_STATIONS_COUNT} on."
        )
    for place in sorted(places):
        count = len(
            {round(angle % (2.0 * math.pi), 6) for one, angle in zip(z_m, angles_rad, strict=True) if one == place}
        )
        if count < LEAST_ANGLES_COUNT:
            return (
                f"There are {count} angles at z {place * 1e3:g} mm; {LEAST_ANGLES_COUNT} or more are needed at "
                "every station."
            )
    return None


def _refused(
    reason: str,
    stations: tuple[Station, ...],
    noise_m: float,
    off: tuple[Stray, ...] = (),
    shape: AxisShape | None = None,
) -> Runout:
    return Runout(
        "refused",
        None,
        stations,
        None,
        None,
        noise_m,
        shape.smallest_tir_m if shape else None,
        shape.false_alarm_probability if shape else None,
        shape.bic if shape else {},
        off,
        reason,
    )


def _bend(shape: AxisShape, stations: tuple[Station, ...], scale_u: float) -> Bend:
    kink, cover = shape.kink_m_per_m, shape.kink_covariance
    size, end = abs(kink), stations[-1].z_m
    along = np.array([0.0, kink.real, kink.imag]) / size
    turned = np.array([0.0, -kink.imag, kink.real]) / size**2
    reach = end - shape.bend_z_m
    end_slope = 2.0 * (along * reach - np.array([size, 0.0, 0.0]))

    def u(slopes: np.ndarray, value: float = 0.0) -> float:
        return math.hypot(math.sqrt(float(slopes @ cover @ slopes)), value * scale_u)

    z_u = max(u(np.array([1.0, 0.0, 0.0])), shape.bend_half_width_m)
    if shape.bend_at_edge:
        # Anywhere in the interval beyond looks the same.
        low = shape.bend_z_m <= stations[1].z_m + 1e-12
        gap = stations[1].z_m - stations[0].z_m if low else stations[-1].z_m - stations[-2].z_m
        z_u = math.hypot(z_u, gap / math.sqrt(3.0))
    tir = 2.0 * size * reach
    return Bend(
        Uncertain(shape.bend_z_m, z_u),
        Uncertain(size, u(along, size)),
        Uncertain(math.atan2(kink.imag, kink.real) % (2.0 * math.pi), u(turned)),
        Uncertain(tir, u(end_slope, tir)),
        shape.bend_at_edge,
    )


def _bow(shape: AxisShape, stations: tuple[Station, ...], scale_u: float) -> Bow:
    bow, cover = shape.bow_per_m, shape.bow_covariance
    size, quarter = abs(bow), (stations[-1].z_m - stations[0].z_m) ** 2 / 4.0
    along = np.array([bow.real, bow.imag]) / size
    turned = np.array([-bow.imag, bow.real]) / size**2
    rise_u = quarter * math.sqrt(float(along @ cover @ along))
    return Bow(
        Uncertain(size * quarter, math.hypot(rise_u, size * quarter * scale_u)),
        Uncertain(math.atan2(bow.imag, bow.real) % (2.0 * math.pi), math.sqrt(float(turned @ cover @ turned))),
    )


def _named(off: tuple[Stray, ...]) -> str:
    if not off:
        return ""
    one = max(off, key=lambda stray: abs(stray.off_m))
    return (
        f"; the reading at z {one.z_m * 1e3:g} mm, {math.degrees(one.angle_rad) % 360:.0f} deg stands out by "
        f"{one.off_m * 1e6:.0f} µm, "
        "read it again"
    )
