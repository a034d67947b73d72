"""`runout`, `metal`, `poise`, `bush`, `cone`: readings of the bench to what they mean and the size of what is made."""

from __future__ import annotations

from typing import Any

import click

from underdial.cli.frame import Number, Value, answer, read_text, shared_options
from underdial.errors import BadInput
from underdial.units import Quantity, shown

_WORDS = click.Choice(["yes", "no", "unknown"])


@click.command("runout")
@click.argument("file")
@click.option("--noise", type=Value("length"), help="Standard deviation of one reading, such as 1.5um; else taken from the readings.")
@click.option("--wanted", type=Value("length"), help="Bend, as full movement at the free end, that must not be overlooked; 40um without.")
@click.option("--gauge-scale", "scale", type=Number(), help="True movement over movement shown, such as 1.00+-0.02.")
@click.option("--radius", type=Value("length"), help="For a wheel (columns angle_deg,face_um,rim_um): radius at which the face was read.")
@click.option("--over-teeth", is_flag=True, help="The rim of a wheel was read over its teeth: readings in gaps are left out.")
@shared_options
def runout_command(file: str, noise: Quantity | None, wanted: Quantity | None, scale: tuple[float, float] | None, radius: Quantity | None, over_teeth: bool) -> None:
    """A FILE of dial-gauge readings (z_mm,angle_deg,reading_um and perhaps direction) to the bend in the part.

    z counts from the chuck outward; the angle names the point of the part under the plunger, clockwise seen from the
    free end; the reading grows as metal comes nearer.
    """
    from underdial.bench.drawings import runout_writers
    from underdial.bench.gauging import read_runout, read_wheel_runout

    text = read_text(file)
    if radius is not None:
        result = read_wheel_runout(text, radius=radius, over_teeth=over_teeth)
        answer(result, _wheel_words(result))
        return
    result = read_runout(text, noise=noise, scale=scale, wanted=wanted)
    answer(result, _runout_words(result), writers=runout_writers(result))


@click.command("metal")
@click.option("--air", type=Value("mass"), help="Weight in air, such as 23.418+-0.005g.")
@click.option("--water", type=Value("mass"), help="Weight hung in water.")
@click.option("--water-temperature", type=Value("temperature"), help="Of the water; 20degC without.")
@click.option("--magnet", type=_WORDS, default="unknown", show_default=True, help="Does a magnet hold to it?")
@click.option("--colour", type=click.Choice(["yellow", "red", "grey", "white", "unknown"]), default="unknown", show_default=True, help="Of the metal at wear that is there already.")
@click.option("--hollow", type=_WORDS, default="unknown", show_default=True, help="Hollow or filled?")
@click.option("--plated", type=_WORDS, default="unknown", show_default=True, help="Plated, gilt or painted?")
@shared_options
def metal_command(**given: Any) -> None:
    """Weight in air and water, magnet and colour to the metal, and what it forbids."""
    from underdial.bench.metals import tell_metal

    result = tell_metal(**given)
    lines = []
    if result["density_kg_per_m3"] is not None:
        lines.append(f"Density {result['density_kg_per_m3']:.0f} ± {result['density_u_kg_per_m3']:.0f} kg/m3.")
    lines += [f"  {one['metal'].replace('_', ' ')}: {_chance(one['probability'])}" for one in result["metals"] if one["probability"] >= 0.01]
    lines += [f"Not to be done: {one['words']} ({one['because']})." for one in result["forbids"]]
    lines.append(f"Next: {result['next_test'].replace('_', ' ')}." if result["next_test"] else "No further test would tell much more.")
    answer(result, "\n".join([*lines, *result["warnings"]]))


@click.command("poise")
@click.argument("file")
@click.option("--inertia", type=Value("inertia"), required=True, help="Of the balance, such as 2.1e-7kgm2.")
@click.option("--beats-per-hour", "beats", type=Number(), required=True, help="Beats in an hour.")
@click.option("--radius", type=Value("length"), required=True, help="From the staff to where weight is taken off or put on.")
@click.option("--gravity", type=Value("acceleration"), help="Gravity of the place; 9.80665m/s2 without.")
@shared_options
def poise_command(file: str, **given: Any) -> None:
    """A FILE of rates in positions (up_deg,amplitude_deg,rate_s_per_day and perhaps rate_u_s_per_day) to the heavy spot.

    up_deg is the rim angle on top, 0 at the impulse pin, clockwise from the dial. Read below 180 deg of amplitude.
    """
    from underdial.bench.gauging import find_heavy_spot

    result = find_heavy_spot(read_text(file), **given)
    if result["verdict"] == "refused":
        answer(result, str(result["reason"]))
        return
    head = (f"Heavy by {result['heavy_mass_mg']:.2f} ± {result['heavy_mass_u_mg']:.2f} mg at {result['angle_deg']:.0f} ± {result['angle_u_deg']:.0f} deg; "
            f"without it the rate would be {_signed(result['base_rate_s_per_day'])} s/d.")
    answer(result, "\n".join([head, *([result["advice"]] if result["advice"] else []), *result["warnings"]]))


