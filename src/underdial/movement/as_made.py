"""A movement as made: frozen records of power, train, escapement, oscillator, loads, and all of them together.

`composition.compose` makes them. Limits: no computation here; values are SI and say their unit.
Source: definitions of the trade, docs/reference/glossary.md.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Power:
    """What drives the great wheel: output torque fully wound and at the end, and the turns there are."""

    kind: str
    full_torque_n_m: float
    end_torque_ratio: float
    available_turns_ratio: float
    main_turns_per_day: float
    duration_s: float


@dataclass(frozen=True, slots=True)
class ArborAsMade:
    """An arbor of the going train with the sizes that friction depends on; the great arbor has no pinion."""

    name: str
    period_s: float
    pivot_radius_m: float
    pinion_radius_m: float | None
    wheel_radius_m: float
    weight_n: float
    friction_ratio: float
    mesh_angle_rad: float


@dataclass(frozen=True, slots=True)
class MeshAsMade:
    """A wheel driving a pinion: counts, share of the work that passes, and the time one tooth takes."""

    wheel_count: int
    pinion_count: int
    efficiency_ratio: float
    pitch_period_s: float


@dataclass(frozen=True, slots=True)
class TrainAsMade:
    """The going train from great wheel to escape wheel; `hour_arbor` is 0 where a side branch drives the hands."""

    arbors: tuple[ArborAsMade, ...]
    meshes: tuple[MeshAsMade, ...]
    hour_arbor: int


@dataclass(frozen=True, slots=True)
class Escapement:
    """The escapement: shares of the wheel's work, and where at the oscillator the impulse lies."""

    kind: str
    teeth_count: int
    drop_ratio: float
    impulse_efficiency_ratio: float
    unlocking_ratio: float
    lever_inertia_ratio: float
    frictional_rest_ratio: float
    recoil_ratio: float
    impulse_begins_rad: float
    impulse_ends_rad: float


@dataclass(frozen=True, slots=True)
class Oscillator:
    """Pendulum, balance or torsion pendulum; `axis_in_use` is None without a balance."""

    kind: str
    beats_per_hour: float
    inertia_kg_m2: float
    stiffness_n_m_per_rad: float
    weight_n: float
    friction_ratio: float
    cone_tip_radius_m: float
    cone_flat_radius_m: float
    linear_q_ratio: float
    quadratic_air_loss_ratio: float
    least_amplitude_rad: float
    start_amplitude_rad: float
    axis_in_use: str | None


@dataclass(frozen=True, slots=True)
class Load:
    """A torque taken off at an arbor of the line (1 is the great wheel), and how much of it comes and goes."""

    kind: str
    arbor: int
    torque_n_m: float
    ripple_ratio: float = 0.0


@dataclass(frozen=True, slots=True)
class Movement:
    """A movement as composed. `positions` holds the positions it can be tried in, the one in use first."""

    title: str
    power: Power
    train: TrainAsMade
    escapement: Escapement
    oscillator: Oscillator
    strike: str
    loads: tuple[Load, ...]
    positions: tuple[str, ...]
    traits: frozenset[str]
    assumed: tuple[str, ...]
