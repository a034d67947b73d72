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

KEYS = [
    "verdict",
    "reason",
    "reason_id",
    "beats_per_hour",
    "nominal_beats_per_hour",
    "nominal_from",
    "rate_s_per_day",
    "rate_u_s_per_day",
    "rate_95_s_per_day",
    "rate_u_parts",
    "beat_error_ms",
    "beat_error_u_ms",
    "amplitude_deg",
    "amplitude_u_deg",
    "amplitude_reason",
    "beats_found_count",
    "beats_expected_count",
    "periodic",
    "stops",
    "duration_s",
    "warnings",
    "sources",
    "assumed",
]


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    clock = Ticking(
        duration_s=80.0,
        sample_hz=16000,
        beats_per_hour=9000.0,
        asymmetry_s=0.004,
        jitter_s=1e-4,
        rate_s_per_day=30.0,
        wheel_s=4e-4,
        wheel_count=30,
    )
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


def test_a_recording_is_answered_with_every_key_and_the_recorder_in_the_error(
    capsys: pytest.CaptureFixture[str], recording: Path
) -> None:
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


def test_a_count_that_few_movements_share_gives_beats_but_no_rate(
    capsys: pytest.CaptureFixture[str], recording: Path
) -> None:
    status, answer = _run(capsys, "listen", str(recording))

    assert status == 0
    # Derived: 9000 (1 + 30/86400).
    assert answer["beats_per_hour"] == pytest.approx(9003.1, abs=0.6)
    assert (
        answer["nominal_from"],
        answer["rate_s_per_day"],
        answer["rate_u_s_per_day"],
        answer["rate_95_s_per_day"],
    ) == ("none", None, None, None)


def test_the_train_gives_count_and_arbors_and_the_escape_wheel_is_found(
    capsys: pytest.CaptureFixture[str], recording: Path, tmp_path: Path
) -> None:
    picture = tmp_path / "heard.svg"
    _, answer = _run(
        capsys, "listen", str(recording), "--train", "80/10 90/6 80/8", "--escape", "30", "--out", str(picture)
    )

    # Derived: 90/6 * 80/8 turns of the escape wheel an hour, sixty beats each.
    assert answer["nominal_beats_per_hour"] == pytest.approx(9000)
    (escape,) = [one for one in answer["periodic"] if one["arbor"] == "escape_wheel"]
    # Derived: 3600 s / 150.
    assert escape["period_s"] == pytest.approx(24.0)
    # Derived: the swing put in, 0.4 ms each way; 200 beats of 0.1 ms scatter fix it to some 0.01 ms.
    assert escape["peak_ms"] == pytest.approx(0.4, abs=0.06)
    assert escape["chance_probability"] < 1e-6  # Derived: forty standard errors.
    assert any("third wheel: cannot tell, record at least 12 minutes" in one for one in answer["warnings"])
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


@pytest.mark.parametrize(
    "argv",
    [
        ["--lift", "300deg"],
        ["--train", "80/10 90/6"],
        ["--beats-per-hour", "0"],
        # A train of 3600 beats an hour.
        ["--beats-per-hour", "14400", "--train", "96/8 64/8 60/8", "--escape", "30"],
        ["--train", "80/? 90/6", "--escape", "30"],
        ["--out", "x.txt"],
    ],
)
def test_what_cannot_be_is_one_line_and_status_two(
    capsys: pytest.CaptureFixture[str], recording: Path, argv: list[str]
) -> None:
    status, answer = _run(capsys, "listen", str(recording), *argv)

    # Derived: exit statuses of docs/reference/commands.md.
    assert status == 2
    assert set(answer["error"]) == {"field", "value", "allowed", "message"}


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    from underdial.bench.shop import open_shop

    place = tmp_path / "shop"
    open_shop(place).engine.dispose()
    monkeypatch.setenv("UNDERDIAL_SHOP", str(place))
    return place


