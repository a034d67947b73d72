"""`train`, `strike`, `missing`, `formula` as typed: answers, refusals and exit statuses."""

from __future__ import annotations

import io
import json
import math
from pathlib import Path
from typing import Any

import pytest

from underdial.cli.frame import main


def _run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, dict[str, Any]]:
    with pytest.raises(SystemExit) as ended:
        main(list(argv))
    said = capsys.readouterr()
    return int(ended.value.code or 0), json.loads(said.out or said.err)


def test_a_train_is_answered_as_promised(capsys: pytest.CaptureFixture[str]) -> None:
    status, answer = _run(capsys, "train", "96/8 64/8 60/8", "--escape", "30", "--turns", "16")

    assert status == 0
    # Derived: docs/reference/commands.md, the example beside the command.
    assert (answer["beats_per_hour"], answer["escape_rev_per_hour"], answer["going_time_h"]) == (3600, 60, 192)
    assert answer["pendulum_length_m"] == pytest.approx(0.99362, abs=5e-6)
    assert answer["arbors"][0] == {
        "name": "great_wheel",
        "period_s": 43200,
        "rev_per_hour": pytest.approx(1 / 12),
        "hour": False,
    }
    # Source: standard gravity, the default of docs/reference/commands.md
    assert answer["assumed"] == {"gravity_m_per_s2": 9.80665}


def test_a_weight_line_gives_the_turns_and_a_balance_has_no_length(capsys: pytest.CaptureFixture[str]) -> None:
    _, answer = _run(
        capsys,
        "train",
        "96/8 64/8 60/8",
        "--escape",
        "30",
        "--weight-drop",
        "1.4m",
        "--drum",
        "45mm",
        "--falls",
        "2",
        "--line",
        "1mm",
        "--oscillator",
        "balance",
    )

    # Derived: drop times falls over pi (drum + line), twelve hours to a turn.
    assert answer["going_time_h"] == pytest.approx(12 * 1.4 * 2 / (math.pi * 0.046))
    assert answer["pendulum_length_m"] is None


def test_a_strike_train_is_answered_as_promised(capsys: pytest.CaptureFixture[str]) -> None:
    _, answer = _run(capsys, "strike", "78/8 64/8", "--pins", "8", "--turns", "16")

    # Derived: docs/reference/commands.md, the example beside the command.
    assert (
        answer["blows_per_12h_count"],
        answer["blows_per_great_turn_count"],
        answer["blows_per_wind_count"],
        answer["going_time_h"],
    ) == (78, 78, 1248, 192)


