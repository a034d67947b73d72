"""From samples to an answer or a refusal, on short simulated recordings."""

from dataclasses import replace

import numpy as np
import pytest

from underdial.listening import hearing, played_in_step, recording_faults, simulator
from underdial.listening.follower import Follower
from underdial.listening.hearing import Expected, Heard, _rejoined
from underdial.listening.rate_fit import BeatLog
from underdial.listening.simulator import Ticking, Truth, simulate, speech_like
from underdial.uncertain import Uncertain

RECOIL = Ticking(
    duration_s=24.0, sample_hz=16000, beats_per_hour=9000.0, asymmetry_s=0.004, jitter_s=1e-4, rate_s_per_day=30.0
)


def listen(samples: np.ndarray, clock: Ticking, *, given: bool = True, block: int = 7777, **known: object) -> Heard:
    follower = Follower(clock.sample_hz, clock.beats_per_hour if given else None)
    for at in range(0, samples.size, block):
        follower.feed(samples[at : at + block])
    follower.close()
    nominal = Uncertain(clock.beats_per_hour) if given else None
    return hearing.hear(follower, Expected(nominal, "given" if given else "none", **known))  # type: ignore[arg-type]


def made(clock: Ticking, seed: int = 1) -> tuple[np.ndarray, Truth]:
    return simulate(clock, np.random.default_rng(seed))


@pytest.mark.parametrize("given", [True, False])
def test_the_rate_is_within_its_error_with_and_without_a_count(given: bool) -> None:
    samples, truth = made(RECOIL)
    heard = listen(samples, RECOIL, given=given)

    assert heard.refusal is None
    assert heard.beats_per_hour is not None
    error = (heard.beats_per_hour.value / truth.beats_per_hour - 1.0) * 86400.0
    # Derived: four standard errors of the fit that the answer states.
    assert abs(error) < 4.0 * (heard.parts_s_per_day[0] or 0.0)
    # Derived: sixty beats that scatter 0.1 ms bound the rate to 0.16 s/day; the doubt about wander may triple it.
    assert (heard.parts_s_per_day[0] or 0.0) < 0.6


def test_the_beat_error_is_half_the_difference_of_the_two_intervals() -> None:
    samples, _ = made(RECOIL)
    heard = listen(samples, RECOIL)

    assert heard.evenness is not None
    # Derived: tock was made 4 ms late, so the intervals differ by 8 ms.
    assert heard.evenness.beat_error_s == pytest.approx(0.004, abs=4 * heard.evenness.u_s)


def test_the_amplitude_of_a_balance_comes_from_its_three_pulses() -> None:
    clock = replace(
        RECOIL,
        sample_hz=48000,
        duration_s=15.0,
        beats_per_hour=18000.0,
        half_arc_deg=220.0,
        lift_deg=50.0,
        asymmetry_s=0.001,
    )
    samples, _ = made(clock)
    heard = listen(samples, clock, lift_deg=Uncertain(50.0, 1.0), balance=True)

    assert heard.swing.amplitude_deg is not None
    # Derived: the half arc put in; one degree of doubt in the lift is two in the arc.
    assert heard.swing.amplitude_deg == pytest.approx(220.0, abs=3 * (heard.swing.u_deg or 0.0))
    # Derived: 220 * 1 / 50 = 4.4 deg from the lift alone.
    assert 4.4 <= (heard.swing.u_deg or 0.0) < 12.0


def test_a_pendulum_has_no_amplitude_to_be_heard() -> None:
    samples, _ = made(RECOIL)
    heard = listen(samples, RECOIL, lift_deg=Uncertain(50.0), balance=False)

    assert heard.swing.amplitude_deg is None
    assert "pendulum" in (heard.swing.reason or "")


def test_block_sizes_do_not_change_the_answer() -> None:
    samples, _ = made(RECOIL)

    # Derived: the same samples, so the same answer to the last digit.
    assert (
        listen(samples, RECOIL, block=1000).rate_s_per_day == listen(samples, RECOIL, block=samples.size).rate_s_per_day
    )


