"""How a swing changes: the dying of the hand's push, the time it takes to answer a load, its path under a torque.

Averaged over a beat the energy k A^2 / 2 changes by (omega / pi) (gain - loss), so that with u = A^2

    du/dt = -(2 omega / (pi k)) G(u),    G = loss - gain at the torque there is.

`after_push` follows this law from the start, with the periodic loads in the torque, until the push has all but died: in
30 steps of a sixth of the time constant at the least swing, in each of them the torque at its mean of the step and

    u' = u - h F / (1 + z/2 + z^2/12),    F = -du/dt,  z = h dF/du,

which is exact to the third order in z where F is straight. The steps depend on the losses of the oscillator alone, so
that more torque cannot stop a clock sooner. `ring_down_s` is the same law under a torque that stays, as an integral.

Limits: losses small over a beat. Source: averaging as in [Hoyng2014]_; docs/explanation/model.md, sections 5 and 7.
"""

from __future__ import annotations

import math

import numpy as np

from underdial.mechanics.parameters import Array, Layout
from underdial.mechanics.periodic_loads import terms
from underdial.mechanics.swing_balance import Swing, loss_without_train_j

# Points and weights of Gauss and Legendre on -1 to 1, four points. Source: definition, by numpy.
POINTS, WEIGHTS = np.polynomial.legendre.leggauss(4)
# A push no longer than this over the least swing is taken as that: the clock was hardly started.
LEAST_PUSH = 1.001
# Steps in which a push is followed, and how many of them make the time constant at the least swing.
PUSH_STEPS = 30
STEPS_IN_TAU = 6


def answer_time_s(
    layout: Layout, values: Array, one: Swing, *, escape_torque_n_m: Array, amplitude_rad: Array
) -> Array:
    """Time constant with which the energy of the swing answers a change of load at a swing [s], shape (draws,)."""
    A = amplitude_rad
    slope = (3.0 * one.l3 * A + 2.0 * one.l2) * A + one.l1 + one.rest_rad * escape_torque_n_m
    time: Array = math.pi * values[layout.row("stiffness_n_m_per_rad")] * A / (layout.omega_rad_per_s * slope)
    return time


def after_push(
    layout: Layout, values: Array, one: Swing, *, escape_full_n_m: Array, escape_end_n_m: Array
) -> tuple[Array, Array, Array]:
    """Follow a hand's push until it has all but died, under the torque there is with its periodic loads.

    Parameters
    ----------
    layout : Layout
        Of the movement.
    values : array, shape (rows, draws)
        Parameters.
    one : Swing
        The oscillator in a position.
    escape_full_n_m, escape_end_n_m : array, shape (draws,)
        Torque at the escape wheel [N m], mean of the periodic loads, at the start and at the end of the wind.

    Returns
    -------
    tuple of array, shape (draws,)
        When the swing first falls below the least one [s], infinite where it does not; how long it was followed [s];
        and the loss of the last swing over that of the least one.

    Notes
    -----
    Within 0.3 % of Runge-Kutta steps in 95 of 100 cases over all families, 3 % where a load only just stops the clock.
    """
    k, least = values[layout.row("stiffness_n_m_per_rad")], one.least_rad
    # The step times 2 omega / (pi k), and the step itself.
    share = 1.0 / (STEPS_IN_TAU * (one.l2 + 0.5 * one.l1 / least + 1.5 * one.l3 * least))
    step = 0.5 * math.pi / layout.omega_rad_per_s * k * share
    table = terms(layout)
    half = math.pi * step / table.period_s[:, None]
    size = values[table.size_rows] * np.sinc(half / math.pi)
    square, bottom = np.maximum(values[layout.row("start_amplitude_rad")], LEAST_PUSH * least) ** 2, least**2
    stop = np.full(len(k), np.inf)
    for n in range(PUSH_STEPS):
        mean = escape_full_n_m + (escape_end_n_m - escape_full_n_m) * (n + 0.5) * step / layout.duration_s
        torque = mean * (1.0 - (size * np.cos(values[table.phase_rows] + (2 * n + 1) * half)).sum(axis=0))
        A = np.sqrt(square)
        z = share * (one.l2 + 0.5 * (one.l1 + one.rest_rad * torque) / A + 1.5 * one.l3 * A)
        fall = share * _excess(one, A, torque) / (1.0 + 0.5 * z + z**2 / 12.0)
        after = np.maximum(square - fall, 0.01 * bottom)
        with np.errstate(divide="ignore", invalid="ignore"):
            part = (square - bottom) / (square - after)
        # Where within the step: the straight line, bent as a fall that slackens with z.
        here = step * (n + part * (1.0 - 0.5 * z * (1.0 - part)))
        stop = np.where(np.isinf(stop) & (after < bottom), here, stop)
        square = after
    left = loss_without_train_j(one, np.sqrt(square)) / loss_without_train_j(one, least)
    return stop, PUSH_STEPS * step, left


