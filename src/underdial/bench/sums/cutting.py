"""Wheels, pinions and pallets to size: form, depth, action, dividing and cutter."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from underdial.bench.sums.stated import held, in_degrees, stated
from underdial.errors import BadInput, OutOfRange
from underdial.gauging import indexing
from underdial.gauging.pallets_as_set import pallets_as_set
from underdial.mechanics.escapement import Pallets, lay_out_pallets
from underdial.mechanics.escapement_action import impulse_efficiency_ratio, recoil_wheel_angle_rad
from underdial.mechanics.mesh import MeshAction, mesh_action
from underdial.movement.gear_sizes import centre_distance_m, outside_diameter_m, pitch_diameter_m
from underdial.movement.tooth_form import addendum_ratio, leaf_thickness_ratio
from underdial.uncertain import Uncertain, propagate
from underdial.units import Quantity

_FRICTION_RATIO, _SHORTENING_RATIO = 0.15, 0.95
_PIN_RADIUS_RATIO = 0.25
# Slope of a recoil face from its arc, of common make. [assumption]
_RECOIL_DEG = 20.0
# Angles of pallets that nobody gives. [assumption]
_USUAL_DEG = {"lift": 2.0, "drop": 1.5, "lock": 1.0}
# A small overswing for which the wheel's turn back is told as a ratio.
_OVERSWING_RAD = 0.01


def size_teeth(
    counts: str,
    *,
    module: Quantity,
    shortening: float | None = None,
    depth_error: Quantity | None = None,
    friction: float | None = None,
    worm: int | None = None,
    circles: Sequence[int] = (),
) -> dict[str, Any]:
    """A wheel and the pinion it drives, such as 64/8: sizes, depth, efficiency, ripple, cutter, dividing."""
    wheel, pinion = _counts(counts)
    assumed: dict[str, Any] = {}
    if shortening is None:
        assumed["shortening_ratio"] = _SHORTENING_RATIO
    if friction is None:
        assumed["friction_ratio"] = _FRICTION_RATIO
    short, mu = (
        _SHORTENING_RATIO if shortening is None else shortening,
        _FRICTION_RATIO if friction is None else friction,
    )
    if not 1e-5 <= module.value <= 0.05:
        raise BadInput("module", f"{module.value * 1e3:g}mm", "0.01mm to 50mm")
    if not 0.5 <= short <= 1.0:
        raise OutOfRange("shortening", short, 0.5, 1.0)
    height = addendum_ratio(wheel_count=wheel, pinion_count=pinion, shortening_ratio=short)
    pointed = addendum_ratio(wheel_count=wheel, pinion_count=pinion, shortening_ratio=1.0)
    leaf = leaf_thickness_ratio(pinion_count=pinion)
    error = _depth_error_modules(depth_error, module)
    action = mesh_action(wheel, pinion, depth_error_modules=error, friction_ratio=mu, shortening_ratio=short)
    return {
        "wheel": {
            "teeth_count": wheel,
            **_sized(wheel, module, height),
            "addendum_ratio": height,
            "addendum_pointed_ratio": pointed,
            "cutter": _cutter(indexing.wheel_cutter(wheel, pinion, module_m=module.value, shortening_ratio=short)),
            "index": _index(wheel, worm, circles),
        },
        "pinion": {
            "teeth_count": pinion,
            **_sized(pinion, module, leaf / 2.0),
            "addendum_ratio": leaf / 2.0,
            "addendum_pointed_ratio": None,
            **stated("leaf_thickness", "m", Uncertain(leaf * module.value, leaf * module.u)),
            "cutter": _cutter(indexing.pinion_cutter(pinion, module_m=module.value, wheel_addendum_ratio=height)),
            "index": _index(pinion, worm, circles),
        },
        **stated("centre_distance", "m", _centre_distance(wheel, pinion, module)),
        "module_m": module.value,
        "shortening_ratio": short,
        "depth_error_modules": error,
        "efficiency_ratio": action.efficiency_ratio,
        "velocity_ratio": [action.least_velocity_ratio, action.greatest_velocity_ratio],
        "assumed": assumed,
        "warnings": _uneven_speed(action),
        "sources": ["Willis1841", "Goodrich1905"],
    }


def size_pallets(
    *,
    escape_count: int,
    radius: Quantity,
    span: float,
    kind: str,
    lift: Quantity | None = None,
    drop: Quantity | None = None,
    lock: Quantity | None = None,
    pin_diameter: Quantity | None = None,
    recoil: Quantity | None = None,
    friction: float | None = None,
    centres: Quantity | None = None,
) -> dict[str, Any]:
    """A pair of pallets laid out from the wheel: centres, radii, faces, lift, lock and drop."""
    assumed: dict[str, Any] = {}
    angles = _given_or_usual({"lift": lift, "drop": drop, "lock": lock}, assumed)
    if not 5e-4 <= radius.value <= 1.0:
        raise BadInput("radius", f"{radius.value * 1e3:g}mm", "0.5mm to 1m")
    held("lock", lock, low=0.0, high=10.0, unit="deg")
    held("centres", centres, low=0.5, high=2000.0, unit="mm")
    held("recoil", recoil, low=0.0, high=60.0, unit="deg")
    held("pin-diameter", pin_diameter, low=0.01, high=10.0, unit="mm")
    values = {"radius": radius.value, **{name: one.value for name, one in angles.items()}}
    us = {"radius": radius.u, **{name: one.u for name, one in angles.items()}}
    laid = partial(_laid, escape_count, span, kind)
    found = laid(**values)

    def size(pick: Any) -> Uncertain:
        return propagate(lambda **v: float(pick(laid(**v))), values, us)

    mu = _FRICTION_RATIO if friction is None else friction
    if friction is None:
        assumed["friction_ratio"] = _FRICTION_RATIO
    pin = None if kind != "pin" else _pin_diameter_m(pin_diameter, found, assumed)
    if kind == "recoil" and recoil is None:
        assumed["recoil_deg"] = _RECOIL_DEG
    return {
        **stated("centre_distance", "m", size(lambda one: one.centre_distance_m)),
        **stated("pallet_radius", "m", size(lambda one: one.pallet_radius_m)),
        **stated("width", "m", size(lambda one: one.width_m)),
        "entry": _pallet(lambda one: one.entry, size, angles),
        "exit": _pallet(lambda one: one.exit, size, angles),
        "kind": kind,
        "escape_count": escape_count,
        "radius_m": radius.value,
        "span_count": span,
        **{f"{name}_deg": math.degrees(values[name]) for name in angles},
        **_recoil(kind, recoil, arm_over_radius_ratio=found.pallet_radius_m / radius.value),
        "pin_diameter_m": pin,
        **_tooth_for_pins(pin, found, values["lift"]),
        "impulse_efficiency_ratio": impulse_efficiency_ratio(
            lift_rad=values["lift"],
            wheel_angle_rad=math.pi / escape_count - values["drop"],
            arm_over_radius_ratio=found.pallet_radius_m / radius.value,
            friction_ratio=mu,
        ),
        "as_set": None if centres is None else _as_set(laid, values, us, centres, escape_count, span),
        "assumed": assumed,
        "warnings": _pallet_warnings(found, values),
        "sources": ["Goodrich1905"],
    }


def _counts(text: str) -> tuple[int, int]:
    match = re.fullmatch(r"\s*(\d{1,3})\s*/\s*(\d{1,3})\s*", text)
    if match is None:
        raise BadInput("teeth", text, "wheel/pinion, such as 64/8")
    wheel, pinion = int(match[1]), int(match[2])
    if not (6 <= wheel <= 500 and 5 <= pinion <= 100):
        raise BadInput("teeth", text, "6 to 500 teeth over 5 to 100 leaves")
    return wheel, pinion


def _depth_error_modules(given: Quantity | None, module: Quantity) -> float:
    error = 0.0 if given is None else given.value / module.value
    if not -0.6 <= error <= 1.2:
        raise BadInput(
            "depth-error",
            f"{error * module.value * 1e3:g}mm",
            f"{-0.6 * module.value * 1e3:g}mm to {1.2 * module.value * 1e3:g}mm",
            f"depth-error: {error:+.2f} modules; teeth act between -0.6 (too deep) and +1.2 (too far apart).",
        )
    return error


def _sized(count: int, module: Quantity, height: float) -> dict[str, Any]:
    pitch = propagate(lambda m: pitch_diameter_m(teeth_count=count, module_m=m), {"m": module.value}, {"m": module.u})
    outside = propagate(
        lambda m: outside_diameter_m(teeth_count=count, module_m=m, addendum_ratio=height),
        {"m": module.value},
        {"m": module.u},
    )
    return {**stated("pitch_diameter", "m", pitch), **stated("outside_diameter", "m", outside)}


def _cutter(one: indexing.CutterSizes) -> dict[str, float]:
    return {
        "blank_diameter_m": one.blank_diameter_m,
        "root_diameter_m": one.root_diameter_m,
        "depth_of_cut_m": one.depth_of_cut_m,
        "space_at_pitch_m": one.space_at_pitch_m,
        "space_at_root_m": one.space_at_root_m,
    }


def _index(count: int, worm: int | None, circles: Sequence[int]) -> dict[str, Any] | None:
    if worm is None:
        return None
    one = indexing.divide(count, worm_count=worm, circles=tuple(circles) or indexing.USUAL_CIRCLES)
    parts = [f"{one.whole_turns_count} turns"] if one.whole_turns_count else []
    parts += [f"{one.holes_count} holes of the circle of {one.circle_count}"] if one.holes_count else []
    words = " and ".join(parts)
    return {
        "turns_count": one.whole_turns_count,
        "holes_count": one.holes_count,
        "circle_count": one.circle_count,
        "exact": one.exact,
        "angle_deg": math.degrees(one.angle_rad),
        "words": words if one.exact else f"no circle at hand divides {count}; make a plate of {count} holes",
    }


def _centre_distance(wheel: int, pinion: int, module: Quantity) -> Uncertain:
    return propagate(
        lambda m: centre_distance_m(wheel_count=wheel, pinion_count=pinion, module_m=m),
        {"m": module.value},
        {"m": module.u},
    )


def _uneven_speed(action: MeshAction) -> list[str]:
    """What is to be said of a mesh whose pinion runs a tenth faster or slower than its mean."""
    least, greatest = action.least_velocity_ratio, action.greatest_velocity_ratio
    if not (greatest > 1.1 or least < 0.9):
        return []
    return [
        f"At this depth the pinion's speed swings from {least:.2f} to {greatest:.2f} of its mean; "
        "the torque swings as much the other way."
    ]


def _given_or_usual(angles: dict[str, Quantity | None], assumed: dict[str, Any]) -> dict[str, Uncertain]:
    """Lift, drop and lock [rad], each as given or as usual; what was taken as usual goes into `assumed`."""
    found = {}
    for name, given in angles.items():
        usual = _USUAL_DEG[name]
        if given is None:
            assumed[f"{name}_deg"] = usual
        found[name] = Uncertain(math.radians(usual)) if given is None else Uncertain(given.value, given.u)
    return found


def _laid(escape_count: int, span: float, kind: str, **v: float) -> Pallets:
    return lay_out_pallets(
        escape_count=escape_count,
        radius_m=v["radius"],
        span_teeth=span,
        kind=kind,  # type: ignore[arg-type]
        lift_rad=v["lift"],
        drop_rad=v["drop"],
        lock_rad=v["lock"],
    )


def _pin_diameter_m(given: Quantity | None, found: Pallets, assumed: dict[str, Any]) -> float:
    pin = given.value if given else 2.0 * _PIN_RADIUS_RATIO * found.width_m
    if given is None:
        assumed["pin_diameter_m"] = pin
    if pin >= found.width_m:
        raise BadInput(
            "pin-diameter",
            f"{pin * 1e3:g}mm",
            f"below {found.width_m * 1e3:.3g}mm, half the wheel's pitch less the drop",
        )
    return pin


def _tooth_for_pins(pin_m: float | None, found: Pallets, lift_rad: float) -> dict[str, float | None]:
    """Length and slope of a tooth's face that with pins of this size gives the lift.

    Pin and face share what half a pitch leaves after the drop. Slope None where the pin's roundness alone gives more.
    """
    if pin_m is None:
        return {"tooth_face_m": None, "tooth_slope_deg": None}
    face = found.width_m - pin_m
    rise = lift_rad * found.pallet_radius_m - pin_m / 2.0
    return {"tooth_face_m": face, "tooth_slope_deg": math.degrees(math.atan(rise / face)) if rise > 0.0 else None}


def _pallet(pick: Any, size: Any, angles: dict[str, Uncertain]) -> dict[str, Any]:
    def of(name: str) -> Any:
        return lambda one: getattr(pick(one), name)

    return {
        **stated("locking_radius", "m", size(of("locking_radius_m"))),
        **stated("releasing_radius", "m", size(of("releasing_radius_m"))),
        **stated("impulse_face", "m", size(of("impulse_face_m"))),
        **stated("drop", "deg", in_degrees(angles["drop"])),
        **stated("lock", "deg", in_degrees(angles["lock"])),
    }


def _recoil(kind: str, recoil: Quantity | None, *, arm_over_radius_ratio: float) -> dict[str, float | None]:
    """Slope of a recoil face, and the wheel's turn back for the pallets' overswing; nothing for the other kinds."""
    if kind != "recoil":
        return {"recoil_deg": None, "recoil_wheel_ratio": None}
    turned_back_rad = recoil_wheel_angle_rad(
        overswing_rad=_OVERSWING_RAD,
        arm_over_radius_ratio=arm_over_radius_ratio,
        face_slope_rad=recoil.value if recoil else math.radians(_RECOIL_DEG),
    )
    return {
        "recoil_deg": math.degrees(recoil.value) if recoil else _RECOIL_DEG,
        "recoil_wheel_ratio": turned_back_rad / _OVERSWING_RAD,
    }


def _as_set(
    laid: Callable[..., Pallets],
    values: dict[str, float],
    us: dict[str, float],
    centres: Quantity,
    escape_count: int,
    span: float,
) -> dict[str, Any]:
    """Drops and locks at the centres as measured."""

    def of(name: str) -> Callable[..., float]:
        def one(centres_m: float, **v: float) -> float:
            made = laid(**v)
            return float(
                getattr(
                    pallets_as_set(
                        escape_count=escape_count,
                        radius_m=v["radius"],
                        span_teeth=span,
                        outer_m=made.entry.locking_radius_m,
                        inner_m=made.entry.releasing_radius_m,
                        lift_rad=v["lift"],
                        lock_rad=v["lock"],
                        centres_m=centres_m,
                    ),
                    name,
                )
            )

        return one

    found: dict[str, Any] = {"centres_m": centres.value}
    for name in ("entry_drop", "exit_drop", "entry_lock", "exit_lock"):
        found |= stated(
            name,
            "deg",
            in_degrees(
                propagate(of(f"{name}_rad"), {**values, "centres_m": centres.value}, {**us, "centres_m": centres.u})
            ),
        )
    words = [
        f"{where} {'binds' if what == 'drop' else 'trips'}"
        for where in ("entry", "exit")
        for what in ("drop", "lock")
        if found[f"{where}_{what}_deg"] <= 0.0
    ]
    return {**found, "words": ", ".join(words) or None}


def _pallet_warnings(found: Pallets, values: dict[str, float]) -> list[str]:
    said = []
    if values["drop"] > math.radians(2.5):
        said.append(
            f"{math.degrees(values['drop']):.1f} deg of drop is more than a wheel in good order needs; "
            "it is power lost."
        )
    if values["lock"] < math.radians(0.25):
        said.append("So little lock trips when the wheel runs out by a little; a quarter to half a degree is usual.")
    return said
