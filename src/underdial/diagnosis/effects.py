"""From faults to the parameters of the movement: each fault acts on physical quantities at its place.

`healthy` scatters a movement as sound clocks of its kind differ; `act` lets the faults of each draw change the table of
parameters; the kinds of law are those of the trade's table of fault laws, and nothing else knows them.

Limits: scatter and sizes are starting values of ours, [assumption], to be corrected from finished jobs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.places import Places
from underdial.diagnosis.suspects import Suspect
from underdial.mechanics.energy_balance import predict
from underdial.mechanics.parameters import Array, Layout, spread

Index = NDArray[np.int64]
# Log standard deviations, or standard deviations, of sound movements. [assumption]
_LOG_SCATTER = {
    "full_torque_n_m": 0.10, "pivot_friction_ratio": 0.15, "lever_inertia_ratio": 0.25, "linear_q_ratio": 0.20,
    "balance_friction_ratio": 0.20, "cone_tip_radius_m": 0.25, "cone_flat_radius_m": 0.35, "least_amplitude_rad": 0.10,
}  # fmt: skip
_ADD_SCATTER = {
    "end_torque_ratio": 0.05,
    "mesh_efficiency_ratio": 0.012,
    "drop_ratio": 0.02,
    "impulse_efficiency_ratio": 0.03,
    "unlocking_ratio": 0.02,
}
_RIPPLE_LOG_SD = 0.4
_SPARE_LOG_SD = 0.5
_POISE_ARM_M = 2.3e-6
_POISE_LOG_SD = 0.6
# A fault of the whole train acts on each arbor with these shares of what it does to one alone. [assumption]
_WIDE_SHARE = {"friction": 0.3, "ripple": 0.5}
_LOST_SHARE_MOST = 0.97


@dataclass(frozen=True)
class Bench:
    """A movement ready for draws: its layout, its healthy values, and the scales that laws refer to."""

    layout: Layout
    nominal: Array
    places: Places
    escape_torque_n_m: float
    impulse_torque_n_m: float
    amplitude_rad: float
    oscillator_weight_n: float


@dataclass
class Table:
    """Parameters of every draw (rows, draws), and the chance of tripping, which no energy balance holds."""

    values: Array
    trip: Array


def bench(layout: Layout, nominal: Array, places: Places) -> Bench:
    """Reckon the healthy movement once for the scales of its laws: escape torque, and what the impulse can carry."""
    sound = predict(layout, spread(nominal, draws_count=1))
    amplitude = float(sound.amplitude_full_rad[0, 0])
    q = float(sound.free_decay_q_ratio[0, 0])
    stiffness = float(nominal[layout.row("stiffness_n_m_per_rad")])
    # The impulse makes good (pi/2) k A^2 / Q a beat; a constant friction torque takes 2 A of it a beat.
    impulse = np.pi / 4.0 * stiffness * amplitude / max(q, 1.0)
    weight = float(nominal[layout.row("oscillator_weight_n")])
    return Bench(layout, nominal, places, float(sound.escape_torque_n_m[0]), impulse, amplitude, weight)


def scatter_count(layout: Layout) -> int:
    """How many standard normal numbers make one sound movement of this layout."""
    arbors = layout.arbors_count
    return len(_LOG_SCATTER) + len(_ADD_SCATTER) + 4 + 2 * arbors + (arbors - 1)


def healthy(bench: Bench, theta: Array) -> Table:
    """Sound movements as they differ: `theta` is (scatter_count, draws) of standard normal numbers."""
    layout = bench.layout
    values = spread(bench.nominal, draws_count=theta.shape[1])
    i = 0
    for name, sd in _LOG_SCATTER.items():
        values[layout.rows(name)] *= np.exp(sd * theta[i])
        i += 1
    for name, sd in _ADD_SCATTER.items():
        rows = layout.rows(name)
        values[rows] = np.clip(values[rows] + sd * theta[i], 0.0, None)
        i += 1
    values[layout.rows("mesh_efficiency_ratio")] = np.minimum(values[layout.rows("mesh_efficiency_ratio")], 0.995)
    # A sound clock has its turns: what scatters is how many there are to spare.
    turns = layout.row("available_turns_ratio")
    values[turns] = 1.0 + np.maximum(values[turns] - 1.0, 0.01) * np.exp(_SPARE_LOG_SD * theta[i])
    i += 1
    values[layout.row("poise_torque_n_m")] = (
        bench.oscillator_weight_n * _POISE_ARM_M * np.exp(_POISE_LOG_SD * theta[i])
        if layout.oscillator == "balance"
        else 0.0
    )
    values[layout.row("poise_angle_rad")] = 2 * np.pi * ndtr(theta[i + 1])
    values[layout.row("staff_angle_rad")] = 2 * np.pi * ndtr(theta[i + 2])
    i += 3
    arbors = layout.arbors_count
    values[layout.rows("arbor_ripple_ratio")] *= np.exp(_RIPPLE_LOG_SD * theta[i : i + arbors])
    values[layout.rows("arbor_phase_rad")] = 2 * np.pi * ndtr(theta[i + arbors : i + 2 * arbors])
    i += 2 * arbors
    values[layout.rows("mesh_phase_rad")] = 2 * np.pi * ndtr(theta[i : i + arbors - 1])
    return Table(values, np.zeros(theta.shape[1]))


def act(
    bench: Bench,
    table: Table,
    suspects: tuple[Suspect, ...],
    draws: FaultDraws,
    *,
    sizes: Mapping[str, float] | None = None,
) -> None:
    """Let every fault of every draw change the table, in place.

    `sizes` are learned factors on the effect of a fault.
    """
    present = draws.severity > 0.0
    for k in np.flatnonzero(present.any(axis=1)):
        suspect = suspects[int(k)]
        if not suspect.law.laws:
            continue
        columns = np.flatnonzero(present[k])
        s = draws.severity[k, columns].astype(np.float64)
        one = _Acting(
            bench, table, suspect, columns, s, draws.arbor[k, columns].astype(np.int64), draws.sense[k, columns]
        )
        factor = (sizes or {}).get(suspect.fault, 1.0)
        for kind, size in suspect.law.laws:
            _KINDS[kind](one, size * factor)
    shares = table.values[bench.layout.rows("drag_share_ratio")]
    np.minimum(shares, _LOST_SHARE_MOST, out=shares)


@dataclass
class _Acting:
    """One suspect in the draws that hold it."""

    bench: Bench
    table: Table
    suspect: Suspect
    columns: Index
    s: Array
    arbor: Index
    sense: NDArray[np.int8]

    def row(self, name: str) -> int:
        return self.bench.layout.row(name)

    def change(self, name: str, factor: Array | None = None, plus: Array | None = None) -> None:
        """Multiply or add in the row of a parameter of the movement."""
        row = self.table.values[self.row(name)]
        if factor is not None:
            row[self.columns] *= factor
        if plus is not None:
            row[self.columns] += plus

    def share(self, kind: str) -> float:
        return _WIDE_SHARE.get(kind, 1.0) if self.suspect.everywhere and self.suspect.law.place == "wide" else 1.0

    def at_arbors(self, name: str, factor: Array | None = None, plus: Array | None = None) -> None:
        """Multiply or add at the suspect's arbor in each draw, or at all arbors; places behind the train are left."""
        first = self.bench.layout.rows(name).start
        count = self.bench.layout.arbors_count
        values = self.table.values
        if self.suspect.everywhere:
            for j in range(count):
                if factor is not None:
                    values[first + j, self.columns] *= factor
                if plus is not None:
                    values[first + j, self.columns] += plus
            return
        inside = (self.arbor >= 0) & (self.arbor < count)
        where = (first + self.arbor[inside], self.columns[inside])
        if factor is not None:
            values[where] *= factor[inside]
        if plus is not None:
            values[where] += plus[inside]

    def at_meshes(self, name: str, change: Callable[[Array, Array], Array]) -> None:
        """Change the meshes before and behind the suspect's arbor, or all of them."""
        first = self.bench.layout.rows(name).start
        count = self.bench.layout.arbors_count
        values = self.table.values
        if self.suspect.everywhere:
            for j in range(count - 1):
                values[first + j, self.columns] = change(values[first + j, self.columns], self.s)
            return
        for side in (-1, 0):
            mesh = self.arbor + side
            inside = (mesh >= 0) & (mesh < count - 1) & (self.arbor < count)
            where = (first + mesh[inside], self.columns[inside])
            values[where] = change(values[where], self.s[inside])

    def behind_train(self, place: int) -> Index:
        """Of this suspect's draws, those that sit at a place behind the escape wheel."""
        return np.flatnonzero(self.arbor == place) if not self.suspect.everywhere else np.empty(0, np.int64)


