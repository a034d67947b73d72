"""Holes, bushes and cone pivots: from what is worn to the size of what is made."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

import numpy as np

from underdial.bench.sums.stated import held, in_degrees, number_of, read_rows, refused, stated, taken
from underdial.errors import BadInput, UnderdialError
from underdial.gauging import bush, cone_pivot
from underdial.mechanics.balance import stiffness_n_m_per_rad
from underdial.mechanics.materials import STEEL_PA
from underdial.mechanics.pendulum import STANDARD_GRAVITY_M_PER_S2
from underdial.mechanics.swing_balance import Swing, loss_without_train_j, steady_amplitude_rad
from underdial.uncertain import Uncertain, propagate
from underdial.units import Quantity, shown

_BRASS_PA, _YIELD_PA, _PRESS_FRICTION_RATIO = 100e9, 200e6, 0.2
_FRICTION_RATIO = 0.15
# Quality of a balance of an old platform in its air and spring, without its pivots. [assumption]
_QUALITY = Uncertain(130.0, 30.0)
_DEPTH_WORRY_MODULES = 0.1
_NO_ERROR_TOLD = "No uncertainty was told of what was read, so none is given with the sizes."
# What may be typed: least, most, and the unit it is spoken of in.
_ALLOWED = {
    "plate": (0.1, 50.0, "mm"),
    "outside": (0.1, 100.0, "mm"),
    "hole": (0.1, 50.0, "mm"),
    "hole-long": (0.1, 50.0, "mm"),
    "module": (0.01, 50.0, "mm"),
    "centre-distance": (0.1, 1000.0, "mm"),
    "worn-toward": (-360.0, 720.0, "deg"),
    "mate-toward": (-360.0, 720.0, "deg"),
    "press-friction": (0.001, 2.0, ""),
    "yield": (1.0, 3000.0, "MPa"),
    "interference": (0.0, 1000.0, "um"),
    "pivot": (0.05, 50.0, "mm"),
    "mass": (0.001, 5000.0, "g"),
    "friction": (0.001, 2.0, ""),
    "quality": (1.0, 1e6, ""),
    "gravity": (0.1, 30.0, "m/s2"),
    "staff-length": (0.5, 500.0, "mm"),
    "pit": (0.0, 2.0, "mm"),
}
# What a refused fit does not answer: there is no such bush to push out or to bore.
_OF_A_FIT_THAT_HOLDS = (
    "push_out_n",
    "push_out_u_n",
    "bore_closes_m",
    "bore_closes_u_m",
    "bore_before_m",
    "bore_before_u_m",
)


def size_bush(
    *,
    pivot: Quantity,
    plate: Quantity | None = None,
    lean: Quantity | None = None,
    clearance: Quantity | None = None,
    hole: Quantity | None = None,
    hole_long: Quantity | None = None,
    worn_toward: Quantity | None = None,
    outside: Quantity | None = None,
    interference: Quantity | None = None,
    press_friction: tuple[float, float] | None = None,
    yield_stress: Quantity | None = None,
    modulus: Quantity | None = None,
    mate_toward: Quantity | None = None,
    centre_distance: Quantity | None = None,
    module: Quantity | None = None,
    stock: str | None = None,
) -> dict[str, Any]:
    """A worn hole to its true centre, the bore for the pivot and the fit of the bush.

    Refused above the yield stress.
    """
    _loose_by(lean, clearance, plate)
    _hold(plate=plate, outside=outside, hole=hole, hole_long=hole_long, module=module)
    _hold(centre_distance=centre_distance, worn_toward=worn_toward, mate_toward=mate_toward)
    _hold(press_friction=press_friction, yield_=yield_stress, interference=interference, pivot=pivot)
    pivot_m = _u(pivot)
    wide, free = bush.bore(pivot_m=pivot_m, clearance_m=taken(clearance), lean_rad=taken(lean), plate_m=taken(plate))
    held("clearance", (free.value, free.u), low=0.0, high=2.0, unit="mm")
    if outside is not None and outside.value <= wide.value:
        raise BadInput(
            "outside",
            f"{outside.value * 1e3:g}mm",
            f"above {wide.value * 1e3:.3f} mm",
            f"outside: {outside.value * 1e3:g} mm leaves no metal round a bore of {wide.value * 1e3:.3f} mm; allowed: "
            "more than the bore.",
        )
    centre = _centre(hole, hole_long, worn_toward)
    assumed: dict[str, Any] = {}
    fit = None
    if outside is not None and interference is not None:
        fit = _pressed(wide, outside, interference, plate, press_friction, modulus)
        assumed = {
            **_usual(
                modulus_pa=(modulus, _BRASS_PA),
                yield_pa=(yield_stress, _YIELD_PA),
                press_friction_ratio=(press_friction, _PRESS_FRICTION_RATIO),
            ),
            "poisson_ratio": 0.3,
        }
    read = (pivot, plate, lean, clearance, hole, hole_long, outside, interference)
    warnings = [] if any(one.u for one in read if one is not None) else [_NO_ERROR_TOLD]
    warnings += [*_wear_left(outside, centre), *_half_a_fit(outside, interference)]
    result = {
        **stated("bore", "m", wide),
        **stated("clearance", "m", free),
        **stated("centre_offset", "m", centre.offset_m if centre else None),
        "centre_toward_deg": math.degrees(centre.toward_rad) if centre and worn_toward is not None else None,
        **stated("cleans_up", "m", centre.cleans_up_m if centre else None),
        **_fit_keys(fit),
        **_depth(centre, worn_toward, mate_toward, centre_distance, module, warnings),
        **_stock(stock, wide, centre, plate),
        "assumed": assumed,
        "warnings": warnings,
        "sources": ["Timoshenko1956", "Headrick"],
    }
    jammed = _jammed(pivot_m, hole)
    if jammed:
        return refused(dict.fromkeys(result), jammed, assumed=assumed, sources=result["sources"])
    if fit is None or interference is None:
        return {**result, "verdict": "sized", "reason": None}
    return {**result, **_held_by_the_metal(fit, interference, yield_stress, warnings)}


def gauge_cone(
    *,
    tip_radius: Quantity,
    cup_radius: Quantity,
    mass: Quantity,
    friction: tuple[float, float] | None = None,
    flat_diameter: Quantity | None = None,
    end_shake: Quantity | None = None,
    cone_angle: Quantity | None = None,
    cup_angle: Quantity | None = None,
    gravity: Quantity | None = None,
    modulus: Quantity | None = None,
    after: Mapping[str, Quantity | None] | None = None,
    staff_length: Quantity | None = None,
    pit: Quantity | None = None,
    arcs: Mapping[str, Quantity | None] | None = None,
    inertia: Quantity | None = None,
    beats: tuple[float, float] | None = None,
    quality: tuple[float, float] | None = None,
) -> dict[str, Any]:
    """A cone pivot and its cup, as found and after: contact, friction, shake, amplitude gained, staff left."""
    assumed: dict[str, Any] = {
        **_usual(
            friction_ratio=(friction, _FRICTION_RATIO),
            gravity_m_per_s2=(gravity, STANDARD_GRAVITY_M_PER_S2),
            modulus_pa=(modulus, STEEL_PA),
            cup_angle_deg=(cup_angle, 90.0),
        ),
        "poisson_ratio": 0.3,
    }
    _hold(mass=mass, friction=friction, quality=quality, gravity=gravity, staff_length=staff_length, pit=pit)
    for name, arc in (arcs or {}).items():
        held(f"amplitude-{name.replace('_', '-')}", arc, low=1.0, high=360.0, unit="deg")
    cup = taken(cup_angle) or Uncertain(math.radians(90.0))
    point = taken(cone_angle) or Uncertain(min(math.radians(60.0), cup.value * 2.0 / 3.0))
    if cone_angle is None:
        assumed["cone_angle_deg"] = math.degrees(point.value)
    found = cone_pivot.Cone(_u(tip_radius), _u(cup_radius), taken(flat_diameter) or Uncertain(0.0), point, cup)
    settings = {"mass_kg": _u(mass), "friction_ratio": Uncertain(*(friction or (_FRICTION_RATIO, 0.0)))}
    g, stiff = gravity.value if gravity else STANDARD_GRAVITY_M_PER_S2, modulus.value if modulus else STEEL_PA
    dial_up, upright = cone_pivot.rubbing(found, **settings, g_m_per_s2=g, modulus_pa=stiff)
    shake = cone_pivot.side_shake_m(end_shake_m=_u(end_shake), cup_angle_rad=cup) if end_shake else None
    result: dict[str, Any] = {
        "dial_up": _contact(dial_up),
        "upright": _contact(upright),
        **stated("side_shake", "m", shake),
        "after": None,
    }
    after = {name: one for name, one in (after or {}).items() if one is not None}
    if after:
        new = _made_new(found, after)
        then = cone_pivot.rubbing(new, **settings, g_m_per_s2=g, modulus_pa=stiff)
        result["after"] = {
            "dial_up": _contact(then[0]),
            "upright": _contact(then[1]),
            **_gained(
                found,
                new,
                {**settings, "g_m_per_s2": g, "modulus_pa": stiff},
                arcs or {},
                inertia,
                beats,
                quality,
                assumed,
            ),
            **_left(new, flat_diameter, staff_length, pit),
        }
    warnings = (
        ["The peak pressure is above what hard steel stands for long; a tip so sharp wears itself round."]
        if _too_sharp(dial_up, upright)
        else []
    )
    return {**result, "assumed": assumed, "warnings": warnings, "sources": ["Johnson1985"]}


def _loose_by(lean: Quantity | None, clearance: Quantity | None, plate: Quantity | None) -> None:
    """BadInput unless it is said how loose the pivot is to run: by clearance, or by lean in a plate of a thickness."""
    if lean is None and clearance is None:
        raise BadInput(
            "clearance",
            "nothing",
            "--clearance or --lean, one of the two",
            "clearance: give either --clearance or --lean; opinions on both differ, so none is taken for granted",
        )
    if lean is not None and plate is None:
        raise BadInput(
            "plate",
            "nothing",
            "a thickness, such as 1.6mm",
            "plate: give its thickness beside --lean, such as --plate 1.6mm",
        )


def _hold(**typed: Quantity | tuple[float, float] | None) -> None:
    """BadInput for the first that lies outside what is allowed."""
    for name, given in typed.items():
        field = name.rstrip("_").replace("_", "-")
        low, high, unit = _ALLOWED[field]
        held(field, given, low=low, high=high, unit=unit)


def _u(given: Quantity) -> Uncertain:
    return Uncertain(given.value, given.u)


def _centre(hole: Quantity | None, hole_long: Quantity | None, worn_toward: Quantity | None) -> bush.TrueCentre | None:
    if hole is None or hole_long is None:
        if hole_long is not None:
            raise BadInput(
                "hole",
                "nothing",
                "the short axis of the worn hole, such as 1.45mm",
                "hole: give its short axis beside the long one, such as --hole 1.45mm",
            )
        return None
    return bush.true_centre(
        hole_m=_u(hole), hole_long_m=_u(hole_long), worn_toward_rad=worn_toward.value if worn_toward else 0.0
    )


def _pressed(
    bore_m: Uncertain,
    outside: Quantity,
    interference: Quantity,
    plate: Quantity | None,
    friction: tuple[float, float] | None,
    modulus: Quantity | None,
) -> bush.PressFit:
    """The fit of the bush in its plate."""
    if plate is None:
        raise BadInput(
            "plate", "nothing", "a thickness, such as 1.6mm", "plate: give its thickness, such as --plate 1.6mm"
        )
    return bush.press_fit(
        outside_m=_u(outside),
        bore_m=bore_m,
        interference_m=_u(interference),
        plate_m=_u(plate),
        friction_ratio=Uncertain(*(friction or (_PRESS_FRICTION_RATIO, 0.0))),
        modulus_pa=modulus.value if modulus else _BRASS_PA,
    )


def _usual(**pairs: tuple[Any, float]) -> dict[str, float]:
    """Of pairs (given, usual) the usual values that stand in for what was not given."""
    return {name: usual for name, (given, usual) in pairs.items() if given is None}


def _half_a_fit(outside: Quantity | None, interference: Quantity | None) -> list[str]:
    """What is not reckoned because only half of the fit was told."""
    if outside is None and interference is not None:
        return ["The interference is not used: the outside diameter of the bush is not given."]
    if outside is not None and interference is None:
        return ["How the bush holds in its hole is not reckoned: the interference is not given."]
    return []


def _wear_left(outside: Quantity | None, centre: bush.TrueCentre | None) -> list[str]:
    if outside is None or centre is None or centre.cleans_up_m.value <= outside.value:
        return []
    return [
        f"A bush of {outside.value * 1e3:.2f} mm set at the true centre leaves some wear; "
        f"{centre.cleans_up_m.value * 1e3:.2f} mm or more takes it all."
    ]


def _fit_keys(fit: bush.PressFit | None) -> dict[str, Any]:
    return {
        **stated("pressure", "pa", fit.pressure_pa if fit else None),
        **stated("push_out", "n", fit.push_out_n if fit else None),
        **stated("bore_closes", "m", fit.bore_closes_m if fit else None),
        **stated("bore_before", "m", fit.bore_before_m if fit else None),
        **stated("hoop", "pa", fit.hoop_pa if fit else None),
        "largest_interference_m": None,
    }


def _depth(
    centre: bush.TrueCentre | None,
    worn_toward: Quantity | None,
    mate_toward: Quantity | None,
    distance: Quantity | None,
    module: Quantity | None,
    warnings: list[str],
) -> dict[str, Any]:
    """What the wear did to the depth: the arbor sits at the worn end, twice the offset from the true centre."""
    empty = {**stated("depth_change", "m", None), "depth_change_modules": None}
    if centre is None or mate_toward is None:
        return empty
    if worn_toward is None:
        raise BadInput(
            "worn-toward",
            "nothing",
            "a direction, such as 140deg",
            "worn-toward: say which way the hole is worn, such as --worn-toward 140deg",
        )
    apart = distance.value if distance else 0.02
    change = propagate(
        lambda offset: bush.depth_change_m(
            offset_m=2.0 * offset,
            toward_rad=worn_toward.value,
            mate_toward_rad=mate_toward.value,
            centre_distance_m=apart,
        ),
        {"offset": centre.offset_m.value},
        {"offset": centre.offset_m.u},
    )
    modules = change.value / module.value if module else None
    if modules is not None and abs(modules) > _DEPTH_WORRY_MODULES:
        warnings.append(
            f"The wear has moved the depth by {modules:+.2f} module; "
            f"above about {_DEPTH_WORRY_MODULES} it is felt in the train."
        )
    return {**stated("depth_change", "m", change), "depth_change_modules": modules}


def _stock(text: str | None, wide: Uncertain, centre: bush.TrueCentre | None, plate: Quantity | None) -> dict[str, Any]:
    if text is None:
        return {"stock": None}
    if plate is None:
        raise BadInput(
            "plate",
            "nothing",
            "a thickness, such as 1.6mm",
            "plate: give its thickness to choose from the stock, such as --plate 1.6mm",
        )
    rows = read_rows(text, columns=("name", "outside_mm", "bore_mm", "length_mm"), field="stock")
    bushes = [
        bush.StockBush(
            row["name"],
            *(number_of(row, name, low=0.0, high=100.0) / 1e3 for name in ("outside_mm", "bore_mm", "length_mm")),
        )
        for row in rows
    ]
    chosen, others = bush.choose_bush(
        bushes, bore_m=wide.value, cleans_up_m=centre.cleans_up_m.value if centre else 0.0, plate_m=plate.value
    )
    return {
        "stock": {
            "chosen": chosen.name if chosen else None,
            "others": [{"name": one.name, "because": why} for one, why in others],
        }
    }


def _jammed(pivot_m: Uncertain, hole: Quantity | None) -> str:
    """Why pivot and hole cannot both be as read, or nothing.

    A worn hole is never smaller than the pivot that wore it.
    """
    if hole is None or pivot_m.value <= hole.value + 2.0 * math.hypot(pivot_m.u, hole.u):
        return ""
    return (
        f"A pivot of {shown(pivot_m.value, 'mm')} does not go into a hole of {shown(hole.value, 'mm')}: "
        "read both again. For a new, thicker pivot leave the hole out, and find the centre first."
    )


def _held_by_the_metal(
    fit: bush.PressFit, interference: Quantity, yield_stress: Quantity | None, warnings: list[str]
) -> dict[str, Any]:
    """The verdict on a fit, and the largest that the metal bears: a bore pressed above its yield is refused."""
    most = yield_stress.value if yield_stress else _YIELD_PA
    hoop = fit.hoop_pa
    largest = interference.value * most / hoop.value if hoop.value > 0.0 else None
    if hoop.value > most:
        assert largest is not None
        return {
            "largest_interference_m": largest,
            **dict.fromkeys(_OF_A_FIT_THAT_HOLDS),
            "verdict": "refused",
            "reason": f"{interference.value * 1e6:.3g} µm of interference would press the bush to "
            f"{hoop.value / 1e6:.0f} MPa at its bore, over the {most / 1e6:.0f} MPa at which the metal gives; "
            f"up to {largest * 1e6:.2g} µm will do.",
        }
    if hoop.value + 2.0 * hoop.u > most:
        warnings.append("Within its error this fit may reach the yield stress; take a little less interference.")
    return {"largest_interference_m": largest, "verdict": "sized", "reason": None}


def _contact(one: cone_pivot.Contact) -> dict[str, Any]:
    return {
        "contact": one.contact,
        **stated("effective_radius", "m", one.effective_radius_m),
        **stated("torque", "n_m", one.torque_n_m),
        **stated("pressure", "pa", one.pressure_pa),
    }


def _made_new(found: cone_pivot.Cone, after: Mapping[str, Quantity | None]) -> cone_pivot.Cone:
    """The pivot and its cup after the work: what is not named stays, but a flat, which the work takes away."""
    return cone_pivot.Cone(
        taken(after.get("tip_radius")) or found.tip_radius_m,
        taken(after.get("cup_radius")) or found.cup_radius_m,
        taken(after.get("flat_diameter")) or Uncertain(0.0),
        found.cone_angle_rad,
        found.cup_angle_rad,
    )


def _too_sharp(*contacts: cone_pivot.Contact) -> bool:
    # Peak Hertz pressure at which hardened steel (hardness about 7 GPa) begins to give: 0.6 of the hardness.
    return any(one.pressure_pa is not None and one.pressure_pa.value > 4.2e9 for one in contacts)


def _gained(
    found: cone_pivot.Cone,
    new: cone_pivot.Cone,
    settings: Mapping[str, Any],
    arcs: Mapping[str, Quantity | None],
    inertia: Quantity | None,
    beats: tuple[float, float] | None,
    quality: tuple[float, float] | None,
    assumed: dict[str, Any],
) -> dict[str, Any]:
    """Amplitude after, in the positions whose amplitude is known.

    By the energy that a beat brings in and keeps bringing.
    """
    result: dict[str, Any] = {}
    for k, name in enumerate(("dial_up", "upright")):
        arc = arcs.get(name)
        after_deg = None
        if arc is not None:
            if inertia is None or beats is None:
                raise BadInput(
                    "inertia" if inertia is None else "beats-per-hour",
                    "nothing",
                    "both, for the amplitude after",
                    "amplitude: give --inertia and --beats-per-hour beside the amplitude as found",
                )
            if quality is None:
                assumed.update({"quality_ratio": _QUALITY.value, "quality_u_ratio": _QUALITY.u})
            stiff = stiffness_n_m_per_rad(inertia_kg_m2=inertia.value, beats_per_hour=beats[0])
            after_deg = in_degrees(
                _amplitude_after(
                    found,
                    new,
                    settings,
                    k,
                    Uncertain(arc.value, arc.u),
                    Uncertain(*quality) if quality else _QUALITY,
                    stiff,
                )
            )
        result |= stated(f"amplitude_{name}", "deg", after_deg)
    return result


def _amplitude_after(
    found: cone_pivot.Cone,
    new: cone_pivot.Cone,
    settings: Mapping[str, Any],
    k: int,
    arc: Uncertain,
    quality: Uncertain,
    stiff: float,
) -> Uncertain:
    """The swing after, its error from everything that was measured.

    What both states share (weight, friction, a part that stays) counts once.
    """
    sides = {"old": found, "new": new}
    inputs = {f"{side}.{one.name}": getattr(cone, one.name) for side, cone in sides.items() for one in fields(cone)}
    kept = {one.name for one in fields(found) if getattr(found, one.name) is getattr(new, one.name)}
    inputs = {name: one for name, one in inputs.items() if not (name.startswith("new.") and name[4:] in kept)}
    shared = {
        "mass_kg": settings["mass_kg"],
        "friction_ratio": settings["friction_ratio"],
        "arc": arc,
        "quality": quality,
    }

    def swing(**v: float) -> float:
        torques = []
        for side, cone in sides.items():
            exact = cone_pivot.Cone(
                **{one.name: Uncertain(v[f"{'old' if one.name in kept else side}.{one.name}"]) for one in fields(cone)}
            )
            rubs = cone_pivot.rubbing(
                exact,
                mass_kg=Uncertain(v["mass_kg"]),
                friction_ratio=Uncertain(v["friction_ratio"]),
                g_m_per_s2=settings["g_m_per_s2"],
                modulus_pa=settings["modulus_pa"],
            )
            torques.append(rubs[k].torque_n_m.value)
        return amplitude_after_rad(
            half_arc_rad=v["arc"],
            torque_before_n_m=torques[0],
            torque_after_n_m=torques[1],
            stiffness_n_m_per_rad=stiff,
            quality_ratio=v["quality"],
        )

    every = {**inputs, **shared}
    return propagate(
        swing, {name: one.value for name, one in every.items()}, {name: one.u for name, one in every.items()}
    )


def amplitude_after_rad(
    *,
    half_arc_rad: float,
    torque_before_n_m: float,
    torque_after_n_m: float,
    stiffness_n_m_per_rad: float,
    quality_ratio: float,
) -> float:
    """Swing of a balance after its pivots' friction has changed, the energy brought in a beat staying as it is."""

    def swing(torque_n_m: float) -> Swing:
        nought = np.zeros(1)
        return Swing(
            l1=np.array([2.0 * torque_n_m]),
            l2=np.array([0.5 * math.pi * stiffness_n_m_per_rad / quality_ratio]),
            l3=nought,
            given_back_j=nought,
            gain_rad=np.ones(1),
            rest_rad=nought,
            impulse_ends_rad=nought,
            least_rad=nought,
            beat_rad=nought,
            heavy_torque_n_m=nought,
        )

    brought = loss_without_train_j(swing(torque_before_n_m), np.array([half_arc_rad]))
    return float(steady_amplitude_rad(swing(torque_after_n_m), brought)[0])


def _left(new: cone_pivot.Cone, flat: Quantity | None, staff: Quantity | None, pit: Quantity | None) -> dict[str, Any]:
    if staff is None:
        return {**stated("staff_left", "m", None), **stated("flank_back", "m", None), "staff_words": None}
    try:
        left, back = cone_pivot.re_pointed(
            staff_m=_u(staff),
            flat_diameter_m=taken(flat) or Uncertain(2.0 * new.tip_radius_m.value),
            pit_m=taken(pit) or Uncertain(0.0),
            new_tip_radius_m=new.tip_radius_m,
            cone_angle_rad=new.cone_angle_rad,
        )
    except UnderdialError as wrong:
        return {**stated("staff_left", "m", None), **stated("flank_back", "m", None), "staff_words": wrong.message}
    return {**stated("staff_left", "m", left), **stated("flank_back", "m", back), "staff_words": None}