def test_louder_and_upside_down_is_the_same_clock() -> None:
    samples, _ = made(RECOIL)
    one, other = listen(samples, RECOIL), listen(-4.0 * samples, RECOIL)

    # Derived: nothing in the method knows the level; single precision leaves a nanosecond a beat.
    assert other.rate_s_per_day == pytest.approx(one.rate_s_per_day, abs=0.01)


@pytest.mark.parametrize("seed", [1, 2])
def test_more_noise_never_makes_the_answer_surer(seed: int) -> None:
    clock = replace(RECOIL, snr_db=40.0, jitter_s=3e-4)
    samples, _ = made(clock, seed)
    noise = np.random.default_rng(9).normal(0, 1, samples.size).astype(np.float32)
    stated = []
    for db in (40.0, 20.0, 14.0):
        heard = listen(samples + noise * np.float32(clock.level / 10 ** (db / 20.0)), clock)
        if heard.refusal is not None:
            break
        stated.append(heard.parts_s_per_day[0] or 0.0)

    # Derived: the two loudest at least are accepted (LISTENING: threshold near 16 dB).
    assert len(stated) >= 2
    # Derived: an error may wobble by a fifth with the draw of the noise; it may not fall below that of the clean sound.
    assert min(stated[1:]) > 0.8 * stated[0]


def reason(samples: np.ndarray, clock: Ticking, *, given: bool = True) -> str:
    heard = listen(samples, clock, given=given)
    assert heard.refusal is not None
    assert heard.rate_s_per_day is None
    return heard.refusal.reason_id


def test_three_seconds_are_too_short() -> None:
    clock = replace(RECOIL, duration_s=3.0)

    assert reason(made(clock)[0], clock) == "too_short"


def test_a_quiet_room_holds_no_beat() -> None:
    samples = np.random.default_rng(3).normal(0, 0.01, 24 * 16000).astype(np.float32)

    assert reason(samples, RECOIL) in ("no_beat", "noisy")
    assert reason(samples, RECOIL, given=False) == "no_beat"


def test_talk_alone_is_told_as_speech() -> None:
    rng = np.random.default_rng(4)
    samples = (0.1 * speech_like(np.arange(24 * 16000) / 16000.0, rng) + rng.normal(0, 1e-3, 24 * 16000)).astype(
        np.float32
    )

    assert reason(samples, RECOIL, given=False) == "speech"


def test_a_hum_alone_is_told_as_hum() -> None:
    t = np.arange(24 * 16000) / 16000.0
    samples = (
        0.2 * np.sin(2 * np.pi * 50 * t)
        + 0.1 * np.sin(2 * np.pi * 150 * t)
        + np.random.default_rng(1).normal(0, 0.01, t.size)
    ).astype(np.float32)

    assert reason(samples, RECOIL, given=False) == "hum"


def test_two_clocks_are_refused_without_a_count() -> None:
    clock = replace(RECOIL, duration_s=40.0, second_db=0.0, second_beats_per_hour=11200.0)

    assert reason(made(clock)[0], clock, given=False) == "two_clocks"


def test_a_loop_is_refused_as_spliced() -> None:
    samples, _ = made(replace(RECOIL, duration_s=8.0, rate_s_per_day=0.0, snr_db=30.0))

    assert reason(np.tile(samples, 4), RECOIL) == "spliced"


def test_a_cut_in_the_middle_is_refused_as_spliced() -> None:
    clock = replace(RECOIL, duration_s=40.0, step_s=(20.0, 0.0137))

    assert reason(made(clock)[0], clock) == "spliced"


def test_automatic_gain_is_refused() -> None:
    clock = replace(RECOIL, pumping_db=15.0, snr_db=35.0)

    assert reason(made(clock)[0], clock) == "gain"


def test_a_gate_is_refused_as_gain() -> None:
    clock = replace(RECOIL, gate=True)

    assert reason(made(clock)[0], clock) == "gain"


def test_ticks_cut_flat_are_refused_as_clipped() -> None:
    samples, _ = made(RECOIL)

    assert reason(np.clip(samples * 3000.0, -1.0, 1.0).astype(np.float32), RECOIL) == "clipped"