def _friction(one: _Acting, c: float) -> None:
    c *= one.share("friction")
    one.at_arbors("pivot_friction_ratio", factor=1.0 + c * one.s)
    _friction_behind(one, c)


def _friction_behind(one: _Acting, c: float) -> None:
    """At the pallet arbor friction takes from the impulse; at the balance it is friction of its pivots."""
    values = one.table.values
    at_pallets = one.behind_train(one.bench.places.pallet_arbor)
    values[one.row("impulse_efficiency_ratio"), one.columns[at_pallets]] *= np.exp(-0.15 * c * one.s[at_pallets])
    at_balance = one.behind_train(one.bench.places.oscillator)
    for name in ("axis_horizontal_friction_ratio", "axis_vertical_friction_ratio"):
        values[one.row(name), one.columns[at_balance]] *= 1.0 + c * one.s[at_balance]


def _drag_share(one: _Acting, c: float) -> None:
    first = one.bench.layout.rows("drag_share_ratio").start
    values = one.table.values
    arbors = range(one.bench.layout.arbors_count) if one.suspect.everywhere else None
    if arbors is not None:
        for j in arbors:
            row = values[first + j]
            row[one.columns] = 1.0 - (1.0 - row[one.columns]) * np.exp(-c * one.s)
        return
    inside = (one.arbor >= 0) & (one.arbor < one.bench.layout.arbors_count)
    where = (first + one.arbor[inside], one.columns[inside])
    values[where] = 1.0 - (1.0 - values[where]) * np.exp(-c * one.s[inside])
    _friction_behind(one, 3.0 * c)


