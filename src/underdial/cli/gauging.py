"""`runout`, `metal`, `poise`, `bush`, `cone`: readings of the bench to what they mean and the size of what is made."""

from __future__ import annotations

from typing import Any

import click

from underdial.cli.frame import Number, Value, answer, read_text, said, shared_options
from underdial.units import Quantity

_WORDS = click.Choice(["yes", "no", "unknown"])


@click.command("runout")
@click.argument("file")
@click.option(
    "--noise",
    type=Value("length"),
    help="Standard deviation of one reading, such as 1.5um; else taken from the readings.",
)
@click.option(
    "--wanted",
    type=Value("length"),
    help="Bend, as full movement at the free end, that must not be overlooked; 40um without.",
)
@click.option("--gauge-scale", "scale", type=Number(), help="True movement over movement shown, such as 1.00+-0.02.")
@click.option(
    "--radius",
    type=Value("length"),
    help="For a wheel (columns angle_deg,face_um,rim_um): radius at which the face was read.",
)
@click.option(
    "--over-teeth", is_flag=True, help="The rim of a wheel was read over its teeth: readings in gaps are left out."
)
@shared_options
def runout_command(
    file: str,
    noise: Quantity | None,
    wanted: Quantity | None,
    scale: tuple[float, float] | None,
    radius: Quantity | None,
    over_teeth: bool,
) -> None:
    """A FILE of dial-gauge readings (z_mm,angle_deg,reading_um and perhaps direction) to the bend in the part.

    z counts from the chuck outward; the angle names the point of the part under the plunger, clockwise seen from the
    free end; the reading grows as metal comes nearer.
    """
    from underdial.bench.sums.drawings import runout_writers, wheel_writers
    from underdial.bench.sums.gauging import read_runout, read_wheel_runout
    from underdial.bench.sums.said_of_gauging import runout_lines, wheel_lines

    text = read_text(file)
    if radius is not None:
        result = read_wheel_runout(text, radius=radius, over_teeth=over_teeth)
        answer(result, said(wheel_lines(result), result), writers=wheel_writers(result, {"radius": radius}))
        return
    result = read_runout(text, noise=noise, scale=scale, wanted=wanted)
    answer(result, said(runout_lines(result), result), writers=runout_writers(result))


@click.command("metal")
@click.option("--air", type=Value("mass"), help="Weight in air, such as 23.418+-0.005g.")
@click.option("--water", type=Value("mass"), help="Weight hung in water.")
@click.option("--water-temperature", type=Value("temperature"), help="Of the water; 20degC without.")
@click.option("--magnet", type=_WORDS, default="unknown", show_default=True, help="Does a magnet hold to it?")
@click.option(
    "--colour",
    type=click.Choice(["yellow", "red", "grey", "white", "unknown"]),
    default="unknown",
    show_default=True,
    help="Of the metal at wear that is there already.",
)
@click.option("--hollow", type=_WORDS, default="unknown", show_default=True, help="Hollow or filled?")
@click.option("--plated", type=_WORDS, default="unknown", show_default=True, help="Plated, gilt or painted?")
@shared_options
def metal_command(**given: Any) -> None:
    """Weight in air and water, magnet and colour to the metal, and what it forbids."""
    from underdial.bench.sums.metals import tell_metal
    from underdial.bench.sums.said_of_gauging import metal_lines

    result = tell_metal(**given)
    answer(result, said(metal_lines(result), result))


@click.command("poise")
@click.argument("file")
@click.option("--inertia", type=Value("inertia"), required=True, help="Of the balance, such as 2.1e-7kgm2.")
@click.option("--beats-per-hour", "beats", type=Number(), required=True, help="Beats in an hour.")
@click.option(
    "--radius", type=Value("length"), required=True, help="From the staff to where weight is taken off or put on."
)
@click.option("--gravity", type=Value("acceleration"), help="Gravity of the place; 9.80665m/s2 without.")
@shared_options
def poise_command(file: str, **given: Any) -> None:
    """A FILE of rates in positions (up_deg,amplitude_deg,rate_s_per_day, perhaps rate_u_s_per_day,amplitude_u_deg) to
    the heavy spot.

    up_deg is the rim angle on top, 0 at the impulse pin, clockwise from the dial. Read below 180 deg of amplitude.
    """
    from underdial.bench.sums.drawings import poise_writers
    from underdial.bench.sums.gauging import find_heavy_spot
    from underdial.bench.sums.said_of_gauging import poise_lines

    result = find_heavy_spot(read_text(file), **given)
    answer(result, said(poise_lines(result), result), writers=poise_writers(result, given))


