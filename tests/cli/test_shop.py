"""`check`, `backup`, `restore`, `export`, `import` as typed: answers, refusals and exit statuses."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from tests.bench.conftest import NOON
from underdial.bench.counter.receiving import receive_clock
from underdial.bench.shop import open_shop
from underdial.cli.frame import main
from underdial.record.clock import Clock
from underdial.record.visit import Visit


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop with one clock, named by the environment."""
    place = tmp_path / "shop"
    shop = open_shop(place)
    receive_clock(shop, Clock(tag="drum", name="drum timepiece"), Visit(received_at=NOON))
    shop.engine.dispose()
    monkeypatch.setenv("UNDERDIAL_SHOP", str(place))
    return place


def typed(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, dict[str, Any], str]:
    """Exit status, the answer, and what stands on standard error."""
    with pytest.raises(SystemExit) as ended:
        main([*words])
    out, err = capsys.readouterr()
    assert isinstance(ended.value.code, int)
    return ended.value.code, json.loads(out) if out else {}, err


def refused(err: str) -> dict[str, Any]:
    """The one line of a refusal, read."""
    assert err.count("\n") == 1
    found = json.loads(err)["error"]
    assert set(found) == {"field", "value", "allowed", "message"}
    assert isinstance(found, dict)
    return found


def test_a_sound_shop_answers_sound(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, told, _ = typed(capsys, "check")

    assert status == 0  # Source: COMMANDS, exit 0 is done.
    assert told == {"verdict": "sound", "problems": [], "warnings": [], "sources": []}


def test_a_damaged_shop_answers_failed_and_ends_with_one(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("shop.sqlite-wal", "shop.sqlite-shm"):
        (folder / name).unlink(missing_ok=True)
    (folder / "shop.sqlite").write_bytes(b"notes, no database " * 300)
    status, told, _ = typed(capsys, "check")

    assert status == 1  # Source: COMMANDS, exit 1 is refused or check failed.
    assert told["verdict"] == "failed"
    assert told["reason"].startswith(told["problems"][0]["where"])
    assert set(told["problems"][0]) == {"what", "where"}


def test_a_shop_goes_into_one_file_and_comes_back(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out, _ = typed(capsys, "backup", str(tmp_path / "shop.backup"))
    status, back, _ = typed(capsys, "restore", str(tmp_path / "shop.backup"), "--into", str(tmp_path / "again"))
    _, checked, _ = typed(capsys, "check", "--shop", str(tmp_path / "again"))

    assert status == 0  # Source: COMMANDS, exit 0 is done.
    assert out == back
    assert (out["clocks_count"], out["files_count"]) == (1, 0)  # Derived: one clock, no picture.
    assert re.fullmatch("[0-9a-f]{64}", out["sha256"])
    assert checked["verdict"] == "sound"


def test_a_clock_goes_to_another_shop(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = typed(capsys, "export", "drum", "--out", str(tmp_path / "clock.zip"))
    status, came, _ = typed(capsys, "import", str(tmp_path / "clock.zip"), "--shop", str(tmp_path / "other"))

    assert status == 0  # Source: COMMANDS, exit 0 is done.
    assert came == out
    assert set(out) == {"clocks_count", "files_count", "sha256", "warnings", "sources"}


def test_words_are_for_a_person(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["check", "--words"])

    assert capsys.readouterr().out == "The shop is sound.\n"


@pytest.mark.parametrize(
    ("words", "field", "said"),
    [
        (["check", "--shop", "{tmp}/typo"], "shop", "there is no shop in"),
        (["backup", "{tmp}/shop/shop.sqlite"], "file", "never written over another file"),
        (["backup", "{tmp}/no/folder/shop.backup"], "folder", "No such file or directory"),
        (["restore", "{tmp}/none", "--into", "{tmp}/again"], "file", "is not there"),
        (["restore", "{tmp}/shop/shop.sqlite", "--into", "{tmp}/again"], "file", "not a file this program wrote"),
        (["restore", "{tmp}/none"], "into", "needs --into"),
        (["export", "drum"], "out", "name the file to write"),
        (["export", "dru", "--out", "{tmp}/clock.zip"], "clock", "Near it: drum."),
        (["import", "{tmp}/none"], "file", "is not there"),
        (["import", "{tmp}"], "file", "cannot be read"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_ends_with_two(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], field: str, said: str
) -> None:
    before = sorted(tmp_path.rglob("*"))
    status, told, err = typed(capsys, *(word.format(tmp=tmp_path) for word in words))

    assert (status, told) == (2, {})  # Source: COMMANDS, exit 2 is command, file or machine.
    assert said in refused(err)["message"]
    assert field in refused(err)["field"]
    assert [one for one in sorted(tmp_path.rglob("*")) if "shop.sqlite-" not in one.name] == [
        one for one in before if "shop.sqlite-" not in one.name
    ]
