"""What the answers on springs, pendulums, teeth and pallets say in bench words: one list of lines for the command and
for the page.

Warnings are not among them; whoever shows the lines shows the warnings beside them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def spring_lines(result: Mapping[str, Any]) -> list[str]:
    """Turns, length and fill; torque and what is stored; against the old one; each spring of the list."""
    lines = [
        f"{_pm(result['turns'], result['turns_u'], '')} turns from "
        f"{_pm(result['length_m'] * 1e3, result['length_u_m'] * 1e3, 'mm', 4)}; the spring fills "
        f"{100 * result['fill_ratio']:.0f} % of the room.",
        f"{_pm(result['torque_per_turn_n_m'] * 1e3, result['torque_per_turn_u_n_m'] * 1e3, 'mN m')} for each turn, "
        f"about {_pm(result['torque_full_n_m'] * 1e3, result['torque_full_u_n_m'] * 1e3, 'mN m')} "
        f"fully wound; {_pm(result['stored_j'], result['stored_u_j'], 'J')} in it. Let it down before anything is "
        "opened.",
    ]
    if result["torque_against_ratio"] is not None:
        lines.append(f"{result['torque_against_ratio']:.2f} times as strong as the one it replaces.")
    lines += [
        f"  {one['name']}: {'will do' if not one['against'] else '; '.join(one['against'])}"
        for one in result["stock"] or ()
    ]
    return lines


def hairspring_lines(result: Mapping[str, Any]) -> list[str]:
    """Strength and length; what a millimetre does; what to let out or take up."""
    lines = [
        "Strength "
        f"{_pm(result['stiffness_n_m_per_rad'] * 1e6, result['stiffness_u_n_m_per_rad'] * 1e6, 'µN m a radian', 4)}; "
        f"{_pm(result['length_m'] * 1e3, result['length_u_m'] * 1e3, 'mm', 4)} of this strip.",
        f"A millimetre longer loses {-result['rate_s_per_day_per_m'] / 1e3:.0f} s/d; a micrometre thicker gains "
        f"{result['thickness_s_per_day_per_um']:.0f} s/d.",
    ]
    if result["vibrated_beats_per_hour"] is not None:
        lines.append(
            "Counted: "
            f"{_pm(result['vibrated_beats_per_hour'], result['vibrated_beats_u_per_hour'], 'beats an hour', 5)}, a "
            f"rate of {_signed(result['rate_s_per_day'])} s/d."
        )
    if result["let_out_m"] is not None:
        lines.append(
            f"{'Let out' if result['let_out_m'] >= 0 else 'Take up'} "
            f"{_pm(abs(result['let_out_m']) * 1e3, result['let_out_u_m'] * 1e3, 'mm')}."
        )
    if result["temperature_s_per_day_per_k"] is not None:
        lines.append(f"A degree warmer: {_signed(result['temperature_s_per_day_per_k'])} s/d.")
    return lines


def pendulum_lines(result: Mapping[str, Any]) -> list[str]:
    """Length and beats; the right length; the nut; warmth and circular error."""
    lines = [
        f"{_pm(result['length_m'] * 1e3, result['length_u_m'] * 1e3, 'mm', 5)} to the centre of oscillation: "
        f"{_pm(result['beats_per_hour'], result['beats_u_per_hour'], 'beats an hour', 5)}."
    ]
    if result["right_length_m"] is not None:
        lines.append(f"Right length {_pm(result['right_length_m'] * 1e3, result['right_length_u_m'] * 1e3, 'mm', 6)}.")
    if result["nut_s_per_day_per_turn"] is not None:
        lines.append(
            "One turn of the nut is "
            f"{_pm(result['nut_s_per_day_per_turn'], result['nut_u_s_per_day_per_turn'], 's/d')}."
        )
    if result["turns"] is not None:
        lines.append(
            f"{'Raise' if result['turns'] >= 0 else 'Lower'} the bob by "
            f"{_pm(abs(result['turns']), result['turns_u'], 'turns', 4)}."
        )
    if result["bob_centre_m"] is not None:
        lines.append(
            "The middle of the bob hangs at "
            f"{_pm(result['bob_centre_m'] * 1e3, result['bob_centre_u_m'] * 1e3, 'mm', 6)}."
        )
    if result["nut_with_rod_s_per_day_per_turn"] is not None:
        lines.append(
            "With the rod's weight one turn is "
            f"{_pm(result['nut_with_rod_s_per_day_per_turn'], result['nut_with_rod_u_s_per_day_per_turn'], 's/d')}."
        )
    if result["turning_depth_m"] is not None:
        lines.append(
            f"It turns {_pm(result['turning_depth_m'] * 1e3, result['turning_depth_u_m'] * 1e3, 'mm')} below the chops."
        )
    if result["suspension_rate_s_per_day"] is not None:
        lines.append(
            "In the place of the old one this spring "
            f"{'gains' if result['suspension_rate_s_per_day'] >= 0 else 'loses'} "
            f"{_pm(abs(result['suspension_rate_s_per_day']), result['suspension_rate_u_s_per_day'], 's/d')}, "
            "nothing else moved."
        )
    if result["temperature_s_per_day_per_k"] is not None:
        lines.append(f"A degree warmer: {_signed(result['temperature_s_per_day_per_k'], 3)} s/d.")
    if result["circular_error_s_per_day"] is not None:
        lines.append(f"Circular error {_signed(result['circular_error_s_per_day'], 2)} s/d.")
    return lines


def teeth_lines(result: Mapping[str, Any]) -> list[str]:
    """Wheel, pinion, centres, cutter and dividing."""
    wheel, pinion = result["wheel"], result["pinion"]
    lines = [
        f"Wheel of {wheel['teeth_count']}: "
        f"{_pm(wheel['outside_diameter_m'] * 1e3, wheel['outside_diameter_u_m'] * 1e3, 'mm', 5)} over the teeth, "
        f"{wheel['pitch_diameter_m'] * 1e3:.4g} mm pitch; "
        f"addendum {wheel['addendum_ratio']:.3f} modules (pointed {wheel['addendum_pointed_ratio']:.3f}).",
        f"Pinion of {pinion['teeth_count']}: "
        f"{_pm(pinion['outside_diameter_m'] * 1e3, pinion['outside_diameter_u_m'] * 1e3, 'mm', 5)} over the leaves, "
        f"leaf {pinion['leaf_thickness_m'] * 1e3:.3g} mm thick.",
        f"Centres {_pm(result['centre_distance_m'] * 1e3, result['centre_distance_u_m'] * 1e3, 'mm', 5)} apart. "
        f"Efficiency {result['efficiency_ratio']:.3f}, speed {result['velocity_ratio'][0]:.2f} to "
        f"{result['velocity_ratio'][1]:.2f}.",
    ]
    lines += [
        f"Cutter of the {name}: {part['cutter']['depth_of_cut_m'] * 1e3:.3f} mm deep, "
        f"{part['cutter']['space_at_pitch_m'] * 1e3:.3f} mm wide at the pitch circle."
        for name, part in (("wheel", wheel), ("pinion", pinion))
    ]
    lines += [
        f"Dividing the {name}: {part['index']['words']}."
        for name, part in (("wheel", wheel), ("pinion", pinion))
        if part["index"]
    ]
    return lines


def _face_lines(head: str, result: Mapping[str, Any]) -> list[str]:
    return [
        f"{head}, pallets {result['width_m'] * 1e3:.3f} mm wide.",
        *(
            f"{name.capitalize()}: locks at {one['locking_radius_m'] * 1e3:.3f} mm, releases at "
            f"{one['releasing_radius_m'] * 1e3:.3f} mm, impulse face {one['impulse_face_m'] * 1e3:.3f} mm."
            for name, one in (("entry", result["entry"]), ("exit", result["exit"]))
        ),
    ]


def _pin_lines(head: str, result: Mapping[str, Any]) -> list[str]:
    """Two pins at one distance, and the tooth that goes with them."""
    slope = result["tooth_slope_deg"]
    lift = f"{result['lift_deg']:.3g} deg"
    return [
        f"{head} to the middle of either pin.",
        f"Pins of {result['pin_diameter_m'] * 1e3:.3f} mm. The wheel's teeth have a face of "
        f"{result['tooth_face_m'] * 1e3:.3f} mm"
        + (
            f", which slopes {slope:.1f} deg from the rim for a lift of {lift}."
            if slope is not None
            else f": the roundness of the pin alone gives more than a lift of {lift}."
        ),
    ]


def pallets_lines(result: Mapping[str, Any]) -> list[str]:
    """Centres, arm and width; each pallet; lock and drop as they come."""
    head = (
        f"Centres {_pm(result['centre_distance_m'] * 1e3, result['centre_distance_u_m'] * 1e3, 'mm', 5)} apart, arm "
        f"{result['pallet_radius_m'] * 1e3:.3f} mm"
    )
    lines = _pin_lines(head, result) if result["kind"] == "pin" else _face_lines(head, result)
    if result["recoil_deg"] is not None:
        lines.append(
            f"The faces lean {result['recoil_deg']:g} deg off their arcs: the wheel recoils "
            f"{result['recoil_wheel_ratio']:.2f} deg for each degree that the pallets swing beyond."
        )
    if result["as_set"] is not None:
        came = result["as_set"]
        lines.append(
            f"At {came['centres_m'] * 1e3:.3f} mm: entry drop "
            f"{_pm(came['entry_drop_deg'], came['entry_drop_u_deg'], 'deg')}, lock "
            f"{_pm(came['entry_lock_deg'], came['entry_lock_u_deg'], 'deg')}; "
            f"exit drop {_pm(came['exit_drop_deg'], came['exit_drop_u_deg'], 'deg')}, lock "
            f"{_pm(came['exit_lock_deg'], came['exit_lock_u_deg'], 'deg')}."
        )
        lines += [f"At these centres: {came['words']}."] if came["words"] else []
    return lines


def _pm(value: float, u: float, unit: str, digits: int = 3) -> str:
    """Value with its error where there is one: `1.27 ± 0.01 mm`."""
    text = _plain(value, digits) + (f" ± {_plain(u, 2)}" if u > 0.0 else "")
    return f"{text} {unit}".strip().replace("-", "−")


def _plain(value: float, digits: int) -> str:
    """So many figures, never with an exponent."""
    text = f"{value:.{digits}g}"
    return (
        f"{float(text):.0f}"
        if "e+" in text
        else f"{float(text):.10f}".rstrip("0").rstrip(".")
        if "e-" in text
        else text
    )


def _signed(value: float, digits: int = 1) -> str:
    return f"{value:+.{digits}f}".replace("-", "−")