def ring_down_s(layout: Layout, values: Array, one: Swing, escape_torque_n_m: Array) -> Array:
    """Time from the hand's push until the swing is the least one, under a torque that cannot keep it.

    Parameters
    ----------
    layout : Layout
        Of the movement.
    values : array, shape (rows, draws)
        Parameters.
    one : Swing
        The oscillator in a position.
    escape_torque_n_m : array, shape (draws,)
        Torque at the escape wheel [N m], below the least one.

    Returns
    -------
    array, shape (draws,)
        Time [s]; infinite where the torque suffices, 0 where the push was no more than the least swing.

    Notes
    -----
    The integral above; error below 1e-4 for least over start swing of 0.25 or more.
    """
    excess, excess_least, per_square = _ends(layout, values, one, escape_torque_n_m)
    k, M = values[layout.row("stiffness_n_m_per_rad")], escape_torque_n_m
    with np.errstate(divide="ignore", invalid="ignore"):
        half_log = 0.5 * np.log(excess / excess_least)
        total = np.zeros_like(k)
        for point, weight in zip(POINTS, WEIGHTS, strict=True):
            straight = np.sqrt(excess * excess_least) * np.exp(half_log * point)
            A = np.sqrt(one.least_rad**2 + (straight - excess_least) / per_square)
            total = total + weight * straight / _excess(one, A, M)
        time = math.pi * k / (2.0 * layout.omega_rad_per_s * per_square) * half_log * total
    return np.where(excess_least > 0.0, np.maximum(time, 0.0), np.inf)


def swing_over_time_rad(
    layout: Layout, values: Array, one: Swing, *, escape_torque_n_m: Array, start_rad: Array, times_s: Array
) -> Array:
    """Swing as it changes under a constant torque [rad], shape (times, draws), from a start at the first time.

    The averaged law dA/dt = (omega/pi)(gain - loss)/(k A), taken for A^2, by Runge-Kutta steps of at most a tenth of
    the shortest time constant; stopped at 0. Source: [Hoyng2014]_.
    """
    k, M = values[layout.row("stiffness_n_m_per_rad")], escape_torque_n_m
    per_beat = 2.0 * layout.omega_rad_per_s / math.pi / k

    def change(square: Array) -> Array:
        A = np.sqrt(np.maximum(square, 0.0))
        slope: Array = per_beat * (
            M * (one.gain_rad - one.rest_rad * (A - one.impulse_ends_rad)) - loss_without_train_j(one, A)
        )
        return slope

    square = np.asarray(start_rad, dtype=float) ** 2 + np.zeros(values.shape[1])
    out = [square]
    fastest = float(np.min(1.0 / (per_beat * (one.l2 + one.l1 / np.sqrt(square) + 1.5 * one.l3 * np.sqrt(square)))))
    for span in np.diff(times_s):
        steps = max(1, math.ceil(10.0 * span / fastest))
        h = span / steps
        for _ in range(steps):
            a = change(square)
            b = change(square + 0.5 * h * a)
            c = change(square + 0.5 * h * b)
            square = np.maximum(square + h / 6.0 * (a + 2.0 * b + 2.0 * c + change(square + h * c)), 0.0)
        out.append(square)
    return np.sqrt(np.array(out))


def _excess(one: Swing, amplitude_rad: Array, escape_torque_n_m: Array) -> Array:
    """Loss over gain a beat at a swing [J]."""
    train = escape_torque_n_m * (one.rest_rad * (amplitude_rad - one.impulse_ends_rad) - one.gain_rad)
    total: Array = loss_without_train_j(one, amplitude_rad) + train
    return total


def _ends(layout: Layout, values: Array, one: Swing, escape_torque_n_m: Array) -> tuple[Array, Array, Array]:
    """Loss over gain at the start of the push and at the least swing, and its mean rise with A^2."""
    start = np.maximum(values[layout.row("start_amplitude_rad")], LEAST_PUSH * one.least_rad)
    excess, excess_least = _excess(one, start, escape_torque_n_m), _excess(one, one.least_rad, escape_torque_n_m)
    return excess, excess_least, (excess - excess_least) / (start**2 - one.least_rad**2)
