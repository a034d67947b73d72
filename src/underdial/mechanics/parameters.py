"""The table of parameters on which a movement's energy balance, and every fault, acts.

One draw is one column of a float64 array `values` of shape (rows, draws); each row is a parameter, named with its
unit, at a place: an arbor or a mesh counted from the great wheel as 0, or none. Rows are what `diagnosis` changes:

    layout, nominal = tabulate(movement, positions=("12_up", "dial_up"))
    values = spread(nominal, draws_count=20_000)            # (rows, draws), C order
    values[layout.row("drag_torque_n_m", 4)] += 15e-6       # on the fifth arbor
    values[layout.rows("pivot_friction_ratio")] *= 1.3      # on every arbor
    outcome = predict(layout, values, hours_h=(1.0, 24.0))  # mechanics.kernel or mechanics.energy_balance

What does not vary from draw to draw (counts, periods, length of the wind, positions) is in `Layout`.
`PARAMETERS` lists every name with the place it belongs to and a sentence on what it does.

Signs: angles clockwise seen from the dial, 0 at twelve with twelve up; a rate that gains is positive.
Limits: periods of arbors are fixed by the counts. Source: docs/explanation/model.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from underdial.errors import BadInput, NotFound
from underdial.movement.as_made import Movement

Array = NDArray[np.float64]

# A load ripple of this size on every arbor is what a healthy movement has. [assumption]
USUAL_RIPPLE_RATIO = 0.045
TURN_S = 3600.0

# Name -> (place, what it does). The order is the order of the rows.
PARAMETERS: dict[str, tuple[str, str]] = {
    "full_torque_n_m": ("movement", "output torque at the great arbor, fully wound"),
    "end_torque_ratio": ("movement", "torque at the end of the wind over that fully wound"),
    "available_turns_ratio": ("movement", "turns of wind there are over those the stated going time takes"),
    "pivot_friction_ratio": ("arbor", "friction coefficient of the pivots"),
    "pivot_radius_m": ("arbor", "radius of the pivots"),
    "force_per_torque_per_m": ("arbor", "load on the pivots for each newton metre through the arbor"),
    "arbor_weight_n": ("arbor", "weight on the pivots, at right angles to the load of the teeth"),
    "drag_torque_n_m": ("arbor", "constant brake torque: fibre, rubbing part, hands, strike lift"),
    "drag_share_ratio": ("arbor", "share of the torque at the arbor lost there: tight spot, bent part"),
    "arbor_ripple_ratio": ("arbor", "loss that comes and goes once a turn, share of the torque"),
    "arbor_phase_rad": ("arbor", "where in its turn the arbor stands at full wind; worst at 0"),
    "mesh_efficiency_ratio": ("mesh", "share of the work that passes the mesh"),
    "mesh_ripple_ratio": ("mesh", "loss that comes and goes once a tooth, share of the torque"),
    "mesh_phase_rad": ("mesh", "where in its pitch the mesh stands at full wind; worst at 0"),
    "drop_ratio": ("movement", "share of the escape wheel's travel lost free"),
    "impulse_efficiency_ratio": ("movement", "share of the sliding impulse that reaches the oscillator"),
    "unlocking_ratio": ("movement", "share of the wheel's work given back to unlock"),
    "lever_inertia_ratio": ("movement", "lever or pallets reflected to the oscillator over its inertia"),
    "frictional_rest_ratio": ("movement", "friction torque at rest on the pallets over escape torque"),
    "recoil_ratio": ("movement", "torque during recoil over escape torque"),
    "impulse_begins_rad": ("movement", "angle at which the lever or pallet is picked up, rest at 0"),
    "impulse_ends_rad": ("movement", "angle at which it is left"),
    "stiffness_n_m_per_rad": ("movement", "restoring torque of pendulum, hairspring or strip"),
    "oscillator_weight_n": ("movement", "weight of the oscillator"),
    "balance_friction_ratio": ("movement", "friction coefficient of the balance pivots"),
    "cone_tip_radius_m": ("movement", "radius on which a balance pivot rubs with its axis level"),
    "cone_flat_radius_m": ("movement", "radius of the end on which it stands with its axis upright"),
    "axis_horizontal_friction_ratio": ("movement", "factor on the balance's friction torque, axis level"),
    "axis_vertical_friction_ratio": ("movement", "factor on the balance's friction torque, axis upright"),
    "friction_torque_n_m": ("movement", "constant friction at the oscillator in every position: hair, touching coils"),
    "linear_q_ratio": ("movement", "quality of the oscillator from losses that go with speed"),
    "quadratic_air_loss_ratio": ("movement", "loss a beat from air drag that goes with speed squared, over k A^3"),
    "least_amplitude_rad": ("movement", "angle that just unlocks and takes impulse"),
    "beat_angle_rad": ("movement", "how far the oscillator rests off the middle of the beat"),
    "poise_torque_n_m": ("movement", "moment of the balance's heavy point"),
    "poise_angle_rad": ("movement", "where the heavy point lies with the balance at rest, clockwise from twelve"),
    "staff_offset_m": ("movement", "how far a bent staff carries the balance's centre of gravity off its axis"),
    "staff_angle_rad": ("movement", "where it carries it, clockwise from twelve"),
    "start_amplitude_rad": ("movement", "swing that the hand gives to start it"),
    "rate_offset_s_per_day": ("movement", "rate of the oscillator alone: regulator, rating nut, fouled hairspring"),
}


@dataclass(frozen=True, slots=True)
class Position:
    """A position of the clock: is the balance axis upright in it, and where is down, clockwise from twelve."""

    name: str
    axis_vertical: bool
    down_rad: float


@dataclass(frozen=True)
class Layout:
    """What is the same in every draw, and where each parameter stands in the table."""

    arbor_names: tuple[str, ...]
    arbor_period_s: tuple[float, ...]
    pitch_period_s: tuple[float, ...]
    gearing_ratio: tuple[float, ...]
    escape_count: int
    omega_rad_per_s: float
    duration_s: float
    oscillator: str
    positions: tuple[Position, ...]
    first_row: dict[str, int] = field(default_factory=dict)
    rows_count: int = 0

    @property
    def arbors_count(self) -> int:
        """Arbors from great wheel to escape wheel."""
        return len(self.arbor_names)

    def rows(self, name: str) -> slice:
        """All rows of a parameter, one for each place; NotFound for a name that is not in `PARAMETERS`."""
        if name not in self.first_row:
            raise NotFound("parameter", name, ", ".join(PARAMETERS), f"parameter: the model has none called {name}.")
        first = self.first_row[name]
        return slice(first, first + _places(name, self.arbors_count))

    def row(self, name: str, place: int | None = None) -> int:
        """The row of a parameter at an arbor or mesh (0 the great wheel, or its mesh); None for the movement itself.

        Raises NotFound for an unknown name and BadInput for a place that is not in this train.
        """
        rows = self.rows(name)
        count = rows.stop - rows.start
        if PARAMETERS[name][0] == "movement":
            if place is not None:
                raise BadInput("place", place, f"none: {name} belongs to the movement")
            return int(rows.start)
        if place is None or not 0 <= place < count:
            raise BadInput(
                "place", "none" if place is None else place, f"0 to {count - 1}, counted from the great wheel"
            )
        return int(rows.start) + place


def tabulate(movement: Movement, *, positions: tuple[str, ...] | None = None) -> tuple[Layout, Array]:
    """The layout of a movement and its nominal values, shape (rows,), healthy and with the usual ripple.

    `positions` names any of 12_up, 3_up, 6_up, 9_up, dial_up, dial_down; by default those of the movement. A pendulum
    and a torsion pendulum run in 12_up only. Raises BadInput for a position the movement cannot run in.
    """
    train, oscillator = movement.train, movement.oscillator
    names = positions or movement.positions
    arbors = len(train.arbors)
    first, total = {}, 0
    for name in PARAMETERS:
        first[name] = total
        total += _places(name, arbors)
    layout = Layout(
        tuple(one.name for one in train.arbors), tuple(one.period_s for one in train.arbors),
        tuple(one.pitch_period_s for one in train.meshes),
        tuple(one.pinion_count / one.wheel_count for one in train.meshes), movement.escapement.teeth_count,
        math.pi * oscillator.beats_per_hour / 3600.0, movement.power.duration_s, oscillator.kind,
        tuple(_position(name, oscillator.kind, oscillator.axis_in_use) for name in names), first, total,
    )  # fmt: skip
    values = np.zeros(total)
    for name, value in _nominal(movement).items():
        values[layout.rows(name)] = np.asarray(value, dtype=float)
    for load in movement.loads:
        j = load.arbor - 1
        values[layout.row("drag_torque_n_m", j)] += load.torque_n_m
        through = _torque_there(movement, j)
        values[layout.row("arbor_ripple_ratio", j)] += load.ripple_ratio * load.torque_n_m / through
    return layout, values


def spread(nominal: Array, *, draws_count: int) -> Array:
    """The same values for every draw: shape (rows, draws), in C order as the kernel wants it, free to be changed."""
    return np.repeat(nominal[:, None], draws_count, axis=1)


def position(name: str, layout: Layout) -> int:
    """Number of a position in the layout; NotFound, naming those there are."""
    for number, one in enumerate(layout.positions):
        if one.name == name:
            return number
    known = ", ".join(one.name for one in layout.positions)
    raise NotFound("position", name, known, f"position: {name} was not reckoned; there are {known}.")


def _places(name: str, arbors: int) -> int:
    return {"movement": 1, "arbor": arbors, "mesh": arbors - 1}[PARAMETERS[name][0]]


def _position(name: str, kind: str, axis_in_use: str | None) -> Position:
    upright = {"12_up": 0.0, "3_up": math.pi / 2, "6_up": math.pi, "9_up": 1.5 * math.pi}
    lying = ("dial_up", "dial_down")
    if name not in upright and name not in lying:
        raise BadInput("position", name, ", ".join((*upright, *lying)))
    if kind != "balance":
        if name != "12_up":
            raise BadInput(
                "position", name, "12_up", f"position: a clock with a {kind} runs in 12_up only, not in {name}."
            )
        return Position(name, False, math.pi)
    # A platform stands level when the clock stands: laying the clock down then sets its balance axis level.
    vertical = (name in lying) == (axis_in_use == "horizontal")
    return Position(name, vertical, (upright.get(name, 0.0) + math.pi) % (2 * math.pi))


def _nominal(movement: Movement) -> dict[str, object]:
    power, escapement, oscillator = movement.power, movement.escapement, movement.oscillator
    arbors, meshes = movement.train.arbors, movement.train.meshes
    out: dict[str, object] = {
        "full_torque_n_m": power.full_torque_n_m,
        "end_torque_ratio": power.end_torque_ratio,
        "available_turns_ratio": power.available_turns_ratio,
        "pivot_friction_ratio": [one.friction_ratio for one in arbors],
        "pivot_radius_m": [one.pivot_radius_m for one in arbors],
        "force_per_torque_per_m": [
            _force_per_torque(one.pinion_radius_m, one.wheel_radius_m, one.mesh_angle_rad) for one in arbors
        ],
        "arbor_weight_n": [one.weight_n for one in arbors],
        "arbor_ripple_ratio": USUAL_RIPPLE_RATIO,
        "mesh_efficiency_ratio": [one.efficiency_ratio for one in meshes],
        "axis_horizontal_friction_ratio": 1.0,
        "axis_vertical_friction_ratio": 1.0,
        "oscillator_weight_n": oscillator.weight_n,
        "balance_friction_ratio": oscillator.friction_ratio,
    }
    for name in (
        "drop_ratio",
        "impulse_efficiency_ratio",
        "unlocking_ratio",
        "lever_inertia_ratio",
        "frictional_rest_ratio",
        "recoil_ratio",
        "impulse_begins_rad",
        "impulse_ends_rad",
    ):
        out[name] = getattr(escapement, name)
    for name in (
        "stiffness_n_m_per_rad",
        "cone_tip_radius_m",
        "cone_flat_radius_m",
        "linear_q_ratio",
        "quadratic_air_loss_ratio",
        "least_amplitude_rad",
        "start_amplitude_rad",
    ):
        out[name] = getattr(oscillator, name)
    return out


def _force_per_torque(pinion_radius_m: float | None, wheel_radius_m: float, angle_rad: float) -> float:
    """Pivot load for each newton metre: pinion and wheel forces added at the angle between the two meshes."""
    if pinion_radius_m is None:
        return 1.0 / wheel_radius_m
    r, R = pinion_radius_m, wheel_radius_m
    return math.sqrt(1.0 / r**2 + 1.0 / R**2 + 2.0 * math.cos(angle_rad) / (r * R))


def _torque_there(movement: Movement, arbor: int) -> float:
    """Torque at an arbor with the meshes' losses alone: only to turn a load's ripple into a share."""
    torque = movement.power.full_torque_n_m
    for mesh in movement.train.meshes[:arbor]:
        torque *= mesh.efficiency_ratio * mesh.pinion_count / mesh.wheel_count
    return torque
