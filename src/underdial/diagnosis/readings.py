"""What gauges read: the likelihood of the measurements of a case, and the same law to simulate them.

Rates of one clock share the setting of the regulator as it was found, which is not known; it is integrated out,
exactly. One reading in fifty is taken to be a slip, six times as wide.

Beats counted in an hour or a minute are a rate against the beats that the train makes. They count where the train of
this clock was told; else only where the usual train of its kind and the count together give the rate that was told.

Limits: uncertainties that were not said are starting values of ours, [assumption]. Swing 8 deg (balance) or 6 in 100
(pendulum), rate 12 s/day, beat 1 deg, torque at the escape wheel 10 and at the great wheel 6 in 100, decay 15 in 100.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from underdial.diagnosis.believable import check_pendulum_swing
from underdial.diagnosis.case_file import Case, Reading, Unused, read_alone
from underdial.diagnosis.complaint_model import rate_shift
from underdial.diagnosis.effects import Bench
from underdial.diagnosis.fate import Fate
from underdial.mechanics.parameters import Array, Layout

_SLIP, _SLIP_WIDTH = 0.02, 6.0
_PATTERN, _SET_UP = "periodic_error", "set_up_turns"
_GREAT = ("great_wheel", "barrel", "barrel_arbor", "mainspring", "winding_square", "fusee", "main")
_SWINGING = (None, "balance", "pendulum", "bob", "movement", "torsion_pendulum", "platform", "balance_wheel", "clock")
_DEFAULT_U = {
    "swing_balance": math.radians(8.0),
    "swing_pendulum": 0.06,
    "rate": 12.0,
    "beat": math.radians(1.0),
    "escape": 0.10,
    "main": 0.06,
    "decay": 0.15,
    "size": 0.10,
}
# The sums themselves miss by this much besides what the gauge does. [assumption; 0.7 % at worst against integration]
_MODEL_SHARE = {"swing": 0.02, "escape": 0.03, "main": 0.02, "decay": 0.05, "size": 0.05, "beat": 0.0}
_SECONDS_A_DAY = 86_400.0
# Beats in the time they were counted in, of each quantity that is such a count, to beats an hour.
_COUNTED = {"beat_rate": 1.0, "beats_per_minute": 60.0}
# A count between two moments is off by up to one beat either way, the nearer the likelier.
_COUNT_SD = 1.0 / math.sqrt(6.0)
# A clock that gains or loses more than this share has another train, or its swings were counted and not its beats.
_MOST_OFF_SHARE = 0.1
# Two rates agree when they lie within so many of their standard errors.
_AGREE_WITHIN = 2.0
_SIZES_ONLY = ("swing", "beat", "beat_time")
_POSITIONS = {
    "12_up": "12_up",
    "upright": "12_up",
    "dial_vertical": "12_up",
    "dial_vertical_twelve_up": "12_up",
    "in_case": "12_up",
    "dial_up": "dial_up",
    "on_its_back": "dial_up",
    "dial_down": "dial_down",
    "3_up": "3_up",
    "6_up": "6_up",
    "9_up": "9_up",
}


@dataclass(frozen=True)
class Gauge:
    """One reading as the sums see it: which prediction it is of, at which hour and position, and how sharp it is."""

    kind: str
    value: float
    u: float
    hour: int
    position: int
    index: int


@dataclass(frozen=True)
class Gauges:
    """All readings of a case that the sums use, the hours and positions they need, and the readings they do not use."""

    gauges: tuple[Gauge, ...]
    hours_h: tuple[float, ...]
    positions: tuple[str, ...]
    unused: tuple[Unused, ...]
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TrainBeats:
    """Beats an hour that the train makes at rate nought; `told`: by the counts of this clock, not those of its kind."""

    beats_per_hour: float
    told: bool


def gauges(
    case: Case, *, oscillator: str, own_positions: tuple[str, ...], duration_s: float, beats: TrainBeats
) -> Gauges:
    """Sort the readings of a case by what they are readings of.

    The first hour is that at which the owner's rate is reckoned: an eighth of the wind, at most half a day.
    """
    hours = [min(12.0, duration_s / 3600.0 / 8.0)]
    positions = list(own_positions)
    found, unused = [], []
    assumed: tuple[str, ...] = ()
    rate = case.told.get("rate_s_per_day")
    if isinstance(rate, float):
        found.append(Gauge("rate", rate, _owner_u(rate), 0, 0, -1))
    for reading in case.readings:
        if reading.quantity == _PATTERN or (reading.quantity == _SET_UP and reading.kind == "turns"):
            # They name suspects instead: see `heard_patterns` and `set_up`.
            continue
        kind = _kind(reading)
        if kind == "beats":
            kind = _why_no_rate(reading, beats, _rates_told(case)) or kind
            if kind == "beats" and not beats.told:
                assumed = ("beats an hour of the usual train of its kind: the count then agrees with the rate told",)
        name = f"measurements[{reading.index}] {reading.quantity}"
        if isinstance(kind, Unused):
            unused.append(Unused(name, kind.reason))
            continue
        place = _POSITIONS.get(reading.position or "12_up")
        if place is None or (oscillator != "balance" and place != "12_up"):
            unused.append(
                Unused(
                    f"{name} position={reading.position}", f"a position that a {oscillator} clock is not reckoned in"
                )
            )
            continue
        if place not in positions:
            positions.append(place)
        hour = reading.hours_since_winding_h if reading.hours_since_winding_h is not None else 1.0
        hour = min(hour, 0.98 * duration_s / 3600.0)
        if hour not in hours:
            hours.append(hour)
        value, u = _counted_rate(reading, beats) if kind == "beats" else _value(reading, kind, oscillator)
        kind = "rate" if kind == "beats" else kind
        if kind == "swing" and oscillator == "pendulum":
            check_pendulum_swing(f"measurements[{reading.index}].value", value)
        found.append(Gauge(kind, value, u, hours.index(hour), positions.index(place), reading.index))
    return Gauges(tuple(found), tuple(hours), tuple(positions), tuple(unused), assumed)


def check_measured(one: Mapping[str, Any], *, oscillator: str | None) -> None:
    """Refuse a measurement that no clock gives before it is kept: in a case it would stand in the way of every answer.

    `one` has the keys of a case file. Raises BadInput naming `value` and what would do.
    """
    reading = read_alone(one)
    if reading is not None and oscillator == "pendulum" and _kind(reading) == "swing":
        check_pendulum_swing("value", _value(reading, "swing", oscillator)[0])


def log_likelihood(
    all_gauges: tuple[Gauge, ...], bench: Bench, fate: Fate, *, regulator_sd: float, typical_rate: float
) -> Array:
    """Log density of the readings for every draw, shape (draws,)."""
    total = np.zeros(len(fate.stop_s))
    rates = [g for g in all_gauges if g.kind == "rate"]
    if rates:
        total += _log_rates(rates, fate, regulator_sd, typical_rate)
    for gauge in all_gauges:
        if gauge.kind != "rate":
            predicted = predict_gauge(gauge, bench, fate)
            total += _log_reading(gauge, predicted)
    return total


def predict_gauge(gauge: Gauge, bench: Bench, fate: Fate) -> Array:
    """What the gauge should read in every draw, in SI; a rate without the regulator."""
    outcome, layout = fate.outcome, bench.layout
    at, place = (gauge.hour, gauge.position), gauge.position
    predicted: Array
    if gauge.kind == "swing":
        predicted = outcome.amplitude_at_rad[at]
    elif gauge.kind == "rate":
        predicted = rate_shift(fate, gauge.hour, gauge.position)
    elif gauge.kind == "beat":
        predicted = np.abs(outcome.beat_angle_rad[place])
    elif gauge.kind == "beat_time":
        share = np.abs(outcome.beat_angle_rad[place]) / np.maximum(outcome.amplitude_at_rad[at], 1e-6)
        predicted = 2.0 * np.arcsin(np.clip(share, 0.0, 1.0)) / layout.omega_rad_per_s
    elif gauge.kind == "decay":
        predicted = outcome.free_decay_q_ratio[place]
    elif gauge.kind == "escape":
        predicted = outcome.escape_torque_at_n_m[gauge.hour]
    elif gauge.kind == "main":
        predicted = outcome.main_torque_at_n_m[gauge.hour]
    else:
        row, factor = {"flat": ("cone_flat_radius_m", 2.0), "runout": ("staff_offset_m", 2.0)}[gauge.kind]
        predicted = factor * fate.table.values[layout.row(row)]
    return predicted


def spread(gauge: Gauge, predicted: Array) -> Array:
    """Standard deviation of a reading about its prediction: the gauge's own and what the sums miss by."""
    share = _MODEL_SHARE.get(gauge.kind, _MODEL_SHARE["size"] if gauge.kind in ("flat", "runout") else 0.0)
    return np.asarray(np.hypot(gauge.u, share * np.abs(predicted)))


