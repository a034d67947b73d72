"""A movement as composed: power, train, escapement, oscillator, strike and the loads on the side.

`compose(data, description=None)` builds a `Movement` from a plain mapping with unit-named SI keys (a family's preset)
and, on top of it, what is known of this one clock. `presets_by_likeness` says which preset stands nearest to a hand
description that names no family. Nothing here is computed about friction or motion.

A description may hold any key of a preset, and besides: `train` ("96/8 64/8 60/8"), `escape` (count), `power`,
`oscillator`, `escapement` (names from the closed lists below), `traits` (names), `strike`, `mesh_angle_rad`,
`start_amplitude_rad`, `hand_torque_n_m`, `outside_hand_torque_n_m`, `strike_lift_torque_n_m` (all at the arbor that
turns once an hour), `side_branch` ("2:60/30") and `loads` (list of `{"kind", "arbor", "torque_n_m", "ripple_ratio"}`
at a named arbor of the line, counted from the great wheel as 1).

Limits: a preset with one figure for all arbors spreads it over them; a train with another number of arbors than the
preset takes sizes and weights from the preset by position along the train, and `assumed` says so.
Sources: laws and typical values are those of docs/explanation/model.md; the rest are counts and definitions.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence, Set
from typing import Any

from underdial.errors import BadInput, OutsideModel
from underdial.movement.as_made import (
    ArborAsMade,
    Escapement,
    Load,
    MeshAsMade,
    Movement,
    Oscillator,
    Power,
    TrainAsMade,
)
from underdial.movement.going_train import NAMES, parse_counts

POWERS = ("open_spring", "going_barrel", "fusee", "weight")
OSCILLATORS = ("pendulum", "balance", "torsion")
ESCAPEMENTS = (
    "recoil",
    "deadbeat",
    "brocot",
    "strip_pallets",
    "pin_pallet",
    "lever",
    "cylinder",
    "verge",
    "pinwheel",
    "coup_perdu",
)
_OUTSIDE = {
    "mains": "a movement fed from the mains has no mechanical power to reckon with",
    "battery": "a movement fed from a battery has no mechanical power to reckon with",
    "electric": "an electric movement has no mechanical power to reckon with",
    "floating_balance": "a floating balance hangs on its spring; its friction law is not in the model yet",
    "gravity": "a gravity escapement gives the same impulse whatever the train does; its law is not in the model yet",
}
GRAVITY_M_PER_S2 = 9.80665
# Frictional rest and recoil that go with an escapement named in place of the preset's. [assumption]
_REST_AND_RECOIL = {
    "recoil": (0.0, 0.3),
    "strip_pallets": (0.0, 0.35),
    "verge": (0.0, 0.4),
    "deadbeat": (0.035, 0.0),
    "brocot": (0.035, 0.0),
    "coup_perdu": (0.035, 0.0),
    "pinwheel": (0.05, 0.0),
    "cylinder": (0.02, 0.0),
    "lever": (0.0, 0.0),
    "pin_pallet": (0.0, 0.0),
}
# A hand starts a pendulum with about twice the least arc, a balance with half a turn. [assumption]
_PUSH_OVER_LEAST = {"pendulum": 2.35, "torsion": 2.0, "balance": 3.6}


def compose(data: Mapping[str, object], description: Mapping[str, object] | None = None) -> Movement:
    """Compose a movement from a preset's mapping and what is known of this one clock.

    Raises OutsideModel for an oscillator, escapement or power that the sums do not know, and BadInput, naming the
    field, for a value that is missing, no number, or out of its range.
    """
    given = dict(description or {})
    traits, kinds = _kinds(data, given)
    merged: dict[str, Any] = {**data, **given}
    assumed: list[str] = []
    if kinds["escapement"] not in _words(data.get("traits", ())):
        for key, value in zip(
            ("frictional_rest_ratio", "recoil_ratio"), _REST_AND_RECOIL[kinds["escapement"]], strict=True
        ):
            if key not in given:
                merged[key] = value
                assumed.append(key)
    wheels, pinions, escape = _counts(merged, given)
    train, beats = _train(merged, given, wheels, pinions, escape, assumed)
    power = Power(
        kinds["power"], _number(merged, "full_torque_n_m", 0.0), _number(merged, "end_torque_ratio", 0.0, 1.5),
        _number(merged, "available_turns_ratio", 0.0, 10.0), 86400.0 / train.arbors[0].period_s,
        3600.0 * _number(merged, "duration_h", 0.01),
    )  # fmt: skip
    escapement = Escapement(
        kinds["escapement"], escape, _number(merged, "drop_ratio", 0.0, 0.9),
        _number(merged, "impulse_efficiency_ratio", 0.0, 1.0), _number(merged, "unlocking_ratio", 0.0, 1.0),
        _number(merged, "lever_inertia_ratio", 0.0, 1.0), _number(merged, "frictional_rest_ratio", 0.0, 10.0),
        _number(merged, "recoil_ratio", 0.0, 5.0), _number(merged, "impulse_begins_rad", -math.pi, math.pi),
        _number(merged, "impulse_ends_rad", -math.pi, math.pi),
    )  # fmt: skip
    if escapement.impulse_ends_rad <= escapement.impulse_begins_rad:
        raise BadInput("impulse_ends_rad", escapement.impulse_ends_rad, "more than impulse_begins_rad")
    oscillator = _oscillator(merged, given, kinds["oscillator"], beats)
    return Movement(
        str(merged.get("title", "")), power, train, escapement, oscillator,
        _strike(merged, traits), _loads(merged, train), _positions(oscillator), frozenset(traits), tuple(assumed),
    )  # fmt: skip


def presets_by_likeness(description: Mapping[str, object], presets: Mapping[str, Mapping[str, object]]) -> list[str]:
    """Names of the presets, nearest first, to a hand description: oscillator, power, escapement, then counts and beats.

    Raises OutsideModel when the description itself lies outside the model.
    """
    given = dict(description)
    _refuse_outside(
        set(_words(given.get("traits", ()))) | {str(given.get(k, "")) for k in ("oscillator", "escapement", "power")}
    )
    arbors = len(parse_counts(str(given["train"]))[0]) + 1 if given.get("train") else None
    beats = _optional(given, "beats_per_hour")

    def distance(name: str) -> tuple[float, str]:
        preset = presets[name]
        traits = set(_words(preset.get("traits", ())))
        far = 100.0 * (str(given.get("oscillator", preset["oscillator"])) != preset["oscillator"])
        far += 30.0 * (bool(given.get("power")) and str(given["power"]) not in traits)
        kind = str(given.get("escapement", ""))
        far += 10.0 * (bool(kind) and kind not in traits)
        if arbors is not None:
            far += 3.0 * abs(arbors - len(_list(preset["pivot_radius_m"])))
        if beats is not None:
            far += 10.0 * abs(math.log(beats / _number(preset, "beats_per_hour", 1.0)))
        far -= len(traits & set(_words(given.get("traits", ()))))
        return far, name

    return sorted(presets, key=distance)


def _kinds(data: Mapping[str, object], given: Mapping[str, object]) -> tuple[set[str], dict[str, str]]:
    """Traits after the description, and the power, escapement and oscillator they name.

    Power, oscillator or escapement named for this clock replace those of the family; other traits are added.
    """
    traits = set(_words(data.get("traits", ())))
    added = set(_words(given.get("traits", ())))
    named = {key: str(given[key]) for key in ("power", "escapement", "oscillator") if given.get(key)}
    _refuse_outside(added | set(named.values()) | {str(data.get("oscillator", ""))} | traits)
    kinds: dict[str, str] = {}
    for key, known in (("power", POWERS), ("escapement", ESCAPEMENTS), ("oscillator", OSCILLATORS)):
        fresh = {named[key]} if key in named else added & set(known)
        if fresh:
            traits -= set(known)
            traits |= fresh
        present = [one for one in known if one in traits]
        if fresh and not present:
            raise OutsideModel(
                key,
                named.get(key, ""),
                ", ".join(known),
                f"{key}: the model does not know {named.get(key)}; it knows {', '.join(known)}.",
            )
        if not present:
            said = data.get(key)
            raise OutsideModel(
                key,
                said if said else "(unsaid)",
                ", ".join(known),
                f"{key}: {said or 'nothing said'} is not one the model knows; it knows {', '.join(known)}.",
            )
        # Strip pallets and stones describe the make of an anchor; the first of the closed list gives the law.
        kinds[key] = present[0]
    return traits | added, kinds


def _refuse_outside(words: set[str]) -> None:
    for word, why in _OUTSIDE.items():
        if word in words:
            known = f"{', '.join(OSCILLATORS)}; {', '.join(ESCAPEMENTS)}"
            raise OutsideModel(
                "movement", word, known, f"movement: {word.replace('_', ' ')} is outside the model: {why}."
            )


def _counts(merged: Mapping[str, Any], given: Mapping[str, Any]) -> tuple[list[int], list[int], int]:
    if given.get("train"):
        wheels, pinions = parse_counts(str(given["train"]))
        if None in wheels or None in pinions:
            raise BadInput(
                "train",
                str(given["train"]),
                "counts that are all known",
                f"train: {given['train']} has a count that is lost; find it first with `underdial missing`.",
            )
        pair = [int(w or 0) for w in wheels], [int(p or 0) for p in pinions]
    else:
        pair = _whole_counts(merged, "wheel_teeth"), _whole_counts(merged, "pinion_leaves")
    if not pair[0] or len(pair[0]) != len(pair[1]):
        raise BadInput(
            "wheel_teeth", pair[0], f"as many wheels as pinions, and at least one ({len(pair[1])} pinions given)"
        )
    escape = given.get("escape", merged.get("escape_teeth"))
    if not str(escape).strip().isdigit() or int(str(escape)) < 2:
        raise BadInput("escape", escape, "a count of teeth, 2 or more")
    return pair[0], pair[1], int(str(escape))


def _whole_counts(merged: Mapping[str, Any], key: str) -> list[int]:
    found = _list(merged.get(key))
    for one in found:
        if isinstance(one, bool) or not str(one).isdigit() or int(str(one)) < 1:
            raise BadInput(key, one, "a list of counts, each 1 or more")
    return [int(str(one)) for one in found]


def _train(
    merged: Mapping[str, Any],
    given: Mapping[str, Any],
    wheels: list[int],
    pinions: list[int],
    escape: int,
    assumed: list[str],
) -> tuple[TrainAsMade, float]:
    count = len(wheels) + 1
    hour_arbor = int(_number(merged, "hour_arbor", 0.0, float(count)))
    ratios = [w / p for w, p in zip(wheels, pinions, strict=True)]
    beats = _beats_counted(merged, given, ratios, escape, hour_arbor)
    if beats is None:
        beats = _number(merged, "beats_per_hour", 1.0)
    else:
        assumed.append("beats_per_hour")
    periods = [2.0 * escape / beats * 3600.0]
    for ratio in reversed(ratios):
        periods.insert(0, periods[0] * ratio)
    columns = {}
    for key in ("pivot_radius_m", "wheel_radius_m", "arbor_weight_n", "pivot_friction_ratio", "mesh_angle_rad"):
        value = merged.get(key, math.pi / 2 if key == "mesh_angle_rad" else None)
        columns[key] = _along(key, value, count, assumed)
    pinion_radii = _along("pinion_radius_m", _list(merged.get("pinion_radius_m"))[1:], count - 1, assumed)
    names = (
        (*NAMES[: count - 1], "escape_wheel")
        if count - 1 <= len(NAMES)
        else tuple(f"arbor_{j + 1}" for j in range(count))
    )
    arbors = tuple(
        ArborAsMade(
            names[j], periods[j], columns["pivot_radius_m"][j], pinion_radii[j - 1] if j else None,
            columns["wheel_radius_m"][j], columns["arbor_weight_n"][j], columns["pivot_friction_ratio"][j],
            columns["mesh_angle_rad"][j],
        )
        for j in range(count)
    )  # fmt: skip
    efficiency = _along("mesh_efficiency_ratio", merged.get("mesh_efficiency_ratio"), count - 1, assumed)
    meshes = tuple(
        MeshAsMade(w, p, e, period / w) for w, p, e, period in zip(wheels, pinions, efficiency, periods, strict=False)
    )
    return TrainAsMade(arbors, meshes, hour_arbor), beats


def _beats_counted(
    merged: Mapping[str, Any], given: Mapping[str, Any], ratios: Sequence[float], escape: int, hour_arbor: int
) -> float | None:
    """Beats in an hour from counts given for this clock; None where they were told, or the minute hand's arbor is on
    no arbor known.
    """
    if "beats_per_hour" in given or not (given.get("train") or given.get("escape")):
        return None
    branch = _side_branch(merged, len(ratios) + 1)
    if hour_arbor > 0:
        rev_per_hour, first = 1.0, hour_arbor
    elif branch is not None:
        first, wheel, pinion = branch
        rev_per_hour = pinion / wheel
    else:
        return None
    return 2.0 * escape * math.prod(ratios[first - 1 :]) * rev_per_hour


def _side_branch(merged: Mapping[str, Any], count: int) -> tuple[int, int, int] | None:
    """Which of `count` arbors drives the minute hand's from the side, with what wheel and pinion."""
    branch = merged.get("side_branch")
    if not branch:
        return None
    match = re.fullmatch(r"(\d+):(\d+)/(\d+)", str(branch))
    arbor, wheel, pinion = map(int, match.groups()) if match else (0, 0, 0)
    if not 1 <= arbor <= count or not wheel or not pinion:
        raise BadInput("side_branch", branch, "arbor:wheel/pinion, such as 2:60/30")
    return arbor, wheel, pinion


