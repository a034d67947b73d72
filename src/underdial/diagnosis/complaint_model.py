"""What an owner would say of each draw: the likelihood of the complaint, and the same law to simulate one.

The going itself gives the times, the rates and the manner of a stop; signs of single faults (a bang, slipping while
wound, hands that stand) come from the table of fault laws as a noisy OR with a small chance of being said for no reason
of ours. A field with several values is weighed against its other values; a field not told says nothing, save that an
owner who tells of something else than a stop has mostly a clock that goes.

Limits: chances are starting values of ours, [assumption].
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from underdial.diagnosis.case_file import COMPLAINT, NOISES
from underdial.diagnosis.effects import Bench
from underdial.diagnosis.fate import ENDING, ENDINGS, Fate
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.suspects import Suspect
from underdial.mechanics.parameters import Array

RUN_LOG_SD = 0.5
_LEAK = {"hands_stand": 0.004, "races": 0.01, "winding": 0.01, "noise": 0.01, "stops_in_cold": 0.03, "goes_only": 0.01,
         "rate_kind": 0.04, "swing": 0.02, "strikes": 0.02, "chimes": 0.02, "alarm": 0.02}  # fmt: skip
_SAYS_STOPS_THOUGH_IT_GOES = 0.04
_KEEPS_QUIET_OF_A_STOP = 0.2
# At home, with its draughts and its winding, one run time in ten is none the sums know. [assumption]
WRONG_TIME = 0.10
_LOG_TIME_RANGE = 13.0
_TURN_LOG_SD = 0.3
# A bent tooth is met at every turn of its wheel, but does not catch at every meeting: half the told times are of the
# first turn, the rest spread evenly in the logarithm over this many turns. [assumption]
FIRST_TURN_SHARE = 0.5
LATER_TURNS = 50.0
# A stop that comes now and then does so at a pace of its own: as reckoned, four times as often, or a quarter as often.
# [assumption]
NOW_AND_THEN_STEPS = (-math.log(4.0), 0.0, math.log(4.0))
# Of a clock that would have failed alike before what the owner dates it from, one owner in twenty dates it so; of one
# that went a good part of its wind before, and stops much sooner now, three in ten. [assumption]
DATED_WRONG = 0.05
DATED_WORSE = 0.3
_GOOD_PART = 0.1
# A stop is another stop, and not the same put off, when it comes at least so many times as late. [assumption]
LASTS_LONGER = 3.0
GOES_SHARE = 0.8
TURN_ENDINGS = ("arbor", "hour1", "crossing", "hour12", "hour24", "before_hour", "quarter", "one_oclock", "wind")
_AT_A_TURN = [ENDING[e] for e in TURN_ENDINGS]
_NOW_AND_THEN = [ENDING[e] for e in ("random", "tilt")]
STOP_FIELDS = ("runs_for_s", "never_runs", "stops_at", "goes_only", "stops_in_cold", "runs_dial_up_for_s", "stops")
DATED_FIELDS = ("rate_kind", "noise", "races", "swing", "hands_stand", "winding")
# P(value said of where it stops | how it ends): same_dial_time, same_minute, same_wind, before_hour, irregular.
_WHERE: dict[str, tuple[float, float, float, float, float]] = {
    "full": (0.2, 0.2, 0.2, 0.2, 0.2),
    "dies_away": (0.015, 0.02, 0.10, 0.008, 0.857),
    "dead": (0.05, 0.05, 0.05, 0.05, 0.80),
    "arbor": (0.03, 0.07, 0.07, 0.02, 0.81),
    "hour1": (0.12, 0.70, 0.01, 0.07, 0.10),
    "crossing": (0.54, 0.12, 0.01, 0.01, 0.32),
    "hour12": (0.82, 0.03, 0.03, 0.03, 0.09),
    "hour24": (0.85, 0.02, 0.03, 0.02, 0.08),
    "before_hour": (0.05, 0.15, 0.01, 0.74, 0.05),
    "quarter": (0.03, 0.55, 0.01, 0.22, 0.19),
    "one_oclock": (0.75, 0.04, 0.02, 0.12, 0.07),
    "wind": (0.04, 0.01, 0.86, 0.01, 0.08),
    "random": (0.02, 0.02, 0.04, 0.02, 0.90),
    "tilt": (0.02, 0.02, 0.02, 0.02, 0.92),
}
_PLACES = ("same_dial_time", "same_minute", "same_wind", "before_hour", "irregular")
_SIGN_AT_SLIGHT = 0.45


@dataclass(frozen=True)
class SignTable:
    """For each field and value of the complaint the suspects that make an owner say it, and how often."""

    signs: Mapping[tuple[str, str], tuple[tuple[int, float], ...]]
    outside: Mapping[tuple[str, str], float] = field(default_factory=dict)


def sign_table(suspects: tuple[Suspect, ...], outside: Mapping[tuple[str, str], float]) -> SignTable:
    """Gather the signs of all suspects; `outside` is the chance of a value from faults that are not among them."""
    found: dict[tuple[str, str], list[tuple[int, float]]] = {}
    for k, suspect in enumerate(suspects):
        for sign in suspect.law.signs:
            found.setdefault((sign.field, sign.value), []).append((k, sign.probability))
    return SignTable({key: tuple(rows) for key, rows in found.items()}, outside)


@dataclass(frozen=True)
class Rates:
    """Rates told or read, to be weighed together since they share the regulator: value, uncertainty, predicted."""

    value: float
    u: float
    predicted: Array


def log_likelihood(
    told: Mapping[str, object],
    bench: Bench,
    table: SignTable,
    fate: Fate,
    draws: FaultDraws,
    *,
    regulator_sd: float,
    typical_rate: float,
) -> Array:
    """Log chance that the owner tells what was told, for every draw, shape (draws,); rates are weighed elsewhere."""
    total = np.zeros(draws.count)
    stop_told = any(told.get(name) not in (None, False) for name in STOP_FIELDS)
    goes_told = _goes_told(told, bench.layout.duration_s)
    if stop_told and not goes_told:
        total += np.where(fate.full, math.log(_SAYS_STOPS_THOUGH_IT_GOES), 0.0)
    elif told and not goes_told and any(name not in ("words", "since") for name in told):
        total += np.where(fate.full, 0.0, math.log(_KEEPS_QUIET_OF_A_STOP))
    for name, value in told.items():
        if name in ("words", "since", "rate_s_per_day", "stops"):
            continue
        if name in ("runs_for_s", "runs_dial_up_for_s", "never_runs"):
            total += _log_time(name, value, bench, fate)
            continue
        if COMPLAINT[name] == "yes_no":
            chance = values_of(name, bench, table, fate, draws, regulator_sd=regulator_sd, typical_rate=typical_rate)[
                "yes"
            ]
            total += np.log(np.clip(chance if value else 1.0 - chance, 1e-9, 1.0))
            continue
        chances = values_of(name, bench, table, fate, draws, regulator_sd=regulator_sd, typical_rate=typical_rate)
        whole = np.sum(list(chances.values()), axis=0)
        # Against the other values of the field, and against nothing of the kind being said at all.
        total += np.log(np.clip(chances[str(value)] / np.maximum(whole, 1.0), 1e-9, 1.0))
    return total


def log_since(
    told: Mapping[str, object],
    bench: Bench,
    table: SignTable,
    now: tuple[Fate, FaultDraws],
    before: tuple[Fate, FaultDraws],
    columns: NDArray[np.int64],
    *,
    regulator_sd: float,
    typical_rate: float,
    wrong: float = DATED_WRONG,
    worse: float = DATED_WORSE,
) -> Array:
    """Log chance that the complaint is said to have come with some faults (or gone with them), for every draw, shape
    (draws,).

    `before` are the draws `columns` without those faults; in all others nothing came with them. What is there without
    them as much as with them is said so with the chance `wrong`; a stop that was only put off, with `worse`.
    """
    fate, draws = now
    if any(told.get(name) not in (None, False) for name in STOP_FIELDS) and not _goes_told(
        told, bench.layout.duration_s
    ):
        chance = np.full(draws.count, wrong)
        longer = before[0].stop_s > np.maximum(
            LASTS_LONGER * fate.stop_s[columns], _GOOD_PART * bench.layout.duration_s
        )
        went = np.where(before[0].full, 1.0, np.where(longer, max(worse, wrong), wrong))
        chance[columns] = np.where(fate.full[columns], wrong, went)
        return np.asarray(np.log(chance))
    rate = told.get("rate_s_per_day")
    if isinstance(rate, float):
        new = np.zeros(draws.count, bool)
        came = rate_shift(fate, 0, 0)[columns] - rate_shift(before[0], 0, 0)
        new[columns] = came * rate > 0.3 * rate * rate
        return np.asarray(np.log(np.where(new, 1.0, wrong)))
    total = np.zeros(draws.count)
    for name in DATED_FIELDS:
        if told.get(name) in (None, False):
            continue
        value = "yes" if told[name] is True else str(told[name])
        with_it = values_of(name, bench, table, fate, draws, regulator_sd=regulator_sd, typical_rate=typical_rate)[
            value
        ]
        old = with_it.copy()
        old[columns] = np.minimum(
            values_of(name, bench, table, *before, regulator_sd=regulator_sd, typical_rate=typical_rate)[value],
            old[columns],
        )
        total += np.log(np.clip((with_it - (1.0 - wrong) * old) / np.maximum(with_it, 1e-9), 1e-9, 1.0))
    return total


def values_of(
    name: str,
    bench: Bench,
    table: SignTable,
    fate: Fate,
    draws: FaultDraws,
    *,
    regulator_sd: float,
    typical_rate: float,
) -> dict[str, Array]:
    """Chance of each value of a field of the complaint, for every draw."""
    kind = COMPLAINT[name]
    values = ("yes",) if kind == "yes_no" else (*NOISES, "yes") if kind == "noise" else kind
    assert isinstance(values, tuple)
    if name == "stops_at":
        return _where(fate, bench)
    said = {value: _noisy_or(name, value, table, draws) for value in values}
    if name == "goes_only":
        said["hands_off"] = _noisy_or(name, "hands_off", table, draws, holding=_held_by_hands(bench, fate))
    if name == "noise":
        said["yes"] = 1.0 - np.prod([1.0 - p for value, p in said.items() if value != "yes"], axis=0)
    by_going = {
        "rate_kind": _rate_kind,
        "swing": _swing,
        "goes_only": _goes_only,
        "hands_stand": _hands,
        "races": _races,
        "stops_in_cold": _cold,
    }.get(name)
    if by_going is not None:
        for value, chance in by_going(bench, fate, regulator_sd, typical_rate).items():
            said[value] = 1.0 - (1.0 - said[value]) * (1.0 - chance)
    return said


def _noisy_or(
    name: str,
    value: str,
    table: SignTable,
    draws: FaultDraws,
    *,
    holding: tuple[Array, NDArray[np.int16]] | None = None,
) -> Array:
    """Chance of a value from the faults that make an owner say it; with `holding` only from those that hold the clock
    up.
    """
    key = (name, value)
    off = np.full(draws.count, (1.0 - _LEAK.get(name, 0.02)) * (1.0 - table.outside.get(key, 0.0)))
    for k, chance in table.signs.get(key, ()):
        s = draws.severity[k]
        there = np.flatnonzero(s > 0.0)
        share = 1.0 if holding is None else np.maximum(holding[0][there], holding[1][there] == k)
        off[there] *= 1.0 - chance * share * np.minimum(1.0, _SIGN_AT_SLIGHT + (1.0 - _SIGN_AT_SLIGHT) * s[there])
    return 1.0 - off


def _held_by_hands(bench: Bench, fate: Fate) -> tuple[Array, NDArray[np.int16]]:
    """Whether what drags at the hands makes the swing die away (nearly nought when it would die without it), and what
    stopped it hard.
    """
    drag = fate.table.values[bench.layout.row("drag_share_ratio", bench.places.hour_arbor)]
    freed = fate.outcome.reserve_ratio[0] / np.maximum(1.0 - drag, 0.03) > 1.0
    dies = fate.ending == ENDING["dies_away"]
    return np.where(dies & freed, 1.0, 0.05), fate.ended_by


def _goes_told(told: Mapping[str, object], duration_s: float) -> bool:
    runs = told.get("runs_for_s")
    return isinstance(runs, float) and runs >= GOES_SHARE * duration_s and not told.get("never_runs")


def _log_time(name: str, value: object, bench: Bench, fate: Fate) -> Array:
    """Run times: lognormal about the predicted one, with a small chance of any time at all."""
    duration = bench.layout.duration_s
    if name == "never_runs":
        omega = bench.layout.omega_rad_per_s
        q = float(bench.nominal[bench.layout.row("linear_q_ratio")])
        limit = max(90.0, 1.5 * q / omega)
        soon = ndtr((math.log(limit) - np.log(np.maximum(fate.stop_s, 1.0))) / 0.8)
        soon = np.where(fate.ending == ENDING["arbor"], 0.7 * soon, soon)
        chance = np.where(fate.full, 0.01, 0.02 + 0.96 * soon)
        return np.asarray(np.log(chance if value else np.clip(1.0 - chance, 0.02, 1.0)))
    assert isinstance(value, float)
    lying = name == "runs_dial_up_for_s"
    row = 1 if lying and len(fate.outcome.stop_s) > 1 else 0
    stop = fate.outcome.stop_s[row] if lying else fate.stop_s
    if lying:
        stop = np.minimum(stop, np.where(fate.ending == ENDING["tilt"], np.inf, fate.hard_stop_s))
    full = (fate.outcome.runs_full[row] & np.isinf(fate.hard_stop_s)) if lying else fate.full
    if value >= GOES_SHARE * duration:
        log_goes = math.log(GOES_SHARE * duration)
        any_time = max(1.0 - log_goes / _LOG_TIME_RANGE, 0.0)
        late = (1.0 - WRONG_TIME) * _late_chance(log_goes, stop, fate, lying) + WRONG_TIME * any_time
        goes = 1.0 - _SAYS_STOPS_THOUGH_IT_GOES * (1.0 - any_time)
        return np.asarray(np.log(np.where(full, goes, np.maximum(late, 1e-3))))
    density = _time_density(math.log(max(value, 1.0)), stop, fate, lying)
    any_time = 1.0 / _LOG_TIME_RANGE
    chance_density: Array = np.log(np.where(full, any_time, (1.0 - WRONG_TIME) * density + WRONG_TIME * any_time))
    return chance_density


def run_log_sd(stop_s: Array) -> Array:
    """Spread of the told run time about the predicted one: what is over in a minute is told more loosely.

    [assumption]
    """
    return np.asarray(RUN_LOG_SD + 0.5 / (1.0 + stop_s / 120.0))


def _time_density(log_time: float, stop_s: Array, fate: Fate, lying: bool) -> Array:
    """Density, in the logarithm of time, of the run time told.

    A stop that waits at one place of a turn is met after a part of the turn that is new at each start; a stop that
    comes now and then has no memory; a swing that dies away takes the time the sums say.
    """
    sd = run_log_sd(stop_s)
    x = (log_time - np.log(np.maximum(stop_s, 1.0))) / sd
    density: Array = np.exp(-0.5 * x * x) / (sd * math.sqrt(2.0 * math.pi))
    if lying:
        return density
    r = log_time - np.log(np.maximum(fate.period_s, 1.0))
    turn = np.exp(r + 0.5 * _TURN_LOG_SD**2) * ndtr((-r - _TURN_LOG_SD**2) / _TURN_LOG_SD)
    later = np.where((r > 0.0) & (r < math.log(LATER_TURNS)), 1.0 / math.log(LATER_TURNS), 0.0)
    turn = np.where(fate.ending == ENDING["arbor"], FIRST_TURN_SHARE * turn + (1.0 - FIRST_TURN_SHARE) * later, turn)
    now_and_then = np.mean(
        [np.exp(np.minimum(r - step, 6.0) - np.exp(np.minimum(r - step, 6.0))) for step in NOW_AND_THEN_STEPS], axis=0
    )
    density = np.where(np.isin(fate.ending, _AT_A_TURN), turn, density)
    return np.where(np.isin(fate.ending, _NOW_AND_THEN), now_and_then, density)


def _late_chance(log_time: float, stop_s: Array, fate: Fate, lying: bool) -> Array:
    """Chance that the run time told is beyond a time: the tail of `_time_density`."""
    late: Array = ndtr((np.log(np.maximum(stop_s, 1.0)) - log_time) / run_log_sd(stop_s))
    if lying:
        return late
    r = log_time - np.log(np.maximum(fate.period_s, 1.0))
    z = -r / _TURN_LOG_SD
    turn = np.maximum(ndtr(z) - np.exp(r + 0.5 * _TURN_LOG_SD**2) * ndtr(z - _TURN_LOG_SD), 0.0)
    later = np.clip(1.0 - r / math.log(LATER_TURNS), 0.0, 1.0)
    turn = np.where(fate.ending == ENDING["arbor"], FIRST_TURN_SHARE * turn + (1.0 - FIRST_TURN_SHARE) * later, turn)
    late = np.where(np.isin(fate.ending, _AT_A_TURN), turn, late)
    return np.where(np.isin(fate.ending, _NOW_AND_THEN), np.exp(-np.exp(np.minimum(r, 6.0))), late)


def _where(fate: Fate, bench: Bench) -> dict[str, Array]:
    rows = np.asarray([_WHERE[name] for name in ENDINGS])[fate.ending]
    duration = bench.layout.duration_s
    late = (fate.ending == ENDING["dies_away"]) & (fate.stop_s > 0.2 * duration)
    # A spring falls off, or its turns come to an end, and the swing dies at one state of the wind; a weight pulls alike
    # to its last turn.
    turns = np.minimum(fate.table.values[bench.layout.row("available_turns_ratio")], 1.0) * duration
    falls = min(max((1.0 - float(bench.nominal[bench.layout.row("end_torque_ratio")])) / 0.2, 0.0), 1.0)
    wind = np.where(fate.stop_s > 0.95 * turns, 0.52, 0.06 + 0.46 * falls)
    rows[late] = np.stack(
        [np.full_like(wind, 0.02), np.full_like(wind, 0.03), wind, np.full_like(wind, 0.02), 0.93 - wind], axis=1
    )[late]
    lift = (
        (fate.ending == ENDING["dies_away"])
        & ~late
        & (fate.hour_ripple > 0.22)
        & (fate.stop_s < 3 * 3600.0)
        & (fate.stop_s > 240.0)
    )
    rows[lift] = (0.04, 0.30, 0.02, 0.34, 0.30)
    slow = (fate.ending == ENDING["arbor"]) & (fate.period_s > 6 * 3600.0)
    rows[slow] = (0.20, 0.03, 0.47, 0.02, 0.28)
    hourly = (fate.ending == ENDING["arbor"]) & (np.abs(fate.period_s - 3600.0) < 60.0)
    rows[hourly] = (0.10, 0.68, 0.02, 0.08, 0.12)
    return {name: rows[:, i] for i, name in enumerate(_PLACES)}


def rate_shift(fate: Fate, hour: int, position: int) -> Array:
    """Predicted rate of every draw without the regulator [s/day]; tripping adds what the train leaps ahead."""
    return np.asarray(fate.outcome.rate_at_s_per_day[hour, position] + 250.0 * fate.trip)


def _rate_kind(bench: Bench, fate: Fate, regulator_sd: float, typical_rate: float) -> dict[str, Array]:
    shift = rate_shift(fate, 0, 0) - typical_rate
    spread = math.hypot(regulator_sd, 40.0)
    fall = np.abs(fate.outcome.amplitude_full_rad[0] - fate.outcome.amplitude_end_rad[0]) / np.maximum(
        fate.outcome.amplitude_full_rad[0], 1e-6
    )
    return {
        "gains": 0.8 * ndtr((shift - 60.0) / spread),
        "loses": 0.8 * ndtr((-shift - 60.0) / spread),
        "irregular": 0.5 * (1.0 - np.exp(-3.0 * fate.trip))
        + 0.1 * ndtr((fate.outcome.amplitude_ripple_ratio[0] - 0.08) / 0.03),
        "changes_over_wind": 0.3 * ndtr((fall - 0.35) / 0.1),
    }


def _swing(bench: Bench, fate: Fate, regulator_sd: float, typical_rate: float) -> dict[str, Array]:
    ratio = fate.outcome.amplitude_full_rad[0] / bench.amplitude_rad
    big = ndtr((ratio - 1.2) / 0.1)
    return {"too_small": 0.9 * ndtr((0.75 - ratio) / 0.12), "too_big": 0.8 * big, "knocks": 0.6 * big}


def _goes_only(bench: Bench, fate: Fate, regulator_sd: float, typical_rate: float) -> dict[str, Array]:
    least = fate.table.values[bench.layout.row("least_amplitude_rad")]
    beat = np.abs(fate.outcome.beat_angle_rad[0]) / least
    dies = fate.ending == ENDING["dies_away"]
    tilted = np.where(dies, 0.7 * ndtr((beat - 0.15) / 0.06), 0.02) + np.where(fate.ending == ENDING["tilt"], 0.6, 0.0)
    lying = (fate.outcome.runs_full[1] & dies) if len(fate.outcome.runs_full) > 1 else np.zeros(len(dies), bool)
    by_weight = 0.4 if bench.layout.oscillator == "pendulum" else 0.05
    return {
        "tilted": np.minimum(tilted, 0.95),
        "hands_off": np.zeros(len(dies)),
        "dial_up": np.where(lying, 0.75, 0.01),
        "more_weight": np.where(dies, by_weight, 0.02),
    }


def _hands(bench: Bench, fate: Fate, regulator_sd: float, typical_rate: float) -> dict[str, Array]:
    return {"yes": np.where(fate.hands_slip, 0.6, 0.0)}


def _races(bench: Bench, fate: Fate, regulator_sd: float, typical_rate: float) -> dict[str, Array]:
    return {"yes": 1.0 - np.exp(-1.5 * fate.trip)}


def _cold(bench: Bench, fate: Fate, regulator_sd: float, typical_rate: float) -> dict[str, Array]:
    marginal = np.exp(-0.5 * ((np.log(np.maximum(fate.outcome.reserve_ratio[0], 1e-3)) - math.log(1.3)) / 0.5) ** 2)
    return {"yes": 0.12 * marginal}
