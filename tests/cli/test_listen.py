"""`listen` as typed: the answer, the refusals, the picture."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from underdial.cli.frame import main
from underdial.listening.simulator import Ticking, simulate

KEYS = ["verdict", "reason", "reason_id", "beats_per_hour", "nominal_beats_per_hour", "nominal_from", "rate_s_per_day", "rate_u_s_per_day", "rate_95_s_per_day",
        "rate_u_parts", "beat_error_ms", "beat_error_u_ms", "amplitude_deg", "amplitude_u_deg", "amplitude_reason", "beats_found_count", "beats_expected_count",
        "periodic", "stops", "duration_s", "warnings", "sources", "assumed"]


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    clock = Ticking(duration_s=80.0, sample_hz=16000, beats_per_hour=9000.0, asymmetry_s=0.004, jitter_s=1e-4, rate_s_per_day=30.0, wheel_s=4e-4, wheel_count=30)
    samples, _ = simulate(clock, np.random.default_rng(2))
    path = tmp_path_factory.mktemp("sound") / "clock.wav"
    # The clock is on the right channel; the left holds the room.
    left = np.random.default_rng(3).normal(0, 0.01, samples.size)
    soundfile.write(str(path), np.stack([left, samples * 10.0], axis=1), 16000)
    return path


def _run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, dict[str, Any]]:
    with pytest.raises(SystemExit) as ended:
        main(list(argv))
    said = capsys.readouterr()
    return int(ended.value.code or 0), json.loads(said.out or said.err)


def test_a_recording_is_answered_with_every_key_and_the_recorder_in_the_error(capsys: pytest.CaptureFixture[str], recording: Path) -> None:
    status, answer = _run(capsys, "listen", str(recording), "--beats-per-hour", "9000", "--recorder-ppm", "3+-1")

    assert status == 0
    assert [key for key in KEYS if key not in answer] == []
    # Derived: made to gain 30 s/day; a recorder 3 parts in a million fast makes it seem 0.26 slower than it is.
    assert answer["rate_s_per_day"] == pytest.approx(30.26, abs=3 * answer["rate_u_s_per_day"] + 0.01)
    # Derived: one part in a million of a day.
    assert answer["rate_u_parts"]["recorder_s_per_day"] == pytest.approx(0.0864)
    assert answer["nominal_from"] == "given"


def test_an_uncertain_count_is_part_of_the_error(capsys: pytest.CaptureFixture[str], recording: Path) -> None:
    _, answer = _run(capsys, "listen", str(recording), "--beats-per-hour", "9000+-9")

    # Derived: 9 in 9000 of a day.
    assert answer["rate_u_parts"]["nominal_s_per_day"] == pytest.approx(86.4)
    # Derived: 50 parts in a million of a day, the recorder whose clock is not known.
    assert answer["rate_u_parts"]["recorder_s_per_day"] == pytest.approx(4.32)
    assert answer["assumed"] == {"recorder_ppm": "0+-50"}


def test_a_count_that_few_movements_share_gives_beats_but_no_rate(capsys: pytest.CaptureFixture[str], recording: Path) -> None:
    status, answer = _run(capsys, "listen", str(recording))

    assert status == 0
    # Derived: 9000 (1 + 30/86400).
    assert answer["beats_per_hour"] == pytest.approx(9003.1, abs=0.6)
    assert (answer["nominal_from"], answer["rate_s_per_day"], answer["rate_u_s_per_day"], answer["rate_95_s_per_day"]) == ("none", None, None, None)


def test_the_train_gives_count_and_arbors_and_the_escape_wheel_is_found(capsys: pytest.CaptureFixture[str], recording: Path, tmp_path: Path) -> None:
    picture = tmp_path / "heard.svg"
    _, answer = _run(capsys, "listen", str(recording), "--train", "80/10 90/6 80/8", "--escape", "30", "--out", str(picture))

    # Derived: 90/6 * 80/8 turns of the escape wheel an hour, sixty beats each.
    assert answer["nominal_beats_per_hour"] == pytest.approx(9000)
    (escape,) = [one for one in answer["periodic"] if one["arbor"] == "escape_wheel"]
    # Derived: 3600 s / 150.
    assert escape["period_s"] == pytest.approx(24.0)
    # Derived: the swing put in, 0.4 ms each way; 200 beats of 0.1 ms scatter fix it to some 0.01 ms.
    assert escape["peak_ms"] == pytest.approx(0.4, abs=0.06)
    assert escape["chance_probability"] < 1e-6  # Derived: forty standard errors.
    assert any("third_wheel: cannot tell, record at least 12 minutes" in one for one in answer["warnings"])
    assert "<title" in picture.read_text(encoding="utf-8")


def test_noise_is_refused_with_the_same_keys(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "room.flac"
    soundfile.write(str(path), np.random.default_rng(1).normal(0, 0.05, 15 * 16000), 16000)
    status, answer = _run(capsys, "listen", str(path), "--beats-per-hour", "14400")

    assert status == 1
    assert [key for key in KEYS if key not in answer] == []
    assert answer["verdict"] == "refused"
    assert answer["reason_id"] in ("no_beat", "noisy")
    assert answer["rate_s_per_day"] is None


def test_a_torsion_pendulum_is_refused_in_words(capsys: pytest.CaptureFixture[str], recording: Path) -> None:
    status, answer = _run(capsys, "listen", str(recording), "--beats-per-hour", "480")

    assert status == 1
    assert "too slow to listen to" in answer["reason"]


@pytest.mark.parametrize("argv", [["--lift", "300deg"], ["--train", "80/10 90/6"], ["--beats-per-hour", "0"], ["--train", "80/? 90/6", "--escape", "30"], ["--out", "x.txt"]])
def test_what_cannot_be_is_one_line_and_status_two(capsys: pytest.CaptureFixture[str], recording: Path, argv: list[str]) -> None:
    status, answer = _run(capsys, "listen", str(recording), *argv)

    # Derived: exit statuses of docs/reference/commands.md.
    assert status == 2
    assert set(answer["error"]) == {"field", "value", "allowed", "message"}
