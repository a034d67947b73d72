"""`erase` as typed: told first, done the second time, refused in one sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.bench.erased import NAME, sent_home, with_hester
from underdial.bench.shop import clock_page, open_shop
from underdial.cli import main


@pytest.fixture
def hester(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """Her id, in a shop that her clock has left."""
    monkeypatch.setenv("UNDERDIAL_SHOP", str(tmp_path / "shop"))
    shop = open_shop(tmp_path / "shop")
    person_id, _ = with_hester(shop)
    sent_home(shop, person_id)
    shop.engine.dispose()
    return person_id


def typed(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, dict[str, object]]:
    with pytest.raises(SystemExit) as ended:
        main(["erase", *words])
    told = capsys.readouterr()
    return int(ended.value.code or 0), json.loads(told.out) if told.out else {"said": told.err}


def test_it_tells_first_and_changes_nothing_and_the_second_time_it_does(
    hester: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = typed(capsys, NAME, "--why", "by letter")
    before = clock_page(open_shop(tmp_path / "shop"), "drum").people[hester].name
    second = typed(capsys, NAME, "--why", "by letter", "--also", "Quillfeather", "--sure", NAME)
    after = clock_page(open_shop(tmp_path / "shop"), "drum").people[hester].name

    # Source: COMMANDS, exit 0 is done.
    assert (first[0], second[0]) == (0, 0)
    assert (first[1]["erased"], second[1]["erased"]) == (False, True)
    assert first[1]["invoices"] == ["invoice 1"]
    assert first[1]["files"][0]["file"] == "drum/attachment-1"  # type: ignore[index]
    assert second[1]["person"] == hester
    assert before == NAME
    assert after != NAME


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["Nobody Here", "--why", "x"], "person: nobody here is called Nobody Here."),
        ([NAME, "--why", "by letter", "--sure", "Hester"], "not the name of whom it is about"),
        ([NAME, "--why", "by letter", "--file", "other/attachment-1", "--sure", NAME], "no file of a clock"),
        ([NAME, "--why", f"{NAME} wrote", "--sure", NAME], "a word that is to be erased"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(
    hester: str, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    status, told = typed(capsys, *words)

    assert status in (1, 2)  # Source: COMMANDS, 1 is refused and 2 the command.
    assert said in str(told)
