"""A wheel between centres: askew, bent, off centre, oval; gaps between teeth left out."""

from __future__ import annotations

import math

import numpy as np
import pytest

from underdial.errors import BadInput, OutOfRange
from underdial.gauging.circle import roundness_m
from underdial.gauging.face_runout import estimate_face_runout, estimate_waves

from .parts import turned

EVEN = np.arange(48) * 2.0 * math.pi / 48


def test_askew_and_bent_are_told_apart() -> None:
    face = 40e-6 * np.cos(EVEN - 2.0) + 10e-6 * np.cos(2 * EVEN + 0.3)

    found = estimate_face_runout(EVEN, face_m=face, radius_m=0.02)

    # Derived: lean 40 um over 20 mm; full movement twice 40 um; a pure second harmonic is twice 10 um from top to
    # bottom
    assert found.askew_rad.value == pytest.approx(math.atan(0.002), rel=1e-9)
    assert found.face.first_m.value == pytest.approx(80e-6, rel=1e-9)
    assert found.face.shape_m.value == pytest.approx(20e-6, rel=1e-4)
    assert found.face.angle_rad.value == pytest.approx(2.0, rel=1e-9)  # Derived: as planted
    assert (found.rim, found.eccentricity_m) == (None, None)


def test_the_shape_left_over_is_the_roundness_of_the_handbook() -> None:
    rim = 30e-6 * np.cos(EVEN) + 6e-6 * np.cos(2 * EVEN) + 2e-6 * np.sin(3 * EVEN)

    waves = estimate_waves(EVEN, rim)

    # Derived: another function of the room, peak to valley about the least-squares circle, on the grid of the readings
    assert waves.shape_m.value == pytest.approx(roundness_m(list(rim), list(EVEN)), rel=0.01)


@pytest.mark.parametrize("seed", range(12))
def test_readings_in_gaps_between_teeth_are_left_out(seed: int) -> None:
    rng = np.random.default_rng(seed)
    true = 30e-6 * np.cos(EVEN - 1.0) + 5e-6 * np.cos(2 * EVEN)
    rim = true + rng.normal(0.0, 1e-6, 48)
    gaps = rng.choice(48, 15, replace=False)
    rim[gaps] -= rng.uniform(60e-6, 500e-6, 15)

    waves = estimate_waves(EVEN, rim, over_teeth=True)

    assert {i for i, kept in enumerate(waves.kept) if not kept} == set(gaps)
    assert waves.first_m.value == pytest.approx(60e-6, abs=4 * waves.first_m.u)  # Derived: twice the planted 30 um
    assert turned(waves.angle_rad.value - 1.0) == pytest.approx(0.0, abs=4 * waves.angle_rad.u)  # Derived: as planted


def test_too_many_gaps_or_too_few_angles_are_refused() -> None:
    rng = np.random.default_rng(3)
    rim = np.where(np.arange(48) % 2 == 0, 0.0, -300e-6) + rng.normal(0.0, 1e-6, 48)

    with pytest.raises(BadInput, match="between teeth"):
        estimate_waves(EVEN, rim, over_teeth=True)
    with pytest.raises(BadInput, match="angle_deg"):
        estimate_waves(EVEN[:7], rim[:7])
    with pytest.raises(OutOfRange, match="radius_m"):
        estimate_face_runout(EVEN, rim_m=rim, radius_m=5.0)


def test_errors_of_the_waves_cover_the_truth() -> None:
    rng = np.random.default_rng(9)
    inside = np.zeros(2)
    for _ in range(400):
        rim = 30e-6 * np.cos(EVEN - 1.0) + 8e-6 * np.cos(2 * EVEN) + rng.normal(0.0, 2e-6, 48)
        waves = estimate_waves(EVEN, rim)
        inside += [
            abs(waves.first_m.value - 60e-6) < 2 * waves.first_m.u,
            abs(turned(waves.angle_rad.value - 1.0)) < 2 * waves.angle_rad.u,
        ]

    assert (inside / 400 > 0.92).all()  # Derived: 0.954 for a normal error, binomial deviation 0.010
    assert (inside / 400 < 0.985).all()  # Derived: the same


