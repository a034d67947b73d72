"""Pendulums to size: length, nut, bob, rod and suspension spring."""

from __future__ import annotations

import math
from functools import partial
from typing import Any

from underdial.bench.sums.stated import held, stated, taken, three_lengths
from underdial.errors import BadInput
from underdial.gauging.bob_place import bob_place
from underdial.mechanics import circular_error, heat_on_pendulum, pendulum, pendulum_regulation
from underdial.mechanics import suspension as strip_above
from underdial.mechanics.compound_pendulum import disc_gyration_m
from underdial.mechanics.materials import STEEL_PA, material
from underdial.uncertain import Uncertain, propagate
from underdial.units import Quantity


def size_pendulum(
    *,
    length: Quantity | None = None,
    beats: tuple[float, float] | None = None,
    pitch: Quantity | None = None,
    rate: Quantity | None = None,
    half_arc: Quantity | None = None,
    rod: str | None = None,
    bob_mass: Quantity | None = None,
    bob_diameter: Quantity | None = None,
    rod_mass: Quantity | None = None,
    rod_length: Quantity | None = None,
    suspension: str | None = None,
    suspension_instead_of: str | None = None,
    gravity: float = pendulum.STANDARD_GRAVITY_M_PER_S2,
    gravity_assumed: bool = True,
) -> dict[str, Any]:
    """A pendulum: length, right length, beats, the nut, warmth and circular error."""
    long = _length(length, beats, gravity)
    often = propagate(
        lambda length: pendulum.beats_per_hour(length_m=length, g_m_per_s2=gravity),
        {"length": long.value},
        {"length": long.u},
    )
    right = None if rate is None else _right_length(long, rate)
    nut = turn = None
    if pitch is not None:
        _positive("pitch", pitch)
        nut = _nut(long, pitch)
        turn = None if rate is None else _turns(long, rate, pitch)
    circular = None if half_arc is None else _circular_error(half_arc)
    warm = None if rod is None else _rod(rod)
    hung = _hung(right or long, bob_mass, bob_diameter, rod_mass, rod_length, pitch)
    assumed: dict[str, Any] = {"gravity_m_per_s2": gravity} if gravity_assumed else {}
    hung |= _by_strip(long, suspension, suspension_instead_of, bob_mass, bob_diameter, rod_mass, gravity, assumed)
    return {
        **stated("length", "m", long),
        **stated("right_length", "m", right),
        **stated("beats", "per_hour", often),
        **stated("nut", "s_per_day_per_turn", nut),
        **stated("turns", "", turn),
        **hung,
        **stated("temperature", "s_per_day_per_k", warm),
        **stated("circular_error", "s_per_day", circular),
        "assumed": assumed,
        "warnings": ["The nut moves the bob, not the rod: with a heavy rod one turn does a few per cent less."]
        if nut is not None and bob_mass is None
        else [],
        "sources": ["Huygens1673", "Goodrich1905", *(["Timoshenko1961"] if suspension else [])],
    }


def _length(length: Quantity | None, beats: tuple[float, float] | None, gravity: float) -> Uncertain:
    """Length as given, or that of its beats; BadInput unless one of the two is given."""
    if (length is None) == (beats is None):
        raise BadInput(
            "length",
            "neither" if length is None else "both",
            "--length or --beats-per-hour, one of the two",
            "length: give either --length or --beats-per-hour",
        )
    held("length", length, low=1.0, high=1e5, unit="mm")
    if length is not None:
        return Uncertain(length.value, length.u)
    assert beats is not None
    return propagate(
        lambda n: pendulum.length_m(beats_per_hour=n, g_m_per_s2=gravity), {"n": beats[0]}, {"n": beats[1]}
    )


def _right_length(long: Uncertain, rate: Quantity) -> Uncertain:
    return propagate(
        lambda length, rate: pendulum_regulation.right_length_m(length_m=length, rate_s_per_day=rate),
        {"length": long.value, "rate": rate.value},
        {"length": long.u, "rate": rate.u},
    )


def _positive(field: str, given: Quantity) -> None:
    if given.value <= 0.0:
        raise BadInput(field, given.value, "above 0")


def _nut(long: Uncertain, pitch: Quantity) -> Uncertain:
    return propagate(
        lambda length, pitch: pendulum_regulation.nut_s_per_day_per_turn(length_m=length, pitch_m=pitch),
        {"length": long.value, "pitch": pitch.value},
        {"length": long.u, "pitch": pitch.u},
    )


def _turns(long: Uncertain, rate: Quantity, pitch: Quantity) -> Uncertain:
    """Turns of the nut that bring the pendulum to its right length."""
    return propagate(
        lambda length, rate, pitch: (
            (length - pendulum_regulation.right_length_m(length_m=length, rate_s_per_day=rate)) / pitch
        ),
        {"length": long.value, "rate": rate.value, "pitch": pitch.value},
        {"length": long.u, "rate": rate.u, "pitch": pitch.u},
    )


def _circular_error(half_arc: Quantity) -> Uncertain:
    return propagate(
        lambda arc: circular_error.circular_error_s_per_day(half_arc_rad=arc),
        {"arc": half_arc.value},
        {"arc": half_arc.u},
    )


def _rod(name: str) -> Uncertain:
    """Rate for a kelvin, its error from the spread of the alloy (rectangular over the usual range)."""
    one = material(name)
    spread = (one.expansion_high_per_k - one.expansion_low_per_k) / math.sqrt(12.0)
    return propagate(
        lambda a: heat_on_pendulum.temperature_rate_s_per_day_per_k(expansion_per_k=a),
        {"a": one.expansion_per_k},
        {"a": spread},
    )


