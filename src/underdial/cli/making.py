"""`spring`, `hairspring`, `pendulum`, `teeth`, `pallets`: what is wanted to the size of the part that is made."""

from __future__ import annotations

from typing import Any

import click

from underdial.cli.frame import Number, Value, answer, read_text, said, shared_options
from underdial.cli.trains import place_options
from underdial.errors import BadInput
from underdial.units import Quantity


class Counts(click.ParamType[tuple[int, ...]]):
    """Whole numbers by comma, such as 15,16,17."""

    name = "counts"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[int, ...]:
        if isinstance(value, tuple):
            return value
        field = (param.name or "counts") if param else "counts"
        try:
            found = tuple(int(one) for one in str(value).split(","))
        except ValueError:
            raise BadInput(field, value, "whole numbers by comma, such as 15,16,17") from None
        if not all(2 <= one <= 1000 for one in found):
            raise BadInput(field, value, "2 to 1000 each")
        return found


@click.command("spring")
@click.option("--barrel", "barrel_given", type=Value("length"), required=True, help="Inside diameter of the barrel.")
@click.option("--arbor", type=Value("length"), required=True, help="Diameter of the arbor.")
@click.option("--thickness", type=Value("length"), required=True, help="Thickness of the spring.")
@click.option("--height", type=Value("length"), required=True, help="Height of the spring.")
@click.option("--length", type=Value("length"), help="Length of the spring; most turns without.")
@click.option("--modulus", type=Value("pressure"), help="Modulus of elasticity; 205GPa without.")
@click.option("--free-coils", type=Number(), help="Coils of the spring lying free; 4+-2 without.")
@click.option("--instead-of", help='The spring it replaces, such as "0.44mm x 19mm x 1400mm".')
@click.option("--stock", type=click.Path(), help="A list to choose from: name,thickness_mm,height_mm,length_mm.")
@click.option("--turns-needed", type=float, help="Turns of the barrel in the going time.")
@click.option("--room-height", type=Value("length"), help="Height inside the barrel.")
@shared_options
def spring_command(stock: str | None, **given: Any) -> None:
    """A mainspring in its barrel: turns, torque, energy; against the one it replaces; choice from a list."""
    from underdial.bench.sums.drawings import spring_writers
    from underdial.bench.sums.making import size_spring
    from underdial.bench.sums.said_of_making import spring_lines

    result = size_spring(stock=read_text(stock, field="stock") if stock else None, **given)
    answer(result, said(spring_lines(result), result), writers=spring_writers(result, given))


@click.command("hairspring")
@click.option("--beats-per-hour", "beats", type=Number(), required=True, help="Beats in an hour that are wanted.")
@click.option("--inertia", type=Value("inertia"), help="Of the balance; or --screws with --beats-with.")
@click.option("--height", type=Value("length"), required=True, help="Height of the strip.")
@click.option("--thickness", type=Value("length"), required=True, help="Thickness of the strip.")
@click.option("--modulus", type=Value("pressure"), help="Modulus of elasticity; 205GPa without.")
@click.option("--rate", type=Value("rate"), help="Rate observed, + gains: how much to let out.")
@click.option("--length", type=Value("length"), help="Active length now, where it was measured.")
@click.option(
    "--vibrated", type=Number(), help="Beats counted with the spring held at the trial point, such as 118+-0.5."
)
@click.option("--vibrated-for", type=Value("time"), help="Time of that count.")
@click.option("--screws", help='Screws added to find the inertia, such as "2 x 35mg at 8.2mm".')
@click.option("--beats-with", type=Number(), help="Beats in an hour with those screws.")
@click.option(
    "--balance-metal",
    type=click.Choice(["brass", "steel", "iron", "copper", "invar"]),
    help="Of the balance: change of rate with warmth, steel spring.",
)
@shared_options
def hairspring_command(**given: Any) -> None:
    """A hairspring for a balance: strength, length, how much to let out (+) or take up (-)."""
    from underdial.bench.sums.making import size_hairspring
    from underdial.bench.sums.said_of_making import hairspring_lines

    result = size_hairspring(**given)
    answer(result, said(hairspring_lines(result), result))