def simulate(
    gauge: Gauge, bench: Bench, fate: Fate, rng: np.random.Generator, *, regulator: Array | float, typical_rate: float
) -> Array:
    """A reading of every draw, slips included; `regulator` is the offset all rates of a clock share [s/day]."""
    predicted = predict_gauge(gauge, bench, fate)
    if gauge.kind == "rate":
        predicted = predicted - typical_rate + regulator
    wide = np.where(rng.random(len(predicted)) < _SLIP, _SLIP_WIDTH, 1.0)
    shown = predicted + spread(gauge, predicted) * wide * rng.standard_normal(len(predicted))
    return np.asarray(np.abs(shown) if gauge.kind in _SIZES_ONLY else shown)


def _log_reading(gauge: Gauge, predicted: Array) -> Array:
    """Log density of one reading; of a swing or a beat only the size is read, so that what would fall below 0 is read
    above it.
    """
    sd = spread(gauge, predicted)
    density = _log_normal_with_slips(gauge.value - predicted, sd)
    if gauge.kind in _SIZES_ONLY:
        density = np.logaddexp(density, _log_normal_with_slips(gauge.value + predicted, sd))
    return density


def _log_rates(rates: list[Gauge], fate: Fate, regulator_sd: float, typical_rate: float) -> Array:
    """Normal with a shared offset integrated out, mixed over which of the readings (one at most) was a slip."""
    misses = np.asarray([g.value - (rate_shift(fate, g.hour, g.position) - typical_rate) for g in rates])
    u = np.asarray([g.u for g in rates])
    m = len(rates)
    cases = [((1.0 - _SLIP) ** m, u)]
    for i in range(m):
        wide = u.copy()
        wide[i] *= _SLIP_WIDTH
        cases.append((_SLIP * (1.0 - _SLIP) ** (m - 1), wide))
    logs = [math.log(share) + _log_shared(misses, sd, regulator_sd) for share, sd in cases]
    return np.asarray(np.logaddexp.reduce(logs, axis=0))


