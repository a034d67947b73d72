"""The command `diagnose`: a file, standard input, a movement outside the model, and a file that is not there."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from underdial.cli.frame import main


def run(argv: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(argv)
    out = capsys.readouterr()
    return int(ended.value.code or 0), out.out, out.err


def test_a_case_file_is_answered_as_one_json_object(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case = tmp_path / "case.json"
    case.write_text(
        json.dumps({"family": "french_round_pendulum", "complaint": {"strikes": "wrong_count"}}), encoding="utf-8"
    )

    status, out, _ = run(["diagnose", str(case), "--json"], capsys)

    assert status == 0  # Source: docs/reference, exit 0 done
    assert json.loads(out)["causes"][0]["fault"] == "CNT-04"


def test_a_movement_outside_the_model_ends_with_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case = tmp_path / "case.json"
    case.write_text(json.dumps({"family": "french_round_pendulum", "movement": {"power": "battery"}}), encoding="utf-8")

    status, out, _ = run(["diagnose", str(case), "--json"], capsys)

    assert status == 1  # Source: docs/reference, exit 1 refused
    assert json.loads(out)["verdict"] == "refused"


@pytest.mark.parametrize("text", ["{", '{"complaint": {}}'])
def test_a_bad_case_file_ends_with_two_and_one_line(
    text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    case = tmp_path / "case.json"
    case.write_text(text, encoding="utf-8")

    status, out, err = run(["diagnose", str(case)], capsys)

    assert status == 2  # Source: docs/reference, exit 2 command or file
    assert out == ""
    assert err.count("\n") == 1  # Source: docs/reference, one line on standard error
    assert json.loads(err)["error"]["message"]


def test_a_file_that_is_not_there_ends_with_two(capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = run(["diagnose", "no_such_case.json"], capsys)

    assert status == 2  # Source: docs/reference, exit 2 command or file
    assert "no_such_case.json" in err


def test_an_option_in_the_wrong_place_is_refused_in_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = run(["--shop", "here", "diagnose", "31"], capsys)

    assert status == 2  # Source: docs/reference, exit 2 refused
    assert "?." not in err
    assert "see underdial --help." in err
