"""The oscillator integrated directly through each half swing: the reference that the energy balance is held against.

The equation of motion is solved from turning point to turning point with every change of law as an event: pallets at
rest with friction and recoil, the lever picked up without bounce, the impulse, the lever left behind. A steady swing
is the fixed point of the map from one turning point to the next, so no long transient is run.

    body = body_of(layout, values[:, 0], layout.positions[0])
    swing_rad, rate = steady(body, escape_torque_n_m=7.1e-5)

Used by tests and by the figures of docs/explanation/model.md only; a half swing takes some milliseconds.

Limits: torque constant within the impulse, no bounce of the lever, no flight of the escape wheel on its own, beats
even (what hangs across the axis is left out). So an agreement with it is one of averaging, not with a real clock.
Source: the laws of docs/explanation/model.md; method DOP853 of scipy.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from underdial.errors import OutsideModel
from underdial.mechanics.parameters import Array, Layout, Position
from underdial.mechanics.swing_balance import swing

_TOLERANCE = 1e-10


@dataclass(frozen=True, slots=True)
class Body:
    """An oscillator with its escapement, torques over the stiffness and time in radians of the free swing.

    `heavy_ratio` is the moment hanging below the axis over the stiffness; the rest are as the parameters say.
    """

    omega_rad_per_s: float
    stiffness_n_m_per_rad: float
    gravity: bool
    friction_rad: float = 0.0
    linear_q_ratio: float = math.inf
    quadratic_air_loss_ratio: float = 0.0
    heavy_ratio: float = 0.0
    lever_inertia_ratio: float = 0.0
    rest_ratio: float = 0.0
    recoil_ratio: float = 0.0
    gain_rad: float = 0.0
    impulse_begins_rad: float = 0.0
    impulse_ends_rad: float = 0.0


def body_of(layout: Layout, column: Array, position: Position) -> Body:
    """The oscillator of one draw in a position; `column` has shape (rows,)."""
    one = swing(layout, column[:, None], position)
    value = {name: float(column[layout.row(name)]) for name in (
        "stiffness_n_m_per_rad", "linear_q_ratio", "quadratic_air_loss_ratio", "lever_inertia_ratio", "recoil_ratio",
        "impulse_begins_rad", "impulse_ends_rad",
    )}  # fmt: skip
    k = value["stiffness_n_m_per_rad"]
    return Body(
        omega_rad_per_s=layout.omega_rad_per_s,
        gravity=layout.oscillator == "pendulum",
        friction_rad=float(one.l1[0]) / (2.0 * k),
        heavy_ratio=float(one.heavy_torque_n_m[0]) / k,
        rest_ratio=float(one.rest_rad[0]) / 2.0,
        gain_rad=float(one.gain_rad[0]),
        **value,
    )


def half_swing(body: Body, *, amplitude_rad: float, escape_torque_n_m: float = 0.0) -> tuple[float, float]:
    """From a turning point at -amplitude to the next.

    Parameters
    ----------
    body : Body
        Oscillator and escapement.
    amplitude_rad : float
        Half-angle at which it sets out [rad], above 0.
    escape_torque_n_m : float
        Torque at the escape wheel [N m], 0 or more.

    Returns
    -------
    tuple of float
        Half-angle reached [rad] and the time taken [s].

    Raises
    ------
    OutsideModel
        The swing comes to rest before it has passed the impulse.

    Notes
    -----
    Relative tolerance of the integration 1e-10.
    """
    pull = escape_torque_n_m / body.stiffness_n_m_per_rad
    th1, th2 = body.impulse_begins_rad, body.impulse_ends_rad
    back = body.recoil_ratio * pull
    rub = body.rest_ratio * pull
    angle, speed, time = -amplitude_rad, 0.0, 0.0
    if pull > 0.0 and amplitude_rad > th2:
        angle, speed, time = _until(body, angle, speed, time, push=back - rub, goal=-th2)
    if escape_torque_n_m > 0.0 or body.lever_inertia_ratio > 0.0:
        if angle < th1:
            angle, speed, time = _until(body, angle, speed, time, push=0.0, goal=th1)
        speed /= 1.0 + body.lever_inertia_ratio
        push = pull * body.gain_rad / (th2 - th1)
        angle, speed, time = _until(
            body, angle, speed, time, push=push, goal=th2, inertia=1.0 + body.lever_inertia_ratio
        )
    angle, speed, time = _until(body, angle, speed, time, push=-back - rub, goal=None)
    return angle, time / body.omega_rad_per_s


def steady(body: Body, *, escape_torque_n_m: float) -> tuple[float, float]:
    """Steady swing [rad] and rate [s/day] at a torque; OutsideModel when no swing beyond the impulse is steady."""
    from scipy.optimize import brentq

    def change(amplitude: float) -> float:
        return half_swing(body, amplitude_rad=amplitude, escape_torque_n_m=escape_torque_n_m)[0] - amplitude

    low = 1.02 * max(abs(body.impulse_begins_rad), body.impulse_ends_rad)
    high = 1.5 * low
    while change(high) > 0.0:
        low, high = high, 1.5 * high
    amplitude = float(brentq(change, low, high, xtol=1e-10 * low, rtol=1e-10))
    time = half_swing(body, amplitude_rad=amplitude, escape_torque_n_m=escape_torque_n_m)[1]
    return amplitude, 86400.0 * (math.pi / (body.omega_rad_per_s * time) - 1.0)


def swings(
    body: Body, *, start_rad: float, torque_n_m: Callable[[float], float], stop_rad: float = 0.0, longest_s: float
) -> tuple[Array, Array]:
    """Times [s] and half-angles [rad] of the turning points from a start until a swing is too small or time is up.

    `torque_n_m(time_s)` is the torque at the escape wheel, held over each half swing.
    """
    times, amplitudes = [0.0], [start_rad]
    while times[-1] < longest_s and amplitudes[-1] > stop_rad:
        try:
            reached, took = half_swing(body, amplitude_rad=amplitudes[-1], escape_torque_n_m=torque_n_m(times[-1]))
        except OutsideModel:
            break
        times.append(times[-1] + took)
        amplitudes.append(reached)
    return np.array(times), np.array(amplitudes)


def _until(
    body: Body, angle: float, speed: float, time: float, *, push: float, goal: float | None, inertia: float = 1.0
) -> tuple[float, float, float]:
    """Integrate to an angle, or to the turning point; moving forward, so every friction pulls back."""
    from scipy.integrate import solve_ivp

    damping, drag = 1.0 / body.linear_q_ratio, 0.75 * body.quadratic_air_loss_ratio

    def motion(_: float, state: Array) -> tuple[float, float]:
        x, v = state
        spring = math.sin(x) if body.gravity else x
        force = push - spring - body.heavy_ratio * math.sin(x) - body.friction_rad - damping * v - drag * v * v
        return v, force / inertia

    def turned(_: float, state: Array) -> float:
        return float(state[1])

    def passed(_: float, state: Array) -> float:
        return float(state[0]) - (goal or 0.0)

    turned.terminal, turned.direction = True, -1.0  # type: ignore[attr-defined]
    passed.terminal, passed.direction = True, 1.0  # type: ignore[attr-defined]
    events = [turned] if goal is None else [passed, turned]
    scale = max(abs(angle), abs(speed))
    answer = solve_ivp(
        motion,
        (0.0, 8.0),
        (angle, speed),
        method="DOP853",
        rtol=_TOLERANCE,
        atol=_TOLERANCE * scale,
        events=events,
        max_step=1.0,
    )
    hit = [i for i, one in enumerate(answer.t_events) if len(one) and one[0] > 0.0]
    if not hit or (goal is not None and hit[0] != 0):
        raise OutsideModel(
            "amplitude_rad",
            abs(angle),
            "a swing that passes the impulse",
            f"amplitude_rad: a swing of {math.degrees(abs(angle)):.3g} deg comes to rest before it has passed the "
            "impulse.",
        )
    state = answer.y_events[hit[0]][0]
    return float(state[0]), float(state[1]), time + float(answer.t_events[hit[0]][0])
