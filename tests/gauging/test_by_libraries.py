"""The gauges' sums against a general library that knows nothing of clocks: least squares and integrated motion."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares

from underdial.gauging.circle import circle_fit_geometric
from underdial.gauging.poise import estimate_heavy_spot
from underdial.gauging.runout import estimate_runout
from underdial.mechanics.balance import stiffness_n_m_per_rad
from underdial.uncertain import Uncertain

from .parts import staff, turned


@pytest.mark.parametrize(("seed", "reach"), [(1, 6.0), (2, 1.5), (3, 0.8)])
def test_a_circle_is_that_of_least_squares_in_general(seed: int, reach: float) -> None:
    rng = np.random.default_rng(seed)
    angles = np.linspace(0.0, reach, 40)
    x, y = (
        3e-3 + 5e-3 * np.cos(angles) + rng.normal(0.0, 2e-5, 40),
        -1e-3 + 5e-3 * np.sin(angles) + rng.normal(0.0, 2e-5, 40),
    )
    found = circle_fit_geometric(x.tolist(), y.tolist())
    general = least_squares(
        lambda c: np.hypot(x - c[0], y - c[1]) - c[2],
        (2e-3, 0.0, 4e-3),
        x_scale=1e-3,
        xtol=1e-15,
        ftol=1e-15,
        gtol=1e-15,
    ).x

    assert tuple(found) == pytest.approx(tuple(general), abs=1e-9)  # Derived: another way to the same least squares


@pytest.mark.parametrize("seed", [4, 5, 6])
def test_the_kink_of_a_staff_is_that_of_least_squares_over_all_readings_at_once(seed: int) -> None:
    seen = staff(np.random.default_rng(seed), slope=3e-3, z_b=0.013, angle=1.2)
    z, t, y = (np.asarray(one) for one in (seen.z_m, seen.angles_rad, seen.readings_m))
    places = np.unique(z)
    at = np.searchsorted(places, z)

    def off(p: np.ndarray) -> np.ndarray:
        """Mean and oval of each station, offset and tilt of the chuck, kink: all in micrometres and millimetres."""
        means, ovals = p[:6][at], p[6:12][at] * np.cos(2 * t) + p[12:18][at] * np.sin(2 * t)
        bent = np.maximum(0.0, 1e3 * z - p[24])
        along = p[18] + p[20] * 1e3 * z + p[22] * bent
        across = p[19] + p[21] * 1e3 * z + p[23] * bent
        return np.asarray(means + ovals + along * np.cos(t) + across * np.sin(t) - 1e6 * y)

    start = np.concatenate([[1e6 * y[at == k].mean() for k in range(6)], np.zeros(12), np.zeros(4), [1.0, 2.0], [15.0]])
    general = least_squares(off, start, xtol=1e-14, ftol=1e-14).x
    bend = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m, noise_m=1.5e-6).bend
    assert bend is not None

    # Derived: the same model over the raw readings; a tenth of the stated error is left for the grid of places
    assert 1e3 * bend.z_m.value == pytest.approx(general[24], abs=100 * bend.z_m.u)
    assert 1e3 * bend.slope_m_per_m.value == pytest.approx(
        math.hypot(general[22], general[23]), abs=100 * bend.slope_m_per_m.u
    )
    # Derived: the same
    assert turned(bend.angle_rad.value - math.atan2(general[23], general[22])) == pytest.approx(
        0.0, abs=0.1 * bend.angle_rad.u
    )


@pytest.mark.parametrize(("arc_deg", "within"), [(100.0, 0.01), (150.0, 0.01), (280.0, 0.02)])
def test_a_heavy_spot_comes_back_from_the_integrated_swing_of_an_unbalanced_balance(
    arc_deg: float, within: float
) -> None:
    """The motion itself, no Bessel function: the rates come from a solver of differential equations."""
    inertia, mass, radius, where = 2.1e-7, 1e-6, 0.009, math.radians(140.0)
    stiffness = stiffness_n_m_per_rad(inertia_kg_m2=inertia, beats_per_hour=18000.0)
    ups = [math.radians(one) for one in (0.0, 90.0, 180.0, 270.0)]
    rates = [_rate(inertia, stiffness, mass * 9.80665 * radius, where - up, math.radians(arc_deg)) for up in ups]
    found = estimate_heavy_spot(
        ups,
        [math.radians(arc_deg)] * 4,
        rates,
        inertia_kg_m2=Uncertain(inertia),
        beats_per_hour=Uncertain(18000.0),
        radius_m=Uncertain(radius),
    )

    assert found.mass_kg.value == pytest.approx(mass, rel=within)  # Derived: as planted
    assert turned(found.angle_rad.value - where) == pytest.approx(0.0, abs=within)  # Derived: as planted


def _rate(inertia: float, stiffness: float, moment_n_m: float, from_top: float, arc: float) -> float:
    """Gain a day of a balance with a weight on its rim that stands so far clockwise from the top when at rest."""

    def crossing(_: float, state: np.ndarray) -> float:
        return float(state[1])

    crossing.direction = -1.0  # type: ignore[attr-defined]
    # Gravity turns a weight that stands clockwise of the top further clockwise: + m g r sin(angle from the top).
    solved = solve_ivp(
        lambda _, s: [s[1], (-stiffness * s[0] + moment_n_m * math.sin(from_top + s[0])) / inertia],
        (0.0, 2.1),
        [arc, 0.0],
        events=crossing,
        rtol=1e-11,
        atol=1e-12,
        method="DOP853",
    )
    times = solved.t_events[0]
    period = (times[-1] - times[0]) / (len(times) - 1)
    return float(86400.0 * (2.0 * math.pi * math.sqrt(inertia / stiffness) / period - 1.0))
