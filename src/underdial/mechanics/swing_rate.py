"""What escapement, recoil, poise, damping and circular error do to the rate of an oscillator at a swing.

First order in small disturbances: a torque met between two angles after [Airy1830]_ in integrated form, the lever
picked up and carried, recoil as extra stiffness beyond the impulse, poise with the Bessel function J1; circular error
exactly; friction that goes with speed in second order. Constant friction does nothing to the rate in first order.

Limits: against direct integration within 3 % or 0.1 s/day over all families and down to the least swing
(tests/mechanics/test_time_domain.py). Source: docs/explanation/model.md, section 6.
"""

from __future__ import annotations

import math

import numpy as np

from underdial.mechanics.parameters import Array, Layout
from underdial.mechanics.swing_balance import Swing


def rate_s_per_day(
    layout: Layout, values: Array, one: Swing, *, escape_torque_n_m: Array, amplitude_rad: Array
) -> Array:
    """Rate of the movement [s/day], gaining positive, at a torque and swing; shape (draws,).

    The swing is taken as no less than the least one. Error against direct integration below 3 % or 0.1 s/day.
    """
    parts = rate_parts_s_per_day(layout, values, one, escape_torque_n_m=escape_torque_n_m, amplitude_rad=amplitude_rad)
    total: Array = sum(parts.values(), values[layout.row("rate_offset_s_per_day")])
    return total


def rate_parts_s_per_day(
    layout: Layout, values: Array, one: Swing, *, escape_torque_n_m: Array, amplitude_rad: Array
) -> dict[str, Array]:
    """What each cause does to the rate [s/day], gaining positive: each an array of shape (draws,).

    Keys: impulse (with unlocking), lever (picked up and carried), recoil, damping, poise, circular. What is left is the
    offset of the oscillator itself.
    """
    from scipy.special import ellipk, j1

    k, kappa = values[layout.row("stiffness_n_m_per_rad")], values[layout.row("lever_inertia_ratio")]
    th1, th2 = values[layout.row("impulse_begins_rad")], one.impulse_ends_rad
    A, M = np.maximum(amplitude_rad, one.least_rad), escape_torque_n_m
    x1, x2 = np.clip(th1 / A, -1.0, 1.0), np.clip(th2 / A, -1.0, 1.0)
    cos1, cos2 = np.sqrt(1.0 - x1**2), np.sqrt(1.0 - x2**2)
    picked_up = kappa / math.pi * x1 * cos1
    carried = -kappa / (2.0 * math.pi) * (np.arcsin(x2) - x2 * cos2 - np.arcsin(x1) + x1 * cos1)
    circular = (
        0.5 * math.pi / ellipk(np.sin(0.5 * A) ** 2) - 1.0 if layout.oscillator == "pendulum" else np.zeros_like(A)
    )
    shifts = {
        "impulse": -M * one.gain_rad / (th2 - th1) / (math.pi * k * A) * (cos1 - cos2),
        "lever": picked_up + carried,
        "recoil": 2.0 * values[layout.row("recoil_ratio")] * M * cos2 / (math.pi * k * A),
        # Friction that goes with speed shifts the rate in second order only: sqrt(1 - 1/(2Q)^2).
        "damping": -0.125 / values[layout.row("linear_q_ratio")] ** 2,
        "poise": one.heavy_torque_n_m / k * j1(A) / A,
        "circular": circular,
    }
    return {name: 86400.0 * shift for name, shift in shifts.items()}
