"""Springs, hairsprings and pendulums: from what is there and what is wanted to the size of what is made."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

from underdial import units
from underdial.bench.stated import held, number_of, read_rows, stated, taken
from underdial.errors import BadInput
from underdial.gauging.balance_trials import inertia_from_screws_kg_m2, vibrated_beats_per_hour
from underdial.gauging.bob_place import bob_place
from underdial.gauging.spring_choice import Strip, judge_springs
from underdial.mechanics import (
    balance,
    barrel,
    circular_error,
    hairspring,
    heat_on_pendulum,
    mainspring,
    pendulum,
    pendulum_regulation,
)
from underdial.mechanics import suspension as strip_above
from underdial.mechanics.compound_pendulum import disc_gyration_m
from underdial.mechanics.materials import material
from underdial.uncertain import Uncertain, propagate
from underdial.units import Quantity

_STEEL_PA = 205e9
# Coils that a spring keeps when it lies free on the bench; used ones keep more. [assumption]
_FREE_COILS = Uncertain(4.0, 2.0)
# Relative change of a steel spring's modulus for a kelvin. Source: docs/explanation/model.md; memory 2.2 to 2.6e-4.
_STEEL_MODULUS_PER_K = -2.4e-4
_LARGE_RATE_S_PER_DAY = 1000.0


def size_spring(
    *, barrel_given: Quantity, arbor: Quantity, thickness: Quantity, height: Quantity, length: Quantity | None = None, modulus: Quantity | None = None,
    free_coils: tuple[float, float] | None = None, instead_of: str | None = None, stock: str | None = None, turns_needed: float | None = None, room_height: Quantity | None = None,
) -> dict[str, Any]:
    """A mainspring in its barrel: turns, length, fill, torque, energy; against the one it replaces; choice from a list."""
    assumed: dict[str, Any] = {}
    if modulus is None:
        assumed["modulus_pa"] = _STEEL_PA
    if free_coils is None:
        assumed["free_coils"] = _FREE_COILS.value
    held("free-coils", free_coils, low=0.0, high=60.0)
    held("turns-needed", None if turns_needed is None else (turns_needed, 0.0), low=0.01, high=200.0)
    coils = Uncertain(*free_coils) if free_coils else _FREE_COILS
    given = {"barrel_m": barrel_given, "arbor_m": arbor, "thickness_m": thickness, "height_m": height, **({"length_m": length} if length else {}), **({"modulus_pa": modulus} if modulus else {})}
    values = {"modulus_pa": _STEEL_PA, **{name: one.value for name, one in given.items()}, "free_coils": coils.value}
    us = {**{name: one.u for name, one in given.items()}, "free_coils": coils.u}
    old = _strip(instead_of) if instead_of is not None else None

    def told(name: str, unit: str, formula: Callable[..., float]) -> dict[str, float | None]:
        return stated(name, unit, propagate(formula, values, us))

    return {
        **told("turns", "", _turns), **told("length", "m", _length), **told("fill", "ratio", _fill), **told("torque_per_turn", "n_m", _per_turn), **told("torque_full", "n_m", _full_torque),
        **told("stored", "j", _stored), **(stated("torque_against", "ratio", None) if old is None else told("torque_against", "ratio", lambda **v: _strength(old, **v))),
        "stock": None if stock is None else _judged(stock, values, old, turns_needed, room_height), "assumed": assumed,
        "warnings": _spring_warnings(_fill(**values), _turns(**values), turns_needed), "sources": ["Goodrich1905", "Headrick", "Defossez1950"],
    }


def size_hairspring(
    *, beats: tuple[float, float], inertia: Quantity | None = None, height: Quantity, thickness: Quantity, modulus: Quantity | None = None, rate: Quantity | None = None,
    length: Quantity | None = None, vibrated: tuple[float, float] | None = None, vibrated_for: Quantity | None = None, screws: str | None = None, beats_with: tuple[float, float] | None = None,
    balance_metal: str | None = None,
) -> dict[str, Any]:
    """A hairspring for a balance: stiffness, length, what to let out; inertia by added screws; count and vibrate; temperature."""
    assumed: dict[str, Any] = {}
    if modulus is None:
        assumed["modulus_pa"] = _STEEL_PA
    held("rate", rate, low=-40000.0, high=40000.0, unit="s/d")
    held("vibrated", vibrated, low=1.0, high=1e7)
    held("vibrated-for", vibrated_for, low=1.0, high=1e6, unit="s")
    moment = Uncertain(inertia.value, inertia.u) if inertia is not None else _screwed(screws, beats, beats_with)
    values = {"beats": beats[0], "inertia": moment.value, "height": height.value, "thickness": thickness.value, "modulus": modulus.value if modulus else _STEEL_PA}
    us = {"beats": beats[1], "inertia": moment.u, "height": height.u, "thickness": thickness.u, "modulus": modulus.u if modulus else 0.0}

    def stiffness(**v: float) -> float:
        return balance.stiffness_n_m_per_rad(inertia_kg_m2=v["inertia"], beats_per_hour=v["beats"])

    def long(**v: float) -> float:
        return hairspring.length_m(modulus_pa=v["modulus"], height_m=v["height"], thickness_m=v["thickness"], stiffness_n_m_per_rad=stiffness(**v))

    right = propagate(long, values, us)
    slope = propagate(lambda **v: -43200.0 / long(**v), values, us)
    seen, seen_beats, warnings = _observed(rate, vibrated, vibrated_for, beats)
    let_out = None
    if seen is not None and length is not None:
        let_out = propagate(lambda length_m, rate_s_per_day: hairspring.let_out_m(length_m=length_m, rate_s_per_day=rate_s_per_day),
                            {"length_m": length.value, "rate_s_per_day": seen.value}, {"length_m": length.u, "rate_s_per_day": seen.u})
    elif seen is not None:
        let_out = propagate(lambda rate, **v: 2.0 * long(**v) * rate / 86400.0, {**values, "rate": seen.value}, {**us, "rate": seen.u})
        if abs(seen.value) > _LARGE_RATE_S_PER_DAY:
            warnings.append("So large a rate moves the length by more than its first order: let out two thirds of it, and count again.")
    return {
        **stated("stiffness", "n_m_per_rad", propagate(stiffness, values, us)), **stated("length", "m", right), **stated("let_out", "m", let_out),
        "rate_s_per_day_per_m": slope.value, "rate_u_s_per_day_per_m": slope.u, **stated("inertia", "kg_m2", moment), **stated("vibrated_beats", "per_hour", seen_beats),
        **stated("rate", "s_per_day", seen), "thickness_s_per_day_per_um": 86400.0 * 1.5 / thickness.value * 1e-6,
        "temperature_s_per_day_per_k": _temperature(balance_metal, assumed), "assumed": assumed, "warnings": warnings, "sources": ["Defossez1950"],
    }


def size_pendulum(
    *, length: Quantity | None = None, beats: tuple[float, float] | None = None, pitch: Quantity | None = None, rate: Quantity | None = None, half_arc: Quantity | None = None,
    rod: str | None = None, bob_mass: Quantity | None = None, bob_diameter: Quantity | None = None, rod_mass: Quantity | None = None, rod_length: Quantity | None = None,
    suspension: str | None = None, suspension_instead_of: str | None = None, gravity: float = pendulum.STANDARD_GRAVITY_M_PER_S2, gravity_assumed: bool = True,
) -> dict[str, Any]:
    """A pendulum: length, right length, beats, the nut, warmth and circular error."""
    if (length is None) == (beats is None):
        raise BadInput("length", "neither" if length is None else "both", "--length or --beats-per-hour, one of the two", "length: give either --length or --beats-per-hour")
    held("length", length, low=1.0, high=1e5, unit="mm")
    if length is not None:
        long = Uncertain(length.value, length.u)
    else:
        assert beats is not None
        long = propagate(lambda n: pendulum.length_m(beats_per_hour=n, g_m_per_s2=gravity), {"n": beats[0]}, {"n": beats[1]})
    often = propagate(lambda length: pendulum.beats_per_hour(length_m=length, g_m_per_s2=gravity), {"length": long.value}, {"length": long.u})
    values, us = {"length": long.value}, {"length": long.u}
    right = turn = nut = None
    if rate is not None:
        values["rate"], us["rate"] = rate.value, rate.u
        right = propagate(lambda length, rate: pendulum_regulation.right_length_m(length_m=length, rate_s_per_day=rate), values, us)
    if pitch is not None:
        _positive("pitch", pitch)
        nut = propagate(lambda length, pitch: pendulum_regulation.nut_s_per_day_per_turn(length_m=length, pitch_m=pitch), {"length": long.value, "pitch": pitch.value},
                        {"length": long.u, "pitch": pitch.u})
        if rate is not None:
            turn = propagate(lambda length, rate, pitch: (length - pendulum_regulation.right_length_m(length_m=length, rate_s_per_day=rate)) / pitch, {**values, "pitch": pitch.value}, {**us, "pitch": pitch.u})
    circular = None if half_arc is None else propagate(lambda arc: circular_error.circular_error_s_per_day(half_arc_rad=arc), {"arc": half_arc.value}, {"arc": half_arc.u})
    warm = None if rod is None else _rod(rod)
    hung = _hung(right or long, bob_mass, bob_diameter, rod_mass, rod_length, pitch)
    assumed: dict[str, Any] = {"gravity_m_per_s2": gravity} if gravity_assumed else {}
    hung |= _by_strip(long, suspension, suspension_instead_of, bob_mass, bob_diameter, rod_mass, gravity, assumed)
    return {
        **stated("length", "m", long), **stated("right_length", "m", right), **stated("beats", "per_hour", often), **stated("nut", "s_per_day_per_turn", nut), **stated("turns", "", turn), **hung,
        **stated("temperature", "s_per_day_per_k", warm), **stated("circular_error", "s_per_day", circular), "assumed": assumed,
        "warnings": ["The nut moves the bob, not the rod: with a heavy rod one turn does a few per cent less."] if nut is not None and bob_mass is None else [], "sources": ["Huygens1673", "Goodrich1905", *(["Timoshenko1961"] if suspension else [])],
    }


def _by_strip(
    long: Uncertain, new: str | None, old: str | None, bob: Quantity | None, across: Quantity | None, rod: Quantity | None, gravity: float, assumed: dict[str, Any]
) -> dict[str, float | None]:
    """Where a suspension spring lets the pendulum turn, and what it does to the rate in the place of another, nothing else moved (+ gains)."""
    if new is None and old is not None:
        raise BadInput("suspension", "nothing", "the new spring, such as 0.10mm x 5mm x 12mm", "suspension: say the new spring beside the one it replaces, such as 0.10mm x 5mm x 12mm")
    if new is None:
        return {**stated("turning_depth", "m", None), **stated("suspension_rate", "s_per_day", None)}
    if bob is None:
        raise BadInput("bob-mass", "nothing", "the weight that hangs by the spring, such as 450g", "bob-mass: say what hangs by the suspension spring, such as --bob-mass 450g")
    assumed["suspension_modulus_pa"] = _STEEL_PA
    strips = {"new": _three(new, "suspension"), **({"old": _three(old, "suspension-instead-of")} if old else {})}
    every = {"long": long, "bob": Uncertain(bob.value, bob.u), "across": taken(across) or Uncertain(0.0), "rod": taken(rod) or Uncertain(0.0),
             **{f"{which}_{name}": Uncertain(one.value, one.u) for which, three in strips.items() for name, one in zip(("thickness", "width", "length"), three, strict=True)}}
    values, us = {name: one.value for name, one in every.items()}, {name: one.u for name, one in every.items()}

    def depth(which: str, **v: float) -> float:
        return strip_above.turning_depth_m(weight_n=(v["bob"] + v["rod"]) * gravity, strip_width_m=v[f"{which}_width"], strip_thickness_m=v[f"{which}_thickness"], strip_length_m=v[f"{which}_length"], modulus_pa=_STEEL_PA)

    def period(which: str, **v: float) -> float:
        gyration = disc_gyration_m(diameter_m=v["across"]) if v["across"] else 0.0
        # The old spring set the length: what hangs below its lower end stays as it is.
        below = (v["long"] + math.sqrt(max(0.0, v["long"] ** 2 - 4.0 * gyration**2))) / 2.0 + depth("old", **v) - v["old_length"]
        return strip_above.suspension_period_s(mass_kg=v["bob"] + v["rod"], centre_depth_m=below, gyration_m=gyration, strip_length_m=v[f"{which}_length"], strip_width_m=v[f"{which}_width"],
                                              strip_thickness_m=v[f"{which}_thickness"], modulus_pa=_STEEL_PA, g_m_per_s2=gravity)

    rate = propagate(lambda **v: 86400.0 * (period("old", **v) / period("new", **v) - 1.0), values, us) if old else None
    return {**stated("turning_depth", "m", propagate(lambda **v: depth("new", **v), values, us)), **stated("suspension_rate", "s_per_day", rate)}


def _hung(
    wanted: Uncertain, bob: Quantity | None, across: Quantity | None, rod: Quantity | None, rod_length: Quantity | None, pitch: Quantity | None
) -> dict[str, float | None]:
    """Depth of the bob's middle for the right length, and what the nut does, the rod's weight and the bob's width counted."""
    if bob is None:
        return {**stated("bob_centre", "m", None), **stated("nut_with_rod", "s_per_day_per_turn", None)}
    given = {"bob": bob, "across": across, "rod": rod, "rod_length": rod_length, "pitch": pitch}
    values = {"wanted": wanted.value, **{name: one.value for name, one in given.items() if one is not None}}
    us = {"wanted": wanted.u, **{name: one.u for name, one in given.items() if one is not None}}

    def place(**v: float) -> tuple[float, float]:
        gyration = disc_gyration_m(diameter_m=v["across"]) if v.get("across") else 0.0
        return bob_place(length_m=v["wanted"], bob_kg=v["bob"], bob_gyration_m=gyration, rod_kg=v.get("rod", 0.0), rod_m=v.get("rod_length", v["wanted"] if "rod" in v else 0.0))

    nut = None if pitch is None else propagate(lambda **v: place(**v)[1] * pendulum_regulation.nut_s_per_day_per_turn(length_m=v["wanted"], pitch_m=v["pitch"]), values, us)
    return {**stated("bob_centre", "m", propagate(lambda **v: place(**v)[0], values, us)), **stated("nut_with_rod", "s_per_day_per_turn", nut)}