def _along(key: str, value: object, count: int, assumed: list[str]) -> list[float]:
    """One figure for each place; a list of another length is taken over by position along the train."""
    low, high = {
        "pivot_friction_ratio": (0.0, 2.0),
        "mesh_efficiency_ratio": (0.01, 1.0),
        "arbor_weight_n": (0.0, math.inf),
    }.get(key, (0.0, math.inf))
    if isinstance(value, Sequence) and not isinstance(value, str):
        figures = [_checked(key, one, low, high) for one in value]
    else:
        figures = [_checked(key, value, low, high)] * count
    if not figures:
        raise BadInput(key, "(nothing)", f"a figure for each of {count} places")
    if key.endswith("_radius_m") and min(figures) <= 0.0:
        raise BadInput(key, min(figures), "more than 0")
    if len(figures) == count:
        return figures
    assumed.append(key)
    places = [j * (len(figures) - 1) / max(count - 1, 1) for j in range(count)]
    out = []
    for place in places:
        low_j = min(int(place), len(figures) - 1)
        high_j = min(low_j + 1, len(figures) - 1)
        share = place - low_j
        out.append(figures[low_j] ** (1 - share) * figures[high_j] ** share if min(figures) > 0 else figures[low_j])
    return out


def _oscillator(merged: Mapping[str, Any], given: Mapping[str, Any], kind: str, beats: float) -> Oscillator:
    """The oscillator, its stiffness kept in step with its inertia and the beats of the train."""
    inertia = _number(merged, "inertia_kg_m2", 1e-15)
    stiffness = _number(merged, "stiffness_n_m_per_rad", 1e-15)
    weight = _number(merged, "oscillator_weight_n", 0.0)
    omega = math.pi * beats / 3600.0
    if abs(stiffness / (inertia * omega**2) - 1.0) > 1e-4 and "stiffness_n_m_per_rad" not in given:
        if kind == "pendulum" and "inertia_kg_m2" not in given:
            # The weight stays, the length follows the beats: k = W L and L = g / omega^2.
            stiffness = weight * GRAVITY_M_PER_S2 / omega**2
            inertia = stiffness / omega**2
        else:
            stiffness = inertia * omega**2
    least = _number(merged, "least_amplitude_rad", 1e-6, 2 * math.pi)
    axis = merged.get("balance_axis_in_use") if kind == "balance" else None
    if kind == "balance" and axis not in ("horizontal", "vertical"):
        raise BadInput("balance_axis_in_use", axis, "horizontal (clock upright) or vertical (balance level)")
    return Oscillator(
        kind, beats, inertia, stiffness, weight, _number(merged, "balance_friction_ratio", 0.0, 2.0),
        _number(merged, "cone_tip_radius_m", 0.0), _number(merged, "cone_flat_radius_m", 0.0),
        _number(merged, "linear_q_ratio", 1.0), _number(merged, "quadratic_air_loss_ratio", 0.0), least,
        _optional(merged, "start_amplitude_rad") or _PUSH_OVER_LEAST[kind] * least, str(axis) if axis else None,
    )  # fmt: skip