def test_a_rack_whose_snail_is_worn_exits_with_one(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "snail.csv"
    radii = [20 - 2 * 30 * math.sin(math.radians(h)) for h in range(12)]
    file.write_text("hour,snail_radius_mm\n" + "".join(f"{h + 1},{r}\n" for h, r in enumerate(radii)))
    good, answer = _run(capsys, "strike", "rack", str(file), "--tail", "30mm", "--tooth-angle", "2deg")
    bad, wrong = _run(capsys, "strike", "rack", str(file), "--tail", "30mm", "--tooth-angle", "2.3deg")

    assert (good, answer["verdict"]) == (0, "sound")
    assert [one["blows_count"] for one in answer["hours"]] == list(range(1, 13))
    assert (bad, wrong["verdict"]) == (1, "failed")


def test_a_rack_names_the_size_that_will_not_do_and_counts_one_blow_as_one(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "snail.csv"
    file.write_text("hour,snail_radius_mm\n1,20\n2,18.95\n")
    status, answer = _run(capsys, "strike", "rack", str(file), "--tail", "30mm", "--tooth-angle", "0deg")
    with pytest.raises(SystemExit):
        main(["strike", "rack", str(file), "--tail", "30mm", "--tooth-angle", "2deg", "--words"])
    words = capsys.readouterr().out

    assert status == 2  # Source: COMMANDS, exit 2 is a command that will not do
    assert (answer["error"]["field"], answer["error"]["value"]) == ("tooth-angle", "0deg")
    assert "1: 1 blow\n" in words
    assert "2: 2 blows\n" in words


def test_a_formula_says_when_no_uncertainty_was_told(capsys: pytest.CaptureFixture[str]) -> None:
    _, bare = _run(capsys, "formula", "pendulum_length", "beats_per_hour=3600")
    _, told = _run(capsys, "formula", "pendulum_length", "beats_per_hour=3600+-1")

    assert bare["warnings"] == ["No uncertainty was told of what was put in, so none is carried: u is 0."]
    assert told["warnings"] == []


def test_missing_counts_come_with_probabilities_and_advice(capsys: pytest.CaptureFixture[str]) -> None:
    status, answer = _run(
        capsys, "missing", "96/8 64/? ?/8", "--escape", "30", "--pendulum", "994+-4mm", "--limit", "3"
    )

    assert status == 0
    assert len(answer["candidates"]) == 3
    assert answer["candidates"][0]["train"] == "96/8 64/8 60/8"
    assert not answer["settled"]
    assert "centre distance" in answer["advice"]


def test_missing_counts_that_nothing_fits_exit_with_one_and_keep_the_keys(capsys: pytest.CaptureFixture[str]) -> None:
    status, answer = _run(capsys, "missing", "96/8 64/? ?/8", "--escape", "30", "--beats-per-hour", "3601")

    assert (status, answer["verdict"], answer["candidates"], answer["settled"]) == (1, "refused", [], False)
    assert answer["reason"]


def test_sizes_of_a_mesh_that_contradict_each_other_are_said_with_what_they_ask_for(
    capsys: pytest.CaptureFixture[str],
) -> None:
    lost = (
        "missing",
        "96/8 64/? ?/8",
        "--escape",
        "30",
        "--pendulum",
        "994+-4mm",
        "--centre-distance",
        "3-4=24.1+-0.1mm",
        "--leaves",
        "6,7,8",
    )
    status, answer = _run(capsys, *lost, "--outside-diameter", "3w=33.2mm")
    agreed, found = _run(capsys, *lost, "--outside-diameter", "3w=44.6+-0.2mm")

    assert (status, answer["verdict"], answer["candidates"]) == (1, "refused", [])  # Derived: status 1 is a refusal
    assert "Centres 3-4, 24.1 mm apart, ask for a wheel of" in answer["reason"]
    assert "33.2 mm was read" in answer["reason"]
    # Derived: module 2 x 24.1/68 = 0.7088; (60 + 2 x 1.47) modules are 44.6 mm
    assert (agreed, found["candidates"][0]["train"]) == (0, "96/8 64/8 60/8")


@pytest.mark.parametrize(
    ("argv", "field"),
    [
        (["train", "96/8 x", "--escape", "30"], "train"),
        (["train", "96/8"], "escape"),
        (["train", "96/8 64/8", "--escape", "0"], "escape"),
        (["train", "96/8 64/8", "--escape", "30", "--weight-drop", "1.4"], "weight-drop"),
        (["train", "96/? 64/8", "--escape", "30"], "train"),
        (["train", "96/8 64/8", "--escape", "30", "--weight-drop", "1.4m"], "drum"),
        (["missing", "96/8 64/? ?/8", "--escape", "30", "--pendulum", "994"], "pendulum"),
        (["missing", "96/8 64/? ?/8", "--escape", "30"], "beats-per-hour"),
        (["missing", "96/8 64/?", "--escape", "0", "--beats-per-hour", "3600"], "escape"),
        (["missing", "96/8 64/?", "--beats-per-hour", "3600", "--centre-distance", "3=2mm"], "centre-distance"),
        (["missing", "96/8 64/?", "--beats-per-hour", "3600", "--wheel-range", "9"], "wheel-range"),
        (["strike", "78/8"], "pins"),
        (["strike", "rack"], "file"),
        (["train", "96/8 64/8", "--escape", "30", "--turns", "nan"], "turns"),
        (["strike", "78/8 64/8", "--pins", "8", "--turns", "-3"], "turns"),
        (["missing", "96/8 64/?", "--beats-per-hour", "3600", "--outside-diameter", "9w=33mm"], "outside-diameter"),
        (["train", "96/8", "--escape", "30", "--gravity", "9.8m/s2", "--latitude", "5deg"], "latitude"),
        (["train", "96/8", "--escape", "30", "--latitude", "200deg"], "latitude"),
        (["pendulum", "--length", "250mm", "--half-arc", "200deg"], "half-arc"),
        (["formula", "pendulum_length", "beats_per_hour=quick"], "beats_per_hour"),
        (["formula", "nothing_like_it"], "formula"),
    ],
)
def test_what_cannot_be_done_is_one_line_naming_its_field(
    capsys: pytest.CaptureFixture[str], argv: list[str], field: str
) -> None:
    status, answer = _run(capsys, *argv)

    assert status == 2  # Derived: docs/reference/commands.md, exit statuses
    assert answer["error"]["field"] == field
    assert "\n" not in answer["error"]["message"]


def test_the_handbook_is_listed_shown_and_computed(capsys: pytest.CaptureFixture[str]) -> None:
    _, listed = _run(capsys, "formula")
    _, page = _run(capsys, "formula", "pallet_centre")
    _, answer = _run(capsys, "formula", "pallet_centre", "radius_m=15mm", "span_deg=90")

    assert {"name", "title", "parameters", "returns", "source"} <= set(listed["formulas"][0])
    assert [one["name"] for one in page["parameters"]] == ["radius_m", "span_deg"]
    assert answer["value"] == pytest.approx(0.015 * math.sqrt(2))  # Derived: R / cos 45 deg
    assert {"name", "value", "u", "unit", "source", "warnings", "sources"} <= set(answer)


def test_a_range_is_said_in_the_unit_of_the_bench(capsys: pytest.CaptureFixture[str]) -> None:
    _, answer = _run(capsys, "spring", "--barrel", "42mm", "--arbor", "14mm", "--height", "19mm", "--thickness", "40mm")

    assert answer["error"]["field"] == "thickness"
    # Derived: the range of the formula, 1 um to 10 mm, said in millimetres.
    assert answer["error"]["message"] == "thickness: 40 mm is outside the range in which this holds, 0.001 to 10 mm."


@pytest.mark.parametrize(
    ("given", "status"), [(b"\xef\xbb\xbfhour,snail_radius_mm\r\n1,20\r\n", 0), (b"\xff\xfe\x00", 2)]
)
def test_a_table_from_standard_input_is_read_as_from_a_file(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, given: bytes, status: int
) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(given)))
    ended, _ = _run(capsys, "strike", "rack", "-", "--tail", "30mm", "--tooth-angle", "2deg")

    assert ended == status  # Derived: a byte order mark is no content; the other is no text
