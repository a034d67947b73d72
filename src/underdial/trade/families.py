"""Families of movements: presets of power, train, escapement, oscillator and strike, never a limit.

Starting values for healthy movements, chosen to hang together and to agree with the few published figures; no
torque gauge has confirmed them. Each value says by its source how it came about; a source without `about`
stands for every value that has none of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from underdial.errors import NotFound
from underdial.trade.files import DATA, Strict, broken, keyed, read_record
from underdial.trade.sources import Source, check_sources, read_texts
from underdial.trade.traits import Trait, read_traits


@dataclass(frozen=True, slots=True)
class Computed(Strict):
    """Figures that follow from the values by the energy balance, full wind, position of use: a check, no
    measurement.
    """

    great_to_escape_ratio: float
    escape_torque_n_m: float
    half_arc_full_rad: float
    half_arc_end_rad: float
    reserve_ratio: float


@dataclass(frozen=True, slots=True)
class Family(Strict):
    """One preset. Lists by arbor run from the power on, one more than there are meshes.

    `hour_arbor` counts from the great wheel as 1; 0 where the hour is taken off by a side branch.
    `balance_axis_in_use` is horizontal where the clock stands upright, vertical where the balance lies level.
    """

    id: str
    title: str
    oscillator: Literal["pendulum", "balance", "torsion"]
    traits: tuple[str, ...]
    may_have: tuple[str, ...]
    hour_arbor: int
    balance_axis_in_use: Literal["horizontal", "vertical"] | None
    beats_per_hour: float
    wheel_teeth: tuple[int, ...]
    pinion_leaves: tuple[int, ...]
    escape_teeth: int
    pivot_radius_m: tuple[float, ...]
    pinion_radius_m: tuple[float | None, ...]
    wheel_radius_m: tuple[float, ...]
    arbor_weight_n: tuple[float, ...]
    mesh_efficiency_ratio: float
    pivot_friction_ratio: float
    full_torque_n_m: float
    end_torque_ratio: float
    main_turns_per_day: float
    duration_h: float
    available_turns_ratio: float
    drop_ratio: float
    impulse_efficiency_ratio: float
    unlocking_ratio: float
    lever_inertia_ratio: float
    frictional_rest_ratio: float
    recoil_ratio: float
    inertia_kg_m2: float
    stiffness_n_m_per_rad: float
    oscillator_weight_n: float
    balance_friction_ratio: float
    cone_tip_radius_m: float
    cone_flat_radius_m: float
    linear_q_ratio: float
    quadratic_air_loss_ratio: float
    least_amplitude_rad: float
    impulse_begins_rad: float
    impulse_ends_rad: float
    computed: Computed
    notes: tuple[str, ...]
    sources: tuple[Source, ...]

    def sources_of(self, field: str) -> tuple[Source, ...]:
        """How the value of one field came about."""
        own = tuple(one for one in self.sources if one.about == field)
        return own or tuple(one for one in self.sources if one.about is None)


@cache
def families() -> Mapping[str, Family]:
    """Every family by its id."""
    return read_families(DATA)


def traits_of(family: str) -> frozenset[str]:
    """What every clock of a family has. Raises NotFound, naming the known ones, for a family that is none."""
    known = families()
    if family not in known:
        names = ", ".join(known)
        raise NotFound("family", family, names, f"family: {family} is not known; allowed: {names}")
    return frozenset(known[family].traits)


def read_families(folder: Path) -> Mapping[str, Family]:
    """The families of a data folder; BadInput, naming file and key, when one is broken or does not hang together."""
    path = folder / "families.json"
    found = keyed(path, read_record(path, tuple[Family, ...]), lambda one: one.id)
    kinds, texts = read_traits(folder), read_texts(folder)
    for family in found.values():
        check_sources(path, family.id, family.sources, texts)
        _check_traits(path, family, kinds)
        _check_shape(path, family)
        strange = next((one.about for one in family.sources if one.about and one.about not in Family.__slots__), None)
        if strange is not None:
            raise broken(path, f"[{family.id}].sources", strange, "the name of a value of the family")
    return found


def _check_traits(path: Path, family: Family, kinds: Mapping[str, Trait]) -> None:
    for key, given in (("traits", family.traits), ("may_have", family.may_have)):
        strange = next((one for one in given if one not in kinds), None)
        if strange is not None:
            raise broken(path, f"[{family.id}].{key}", strange, "a trait of traits.json")
    both = set(family.traits) & set(family.may_have)
    if both:
        raise broken(path, f"[{family.id}].may_have", min(both), "a trait that the family does not carry already")
    carried = {
        kind: [one for one in family.traits if kinds[one].kind == kind]
        for kind in ("power", "oscillator", "escapement")
    }
    if len(carried["power"]) != 1 or not carried["escapement"]:
        raise broken(path, f"[{family.id}].traits", ", ".join(family.traits), "one kind of power, and an escapement")
    if carried["oscillator"] != [family.oscillator]:
        raise broken(
            path, f"[{family.id}].oscillator", family.oscillator, f"what the traits say, {carried['oscillator']}"
        )
    if (family.balance_axis_in_use is not None) != (family.oscillator == "balance"):
        raise broken(
            path,
            f"[{family.id}].balance_axis_in_use",
            family.balance_axis_in_use,
            "horizontal or vertical with a balance, else null",
        )


def _check_shape(path: Path, family: Family) -> None:
    arbors = len(family.wheel_teeth) + 1
    for key in ("pivot_radius_m", "pinion_radius_m", "wheel_radius_m", "arbor_weight_n"):
        if len(getattr(family, key)) != arbors:
            raise broken(
                path, f"[{family.id}].{key}", len(getattr(family, key)), f"one value for each of {arbors} arbors"
            )
    if len(family.pinion_leaves) != arbors - 1:
        raise broken(
            path, f"[{family.id}].pinion_leaves", len(family.pinion_leaves), f"as many as wheels, {arbors - 1}"
        )
    if family.pinion_radius_m[0] is not None or None in family.pinion_radius_m[1:]:
        raise broken(path, f"[{family.id}].pinion_radius_m", family.pinion_radius_m, "null for the great wheel only")
    if not 0 <= family.hour_arbor <= arbors:
        raise broken(path, f"[{family.id}].hour_arbor", family.hour_arbor, f"0 to {arbors}")
    if not 0.0 < family.end_torque_ratio <= 1.0:
        raise broken(path, f"[{family.id}].end_torque_ratio", family.end_torque_ratio, "above 0, up to 1")
    if not family.impulse_begins_rad < 0.0 < family.impulse_ends_rad < family.least_amplitude_rad:
        raise broken(
            path,
            f"[{family.id}].impulse_ends_rad",
            family.impulse_ends_rad,
            "impulse from before rest to after it, within the least swing",
        )