def _positions(oscillator: Oscillator) -> tuple[str, ...]:
    return ("12_up", "dial_up") if oscillator.kind == "balance" else ("12_up",)


def _strike(merged: Mapping[str, Any], traits: set[str]) -> str:
    said = merged.get("strike")
    if said in ("rack", "count_wheel", "none"):
        return str(said)
    if said is not None:
        raise BadInput("strike", said, "rack, count_wheel, none")
    return next((one for one in ("rack", "count_wheel") if one in traits), "unknown")


def _loads(merged: Mapping[str, Any], train: TrainAsMade) -> tuple[Load, ...]:
    """Loads at arbors of the line. A torque said at the hour arbor is carried to the line by the ratio of the turns."""
    loads = []
    place = train.hour_arbor
    if place == 0:
        branch = _side_branch(merged, len(train.arbors))
        place = branch[0] if branch else 1
    turns = train.arbors[place - 1].period_s / 3600.0
    for kind in ("hand", "outside_hand", "strike_lift"):
        torque = _optional(merged, f"{kind}_torque_n_m")
        if torque:
            # The same power at an arbor that turns `turns` times slower is that much more torque.
            loads.append(
                Load(kind, place, torque * turns, {"hand": 0.0, "outside_hand": 0.5, "strike_lift": 1.0}[kind])
            )
    for one in _list(merged.get("loads", ())):
        if not isinstance(one, Mapping):
            raise BadInput("loads", one, "a list of {kind, arbor, torque_n_m}")
        arbor = int(_number(one, "arbor", 1.0, float(len(train.arbors))))
        loads.append(
            Load(
                str(one.get("kind", "load")),
                arbor,
                _number(one, "torque_n_m", 0.0),
                _optional(one, "ripple_ratio") or 0.0,
            )
        )
    return tuple(loads)


def _number(data: Mapping[str, Any], key: str, low: float, high: float = math.inf) -> float:
    if key not in data:
        raise BadInput(
            key,
            "(nothing)",
            "a number",
            f"{key}: the movement does not say it, and no preset was given to take it from.",
        )
    return _checked(key, data[key], low, high)


def _checked(key: str, value: object, low: float, high: float) -> float:
    allowed = f"a number of {low:g} to {high:g}" if math.isfinite(high) else f"a number of {low:g} or more"
    if (
        isinstance(value, bool)
        or not isinstance(value, (int, float))
        or not math.isfinite(value)
        or not low <= value <= high
    ):
        raise BadInput(key, value, allowed)
    return float(value)


def _optional(data: Mapping[str, Any], key: str) -> float | None:
    return None if data.get(key) is None else _checked(key, data[key], 0.0, math.inf)


def _list(value: object) -> list[Any]:
    return list(value) if isinstance(value, (Sequence, Set)) and not isinstance(value, str) else []


def _words(value: object) -> list[str]:
    return [str(one) for one in _list(value)] if not isinstance(value, str) else value.replace(",", " ").split()
