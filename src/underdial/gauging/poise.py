"""The heavy spot of a balance, from its rates with different parts of the rim on top.

A spot of moment m r at rim angle a gives, with rim angle `up` on top, the rate of a spot hung at `a - up - 180 deg`
from straight down (`mechanics.poise`). Every position is so a line in the two parts of the moment and one rate common
to all: least squares, with the factor of each position's own arc. Rim angles run clockwise seen from the dial, 0 at the
impulse pin. Near 219.5 deg the factor vanishes: positions from 200 to 240 deg are not used.

An arc read too wide or too small in every position, as by a wrong lift, changes the mass and not the place.

Limits: one spot stands for any spread of weight; arcs alike enough that the common rate is common.
Source: [Defossez1950]_ ch. V; least squares.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from underdial.errors import BadInput
from underdial.mechanics.balance import stiffness_n_m_per_rad
from underdial.mechanics.poise import poise_rate_s_per_day
from underdial.uncertain import Uncertain, propagate

BLIND_FROM_RAD, BLIND_TO_RAD = math.radians(200.0), math.radians(240.0)
LEAST_POSITIONS_COUNT = 3
# A reading by sound over ten minutes, where nothing is said of its error. Source: stage 7 of the job, rate +-2 s/day.
RATE_U_S_PER_DAY = 2.0
# What is common to all arcs read, where nothing is said of it: a lift that is not known better. [assumption, as in
# diagnosis]
HALF_ARC_U_RAD = math.radians(8.0)
# Moments are small: a column for a milligram at a centimetre keeps the fit well scaled.
_UNIT_KG_M = 1e-8


@dataclass(frozen=True, slots=True)
class HeavySpot:
    """Mass at the radius, its angle on the rim, and the rate without it; `used_count` positions told it."""

    mass_kg: Uncertain
    angle_rad: Uncertain
    base_rate_s_per_day: Uncertain
    used_count: int
    left_s_per_day: float


def estimate_heavy_spot(
    up_rad: Sequence[float],
    half_arcs_rad: Sequence[float],
    rates_s_per_day: Sequence[float],
    *,
    inertia_kg_m2: Uncertain,
    beats_per_hour: Uncertain,
    radius_m: Uncertain,
    rates_u_s_per_day: Sequence[float] | None = None,
    half_arcs_u_rad: float = HALF_ARC_U_RAD,
    g_m_per_s2: float = 9.80665,
) -> HeavySpot:
    """Find the heavy spot.

    Parameters
    ----------
    up_rad : sequence of float, shape (n,)
        Rim angle on top in each position [rad].
    half_arcs_rad : sequence of float, shape (n,)
        Arc to one side of rest in each position [rad], 0.1 to 6; 200 to 240 deg is not used.
    rates_s_per_day : sequence of float, shape (n,)
        Rates, + gains [s/day].
    inertia_kg_m2, beats_per_hour, radius_m : Uncertain
        Of the balance; radius is where weight is taken off or put on.
    rates_u_s_per_day : sequence of float, shape (n,), or None
        Standard uncertainty of each rate [s/day]; None takes 2 s/day, or the scatter if that is larger.
    half_arcs_u_rad : float
        Standard uncertainty that all arcs share, such as that of the lift they were read with [rad], 0 to 0.5.
    g_m_per_s2 : float
        Local gravity [m/s2], 0.1 to 30.

    Returns
    -------
    HeavySpot
        Mass, angle, base rate, each with its standard uncertainty.

    Raises
    ------
    BadInput
        Fewer than three positions are left outside 200 to 240 deg, or they do not tell the two parts apart.

    Notes
    -----
    Mass and angle from the two parts; uncertainties of rates, arcs, inertia, beats and radius carried through.
    Source: [Defossez1950]_ ch. V.
    """
    used = [i for i, arc in enumerate(half_arcs_rad) if not BLIND_FROM_RAD <= arc <= BLIND_TO_RAD]
    if len(up_rad) < LEAST_POSITIONS_COUNT:
        raise BadInput(
            "up_deg",
            len(up_rad),
            "three positions or more round the rim, such as 0, 90, 180 and 270 deg",
            f"up_deg: {len(up_rad)} positions cannot tell a heavy spot; read three or more round the rim, such as 0, "
            "90, 180 and 270 deg.",
        )
    if len(used) < LEAST_POSITIONS_COUNT:
        raise BadInput(
            "amplitude_deg",
            len(used),
            "three positions or more with an amplitude below 200 or above 240 deg",
            f"amplitude_deg: only {len(used)} positions lie outside 200 to 240 deg, where a heavy spot hardly shows; "
            "let the spring down until the amplitude is below 180 deg and read again.",
        )
    stiffness = propagate(
        stiffness_n_m_per_rad,
        {"inertia_kg_m2": inertia_kg_m2.value, "beats_per_hour": beats_per_hour.value},
        {"inertia_kg_m2": inertia_kg_m2.u, "beats_per_hour": beats_per_hour.u},
    )
    table = _table([up_rad[i] for i in used], [half_arcs_rad[i] for i in used], stiffness.value, g_m_per_s2)
    rates = np.array([rates_s_per_day[i] for i in used])
    u_given = (
        np.array([rates_u_s_per_day[i] for i in used])
        if rates_u_s_per_day is not None
        else np.full(len(used), RATE_U_S_PER_DAY)
    )
    weighted = table / u_given[:, None]
    found, _, rank, sizes = np.linalg.lstsq(weighted, rates / u_given, rcond=None)
    if rank < 3 or sizes[-1] < 1e-3 * sizes[0]:
        raise BadInput("up_deg", len(used), "positions spread round the rim, such as 0, 90, 180 and 270 deg")
    left = rates - table @ found
    freedom = len(used) - 3
    scatter = math.sqrt(float(np.sum((left / u_given) ** 2)) / freedom) if freedom else 0.0
    cover = np.linalg.inv(weighted.T @ weighted) * (max(1.0, scatter**2) if rates_u_s_per_day is None else 1.0)
    sizes_of = []
    for side in (0.5, -0.5):
        arcs = [max(half_arcs_rad[i] + side * half_arcs_u_rad, 0.01) for i in used]
        moved = _table([up_rad[i] for i in used], arcs, stiffness.value, g_m_per_s2) / u_given[:, None]
        other = np.linalg.lstsq(moved, rates / u_given, rcond=None)[0]
        sizes_of.append(math.hypot(other[1], other[2]))
    by_arc = abs(sizes_of[0] - sizes_of[1])
    return _spot(found, cover, by_arc, stiffness, radius_m, len(used), math.sqrt(float(np.mean(left**2))))


def _table(
    up_rad: Sequence[float], half_arcs_rad: Sequence[float], stiffness_n_m_per_rad: float, g_m_per_s2: float
) -> np.ndarray:
    """A row for each position: the common rate, and what a spot of one unit does along the pin and across."""
    rows = []
    for up, arc in zip(up_rad, half_arcs_rad, strict=True):
        size = poise_rate_s_per_day(
            moment_kg_m=_UNIT_KG_M, stiffness_n_m_per_rad=stiffness_n_m_per_rad, half_arc_rad=arc, g_m_per_s2=g_m_per_s2
        )
        down = up + math.pi
        rows.append((1.0, size * math.cos(down), size * math.sin(down)))
    return np.array(rows)


def _spot(
    found: np.ndarray,
    cover: np.ndarray,
    by_arc: float,
    stiffness: Uncertain,
    radius_m: Uncertain,
    used: int,
    left: float,
) -> HeavySpot:
    size = math.hypot(found[1], found[2])
    along = np.array([found[1], found[2]]) / max(size, 1e-12)
    across = np.array([-along[1], along[0]])
    u_size = math.hypot(math.sqrt(float(along @ cover[1:, 1:] @ along)), by_arc)
    u_angle = math.sqrt(float(across @ cover[1:, 1:] @ across)) / max(size, 1e-12)
    mass = propagate(
        lambda moment, stiff, radius: moment * _UNIT_KG_M * stiff / stiffness.value / radius,
        {"moment": size, "stiff": stiffness.value, "radius": radius_m.value},
        {"moment": u_size, "stiff": stiffness.u, "radius": radius_m.u},
    )
    return HeavySpot(
        mass,
        Uncertain(math.atan2(found[2], found[1]) % (2.0 * math.pi), min(u_angle, math.pi)),
        Uncertain(float(found[0]), math.sqrt(float(cover[0, 0]))),
        used,
        left,
    )
