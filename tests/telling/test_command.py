"""The command `lookover`: keys, refusals, and one clear sentence for what it cannot read."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from tests.made_films import write_film
from underdial.bench.as_found import filming
from underdial.cli.frame import main

_KEYS = {"facts", "findings", "measurements", "not_examined", "in_doubt", "private", "warnings", "sources", "assumed"}


def _run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(["lookover", *argv])
    out = capsys.readouterr()
    return int(ended.value.code or 0), out.out, out.err


def test_findings_keep_words_time_and_rule(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "clock.vtt"
    file.write_text("WEBVTT\n\n00:03.000 --> 00:05.000\nThird wheel, back hole is oval, bush it.\n", encoding="utf-8")

    status, out, _ = _run(capsys, str(file), "--json")

    answer = json.loads(out)
    found = answer["findings"][0]
    assert status == 0
    assert answer.keys() >= _KEYS
    assert (found["component"], found["of"], found["place"], found["condition"], found["state"], found["decision"]) == (
        "pivot_hole",
        "third_wheel",
        "back",
        "oval",
        "present",
        "bush",
    )
    assert found["words"] == "back hole is oval"
    assert found["rule"]
    assert answer["facts"].keys() == {"complaint", "owner_requests", "last_done"}


def test_what_was_not_reached_says_which_end_of_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "clock.txt"
    file.write_text("I couldn't get at the back pivot of the third wheel. The bell is good.", encoding="utf-8")
    (one,) = json.loads(_run(capsys, str(file), "--json")[1])["not_examined"]
    # Source: the words of the file.
    assert (one["component"], one["of"], one["place"], one["why"]) == ("pivot", "third_wheel", "back", "not_reached")


def test_nothing_found_is_refused_with_the_same_keys(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "talk.txt"
    file.write_text("Lovely weather we are having. I went to the shops.", encoding="utf-8")

    status, out, _ = _run(capsys, str(file), "--json")

    answer = json.loads(out)
    # Source: the contract of the command line: refused is exit 1.
    assert status == 1
    assert answer.keys() >= _KEYS
    assert answer["verdict"] == "refused"
    assert answer["reason"]


@pytest.mark.parametrize(
    ("name", "content", "field"),
    [
        ("missing.vtt", None, "file"),
        ("page.vtt", b"<html><p>x</p></html>", "file"),
        ("film.txt", b"\x89PNG\r\n\xff\xfe", "file"),
    ],
)
def test_what_cannot_be_read_gets_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, content: bytes | None, field: str
) -> None:
    file = tmp_path / name
    if content is not None:
        file.write_bytes(content)

    status, _, err = _run(capsys, str(file))

    # Source: the contract of the command line: a file that cannot be read is exit 2, one line on standard error.
    assert status == 2
    assert json.loads(err)["error"]["field"] == field
    assert err.count("\n") == 1


def test_an_unknown_family_names_the_known_ones(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "clock.txt"
    file.write_text("Dial good.", encoding="utf-8")

    status, _, err = _run(capsys, str(file), "--family", "spaceship")

    # Source: the contract of the command line: a wrong value is exit 2.
    assert status == 2
    assert "english_longcase" in json.loads(err)["error"]["message"]


def test_a_person_reads_lines_of_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "clock.vtt"
    file.write_text(
        "WEBVTT\n\n01:03.000 --> 01:05.000\nThe bell isn't cracked. Haven't looked at the fly.\n", encoding="utf-8"
    )

    _, out, _ = _run(capsys, str(file), "--words")

    assert "01:03  bell: not cracked" in out
    assert "not looked at: fly" in out


def test_a_text_comes_in_by_standard_input_too(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"Third wheel, back hole is oval.")))

    status, out, _ = _run(capsys, "-", "--json")

    # Source: the contract of the command line: done is exit 0.
    assert status == 0
    assert [one["condition"] for one in json.loads(out)["findings"]] == ["oval"]


@pytest.mark.parametrize("tenth", ["-0.1mm", "0mm", "2cm"])
def test_a_tenth_that_is_no_size_is_refused_in_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], tenth: str
) -> None:
    file = tmp_path / "clock.txt"
    file.write_text("Dial good.", encoding="utf-8")

    status, _, err = _run(capsys, str(file), "--tenth", tenth)

    # Source: the contract of the command line: a wrong value is exit 2.
    assert status == 2
    assert json.loads(err)["error"]["field"] == "tenth"
    assert err.count("\n") == 1


def test_what_was_not_seen_is_said_in_three_short_lines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "clock.txt"
    file.write_text(
        "Dial good. I haven't looked at the mainspring or the click. I couldn't get at the back pivots. I haven't "
        "tried the strike. I haven't tried the alarm.",
        encoding="utf-8",
    )

    _, out, _ = _run(capsys, str(file), "--words")

    assert "not looked at: mainspring, click\n" in out
    assert "could not be reached: back pivot\n" in out
    assert "not tried: strike movement, alarm\n" in out


def test_what_was_said_to_the_recorder_is_told_and_what_was_private_is_not(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "clock.vtt"
    file.write_text(
        "WEBVTT\n\n00:01.000 --> 00:03.000\nHours start. The dial is good. Tray three.\n\n"
        "00:05.000 --> 00:09.000\nPrivate, the bob is hers.\n\n00:09.000 --> 00:10.000\nCarry on.\n",
        encoding="utf-8",
    )

    _, out, _ = _run(capsys, str(file), "--words")

    assert "00:01  hours start\n" in out
    assert "  tray three\n" in out
    assert "private, left out: 00:05 to 00:09\n" in out
    assert "bob" not in out


def test_a_complaint_and_a_history_in_one_breath_are_parted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "clock.txt"
    file.write_text(
        "He says it stops after a day, and it was last serviced ten years ago. Dial good.", encoding="utf-8"
    )

    facts = json.loads(_run(capsys, str(file), "--json")[1])["facts"]

    assert facts["last_done"] == ["and it was last serviced ten years ago"]
    assert facts["complaint"]["words"] == "He says it stops after a day"


@pytest.mark.parametrize(
    "said",
    ["Third wheel. Back hole worn, slightly, oval upwards.", "Third wheel. Back hole, worn, slightly, oval upwards."],
)
def test_a_grade_said_of_wear_is_kept_by_what_is_said_more_exactly(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], said: str
) -> None:
    file = tmp_path / "clock.txt"
    file.write_text(said, encoding="utf-8")

    found = json.loads(_run(capsys, str(file), "--json")[1])["findings"]

    assert [one["extent"] for one in found if one["condition"] == "oval"] == ["slight"]


def test_counting_settles_the_arbor_of_a_wheel(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "clock.txt"
    file.write_text("Second wheel. The back bush is worn. Centre wheel teeth are good.", encoding="utf-8")

    uk = json.loads(_run(capsys, str(file), "--json", "--family", "english_longcase")[1])["findings"]
    us = json.loads(_run(capsys, str(file), "--json", "--family", "english_longcase", "--counting", "us")[1])[
        "findings"
    ]

    # Source: the trade's wheel counting: the English second turns once an hour and is the centre; an American centre
    # may be a side branch.
    assert [one["position_count"] for one in uk] == [2, 2]
    # Source: the same table, American counting.
    assert [one["position_count"] for one in us] == [2, None]


def test_no_still_shows_what_was_private(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    film = write_film(tmp_path / "clock.mp4")
    said = "WEBVTT\n\n00:00.200 --> 00:01.000\nThe crutch is loose.\n\n"
    private = "00:01.000 --> 00:06.000\nThis is private. It lies on the bench.\n"
    at: list[float] = []
    for words in (said, said + private):
        film.with_suffix(".vtt").write_text(words, encoding="utf-8")
        _, out, _ = _run(capsys, str(film), "--json", "--stills", str(tmp_path / str(len(words))))
        found = json.loads(out)["findings"][0]
        at.append(found["still"]["at_s"] if "still" in found else 0.0)

    # Derived: the sharpest picture lies in the stretch that is private in the second telling, so there is none then
    assert at[0] >= 0.5
    assert at[1] < 0.5


def test_a_folder_that_cannot_be_written_is_told_before_anything_is_heard(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    film = write_film(tmp_path / "clock.mp4")
    (tmp_path / "stills").write_text("in the way", encoding="utf-8")
    monkeypatch.setattr(filming, "hear_words", lambda *told, **more: pytest.fail("it was heard first"))

    status, _, err = _run(capsys, str(film), "--stills", str(tmp_path / "stills"))

    # Source: the contract of the command line: what the machine refuses is exit 2.
    assert status == 2
    assert json.loads(err)["error"]["field"] == "stills"
