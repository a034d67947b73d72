"""What the gauges' answers say in bench words, the answer first: one list of lines for the command and for the page.

Warnings are not among them; whoever shows the lines shows the warnings beside them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from underdial.units import shown


def runout_lines(result: Mapping[str, Any]) -> list[str]:
    """Bent, straight or bowed; the movement at each station; what to do; what the readings could show."""
    smallest = (
        f"These readings would show a bend of {shown(result['smallest_tir_m'], 'um', digits=2)} at the free end."
        if result["smallest_tir_m"] is not None
        else ""
    )
    if result["verdict"] == "refused":
        return [str(result["reason"])]
    lines = [
        "Straight: what shows is the set of the chuck."
        if result["verdict"] == "straight"
        else ("Bowed." if result["model"] == "bow" else "Bent.")
    ]
    bend = result["bend"]
    if bend is not None and result["model"] == "kink":
        lines[0] = (
            f"Bent at {bend['z_m'] * 1e3:.1f} ± {bend['z_u_m'] * 1e3:.1f} mm towards {bend['angle_deg']:.0f} ± "
            f"{bend['angle_u_deg']:.0f} deg, "
            f"{bend['slope_m_per_m'] * 1e3:.2f} ± {bend['slope_u_m_per_m'] * 1e3:.2f} µm a mm: "
            f"{bend['tir_at_end_m'] * 1e6:.0f} µm of movement at the free end."
        )
    lines += [
        f"  {one['z_m'] * 1e3:g} mm: {one['tir_m'] * 1e6:.1f} µm of movement, high at {one['angle_deg']:.0f} deg; "
        f"oval by {one['ovality_m'] * 1e6:.1f} µm"
        for one in result["stations"]
    ]
    lines += [result["advice"] or "", smallest + f" Noise {shown(result['noise_m'], 'um', digits=2)}."]
    return [one for one in lines if one]


def wheel_lines(result: Mapping[str, Any]) -> list[str]:
    """Askew or out of flat, off its centre or out of round."""
    lines = []
    if result["askew_deg"] is not None:
        lines.append(
            f"Askew on its arbor by {result['askew_deg']:.2f} ± {result['askew_u_deg']:.2f} deg "
            f"({result['face_tir_m'] * 1e6:.0f} µm at the face, high at "
            f"{result['face_angle_deg']:.0f} deg); the rim itself is out of flat by "
            f"{result['out_of_flat_m'] * 1e6:.0f} µm."
        )
    if result["eccentricity_m"] is not None:
        lines.append(
            f"Off its centre by {result['eccentricity_m'] * 1e6:.0f} ± {result['eccentricity_u_m'] * 1e6:.0f} µm "
            f"towards {result['eccentricity_angle_deg']:.0f} deg; "
            f"out of round by {result['out_of_round_m'] * 1e6:.0f} µm. {result['gaps_count']} readings fell between "
            "teeth."
        )
    return lines


def metal_lines(result: Mapping[str, Any]) -> list[str]:
    """Density, the chance of each metal, what that forbids, and the next test."""
    if result["verdict"] == "refused":
        return [str(result["reason"])]
    lines = []
    if result["density_kg_per_m3"] is not None:
        lines.append(f"Density {result['density_kg_per_m3']:.0f} ± {result['density_u_kg_per_m3']:.0f} kg/m3.")
    lines += [
        f"  {one['metal'].replace('_', ' ')}: {_chance(one['probability'])}"
        for one in result["metals"]
        if one["probability"] >= 0.01
    ]
    lines += [f"Not to be done: {one['words']} ({one['because']})." for one in result["forbids"]]
    return [
        *lines,
        f"Next: {result['next_test'].replace('_', ' ')}."
        if result["next_test"]
        else "No further test would tell much more.",
    ]


def poise_lines(result: Mapping[str, Any]) -> list[str]:
    """The heavy spot, and how much metal to take off where; or why the readings cannot tell."""
    if result["verdict"] == "refused":
        return [str(result["reason"])]
    head = (
        f"Heavy by {result['heavy_mass_mg']:.2f} ± {result['heavy_mass_u_mg']:.2f} mg at {result['angle_deg']:.0f} ± "
        f"{result['angle_u_deg']:.0f} deg; "
        f"without it the rate would be {_signed(result['base_rate_s_per_day'])} s/d."
    )
    return [head, *([result["advice"]] if result["advice"] else [])]


def bush_lines(result: Mapping[str, Any]) -> list[str]:
    """Bore, true centre, how it is pressed in, what the wear did to the depth, which bush of the stock."""
    if result["bore_m"] is None:
        return [str(result["reason"])]
    lines = [f"Bore {_mm(result, 'bore')}, {result['clearance_m'] * 1e6:.0f} µm over the pivot."]
    if result["centre_offset_m"] is not None:
        lines.append(
            f"The true centre lies {_mm(result, 'centre_offset')} from the middle of the worn hole"
            + (f", towards {result['centre_toward_deg']:.0f} deg" if result["centre_toward_deg"] is not None else "")
            + f"; a bush of {result['cleans_up_m'] * 1e3:.2f} mm or more takes all wear away."
        )
    if result["bore_before_m"] is not None:
        lines.append(
            f"Make the bore {result['bore_before_m'] * 1e3:.4f} mm: pressed in at {result['pressure_pa'] / 1e6:.0f} "
            f"MPa it closes by {result['bore_closes_m'] * 1e6:.1f} µm. "
            f"{result['push_out_n']:.0f} N push it out; {result['hoop_pa'] / 1e6:.0f} MPa at the bore."
        )
    if result["depth_change_m"] is not None:
        lines.append(f"The wear has changed the centre distance by {result['depth_change_m'] * 1e6:+.0f} µm.")
    if result["stock"] is not None:
        lines.append(f"From the stock: {result['stock']['chosen'] or 'none will do'}.")
    return [*lines, *([result["reason"]] if result.get("reason") else [])]


def cone_lines(result: Mapping[str, Any]) -> list[str]:
    """Where it rubs and how much it brakes, before and after."""

    def line(name: str, one: Mapping[str, Any]) -> str:
        give = f" ± {one['torque_u_n_m'] * 1e9:.2g}" if one["torque_u_n_m"] else ""
        return (
            f"{name}: rubs on a {one['contact']}, {one['torque_n_m'] * 1e9:.3g}{give} nN m "
            f"({shown(one['effective_radius_m'], 'mm')} of friction radius)."
        )

    lines = [line("Dial up", result["dial_up"]), line("Upright", result["upright"])]
    if result["side_shake_m"] is not None:
        lines.append(f"Side shake {shown(result['side_shake_m'], 'um', digits=2)} to each side.")
    after = result["after"]
    if after is not None:
        lines += [line("After, dial up", after["dial_up"]), line("After, upright", after["upright"])]
        lines += [
            f"Amplitude {name}: {after[f'amplitude_{key}_deg']:.0f} ± {after[f'amplitude_{key}_u_deg']:.0f} deg after."
            for key, name in (("dial_up", "dial up"), ("upright", "upright"))
            if after[f"amplitude_{key}_deg"] is not None
        ]
        if after["staff_left_m"] is not None:
            lines.append(
                f"Staff left: {after['staff_left_m'] * 1e3:.2f} mm; the cone's flank moves back by "
                f"{after['flank_back_m'] * 1e3:.2f} mm."
            )
        lines += [after["staff_words"]] if after["staff_words"] else []
    return lines


def _mm(result: Mapping[str, Any], name: str) -> str:
    """A length in mm with its error; alone where no error of what was read was told."""
    give = f" ± {result[f'{name}_u_m'] * 1e3:.3f}" if result[f"{name}_u_m"] else ""
    return f"{result[f'{name}_m'] * 1e3:.3f}{give} mm"


def _signed(value: float) -> str:
    return f"{round(value, 1) + 0.0:+.1f}".replace("-", "−")


def _chance(p: float) -> str:
    return "above 98 in 100" if p > 0.98 else f"about {round(100 * p)} in 100"