@click.command("bush")
@click.option("--pivot", type=Value("length"), required=True, help="Diameter of the pivot.")
@click.option("--plate", type=Value("length"), help="Thickness of the plate.")
@click.option("--lean", type=Value("angle"), help="Lean that the arbor shall have, one way from upright; or --clearance.")
@click.option("--clearance", type=Value("length"), help="Hole less pivot, on the diameter; or --lean.")
@click.option("--hole", type=Value("length"), help="Short axis of the worn hole.")
@click.option("--hole-long", type=Value("length"), help="Long axis of the worn hole.")
@click.option("--worn-toward", type=Value("angle"), help="Direction of the wear, clockwise from the dial, 0 at twelve.")
@click.option("--outside", type=Value("length"), help="Outside diameter of the bush.")
@click.option("--interference", type=Value("length"), help="Bush less its hole, on the diameter.")
@click.option("--press-friction", type=Number(), help="Friction of the fit; 0.2 without.")
@click.option("--yield", "yield_stress", type=Value("pressure"), help="Stress at which the metal gives; 200MPa without.")
@click.option("--modulus", type=Value("pressure"), help="Modulus of bush and plate; 100GPa without.")
@click.option("--mate-toward", type=Value("angle"), help="Direction to the arbor it meshes with: what the wear did to the depth.")
@click.option("--centre-distance", type=Value("length"), help="To that arbor.")
@click.option("--module", type=Value("length"), help="Of that mesh.")
@click.option("--stock", type=click.Path(), help="The shop's list of bushes: name,outside_mm,bore_mm,length_mm.")
@shared_options
def bush_command(stock: str | None, **given: Any) -> None:
    """A worn hole to its true centre, the bore for the pivot and the fit of the bush.

    All sizes are diameters. One of --lean and --clearance is wanted: opinions differ, so none is taken for granted.
    """
    from underdial.bench.drawings import bush_writers
    from underdial.bench.fitting import size_bush

    if given["lean"] is None and given["clearance"] is None:
        raise BadInput("clearance", "nothing", "--clearance or --lean, one of the two", "clearance: give either --clearance or --lean; opinions on both differ, so none is taken for granted")
    if given["lean"] is not None and given["plate"] is None:
        raise BadInput("plate", "nothing", "a thickness, such as 1.6mm", "plate: give its thickness beside --lean, such as --plate 1.6mm")
    result = size_bush(stock=read_text(stock, field="stock") if stock else None, **given)
    answer(result, _bush_words(result), writers=bush_writers(result, given))


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
@click.option("--quality", type=Number(), help="Quality factor of the balance without its pivots' friction; 130+-30 without.")
@click.option("--staff-length", type=Value("length"), help="Over both tips: what is left when re-pointed.")
@click.option("--pit", type=Value("length"), help="Depth of pitting that has to go.")
@shared_options
def cone_command(**given: Any) -> None:
    """A cone pivot in its cup: where it rubs, how much it brakes dial up and upright, its shake; and what re-pointing gains."""
    from underdial.bench.fitting import gauge_cone

    after = {name: given.pop(f"after_{name}") for name in ("tip_radius", "cup_radius", "flat_diameter")}
    arcs = {name: given.pop(f"amplitude_{name}") for name in ("dial_up", "upright")}
    result = gauge_cone(after=after, arcs=arcs, **given)
    answer(result, _cone_words(result))


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")


def _chance(p: float) -> str:
    return "above 98 in 100" if p > 0.98 else f"about {round(100 * p)} in 100"


