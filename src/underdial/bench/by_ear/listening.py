"""A recording of a clock's ticking to the answer of `listen`: read in blocks, followed, concluded."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from underdial.bench.by_ear.heard_over_time import over_time_keys, over_time_lines, periodic_line
from underdial.bench.by_ear.swing_over_time import SwingAt, swing_keys, swing_lines, swings_along
from underdial.capture import sound
from underdial.errors import BadInput
from underdial.listening import channels, wheel_patterns
from underdial.listening.follower import Follower
from underdial.listening.hearing import UNKNOWN_RECORDER, Expected, Heard, hear, too_slow
from underdial.listening.rate_fit import BeatLog, RateFit
from underdial.movement import going_train
from underdial.papers.scene import svg
from underdial.papers.timing_figure import ResidualShown, RungShown, TimingShown, timing_scene
from underdial.uncertain import Uncertain
from underdial.units import Quantity

Floats = NDArray[np.float32]

_SOURCES = ["Turin1960", "Harville1977", "Hoeting1999", "Beaton1974", "Draper1998", "Bonferroni1936"]
# A count told beside a train is the train's own within so much of it, or within so many of its standard errors.
_SAME_COUNT_RATIO, _SURE_WITHIN = 0.01, 3.0
_MOST_BEATS_PER_HOUR = 72000.0


@dataclass(frozen=True, slots=True)
class Listened:
    """The conclusion and what was expected, for the answer and for the picture; `recorder` says whose clock it was
    heard by, `swings` how a long one swings along.
    """

    heard: Heard
    expected: Expected
    escape_count: int | None
    position: str | None
    recorder: str | None = None
    swings: tuple[SwingAt, ...] = ()


def listen_file(path: Path, **given: Any) -> Listened:
    """Listen to a file; `given` as for `expect`."""
    expected, escape_count, position = expect(**given)
    count = expected.beats_per_hour.value if expected.beats_per_hour else None
    slow = too_slow(count) if count is not None else None
    with sound.open_sound(path) as opened:
        if slow is not None:
            length = sum(block.shape[0] for block in opened.blocks) / opened.sample_hz
            return Listened(
                Heard(slow, length, nominal_from=expected.nominal_from, nominal_beats_per_hour=count),
                expected,
                escape_count,
                position,
            )
        follower = follow_sound(opened, count)
        heard = hear(follower, expected)
        if opened.lossy and heard.refusal is None:
            heard = replace(
                heard,
                warnings=(*heard.warnings, "The file's coding loses sound; a WAV or FLAC times soft ticks better."),
            )
    along = count or (heard.beats_per_hour.value if heard.beats_per_hour else None)
    swings = (
        swings_along(path, expected, beats_per_hour=along, duration_s=heard.duration_s)
        if along is not None and heard.refusal is None
        else ()
    )
    return Listened(heard, expected, escape_count, position, swings=swings)


def follow_sound(opened: sound.Sound, beats_per_hour: float | None) -> Follower:
    """Feed all blocks of a sound to a follower, the channel chosen on the first twenty seconds."""
    follower = Follower(opened.sample_hz, beats_per_hour)
    held: list[Floats] = []
    mix: NDArray[np.float32] | None = np.ones(1, dtype=np.float32) if opened.channels_count == 1 else None
    for block in opened.blocks:
        if mix is None:
            held.append(block)
            if sum(one.shape[0] for one in held) >= channels.JUDGED_S * opened.sample_hz:
                mix = _mix(held, opened.sample_hz, beats_per_hour)
                follower.feed(np.concatenate(held) @ mix)
                held = []
        else:
            follower.feed(block[:, 0] if mix.size == 1 else block @ mix)
    if held:
        follower.feed(np.concatenate(held) @ _mix(held, opened.sample_hz, beats_per_hour))
    follower.close()
    return follower


def expect(
    *,
    beats_per_hour: tuple[float, float] | None = None,
    train: str | None = None,
    escape_count: int | None = None,
    hour_arbor: int = 2,
    lift: Quantity | None = None,
    oscillator: str | None = None,
    recorder_ppm: tuple[float, float] | None = None,
    position: str | None = None,
) -> tuple[Expected, int | None, str | None]:
    """What is known before listening, from the options of the command; BadInput names the option that will not do."""
    arbors: tuple[tuple[str, float], ...] = ()
    count: Uncertain | None = None
    source = "none"
    if train is not None:
        if escape_count is None:
            raise BadInput(
                "escape",
                "(nothing)",
                "teeth of the escape wheel",
                "escape: with --train say how many teeth the escape wheel has",
            )
        wheels, pinions = going_train.parse_counts(train)
        if any(one is None for one in (*wheels, *pinions)):
            raise BadInput(
                "train",
                train,
                "all counts known",
                "train: a lost count (?) gives no beat to expect; give --beats-per-hour",
            )
        reckoned = going_train.reckon(
            [one for one in wheels if one],
            [one for one in pinions if one],
            escape_count=escape_count,
            hour_arbor=hour_arbor,
        )
        count, source = Uncertain(reckoned.beats_per_hour), "train"
        arbors = tuple((one.name, one.period_s) for one in reckoned.arbors)
    elif escape_count is not None and beats_per_hour is not None:
        arbors = (("escape_wheel", 7200.0 * escape_count / beats_per_hour[0]),)
    if beats_per_hour is not None:
        _agree(beats_per_hour, count)
        count, source = Uncertain(*beats_per_hour), "given"
    if count is not None and not 0 < count.value <= _MOST_BEATS_PER_HOUR:
        raise BadInput("beats-per-hour", f"{count.value:g}", f"above 0, to {_MOST_BEATS_PER_HOUR:.0f}")
    lift_deg = Uncertain(math.degrees(lift.value), math.degrees(lift.u)) if lift is not None else None
    if lift_deg is not None and not 5.0 <= lift_deg.value <= 120.0:
        raise BadInput("lift", f"{lift_deg.value:g} deg", "5 to 120 deg, both sides together")
    balance = None if oscillator is None else oscillator == "balance"
    if balance is None and lift_deg is not None:
        balance = True
    clock = Uncertain(*recorder_ppm) if recorder_ppm is not None else UNKNOWN_RECORDER
    return Expected(count, source, lift_deg, balance, clock, arbors), escape_count, position


def listen_answer(listened: Listened) -> dict[str, Any]:
    """The answer with the keys of the contract; all unknown ones null when refused."""
    heard, expected = listened.heard, listened.expected
    rate, half = heard.rate_s_per_day, heard.half_95_s_per_day
    known = [one for one in heard.parts_s_per_day if one is not None]
    fit, recorder, nominal = heard.parts_s_per_day
    assumed: dict[str, Any] = {}
    if expected.recorder_ppm is UNKNOWN_RECORDER:
        assumed["recorder_ppm"] = "0+-50"
    tried = [one for one in heard.patterns if one.peak_s is not None]
    along = over_time_keys(heard, expected)
    unknown = [
        f"{str(one.arbor).replace('_', ' ')}: cannot tell, record at least {math.ceil(one.needed_s / 60.0)} minutes."
        for one in heard.patterns
        if one.peak_s is None
    ]
    return {
        "verdict": "refused" if heard.refusal else "heard",
        "reason": heard.refusal.sentence if heard.refusal else None,
        "reason_id": heard.refusal.reason_id if heard.refusal else None,
        "beats_per_hour": heard.beats_per_hour.value if heard.beats_per_hour else None,
        "beats_per_hour_u": heard.beats_per_hour.u if heard.beats_per_hour else None,
        "nominal_beats_per_hour": heard.nominal_beats_per_hour,
        "nominal_from": heard.nominal_from,
        "rate_s_per_day": rate,
        "rate_u_s_per_day": math.hypot(*known) if rate is not None else None,
        "rate_95_s_per_day": [rate - half, rate + half] if rate is not None and half is not None else None,
        "rate_u_parts": {"fit_s_per_day": fit, "recorder_s_per_day": recorder, "nominal_s_per_day": nominal},
        "beat_error_ms": heard.evenness.beat_error_s * 1e3 if heard.evenness else None,
        "beat_error_u_ms": heard.evenness.u_s * 1e3 if heard.evenness else None,
        "amplitude_deg": heard.swing.amplitude_deg,
        "amplitude_u_deg": heard.swing.u_deg,
        "amplitude_reason": heard.swing.reason,
        "beats_found_count": heard.beats_found_count if heard.log is not None or heard.beats_found_count else None,
        "beats_expected_count": heard.beats_expected_count
        if heard.log is not None or heard.beats_found_count
        else None,
        "periodic": [
            {
                "period_s": one.period_s,
                "arbor": one.arbor,
                "peak_ms": 1e3 * (one.peak_s or 0.0),
                "peak_u_ms": _peak_u_ms(heard, one.peak_s or 0.0),
                "chance_probability": one.chance_probability,
            }
            for one in tried
        ],
        "stops": [{"start_s": start, "end_s": end} for start, end in heard.stops_s],
        "duration_s": heard.duration_s,
        "position": listened.position,
        "scatter_ms": heard.fit.scatter_s * 1e3 if heard.fit else None,
        "recorder": listened.recorder,
        "recorder_ppm": expected.recorder_ppm.value,
        "recorder_u_ppm": expected.recorder_ppm.u,
        **along,
        **swing_keys(listened.swings, along["over_time"]),
        "warnings": [*heard.warnings, *unknown],
        "sources": _SOURCES,
        "assumed": assumed,
    }


def _peak_u_ms(heard: Heard, peak_s: float) -> float | None:
    """Standard error of the swing of a pattern [ms]: that of a sine in the scatter of the beats, and a twentieth for a
    shape that is none.
    """
    if heard.fit is None:
        return None
    return 1e3 * math.hypot(heard.fit.scatter_s * math.sqrt(2.0 / max(int(heard.fit.used.sum()), 1)), 0.05 * peak_s)


def listen_words(answer: dict[str, Any]) -> str:
    """The answer as a repairer reads it: a sentence with its errors first."""
    if answer["verdict"] == "refused":
        return str(answer["reason"])
    lines = []
    if answer["rate_s_per_day"] is not None:
        rate = answer["rate_s_per_day"]
        low, high = answer["rate_95_s_per_day"]
        does = "gains" if rate >= 0 else "loses"
        lines.append(
            f"It {does} {abs(rate):.1f} s a day; 95 in 100 sure between {low:+.1f} and {high:+.1f} (+ gains). "
            f"{answer['beats_per_hour']:.2f} beats an hour."
        )
        parts = answer["rate_u_parts"]
        lines.append(
            f"Give or take: fit of the beats {parts['fit_s_per_day']:.2g}, recorder's clock "
            f"{parts['recorder_s_per_day']:.2g}, count {parts['nominal_s_per_day']:.2g} s a day."
        )
    else:
        lines.append(f"It makes {answer['beats_per_hour']:.1f} beats an hour.")
    lines.append(
        f"Tick and tock are {answer['beat_error_ms']:.2f} ms out of even, give or take "
        f"{answer['beat_error_u_ms']:.2g} ms."
    )
    if answer["amplitude_deg"] is not None:
        lines.append(
            f"The balance swings {answer['amplitude_deg']:.0f} deg each side, give or take "
            f"{answer['amplitude_u_deg']:.0f}."
        )
    elif answer["amplitude_reason"]:
        lines.append(answer["amplitude_reason"])
    lines.append(
        f"Heard {answer['beats_found_count']} of {answer['beats_expected_count']} beats in "
        f"{answer['duration_s']:.0f} s."
    )
    lines += over_time_lines(answer) + swing_lines(answer)
    lines += [periodic_line(one) for one in answer["periodic"]]
    lines += [str(answer["recorder"])] if answer["recorder"] else []
    return "\n".join([*lines, *answer["warnings"]])


def timing_shown(listened: Listened, answer: dict[str, Any] | None = None) -> TimingShown:
    """The numbers of the picture: residuals in at most two hundred lots with their band, petals, rungs.

    `answer` saves working it out anew.
    """
    heard = listened.heard
    assert heard.fit is not None
    assert heard.log is not None
    fit, log = heard.fit, heard.log
    late, times = _left_over(log, fit)[fit.used], log.times_s[fit.used]
    lots = np.array_split(np.arange(late.size), min(200, max(late.size // 2, 1)))
    t95 = 1.96
    residuals = tuple(
        ResidualShown(
            float(times[lot].mean()),
            float(late[lot].mean()),
            t95 * fit.scatter_s / math.sqrt(float(log.counts[fit.used][lot].sum())),
        )
        for lot in lots
    )
    petals: tuple[tuple[float, float], ...] = ()
    escape = [one for one in heard.patterns if one.arbor == "escape_wheel" and one.peak_s is not None]
    if escape and listened.escape_count:
        mean, u = wheel_patterns.rose(log, fit, period_s=escape[0].period_s, petals_count=listened.escape_count)
        petals = tuple(zip(mean.tolist(), u.tolist(), strict=True))
    rungs = tuple(
        RungShown(
            one.period_s,
            one.arbor or "",
            one.peak_s,
            one.chance_probability is not None and one.chance_probability < wheel_patterns.SURE_PROBABILITY,
        )
        for one in heard.patterns
    )
    lines = listen_words(answer or listen_answer(listened)).split("\n")
    rate = heard.rate_s_per_day
    if rate is not None and heard.half_95_s_per_day is not None:
        first = (
            f"It {'gains' if rate >= 0 else 'loses'} {abs(rate):.1f} s a day, give or take "
            f"{heard.half_95_s_per_day:.1f} (95 in 100)."
        )
    else:
        first = lines[0]
    return TimingShown(first, tuple(lines[1:3]), residuals, petals, rungs, heard.duration_s)


def _left_over(log: BeatLog, fit: RateFit) -> NDArray[np.float64]:
    """Lateness [s] of every beat against the rate that is told, each run about its own middle."""
    left = log.times_s - fit.beat_s * log.numbers - fit.late_s * log.kinds
    for run in np.unique(log.runs):
        here = log.runs == run
        left[here] -= np.median(left[here & fit.used]) if np.any(here & fit.used) else 0.0
    return np.asarray(left)


def write_listen_picture(listened: Listened, path: Path) -> None:
    """Write the picture as an SVG that stands alone; a refused recording has none."""
    if listened.heard.refusal is not None:
        raise BadInput(
            "out",
            str(path),
            "a recording that was accepted",
            f"out: there is nothing to draw; {listened.heard.refusal.sentence}",
        )
    path.write_text(svg(timing_scene(timing_shown(listened)), alone=True, prefix="timing"), encoding="utf-8")


def _agree(told: tuple[float, float], of_train: Uncertain | None) -> None:
    """BadInput where a count told beside a train is none that the train makes."""
    if of_train is None or abs(told[0] - of_train.value) <= max(
        _SAME_COUNT_RATIO * of_train.value, _SURE_WITHIN * told[1]
    ):
        return
    raise BadInput(
        "beats-per-hour",
        f"{told[0]:g}",
        f"{of_train.value:g}, or no train",
        f"beats-per-hour: {told[0]:g} is not what this train makes, {of_train.value:g}; give one of the two, or see "
        "the counts again.",
    )


def _mix(held: list[Floats], sample_hz: int, beats_per_hour: float | None) -> NDArray[np.float32]:
    return np.array(channels.channel_mix_ratios(np.concatenate(held), sample_hz, beats_per_hour), dtype=np.float32)
