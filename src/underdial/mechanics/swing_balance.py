"""The oscillator's side of the balance: loss a beat, steady swing, least torque, quality when it swings alone.

With A the half-angle of swing and M the torque at the escape wheel, one beat takes in and loses

    in:    M (pi / z) [(1 - drop) impulse_efficiency - unlocking]
    lost:  2 T A + (pi/2)(k/Q) A^2 + c k A^3 + 2 lambda M (A - th2)
           + (kappa k / 2) [(A^2 - th1^2) / (1 + kappa) + A^2 - th2^2]

(T friction at the oscillator, lambda frictional rest, kappa the lever's inertia, picked up at th1 without bounce and
left behind with its energy at th2). The steady swing is where the two meet; the loss is convex, so Newton's rule from
above never overshoots. Rates are in `swing_rate`, a changing swing in `ring_down`.

Limits: losses small over a beat; below th2 the loss terms are extended, which matters only to a swing that is too
small to go on anyway. Sources: docs/explanation/model.md, sections 3 to 6.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from underdial.mechanics.parameters import Array, Layout, Position

NEWTON_STEPS = 12


@dataclass(frozen=True, slots=True)
class Swing:
    """The oscillator in one position: arrays (draws,). Loss a beat without the train is
    `l1 A + l2 A^2 + l3 A^3 - given_back_j`; the escapement adds `torque (rest (A - th2) - gain)`."""

    l1: Array
    l2: Array
    l3: Array
    given_back_j: Array
    gain_rad: Array
    rest_rad: Array
    impulse_ends_rad: Array
    least_rad: Array
    beat_rad: Array
    heavy_torque_n_m: Array


def swing(layout: Layout, values: Array, position: Position) -> Swing:
    """The loss terms of every draw in one position."""
    v = {
        name: values[layout.row(name)]
        for name in layout.first_row
        if layout.rows(name).stop - layout.rows(name).start == 1
    }
    k, kappa = v["stiffness_n_m_per_rad"], v["lever_inertia_ratio"]
    weight_friction = v["balance_friction_ratio"] * v["oscillator_weight_n"]
    if position.axis_vertical:
        friction = 2.0 / 3.0 * weight_friction * v["cone_flat_radius_m"] * v["axis_vertical_friction_ratio"]
        along, across = np.zeros_like(k), np.zeros_like(k)
    else:
        friction = weight_friction * v["cone_tip_radius_m"] * v["axis_horizontal_friction_ratio"]
        staff = v["oscillator_weight_n"] * v["staff_offset_m"]
        poise, staff_angle = v["poise_angle_rad"] - position.down_rad, v["staff_angle_rad"] - position.down_rad
        along = v["poise_torque_n_m"] * np.cos(poise) + staff * np.cos(staff_angle)
        across = v["poise_torque_n_m"] * np.sin(poise) + staff * np.sin(staff_angle)
    beat = v["beat_angle_rad"] - across / k
    th1, th2 = v["impulse_begins_rad"], v["impulse_ends_rad"]
    return Swing(
        l1=2.0 * (friction + v["friction_torque_n_m"]),
        l2=0.5 * math.pi * k / v["linear_q_ratio"] + 0.5 * kappa * k * (1.0 / (1.0 + kappa) + 1.0),
        l3=v["quadratic_air_loss_ratio"] * k,
        given_back_j=0.5 * kappa * k * (th1**2 / (1.0 + kappa) + th2**2),
        gain_rad=math.pi
        / layout.escape_count
        * ((1.0 - v["drop_ratio"]) * v["impulse_efficiency_ratio"] - v["unlocking_ratio"]),
        rest_rad=2.0 * v["frictional_rest_ratio"],
        impulse_ends_rad=th2,
        least_rad=v["least_amplitude_rad"] + np.abs(beat),
        beat_rad=beat,
        heavy_torque_n_m=along,
    )


def some_of(one: Swing, draws: NDArray[np.intp]) -> Swing:
    """The oscillator of some of the draws."""
    return Swing(*(getattr(one, name)[draws] for name in Swing.__slots__))


def steady_amplitude_rad(one: Swing, escape_torque_n_m: Array) -> Array:
    """Swing at which gain and loss a beat meet.

    Parameters
    ----------
    one : Swing
        The oscillator in a position, of `draws` draws.
    escape_torque_n_m : array, shape (draws,)
        Torque at the escape wheel [N m], 0 or more.

    Returns
    -------
    array, shape (draws,)
        Half-angle of swing [rad]; 0 without gain.

    Notes
    -----
    Starts at the root with air drag left out, which lies above, then 12 Newton steps; against a bracketing solver the
    error is below 1e-12 of the swing.
    """
    M = escape_torque_n_m
    b = one.l1 + one.rest_rad * M
    energy = M * (one.gain_rad + one.rest_rad * one.impulse_ends_rad) + one.given_back_j
    with np.errstate(divide="ignore", invalid="ignore"):
        A = 2.0 * energy / (b + np.sqrt(b**2 + 4.0 * one.l2 * energy))
        for _ in range(NEWTON_STEPS):
            excess = ((one.l3 * A + one.l2) * A + b) * A - energy
            A = A - excess / ((3.0 * one.l3 * A + 2.0 * one.l2) * A + b)
    return np.where((M > 0.0) & (one.gain_rad > 0.0), A, 0.0)


def least_escape_torque_n_m(one: Swing) -> Array:
    """Torque at the escape wheel that just keeps the least swing [N m], shape (draws,); infinite where none can."""
    needed = loss_without_train_j(one, one.least_rad)
    per_torque = one.gain_rad - one.rest_rad * (one.least_rad - one.impulse_ends_rad)
    with np.errstate(divide="ignore"):
        return np.where(per_torque > 0.0, needed / per_torque, np.inf)


def loss_without_train_j(one: Swing, amplitude_rad: Array) -> Array:
    """Energy lost in a beat at a swing [J], the part that goes with the escape torque left out; shape (draws,)."""
    A = amplitude_rad
    return ((one.l3 * A + one.l2) * A + one.l1) * A - one.given_back_j


def free_decay_q_ratio(layout: Layout, values: Array, one: Swing) -> Array:
    """Quality of the oscillator swinging alone, lever and train away, at the middle of its decay; shape (draws,)."""
    k = values[layout.row("stiffness_n_m_per_rad")]
    A = np.sqrt(values[layout.row("start_amplitude_rad")] * one.least_rad)
    lost = one.l1 * A + 0.5 * math.pi * k / values[layout.row("linear_q_ratio")] * A**2 + one.l3 * A**3
    quality: Array = 0.5 * math.pi * k * A**2 / lost
    return quality
