"""Runout: the chuck's share is taken off, bends are found where they are, and doubtful sets are refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from underdial.errors import OutOfRange
from underdial.gauging.axis_shape import false_alarm_probability, found_probability
from underdial.gauging.circle import first_harmonic
from underdial.gauging.harmonics import estimate_station
from underdial.gauging.runout import estimate_runout

from .parts import staff, turned

MICROMETRE = 1e-6


def test_a_straight_staff_chucked_anyhow_is_called_straight_and_says_what_it_could_show() -> None:
    seen = staff(np.random.default_rng(1))

    found = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m)

    assert (found.verdict, found.model, found.bend) == ("straight", "tilt", None)
    # Derived: harmonic noise 1.5 sqrt(2/12) um, kink shape 6 mm rms-sum in the middle: 15 um there, 20 um at the ends
    # of the middle third
    assert 15 * MICROMETRE < found.smallest_tir_m < 30 * MICROMETRE


def test_the_worked_example_is_found_where_it_was_put() -> None:
    # Derived: docs/explanation/gauging.md, runout: kink at 13.0 mm, 4.50 um/mm towards 70 deg, six by twelve readings
    seen = staff(np.random.default_rng(13), slope=4.5e-3, z_b=0.013, angle=math.radians(70.0))

    found = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m)

    assert (found.verdict, found.model) == ("bent", "kink")
    assert found.bend.z_m.value == pytest.approx(0.013, abs=3 * found.bend.z_m.u)  # Derived: as planted
    # Derived: as planted
    assert found.bend.slope_m_per_m.value == pytest.approx(4.5e-3, abs=3 * found.bend.slope_m_per_m.u)
    # Derived: as planted
    assert turned(found.bend.angle_rad.value - math.radians(70.0)) == pytest.approx(0.0, abs=3 * found.bend.angle_rad.u)
    assert found.bend.slope_m_per_m.u < 0.2e-3  # Derived: the same example, +-0.15 um/mm
    # Derived: the same example's order
    assert found.bic["kink"] < found.bic["bow"] < found.bic["tilt"] < found.bic["offset"]


def test_without_noise_every_number_of_the_bend_comes_back() -> None:
    seen = staff(np.random.default_rng(3), slope=2e-3, z_b=0.0165, angle=2.0, noise=0.0)

    found = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m, noise_m=1 * MICROMETRE)

    # Derived: planted 16.5 mm, 2 um/mm, 2 rad; tir = 2 x 2e-3 x (30 - 16.5) mm = 54 um
    assert found.bend.z_m.value == pytest.approx(0.0165, abs=1e-8)
    assert found.bend.slope_m_per_m.value == pytest.approx(2e-3, rel=1e-5)
    assert found.bend.angle_rad.value == pytest.approx(2.0, abs=1e-6)  # Derived: as planted
    assert found.bend.tir_at_end_m.value == pytest.approx(54e-6, rel=1e-5)  # Derived: as above


def test_an_even_bow_is_told_from_a_kink_and_its_rise_given() -> None:
    seen = staff(np.random.default_rng(4), bow=0.4, angle=1.0, stations=9, length=0.04)

    found = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m)

    assert (found.verdict, found.model) == ("bent", "bow")
    # Derived: rise of b z^2 over its chord is b L^2/4 = 0.4 x 0.04^2 / 4 = 160 um
    assert found.bow.rise_m.value == pytest.approx(160e-6, abs=3 * found.bow.rise_m.u)


def test_ovality_is_largest_less_smallest_diameter() -> None:
    t = np.arange(16) * math.pi / 8
    radius = 3e-3 + 7e-6 * np.cos(2.0 * t - 0.8)
    diameters = radius + np.roll(radius, 8)

    station, _ = estimate_station(0.0, list(t), list(radius))

    # Derived: 4 x 7 um at the two worst places, and the same from the diameters themselves within the grid's reach
    assert station.ovality_m == pytest.approx(28e-6, rel=1e-9)
    # Derived: cos(2 x 11.25 deg) at worst between grid places
    assert np.ptp(diameters) == pytest.approx(28e-6, rel=0.03)


def test_a_station_at_even_angles_agrees_with_the_first_harmonic_of_the_handbook() -> None:
    rng = np.random.default_rng(5)
    t, y = np.arange(12) * math.pi / 6, rng.normal(0.0, 1e-5, 12)

    station, _ = estimate_station(0.01, list(t), list(y))

    # Derived: least squares and the discrete harmonic are one at even angles
    assert (station.along_m, station.across_m) == pytest.approx(first_harmonic(list(y), list(t))[:2], abs=1e-15)


def test_two_senses_of_turning_take_off_the_gauges_backlash() -> None:
    rng = np.random.default_rng(6)
    seen = staff(rng, slope=2e-3)
    again = staff(np.random.default_rng(6), slope=2e-3)
    both = [one + 8e-6 for one in again.readings_m]

    one = estimate_runout(
        seen.z_m + again.z_m,
        seen.angles_rad + again.angles_rad,
        seen.readings_m + both,
        senses=["cw"] * len(seen.z_m) + ["ccw"] * len(again.z_m),
    )
    mixed = estimate_runout(seen.z_m + again.z_m, seen.angles_rad + again.angles_rad, seen.readings_m + both)

    assert one.noise_m < 2 * MICROMETRE  # Derived: 1.5 um was drawn
    assert mixed.noise_m > 3.5 * MICROMETRE  # Derived: half of 8 um comes on top


def test_too_few_stations_or_angles_are_refused_in_words() -> None:
    rng = np.random.default_rng(7)
    three, seven = staff(rng, stations=3), staff(rng, angles=7)

    refused = estimate_runout(three.z_m, three.angles_rad, three.readings_m)
    bunched = estimate_runout(seven.z_m, seven.angles_rad, seven.readings_m)

    assert (refused.verdict, refused.model) == ("refused", None)
    assert "3 stations" in refused.reason
    assert bunched.verdict == "refused"
    assert "7 angles" in bunched.reason


def test_a_noisy_set_is_refused_and_the_bend_it_could_show_is_still_stated() -> None:
    seen = staff(np.random.default_rng(8), noise=15e-6)

    found = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m)

    assert found.verdict == "refused"
    assert found.smallest_tir_m > 100 * MICROMETRE  # Derived: ten times the noise, ten times the 15 to 20 um above
    assert "µm" in found.reason


def test_scatter_far_beyond_the_stated_noise_is_refused() -> None:
    seen = staff(np.random.default_rng(9), noise=6e-6)

    found = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m, noise_m=1e-6)

    assert found.verdict == "refused"
    assert "times the noise given" in found.reason


def test_a_misread_reading_is_named() -> None:
    seen = staff(np.random.default_rng(10))
    wrong = list(seen.readings_m)
    wrong[30] += 100e-6

    found = estimate_runout(seen.z_m, seen.angles_rad, wrong)

    assert [(one.z_m, one.angle_rad) for one in found.strays] == [(seen.z_m[30], seen.angles_rad[30])]
    assert found.strays[0].off_m == pytest.approx(100e-6, abs=8e-6)  # Derived: as planted, within a few noises
    assert "stands out" in found.reason


def test_the_gauges_scale_goes_into_the_error_of_the_bend() -> None:
    seen = staff(np.random.default_rng(11), slope=5e-3)
    plain = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m, noise_m=1.5e-6)
    loose = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m, noise_m=1.5e-6, scale_u_ratio=0.05)

    # Derived: 5 % of the slope comes on top in squares
    assert loose.bend.slope_m_per_m.u == pytest.approx(
        math.hypot(plain.bend.slope_m_per_m.u, 0.05 * plain.bend.slope_m_per_m.value)
    )


def test_readings_that_repeat_to_the_digit_are_as_noisy_as_the_digit() -> None:
    z = [one for one in (0.0, 0.005, 0.01, 0.015) for _ in range(8)]
    t = [k * math.pi / 4 for _ in range(4) for k in range(8)]
    found = estimate_runout(z, t, [round(5 * math.cos(one)) * 1e-6 for one in t])
    still = estimate_runout(z, t, [0.0] * 32)

    assert (found.verdict, still.verdict) == ("straight", "refused")
    assert "did not move" in still.reason
    assert found.noise_m >= 1e-6 / math.sqrt(12) - 1e-12  # Derived: a step of 1 um, even within it
    assert all(0.0 <= one.angle_rad < 2 * math.pi for one in found.stations)


def test_settings_beyond_their_range_are_refused() -> None:
    seen = staff(np.random.default_rng(12))

    with pytest.raises(OutOfRange, match="noise_m"):
        estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m, noise_m=0.1)


@settings(max_examples=20, deadline=None)
@given(shift=st.floats(0.0, 2.0 * math.pi), size=st.floats(0.5, 4.0))
def test_turning_the_part_turns_the_answer_and_a_longer_scale_lengthens_it(shift: float, size: float) -> None:
    seen = staff(np.random.default_rng(2), slope=3e-3, angle=0.4)
    first = estimate_runout(seen.z_m, seen.angles_rad, seen.readings_m)
    second = estimate_runout(
        seen.z_m, [one + shift for one in seen.angles_rad], [size * one for one in seen.readings_m]
    )

    # Derived: symmetry
    assert turned(second.bend.angle_rad.value - first.bend.angle_rad.value - shift) == pytest.approx(0.0, abs=1e-6)
    assert second.bend.slope_m_per_m.value == pytest.approx(size * first.bend.slope_m_per_m.value, rel=1e-4)
    assert second.smallest_tir_m == pytest.approx(size * first.smallest_tir_m, rel=1e-6)


def test_the_bound_on_false_alarms_holds_in_drawn_noise() -> None:
    # Derived: against a direct draw of the largest gain of a bend anywhere, and of a bow, over 4000 straight axes of
    # six stations.
    rng = np.random.default_rng(20)
    z = np.linspace(0.0, 1.0, 6)
    base = np.linalg.qr(np.column_stack((np.ones(6), z)))[0]
    shapes = [np.maximum(0.0, z - one) for one in np.linspace(z[1], z[-2], 81)]
    units = np.array([(s - base @ (base.T @ s)) / np.linalg.norm(s - base @ (base.T @ s)) for s in shapes])
    bow = z**2 - base @ (base.T @ z**2)
    path = float(np.sum(np.linalg.norm(np.diff(units, axis=0), axis=1)))
    drawn = rng.normal(size=(4000, 2, 6))
    gains = np.max(np.sum((drawn @ np.vstack((units, bow / np.linalg.norm(bow))).T) ** 2, axis=1), axis=1)
    at = float(np.quantile(gains, 0.98))

    # Derived: a bound, within 2.5 times
    assert 0.02 <= false_alarm_probability(at, path_rad=path, freedom_count=math.inf) < 0.05
    assert false_alarm_probability(
        at, path_rad=path, freedom_count=1e7
    ) == pytest.approx(  # Derived: many degrees of freedom
        false_alarm_probability(at, path_rad=path, freedom_count=math.inf), rel=1e-3
    )


@pytest.mark.parametrize("freedom", [3.0, 24.0, 42.0, math.inf])
@pytest.mark.parametrize("centrality", [0.01, 3.0, 24.0, 90.0])
@pytest.mark.parametrize("gain", [0.5, 9.0, 14.0, 40.0])
def test_the_chance_of_finding_a_bend_is_the_librarys(gain: float, centrality: float, freedom: float) -> None:
    from scipy.stats import ncf, ncx2

    library = ncx2.sf(gain, 2, centrality) if math.isinf(freedom) else ncf.sf(gain / 2.0, 2, freedom, centrality)

    # Derived: SciPy's own
    assert found_probability(gain, centrality_ratio=centrality, freedom_count=freedom) == pytest.approx(
        float(library), abs=1e-8
    )
