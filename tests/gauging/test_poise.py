"""The heavy spot of a balance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from underdial.errors import BadInput
from underdial.gauging.poise import estimate_heavy_spot
from underdial.mechanics.balance import stiffness_n_m_per_rad
from underdial.mechanics.poise import poise_rate_s_per_day
from underdial.uncertain import Uncertain

from .parts import turned

BALANCE = {"inertia_kg_m2": Uncertain(2.1e-7), "beats_per_hour": Uncertain(18000.0), "radius_m": Uncertain(0.009)}
UP = [math.radians(one) for one in (0.0, 90.0, 180.0, 270.0)]
ARC = math.radians(140.0)


def _rates(mass_kg: float, angle_rad: float, *, arc_rad: float = ARC, base: float = 0.0) -> list[float]:
    stiffness = stiffness_n_m_per_rad(inertia_kg_m2=2.1e-7, beats_per_hour=18000.0)
    return [
        base
        + poise_rate_s_per_day(
            moment_kg_m=mass_kg * 0.009,
            stiffness_n_m_per_rad=stiffness,
            half_arc_rad=arc_rad,
            angle_rad=turned(angle_rad - up - math.pi),
        )
        for up in UP
    ]


def test_the_published_example_gives_a_milligram_at_140_degrees() -> None:
    # Derived: docs/explanation/gauging.md, poise, by hand: rates 23.56, -19.77, -23.56, 19.77 at 140 deg
    found = estimate_heavy_spot(UP, [ARC] * 4, [23.56, -19.77, -23.56, 19.77], **BALANCE)

    assert found.mass_kg.value == pytest.approx(1.00e-6, abs=0.005e-6)  # Derived: the same, 1.00 mg
    assert math.degrees(found.angle_rad.value) == pytest.approx(140.0, abs=0.5)  # Derived: the same


@settings(max_examples=60, deadline=None)
@given(
    mass=st.floats(1e-8, 1e-5),
    angle=st.floats(0.0, 6.28),
    arc=st.sampled_from([100.0, 150.0, 195.0, 250.0, 300.0]),
    base=st.floats(-300.0, 300.0),
)
def test_any_spot_comes_back_from_its_own_rates_below_and_above_the_blind_arc(
    mass: float, angle: float, arc: float, base: float
) -> None:
    rates = _rates(mass, angle, arc_rad=math.radians(arc), base=base)
    found = estimate_heavy_spot(UP, [math.radians(arc)] * 4, rates, **BALANCE)

    assert found.mass_kg.value == pytest.approx(mass, rel=1e-5)  # Derived: as planted
    assert turned(found.angle_rad.value - angle) == pytest.approx(0.0, abs=1e-5)  # Derived: as planted
    assert found.base_rate_s_per_day.value == pytest.approx(base, abs=1e-6)


@pytest.mark.parametrize("arc", [200.0, 219.5, 240.0])
def test_near_the_arc_where_it_vanishes_nothing_is_told(arc: float) -> None:
    with pytest.raises(BadInput, match="200 to 240"):
        estimate_heavy_spot(UP, [math.radians(arc)] * 4, [1.0, 2.0, 3.0, 4.0], **BALANCE)


def test_positions_that_do_not_go_round_are_refused() -> None:
    with pytest.raises(BadInput, match="up_deg"):
        estimate_heavy_spot([0.0, 0.0, math.pi, math.pi], [ARC] * 4, [1.0, 1.0, 2.0, 2.0], **BALANCE)


def test_mass_angle_and_base_lie_within_two_of_their_errors_in_nineteen_of_twenty_draws() -> None:
    rng = np.random.default_rng(4)
    inside = np.zeros(3)
    for _ in range(600):
        rates = [one + rng.normal(0.0, 4.0) for one in _rates(1.1e-6, math.radians(140.0), base=30.0)]
        inertia, radius = 2.1e-7 * (1.0 + rng.normal(0.0, 0.02)), 0.009 * (1.0 + rng.normal(0.0, 0.02))
        found = estimate_heavy_spot(
            UP,
            [ARC] * 4,
            rates,
            inertia_kg_m2=Uncertain(inertia, 0.02 * 2.1e-7),
            beats_per_hour=Uncertain(18000.0),
            radius_m=Uncertain(radius, 0.02 * 0.009),
            rates_u_s_per_day=[4.0] * 4,
            half_arcs_u_rad=0.0,
        )
        off = (
            found.mass_kg.value - 1.1e-6,
            turned(found.angle_rad.value - math.radians(140.0)),
            found.base_rate_s_per_day.value - 30.0,
        )
        inside += [
            abs(one) < 2 * u.u
            for one, u in zip(off, (found.mass_kg, found.angle_rad, found.base_rate_s_per_day), strict=True)
        ]

    assert (inside / 600 > 0.925).all()  # Derived: 0.954, binomial deviation 0.0085
    assert (inside / 600 < 0.985).all()  # Derived: the same


@pytest.mark.parametrize("arc_deg", [120.0, 160.0, 190.0])
def test_arcs_read_with_a_wrong_lift_are_part_of_the_error_of_the_mass(arc_deg: float) -> None:
    """All arcs too wide or too small together, by 3 deg: what they make of the mass is as much as they say."""
    rng = np.random.default_rng(6)
    inside, u = 0, math.radians(3.0)
    rates = _rates(1.5e-6, math.radians(70.0), arc_rad=math.radians(arc_deg))
    for _ in range(300):
        read = [math.radians(arc_deg) + rng.normal(0.0, u)] * 4
        if read[0] >= math.radians(200.0):
            inside += 1
            continue
        found = estimate_heavy_spot(
            UP, read, [one + rng.normal(0.0, 2.0) for one in rates], half_arcs_u_rad=u, **BALANCE
        )
        inside += abs(found.mass_kg.value - 1.5e-6) < 2.0 * found.mass_kg.u

    assert inside / 300 > 0.915  # Derived: 0.954, three binomial deviations of 0.012 below
    assert inside / 300 < 0.99  # Derived: the same, above


def test_the_share_of_the_arcs_is_the_slope_of_the_bessel_factor() -> None:
    found = estimate_heavy_spot(
        UP, [ARC] * 4, _rates(1e-6, 1.0), rates_u_s_per_day=[1e-6] * 4, half_arcs_u_rad=math.radians(5.0), **BALANCE
    )

    # Derived: d ln(J1(x)/x)/dx = -J2(x)/J1(x), at 140 deg 0.43779 / 0.51056 by SciPy, times 5 deg
    assert found.mass_kg.u / found.mass_kg.value == pytest.approx(0.43779 / 0.51056 * math.radians(5.0), rel=0.01)