def _positive(field: str, given: Quantity) -> None:
    if given.value <= 0.0:
        raise BadInput(field, given.value, "above 0")


def _length(**v: float) -> float:
    """Length as given, or that of most turns."""
    return v["length_m"] if "length_m" in v else barrel.best_length_m(barrel_m=v["barrel_m"], arbor_m=v["arbor_m"], thickness_m=v["thickness_m"])


def _turns(**v: float) -> float:
    return barrel.barrel_turns(barrel_m=v["barrel_m"], arbor_m=v["arbor_m"], thickness_m=v["thickness_m"], length_m=_length(**v))


def _fill(**v: float) -> float:
    return barrel.fill_ratio(barrel_m=v["barrel_m"], arbor_m=v["arbor_m"], thickness_m=v["thickness_m"], length_m=_length(**v))


def _per_turn(**v: float) -> float:
    return mainspring.torque_per_turn_n_m(modulus_pa=v["modulus_pa"], height_m=v["height_m"], thickness_m=v["thickness_m"], length_m=_length(**v))


def _wound(**v: float) -> float:
    """Turns from the free form when wound."""
    return max(0.0, barrel.coils_wound(arbor_m=v["arbor_m"], thickness_m=v["thickness_m"], length_m=_length(**v)) - v["free_coils"])