def _log_shared(misses: Array, u: Array, offset_sd: float) -> Array:
    """Log normal density of misses that share one offset N(0, offset_sd): matrix inversion lemma."""
    weight = 1.0 / u**2
    precision = weight.sum() + 1.0 / offset_sd**2
    pull = (weight[:, None] * misses).sum(axis=0)
    square = (weight[:, None] * misses**2).sum(axis=0) - pull**2 / precision
    log_det = 2.0 * np.log(u).sum() + 2.0 * math.log(offset_sd) + math.log(precision)
    return np.asarray(-0.5 * (square + log_det + len(u) * math.log(2.0 * math.pi)))


def _log_normal_with_slips(miss: Array, sd: Array) -> Array:
    x = miss / sd
    core = math.log(1.0 - _SLIP) - 0.5 * x**2
    slip = math.log(_SLIP / _SLIP_WIDTH) - 0.5 * (x / _SLIP_WIDTH) ** 2
    return np.asarray(np.logaddexp(core, slip) - np.log(sd) - 0.5 * math.log(2.0 * math.pi))


def _kind(reading: Reading) -> str | Unused:
    """Which prediction a reading is of, or why it is not used."""
    quantity, of, unit = reading.quantity, reading.of, reading.kind
    part = (of or "").rsplit(".", 1)[-1] or None
    if of is not None and of.split(".")[0] in ("strike", "chime", "alarm"):
        return Unused(quantity, "a reading in a train that the sums of the going do not hold")
    table = {
        ("half_arc", "angle"): "swing",
        ("total_arc", "angle"): "swing",
        ("rate", "rate"): "rate",
        **{(counted, "beats"): "beats" for counted in _COUNTED},
        ("beat_error", "time"): "beat_time",
        ("beat_error", "angle"): "beat",
        ("beat_offset", "angle"): "beat",
        ("escape_torque", "torque"): "escape",
        ("main_torque", "torque"): "main",
        ("flat_diameter", "length"): "flat",
    }
    if quantity == "torque" and unit == "torque":
        return (
            "escape"
            if part == "escape_wheel"
            else "main"
            if part in _GREAT
            else Unused(quantity, "torque is used at the great wheel and the escape wheel")
        )
    if quantity == "runout" and unit == "length":
        return (
            "runout"
            if part in ("balance_staff", "balance")
            else Unused(quantity, "run-out is used at the balance staff")
        )
    kind = table.get((quantity, unit))
    if kind is None:
        known = any(q == quantity for q, _ in table)
        return Unused(
            quantity,
            f"given in a unit of {unit}" if known else "kept in the record; no prediction of the sums answers to it",
        )
    if kind == "swing" and part not in _SWINGING:
        return Unused(quantity, f"an arc of {part} is not predicted")
    return kind


