"""Torque through the going train, forward to the escape wheel and back to the key, and where the power goes.

At arbor j the torque M arrives; its pivots carry N = hypot(p M, W), and

    net = M (1 - s) - mu r N - D,        next arbor: M' = eta net (leaves / teeth),

with p the load on the pivots for each newton metre, W the weight, s the share lost at a tight spot and D a constant
brake. Solved for M the same law is exact in closed form:

    M = [(1 - s) c + f sqrt(W^2 q + p^2 c^2)] / q,   c = net + D,  f = mu r,  q = (1 - s)^2 - (f p)^2,

and q <= 0 means that the arbor locks whatever the torque. Arrays are (arbors, draws); arbor 0 is the great wheel.

Limits: the weight stands at right angles to the load of the teeth; friction does not depend on speed.
Source: statics of a journal with Coulomb friction; docs/explanation/model.md, section 2.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from underdial.mechanics.parameters import Array, Layout


@dataclass(frozen=True, slots=True)
class PowerThrough:
    """Where the power goes, all over what enters the great wheel; arrays (arbors, draws), the last (meshes, draws).

    `arriving_ratio[0]` is 1; what is left over at the escape wheel is `escape_ratio` (draws,).
    """

    arriving_ratio: Array
    pivot_loss_ratio: Array
    drag_loss_ratio: Array
    mesh_loss_ratio: Array
    escape_ratio: Array


def torque_along(layout: Layout, values: Array, main_torque_n_m: Array) -> tuple[Array, Array]:
    """Torque arriving at and leaving each arbor.

    Parameters
    ----------
    layout : Layout
        Of the movement.
    values : array, shape (rows, draws)
        Parameters.
    main_torque_n_m : array, shape (draws,)
        Torque at the great arbor [N m], 0 or more.

    Returns
    -------
    tuple of array, shape (arbors, draws)
        Torque arriving and torque left after pivots and drag [N m]; 0 from an arbor on that does not turn.

    Notes
    -----
    Exact within the law above; the last row of the second array is the torque at the escape wheel.
    """
    friction, p, weight, drag, share = _train_rows(layout, values)
    efficiency = values[layout.rows("mesh_efficiency_ratio")]
    arriving, leaving = np.empty_like(p), np.empty_like(p)
    torque = np.asarray(main_torque_n_m, dtype=float) + np.zeros(values.shape[1])
    for j in range(layout.arbors_count):
        arriving[j] = torque
        net = torque * (1.0 - share[j]) - friction[j] * np.hypot(p[j] * torque, weight[j]) - drag[j]
        leaving[j] = np.maximum(net, 0.0)
        if j < layout.arbors_count - 1:
            torque = efficiency[j] * leaving[j] * layout.gearing_ratio[j]
    return arriving, leaving


def main_torque_for(layout: Layout, values: Array, escape_torque_n_m: Array) -> Array:
    """Torque at the great arbor that leaves a wanted torque at the escape wheel.

    Parameters
    ----------
    layout : Layout
        Of the movement.
    values : array, shape (rows, draws)
        Parameters.
    escape_torque_n_m : array, shape (draws,)
        Torque wanted at the escape wheel [N m], 0 or more.

    Returns
    -------
    array, shape (draws,)
        Torque [N m]; infinite where an arbor locks.

    Notes
    -----
    The closed form above, arbor by arbor; rounding only.
    """
    friction, p, weight, drag, share = _train_rows(layout, values)
    efficiency = values[layout.rows("mesh_efficiency_ratio")]
    needed = np.asarray(escape_torque_n_m, dtype=float) + np.zeros(values.shape[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        for j in range(layout.arbors_count - 1, -1, -1):
            left = 1.0 - share[j]
            c = needed + drag[j]
            q = left**2 - (friction[j] * p[j]) ** 2
            root = np.sqrt(np.maximum(p[j] ** 2 * c**2 + q * weight[j] ** 2, 0.0))
            needed = np.where(
                (q > 0.0) & (left > 0.0) & np.isfinite(needed), (left * c + friction[j] * root) / q, np.inf
            )
            if j > 0:
                needed = needed / (efficiency[j - 1] * layout.gearing_ratio[j - 1])
    return needed


def power_through(layout: Layout, values: Array, main_torque_n_m: Array) -> PowerThrough:
    """Share of the power that reaches each arbor and is lost in its pivots, by drag, and in each mesh.

    Parameters
    ----------
    layout : Layout
        Of the movement.
    values : array, shape (rows, draws)
        Parameters.
    main_torque_n_m : array, shape (draws,)
        Torque at the great arbor [N m], above 0.

    Returns
    -------
    PowerThrough
        Ratios to the power that enters; losses and what reaches the escapement add up to 1 while the train turns.

    Notes
    -----
    Power is torque times speed; speeds stand in the ratio of the counts. Where an arbor does not turn, what arrives
    there stays unspent and is in no loss.
    """
    arriving, leaving = torque_along(layout, values, main_torque_n_m)
    speed = np.concatenate(([1.0], 1.0 / np.cumprod(np.asarray(layout.gearing_ratio))))[:, None]
    entering = arriving[0]
    friction, p, weight, drag, share = _train_rows(layout, values)
    pivots = friction * np.hypot(p * arriving, weight)
    turning = leaving > 0.0
    efficiency = values[layout.rows("mesh_efficiency_ratio")]
    return PowerThrough(
        arriving * speed / entering,
        np.where(turning, pivots * speed / entering, 0.0),
        np.where(turning, (drag + share * arriving) * speed / entering, 0.0),
        (1.0 - efficiency) * leaving[:-1] * speed[:-1] / entering,
        leaving[-1] * speed[-1] / entering,
    )


def _train_rows(layout: Layout, values: Array) -> tuple[Array, Array, Array, Array, Array]:
    """Friction arm mu r, force per torque, weight, drag and lost share, each (arbors, draws)."""
    arm = values[layout.rows("pivot_friction_ratio")] * values[layout.rows("pivot_radius_m")]
    return (
        arm, values[layout.rows("force_per_torque_per_m")], values[layout.rows("arbor_weight_n")],
        values[layout.rows("drag_torque_n_m")], values[layout.rows("drag_share_ratio")],
    )  # fmt: skip