def _full_torque(**v: float) -> float:
    return mainspring.torque_n_m(torque_per_turn_n_m=_per_turn(**v), turns_from_free=_wound(**v))


def _stored(**v: float) -> float:
    return mainspring.stored_j(torque_per_turn_n_m=_per_turn(**v), turns_wound=_wound(**v), turns_down=max(0.0, _wound(**v) - _turns(**v)))


def _strength(old: Strip, **v: float) -> float:
    return mainspring.strength_ratio(thickness_m=v["thickness_m"], instead_of_thickness_m=old.thickness_m, height_m=v["height_m"], instead_of_height_m=old.height_m,
                                     length_m=_length(**v), instead_of_length_m=old.length_m)


def _judged(stock: str, values: dict[str, float], old: Strip | None, turns_needed: float | None, room_height: Quantity | None) -> list[dict[str, Any]]:
    rows = read_rows(stock, columns=("name", "thickness_mm", "height_mm", "length_mm"), field="stock")
    strips = [Strip(row["name"], *(number_of(row, name, low=0.005, high=20000.0) / 1e3 for name in ("thickness_mm", "height_mm", "length_mm"))) for row in rows]
    judged = judge_springs(strips, barrel_m=values["barrel_m"], arbor_m=values["arbor_m"], room_height_m=room_height.value if room_height else None, turns_needed=turns_needed, instead_of=old,
                           modulus_pa=values["modulus_pa"])
    return [{"name": one.strip.name, "turns": one.turns, "fill_ratio": one.fill_ratio, "torque_per_turn_n_m": one.torque_per_turn_n_m, "torque_against_ratio": one.strength_ratio,
             "against": list(one.against)} for one in judged]