def _runout_words(result: dict[str, Any]) -> str:
    smallest = f"These readings would show a bend of {shown(result['smallest_tir_m'], 'um', digits=2)} at the free end." if result["smallest_tir_m"] is not None else ""
    if result["verdict"] == "refused":
        return "\n".join(one for one in (result["reason"], *result["warnings"]) if one)
    lines = ["Straight: what shows is the set of the chuck." if result["verdict"] == "straight" else ("Bowed." if result["model"] == "bow" else "Bent.")]
    bend = result["bend"]
    if bend is not None and result["model"] == "kink":
        lines[0] = (f"Bent at {bend['z_m'] * 1e3:.1f} ± {bend['z_u_m'] * 1e3:.1f} mm towards {bend['angle_deg']:.0f} ± {bend['angle_u_deg']:.0f} deg, "
                    f"{bend['slope_m_per_m'] * 1e3:.2f} ± {bend['slope_u_m_per_m'] * 1e3:.2f} µm a mm: {bend['tir_at_end_m'] * 1e6:.0f} µm of movement at the free end.")
    lines += [f"  {one['z_m'] * 1e3:g} mm: {one['tir_m'] * 1e6:.1f} µm of movement, high at {one['angle_deg']:.0f} deg; oval by {one['ovality_m'] * 1e6:.1f} µm" for one in result["stations"]]
    lines += [result["advice"] or "", smallest + f" Noise {shown(result['noise_m'], 'um', digits=2)}.", *result["warnings"]]
    return "\n".join(one for one in lines if one)


def _wheel_words(result: dict[str, Any]) -> str:
    lines = []
    if result["askew_deg"] is not None:
        lines.append(f"Askew on its arbor by {result['askew_deg']:.2f} ± {result['askew_u_deg']:.2f} deg ({result['face_tir_m'] * 1e6:.0f} µm at the face, high at "
                     f"{result['face_angle_deg']:.0f} deg); the rim itself is out of flat by {result['out_of_flat_m'] * 1e6:.0f} µm.")
    if result["eccentricity_m"] is not None:
        lines.append(f"Off its centre by {result['eccentricity_m'] * 1e6:.0f} ± {result['eccentricity_u_m'] * 1e6:.0f} µm towards {result['eccentricity_angle_deg']:.0f} deg; "
                     f"out of round by {result['out_of_round_m'] * 1e6:.0f} µm. {result['gaps_count']} readings fell between teeth.")
    return "\n".join(lines)


def _bush_words(result: dict[str, Any]) -> str:
    lines = [f"Bore {result['bore_m'] * 1e3:.3f} ± {result['bore_u_m'] * 1e3:.3f} mm, {result['clearance_m'] * 1e6:.0f} µm over the pivot."]
    if result["centre_offset_m"] is not None:
        lines.append(f"The true centre lies {result['centre_offset_m'] * 1e3:.3f} ± {result['centre_offset_u_m'] * 1e3:.3f} mm from the middle of the worn hole"
                     + (f", towards {result['centre_toward_deg']:.0f} deg" if result["centre_toward_deg"] is not None else "")
                     + f"; a bush of {result['cleans_up_m'] * 1e3:.2f} mm or more takes all wear away.")
    if result["bore_before_m"] is not None:
        lines.append(f"Make the bore {result['bore_before_m'] * 1e3:.4f} mm: pressed in at {result['pressure_pa'] / 1e6:.0f} MPa it closes by {result['bore_closes_m'] * 1e6:.1f} µm. "
                     f"{result['push_out_n']:.0f} N push it out; {result['hoop_pa'] / 1e6:.0f} MPa at the bore.")
    if result["depth_change_m"] is not None:
        lines.append(f"The wear has changed the centre distance by {result['depth_change_m'] * 1e6:+.0f} µm.")
    if result["stock"] is not None:
        lines.append(f"From the stock: {result['stock']['chosen'] or 'none will do'}.")
    return "\n".join([*lines, *([result["reason"]] if result.get("reason") else []), *result["warnings"]])


def _cone_words(result: dict[str, Any]) -> str:
    def line(name: str, one: dict[str, Any]) -> str:
        return f"{name}: rubs on a {one['contact']}, {one['torque_n_m'] * 1e9:.3g} ± {one['torque_u_n_m'] * 1e9:.2g} nN m ({shown(one['effective_radius_m'], 'mm')} of friction radius)."

    lines = [line("Dial up", result["dial_up"]), line("Upright", result["upright"])]
    if result["side_shake_m"] is not None:
        lines.append(f"Side shake {shown(result['side_shake_m'], 'um', digits=2)} to each side.")
    after = result["after"]
    if after is not None:
        lines += [line("After, dial up", after["dial_up"]), line("After, upright", after["upright"])]
        lines += [f"Amplitude {name}: {after[f'amplitude_{key}_deg']:.0f} ± {after[f'amplitude_{key}_u_deg']:.0f} deg after." for key, name in (("dial_up", "dial up"), ("upright", "upright")) if after[f"amplitude_{key}_deg"] is not None]
        if after["staff_left_m"] is not None:
            lines.append(f"Staff left: {after['staff_left_m'] * 1e3:.2f} mm; the cone's flank moves back by {after['flank_back_m'] * 1e3:.2f} mm.")
        lines += [after["staff_words"]] if after["staff_words"] else []
    return "\n".join([*lines, *result["warnings"]])
