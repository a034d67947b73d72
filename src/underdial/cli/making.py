"""`spring`, `hairspring`, `pendulum`, `teeth`, `pallets`: what is wanted to the size of the part that is made."""

from __future__ import annotations

from typing import Any

import click

from underdial.cli.frame import Number, Value, answer, read_text, shared_options
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
@click.option("--instead-of", help="The spring it replaces, such as \"0.44mm x 19mm x 1400mm\".")
@click.option("--stock", type=click.Path(), help="A list to choose from: name,thickness_mm,height_mm,length_mm.")
@click.option("--turns-needed", type=float, help="Turns of the barrel in the going time.")
@click.option("--room-height", type=Value("length"), help="Height inside the barrel.")
@shared_options
def spring_command(stock: str | None, **given: Any) -> None:
    """A mainspring in its barrel: turns, torque, energy; against the one it replaces; choice from a list."""
    from underdial.bench.drawings import spring_writers
    from underdial.bench.making import size_spring

    result = size_spring(stock=read_text(stock, field="stock") if stock else None, **given)
    lines = [f"{_pm(result['turns'], result['turns_u'], '')} turns from {_pm(result['length_m'] * 1e3, result['length_u_m'] * 1e3, 'mm', 4)}; the spring fills {100 * result['fill_ratio']:.0f} % of the room.",
             f"{_pm(result['torque_per_turn_n_m'] * 1e3, result['torque_per_turn_u_n_m'] * 1e3, 'mN m')} for each turn, about {_pm(result['torque_full_n_m'] * 1e3, result['torque_full_u_n_m'] * 1e3, 'mN m')} "
             f"fully wound; {_pm(result['stored_j'], result['stored_u_j'], 'J')} in it. Let it down before anything is opened."]
    if result["torque_against_ratio"] is not None:
        lines.append(f"{result['torque_against_ratio']:.2f} times as strong as the one it replaces.")
    lines += [f"  {one['name']}: {'will do' if not one['against'] else '; '.join(one['against'])}" for one in result["stock"] or ()]
    answer(result, "\n".join([*lines, *result["warnings"]]), writers=spring_writers(result, given))


@click.command("hairspring")
@click.option("--beats-per-hour", "beats", type=Number(), required=True, help="Beats in an hour that are wanted.")
@click.option("--inertia", type=Value("inertia"), help="Of the balance; or --screws with --beats-with.")
@click.option("--height", type=Value("length"), required=True, help="Height of the strip.")
@click.option("--thickness", type=Value("length"), required=True, help="Thickness of the strip.")
@click.option("--modulus", type=Value("pressure"), help="Modulus of elasticity; 205GPa without.")
@click.option("--rate", type=Value("rate"), help="Rate observed, + gains: how much to let out.")
@click.option("--length", type=Value("length"), help="Active length now, where it was measured.")
@click.option("--vibrated", type=Number(), help="Beats counted with the spring held at the trial point, such as 118+-0.5.")
@click.option("--vibrated-for", type=Value("time"), help="Time of that count.")
@click.option("--screws", help="Screws added to find the inertia, such as \"2 x 35mg at 8.2mm\".")
@click.option("--beats-with", type=Number(), help="Beats in an hour with those screws.")
@click.option("--balance-metal", type=click.Choice(["brass", "steel", "iron", "copper", "invar"]), help="Of the balance: change of rate with warmth, steel spring.")
@shared_options
def hairspring_command(**given: Any) -> None:
    """A hairspring for a balance: strength, length, how much to let out (+) or take up (-)."""
    from underdial.bench.making import size_hairspring

    result = size_hairspring(**given)
    lines = [f"Strength {_pm(result['stiffness_n_m_per_rad'] * 1e6, result['stiffness_u_n_m_per_rad'] * 1e6, 'µN m a radian', 4)}; {_pm(result['length_m'] * 1e3, result['length_u_m'] * 1e3, 'mm', 4)} of this strip.",
             f"A millimetre longer loses {-result['rate_s_per_day_per_m'] / 1e3:.0f} s/d; a micrometre thicker gains {result['thickness_s_per_day_per_um']:.0f} s/d."]
    if result["vibrated_beats_per_hour"] is not None:
        lines.append(f"Counted: {_pm(result['vibrated_beats_per_hour'], result['vibrated_beats_u_per_hour'], 'beats an hour', 5)}, a rate of {_signed(result['rate_s_per_day'])} s/d.")
    if result["let_out_m"] is not None:
        lines.append(f"{'Let out' if result['let_out_m'] >= 0 else 'Take up'} {_pm(abs(result['let_out_m']) * 1e3, result['let_out_u_m'] * 1e3, 'mm')}.")
    if result["temperature_s_per_day_per_k"] is not None:
        lines.append(f"A degree warmer: {_signed(result['temperature_s_per_day_per_k'])} s/d.")
    answer(result, "\n".join([*lines, *result["warnings"]]))