def _spring_warnings(fill: float, turns: float, needed: float | None) -> list[str]:
    said = []
    if not 0.3 <= fill <= 0.62:
        said.append(f"The spring fills {100 * fill:.0f} % of the room beside the arbor; a third to a half is usual.")
    if needed is not None and turns < needed:
        said.append(f"It gives {turns:.2f} turns; {needed:.2f} are needed.")
    return said


def _strip(text: str) -> Strip:
    return Strip("old", *(one.value for one in _three(text, "instead-of")))


def _three(text: str, field: str) -> list[Quantity]:
    """Three lengths of a strip such as `0.44mm x 19mm x 1400mm`."""
    parts = re.split(r"\s*[x×]\s*", text.strip())
    like = "thickness x height x length, such as 0.44mm x 19mm x 1400mm" if field == "instead-of" else "thickness x width x free length, such as 0.10mm x 5mm x 12mm"
    if len(parts) != 3:
        raise BadInput(field, text, like)
    return [units.parse(one, kind="length", field=field) for one in parts]


def _screwed(screws: str | None, beats: tuple[float, float], beats_with: tuple[float, float] | None) -> Uncertain:
    """Inertia from screws such as `2 x 35mg at 8.2mm` and the beats with them."""
    if screws is None or beats_with is None:
        raise BadInput("inertia", "nothing", "--inertia, or --screws with --beats-with", "inertia: give --inertia, or --screws \"2 x 35mg at 8.2mm\" with --beats-with")
    match = re.fullmatch(r"\s*(\d+)\s*[x×]\s*(.+?)\s+at\s+(.+?)\s*", screws)
    if match is None:
        raise BadInput("screws", screws, "such as 2 x 35mg at 8.2mm")
    mass, radius = units.parse(match[2], kind="mass", field="screws"), units.parse(match[3], kind="length", field="screws")
    return propagate(lambda mass, radius, without, with_: inertia_from_screws_kg_m2(screw_kg=mass, screws_count=float(match[1]), radius_m=radius, beats_without_per_hour=without, beats_with_per_hour=with_),
                     {"mass": mass.value, "radius": radius.value, "without": beats[0], "with_": beats_with[0]}, {"mass": mass.u, "radius": radius.u, "without": beats[1], "with_": beats_with[1]})


