"""The energy balance of a movement over a wind, in plain NumPy: does it run, how far does it swing, what rate.

    layout, nominal = tabulate(compose(preset))                 # mechanics.parameters, movement.composition
    outcome = predict(layout, spread(nominal, draws_count=1))   # one column of values for each draw
    outcome.amplitude_full_rad[0], outcome.runs_full[0], outcome.stop_s[0]   # [position, draw]

`mechanics.kernel.predict` has the same signature and answer, compiled and some tens of times faster; this one is
written apart from it, and a test holds the two together. Numba is not imported here.

Besides: `run_down` follows torque, swing and rate over a wind; `mechanics.train_power` says where the power goes.

Limits: quasi-steady (the swing keeps up with the mainspring), constant friction coefficients, a fixed oscillator.
Sources: docs/explanation/model.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.errors import BadInput
from underdial.mechanics import swing_balance
from underdial.mechanics.parameters import Array, Layout
from underdial.mechanics.periodic_loads import filtered, first_stop_s, terms
from underdial.mechanics.ring_down import after_push, answer_time_s
from underdial.mechanics.swing_balance import Swing, least_escape_torque_n_m, some_of, steady_amplitude_rad, swing
from underdial.mechanics.swing_rate import rate_s_per_day
from underdial.mechanics.train_power import main_torque_for, torque_along


@dataclass(frozen=True)
class Outcome:
    """What becomes of each draw. Arrays are (positions, draws) unless said; positions in the order of the layout.

    reserve_ratio: torque at the great arbor over the least that keeps the clock going, mean loads.
    margin_ratio: torque at the escape wheel over the least one at the worst of the wind with all periodic loads at
    their worst together; at 1 or more it runs for certain, somewhat below it may still run.
    stop_s: time from a hand start at full wind until the swing falls below the least one; a clock that runs its full
    time gets the time until it has run down.
    amplitude_ripple_ratio: root mean square of the swing's periodic change, over the swing.
    free_decay_q_ratio: of the oscillator alone. beat_angle_rad: how far it rests off the middle of the beat.
    escape_torque_n_m, main_torque_n_m: at full wind, (draws,). The *_at arrays are for the hours asked for:
    amplitude_at_rad and rate_at_s_per_day (hours, positions, draws), escape_torque_at_n_m and main_torque_at_n_m
    (hours, draws). A rate belongs to a swing no less than the least one, so that it is always a number.
    """

    amplitude_full_rad: Array
    amplitude_end_rad: Array
    reserve_ratio: Array
    margin_ratio: Array
    runs_full: NDArray[np.bool_]
    stop_s: Array
    free_decay_q_ratio: Array
    beat_angle_rad: Array
    amplitude_ripple_ratio: Array
    escape_torque_n_m: Array
    main_torque_n_m: Array
    amplitude_at_rad: Array
    rate_at_s_per_day: Array
    escape_torque_at_n_m: Array
    main_torque_at_n_m: Array


@dataclass(frozen=True)
class RunDown:
    """A wind as it runs down: times (times,), torques (times, draws), swing and rate (times, positions, draws)."""

    time_s: Array
    main_torque_n_m: Array
    escape_torque_n_m: Array
    amplitude_rad: Array
    rate_s_per_day: Array


def predict(layout: Layout, values: Array, *, hours_h: Sequence[float] = ()) -> Outcome:
    """What becomes of every draw over one wind.

    Parameters
    ----------
    layout : Layout
        Of the movement.
    values : array, shape (rows, draws)
        Parameters, float64; `tabulate` and `spread` make it.
    hours_h : sequence of float
        Hours since full winding at which swing, rate and torques are wanted [h], 0 or more.

    Returns
    -------
    Outcome
        Arrays of (positions, draws) and (hours, positions, draws).

    Raises
    ------
    BadInput
        The table has another number of rows than the layout.

    Notes
    -----
    Steady swings agree with direct integration to 1 % over all families and three torque levels
    (tests/mechanics/test_time_domain.py). Source: docs/explanation/model.md.
    """
    check_table(layout, values)
    full_torque = main_torque_at(layout, values, 0.0)
    escape_full = torque_along(layout, values, full_torque)[1][-1]
    end_torque = values[layout.row("full_torque_n_m")] * values[layout.row("end_torque_ratio")]
    escape_end = torque_along(layout, values, end_torque)[1][-1]
    at = run_down(layout, values, times_s=np.asarray(hours_h, dtype=float) * 3600.0)
    shape = (len(layout.positions), values.shape[1])
    columns = {name: np.empty(shape) for name in (
        "amplitude_full_rad", "amplitude_end_rad", "reserve_ratio", "margin_ratio", "stop_s", "free_decay_q_ratio",
        "beat_angle_rad", "amplitude_ripple_ratio",
    )}  # fmt: skip
    runs = np.empty(shape, dtype=bool)
    for p, place in enumerate(layout.positions):
        one = swing(layout, values, place)
        columns["amplitude_full_rad"][p] = steady_amplitude_rad(one, escape_full)
        columns["amplitude_end_rad"][p] = steady_amplitude_rad(one, escape_end)
        least = least_escape_torque_n_m(one)
        columns["reserve_ratio"][p] = full_torque / main_torque_for(layout, values, least)
        columns["free_decay_q_ratio"][p] = swing_balance.free_decay_q_ratio(layout, values, one)
        columns["beat_angle_rad"][p] = one.beat_rad
        margin, stop, run, ripple = _over_the_wind(
            layout, values, one, escape_full=escape_full, escape_end=escape_end, least=least,
            amplitude=columns["amplitude_full_rad"][p],
        )  # fmt: skip
        columns["margin_ratio"][p], columns["stop_s"][p] = margin, stop
        runs[p], columns["amplitude_ripple_ratio"][p] = run, ripple
    return Outcome(
        **columns, runs_full=runs, escape_torque_n_m=escape_full, main_torque_n_m=full_torque,
        amplitude_at_rad=at.amplitude_rad, rate_at_s_per_day=at.rate_s_per_day,
        escape_torque_at_n_m=at.escape_torque_n_m, main_torque_at_n_m=at.main_torque_n_m,
    )  # fmt: skip


def run_down(layout: Layout, values: Array, *, times_s: Array) -> RunDown:
    """Torque, swing and rate at times since full winding [s], shape (times,), with mean loads."""
    positions, draws = len(layout.positions), values.shape[1]
    main, escape = np.empty((len(times_s), draws)), np.empty((len(times_s), draws))
    amplitude = np.empty((len(times_s), positions, draws))
    rate = np.empty_like(amplitude)
    swings = [swing(layout, values, place) for place in layout.positions]
    for i, time in enumerate(times_s):
        main[i] = main_torque_at(layout, values, time)
        escape[i] = torque_along(layout, values, main[i])[1][-1]
        for p, one in enumerate(swings):
            amplitude[i, p] = steady_amplitude_rad(one, escape[i])
            rate[i, p] = rate_s_per_day(layout, values, one, escape_torque_n_m=escape[i], amplitude_rad=amplitude[i, p])
    return RunDown(np.asarray(times_s, dtype=float), main, escape, amplitude, rate)


def main_torque_at(layout: Layout, values: Array, time_s: float) -> Array:
    """Output torque at the great arbor a time after full winding [N m], shape (draws,); 0 once the turns are used
    up.
    """
    x = time_s / layout.duration_s
    torque = values[layout.row("full_torque_n_m")] * (1.0 - (1.0 - values[layout.row("end_torque_ratio")]) * x)
    return np.where(x <= values[layout.row("available_turns_ratio")], np.maximum(torque, 0.0), 0.0)


def check_table(layout: Layout, values: Array) -> None:
    """See that a table of parameters belongs to a layout; BadInput otherwise."""
    if values.ndim != 2 or values.shape[0] != layout.rows_count or values.dtype != np.float64:
        raise BadInput(
            "values", f"{values.dtype} array of shape {values.shape}", f"float64, ({layout.rows_count}, draws)"
        )


def _over_the_wind(
    layout: Layout, values: Array, one: Swing, *, escape_full: Array, escape_end: Array, least: Array, amplitude: Array
) -> tuple[Array, Array, NDArray[np.bool_], Array]:
    """Margin, time to the stop, whether it runs its full time, and the ripple of the swing."""
    table = terms(layout)
    full, end = escape_full / least, escape_end / least
    at_least = answer_time_s(layout, values, one, escape_torque_n_m=escape_full, amplitude_rad=one.least_rad)
    a, b, length = filtered(table, values, at_least)
    peak = length.sum(axis=0)
    available = values[layout.row("available_turns_ratio")]
    low = np.minimum(full, end)
    stop, after, held = np.full_like(full, np.inf), np.zeros_like(full), np.ones_like(full)
    open_ = np.flatnonzero(low * (1.0 - peak) < 1.0)
    stop[open_], after[open_], held[open_] = after_push(
        layout, values[:, open_], some_of(one, open_), escape_full_n_m=escape_full[open_],
        escape_end_n_m=escape_end[open_],
    )  # fmt: skip
    open_ = open_[np.isinf(stop[open_])]
    for part in np.array_split(open_, max(1, len(open_) // 64)):
        weights = (a[:, part], b[:, part], length[:, part])
        stop[part] = first_stop_s(
            layout, table, weights, full=full[part], end=end[part], after_s=after[part], held=held[part],
            tau_s=at_least[part],
        )  # fmt: skip
    stop = np.where((escape_full > 0.0) & (available > 0.0), stop, 0.0)
    goes_on = np.isinf(stop)
    runs = goes_on & (available >= 1.0)
    # Past its stated time a clock goes on until the falling torque, at the worst, no longer suffices or the turns end.
    with np.errstate(divide="ignore", invalid="ignore"):
        beyond = np.where(full > end, (full - 1.0 / np.maximum(1.0 - peak, 1e-9)) / (full - end), np.inf)
    last = np.minimum(np.maximum(beyond, 1.0), available) * layout.duration_s
    stop = np.where(goes_on, last, np.minimum(stop, available * layout.duration_s))
    return low * (1.0 - peak), stop, runs, _swing_ripple(layout, values, one, escape_full, amplitude)


def _swing_ripple(layout: Layout, values: Array, one: Swing, escape_torque_n_m: Array, amplitude_rad: Array) -> Array:
    """Root mean square of the swing's periodic change over the swing, at a torque and its steady swing."""
    A, M = amplitude_rad, escape_torque_n_m
    size = np.maximum(A, 1e-9)
    tau = answer_time_s(layout, values, one, escape_torque_n_m=M, amplitude_rad=size)
    length = filtered(terms(layout), values, tau)[2]
    per_torque = one.gain_rad - one.rest_rad * (A - one.impulse_ends_rad)
    slope = (3.0 * one.l3 * size + 2.0 * one.l2) * size + one.l1 + one.rest_rad * M
    ripple: Array = np.where(A > 0.0, M * per_torque / (size * slope) * np.sqrt(0.5 * (length**2).sum(axis=0)), 0.0)
    return ripple
