"""`spring`, `hairspring`, `pendulum`, `teeth`, `pallets` as they are typed."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from underdial.mechanics.escapement_action import pin_lift_rad

from .test_gauging import Run, run

__all__ = ["run"]


def test_spring_of_the_example(run: Run) -> None:
    status, answer, _ = run(
        "spring --barrel 42mm --arbor 14mm --thickness 0.40mm --height 19mm --instead-of", "0.44mm x 19mm x 1400mm"
    )

    assert status == 0
    # Derived: docs/explanation/gauging.md, spring, by hand
    assert answer["turns"] == pytest.approx(8.26, abs=0.005)
    assert answer["length_m"] == pytest.approx(1.539, abs=0.0005)
    assert answer["torque_per_turn_n_m"] == pytest.approx(0.0848, abs=0.00005)
    assert answer["fill_ratio"] == pytest.approx(0.5)  # Derived: most turns at half full
    # Derived: cube of thickness, inverse of length
    assert answer["torque_against_ratio"] == pytest.approx((0.40 / 0.44) ** 3 * 1400 / 1539.38, rel=1e-4)
    assert answer["assumed"]["modulus_pa"] == pytest.approx(205e9)  # Pinned: the wording that was settled


def test_springs_of_a_list_are_judged_with_reasons(tmp_path: Path, run: Run) -> None:
    stock = tmp_path / "springs.csv"
    stock.write_text(
        "name,thickness_mm,height_mm,length_mm\nthick,0.46,19,1400\nlike,0.40,19,1540\nlong,0.40,19,3200\nhigh,0.40,21,1540\n"
    )

    _, answer, _ = run(
        "spring --barrel 42mm --arbor 14mm --thickness 0.40mm --height 19mm --turns-needed 7.8 --room-height 20mm "
        "--stock",
        str(stock),
        "--instead-of",
        "0.40mm x 19mm x 1540mm",
    )

    judged = {one["name"]: one["against"] for one in answer["stock"]}
    assert answer["stock"][0]["name"] == "like"
    assert judged["like"] == []
    assert any("as strong" in why for why in judged["thick"])
    assert any("does not go" in why for why in judged["long"])
    assert judged["high"] == ["too high for the barrel"]


def test_hairspring_of_the_example(run: Run) -> None:
    status, answer, _ = run(
        "hairspring --beats-per-hour 14400 --inertia 1.458e-7kgm2 --height 0.45mm --thickness 0.075mm --modulus "
        "200GPa --rate 600s/d"
    )

    assert status == 0
    # Derived: docs/explanation/gauging.md, hairspring, by hand
    assert answer["stiffness_n_m_per_rad"] == pytest.approx(2.302e-5, abs=5e-9)
    assert answer["length_m"] == pytest.approx(0.1374, abs=5e-5)
    assert answer["let_out_m"] == pytest.approx(0.00191, abs=5e-6)
    # Derived: docs/explanation/gauging.md, 1 um is 1728 s/d
    assert answer["thickness_s_per_day_per_um"] == pytest.approx(1728.0)


def test_a_spring_counted_and_vibrated_gives_what_to_let_out(run: Run) -> None:
    _, answer, _ = run(
        "hairspring --beats-per-hour 14400 --inertia 1.458e-7kgm2 --height 0.45mm --thickness 0.075mm --vibrated "
        "7206+-0.5 --vibrated-for 1800s"
    )

    assert answer["vibrated_beats_per_hour"] == pytest.approx(14412.0)  # Derived: 7206 in half an hour
    assert answer["rate_s_per_day"] == pytest.approx(72.0)  # Derived: 12 in 14400 of 86400
    assert answer["rate_u_s_per_day"] == pytest.approx(6.0, rel=1e-3)  # Derived: one beat in 14400 an hour is 6 s/d
    assert answer["let_out_m"] == pytest.approx(2 * answer["length_m"] * 72 / 86400, rel=1e-9)


def test_the_inertia_comes_from_screws_and_the_beats_with_them(run: Run) -> None:
    _, answer, _ = run(
        "hairspring --beats-per-hour 14400 --height 0.45mm --thickness 0.075mm --beats-with 12124.36 --balance-metal "
        "brass --screws",
        "2 x 35mg at 8.2mm",
    )

    added = 2 * 35e-6 * 0.0082**2
    # Derived: added / ((14400/12124.36)^2 - 1)
    assert answer["inertia_kg_m2"] == pytest.approx(added / ((14400 / 12124.36) ** 2 - 1), rel=1e-9)
    # Derived: 86400 ((-2.4e-4 + 3 x 11.5e-6)/2 - 18.9e-6) = -10.5
    assert answer["temperature_s_per_day_per_k"] == pytest.approx(-10.51, abs=0.005)


def test_another_suspension_spring_moves_the_turning_point_and_the_rate(run: Run) -> None:
    thick = (
        "pendulum --length 250mm --bob-mass 450g --suspension",
        "0.10mm x 5mm x 12mm",
        "--suspension-instead-of",
        "0.08mm x 5mm x 12mm",
    )
    status, answer, _ = run(*thick)
    _, same, _ = run(*thick[:3], "0.10mm x 5mm x 12mm")
    alone, _, _ = run("pendulum --length 250mm --bob-mass 450g --suspension-instead-of", "0.08mm x 5mm x 12mm")
    unweighed, error, _ = run("pendulum --length 250mm --suspension", "0.08mm x 5mm x 12mm")

    # Derived: root of 205e9 x 0.005 x (0.0001)^3/12 over 0.45 x 9.80665 N is 4.40 mm; over tanh(12/4.40) 4.44
    assert (status, round(answer["turning_depth_m"] * 1e3, 2)) == (0, 4.44)
    # Derived: the other one turns 3.15 mm below, so the length falls by 1.29 of 250 mm: 43200 x 1.29/250 = 223 s/d
    assert answer["suspension_rate_s_per_day"] == pytest.approx(223.0, abs=3.0)
    assert same["suspension_rate_s_per_day"] == pytest.approx(0.0, abs=1e-9)  # Derived: the same spring
    assert (alone, unweighed, error["error"]["field"]) == (2, 2, "bob-mass")  # Derived: status 2 is the command


def test_a_pendulum_of_unsure_length_gives_beats_as_unsure(run: Run) -> None:
    _, answer, _ = run("pendulum --length 247+-4mm")

    # Derived: 3600/(pi root(0.247/9.80665)) = 7220; half of 4/247 of it is 58
    assert (round(answer["beats_per_hour"]), round(answer["beats_u_per_hour"])) == (7220, 58)


def test_pendulum_of_the_example(run: Run) -> None:
    status, answer, _ = run("pendulum --length 250mm --pitch 0.5mm --rate -300s/d --half-arc 2.5deg --rod steel")

    assert status == 0
    # Derived: docs/explanation/gauging.md, pendulum, by hand
    assert answer["right_length_m"] == pytest.approx(0.248267, abs=5e-7)
    assert answer["beats_per_hour"] == pytest.approx(7177, abs=0.5)
    assert answer["nut_s_per_day_per_turn"] == pytest.approx(86.4, abs=0.05)
    # Derived: the same
    assert answer["turns"] == pytest.approx(3.466, abs=0.0005)
    assert answer["temperature_s_per_day_per_k"] == pytest.approx(-0.497, abs=0.0005)
    assert answer["circular_error_s_per_day"] == pytest.approx(-10.28, abs=0.005)


@pytest.mark.parametrize(
    ("args", "field"),
    [
        ("pendulum", "length"),
        ("pendulum --length 134.7", "length"),
        ("pendulum --length 1m --pitch 0mm", "pitch"),
        ("teeth 64-8 --module 0.6mm", "teeth"),
        ("teeth 64/8 --module 0.6mm --depth-error 2mm", "depth-error"),
        ("pallets --escape 30 --radius 15mm --span 7", "span"),
        ("spring --barrel 14mm --arbor 42mm --thickness 0.4mm --height 19mm", "arbor"),
        ("hairspring --beats-per-hour 14400 --height 0.45mm --thickness 0.075mm", "inertia"),
    ],
)
def test_what_cannot_be_read_gets_one_sentence_that_names_it(run: Run, args: str, field: str) -> None:
    status, answer, _ = run(args)

    assert status == 2  # Derived: status 2 is the command
    assert answer["error"]["field"] == field


def test_a_bare_number_is_told_which_unit_it_lacks(run: Run) -> None:
    _, answer, _ = run("pendulum", "--length", "134.7")

    # Pinned: the wording that was settled
    assert answer["error"]["message"] == "length: 134.7 needs a unit, such as 134.7mm"


def test_teeth_of_the_example_with_dividing_and_cutter(run: Run) -> None:
    status, answer, _ = run("teeth 64/8 --module 0.6mm --worm 60")

    wheel, pinion = answer["wheel"], answer["pinion"]
    assert status == 0
    # Derived: docs/explanation/gauging.md, teeth, by hand
    assert (wheel["teeth_count"], wheel["pitch_diameter_m"], answer["centre_distance_m"]) == pytest.approx(
        (64, 0.0384, 0.0216)
    )
    # Derived: the same
    assert wheel["outside_diameter_m"] == pytest.approx(0.04017, abs=5e-6)
    assert wheel["addendum_ratio"] == pytest.approx(1.475, abs=0.0005)
    # Derived: the same
    assert wheel["addendum_pointed_ratio"] == pytest.approx(1.552, abs=0.0005)
    # Derived: docs/explanation/gauging.md, 1.05 modules up to 10 leaves
    assert pinion["leaf_thickness_m"] == pytest.approx(1.05 * 0.6e-3)
    # Derived: 60 turns over 64 teeth
    assert (wheel["index"]["turns_count"], wheel["index"]["holes_count"] / wheel["index"]["circle_count"]) == (
        0,
        60 / 64,
    )
    assert answer["velocity_ratio"][0] < 1.0 < answer["velocity_ratio"][1]  # Derived: they swing about the mean


def test_pallets_of_the_example(run: Run) -> None:
    status, answer, _ = run(
        "pallets --escape 30 --radius 15mm --span 7.5 --kind deadbeat --lift 2deg --drop 1.5deg --lock 1deg"
    )

    assert status == 0
    # Derived: docs/explanation/gauging.md, pallets, by hand
    assert answer["centre_distance_m"] == pytest.approx(0.021213, abs=5e-7)
    assert answer["entry"]["locking_radius_m"] == pytest.approx(0.015589, abs=5e-7)
    assert answer["entry"]["releasing_radius_m"] == pytest.approx(0.014411, abs=5e-7)
    # Derived: the same
    assert answer["entry"]["impulse_face_m"] == pytest.approx(0.00129, abs=5e-6)
    assert answer["exit"]["locking_radius_m"] == pytest.approx(0.014411, abs=5e-7)


def test_an_existing_file_is_not_written_over_and_an_ending_not_known_is_said(tmp_path: Path, run: Run) -> None:
    out = tmp_path / "wheel.svg"
    first, _, _ = run("teeth", "64/8", "--module", "0.6mm", "--out", str(out))
    again, answer, _ = run("teeth", "64/8", "--module", "0.6mm", "--out", str(out))
    replaced, _, _ = run("teeth", "64/8", "--module", "0.6mm", "--out", str(out), "--replace")
    odd, other, _ = run("teeth", "64/8", "--module", "0.6mm", "--out", str(tmp_path / "wheel.step"))

    # Derived: status 2: the file is there, or the ending not known
    assert (first, again, replaced, odd) == (0, 2, 0, 2)
    assert answer["error"]["field"] == other["error"]["field"] == "out"
    assert ".dxf" in other["error"]["message"]


def test_pins_and_the_teeth_that_go_with_them_share_half_a_pitch_and_give_the_lift(run: Run) -> None:
    wheel = "pallets --escape 30 --radius 15mm --span 7.5 --kind pin --lift 2deg --drop 1.5deg"

    _, found, _ = run(f"{wheel} --pin-diameter 0.4mm")
    _, thick, _ = run(f"{wheel} --pin-diameter 1.1mm")
    status, refused, _ = run(f"{wheel} --pin-diameter 1.2mm")

    # Derived: half a pitch of 6 deg and 1.5 deg of drop leave 4.5 deg at 15 mm, 1.17810 mm; the pin takes 0.4 of them
    assert found["tooth_face_m"] == pytest.approx(0.77810e-3, abs=0.00001e-3)
    # Derived: 2 deg of lift on an arm of 15 mm are 0.52360 mm; the pin's radius gives 0.2, the face the rest:
    # atan(0.41590)
    assert found["tooth_slope_deg"] == pytest.approx(22.58, abs=0.01)
    given = pin_lift_rad(
        pin_diameter_m=0.4e-3,
        arm_m=found["pallet_radius_m"],
        tooth_slope_rad=math.radians(found["tooth_slope_deg"]),
        face_m=found["tooth_face_m"],
    )
    assert math.degrees(given) == pytest.approx(2.0, rel=1e-9)  # Derived: the handbook's lift of pin and face together
    assert thick["tooth_slope_deg"] is None  # Derived: half of 1.1 mm is more than 0.52360 mm
    assert status == 2  # Derived: status 2, an input that will not do
    assert refused["error"]["field"] == "pin-diameter"
    assert "below 1.18mm" in refused["error"]["message"]


def test_pin_pallets_are_told_by_their_pins_and_recoil_pallets_by_their_lean(run: Run) -> None:
    wheel = "pallets --escape 30 --radius 15mm --span 7.5 --words"
    _, _, pins = run(f"{wheel} --kind pin --pin-diameter 0.6mm")
    _, _, recoil = run(f"{wheel} --kind recoil --recoil 20deg")

    assert "Pins of 0.600 mm." in pins
    assert "impulse face" not in pins
    assert "The faces lean 20 deg off their arcs" in recoil


def test_a_pendulum_on_paper_has_every_size_that_was_reckoned(run: Run) -> None:
    from underdial.bench.sums.drawings import _pendulum_rows

    _, answer, _ = run("pendulum --length 250mm --pitch 0.5mm --rate -300s/d --half-arc 2.5deg --rod steel")
    rows = dict(_pendulum_rows(answer))

    # Derived: docs/reference/commands.md, the example beside the command
    assert rows["right length"] == "248.27 mm"
    assert rows["one turn of the nut"] == "86.4 s/d"
    assert rows["raise the bob by"] == "3.466 turns of the nut"
    assert {"length", "beats an hour", "a degree warmer", "circular error"} <= set(rows)
