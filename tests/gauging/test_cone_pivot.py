"""Cone pivots in their cups: contact, friction, shake, re-pointing."""

from __future__ import annotations

import math

import numpy as np
import pytest

from underdial.errors import BadInput, OutOfRange
from underdial.gauging.cone_pivot import Cone, re_pointed, rubbing, side_shake_m
from underdial.mechanics.pivot_friction import sphere_contact
from underdial.uncertain import Uncertain

MASS, FRICTION = Uncertain(1.8e-3), Uncertain(0.18)


def test_the_example_rubs_on_a_point_dial_up_and_on_its_tip_upright() -> None:
    dial_up, upright = rubbing(Cone(Uncertain(0.06e-3), Uncertain(0.20e-3)), mass_kg=MASS, friction_ratio=FRICTION)

    assert dial_up.contact == "point"
    # Derived: docs/explanation/gauging.md, cone, by hand
    assert dial_up.torque_n_m.value == pytest.approx(4.04e-9, abs=0.005e-9)
    assert upright.torque_n_m.value == pytest.approx(1.906e-7, abs=0.0005e-7)  # Derived: the same
    # Derived: docs/explanation/gauging.md, .0013 mm
    assert dial_up.effective_radius_m.value == pytest.approx(1.3e-6, abs=0.05e-6)
    assert upright.effective_radius_m.value == pytest.approx(0.060e-3, abs=0.0005e-3)  # Derived: the same


def test_a_tip_larger_than_the_cups_bottom_hangs_on_the_wall_in_both_positions() -> None:
    dial_up, upright = rubbing(Cone(Uncertain(0.20e-3), Uncertain(0.15e-3)), mass_kg=MASS, friction_ratio=FRICTION)

    assert dial_up.contact == upright.contact == "ring"
    # Derived: docs/explanation/gauging.md, .20 mm both ways in a cup of 90 deg
    assert dial_up.effective_radius_m.value == pytest.approx(0.20e-3, rel=1e-9)
    assert upright.effective_radius_m.value == pytest.approx(0.20e-3, rel=1e-9)
    assert dial_up.pressure_pa is None


def test_a_flat_rubs_on_two_thirds_of_its_radius_dial_up_and_on_its_edge_upright() -> None:
    dial_up, upright = rubbing(
        Cone(Uncertain(0.06e-3), Uncertain(0.20e-3), Uncertain(0.30e-3)), mass_kg=MASS, friction_ratio=FRICTION
    )

    assert dial_up.contact == "flat"
    # Derived: docs/explanation/gauging.md, .10 dial up
    assert dial_up.effective_radius_m.value == pytest.approx(0.10e-3, rel=1e-9)
    assert upright.effective_radius_m.value == pytest.approx(0.15e-3, rel=1e-9)  # Derived: half of 0.30 mm
    # Derived: 1.8 g on a disc of 0.30 mm: 17.652 mN over 0.070686 mm2
    assert dial_up.pressure_pa.value == pytest.approx(249.72e3, rel=1e-4)


def test_torques_and_their_errors_agree_with_draws() -> None:
    rng = np.random.default_rng(3)
    n = 8000
    tip, cup, mass, friction = (
        rng.normal(m, u, n) for m, u in ((0.06e-3, 3e-6), (0.2e-3, 5e-6), (1.8e-3, 2e-5), (0.18, 0.02))
    )
    drawn = [
        sphere_contact(radius_m=t, cup_radius_m=c, force_n=m * 9.80665, friction_ratio=f).torque_n_m
        for t, c, m, f in zip(tip, cup, mass, friction, strict=True)
    ]
    dial_up, upright = rubbing(
        Cone(Uncertain(0.06e-3, 3e-6), Uncertain(0.2e-3, 5e-6)),
        mass_kg=Uncertain(1.8e-3, 2e-5),
        friction_ratio=Uncertain(0.18, 0.02),
    )

    assert float(np.std(drawn)) == pytest.approx(dial_up.torque_n_m.u, rel=0.04)  # Derived: Monte Carlo
    # Derived: the same
    assert float(np.std(tip * mass * 9.80665 * friction)) == pytest.approx(upright.torque_n_m.u, rel=0.04)


def test_side_shake_grows_with_the_opening_of_the_cup() -> None:
    shake = side_shake_m(end_shake_m=Uncertain(50e-6, 5e-6), cup_angle_rad=Uncertain(math.radians(90.0)))

    assert shake.value == pytest.approx(50e-6, rel=1e-9)  # Derived: tan 45 deg is 1
    assert shake.u == pytest.approx(5e-6, rel=1e-6)


def test_re_pointing_takes_only_the_pits_off_the_length() -> None:
    left, back = re_pointed(
        staff_m=Uncertain(20e-3),
        flat_diameter_m=Uncertain(0.20e-3),
        pit_m=Uncertain(0.05e-3),
        new_tip_radius_m=Uncertain(0.05e-3),
        cone_angle_rad=Uncertain(math.radians(60.0)),
    )

    assert left.value == pytest.approx(19.95e-3)  # Derived: 20 less 0.05
    # Derived: 0.05 + 0.10/tan 30 - 0.05 (1/sin 30 - 1) = 0.05 + 0.1732 - 0.05 mm
    assert back.value == pytest.approx(0.1732e-3, abs=0.0001e-3)


def test_a_tip_rounder_than_what_stands_and_impossible_cones_are_refused() -> None:
    with pytest.raises(BadInput, match="new_tip_radius"):
        re_pointed(
            staff_m=Uncertain(20e-3),
            flat_diameter_m=Uncertain(0.05e-3),
            pit_m=Uncertain(0.0),
            new_tip_radius_m=Uncertain(0.2e-3),
            cone_angle_rad=Uncertain(math.radians(60.0)),
        )
    with pytest.raises(BadInput, match="cone_angle"):
        Cone(Uncertain(0.06e-3), Uncertain(0.2e-3), cone_angle_rad=Uncertain(math.radians(95.0)))
    with pytest.raises(OutOfRange, match="tip_radius_m"):
        Cone(Uncertain(0.0), Uncertain(0.2e-3))


def test_the_roundest_tip_that_is_named_is_the_roundest_that_can_be_cut() -> None:
    stands = {"staff_m": Uncertain(0.018), "flat_diameter_m": Uncertain(0.10e-3), "pit_m": Uncertain(0.02e-3)}
    cone = Uncertain(math.radians(40.0))
    with pytest.raises(BadInput, match=r"up to 0\.0714 mm"):
        re_pointed(new_tip_radius_m=Uncertain(0.08e-3), cone_angle_rad=cone, **stands)

    # Derived: 0.05 mm / tan 20 deg = 0.13737 mm stood beyond the flat; over 1/sin 20 deg - 1 = 1.92380: 0.07141 mm
    left, back = re_pointed(new_tip_radius_m=Uncertain(0.0714e-3), cone_angle_rad=cone, **stands)
    assert left.value == pytest.approx(17.98e-3, rel=1e-9)  # Derived: the pit ground away
    assert back.value == pytest.approx(0.02e-3, abs=1e-7)  # Derived: the flank goes back by the pit alone