def _counted_rate(reading: Reading, beats: TrainBeats) -> tuple[float, float]:
    """Rate in s/day that a count of beats gives, and its standard error: of the count alone where that was said."""
    one_beat = _SECONDS_A_DAY / beats.beats_per_hour
    value = one_beat * (reading.value - beats.beats_per_hour)
    counting = _COUNTED[reading.quantity] * _COUNT_SD * one_beat
    return value, one_beat * reading.u if reading.u else math.hypot(counting, _DEFAULT_U["rate"])


def _rates_told(case: Case) -> list[tuple[float, float]]:
    """Rates that were told or read of the clock by other means, each with its standard error."""
    told = case.told.get("rate_s_per_day")
    owner = [(told, _owner_u(told))] if isinstance(told, float) else []
    return owner + [(one.value, one.u or _DEFAULT_U["rate"]) for one in case.readings if _kind(one) == "rate"]


def _owner_u(rate_s_per_day: float) -> float:
    return math.hypot(40.0, 0.15 * rate_s_per_day)


def _why_no_rate(reading: Reading, beats: TrainBeats, told: list[tuple[float, float]]) -> Unused | None:
    """Why a count of beats gives no rate of this clock; None where it does."""
    value, u = _counted_rate(reading, beats)
    counts = f"{reading.value:g} beats an hour were counted, and the {'' if beats.told else 'usual '}train"
    if beats.told and abs(value) > _MOST_OFF_SHARE * _SECONDS_A_DAY:
        return Unused(reading.quantity, f"{counts} makes {beats.beats_per_hour:g}: one of the two counts is wrong")
    agrees = any(abs(value - rate) <= _AGREE_WITHIN * math.hypot(u, own) for rate, own in told)
    if beats.told or agrees:
        return None
    return Unused(
        reading.quantity,
        f"{counts} of its kind makes {beats.beats_per_hour:g}: once this clock's own train is counted they are a rate",
    )


def _value(reading: Reading, kind: str, oscillator: str) -> tuple[float, float]:
    value, u = reading.value, reading.u
    if reading.quantity == "total_arc":
        value, u = value / 2.0, None if u is None else u / 2.0
    if kind in ("beat", "beat_time"):
        value = abs(value)
    if not u:
        u = {
            "swing": _DEFAULT_U["swing_balance"]
            if oscillator == "balance"
            else _DEFAULT_U["swing_pendulum"] * abs(value),
            "rate": _DEFAULT_U["rate"],
            "beat": _DEFAULT_U["beat"],
            "beat_time": 0.1 * abs(value) + 5e-4,
            "escape": _DEFAULT_U["escape"] * abs(value),
            "main": _DEFAULT_U["main"] * abs(value),
        }.get(kind, _DEFAULT_U["size"] * abs(value) + 1e-6)
    return value, max(u, 1e-9)


def layout_positions(layout: Layout) -> tuple[str, ...]:
    """Names of the positions a layout holds."""
    return tuple(one.name for one in layout.positions)
