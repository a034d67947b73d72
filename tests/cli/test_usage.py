"""What is typed wrong is answered in our form: the field, what was typed, what is allowed; bare `underdial` helps."""

from __future__ import annotations

import json
import shlex

import pytest

from underdial.cli.frame import COMMANDS, main


def _typed(capsys: pytest.CaptureFixture[str], line: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(line))
    out, err = capsys.readouterr()
    return int(ended.value.code or 0), out, err


def test_the_bare_word_prints_the_help_as_it_is_laid_out(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = _typed(capsys, "")
    _, help_asked, _ = _typed(capsys, "--help")

    assert (status, err) == (0, "")  # Source: COMMANDS, exit 0 is done
    assert out == help_asked
    assert all(f"\n  {name} " in out for name in COMMANDS)


@pytest.mark.parametrize(
    ("line", "field", "value", "allowed"),
    [
        ("pallets --escape 3.5 --radius 15mm --span 7.5", "escape", "3.5", "a whole number"),
        ("pallets --escape=x --radius 15mm --span 7.5", "escape", "x", "a whole number"),
        ("pallets --escape 30 --radius 15mm --span wide", "span", "wide", "a number"),
        ("metal --magnet perhaps", "magnet", "perhaps", "yes, no, unknown"),
        ("pallets --kind club", "kind", "club", "deadbeat, recoil, pin"),
        ("listen x.wav --escape 1", "escape", "1", "a whole number, 2 to 500"),
        ("bush", "pivot", "(nothing)", "a number with a unit, of mm, thou, in, um, cm, m, ft"),
        ("bush --outsid 4mm", "outsid", "--outsid", "--outside, --out"),
        ("pallet", "command", "pallet", "pallets"),
    ],
)
def test_field_value_and_what_is_allowed_are_named(
    capsys: pytest.CaptureFixture[str], line: str, field: str, value: str, allowed: str
) -> None:
    status, _, err = _typed(capsys, line)
    told = json.loads(err)["error"]

    assert status == 2  # Source: COMMANDS, exit 2 is a command that will not do
    assert (told["field"], told["value"], told["allowed"]) == (field, value, allowed)
    assert "Invalid" not in told["message"]
    assert value in told["message"] or value == "(nothing)"