@click.command("pendulum")
@click.option("--length", type=Value("length"), help="Pivot to centre of oscillation; or --beats-per-hour.")
@click.option("--beats-per-hour", "beats", type=Number(), help="Beats in an hour; or --length.")
@click.option("--pitch", type=Value("length"), help="Rise of the rating nut in a turn.")
@click.option("--rate", type=Value("rate"), help="Rate observed, + gains.")
@click.option("--half-arc", type=Value("angle"), help="Arc to one side of rest.")
@click.option("--rod", type=click.Choice(["steel", "brass", "wood", "invar"]), help="What the rod is made of.")
@click.option("--bob-mass", type=Value("mass"), help="Of the bob: where its middle has to hang, and the nut with the rod's weight counted.")
@click.option("--bob-diameter", type=Value("length"), help="Of a round flat bob; a point without.")
@click.option("--rod-mass", type=Value("mass"), help="Of the rod.")
@click.option("--rod-length", type=Value("length"), help="Of the rod from the point of suspension; as long as the pendulum without.")
@place_options
@shared_options
def pendulum_command(gravity_given: Quantity | None, latitude: Quantity | None, **given: Any) -> None:
    """A pendulum: length, right length from its rate, turns of the nut (+ raises the bob), warmth, circular error."""
    from underdial.bench.drawings import pendulum_writers
    from underdial.bench.making import size_pendulum
    from underdial.bench.trains import gravity_of

    gravity, assumed = gravity_of(gravity_given, latitude)
    result = size_pendulum(gravity=gravity, gravity_assumed=bool(assumed), **given)
    lines = [f"{_pm(result['length_m'] * 1e3, result['length_u_m'] * 1e3, 'mm', 5)} to the centre of oscillation: {_pm(result['beats_per_hour'], result['beats_u_per_hour'], 'beats an hour', 5)}."]
    if result["right_length_m"] is not None:
        lines.append(f"Right length {_pm(result['right_length_m'] * 1e3, result['right_length_u_m'] * 1e3, 'mm', 6)}.")
    if result["nut_s_per_day_per_turn"] is not None:
        lines.append(f"One turn of the nut is {_pm(result['nut_s_per_day_per_turn'], result['nut_u_s_per_day_per_turn'], 's/d')}.")
    if result["turns"] is not None:
        lines.append(f"{'Raise' if result['turns'] >= 0 else 'Lower'} the bob by {_pm(abs(result['turns']), result['turns_u'], 'turns', 4)}.")
    if result["bob_centre_m"] is not None:
        lines.append(f"The middle of the bob hangs at {_pm(result['bob_centre_m'] * 1e3, result['bob_centre_u_m'] * 1e3, 'mm', 6)}.")
    if result["nut_with_rod_s_per_day_per_turn"] is not None:
        lines.append(f"With the rod's weight one turn is {_pm(result['nut_with_rod_s_per_day_per_turn'], result['nut_with_rod_u_s_per_day_per_turn'], 's/d')}.")
    if result["temperature_s_per_day_per_k"] is not None:
        lines.append(f"A degree warmer: {_signed(result['temperature_s_per_day_per_k'], 3)} s/d.")
    if result["circular_error_s_per_day"] is not None:
        lines.append(f"Circular error {_signed(result['circular_error_s_per_day'], 2)} s/d.")
    answer(result, "\n".join([*lines, *result["warnings"]]), writers=pendulum_writers(result))