def _observed(
    rate: Quantity | None, vibrated: tuple[float, float] | None, vibrated_for: Quantity | None, beats: tuple[float, float]
) -> tuple[Uncertain | None, Uncertain | None, list[str]]:
    """Rate as given, or from beats counted over a time with the spring held at the trial point."""
    if vibrated is None:
        return taken(rate), None, []
    if vibrated_for is None:
        raise BadInput("vibrated-for", "nothing", "the time of the count, such as 30s", "vibrated-for: say how long the beats were counted, such as --vibrated-for 30s")
    often = propagate(lambda n, t: vibrated_beats_per_hour(beats_count=n, time_s=t), {"n": vibrated[0], "t": vibrated_for.value}, {"n": vibrated[1], "t": vibrated_for.u})
    seen = propagate(lambda often, right: 86400.0 * (often / right - 1.0), {"often": often.value, "right": beats[0]}, {"often": often.u, "right": beats[1]})
    said = [f"One beat miscounted is {86400.0 / vibrated[0]:.0f} s/d here; count for longer to come nearer."] if vibrated[0] < 600 else []
    return seen, often, said


def _temperature(metal: str | None, assumed: dict[str, Any]) -> float | None:
    if metal is None:
        return None
    assumed["modulus_change_per_k"] = _STEEL_MODULUS_PER_K
    return balance.temperature_rate_s_per_day_per_k(modulus_change_per_k=_STEEL_MODULUS_PER_K, spring_expansion_per_k=material("steel").expansion_per_k,
                                                    balance_expansion_per_k=material(metal).expansion_per_k)


def _rod(name: str) -> Uncertain:
    """Rate for a kelvin, its error from the spread of the alloy (rectangular over the usual range)."""
    one = material(name)
    spread = (one.expansion_high_per_k - one.expansion_low_per_k) / math.sqrt(12.0)
    return propagate(lambda a: heat_on_pendulum.temperature_rate_s_per_day_per_k(expansion_per_k=a), {"a": one.expansion_per_k}, {"a": spread})
