"""Springs and hairsprings: from what is there and what is wanted to the size of what is made."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from underdial import units
from underdial.bench.sums.stated import held, number_of, read_rows, stated, taken, three_lengths
from underdial.errors import BadInput
from underdial.gauging.balance_trials import inertia_from_screws_kg_m2, vibrated_beats_per_hour
from underdial.gauging.spring_choice import FILL_HIGH_RATIO, FILL_LOW_RATIO, Strip, judge_springs
from underdial.mechanics import balance, barrel, hairspring, mainspring
from underdial.mechanics.materials import STEEL_PA, material
from underdial.uncertain import Uncertain, propagate
from underdial.units import Quantity

# Coils that a spring keeps when it lies free on the bench; used ones keep more. [assumption]
_FREE_COILS = Uncertain(4.0, 2.0)
# Relative change of a steel spring's modulus for a kelvin. Source: docs/explanation/model.md; memory 2.2 to 2.6e-4.
_STEEL_MODULUS_PER_K = -2.4e-4
_LARGE_RATE_S_PER_DAY = 1000.0


def size_spring(
    *,
    barrel_given: Quantity,
    arbor: Quantity,
    thickness: Quantity,
    height: Quantity,
    length: Quantity | None = None,
    modulus: Quantity | None = None,
    free_coils: tuple[float, float] | None = None,
    instead_of: str | None = None,
    stock: str | None = None,
    turns_needed: float | None = None,
    room_height: Quantity | None = None,
) -> dict[str, Any]:
    """A mainspring in its barrel: turns, length, fill, torque, energy; against the one it replaces; choice from a
    list.
    """
    assumed: dict[str, Any] = {}
    if modulus is None:
        assumed["modulus_pa"] = STEEL_PA
    if free_coils is None:
        assumed["free_coils"] = _FREE_COILS.value
    held("free-coils", free_coils, low=0.0, high=60.0)
    held("turns-needed", None if turns_needed is None else (turns_needed, 0.0), low=0.01, high=200.0)
    coils = Uncertain(*free_coils) if free_coils else _FREE_COILS
    given = {
        "barrel_m": barrel_given,
        "arbor_m": arbor,
        "thickness_m": thickness,
        "height_m": height,
        **({"length_m": length} if length else {}),
        **({"modulus_pa": modulus} if modulus else {}),
    }
    values = {"modulus_pa": STEEL_PA, **{name: one.value for name, one in given.items()}, "free_coils": coils.value}
    us = {**{name: one.u for name, one in given.items()}, "free_coils": coils.u}
    old = _strip(instead_of) if instead_of is not None else None

    def told(name: str, unit: str, formula: Callable[..., float]) -> dict[str, float | None]:
        return stated(name, unit, propagate(formula, values, us))

    return {
        **told("turns", "", _turns),
        **told("length", "m", _length),
        **told("fill", "ratio", _fill),
        **told("torque_per_turn", "n_m", _per_turn),
        **told("torque_full", "n_m", _full_torque),
        **told("stored", "j", _stored),
        **(
            stated("torque_against", "ratio", None)
            if old is None
            else told("torque_against", "ratio", lambda **v: _strength(old, **v))
        ),
        "stock": None if stock is None else _judged(stock, values, old, turns_needed, room_height),
        "assumed": assumed,
        "warnings": _spring_warnings(_fill(**values), _turns(**values), turns_needed),
        "sources": ["Goodrich1905", "Headrick", "Defossez1950"],
    }


def size_hairspring(
    *,
    beats: tuple[float, float],
    inertia: Quantity | None = None,
    height: Quantity,
    thickness: Quantity,
    modulus: Quantity | None = None,
    rate: Quantity | None = None,
    length: Quantity | None = None,
    vibrated: tuple[float, float] | None = None,
    vibrated_for: Quantity | None = None,
    screws: str | None = None,
    beats_with: tuple[float, float] | None = None,
    balance_metal: str | None = None,
) -> dict[str, Any]:
    """A hairspring for a balance: stiffness, length, what to let out; inertia by added screws; count and vibrate;
    temperature.
    """
    assumed: dict[str, Any] = {}
    if modulus is None:
        assumed["modulus_pa"] = STEEL_PA
    held("rate", rate, low=-40000.0, high=40000.0, unit="s/d")
    held("vibrated", vibrated, low=1.0, high=1e7)
    held("vibrated-for", vibrated_for, low=1.0, high=1e6, unit="s")
    moment = Uncertain(inertia.value, inertia.u) if inertia is not None else _screwed(screws, beats, beats_with)
    values = {
        "beats": beats[0],
        "inertia": moment.value,
        "height": height.value,
        "thickness": thickness.value,
        "modulus": modulus.value if modulus else STEEL_PA,
    }
    us = {
        "beats": beats[1],
        "inertia": moment.u,
        "height": height.u,
        "thickness": thickness.u,
        "modulus": modulus.u if modulus else 0.0,
    }

    def stiffness(**v: float) -> float:
        return balance.stiffness_n_m_per_rad(inertia_kg_m2=v["inertia"], beats_per_hour=v["beats"])

    def long(**v: float) -> float:
        return hairspring.length_m(
            modulus_pa=v["modulus"],
            height_m=v["height"],
            thickness_m=v["thickness"],
            stiffness_n_m_per_rad=stiffness(**v),
        )

    right = propagate(long, values, us)
    slope = propagate(lambda **v: -43200.0 / long(**v), values, us)
    seen, seen_beats, warnings = _observed(rate, vibrated, vibrated_for, beats)
    let_out = None if seen is None else _let_out(seen, length, long, values, us)
    if seen is not None and length is None and abs(seen.value) > _LARGE_RATE_S_PER_DAY:
        warnings.append(
            "So large a rate moves the length by more than its first order: let out two thirds of it, and count again."
        )
    return {
        **stated("stiffness", "n_m_per_rad", propagate(stiffness, values, us)),
        **stated("length", "m", right),
        **stated("let_out", "m", let_out),
        "rate_s_per_day_per_m": slope.value,
        "rate_u_s_per_day_per_m": slope.u,
        **stated("inertia", "kg_m2", moment),
        **stated("vibrated_beats", "per_hour", seen_beats),
        **stated("rate", "s_per_day", seen),
        "thickness_s_per_day_per_um": 86400.0 * 1.5 / thickness.value * 1e-6,
        "temperature_s_per_day_per_k": _temperature(balance_metal, assumed),
        "assumed": assumed,
        "warnings": warnings,
        "sources": ["Defossez1950"],
    }


def _length(**v: float) -> float:
    """Length as given, or that of most turns."""
    return (
        v["length_m"]
        if "length_m" in v
        else barrel.best_length_m(barrel_m=v["barrel_m"], arbor_m=v["arbor_m"], thickness_m=v["thickness_m"])
    )


def _turns(**v: float) -> float:
    return barrel.barrel_turns(
        barrel_m=v["barrel_m"], arbor_m=v["arbor_m"], thickness_m=v["thickness_m"], length_m=_length(**v)
    )


def _fill(**v: float) -> float:
    return barrel.fill_ratio(
        barrel_m=v["barrel_m"], arbor_m=v["arbor_m"], thickness_m=v["thickness_m"], length_m=_length(**v)
    )


def _per_turn(**v: float) -> float:
    return mainspring.torque_per_turn_n_m(
        modulus_pa=v["modulus_pa"], height_m=v["height_m"], thickness_m=v["thickness_m"], length_m=_length(**v)
    )


def _wound(**v: float) -> float:
    """Turns from the free form when wound."""
    return max(
        0.0,
        barrel.coils_wound(arbor_m=v["arbor_m"], thickness_m=v["thickness_m"], length_m=_length(**v)) - v["free_coils"],
    )


def _full_torque(**v: float) -> float:
    return mainspring.torque_n_m(torque_per_turn_n_m=_per_turn(**v), turns_from_free=_wound(**v))


def _stored(**v: float) -> float:
    return mainspring.stored_j(
        torque_per_turn_n_m=_per_turn(**v), turns_wound=_wound(**v), turns_down=max(0.0, _wound(**v) - _turns(**v))
    )


def _strength(old: Strip, **v: float) -> float:
    return mainspring.strength_ratio(
        thickness_m=v["thickness_m"],
        instead_of_thickness_m=old.thickness_m,
        height_m=v["height_m"],
        instead_of_height_m=old.height_m,
        length_m=_length(**v),
        instead_of_length_m=old.length_m,
    )


def _judged(
    stock: str, values: dict[str, float], old: Strip | None, turns_needed: float | None, room_height: Quantity | None
) -> list[dict[str, Any]]:
    rows = read_rows(stock, columns=("name", "thickness_mm", "height_mm", "length_mm"), field="stock")
    strips = [
        Strip(
            row["name"],
            *(
                number_of(row, name, low=0.005, high=20000.0) / 1e3
                for name in ("thickness_mm", "height_mm", "length_mm")
            ),
        )
        for row in rows
    ]
    judged = judge_springs(
        strips,
        barrel_m=values["barrel_m"],
        arbor_m=values["arbor_m"],
        room_height_m=room_height.value if room_height else None,
        turns_needed=turns_needed,
        instead_of=old,
        modulus_pa=values["modulus_pa"],
    )
    return [
        {
            "name": one.strip.name,
            "turns": one.turns,
            "fill_ratio": one.fill_ratio,
            "torque_per_turn_n_m": one.torque_per_turn_n_m,
            "torque_against_ratio": one.strength_ratio,
            "against": list(one.against),
        }
        for one in judged
    ]


def _spring_warnings(fill: float, turns: float, needed: float | None) -> list[str]:
    said = []
    if not FILL_LOW_RATIO <= fill <= FILL_HIGH_RATIO:
        said.append(f"The spring fills {100 * fill:.0f} % of the room beside the arbor; a third to a half is usual.")
    if needed is not None and turns < needed:
        said.append(f"It gives {turns:.2f} turns; {needed:.2f} are needed.")
    return said


def _strip(text: str) -> Strip:
    three = three_lengths(text, "instead-of", "thickness x height x length, such as 0.44mm x 19mm x 1400mm")
    return Strip("old", *(one.value for one in three))


def _screwed(screws: str | None, beats: tuple[float, float], beats_with: tuple[float, float] | None) -> Uncertain:
    """Inertia from screws such as `2 x 35mg at 8.2mm` and the beats with them."""
    if screws is None or beats_with is None:
        raise BadInput(
            "inertia",
            "nothing",
            "--inertia, or --screws with --beats-with",
            'inertia: give --inertia, or --screws "2 x 35mg at 8.2mm" with --beats-with',
        )
    match = re.fullmatch(r"\s*(\d+)\s*[x×]\s*(.+?)\s+at\s+(.+?)\s*", screws)
    if match is None:
        raise BadInput("screws", screws, "such as 2 x 35mg at 8.2mm")
    mass, radius = (
        units.parse(match[2], kind="mass", field="screws"),
        units.parse(match[3], kind="length", field="screws"),
    )
    return propagate(
        lambda mass, radius, without, with_: inertia_from_screws_kg_m2(
            screw_kg=mass,
            screws_count=float(match[1]),
            radius_m=radius,
            beats_without_per_hour=without,
            beats_with_per_hour=with_,
        ),
        {"mass": mass.value, "radius": radius.value, "without": beats[0], "with_": beats_with[0]},
        {"mass": mass.u, "radius": radius.u, "without": beats[1], "with_": beats_with[1]},
    )


def _observed(
    rate: Quantity | None,
    vibrated: tuple[float, float] | None,
    vibrated_for: Quantity | None,
    beats: tuple[float, float],
) -> tuple[Uncertain | None, Uncertain | None, list[str]]:
    """Rate as given, or from beats counted over a time with the spring held at the trial point."""
    if vibrated is None:
        return taken(rate), None, []
    if vibrated_for is None:
        raise BadInput(
            "vibrated-for",
            "nothing",
            "the time of the count, such as 30s",
            "vibrated-for: say how long the beats were counted, such as --vibrated-for 30s",
        )
    often = propagate(
        lambda n, t: vibrated_beats_per_hour(beats_count=n, time_s=t),
        {"n": vibrated[0], "t": vibrated_for.value},
        {"n": vibrated[1], "t": vibrated_for.u},
    )
    seen = propagate(
        lambda often, right: 86400.0 * (often / right - 1.0),
        {"often": often.value, "right": beats[0]},
        {"often": often.u, "right": beats[1]},
    )
    said = (
        [f"One beat miscounted is {86400.0 / vibrated[0]:.0f} s/d here; count for longer to come nearer."]
        if vibrated[0] < 600
        else []
    )
    return seen, often, said


def _let_out(
    seen: Uncertain, length: Quantity | None, long: Callable[..., float], values: dict[str, float], us: dict[str, float]
) -> Uncertain:
    """What to let out for the rate as seen: of the length that is there, or to first order of the one reckoned."""
    if length is not None:
        return propagate(
            lambda length_m, rate_s_per_day: hairspring.let_out_m(length_m=length_m, rate_s_per_day=rate_s_per_day),
            {"length_m": length.value, "rate_s_per_day": seen.value},
            {"length_m": length.u, "rate_s_per_day": seen.u},
        )
    return propagate(
        lambda rate, **v: 2.0 * long(**v) * rate / 86400.0, {**values, "rate": seen.value}, {**us, "rate": seen.u}
    )


def _temperature(metal: str | None, assumed: dict[str, Any]) -> float | None:
    if metal is None:
        return None
    assumed["modulus_change_per_k"] = _STEEL_MODULUS_PER_K
    return balance.temperature_rate_s_per_day_per_k(
        modulus_change_per_k=_STEEL_MODULUS_PER_K,
        spring_expansion_per_k=material("steel").expansion_per_k,
        balance_expansion_per_k=material(metal).expansion_per_k,
    )
