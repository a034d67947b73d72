"""`runout`, `metal`, `poise`, `bush`, `cone` as they are typed: examples, refusals, sentences."""

from __future__ import annotations

import json
import math
import shlex
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.gauging.parts import staff
from underdial.cli.frame import main

Run = Callable[..., tuple[int, dict[str, Any], str]]
POISE = "up_deg,amplitude_deg,rate_s_per_day\n0,{a},23.56\n90,{a},-19.77\n180,{a},-23.56\n270,{a},19.77\n"
BUSH = (
    "bush --pivot 1.20mm --plate 1.6mm --lean 2.5deg --hole 1.45mm --hole-long 1.62mm --worn-toward 140deg "
    "--outside 4.0mm --interference 6um --press-friction 0.2 --yield 200MPa"
)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run one command, its first words in one string: exit status, its JSON answer (or error), what it wrote in
    words.
    """

    def once(*args: str) -> tuple[int, dict[str, Any], str]:
        with pytest.raises(SystemExit) as ended:
            main([*shlex.split(args[0]), *args[1:]])
        out, err = capsys.readouterr()
        text = out or err
        return int(ended.value.code or 0), json.loads(text) if text.startswith("{") else {}, text

    return once


def table(seen: Any) -> str:
    rows = (
        f"{z * 1e3:.4f},{math.degrees(t):.3f},{y * 1e6:.4f}"
        for z, t, y in zip(seen.z_m, seen.angles_rad, seen.readings_m, strict=True)
    )
    return "z_mm,angle_deg,reading_um\n" + "\n".join(rows) + "\n"


def test_runout_of_a_bent_staff_says_where_how_much_and_what_to_do(tmp_path: Path, run: Run) -> None:
    file = tmp_path / "readings.csv"
    file.write_text(table(staff(np.random.default_rng(13), slope=4.5e-3, z_b=0.013, angle=math.radians(70.0))))

    status, answer, _ = run("runout", str(file), "--noise", "1.5um")

    assert status == 0
    assert (answer["verdict"], answer["model"]) == ("bent", "kink")
    bend = answer["bend"]
    assert bend["z_m"] == pytest.approx(0.013, abs=3 * bend["z_u_m"])  # Derived: as planted
    assert bend["angle_deg"] == pytest.approx(70.0, abs=3 * bend["angle_u_deg"])  # Derived: as planted
    assert bend["tir_at_end_m"] == pytest.approx(153e-6, abs=3 * bend["tir_at_end_u_m"])  # Derived: 2 x 4.5 um x 17 mm
    # Derived: definition
    assert all(one["tir_m"] == pytest.approx(2.0 * one["eccentricity_m"]) for one in answer["stations"])
    assert "press the free end away from" in answer["advice"]
    assert {"warnings", "sources", "noise_m", "smallest_tir_m", "bow_m", "reason"} <= set(answer)


def test_too_few_stations_exit_with_the_same_keys_and_a_reason(tmp_path: Path, run: Run) -> None:
    few, many = tmp_path / "few.csv", tmp_path / "many.csv"
    few.write_text(table(staff(np.random.default_rng(1), stations=3)))
    many.write_text(table(staff(np.random.default_rng(1))))

    status, refused, _ = run("runout", str(few))
    _, answered, _ = run("runout", str(many))

    assert status == 1
    assert (refused["verdict"], refused["model"], refused["bend"]) == ("refused", None, None)
    assert "3 stations" in refused["reason"]
    assert set(refused) == set(answered)


@pytest.mark.parametrize(
    ("text", "field", "says"),
    [
        ("z_mm,angle_deg\n0,0\n", "file", "reading_um"),
        ("z_mm,angle_deg,reading_um\n0,0,a\n", "reading_um", "line 2"),
        ("z_mm,angle_deg,reading_um\n0,0\n", "file", "line 2 has 2 values"),
        ("", "file", "nothing in it"),
        ("z_mm,angle_deg,reading_um,speed\n0,0,1,2\n", "file", "speed"),
    ],
)
def test_a_table_that_cannot_be_read_gets_one_sentence(
    tmp_path: Path, run: Run, text: str, field: str, says: str
) -> None:
    file = tmp_path / "bad.csv"
    file.write_text(text)

    status, answer, _ = run("runout", str(file))

    assert status == 2  # Derived: status 2 is the command
    assert answer["error"]["field"] == field
    assert says in answer["error"]["message"]


def test_a_wheel_is_told_out_of_flat_from_out_of_round(tmp_path: Path, run: Run) -> None:
    file = tmp_path / "wheel.csv"
    rows = [
        f"{d},{40 * math.cos(math.radians(d) - 2):.3f},{30 * math.cos(math.radians(d) - 1):.3f}"
        for d in range(0, 360, 15)
    ]
    file.write_text("angle_deg,face_um,rim_um\n" + "\n".join(rows) + "\n")

    status, answer, _ = run("runout", str(file), "--radius", "20mm")

    assert status == 0
    assert answer["askew_deg"] == pytest.approx(math.degrees(0.002), rel=1e-3)  # Derived: 40 um over 20 mm
    assert answer["eccentricity_m"] == pytest.approx(30e-6, rel=1e-3)  # Derived: as planted


def test_metal_of_the_example(run: Run) -> None:
    status, answer, _ = run("metal --air 23.418+-0.005g --water 20.655+-0.005g --water-temperature 20degC --magnet no")

    assert status == 0
    # Derived: docs/explanation/gauging.md, metal, by hand
    assert round(answer["density_kg_per_m3"]) == 8451
    assert round(answer["density_u_kg_per_m3"]) == 20  # Derived: the same
    assert answer["metals"][0]["metal"] == "brass"
    assert math.fsum(one["probability"] for one in answer["metals"]) == pytest.approx(1.0)  # Derived: chances
    assert next(one["treatment"] for one in answer["forbids"]) == "ammonia_cleaning"


def test_one_weight_alone_is_asked_back(run: Run) -> None:
    status, answer, _ = run("metal", "--air", "23g")

    assert status == 2  # Derived: status 2 is the command
    assert answer["error"]["field"] == "water"


def test_without_a_clue_no_metal_is_named_and_the_first_test_is(run: Run) -> None:
    status, answer, _ = run("metal")
    _, told, _ = run("metal --magnet no")

    # Derived: status 1 is a refusal
    assert (status, answer["verdict"], answer["metals"], answer["next_test"]) == (1, "refused", None, "magnet")
    assert "magnet first" in answer["reason"]
    assert set(told) <= set(answer)
    assert (told["verdict"], told["next_test"]) == ("told", "weigh_in_air_and_water")


def test_poise_of_the_example_and_the_blind_arc(tmp_path: Path, run: Run) -> None:
    options = ("--inertia", "2.1e-7kgm2", "--beats-per-hour", "18000", "--radius", "9mm")
    good, blind = tmp_path / "good.csv", tmp_path / "blind.csv"
    good.write_text(POISE.format(a=140))
    blind.write_text(POISE.format(a=215))

    status, answer, _ = run("poise", str(good), *options)
    refused, other, _ = run("poise", str(blind), *options)

    # Derived: docs/explanation/gauging.md, poise, by hand
    assert (status, round(answer["heavy_mass_mg"], 2), round(answer["angle_deg"])) == (0, 1.00, 140)
    assert refused == 1
    assert (other["verdict"], other["heavy_mass_mg"]) == ("refused", None)
    assert set(answer) - {"left_s_per_day"} <= set(other)


def test_bush_of_the_example(run: Run) -> None:
    status, answer, _ = run(BUSH)

    assert status == 0
    # Derived: docs/explanation/gauging.md, bush, by hand
    assert answer["bore_m"] == pytest.approx(0.00127, abs=5e-6)
    assert answer["clearance_m"] == pytest.approx(6.99e-5, abs=5e-8)
    assert answer["centre_offset_m"] == pytest.approx(8.5e-5, abs=5e-7)
    # Derived: the same
    assert answer["centre_toward_deg"] == pytest.approx(320.0)
    assert answer["pressure_pa"] == pytest.approx(6.74e7, abs=5e4)
    assert answer["push_out_n"] == pytest.approx(271.0, abs=0.5)
    # Derived: the same
    assert answer["bore_closes_m"] == pytest.approx(1.9e-6, abs=5e-8)
    assert answer["hoop_pa"] == pytest.approx(1.5e8, abs=5e6)


def test_a_fit_that_would_overstress_the_bush_is_refused_with_what_will_do(run: Run) -> None:
    status, answer, _ = run(BUSH.replace("6um", "12um"))

    assert status == 1
    assert (answer["verdict"], answer["push_out_n"], answer["bore_before_m"]) == ("refused", None, None)
    # Derived: 6 um gives 150 MPa, so 200 MPa is at 8 um
    assert answer["largest_interference_m"] == pytest.approx(8e-6, rel=1e-6)
    assert "300 MPa" in answer["reason"]


def test_a_pivot_thicker_than_its_hole_is_refused_in_words_and_one_within_their_errors_is_not(
    tmp_path: Path, run: Run
) -> None:
    status, answer, _ = run(BUSH.replace("1.45mm", "1.15mm"))
    close, _, _ = run(BUSH.replace("1.45mm", "1.199+-0.005mm"))
    drawn, undrawn, _ = run(BUSH.replace("1.45mm", "1.15mm"), "--out", str(tmp_path / "bush.svg"))

    # Derived: status 1 is a refusal
    assert (status, answer["verdict"], answer["bore_m"], answer["push_out_n"]) == (1, "refused", None, None)
    assert "1.2 mm does not go into a hole of 1.15 mm" in answer["reason"]
    assert close == 0
    assert (drawn, undrawn["error"]["field"]) == (2, "out")  # Derived: status 2 is the command


def test_neither_clearance_nor_lean_is_asked_back_and_a_bush_chosen_from_the_stock(tmp_path: Path, run: Run) -> None:
    stock = tmp_path / "stock.csv"
    stock.write_text("name,outside_mm,bore_mm,length_mm\nA,1.7,0.8,2\nB,2.5,1.0,2\n")

    status, answer, _ = run("bush", "--pivot", "1.20mm", "--plate", "1.6mm")
    _, chosen, _ = run(
        BUSH, "--stock", str(stock), "--mate-toward", "140deg", "--centre-distance", "20mm", "--module", "0.5mm"
    )

    assert status == 2  # Derived: status 2 is the command
    assert answer["error"]["field"] == "clearance"
    assert chosen["stock"]["chosen"] == "B"
    # Derived: the arbor sits 0.17 mm from its true centre, towards the mate, a third of a module
    assert chosen["depth_change_m"] == pytest.approx(-170e-6, abs=1e-7)
    assert chosen["depth_change_modules"] == pytest.approx(-0.34, abs=0.01)


def test_cone_of_the_example(run: Run) -> None:
    status, answer, _ = run("cone --tip-radius 0.06mm --cup-radius 0.20mm --mass 1.8g --friction 0.18")

    assert status == 0
    assert answer["dial_up"]["contact"] == "point"
    # Derived: docs/explanation/gauging.md, cone, by hand
    assert answer["dial_up"]["torque_n_m"] == pytest.approx(4.04e-9, abs=5e-12)
    assert answer["upright"]["torque_n_m"] == pytest.approx(1.906e-7, abs=5e-11)  # Derived: the same


def test_re_pointing_a_cone_gains_amplitude_by_the_energy_of_a_beat(run: Run) -> None:
    from underdial.mechanics.balance import stiffness_n_m_per_rad

    _, answer, _ = run(
        "cone --tip-radius 0.12mm --cup-radius 0.20mm --mass 1.8g --after-tip-radius 0.05mm --amplitude-upright "
        "110deg --inertia 2.1e-7kgm2 "
        "--beats-per-hour 18000 --quality 130 --end-shake 0.05mm --staff-length 18mm --pit 0.03mm"
    )

    k = stiffness_n_m_per_rad(inertia_kg_m2=2.1e-7, beats_per_hour=18000.0)
    before, after = answer["upright"]["torque_n_m"], answer["after"]["upright"]["torque_n_m"]
    arc, new = math.radians(110.0), math.radians(answer["after"]["amplitude_upright_deg"])
    # Derived: loss a beat 2 T A + (pi/2)(k/Q) A^2 stays what it was
    assert 2 * after * new + math.pi / 2 * k / 130 * new**2 == pytest.approx(
        2 * before * arc + math.pi / 2 * k / 130 * arc**2, rel=1e-9
    )
    assert answer["side_shake_m"] == pytest.approx(0.05e-3)  # Derived: tan of half 90 deg
    assert answer["after"]["staff_left_m"] == pytest.approx(17.97e-3)  # Derived: 18 less 0.03 mm


@pytest.mark.parametrize(
    ("options", "field"),
    [
        ("--module 0mm --mate-toward 0deg", "module"),
        ("--worn-toward 1e9deg", "worn-toward"),
        ("--plate -1mm", "plate"),
        ("--interference 5mm", "interference"),
        ("--yield 0MPa", "yield"),
        ("--press-friction -1", "press-friction"),
        ("--centre-distance 0mm", "centre-distance"),
    ],
)
def test_a_size_that_no_clock_has_is_refused_by_name(run: Run, options: str, field: str) -> None:
    status, answer, _ = run(f"{BUSH} {options}")

    assert status == 2  # Derived: status 2 is the command
    assert answer["error"]["field"] == field
    assert "outside" in answer["error"]["message"]


@pytest.mark.parametrize(
    "options",
    [
        "--friction 0",
        "--quality 0",
        "--pit -1mm",
        "--amplitude-upright 0deg",
        "--mass 0g",
        "--tip-radius 0mm",
        "--cone-angle 120deg",
    ],
)
def test_a_pivot_that_no_clock_has_is_refused_in_one_sentence(run: Run, options: str) -> None:
    status, answer, _ = run(f"cone --tip-radius 0.06mm --cup-radius 0.2mm --mass 1.8g {options}")

    assert status == 2  # Derived: status 2 is the command
    assert options.split()[0].lstrip("-").split("-")[0] in answer["error"]["field"]


@pytest.mark.parametrize(
    "command",
    [
        "metal --air 23.4g --water 20.6g --words",
        BUSH + " --words",
        "cone --tip-radius 0.06mm --cup-radius 0.20mm --mass 1.8g --end-shake 0.04mm --words",
    ],
)
def test_words_carry_no_exponent_and_end_in_a_full_sentence(run: Run, command: str) -> None:
    status, _, words = run(command)

    assert status == 0
    assert not any(f"e{sign}" in words for sign in ("+0", "-0"))
    assert words.rstrip().endswith((".", ")"))


def test_two_positions_ask_for_a_third_and_not_for_less_swing(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "poise.csv"
    file.write_text("\n".join(POISE.format(a=140).splitlines()[:3]))

    _, answer, text = run(f"poise {file} --inertia 2.1e-7kgm2 --beats-per-hour 18000 --radius 9mm")

    assert "read three or more round the rim" in text
    assert "spring down" not in text
    assert answer


def test_a_bush_no_larger_than_its_bore_is_refused_by_its_own_name(run: Run) -> None:
    status, answer, _ = run("bush --pivot 1.20mm --plate 1.6mm --lean 2.5deg --outside 1.1mm --interference 6um")

    assert status == 2  # Source: COMMANDS, exit 2 is a command that will not do
    assert answer["error"]["field"] == "outside"
    assert answer["error"]["value"] == "1.1mm"


@pytest.mark.parametrize(
    ("half", "said"),
    [
        ("--interference 6um", "outside diameter of the bush is not given"),
        ("--outside 4mm", "interference is not given"),
    ],
)
def test_half_a_fit_is_not_passed_over_in_silence(run: Run, half: str, said: str) -> None:
    status, answer, _ = run(f"bush --pivot 1.20mm --plate 1.6mm --lean 2.5deg {half}")

    assert status == 0  # Source: COMMANDS, exit 0 is done
    assert any(said in one for one in answer["warnings"])


def test_no_exactness_is_claimed_that_nobody_told(run: Run) -> None:
    _, _, bare = run("bush --pivot 1.20mm --plate 1.6mm --lean 2.5deg --hole 1.45mm --hole-long 1.62mm --words")
    _, _, told = run("bush --pivot 1.20+-0.005mm --plate 1.6mm --lean 2.5deg --words")

    assert "±" not in bare
    assert "No uncertainty was told of what was read" in bare
    assert "Bore 1.270 ± 0.005 mm" in told


def test_a_magnet_that_holds_to_what_weighs_as_brass_is_said_to_disagree(run: Run) -> None:
    weighed = "metal --air 23.418+-0.005g --water 20.655+-0.005g"
    _, at_odds, _ = run(f"{weighed} --magnet yes")
    _, agreed, _ = run(f"{weighed} --magnet no")
    _, steel, _ = run("metal --air 78.4+-0.01g --water 68.4+-0.01g --magnet no")

    assert "do not agree: they speak for brass" in at_odds["warnings"][0]
    assert not any("do not agree" in one for one in agreed["warnings"])
    assert any("do not agree" in one for one in steel["warnings"])