@pytest.mark.parametrize(
    ("angles", "noise_um", "step_um"), [(8, 2.0, 0.0), (12, 2.0, 0.0), (8, 0.5, 10.0), (24, 0.5, 10.0)]
)
def test_errors_of_few_readings_and_of_a_coarse_gauge_cover_the_truth(
    angles: int, noise_um: float, step_um: float
) -> None:
    """Eight angles leave one reading to tell the noise by; a gauge that shows whole hundredths may show none at all."""
    rng = np.random.default_rng(12)
    theta = np.arange(angles) * 2.0 * math.pi / angles
    inside = np.zeros(3)
    for _ in range(400):
        high, bent = rng.uniform(0.0, 2.0 * math.pi, 2)
        face = 30e-6 * np.cos(theta - high) + 10e-6 * np.cos(2.0 * (theta - bent)) + rng.uniform(0.0, 1e-4)
        face = face + rng.normal(0.0, noise_um * 1e-6, angles)
        face = np.round(face / (step_um * 1e-6)) * step_um * 1e-6 if step_um else face
        waves = estimate_waves(theta, face)
        inside += [
            abs(waves.first_m.value - 60e-6) < 2 * waves.first_m.u,
            abs(waves.shape_m.value - 20e-6) < 2 * waves.shape_m.u,
            abs(turned(waves.angle_rad.value - high)) < 2 * waves.angle_rad.u,
        ]

    assert (inside / 400 > 0.91).all()  # Derived: 0.954, four binomial deviations of 0.0105 below


def covered(angles: int, waves_high: float, sets_count: int) -> np.ndarray:
    """How often twice the errors of movement and shape hold the truth; waves given over the error of their height."""
    rng = np.random.default_rng(5)
    theta = np.arange(angles) * 2.0 * math.pi / angles
    high = 2e-6 * waves_high * math.sqrt(2.0 / angles)
    inside = np.zeros(2)
    for _ in range(sets_count):
        p, q = rng.uniform(0.0, 2.0 * math.pi, 2)
        waves = estimate_waves(
            theta, high * (np.cos(theta - p) + np.cos(2.0 * theta - q)) + rng.normal(0.0, 2e-6, angles)
        )
        inside += [
            abs(one.value - 2.0 * high) <= 2.0 * one.u  # Derived: full movement is twice the height, of both
            for one in (waves.first_m, waves.shape_m)
        ]
    return inside / sets_count


@pytest.mark.parametrize("angles", [8, 24])
def test_a_flat_and_true_wheel_is_held_by_its_errors(angles: int) -> None:
    # Derived: 0.954, four binomial deviations of 0.0105 below; without what noise makes by itself 0.86 and 0.89.
    assert (covered(angles, 0.0, 400) > 0.912).all()


@pytest.mark.slow
@pytest.mark.parametrize("waves_high", [0.0, 0.5, 1.0, 2.0, 4.0, 10.0, 40.0])
@pytest.mark.parametrize("angles", [8, 12, 24, 48])
def test_flat_small_and_large_waves_are_held_by_their_errors(angles: int, waves_high: float) -> None:
    inside = covered(angles, waves_high, 2000)

    # Derived: 0.954, and 0.983 where a wave can be missed to one side only; 0.0047 is a binomial deviation, four below,
    # and the tops of a shape taken where noise and wave are highest together may cost another hundredth.
    assert (inside > 0.925).all()
    assert (inside < 0.993).all()  # Derived: as above


def test_the_lean_has_the_error_of_its_face() -> None:
    rng = np.random.default_rng(8)
    face = 2e-3 * np.cos(EVEN) + rng.normal(0.0, 5e-6, 48)

    found = estimate_face_runout(EVEN, face_m=face, radius_m=0.004)

    assert found.askew_rad.value == pytest.approx(math.atan(0.5), abs=4 * found.askew_rad.u)  # Derived: 2 over 4 mm
    # Derived: d atan(x) = dx/(1 + x^2), x = 0.5: four fifths of half the movement's error over 4 mm
    assert found.askew_rad.u == pytest.approx(0.8 * found.face.first_m.u / 2.0 / 0.004, rel=0.01)
