"""One recording over its own length, as the answer of `listen` and as sentences: stretches, wander, where its stops
fall.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from underdial.errors import OutOfRange
from underdial.listening import over_time
from underdial.listening.hearing import Expected, Heard
from underdial.listening.rate_fit import SECONDS_PER_DAY, rate_s_per_day
from underdial.listening.wheel_patterns import SURE_PROBABILITY, without_patterns
from underdial.mechanics.rate_statistics import allan
from underdial.mechanics.rate_variation import unsteadiness, weighted_slope

# Below this chance that errors alone make the difference, a difference is said to be there. [assumption]
DIFFERS_PROBABILITY = 0.01
_MOST_TAUS = 16


def over_time_keys(heard: Heard, expected: Expected) -> dict[str, Any]:
    """`over_time`, `steady_probability`, `drift…`, `allan` and `stop_folds` of an answer; empty lists and null where
    there is nothing to say.

    Errors of stretches are those of the fit alone: recorder and count shift all of them together.
    """
    told: dict[str, Any] = {
        "over_time": [],
        "steady_probability": None,
        "drift_s_per_day_per_h": None,
        "drift_u_s_per_day_per_h": None,
        "allan": [],
        "stop_folds": [],
    }
    if heard.fit is None or heard.log is None:
        return told
    fast = 1.0 + expected.recorder_ppm.value * 1e-6
    log = without_patterns(heard.log, heard.fit, heard.patterns)
    parts = over_time.stretches(log)
    nominal_s = 3600.0 / heard.nominal_beats_per_hour if heard.nominal_beats_per_hour else None
    # Without a count the rate against the mean beat of this recording still says how it changes.
    against_s = nominal_s or heard.fit.beat_s / fast
    rates = [rate_s_per_day(beat_s=one.beat_s / fast, nominal_beat_s=against_s) for one in parts]
    errors = [one.beat_u_s / one.beat_s * SECONDS_PER_DAY for one in parts]
    told["over_time"] = [
        {
            "start_s": one.start_s,
            "end_s": one.end_s,
            "beats_per_hour": 3600.0 * fast / one.beat_s,
            "rate_s_per_day": rate if nominal_s else None,
            "rate_u_s_per_day": u,
        }
        for one, rate, u in zip(parts, rates, errors, strict=True)
    ]
    if len(parts) >= 2:
        told["steady_probability"] = unsteadiness(rates, errors).chance_probability
    if len(parts) >= 3:
        slope, slope_u = weighted_slope(
            *map(np.asarray, ([(one.start_s + one.end_s) / 7200.0 for one in parts], rates, errors))
        )
        told |= {"drift_s_per_day_per_h": slope, "drift_u_s_per_day_per_h": slope_u}
    told["allan"] = _allan(heard)
    told["stop_folds"] = [
        {
            "arbor": one.arbor,
            "period_s": one.period_s,
            "turn_ratio": one.turn_ratio,
            "chance_probability": one.chance_probability,
        }
        for one in over_time.stop_folds(heard.stops_s, expected.arbors)
    ]
    return told


def over_time_lines(answer: Mapping[str, Any]) -> list[str]:
    """The same as sentences, only those that have something to say."""
    lines = []
    parts, chance = answer["over_time"], answer["steady_probability"]
    if parts:
        mean = sum(one["beats_per_hour"] for one in parts) / len(parts)
        rates = [
            one["rate_s_per_day"]
            if one["rate_s_per_day"] is not None
            else (one["beats_per_hour"] / mean - 1.0) * SECONDS_PER_DAY
            for one in parts
        ]
        from_what = "" if parts[0]["rate_s_per_day"] is not None else " from its mean"
        lines.append(
            f"From stretch to stretch ({len(parts)} of {_span(parts[0]['end_s'] - parts[0]['start_s'])}) it goes "
            f"from {min(rates):+.1f} to {max(rates):+.1f} s a day{from_what}: "
            + (
                "more than the error of a stretch explains."
                if chance < DIFFERS_PROBABILITY
                else "no more than the error of a stretch explains."
            )
        )
        slope, slope_u = answer["drift_s_per_day_per_h"], answer["drift_u_s_per_day_per_h"]
        if slope is not None and abs(slope) > 3.0 * slope_u:
            lines.append(f"Its rate drifts by {slope:+.2g} s a day with every hour, give or take {slope_u:.2g}.")
    chosen = answer["allan"][:: max(1, (len(answer["allan"]) - 1) // 3)][:4]
    if len(chosen) > 1:
        said = ", ".join(f"{one['deviation_s_per_day']:.2g} over {_span(one['tau_s'])}" for one in chosen)
        lines.append(f"Wander from one stretch to the next (Allan deviation), s a day: {said}.")
    lines += _stop_lines(answer)
    return lines


def _stop_lines(answer: Mapping[str, Any]) -> list[str]:
    lines = [
        f"It stood, or was not heard, from {_clock(one['start_s'])} to {_clock(one['end_s'])} of the recording."
        if one["end_s"] < answer["duration_s"] - 1.0
        else f"It stopped, or was heard no more, at {_clock(one['start_s'])}, and did not go on."
        for one in answer["stops"]
    ]
    sure = [one for one in answer["stop_folds"] if one["chance_probability"] < DIFFERS_PROBABILITY]
    if sure:
        # Stops that gather on a slow arbor gather on every faster one that turns a whole number of times with it.
        slow = sure[-1]
        lines.append(
            f"Its stops come at one place of the {_named(slow['arbor'])} (a turn in {_span(slow['period_s'])}), "
            f"where chance would bring them so {_in_a_million(slow['chance_probability'])}."
        )
    elif answer["stop_folds"]:
        lines.append("Its stops come at no one place of any arbor that turned three times between them.")
    elif len(answer["stops"]) >= over_time.LEAST_STOPS:
        lines.append(
            "No arbor turned three times between its stops, or no train is known: whether they come at one place "
            "cannot be told."
        )
    return lines


def periodic_line(one: Mapping[str, Any]) -> str:
    """What the beats do with the turn of one arbor."""
    sure = one["chance_probability"] is not None and one["chance_probability"] < SURE_PROBABILITY
    what = (
        f"beats come late and early by {one['peak_ms']:.2f} ms with every turn"
        if sure
        else "nothing comes again with its turn"
    )
    return f"{_named(one['arbor'])[:1].upper()}{_named(one['arbor'])[1:]} ({_span(one['period_s'])} a turn): {what}."


def _allan(heard: Heard) -> list[dict[str, Any]]:
    assert heard.fit is not None
    assert heard.log is not None
    step, frequency = over_time.even_series(heard.log, heard.fit)
    out = []
    for k in range(_MOST_TAUS):
        tau = step * 2**k
        # Four spans at the least: with fewer the figure is mostly luck.
        if frequency.size < 4 * 2**k:
            break
        try:
            (deviation,) = allan("oadev", frequency.tolist(), [tau], rate_hz=1.0 / step)
        except OutOfRange:
            break
        out.append({"tau_s": tau, "deviation_ratio": deviation, "deviation_s_per_day": deviation * SECONDS_PER_DAY})
    return out


def _named(arbor: str | None) -> str:
    return str(arbor).replace("_", " ")


def _in_a_million(chance: float) -> str:
    return (
        f"{max(1, round(1e6 * chance))} times in a million"
        if chance < 1e-3
        else f"{round(1e3 * chance)} times in a thousand"
    )


def _clock(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours} h {minutes} min {rest} s" if hours else f"{minutes} min {rest} s" if minutes else f"{rest} s"


def _span(seconds: float) -> str:
    if seconds < 100.0:
        return f"{seconds:.3g} s"
    return f"{seconds / 60.0:.3g} min" if seconds < 7200.0 else f"{seconds / 3600.0:.3g} h"