@pytest.fixture(scope="module")
def reference(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A quartz clock's step each second, into the recorder that made `recording`: seen from there it loses 2.16 s a
    day.
    """
    clock = Ticking(duration_s=60.0, sample_hz=16000, beats_per_hour=3600.0, jitter_s=1e-5, rate_s_per_day=-2.16)
    samples, _ = simulate(clock, np.random.default_rng(4))
    path = tmp_path_factory.mktemp("reference") / "quartz.flac"
    soundfile.write(str(path), samples * 10.0, 16000)
    return path


def test_a_recorder_is_compared_with_a_reference_and_used_for_what_it_records_later(
    capsys: pytest.CaptureFixture[str], shop: Path, recording: Path, reference: Path
) -> None:
    status, before = _run(capsys, "listen", str(recording), "--beats-per-hour", "9000", "--recorder", "Field recorder")
    assert status == 0
    assert "was not compared at 16" in before["recorder"]
    assert before["recorder_u_ppm"] == pytest.approx(50.0)  # Source: LISTENING, D: without a calibration add 50 ppm

    _, found = _run(
        capsys,
        "recorder",
        str(reference),
        "--device",
        "Field recorder",
        "--beats-per-hour",
        "3600",
        "--reference-ppm",
        "0+-1",
        "--temperature",
        "18degC",
    )
    (row,) = found["recorders"]
    _, after = _run(
        capsys,
        "listen",
        str(recording),
        "--beats-per-hour",
        "9000",
        "--recorder",
        "field recorder",
        "--temperature",
        "18degC",
    )
    _, other = _run(capsys, "listen", str(recording), "--beats-per-hour", "9000", "--recorder", "Tablet")
    _, listed = _run(capsys, "recorder")

    # Derived: 2.16 s a day are 25 parts in a million; the reference's own one part and 0.01 ms over a minute.
    assert row["ppm"] == pytest.approx(25.0, abs=3.0 * row["ppm_u"])
    assert 1.0 <= row["ppm_u"] < 2.0  # Derived: the reference's own, and a little for its beats
    # Derived: a recorder 25 parts fast makes the clock seem 2.16 s a day slower than it is.
    assert after["rate_s_per_day"] - before["rate_s_per_day"] == pytest.approx(2.16, abs=0.0864 * 3.0 * row["ppm_u"])
    # Derived: the comparison, and half a part a degree of a thermometer good to a degree.
    assert after["recorder_u_ppm"] == pytest.approx(np.hypot(row["ppm_u"], 0.5))
    assert after["rate_u_parts"]["recorder_s_per_day"] == pytest.approx(0.0864 * after["recorder_u_ppm"])
    assert "Field recorder runs" in after["recorder"]
    assert other["recorder_u_ppm"] == pytest.approx(50.0)  # Derived: no comparison of this device
    assert listed["recorders"] == found["recorders"]


def test_what_is_known_of_a_recorder_already_can_be_written_down(
    capsys: pytest.CaptureFixture[str], shop: Path, recording: Path
) -> None:
    _, told = _run(
        capsys,
        "recorder",
        "--device",
        "Tablet",
        "--ppm",
        "-4+-1",
        "--sampling",
        "16000",
        "--compared-with",
        "a time signal over a week",
    )
    _, heard = _run(capsys, "listen", str(recording), "--beats-per-hour", "9000", "--recorder", "Tablet")

    assert (told["recorders"][0]["method"], told["recorders"][0]["words"]) == ("given", "a time signal over a week")
    # Derived: one of the comparison, half a part a degree over five degrees that nobody wrote down.
    assert heard["recorder_u_ppm"] == pytest.approx(np.hypot(1.0, 2.5), rel=1e-6)


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["--ppm", "3+-1", "--sampling", "48000"], "name the recorder"),
        (["--device", "x", "--ppm", "3", "--sampling", "48000"], "how sure it is"),
        (["--device", "x", "--ppm", "3+-1"], "to which sampling"),
        (["--device", "x", "--ppm", "3000+-1", "--sampling", "48000"], "no recorder that works"),
        (["--device", "x", "FILE"], "how often the reference ticks"),
        (["--device", "x", "FILE", "--beats-per-hour", "60"], "1200 to 72000"),
    ],
)
def test_a_comparison_that_cannot_be_is_refused_and_nothing_kept(
    capsys: pytest.CaptureFixture[str], shop: Path, reference: Path, argv: list[str], said: str
) -> None:
    status, wrong = _run(capsys, "recorder", *(str(reference) if one == "FILE" else one for one in argv))

    assert status == 2  # Derived: exit statuses of docs/reference/commands.md.
    assert said in wrong["error"]["message"]
    assert _run(capsys, "recorder")[1]["recorders"] == []


def test_a_reference_that_is_not_heard_is_no_comparison(
    capsys: pytest.CaptureFixture[str], shop: Path, tmp_path: Path
) -> None:
    path = tmp_path / "room.flac"
    soundfile.write(str(path), np.random.default_rng(1).normal(0, 0.05, 20 * 16000), 16000)
    status, wrong = _run(capsys, "recorder", str(path), "--device", "x", "--beats-per-hour", "3600")

    assert status == 2  # Derived: exit statuses of docs/reference/commands.md.
    assert "was not heard well enough" in wrong["error"]["message"]
    assert _run(capsys, "recorder")[1]["recorders"] == []


def test_several_recordings_tell_how_the_rate_goes_with_position_and_wind(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    argv: list[str] = []
    for k, (rate, position, hours) in enumerate(
        ((10.0, "dial_up", 1), (-20.0, "12_up", 1), (-24.0, "12_up", 3), (-32.0, "12_up", 7))
    ):
        samples, _ = simulate(
            Ticking(
                duration_s=25.0, sample_hz=8000, beats_per_hour=18000.0, jitter_s=2e-5, rate_s_per_day=rate, level=0.2
            ),
            np.random.default_rng(k),
        )
        soundfile.write(str(tmp_path / f"{k}.wav"), samples, 8000)
        argv += [str(tmp_path / f"{k}.wav"), "--position", position, "--since-winding", f"{hours}h"]
    status, answer = _run(capsys, "listen", *argv, "--beats-per-hour", "18000")
    told = answer["variation"]

    assert status == 0
    assert [one["file"] for one in answer["recordings"]] == ["0.wav", "1.wav", "2.wav", "3.wav"]
    assert answer["rate_s_per_day"] == answer["recordings"][0]["rate_s_per_day"]
    assert told["position_chance_probability"] < 1e-6  # Derived: thirty seconds a day apart, each known to a second
    # Derived: the rates put in lie on a line of two seconds a day for each hour.
    assert told["wind_s_per_day_per_h"] == pytest.approx(-2.0, abs=4.0 * told["wind_u_s_per_day_per_h"])
    assert told["isochronism_s_per_day_per_deg"] is None
    assert any("three swings of one position" in one for one in answer["warnings"])


def test_a_position_for_each_file_or_none(capsys: pytest.CaptureFixture[str], recording: Path) -> None:
    status, wrong = _run(capsys, "listen", str(recording), str(recording), "--position", "12_up")

    assert status == 2  # Derived: exit statuses of docs/reference/commands.md.
    assert "once for each file" in wrong["error"]["message"]


def test_a_stop_is_told_with_its_times_and_a_long_recording_with_its_stretches(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    samples, _ = simulate(
        Ticking(duration_s=150.0, sample_hz=8000, beats_per_hour=9000.0, jitter_s=5e-5, level=0.2),
        np.random.default_rng(1),
    )
    still = np.random.default_rng(2).normal(0.0, float(np.std(samples[:200])), 30 * 8000)
    soundfile.write(
        str(tmp_path / "stood.wav"), np.concatenate([samples[: 70 * 8000], still, samples[70 * 8000 :]]), 8000
    )
    status, answer = _run(capsys, "listen", str(tmp_path / "stood.wav"), "--train", "80/10 90/6 80/8", "--escape", "30")

    assert status == 0
    (stop,) = answer["stops"]
    # Derived: thirty seconds of room were put in at 70 s; a beat is 0.4 s, and two may be lost at a cut.
    assert (stop["start_s"], stop["end_s"]) == (pytest.approx(70.0, abs=0.9), pytest.approx(100.0, abs=0.9))
    # Derived: just under 180 s from first beat to last, in stretches of a minute or more
    assert len(answer["over_time"]) == 2
    assert answer["allan"][0]["tau_s"] == pytest.approx(0.8, rel=1e-3)  # Derived: two beats
    assert answer["stop_folds"] == []


def test_a_long_recording_tells_how_the_swing_runs_down(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from underdial.bench.by_ear import swing_over_time

    monkeypatch.setattr(swing_over_time, "LEAST_LONG_S", 200.0)
    # Each part holds a whole number of beats, and all begin alike, so that the beat goes on without a step while the
    # swing falls by 5 deg from part to part.
    parts = [
        simulate(
            Ticking(
                duration_s=60.0,
                sample_hz=16000,
                beats_per_hour=18000.0,
                half_arc_deg=swing,
                lift_deg=50.0,
                snr_db=45.0,
                level=0.15,
            ),
            np.random.default_rng(7),
        )[0]
        for swing in (240.0, 235.0, 230.0, 225.0)
    ]
    soundfile.write(str(tmp_path / "down.wav"), np.concatenate(parts), 16000)
    status, answer = _run(
        capsys, "listen", str(tmp_path / "down.wav"), "--beats-per-hour", "18000", "--lift", "50+-0.5deg"
    )

    assert status == 0
    assert len(answer["swings"]) >= 5  # Derived: of eight excerpts some lie over a change of the swing
    # Derived: 5 deg in each minute are 300 deg an hour; steps are no line.
    assert answer["run_down_deg_per_h"] == pytest.approx(-300.0, rel=0.15)
    assert abs(answer["isochronism_s_per_day_per_deg"]) < 0.05  # Derived: the rate put in does not change


def test_silence_is_said_to_be_silence(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    soundfile.write(str(tmp_path / "off.wav"), np.zeros(20 * 8000), 8000)
    status, answer = _run(capsys, "listen", str(tmp_path / "off.wav"), "--beats-per-hour", "14400")

    assert (status, answer["reason_id"]) == (1, "no_beat")  # Derived: exit statuses of docs/reference/commands.md.
    assert "no sound in the recording at all" in answer["reason"]
