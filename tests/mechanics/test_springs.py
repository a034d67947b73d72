"""Balance, hairspring, poise, mainspring, weight, fusee."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import j1, jn_zeros

from underdial.errors import OutOfRange
from underdial.mechanics import balance, barrel, fusee, hairspring, mainspring, poise, weight_drive

STRIP = {"modulus_pa": 200e9, "height_m": 0.45e-3, "thickness_m": 0.075e-3}


def test_the_hairspring_of_an_alarm_comes_out() -> None:
    stiffness = balance.stiffness_n_m_per_rad(inertia_kg_m2=1.458e-7, beats_per_hour=14400)
    length = hairspring.length_m(stiffness_n_m_per_rad=stiffness, **STRIP)

    # Derived: by a separate trial of the same laws: 2.302e-5 N m/rad, 137 mm, 1.91 mm to let out for 600 s/d.
    assert stiffness == pytest.approx(2.302e-5, rel=2e-4)
    assert length == pytest.approx(0.1374, abs=5e-5)
    assert hairspring.let_out_m(length_m=length, rate_s_per_day=600) == pytest.approx(0.00191, abs=1e-5)
    # Derived: by a separate trial of the same laws: a micrometre of thickness is 1728 s/d, by the first order 86400 x
    # 1.5/75.
    assert hairspring.thickness_rate_s_per_day(thickness_change_ratio=1 / 75) == pytest.approx(1728, rel=0.005)


@given(st.floats(1e-9, 1e-5), st.floats(3600, 36000))
def test_inertia_stiffness_and_beats_give_one_another_back(inertia: float, beats: float) -> None:
    stiffness = balance.stiffness_n_m_per_rad(inertia_kg_m2=inertia, beats_per_hour=beats)

    assert balance.beats_per_hour(inertia_kg_m2=inertia, stiffness_n_m_per_rad=stiffness) == pytest.approx(
        beats, rel=1e-12
    )
    assert balance.inertia_kg_m2(stiffness_n_m_per_rad=stiffness, beats_per_hour=beats) == pytest.approx(
        inertia, rel=1e-12
    )


@given(st.floats(0.01, 1.0), st.floats(-2000, 2000))
def test_letting_out_takes_the_rate_away(length: float, rate: float) -> None:
    out = hairspring.let_out_m(length_m=length, rate_s_per_day=rate)
    change = hairspring.length_change_rate_s_per_day(length_change_ratio=out / length)

    # Derived: back to 86400 seconds a day
    assert (1 + rate / 86400) * (1 + change / 86400) == pytest.approx(1.0, abs=1e-12)


@given(st.floats(1.01, 3.0))
def test_a_strip_twice_as_thick_is_eight_times_as_stiff(factor: float) -> None:
    thin = hairspring.stiffness_n_m_per_rad(length_m=0.1, **STRIP)
    thick = hairspring.stiffness_n_m_per_rad(length_m=0.1, **(STRIP | {"thickness_m": factor * 0.075e-3}))

    assert thick == pytest.approx(factor**3 * thin, rel=1e-12)  # Derived: cube of the thickness
    found = hairspring.thickness_m(modulus_pa=200e9, height_m=0.45e-3, length_m=0.1, stiffness_n_m_per_rad=thick)
    assert found == pytest.approx(factor * 0.075e-3, rel=1e-12)  # Derived: the thickness put in


def _gap_by_averaging(beyond: float, gap: float, arc: float) -> float:
    """Independent: the averaged force of a spring that is softer inside the gap, integrated by quadrature."""
    softer = beyond / (1 + beyond)
    missing = quad(
        lambda phi: softer * min(arc * math.cos(phi), gap) * math.cos(phi),
        0,
        math.pi / 2,
        points=[math.acos(min(1.0, gap / arc))],
        epsabs=1e-12,
    )[0]
    return -86400 * 4 * missing / (2 * math.pi * arc)


@given(st.floats(0.001, 0.1), st.floats(0.0, 3.0), st.floats(0.5, 5.0))
def test_play_between_the_pins_agrees_with_a_quadrature(beyond: float, gap: float, arc: float) -> None:
    ours = hairspring.gap_rate_s_per_day(beyond_pins_ratio=beyond, gap_rad=gap, half_arc_rad=arc)

    assert ours == pytest.approx(_gap_by_averaging(beyond, gap, arc), rel=1e-6, abs=1e-6)
    # A smaller arc spends more of its time in the gap.
    # Derived: rounding
    assert hairspring.gap_rate_s_per_day(beyond_pins_ratio=beyond, gap_rad=gap, half_arc_rad=arc * 0.9) <= ours + 1e-9


@given(st.floats(0.01, 8.0))
def test_the_poise_factor_is_the_bessel_function(arc: float) -> None:
    assert poise.poise_factor_ratio(half_arc_rad=arc) == pytest.approx(j1(arc) / arc, abs=1e-12)  # Derived: scipy's J1


def test_the_poise_error_vanishes_at_219_degrees_and_a_half() -> None:
    assert jn_zeros(1, 1)[0] == pytest.approx(poise.VANISHING_HALF_ARC_RAD, abs=1e-12)
    # Source: Defossez 1950 ch. V: about 220 deg to each side; 219.54 by the zero of J1.
    assert math.degrees(poise.VANISHING_HALF_ARC_RAD) == pytest.approx(219.54, abs=0.005)
    below, above = (
        poise.poise_rate_s_per_day(moment_kg_m=9e-9, stiffness_n_m_per_rad=2.9e-5, half_arc_rad=math.radians(a))
        for a in (215, 224)
    )
    assert below > 0 > above


@given(st.floats(0, 6.28), st.floats(0.5, 6.0))
def test_a_heavy_spot_turned_half_round_does_the_opposite(angle: float, arc: float) -> None:
    one, other = (
        poise.poise_rate_s_per_day(moment_kg_m=1e-8, stiffness_n_m_per_rad=3e-5, half_arc_rad=arc, angle_rad=a)
        for a in (angle, angle - math.pi)
    )

    assert one == pytest.approx(-other, abs=1e-6)


@given(st.floats(-500, 500), st.floats(0.5, 3.4))
def test_the_moment_comes_back_from_the_rate(rate: float, arc: float) -> None:
    moment = poise.poise_moment_kg_m(rate_s_per_day=rate, stiffness_n_m_per_rad=3e-5, half_arc_rad=arc)
    assume(0 <= moment <= 1e-3)

    assert poise.poise_rate_s_per_day(
        moment_kg_m=moment, stiffness_n_m_per_rad=3e-5, half_arc_rad=arc
    ) == pytest.approx(rate, abs=1e-6)


# Derived: by a separate trial, barrel 42 mm, arbor 14 mm, at most turns.
@pytest.mark.parametrize(("thickness_mm", "turns"), [(0.36, 9.18), (0.40, 8.26), (0.44, 7.51)])
def test_turns_of_three_springs_come_out(thickness_mm: float, turns: float) -> None:
    sizes = {"barrel_m": 0.042, "arbor_m": 0.014, "thickness_m": thickness_mm / 1000}
    length = barrel.best_length_m(**sizes)

    # Derived: two printed decimals
    assert barrel.barrel_turns(length_m=length, **sizes) == pytest.approx(turns, abs=0.005)
    assert barrel.barrel_turns(length_m=length, **sizes) == pytest.approx(barrel.most_turns(**sizes), rel=1e-12)
    assert barrel.fill_ratio(length_m=length, **sizes) == pytest.approx(0.5)  # Derived: half of the room


@given(st.floats(0.3, 0.95), st.floats(0.05, 0.9))
def test_no_other_length_gives_more_turns_than_half_a_barrel(part: float, fill: float) -> None:
    sizes = {"barrel_m": 0.042, "arbor_m": 0.042 * (1 - part), "thickness_m": 0.3e-3}
    best = barrel.best_length_m(**sizes)

    # Derived: rounding only
    assert barrel.barrel_turns(length_m=2 * fill * best, **sizes) <= barrel.most_turns(**sizes) + 1e-9


def test_a_spring_too_long_for_its_barrel_is_refused_with_the_longest_that_goes_in() -> None:
    with pytest.raises(OutOfRange, match="length_m"):
        barrel.barrel_turns(barrel_m=0.042, arbor_m=0.014, thickness_m=0.4e-3, length_m=5.0)
    with pytest.raises(OutOfRange, match="arbor_m"):
        barrel.most_turns(barrel_m=0.01, arbor_m=0.02, thickness_m=0.4e-3)


def test_torque_of_a_spring_and_its_replacement() -> None:
    # Derived: by a separate trial of the same laws: 0.0848 N m a turn; .018 to .0165 in: 0.77; .014 in: 0.47.
    assert mainspring.torque_per_turn_n_m(height_m=0.019, thickness_m=0.4e-3, length_m=1.539) == pytest.approx(
        0.0848, abs=1e-4
    )
    assert mainspring.strength_ratio(thickness_m=0.0165, instead_of_thickness_m=0.018) == pytest.approx(0.77, abs=0.005)
    assert mainspring.strength_ratio(thickness_m=0.014, instead_of_thickness_m=0.018) == pytest.approx(0.47, abs=0.005)
    # Derived: American eight-day strip 3/4 x .018 x 96 in: 9.8e-3 N m/rad between .0165 and .018.
    assert mainspring.torque_per_turn_n_m(height_m=0.01905, thickness_m=0.0173 * 0.0254, length_m=96 * 0.0254) / (
        2 * math.pi
    ) == pytest.approx(0.0113, abs=0.0015)


@given(st.floats(0.01, 1.0), st.floats(1, 20), st.floats(0, 0.9))
def test_energy_is_the_area_under_the_torque(per_turn: float, wound: float, part: float) -> None:
    down = part * wound
    area = quad(
        lambda n: 2 * math.pi * mainspring.torque_n_m(torque_per_turn_n_m=per_turn, turns_from_free=n), down, wound
    )[0]

    assert mainspring.stored_j(torque_per_turn_n_m=per_turn, turns_wound=wound, turns_down=down) == pytest.approx(
        area, rel=1e-9
    )


@given(st.floats(0.01, 1.0), st.floats(0, 0.3))
def test_coil_friction_gives_less_than_winding_takes(per_turn: float, friction: float) -> None:
    out = mainspring.torque_n_m(torque_per_turn_n_m=per_turn, turns_from_free=5, coil_friction_ratio=friction)
    back = mainspring.torque_n_m(torque_per_turn_n_m=per_turn, turns_from_free=5, coil_friction_ratio=-friction)

    assert out + back == pytest.approx(10 * per_turn)  # Derived: as much lost as added


@given(st.floats(0.5, 20), st.floats(0.02, 0.2), st.sampled_from([1.0, 2.0, 4.0]))
def test_weight_and_torque_give_one_another_back_and_work_is_kept(mass: float, drum: float, falls: float) -> None:
    torque = weight_drive.torque_n_m(mass_kg=mass, drum_m=drum, falls_count=falls)

    assert weight_drive.mass_for_torque_kg(torque_n_m=torque, drum_m=drum, falls_count=falls) == pytest.approx(
        mass, rel=1e-12
    )
    # Derived: torque times angle is weight times fall; one turn lets the weight down pi d / falls.
    assert torque * 2 * math.pi == pytest.approx(
        weight_drive.energy_j(mass_kg=mass, drop_m=math.pi * drum / falls), rel=1e-12
    )


def test_a_longcase_weight_gives_about_a_hundred_microwatts() -> None:
    # Source: O. Cooke, Antiquarian Horological Society blog 2013: 12 lb falling some 5 ft in eight days, 1/8500 W.
    assert weight_drive.mean_power_w(mass_kg=12 * 0.45359237, drop_m=5 * 0.3048, going_time_d=8) == pytest.approx(
        1 / 8500, rel=0.01
    )


@given(st.floats(0.05, 0.5), st.floats(1, 6), st.floats(3, 16))
def test_a_computed_fusee_is_even_all_the_way(per_turn: float, set_up: float, turns: float) -> None:
    # A fusee that uses some six turns of the barrel, so that the energy is there.
    torque = per_turn * ((set_up + 6) ** 2 - set_up**2) / (2 * turns)
    radii = fusee.profile_m(
        torque_per_turn_n_m=per_turn,
        set_up_turns=set_up,
        barrel_radius_m=0.02,
        fusee_torque_n_m=torque,
        fusee_turns=turns,
    )
    barrel_torques = [torque * 0.02 / r for r in radii]

    assert fusee.unevenness_ratio(barrel_torques, radii) == pytest.approx(1.0)
    assert all(a > b for a, b in itertools.pairwise(radii))
    # The set-up comes back from the end radii, for barrel torques go as the turns.
    assert fusee.set_up_turns(largest_radius_m=radii[0], smallest_radius_m=radii[-1], barrel_turns=6) == pytest.approx(
        set_up, rel=1e-6
    )


def test_middle_of_three_turns_of_kleinlein_is_a_right_angle_more_than_a_half() -> None:
    # Source: Kleinlein 1920 no. 51: one and a half turns is the normal motion, 270 deg to each side.
    assert math.degrees(balance.half_arc_rad(turns=1.5)) == pytest.approx(270)


def test_quality_counts_every_oscillation_of_the_decay() -> None:
    # Derived: an arc halved over 100 oscillations: pi x 100 / ln 2
    assert balance.quality_ratio(fraction_left_ratio=0.5, periods_count=100.0) == pytest.approx(453.236, abs=0.001)
    once = balance.quality_ratio(fraction_left_ratio=0.5 ** (1.0 / 100.0))
    assert once == pytest.approx(453.236, abs=0.001)  # Derived: the same decay, seen over one


def test_coils_round_an_arbor_laid_one_by_one_use_up_the_length() -> None:
    # Derived: coil j of 8 lies at 7 mm + (j + 1/2) 0.4 mm: sum of 2 pi (7.2, 7.6 ... 10.0) mm = 2 pi x 68.8 mm
    length = 2.0 * math.pi * 68.8e-3

    assert barrel.coils_wound(arbor_m=0.014, thickness_m=0.4e-3, length_m=length) == pytest.approx(8.0, rel=1e-9)


def test_a_spring_that_just_fills_its_barrel_gives_no_turns() -> None:
    full = math.pi * (0.021**2 - 0.007**2) / 0.4e-3  # Derived: the ring's area over the strip's thickness

    given = {"barrel_m": 0.042, "arbor_m": 0.014, "thickness_m": 0.4e-3}
    assert barrel.barrel_turns(length_m=full * (1 - 1e-12), **given) == pytest.approx(0.0, abs=1e-6)
    with pytest.raises(OutOfRange, match="length_m"):
        barrel.barrel_turns(length_m=full * 1.001, **given)


def test_the_torque_of_a_wind_falls_in_a_line_and_stays_at_nought() -> None:
    def at(elapsed: float) -> float:
        return mainspring.working_torque_n_m(full_torque_n_m=0.8, end_ratio=0.55, elapsed_ratio=elapsed)

    # Derived: 0.8 (1 - 0.45 x): whole at first, half way at 0.5, 0.55 of it at the end, nought from 1/0.45 on
    assert [at(x) for x in (0.0, 0.5, 1.0, 2.0)] == pytest.approx([0.8, 0.62, 0.44, 0.08])
    assert at(3.0) == 0.0


def test_a_line_lies_round_the_drum_by_half_its_own_thickness() -> None:
    hung = {"drum_m": 0.050, "line_m": 0.002, "falls_count": 2.0}

    torque = weight_drive.torque_n_m(mass_kg=5.0, **hung)

    # Derived: half of 49.03325 N at 26 mm
    assert torque == pytest.approx(0.637432, rel=1e-6)
    assert weight_drive.mass_for_torque_kg(torque_n_m=torque, **hung) == pytest.approx(5.0)  # Derived: read back
    # Derived: 5 kg falling 1.6 m in 8 days over 3 kg at 1 m: 1/3
    assert weight_drive.driving_ratio(
        weight_kg=5.0, drop_m=1.6, pendulum_kg=3.0, length_m=1.0, going_time_d=8.0
    ) == pytest.approx(1.0 / 3.0)