def _hung(
    wanted: Uncertain,
    bob: Quantity | None,
    across: Quantity | None,
    rod: Quantity | None,
    rod_length: Quantity | None,
    pitch: Quantity | None,
) -> dict[str, float | None]:
    """Depth of the bob's middle for the right length, and what the nut does, the rod's weight and the bob's width
    counted.
    """
    if bob is None:
        return {**stated("bob_centre", "m", None), **stated("nut_with_rod", "s_per_day_per_turn", None)}
    given = {"bob": bob, "across": across, "rod": rod, "rod_length": rod_length, "pitch": pitch}
    values = {"wanted": wanted.value, **{name: one.value for name, one in given.items() if one is not None}}
    us = {"wanted": wanted.u, **{name: one.u for name, one in given.items() if one is not None}}

    def place(**v: float) -> tuple[float, float]:
        gyration = disc_gyration_m(diameter_m=v["across"]) if v.get("across") else 0.0
        return bob_place(
            length_m=v["wanted"],
            bob_kg=v["bob"],
            bob_gyration_m=gyration,
            rod_kg=v.get("rod", 0.0),
            rod_m=v.get("rod_length", v["wanted"] if "rod" in v else 0.0),
        )

    nut = (
        None
        if pitch is None
        else propagate(
            lambda **v: (
                place(**v)[1] * pendulum_regulation.nut_s_per_day_per_turn(length_m=v["wanted"], pitch_m=v["pitch"])
            ),
            values,
            us,
        )
    )
    return {
        **stated("bob_centre", "m", propagate(lambda **v: place(**v)[0], values, us)),
        **stated("nut_with_rod", "s_per_day_per_turn", nut),
    }


def _by_strip(
    long: Uncertain,
    new: str | None,
    old: str | None,
    bob: Quantity | None,
    across: Quantity | None,
    rod: Quantity | None,
    gravity: float,
    assumed: dict[str, Any],
) -> dict[str, float | None]:
    """Where a suspension spring lets the pendulum turn, and what it does to the rate in the place of another, nothing
    else moved (+ gains).
    """
    if new is None and old is not None:
        raise BadInput(
            "suspension",
            "nothing",
            "the new spring, such as 0.10mm x 5mm x 12mm",
            "suspension: say the new spring beside the one it replaces, such as 0.10mm x 5mm x 12mm",
        )
    if new is None:
        return {**stated("turning_depth", "m", None), **stated("suspension_rate", "s_per_day", None)}
    if bob is None:
        raise BadInput(
            "bob-mass",
            "nothing",
            "the weight that hangs by the spring, such as 450g",
            "bob-mass: say what hangs by the suspension spring, such as --bob-mass 450g",
        )
    assumed["suspension_modulus_pa"] = STEEL_PA
    strips = {"new": _strip(new, "suspension"), **({"old": _strip(old, "suspension-instead-of")} if old else {})}
    every = {
        "long": long,
        "bob": Uncertain(bob.value, bob.u),
        "across": taken(across) or Uncertain(0.0),
        "rod": taken(rod) or Uncertain(0.0),
        **{
            f"{which}_{name}": Uncertain(one.value, one.u)
            for which, three in strips.items()
            for name, one in zip(("thickness", "width", "length"), three, strict=True)
        },
    }
    values, us = {name: one.value for name, one in every.items()}, {name: one.u for name, one in every.items()}
    depth, period = partial(_turning_depth_m, gravity), partial(_period_s, gravity)
    rate = propagate(lambda **v: 86400.0 * (period("old", **v) / period("new", **v) - 1.0), values, us) if old else None
    return {
        **stated("turning_depth", "m", propagate(lambda **v: depth("new", **v), values, us)),
        **stated("suspension_rate", "s_per_day", rate),
    }


def _strip(text: str, field: str) -> list[Quantity]:
    return three_lengths(text, field, "thickness x width x free length, such as 0.10mm x 5mm x 12mm")


def _turning_depth_m(gravity: float, which: str, **v: float) -> float:
    """How far below its upper end the `which` of the two strips lets the pendulum turn."""
    return strip_above.turning_depth_m(
        weight_n=(v["bob"] + v["rod"]) * gravity,
        strip_width_m=v[f"{which}_width"],
        strip_thickness_m=v[f"{which}_thickness"],
        strip_length_m=v[f"{which}_length"],
        modulus_pa=STEEL_PA,
    )


def _period_s(gravity: float, which: str, **v: float) -> float:
    """Period by the `which` of the two strips."""
    gyration = disc_gyration_m(diameter_m=v["across"]) if v["across"] else 0.0
    # The old spring set the length: what hangs below its lower end stays as it is.
    below = (
        (v["long"] + math.sqrt(max(0.0, v["long"] ** 2 - 4.0 * gyration**2))) / 2.0
        + _turning_depth_m(gravity, "old", **v)
        - v["old_length"]
    )
    return strip_above.suspension_period_s(
        mass_kg=v["bob"] + v["rod"],
        centre_depth_m=below,
        gyration_m=gyration,
        strip_length_m=v[f"{which}_length"],
        strip_width_m=v[f"{which}_width"],
        strip_thickness_m=v[f"{which}_thickness"],
        modulus_pa=STEEL_PA,
        g_m_per_s2=gravity,
    )
