"""The forms of the gauges' sums: runout, heavy spot, metal, bush, cone pivot. Data, and the call that answers each."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from underdial.bench.sums.filling import Field, Sum

_YES_NO = (("yes", "yes"), ("no", "no"), ("unknown", "not known"))
_Answer = tuple[Mapping[str, Any], Sequence[str]]


def _runout(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.gauging import read_runout, read_wheel_runout
    from underdial.bench.sums.said_of_gauging import runout_lines, wheel_lines

    text, radius, over = given.pop("readings"), given.pop("radius", None), given.pop("over_teeth", "no") == "yes"
    if radius is not None:
        result = read_wheel_runout(text, radius=radius, over_teeth=over)
        return result, wheel_lines(result)
    result = read_runout(text, **given)
    return result, runout_lines(result)


def _poise(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.gauging import find_heavy_spot
    from underdial.bench.sums.said_of_gauging import poise_lines

    result = find_heavy_spot(given.pop("readings"), **given)
    return result, poise_lines(result)


def _metal(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.metals import tell_metal
    from underdial.bench.sums.said_of_gauging import metal_lines

    result = tell_metal(**given)
    if result["verdict"] == "refused":
        return result, metal_lines(result)
    best, chance = result["metals"][0]["metal"].replace("_", " "), result["metals"][0]["probability"]
    head = f"Most likely {best}, {'above 98' if chance > 0.98 else f'about {round(100 * chance)}'} in 100."
    return result, [head, *metal_lines(result)]


def _bush(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.fitting import size_bush
    from underdial.bench.sums.said_of_gauging import bush_lines

    result = size_bush(**given)
    return result, bush_lines(result)


def _cone(given: dict[str, Any]) -> _Answer:
    from underdial.bench.sums.fitting import gauge_cone
    from underdial.bench.sums.said_of_gauging import cone_lines

    after = {name: given.pop(f"after_{name}", None) for name in ("tip_radius", "cup_radius", "flat_diameter")}
    arcs = {name: given.pop(f"amplitude_{name}", None) for name in ("dial_up", "upright")}
    result = gauge_cone(after=after, arcs=arcs, **given)
    # What is gained is the answer, when it was asked for.
    return result, sorted(cone_lines(result), key=lambda line: not line.startswith("Amplitude"))


def _staff_readings() -> str:
    """An invented staff with a kink of 2 µm a mm at 12 mm towards 140 deg, chucked 6 µm off, read with a gauge of 1
    µm.
    """
    lines = ["z_mm,angle_deg,reading_um"]
    for k in range(6):
        z = 6.0 * k
        for angle in range(0, 360, 30):
            turn = math.radians(angle)
            bent = max(0.0, z - 12.0) * 2.0
            high = (
                6.0 * math.cos(turn - math.radians(40))
                + 0.3 * z * math.cos(turn - math.radians(250))
                + bent * math.cos(turn - math.radians(140))
            )
            # A trace of roughness of fixed size, so that the example has noise without chance.
            lines.append(f"{z:g},{angle},{round(20.0 + high + 1.1 * math.sin(7.3 * k + 2.9 * angle))}")
    return "\n".join(lines)


_RATES = "up_deg,amplitude_deg,rate_s_per_day\n0,140,23.6\n90,141,-19.5\n180,139,-23.8\n270,140,19.6"

RUNOUT = Sum(
    name="runout",
    makes=False,
    title="Runout of a staff or wheel",
    sentence="Dial-gauge readings tell a bend in the part from the set of the chuck, and where to straighten.",
    compute=_runout,
    fields=(
        Field(
            name="readings",
            label="Readings",
            kind="readings",
            like="z_mm,angle_deg,reading_um",
            wanted=True,
            without="One line each: z_mm from the chuck outward, angle_deg of the point under the plunger, "
            "reading_um that grows as metal comes nearer. A wheel: angle_deg,face_um,rim_um.",
        ),
        Field(
            name="noise", label="Noise of one reading", kind="length", like="1.5um", without="taken from the readings"
        ),
        Field(
            name="wanted",
            label="Bend that must not be overlooked",
            kind="length",
            like="40um",
            without="40um of movement at the free end",
        ),
        Field(
            name="gauge-scale",
            label="True movement over movement shown",
            kind="number",
            like="1.00+-0.02",
            without="1, exactly",
            to="scale",
            group="The gauge, or a wheel",
        ),
        Field(
            name="radius",
            label="Radius at which a wheel’s face was read",
            kind="length",
            like="18mm",
            without="it is a staff",
            group="The gauge, or a wheel",
        ),
        Field(
            name="over-teeth",
            label="Rim read over its teeth",
            kind="pick",
            picks=(("no", "no"), ("yes", "yes")),
            without="no",
            group="The gauge, or a wheel",
        ),
    ),
    example={"readings": _staff_readings(), "noise": "1.5um"},
)

POISE = Sum(
    name="poise",
    makes=False,
    title="Heavy spot of a balance",
    sentence="Rates in several positions tell where the balance is heavy, and how much metal to take off.",
    compute=_poise,
    fields=(
        Field(
            name="readings",
            label="Rates in positions",
            kind="readings",
            like="up_deg,amplitude_deg,rate_s_per_day",
            wanted=True,
            without="One line each: up_deg is the rim angle on top, 0 at the impulse pin, clockwise from the dial; "
            "read below 180 deg of amplitude.",
        ),
        Field(name="inertia", label="Inertia of the balance", kind="inertia", like="2.1e-7kgm2", wanted=True),
        Field(name="beats-per-hour", label="Beats in an hour", kind="number", like="18000", wanted=True, to="beats"),
        Field(name="radius", label="From the staff to where metal is taken", kind="length", like="9mm", wanted=True),
        Field(
            name="gravity",
            label="Gravity of the place",
            kind="acceleration",
            like="9.81m/s2",
            without="9.80665m/s2",
            group="The place",
        ),
    ),
    example={"readings": _RATES, "inertia": "2.1e-7kgm2", "beats-per-hour": "18000", "radius": "9mm"},
)

METAL = Sum(
    name="metal",
    makes=False,
    title="What metal it is",
    sentence="Weight in air and water, a magnet and the colour at wear tell the metal, and what it forbids.",
    compute=_metal,
    fields=(
        Field(name="air", label="Weight in air", kind="mass", like="23.418+-0.005g"),
        Field(name="water", label="Weight hung in water", kind="mass", like="20.655+-0.005g"),
        Field(
            name="water-temperature",
            label="Temperature of the water",
            kind="temperature",
            like="18degC",
            without="20degC",
        ),
        Field(name="magnet", label="Does a magnet hold to it?", kind="pick", picks=_YES_NO[::-1], without="not known"),
        Field(
            name="colour",
            label="Colour at wear that is there already",
            kind="pick",
            picks=(
                ("unknown", "not known"),
                ("yellow", "yellow"),
                ("red", "red"),
                ("grey", "grey"),
                ("white", "white"),
            ),
            without="not known",
        ),
        Field(name="hollow", label="Hollow or filled?", kind="pick", picks=_YES_NO[::-1], without="not known"),
        Field(name="plated", label="Plated, gilt or painted?", kind="pick", picks=_YES_NO[::-1], without="not known"),
    ),
    example={
        "air": "23.418+-0.005g",
        "water": "20.655+-0.005g",
        "magnet": "no",
        "colour": "yellow",
        "hollow": "no",
        "plated": "no",
    },
)

BUSH = Sum(
    name="bush",
    title="A bush for a worn hole",
    sentence="The worn hole gives its true centre; pivot and clearance give the bore; the fit says what presses in "
    "and what holds.",
    compute=_bush,
    fields=(
        Field(name="pivot", label="Diameter of the pivot", kind="length", like="1.20+-0.005mm", wanted=True),
        Field(
            name="clearance",
            label="Hole less pivot, on the diameter",
            kind="length",
            like="0.05mm",
            without="give this or the lean",
        ),
        Field(
            name="lean",
            label="Lean the arbor shall have, one way",
            kind="angle",
            like="2.5deg",
            without="give this or the clearance",
        ),
        Field(name="plate", label="Thickness of the plate", kind="length", like="1.6mm"),
        Field(name="hole", label="Short axis of the worn hole", kind="length", like="1.45mm"),
        Field(name="hole-long", label="Long axis of the worn hole", kind="length", like="1.62mm"),
        Field(
            name="worn-toward",
            label="Worn towards",
            kind="angle",
            like="140deg",
            without="clockwise from the dial, 0 at twelve",
        ),
        Field(name="outside", label="Outside diameter of the bush", kind="length", like="4.0mm"),
        Field(name="interference", label="Bush less its hole, on the diameter", kind="length", like="6um"),
        Field(
            name="press-friction",
            label="Friction of the fit",
            kind="number",
            like="0.2",
            without="0.2",
            group="Metal of the fit",
        ),
        Field(
            name="yield",
            label="Stress at which the metal gives",
            kind="pressure",
            like="200MPa",
            without="200MPa",
            to="yield_stress",
            group="Metal of the fit",
        ),
        Field(
            name="modulus",
            label="Modulus of bush and plate",
            kind="pressure",
            like="100GPa",
            without="100GPa",
            group="Metal of the fit",
        ),
        Field(
            name="mate-toward",
            label="Towards the arbor it meshes with",
            kind="angle",
            like="40deg",
            group="What the wear did to the depth",
        ),
        Field(
            name="centre-distance",
            label="Distance to that arbor",
            kind="length",
            like="21.6mm",
            without="20mm",
            group="What the wear did to the depth",
        ),
        Field(
            name="module",
            label="Module of that mesh",
            kind="length",
            like="0.6mm",
            group="What the wear did to the depth",
        ),
        Field(
            name="stock",
            label="The shop’s bushes",
            kind="readings",
            like="name,outside_mm,bore_mm,length_mm",
            without="One line each: name,outside_mm,bore_mm,length_mm",
            group="Choose from the stock",
        ),
    ),
    example={
        "pivot": "1.20+-0.005mm",
        "plate": "1.6mm",
        "lean": "2.5deg",
        "hole": "1.45+-0.01mm",
        "hole-long": "1.62+-0.01mm",
        "worn-toward": "140deg",
        "outside": "4.0mm",
        "interference": "6um",
    },
)

CONE = Sum(
    name="cone",
    title="Cone pivot and its cup",
    sentence="Tip and cup give the friction dial up and upright, the shake, and what re-pointing gains.",
    compute=_cone,
    fields=(
        Field(name="tip-radius", label="Radius of the tip’s rounding", kind="length", like="0.06mm", wanted=True),
        Field(name="cup-radius", label="Radius of the cup’s bottom", kind="length", like="0.20mm", wanted=True),
        Field(name="mass", label="Balance with its staff", kind="mass", like="1.8g", wanted=True),
        Field(name="flat-diameter", label="Flat worn on the tip", kind="length", like="0.08mm", without="none"),
        Field(name="end-shake", label="End shake", kind="length", like="0.05mm"),
        Field(name="friction", label="Coefficient of friction", kind="number", like="0.18", without="0.15"),
        Field(
            name="after-tip-radius",
            label="Tip as it will be",
            kind="length",
            like="0.05mm",
            without="as it is",
            group="After re-pointing",
        ),
        Field(
            name="after-cup-radius",
            label="Cup’s bottom as it will be",
            kind="length",
            like="0.20mm",
            without="as it is",
            group="After re-pointing",
        ),
        Field(
            name="after-flat-diameter",
            label="Flat as it will be",
            kind="length",
            like="0.01mm",
            without="none",
            group="After re-pointing",
        ),
        Field(
            name="amplitude-dial-up",
            label="Amplitude as found, dial up",
            kind="angle",
            like="220deg",
            group="After re-pointing",
        ),
        Field(
            name="amplitude-upright",
            label="Amplitude as found, upright",
            kind="angle",
            like="160deg",
            group="After re-pointing",
        ),
        Field(
            name="inertia",
            label="Inertia of the balance",
            kind="inertia",
            like="1.458e-7kgm2",
            group="After re-pointing",
        ),
        Field(
            name="beats-per-hour",
            label="Beats in an hour",
            kind="number",
            like="14400",
            to="beats",
            group="After re-pointing",
        ),
        Field(name="staff-length", label="Staff over both tips", kind="length", like="18mm", group="After re-pointing"),
        Field(
            name="pit",
            label="Depth of pitting that has to go",
            kind="length",
            like="0.03mm",
            without="none",
            group="After re-pointing",
        ),
        Field(
            name="quality",
            label="Quality of the balance without its pivots",
            kind="number",
            like="130+-30",
            without="130+-30",
            group="Shapes and metal",
        ),
        Field(
            name="cone-angle",
            label="Angle of the cone, included",
            kind="angle",
            like="60deg",
            without="60deg",
            group="Shapes and metal",
        ),
        Field(
            name="cup-angle",
            label="Angle of the cup, included",
            kind="angle",
            like="90deg",
            without="90deg",
            group="Shapes and metal",
        ),
        Field(
            name="gravity",
            label="Gravity of the place",
            kind="acceleration",
            like="9.81m/s2",
            without="9.80665m/s2",
            group="Shapes and metal",
        ),
        Field(
            name="modulus",
            label="Modulus of both",
            kind="pressure",
            like="205GPa",
            without="205GPa",
            group="Shapes and metal",
        ),
    ),
    example={
        "tip-radius": "0.09mm",
        "cup-radius": "0.20mm",
        "mass": "1.8g",
        "flat-diameter": "0.16mm",
        "friction": "0.18",
        "after-tip-radius": "0.06mm",
        "amplitude-dial-up": "170deg",
        "amplitude-upright": "140deg",
        "inertia": "1.458e-7kgm2",
        "beats-per-hour": "14400",
        "staff-length": "18.00mm",
    },
)
