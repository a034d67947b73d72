"""Movements for these tests: the families of the package, and random cases spread round them."""

from __future__ import annotations

import dataclasses
import math

import numpy as np

from underdial.mechanics.parameters import PARAMETERS, Array, Layout, spread, tabulate
from underdial.movement.as_made import Movement
from underdial.movement.composition import compose
from underdial.trade.families import families

NAMES = tuple(sorted(families()))
POSITIONS = ("12_up", "3_up", "dial_up")


def movement(name: str) -> Movement:
    """A family's preset as a movement."""
    return compose(dataclasses.asdict(families()[name]))


def table(name: str, *, draws_count: int = 1) -> tuple[Layout, Array]:
    """Layout and nominal values of a family."""
    layout, nominal = tabulate(movement(name))
    return layout, spread(nominal, draws_count=draws_count)


def random_table(name: str, rng: np.random.Generator, *, draws_count: int) -> tuple[Layout, Array]:
    """Random cases round a family, from running well to stopped at once, every parameter moved."""
    made = movement(name)
    positions = POSITIONS if made.oscillator.kind == "balance" else ("12_up",)
    layout, nominal = tabulate(made, positions=positions)
    values = spread(nominal, draws_count=draws_count)
    for name_, (place, _) in PARAMETERS.items():
        rows = layout.rows(name_)
        size = (rows.stop - rows.start, draws_count)
        values[rows] *= np.exp(rng.normal(0.0, 0.03 if place == "movement" else 0.15, size))
    values[layout.rows("mesh_efficiency_ratio")] = np.minimum(values[layout.rows("mesh_efficiency_ratio")], 1.0)
    values[layout.row("full_torque_n_m")] *= np.exp(rng.normal(-0.8, 0.6, draws_count))
    values[layout.row("available_turns_ratio")] *= rng.uniform(0.7, 1.3, draws_count)
    values[layout.rows("drag_share_ratio")] = 0.1 * rng.uniform(0.0, 1.0, (layout.arbors_count, draws_count))
    for kind, count in (("arbor", layout.arbors_count), ("mesh", layout.arbors_count - 1)):
        values[layout.rows(f"{kind}_phase_rad")] = rng.uniform(0.0, 2.0 * math.pi, (count, draws_count))
        values[layout.rows(f"{kind}_ripple_ratio")] = 0.1 * rng.uniform(0.0, 1.0, (count, draws_count))
    values[layout.row("beat_angle_rad")] = (
        0.1 * rng.normal(0.0, 1.0, draws_count) * values[layout.row("least_amplitude_rad")]
    )
    values[layout.row("rate_offset_s_per_day")] = rng.normal(0.0, 90.0, draws_count)
    if made.oscillator.kind == "balance":
        values[layout.row("poise_torque_n_m")] = 4e-8 * rng.uniform(0.0, 2.0, draws_count)
        values[layout.row("staff_offset_m")] = 1e-5 * rng.uniform(0.0, 2.0, draws_count)
        for angle in ("poise_angle_rad", "staff_angle_rad"):
            values[layout.row(angle)] = rng.uniform(0.0, 2.0 * math.pi, draws_count)
    return layout, values