def test_a_wrong_count_is_refused_and_not_believed() -> None:
    samples, _ = made(RECOIL)

    assert reason(samples, replace(RECOIL, beats_per_hour=18000.0)) in ("no_beat", "noisy", "two_clocks")
    assert reason(samples, replace(RECOIL, beats_per_hour=4500.0)) in ("no_beat", "noisy", "two_clocks")
    assert reason(samples, replace(RECOIL, beats_per_hour=12000.0)) in ("no_beat", "noisy", "two_clocks")


@pytest.mark.parametrize(
    ("sounds", "told"),
    [
        (14400.0, 18000.0),
        (14400.0, 10800.0),
        (14400.0, 21600.0),
        (14400.0, 7200.0),
        (9000.0, 10000.0),
        (3600.0, 4500.0),
    ],
)
def test_a_sound_that_fits_another_count_is_told_with_that_count(sounds: float, told: float) -> None:
    clock = replace(RECOIL, beats_per_hour=sounds, rate_s_per_day=0.0, duration_s=60.0 if sounds < 5000 else 24.0)
    refusal = listen(made(clock)[0], replace(clock, beats_per_hour=told)).refusal

    assert refusal is not None
    assert refusal.reason_id == "no_beat"
    # Derived: the count put in
    assert f"not fit the count that was told, {told:.0f} an hour; it would fit about {sounds:.0f}" in refusal.sentence


def test_a_torsion_pendulum_is_too_slow_to_listen_to() -> None:
    slow = hearing.too_slow(480.0)

    assert slow is not None
    assert "torsion" in slow.sentence


def test_a_clock_whose_tock_is_silent_is_not_taken_for_one_of_half_its_count() -> None:
    clock = replace(RECOIL, tock_db=-45.0, snr_db=30.0)

    assert reason(made(clock)[0], clock, given=False) == "no_beat"


def test_a_room_that_answers_is_no_second_clock() -> None:
    clock = replace(RECOIL, snr_db=45.0)
    samples, truth = made(clock)
    rng = np.random.default_rng(3)
    room = 0.1 * rng.normal(0.0, 1.0, 8000) * 10.0 ** (-3.0 * np.arange(8000) / 6400)
    room[0], room[1:48] = 1.0, 0.0
    heard = listen(np.convolve(samples, room)[: samples.size].astype(np.float32), clock, given=False)

    assert heard.beats_per_hour is not None
    # Derived: the count put in; a thousandth is far from any other count.
    assert heard.beats_per_hour.value == pytest.approx(truth.beats_per_hour, rel=1e-3)


def test_two_clocks_at_four_to_five_are_heard_as_two() -> None:
    clock = replace(RECOIL, second_db=-3.0, second_beats_per_hour=9000.0 * 4 / 5)

    assert reason(made(clock)[0], clock, given=False) == "two_clocks"


@pytest.mark.slow
def test_a_rate_that_swings_with_the_warmth_is_heard_over_twenty_minutes() -> None:
    clock = replace(RECOIL, sample_hz=8000, duration_s=1200.0, swing_s_per_day=40.0, snr_db=35.0)
    samples, truth = made(clock)
    heard = listen(samples, clock)

    assert heard.beats_per_hour is not None
    error = (heard.beats_per_hour.value / truth.beats_per_hour - 1.0) * 86400.0
    # Derived: three errors of the fit that the answer states.
    assert abs(error) < 3.0 * (heard.parts_s_per_day[0] or 0.0)
    # Derived: every beat put in is found, but for one at each end that its window may not hold.
    assert heard.beats_found_count >= truth.beats_s.size - 2


def with_second_sound(clock: Ticking, at_s: float, seed: int) -> tuple[np.ndarray, Truth]:
    """The clock, and at each beat another sound of its own shape so long after: two recordings laid over each other, of
    one beat.
    """
    samples, truth = made(clock, seed)
    rng = np.random.default_rng(seed + 50)
    out = samples.astype(float)
    for kind in (0, 1):
        simulator._add_ticks(
            out,
            truth.beats_s[truth.kinds == kind][:-1] + at_s,
            np.full(int(np.sum(truth.kinds == kind)) - 1, clock.level),
            simulator.tick_shape(rng),
            clock.sample_hz,
        )
    return out.astype(np.float32), truth


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_two_loud_sounds_a_beat_do_not_double_the_count(seed: int) -> None:
    clock = replace(RECOIL, asymmetry_s=0.0)
    heard = listen(with_second_sound(clock, 0.2, seed)[0], clock, given=False)

    # A sound exactly midway makes four of a round, evenly spread: without a count it may be refused, never taken for
    # 18000.
    assert heard.beats_per_hour is None


