"""The forms of the sums that size what is made: springs, pendulum, teeth, pallets.

Data, and the call that answers each.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from underdial.bench.sums.filling import Field, Sum

_Answer = tuple[Mapping[str, Any], Sequence[str]]


def _spring(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.making import size_spring
    from underdial.bench.sums.said_of_making import spring_lines

    result = size_spring(**given)
    return result, spring_lines(result)


def _hairspring(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.making import size_hairspring
    from underdial.bench.sums.said_of_making import hairspring_lines

    result = size_hairspring(**given)
    lines = hairspring_lines(result)
    # What to do with the spring is the answer, when its rate was told.
    return result, sorted(lines, key=lambda line: not line.startswith(("Let out", "Take up")))


def _pendulum(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.pendulums import size_pendulum
    from underdial.bench.sums.said_of_making import pendulum_lines
    from underdial.bench.sums.trains import gravity_of

    gravity, assumed = gravity_of(given.pop("gravity", None), given.pop("latitude", None))
    result = size_pendulum(gravity=gravity, gravity_assumed=bool(assumed), **given)
    return result, sorted(pendulum_lines(result), key=lambda line: not line.startswith(("Raise", "Lower")))


def _teeth(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.cutting import size_teeth
    from underdial.bench.sums.said_of_making import teeth_lines

    result = size_teeth(given.pop("teeth"), **given)
    return result, teeth_lines(result)


def _pallets(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.cutting import size_pallets
    from underdial.bench.sums.said_of_making import pallets_lines

    result = size_pallets(**given)
    return result, pallets_lines(result)


SPRING = Sum(
    name="spring",
    title="A mainspring",
    sentence="Barrel, arbor and strip give turns, torque and energy, and whether another spring will do.",
    compute=_spring,
    fields=(
        Field(
            name="barrel",
            label="Inside diameter of the barrel",
            kind="length",
            like="42mm",
            wanted=True,
            to="barrel_given",
        ),
        Field(name="arbor", label="Diameter of the arbor", kind="length", like="14mm", wanted=True),
        Field(name="thickness", label="Thickness of the spring", kind="length", like="0.40mm", wanted=True),
        Field(name="height", label="Height of the spring", kind="length", like="19mm", wanted=True),
        Field(
            name="length",
            label="Length of the spring",
            kind="length",
            like="1400mm",
            without="the length of most turns",
        ),
        Field(name="instead-of", label="The spring it replaces", kind="text", like="0.44mm x 19mm x 1400mm"),
        Field(name="turns-needed", label="Turns of the barrel in the going time", kind="plain", like="5.5"),
        Field(name="room-height", label="Height inside the barrel", kind="length", like="20mm"),
        Field(
            name="modulus",
            label="Modulus of elasticity",
            kind="pressure",
            like="205GPa",
            without="205GPa",
            group="Metal and form",
        ),
        Field(
            name="free-coils",
            label="Coils of the spring lying free",
            kind="number",
            like="4+-2",
            without="4+-2",
            group="Metal and form",
        ),
        Field(
            name="stock",
            label="Springs to choose from",
            kind="readings",
            like="name,thickness_mm,height_mm,length_mm",
            without="One line each: name,thickness_mm,height_mm,length_mm",
            group="Choose from a list",
        ),
    ),
    example={
        "barrel": "42.0+-0.1mm",
        "arbor": "14.0+-0.1mm",
        "thickness": "0.40+-0.005mm",
        "height": "19mm",
        "instead-of": "0.44mm x 19mm x 1400mm",
        "turns-needed": "7.5",
    },
)

HAIRSPRING = Sum(
    name="hairspring",
    title="A hairspring",
    sentence="Balance and beats give the spring’s strength and length; its rate says how much to let out.",
    compute=_hairspring,
    fields=(
        Field(
            name="beats-per-hour",
            label="Beats in an hour that are wanted",
            kind="number",
            like="14400",
            wanted=True,
            to="beats",
        ),
        Field(
            name="inertia",
            label="Inertia of the balance",
            kind="inertia",
            like="1.458e-7kgm2",
            without="from screws, below",
        ),
        Field(name="height", label="Height of the strip", kind="length", like="0.45mm", wanted=True),
        Field(name="thickness", label="Thickness of the strip", kind="length", like="0.075mm", wanted=True),
        Field(name="rate", label="Rate observed, + gains", kind="rate", like="600s/d"),
        Field(
            name="length", label="Active length now", kind="length", like="137mm", without="worked out from the strip"
        ),
        Field(
            name="vibrated",
            label="Beats counted at the trial point",
            kind="number",
            like="118+-0.5",
            group="Count and vibrate",
        ),
        Field(name="vibrated-for", label="Time of that count", kind="time", like="30s", group="Count and vibrate"),
        Field(name="screws", label="Screws added", kind="text", like="2 x 35mg at 8.2mm", group="Inertia from screws"),
        Field(
            name="beats-with",
            label="Beats in an hour with those screws",
            kind="number",
            like="13950",
            group="Inertia from screws",
        ),
        Field(
            name="balance-metal",
            label="Metal of the balance",
            kind="pick",
            picks=(
                ("", "not said"),
                ("brass", "brass"),
                ("steel", "steel"),
                ("iron", "iron"),
                ("copper", "copper"),
                ("invar", "invar"),
            ),
            group="Metal and warmth",
        ),
        Field(
            name="modulus",
            label="Modulus of elasticity",
            kind="pressure",
            like="200GPa",
            without="205GPa",
            group="Metal and warmth",
        ),
    ),
    example={
        "beats-per-hour": "14400",
        "inertia": "1.458e-7kgm2",
        "height": "0.45mm",
        "thickness": "0.075+-0.001mm",
        "rate": "600s/d",
        "balance-metal": "brass",
    },
)

PENDULUM = Sum(
    name="pendulum",
    title="A pendulum",
    sentence="Length, rate and the pitch of the nut give how far to raise or lower the bob.",
    compute=_pendulum,
    fields=(
        Field(
            name="length",
            label="Pivot to centre of oscillation",
            kind="length",
            like="250+-1mm",
            without="give this or the beats",
        ),
        Field(
            name="beats-per-hour",
            label="Beats in an hour",
            kind="number",
            like="7177",
            without="give this or the length",
            to="beats",
        ),
        Field(name="pitch", label="Rise of the nut in a turn", kind="length", like="0.5mm"),
        Field(name="rate", label="Rate observed, + gains", kind="rate", like="-300s/d"),
        Field(name="half-arc", label="Swing to one side of rest", kind="angle", like="2.5deg"),
        Field(
            name="rod",
            label="Rod is made of",
            kind="pick",
            picks=(("", "not said"), ("steel", "steel"), ("brass", "brass"), ("wood", "wood"), ("invar", "invar")),
        ),
        Field(name="bob-mass", label="Weight of the bob", kind="mass", like="450g", group="Where the bob hangs"),
        Field(
            name="bob-diameter",
            label="Diameter of a round flat bob",
            kind="length",
            like="60mm",
            without="a point",
            group="Where the bob hangs",
        ),
        Field(
            name="rod-mass",
            label="Weight of the rod",
            kind="mass",
            like="30g",
            without="nothing",
            group="Where the bob hangs",
        ),
        Field(
            name="rod-length",
            label="Length of the rod",
            kind="length",
            like="280mm",
            without="as long as the pendulum",
            group="Where the bob hangs",
        ),
        Field(
            name="suspension",
            label="Spring it hangs by",
            kind="text",
            like="0.10mm x 5mm x 12mm",
            without="give thickness, width of all strips, free length, and the weight of the bob",
            group="The suspension spring",
        ),
        Field(
            name="suspension-instead-of",
            label="The spring it replaces",
            kind="text",
            like="0.12mm x 5mm x 12mm",
            group="The suspension spring",
        ),
        Field(
            name="gravity",
            label="Gravity of the place",
            kind="acceleration",
            like="9.81m/s2",
            without="9.80665m/s2",
            group="The place",
        ),
        Field(name="latitude", label="Latitude, in place of gravity", kind="angle", like="51.5deg", group="The place"),
    ),
    example={"length": "250+-1mm", "pitch": "0.5mm", "rate": "-300+-5s/d", "half-arc": "2.5deg", "rod": "steel"},
)

TEETH = Sum(
    name="teeth",
    title="Wheel and pinion",
    sentence="Counts and module give form, sizes, centre distance, cutter and dividing, and how smoothly they act.",
    compute=_teeth,
    fields=(
        Field(name="teeth", label="Teeth over leaves", kind="text", like="64/8", wanted=True),
        Field(name="module", label="Module: pitch diameter over teeth", kind="length", like="0.6mm", wanted=True),
        Field(
            name="depth-error",
            label="Centre distance less the right one",
            kind="length",
            like="0.05mm",
            without="0mm, + too far apart",
        ),
        Field(
            name="shortening",
            label="Part of the pointed height that is left",
            kind="plain",
            like="0.95",
            without="0.95",
            group="Form and friction",
        ),
        Field(
            name="friction",
            label="Coefficient of friction",
            kind="plain",
            like="0.15",
            without="0.15",
            group="Form and friction",
        ),
        Field(
            name="worm", label="Turns of the handle for one turn of the work", kind="count", like="60", group="Dividing"
        ),
        Field(
            name="circles",
            label="Hole circles at hand",
            kind="counts",
            like="15,16,17,18,20",
            without="the usual circles",
            group="Dividing",
        ),
    ),
    example={"teeth": "64/8", "module": "0.6mm", "worm": "60"},
)

PALLETS = Sum(
    name="pallets",
    title="Pallets",
    sentence="Escape wheel, span and angles give the pallets to size, and lock and drop at the centres as they are.",
    compute=_pallets,
    fields=(
        Field(
            name="escape", label="Teeth of the escape wheel", kind="count", like="30", wanted=True, to="escape_count"
        ),
        Field(
            name="radius", label="Radius of the escape wheel over its teeth", kind="length", like="15mm", wanted=True
        ),
        Field(name="span", label="Spaces between the pallets", kind="plain", like="7.5", wanted=True),
        Field(
            name="kind",
            label="Kind",
            kind="pick",
            picks=(("deadbeat", "deadbeat"), ("recoil", "recoil"), ("pin", "pin pallets")),
            wanted=True,
        ),
        Field(name="lift", label="Lift of the pallets", kind="angle", like="2deg", without="2deg"),
        Field(name="drop", label="Drop of the wheel", kind="angle", like="1.5deg", without="1.5deg"),
        Field(name="lock", label="Lock of the pallets", kind="angle", like="1deg", without="1deg"),
        Field(name="centres", label="Centre distance as measured", kind="length", like="21.25mm", group="As they come"),
        Field(
            name="pin-diameter",
            label="Diameter of a pin pallet",
            kind="length",
            like="0.4mm",
            group="Pins, recoil, friction",
        ),
        Field(
            name="recoil",
            label="Slope of a recoil face from its arc",
            kind="angle",
            like="20deg",
            without="20deg",
            group="Pins, recoil, friction",
        ),
        Field(
            name="friction",
            label="Coefficient of friction",
            kind="plain",
            like="0.15",
            without="0.15",
            group="Pins, recoil, friction",
        ),
    ),
    example={
        "escape": "30",
        "radius": "15.00+-0.01mm",
        "span": "7.5",
        "kind": "deadbeat",
        "lift": "2deg",
        "drop": "1.5deg",
        "lock": "1deg",
        "centres": "21.25+-0.02mm",
    },
)