@click.command("bush")
@click.option("--pivot", type=Value("length"), required=True, help="Diameter of the pivot.")
@click.option("--plate", type=Value("length"), help="Thickness of the plate.")
@click.option(
    "--lean", type=Value("angle"), help="Lean that the arbor shall have, one way from upright; or --clearance."
)
@click.option("--clearance", type=Value("length"), help="Hole less pivot, on the diameter; or --lean.")
@click.option("--hole", type=Value("length"), help="Short axis of the worn hole.")
@click.option("--hole-long", type=Value("length"), help="Long axis of the worn hole.")
@click.option("--worn-toward", type=Value("angle"), help="Direction of the wear, clockwise from the dial, 0 at twelve.")
@click.option("--outside", type=Value("length"), help="Outside diameter of the bush.")
@click.option("--interference", type=Value("length"), help="Bush less its hole, on the diameter.")
@click.option("--press-friction", type=Number(), help="Friction of the fit; 0.2 without.")
@click.option(
    "--yield", "yield_stress", type=Value("pressure"), help="Stress at which the metal gives; 200MPa without."
)
@click.option("--modulus", type=Value("pressure"), help="Modulus of bush and plate; 100GPa without.")
@click.option(
    "--mate-toward", type=Value("angle"), help="Direction to the arbor it meshes with: what the wear did to the depth."
)
@click.option("--centre-distance", type=Value("length"), help="To that arbor.")
@click.option("--module", type=Value("length"), help="Of that mesh.")
@click.option("--stock", type=click.Path(), help="The shop's list of bushes: name,outside_mm,bore_mm,length_mm.")
@shared_options
def bush_command(stock: str | None, **given: Any) -> None:
    """A worn hole to its true centre, the bore for the pivot and the fit of the bush.

    All sizes are diameters. One of --lean and --clearance is wanted: opinions differ, so none is taken for granted.
    """
    from underdial.bench.sums.drawings import bush_writers
    from underdial.bench.sums.fitting import size_bush
    from underdial.bench.sums.said_of_gauging import bush_lines

    result = size_bush(stock=read_text(stock, field="stock") if stock else None, **given)
    answer(result, said(bush_lines(result), result), writers=bush_writers(result, given))


@click.command("cone")
@click.option("--tip-radius", type=Value("length"), required=True, help="Radius of the tip's rounding.")
@click.option("--cup-radius", type=Value("length"), required=True, help="Radius of the cup's bottom.")
@click.option("--mass", type=Value("mass"), required=True, help="Of the balance with its staff.")
@click.option("--friction", type=Number(), help="Coefficient of friction; 0.15 without.")
@click.option("--flat-diameter", type=Value("length"), help="Flat worn on the tip.")
@click.option("--end-shake", type=Value("length"), help="End shake of the staff.")
@click.option("--cone-angle", type=Value("angle"), help="Included angle of the cone; 60deg without.")
@click.option("--cup-angle", type=Value("angle"), help="Included angle of the cup; 90deg without.")
@click.option("--gravity", type=Value("acceleration"), help="Gravity of the place; 9.80665m/s2 without.")
@click.option("--modulus", type=Value("pressure"), help="Modulus of both; 205GPa without.")
@click.option("--after-tip-radius", type=Value("length"), help="Tip as it will be: friction after.")
@click.option("--after-cup-radius", type=Value("length"), help="Cup's bottom as it will be.")
@click.option("--after-flat-diameter", type=Value("length"), help="Flat as it will be.")
@click.option("--amplitude-dial-up", type=Value("angle"), help="Amplitude as found, dial up: what it will gain.")
@click.option("--amplitude-upright", type=Value("angle"), help="Amplitude as found, upright.")
@click.option("--inertia", type=Value("inertia"), help="Of the balance, for the amplitude.")
@click.option("--beats-per-hour", "beats", type=Number(), help="Beats in an hour, for the amplitude.")
@click.option(
    "--quality", type=Number(), help="Quality factor of the balance without its pivots' friction; 130+-30 without."
)
@click.option("--staff-length", type=Value("length"), help="Over both tips: what is left when re-pointed.")
@click.option("--pit", type=Value("length"), help="Depth of pitting that has to go.")
@shared_options
def cone_command(**given: Any) -> None:
    """A cone pivot in its cup: where it rubs, how much it brakes dial up and upright, its shake; and what re-pointing
    gains.
    """
    from underdial.bench.sums.drawings import cone_writers
    from underdial.bench.sums.fitting import gauge_cone
    from underdial.bench.sums.said_of_gauging import cone_lines

    typed = dict(given)
    after = {name: given.pop(f"after_{name}") for name in ("tip_radius", "cup_radius", "flat_diameter")}
    arcs = {name: given.pop(f"amplitude_{name}") for name in ("dial_up", "upright")}
    result = gauge_cone(after=after, arcs=arcs, **given)
    answer(result, said(cone_lines(result), result), writers=cone_writers(result, typed))