def test_music_is_not_taken_for_a_clock() -> None:
    rng = np.random.default_rng(9)
    sample_hz, beat = 16000, 0.5
    samples = rng.normal(0.0, 0.003, 30 * sample_hz)
    t = np.arange(int(0.45 * sample_hz)) / sample_hz
    drums = [rng.normal(0.0, 1.0, t.size) * np.exp(-t / last) for last in (0.02, 0.05)]
    for beat_number in range(59):
        at = int((0.1 + beat * beat_number) * sample_hz)
        hz = 220.0 * 2 ** (rng.integers(0, 13) / 12)
        note = (
            sum(np.sin(2 * np.pi * k * hz * t) / k for k in range(1, 6)) * np.minimum(t / 0.005, 1.0) * np.exp(-t / 0.2)
        )
        samples[at : at + t.size] += 0.2 * drums[beat_number % 2] + 0.1 * note
    share, step = played_in_step.tones_in_step(samples.astype(np.float32), sample_hz, first_s=0.1, beat_s=beat)

    # Derived: the notes hold most of the power between drums and start at every one; chance's own spread is 1.
    assert share > 0.3
    assert step > 10.0
    assert reason(samples.astype(np.float32), replace(RECOIL, beats_per_hour=7200.0), given=False) in (
        "speech",
        "two_clocks",
        "hum",
    )


def test_talk_beside_a_clock_keeps_no_step_with_it() -> None:
    rng = np.random.default_rng(4)
    samples, truth = made(RECOIL)
    t = np.arange(samples.size) / RECOIL.sample_hz
    share, step = played_in_step.tones_in_step(
        (samples + 0.02 * speech_like(t, rng)).astype(np.float32),
        RECOIL.sample_hz,
        first_s=float(truth.beats_s[0]),
        beat_s=0.4,
    )

    # Derived: talk as loud as a tick's level lies far over the noise, and voiced talk is tones.
    assert share > 0.3
    # Derived: chance's own spread is 1; five of them come by chance in fewer than one of a million.
    assert step < 5.0


def test_a_live_room_is_no_loop_and_a_loop_is_one_in_it() -> None:
    clock = replace(RECOIL, snr_db=60.0, rate_s_per_day=0.0)
    samples, truth = made(clock)
    rng = np.random.default_rng(3)
    room = 0.3 * rng.normal(0.0, 1.0, 16000) * 10.0 ** (-3.0 * np.arange(16000) / 12800)
    room[0] = 1.0
    lively = np.convolve(samples, room)[: samples.size].astype(np.float32)
    piece = lively[int(0.8 * 16000) : int(8.0 * 16000)]

    assert not recording_faults.copied(lively, 16000, truth.beats_s)
    # Nine rounds of 0.8 s, four times over: the beats go on without a jump.
    assert recording_faults.copied(
        np.tile(piece, 4), 16000, np.arange(float(truth.beats_s[truth.beats_s > 0.8][0]) - 0.8, 28.8, 0.4)
    )


def test_sound_lost_more_than_once_is_joined_each_time() -> None:
    beat_s, rng = 0.25, np.random.default_rng(1)
    numbers = np.arange(600)
    times, runs = numbers * beat_s + rng.normal(0.0, 1e-4, 600), np.zeros(600, np.int16)
    for at, lost_s in ((150, 0.02), (300, 0.03), (450, 0.01)):
        times[at:] -= lost_s
        runs[at:] += 1
    log = BeatLog(times, numbers.astype(float), (numbers % 2).astype(np.int8), runs, *np.ones((2, 600), np.float32))

    joined, notes = _rejoined(log, beat_s)

    # Source: the three losses made above.
    assert len(notes) == 3
    assert set(joined.runs) == {0}
    # Derived: the beats lie on one line again, within the noise put in.
    assert np.abs(joined.times_s - times[0] - beat_s * (joined.numbers - joined.numbers[0])).max() < 1e-3