@click.command("pendulum")
@click.option("--length", type=Value("length"), help="Pivot to centre of oscillation; or --beats-per-hour.")
@click.option("--beats-per-hour", "beats", type=Number(), help="Beats in an hour; or --length.")
@click.option("--pitch", type=Value("length"), help="Rise of the rating nut in a turn.")
@click.option("--rate", type=Value("rate"), help="Rate observed, + gains.")
@click.option("--half-arc", type=Value("angle"), help="Arc to one side of rest.")
@click.option("--rod", type=click.Choice(["steel", "brass", "wood", "invar"]), help="What the rod is made of.")
@click.option(
    "--bob-mass",
    type=Value("mass"),
    help="Of the bob: where its middle has to hang, and the nut with the rod's weight counted.",
)
@click.option("--bob-diameter", type=Value("length"), help="Of a round flat bob; a point without.")
@click.option("--rod-mass", type=Value("mass"), help="Of the rod.")
@click.option(
    "--rod-length",
    type=Value("length"),
    help="Of the rod from the point of suspension; as long as the pendulum without.",
)
@click.option(
    "--suspension",
    help='The suspension spring, such as "0.10mm x 5mm x 12mm": thickness, width of all strips, free length.',
)
@click.option("--suspension-instead-of", help="The spring it replaces: what the change does to the rate.")
@place_options
@shared_options
def pendulum_command(gravity_given: Quantity | None, latitude: Quantity | None, **given: Any) -> None:
    """A pendulum: length, right length from its rate, turns of the nut (+ raises the bob), warmth, circular error."""
    from underdial.bench.sums.drawings import pendulum_writers
    from underdial.bench.sums.pendulums import size_pendulum
    from underdial.bench.sums.said_of_making import pendulum_lines
    from underdial.bench.sums.trains import gravity_of

    gravity, assumed = gravity_of(gravity_given, latitude)
    result = size_pendulum(gravity=gravity, gravity_assumed=bool(assumed), **given)
    answer(result, said(pendulum_lines(result), result), writers=pendulum_writers(result))


@click.command("teeth")
@click.argument("counts", metavar="WHEEL/PINION")
@click.option("--module", type=Value("length"), required=True, help="Pitch diameter over teeth.")
@click.option("--shortening", type=float, help="Part of the pointed height that is left; 0.95 without.")
@click.option("--depth-error", type=Value("length"), help="Centre distance less the right one, + too far apart.")
@click.option("--friction", type=float, help="Coefficient of friction; 0.15 without.")
@click.option(
    "--worm",
    type=int,
    help="Turns of the dividing head's handle for one turn of the work: turns and holes for a tooth.",
)
@click.option("--circles", type=Counts(), default=(), help="Hole circles at hand, such as 15,16,17.")
@shared_options
def teeth_command(counts: str, **given: Any) -> None:
    """A wheel and the pinion it drives, such as 64/8: form, sizes, depth, efficiency; --out FILE draws them."""
    from underdial.bench.sums.cutting import size_teeth
    from underdial.bench.sums.drawings import teeth_writers
    from underdial.bench.sums.said_of_making import teeth_lines

    result = size_teeth(counts, **given)
    answer(result, said(teeth_lines(result), result), writers=teeth_writers(result))


@click.command("pallets")
@click.option("--escape", "escape_count", type=int, required=True, help="Teeth of the escape wheel.")
@click.option("--radius", type=Value("length"), required=True, help="Of the escape wheel over its teeth.")
@click.option("--span", type=float, required=True, help="Spaces between the pallets, such as 7.5.")
@click.option("--kind", type=click.Choice(["deadbeat", "recoil", "pin"]), default="deadbeat", show_default=True)
@click.option("--lift", type=Value("angle"), help="Of the pallets; 2deg without.")
@click.option("--drop", type=Value("angle"), help="Of the wheel; 1.5deg without.")
@click.option("--lock", type=Value("angle"), help="Of the pallets; 1deg without.")
@click.option("--pin-diameter", type=Value("length"), help="For pin pallets.")
@click.option(
    "--recoil", type=Value("angle"), help="For recoil pallets: slope of the face from its arc; 20deg without."
)
@click.option("--friction", type=float, help="Coefficient of friction; 0.15 without.")
@click.option("--centres", type=Value("length"), help="Centre distance as measured: lock and drop as they come.")
@shared_options
def pallets_command(**given: Any) -> None:
    """Pallets to size from wheel, span, lift, lock and drop; --out FILE draws them."""
    from underdial.bench.sums.cutting import size_pallets
    from underdial.bench.sums.drawings import pallets_writers
    from underdial.bench.sums.said_of_making import pallets_lines

    result = size_pallets(**given)
    answer(result, said(pallets_lines(result), result), writers=pallets_writers(result))