def _minute_drag(one: _Acting, c: float) -> None:
    row = one.table.values[one.bench.layout.row("drag_share_ratio", one.bench.places.hour_arbor)]
    row[one.columns] = 1.0 - (1.0 - row[one.columns]) * np.exp(-c * one.s)


def _lift(one: _Acting, c: float) -> None:
    one.table.values[one.bench.layout.row("arbor_ripple_ratio", one.bench.places.hour_arbor), one.columns] += (
        0.5 * c * one.s
    )


def _poise(one: _Acting, c: float) -> None:
    if one.suspect.fault == "BAL-01":
        one.change("staff_offset_m", plus=c * 1e-3 * one.s)
    else:
        one.change("poise_torque_n_m", plus=one.bench.oscillator_weight_n * c * 1e-3 * one.s)


def _both_axes(one: _Acting, c: float) -> None:
    for name in ("axis_horizontal_friction_ratio", "axis_vertical_friction_ratio"):
        one.change(name, factor=1.0 + c * one.s)


def _tip(one: _Acting, c: float) -> None:
    for name in ("cone_tip_radius_m", "cone_flat_radius_m"):
        one.change(name, factor=1.0 + c * one.s)


def _trip(one: _Acting, c: float) -> None:
    one.table.trip[one.columns] += c * one.s


_KINDS: dict[str, Callable[[_Acting, float], None]] = {
    "torque": lambda o, c: o.change("full_torque_n_m", factor=np.exp(-c * o.s)),
    "torque_either": lambda o, c: o.change("full_torque_n_m", factor=np.exp(-c * o.s * o.sense)),
    "end": lambda o, c: o.change("end_torque_ratio", factor=np.maximum(1.0 - c * o.s, 0.1)),
    "turns": lambda o, c: o.change("available_turns_ratio", factor=np.exp(-c * o.s)),
    "friction": _friction,
    "mesh": lambda o, c: o.at_meshes("mesh_efficiency_ratio", lambda v, s: v * np.maximum(0.6, 1.0 - c * s)),
    "ripple": lambda o, c: o.at_arbors("arbor_ripple_ratio", plus=c * o.share("ripple") * o.s),
    "main_ripple": lambda o, c: _main_ripple(o, c),
    "tooth_ripple": lambda o, c: o.at_meshes("mesh_ripple_ratio", lambda v, s: v + c * s),
    "drag_share": _drag_share,
    "drag_fixed": lambda o, c: o.at_arbors("drag_torque_n_m", plus=c * o.bench.escape_torque_n_m * o.s),
    "minute_drag": _minute_drag,
    "lift": _lift,
    "drop": lambda o, c: o.change("drop_ratio", plus=c * o.s),
    "impulse": lambda o, c: o.change("impulse_efficiency_ratio", factor=np.exp(-c * o.s)),
    "unlocking": lambda o, c: o.change("unlocking_ratio", factor=1.0 + c * o.s),
    "trip": _trip,
    "least": lambda o, c: o.change("least_amplitude_rad", factor=1.0 + c * o.s),
    "beat": lambda o, c: o.change(
        "beat_angle_rad", plus=c * o.s * o.sense * float(o.bench.nominal[o.row("least_amplitude_rad")])
    ),
    "quality": lambda o, c: o.change("linear_q_ratio", factor=1.0 / (1.0 + c * o.s)),
    "oscillator_friction": _both_axes,
    "oscillator_friction_level": lambda o, c: o.change("axis_vertical_friction_ratio", factor=1.0 + c * o.s),
    "coulomb": lambda o, c: o.change("friction_torque_n_m", plus=0.1 * c * o.s * o.bench.impulse_torque_n_m),
    "tip": _tip,
    "poise": _poise,
    "rate_up": lambda o, c: o.change("rate_offset_s_per_day", plus=c * o.s),
    "rate_down": lambda o, c: o.change("rate_offset_s_per_day", plus=-c * o.s),
    "rate_either": lambda o, c: o.change("rate_offset_s_per_day", plus=c * o.s * o.sense),
}


def _main_ripple(one: _Acting, c: float) -> None:
    one.table.values[one.bench.layout.row("arbor_ripple_ratio", 0), one.columns] += c * one.s