@click.command("teeth")
@click.argument("counts", metavar="WHEEL/PINION")
@click.option("--module", type=Value("length"), required=True, help="Pitch diameter over teeth.")
@click.option("--shortening", type=float, help="Part of the pointed height that is left; 0.95 without.")
@click.option("--depth-error", type=Value("length"), help="Centre distance less the right one, + too far apart.")
@click.option("--friction", type=float, help="Coefficient of friction; 0.15 without.")
@click.option("--worm", type=int, help="Turns of the dividing head's handle for one turn of the work: turns and holes for a tooth.")
@click.option("--circles", type=Counts(), default=(), help="Hole circles at hand, such as 15,16,17.")
@shared_options
def teeth_command(counts: str, **given: Any) -> None:
    """A wheel and the pinion it drives, such as 64/8: form, sizes, depth, efficiency; --out FILE draws them."""
    from underdial.bench.cutting import size_teeth
    from underdial.bench.drawings import teeth_writers

    result = size_teeth(counts, **given)
    wheel, pinion = result["wheel"], result["pinion"]
    lines = [f"Wheel of {wheel['teeth_count']}: {_pm(wheel['outside_diameter_m'] * 1e3, wheel['outside_diameter_u_m'] * 1e3, 'mm', 5)} over the teeth, {wheel['pitch_diameter_m'] * 1e3:.4g} mm pitch; "
             f"addendum {wheel['addendum_ratio']:.3f} modules (pointed {wheel['addendum_pointed_ratio']:.3f}).",
             f"Pinion of {pinion['teeth_count']}: {_pm(pinion['outside_diameter_m'] * 1e3, pinion['outside_diameter_u_m'] * 1e3, 'mm', 5)} over the leaves, leaf {pinion['leaf_thickness_m'] * 1e3:.3g} mm thick.",
             f"Centres {_pm(result['centre_distance_m'] * 1e3, result['centre_distance_u_m'] * 1e3, 'mm', 5)} apart. Efficiency {result['efficiency_ratio']:.3f}, speed {result['velocity_ratio'][0]:.2f} to {result['velocity_ratio'][1]:.2f}."]
    lines += [f"Cutter of the {name}: {part['cutter']['depth_of_cut_m'] * 1e3:.3f} mm deep, {part['cutter']['space_at_pitch_m'] * 1e3:.3f} mm wide at the pitch circle." for name, part in (("wheel", wheel), ("pinion", pinion))]
    lines += [f"Dividing the {name}: {part['index']['words']}." for name, part in (("wheel", wheel), ("pinion", pinion)) if part["index"]]
    answer(result, "\n".join([*lines, *result["warnings"]]), writers=teeth_writers(result))


@click.command("pallets")
@click.option("--escape", "escape_count", type=int, required=True, help="Teeth of the escape wheel.")
@click.option("--radius", type=Value("length"), required=True, help="Of the escape wheel over its teeth.")
@click.option("--span", type=float, required=True, help="Spaces between the pallets, such as 7.5.")
@click.option("--kind", type=click.Choice(["deadbeat", "recoil", "pin"]), default="deadbeat", show_default=True)
@click.option("--lift", type=Value("angle"), help="Of the pallets; 2deg without.")
@click.option("--drop", type=Value("angle"), help="Of the wheel; 1.5deg without.")
@click.option("--lock", type=Value("angle"), help="Of the pallets; 1deg without.")
@click.option("--pin-diameter", type=Value("length"), help="For pin pallets.")
@click.option("--recoil", type=Value("angle"), help="For recoil pallets: slope of the face from its arc; 20deg without.")
@click.option("--friction", type=float, help="Coefficient of friction; 0.15 without.")
@click.option("--centres", type=Value("length"), help="Centre distance as measured: lock and drop as they come.")
@shared_options
def pallets_command(**given: Any) -> None:
    """Pallets to size from wheel, span, lift, lock and drop; --out FILE draws them."""
    from underdial.bench.cutting import size_pallets
    from underdial.bench.drawings import pallets_writers

    result = size_pallets(**given)
    lines = [f"Centres {_pm(result['centre_distance_m'] * 1e3, result['centre_distance_u_m'] * 1e3, 'mm', 5)} apart, arm {result['pallet_radius_m'] * 1e3:.3f} mm, pallets {result['width_m'] * 1e3:.3f} mm wide."]
    lines += [f"{name.capitalize()}: locks at {one['locking_radius_m'] * 1e3:.3f} mm, releases at {one['releasing_radius_m'] * 1e3:.3f} mm, impulse face {one['impulse_face_m'] * 1e3:.3f} mm." for name, one in (("entry", result["entry"]), ("exit", result["exit"]))]
    if result["as_set"] is not None:
        came = result["as_set"]
        lines.append(f"At {came['centres_m'] * 1e3:.3f} mm: entry drop {_pm(came['entry_drop_deg'], came['entry_drop_u_deg'], 'deg')}, lock {_pm(came['entry_lock_deg'], came['entry_lock_u_deg'], 'deg')}; "
                     f"exit drop {_pm(came['exit_drop_deg'], came['exit_drop_u_deg'], 'deg')}, lock {_pm(came['exit_lock_deg'], came['exit_lock_u_deg'], 'deg')}.")
        lines += [f"At these centres: {came['words']}."] if came["words"] else []
    answer(result, "\n".join([*lines, *result["warnings"]]), writers=pallets_writers(result))


def _pm(value: float, u: float, unit: str, digits: int = 3) -> str:
    """Value with its error where there is one: `1.27 ± 0.01 mm`."""
    text = _plain(value, digits) + (f" ± {_plain(u, 2)}" if u > 0.0 else "")
    return f"{text} {unit}".strip().replace("-", "−")


def _plain(value: float, digits: int) -> str:
    """So many figures, never with an exponent."""
    text = f"{value:.{digits}g}"
    return f"{float(text):.0f}" if "e+" in text else f"{float(text):.10f}".rstrip("0").rstrip(".") if "e-" in text else text


def _signed(value: float, digits: int = 1) -> str:
    return f"{value:+.{digits}f}".replace("-", "−")
