"""Readings of the bench to what they mean: runout and heavy spot."""

from __future__ import annotations

import math
from typing import Any

from underdial.bench.sums.stated import held, in_degrees, number_of, read_rows, refused, stated
from underdial.errors import BadInput
from underdial.gauging import face_runout, poise, runout
from underdial.mechanics.pendulum import STANDARD_GRAVITY_M_PER_S2
from underdial.uncertain import Uncertain
from underdial.units import Quantity

_RUNOUT_SOURCES = ["Davies1987", "Schwarz1978", "Whitehouse1994"]
_POISE_KEYS = dict.fromkeys(
    (
        "heavy_mass_mg",
        "heavy_mass_u_mg",
        "angle_deg",
        "angle_u_deg",
        "base_rate_s_per_day",
        "base_rate_u_s_per_day",
        "verdict",
        "reason",
        "advice",
        "assumed",
    )
)
# A kink sharper than this is hardly straightened cold in hard steel. [common practice]
_TOO_SHARP_RAD = math.radians(1.5)


def read_runout(
    text: str,
    *,
    noise: Quantity | None = None,
    scale: tuple[float, float] | None = None,
    wanted: Quantity | None = None,
) -> dict[str, Any]:
    """A table of dial-gauge readings to the shape of the part: columns z_mm, angle_deg, reading_um, perhaps
    direction.
    """
    rows = read_rows(text, columns=("z_mm", "angle_deg", "reading_um"), also=("direction",))
    factor, factor_u = scale or (1.0, 0.0)
    if not 0.5 <= factor <= 2.0:
        raise BadInput("gauge-scale", factor, "0.5 to 2: true movement over movement shown")
    senses = [row.get("direction", "") for row in rows]
    found = runout.estimate_runout(
        [number_of(row, "z_mm", low=-1e4, high=1e4) / 1e3 for row in rows],
        [math.radians(number_of(row, "angle_deg", low=-3600.0, high=3600.0)) for row in rows],
        [factor * number_of(row, "reading_um", low=-1e5, high=1e5) / 1e6 for row in rows],
        senses=senses if len(set(senses)) > 1 else (),
        noise_m=None if noise is None else noise.value,
        scale_u_ratio=factor_u / factor,
        wanted_tir_m=runout.WANTED_TIR_M if wanted is None else wanted.value,
    )
    return {
        "verdict": found.verdict,
        "model": found.model,
        "stations": [_station(one, found.noise_m) for one in found.stations],
        "bend": _bend(found.bend),
        **stated("bow", "m", found.bow.rise_m if found.bow else (None if found.model is None else Uncertain(0.0))),
        "bow_angle_deg": math.degrees(found.bow.angle_rad.value) if found.bow else None,
        "noise_m": found.noise_m,
        "smallest_tir_m": found.smallest_tir_m,
        "false_alarm_probability": found.false_alarm_probability,
        "bic": found.bic,
        "advice": _straighten(found),
        "reason": found.reason,
        "assumed": {"wanted_tir_m": runout.WANTED_TIR_M} if wanted is None else {},
        "warnings": _runout_warnings(found),
        "sources": _RUNOUT_SOURCES,
    }


def read_wheel_runout(text: str, *, radius: Quantity, over_teeth: bool = False) -> dict[str, Any]:
    """A table of readings round a wheel, angle_deg with face_um, rim_um or both: out of flat against out of round."""
    rows = read_rows(text, columns=("angle_deg",), also=("face_um", "rim_um"))
    sides = {
        name: [number_of(row, f"{name}_um", low=-1e5, high=1e5) / 1e6 for row in rows]
        if f"{name}_um" in rows[0]
        else None
        for name in ("face", "rim")
    }
    if sides["face"] is None and sides["rim"] is None:
        raise BadInput(
            "file",
            "angle_deg",
            "angle_deg with face_um, rim_um or both",
            "file: there is neither a column face_um nor rim_um",
        )
    found = face_runout.estimate_face_runout(
        [math.radians(number_of(row, "angle_deg", low=-3600.0, high=3600.0)) for row in rows],
        face_m=sides["face"],
        rim_m=sides["rim"],
        radius_m=radius.value,
        over_teeth=over_teeth,
    )
    face, rim = found.face, found.rim
    return {
        "verdict": "read",
        "model": "wheel",
        **stated("askew", "deg", in_degrees(found.askew_rad)),
        **stated("face_tir", "m", face.first_m if face else None),
        **stated("face_angle", "deg", in_degrees(face.angle_rad) if face else None),
        **stated("out_of_flat", "m", face.shape_m if face else None),
        **stated("eccentricity", "m", found.eccentricity_m),
        **stated("eccentricity_angle", "deg", in_degrees(rim.angle_rad) if rim else None),
        **stated("out_of_round", "m", rim.shape_m if rim else None),
        "gaps_count": rim.gaps_count if rim else None,
        "noise_m": max(one.noise_m for one in (face, rim) if one),
        "reason": None,
        "warnings": [],
        "sources": ["Whitehouse1994", "Newey1987"],
    }


def find_heavy_spot(
    text: str, *, inertia: Quantity, beats: tuple[float, float], radius: Quantity, gravity: Quantity | None = None
) -> dict[str, Any]:
    """A table of rates in positions to the heavy spot: columns up_deg, amplitude_deg, rate_s_per_day, perhaps
    rate_u_s_per_day and amplitude_u_deg; of the last the largest counts, for all arcs together.
    """
    rows = read_rows(
        text, columns=("up_deg", "amplitude_deg", "rate_s_per_day"), also=("rate_u_s_per_day", "amplitude_u_deg")
    )
    held("radius", radius, low=0.1, high=1000.0, unit="mm")
    given_u = "rate_u_s_per_day" in rows[0]
    assumed: dict[str, Any] = {} if given_u else {"rate_u_s_per_day": poise.RATE_U_S_PER_DAY}
    arc_u_deg = math.degrees(poise.HALF_ARC_U_RAD)
    if "amplitude_u_deg" in rows[0]:
        arc_u_deg = max(number_of(row, "amplitude_u_deg", low=0.0, high=30.0) for row in rows)
    else:
        assumed["amplitude_u_deg"] = arc_u_deg
    if gravity is None:
        assumed["gravity_m_per_s2"] = STANDARD_GRAVITY_M_PER_S2
    arcs = [math.radians(number_of(row, "amplitude_deg", low=5.0, high=360.0)) for row in rows]
    try:
        found = poise.estimate_heavy_spot(
            [math.radians(number_of(row, "up_deg", low=-360.0, high=720.0)) for row in rows],
            arcs,
            [number_of(row, "rate_s_per_day", low=-5000.0, high=5000.0) for row in rows],
            inertia_kg_m2=Uncertain(inertia.value, inertia.u),
            beats_per_hour=Uncertain(*beats),
            radius_m=Uncertain(radius.value, radius.u),
            rates_u_s_per_day=[number_of(row, "rate_u_s_per_day", low=0.001, high=1000.0) for row in rows]
            if given_u
            else None,
            half_arcs_u_rad=math.radians(arc_u_deg),
            g_m_per_s2=STANDARD_GRAVITY_M_PER_S2 if gravity is None else gravity.value,
        )
    except BadInput as wrong:
        if wrong.field not in ("amplitude_deg", "up_deg"):
            raise
        said = wrong.message.removeprefix(f"{wrong.field}: ")
        return refused(_POISE_KEYS, said[0].upper() + said[1:], assumed=assumed, sources=["Defossez1950"])
    sure = found.mass_kg.value > 2.0 * found.mass_kg.u
    angle = in_degrees(found.angle_rad)
    assert angle is not None
    warnings = (
        []
        if found.used_count == len(rows)
        else [
            f"{len(rows) - found.used_count} positions between 200 and 240 deg were left out; a heavy spot hardly "
            "shows there."
        ]
    )
    if any(arc > math.pi for arc in arcs):
        warnings.append("Read below 180 deg of amplitude: a heavy spot shows best there.")
    if not sure:
        warnings.append("The heavy spot is no larger than the readings' own error; do not take metal off.")
    mass_mg = Uncertain(found.mass_kg.value * 1e6, found.mass_kg.u * 1e6)
    return {
        **stated("heavy_mass", "mg", mass_mg),
        **stated("angle", "deg", angle),
        **stated("base_rate", "s_per_day", found.base_rate_s_per_day),
        "verdict": "heavy_spot" if sure else "in_poise",
        "reason": None,
        "advice": _lighten(mass_mg, angle, radius) if sure else None,
        "left_s_per_day": found.left_s_per_day,
        "assumed": assumed,
        "warnings": warnings,
        "sources": ["Defossez1950"],
    }


def _lighten(mass_mg: Uncertain, angle_deg: Uncertain, radius: Quantity) -> str:
    return (
        f"Take {mass_mg.value:.2g} mg off at {angle_deg.value:.0f} deg from the impulse pin, clockwise from the "
        f"dial, at {radius.value * 1e3:.3g} mm from the staff; "
        f"or add as much at {(angle_deg.value + 180.0) % 360.0:.0f} deg. Half of it first, then read again."
    )


def _station(one: Any, noise_m: float) -> dict[str, Any]:
    (xx, xy), (_, yy) = one.unit_covariance
    size = one.eccentricity_m
    x, y = (one.along_m / size, one.across_m / size) if size > 0.0 else (1.0, 0.0)
    u = noise_m * math.sqrt(max(0.0, x * x * xx + 2.0 * x * y * xy + y * y * yy))
    across = noise_m * math.sqrt(max(0.0, y * y * xx - 2.0 * x * y * xy + x * x * yy))
    return {
        "z_m": one.z_m,
        **stated("eccentricity", "m", Uncertain(size, u)),
        **stated(
            "angle",
            "deg",
            Uncertain(math.degrees(one.angle_rad), min(180.0, math.degrees(across / size)) if size > 0.0 else 180.0),
        ),
        **stated("tir", "m", Uncertain(2.0 * size, 2.0 * u)),
        **stated("ovality", "m", Uncertain(one.ovality_m, noise_m * one.ovality_unit_ratio)),
        "oval_deg": math.degrees(one.oval_rad),
    }


def _bend(bend: runout.Bend | None) -> dict[str, Any] | None:
    if bend is None:
        return None
    return {
        **stated("z", "m", bend.z_m),
        **stated("slope", "m_per_m", bend.slope_m_per_m),
        **stated("angle", "deg", in_degrees(bend.angle_rad)),
        **stated("tir_at_end", "m", bend.tir_at_end_m),
        "at_edge": bend.at_edge,
    }


def _straighten(found: runout.Runout) -> str | None:
    """Where and how far to straighten, in bench words."""
    if found.bend is None:
        return None
    if found.model == "bow" and found.bow is not None:
        hollow = math.degrees(found.bow.angle_rad.value)
        return (
            f"It is bowed along its length by {found.bow.rise_m.value * 1e6:.0f} µm, both ends towards {hollow:.0f} "
            f"deg. Support both ends with {hollow:.0f} deg "
            f"up, press in the middle in small steps, and gauge again after each."
        )
    bend = found.bend
    way = math.degrees(bend.angle_rad.value)
    if bend.slope_m_per_m.value > math.tan(_TOO_SHARP_RAD):
        return (
            f"The kink at {bend.z_m.value * 1e3:.1f} mm is {math.degrees(bend.slope_m_per_m.value):.1f} deg, sharp "
            "enough to crack hard steel when bent back; "
            "turn a new one, or let it down before it is bent."
        )
    return (
        f"Hold it up to {bend.z_m.value * 1e3:.1f} mm from the chuck and press the free end away from {way:.0f} deg "
        "until it has come back by "
        f"{bend.tir_at_end_m.value / 2.0 * 1e6:.0f} µm at rest (half the movement the bend makes there), in small "
        "steps, gauging after each."
    )


def _runout_warnings(found: runout.Runout) -> list[str]:
    said = []
    if found.bend is not None and found.bend.at_edge:
        said.append("The bend may lie nearer the end than the next station; read one or two stations more there.")
    if found.strays:
        said += [
            f"The reading at {one.z_m * 1e3:g} mm, {math.degrees(one.angle_rad) % 360:.0f} deg stands out by "
            f"{one.off_m * 1e6:.0f} µm; read it again."
            for one in found.strays
        ]
    if found.model in ("kink", "bow") and abs(found.bic["kink"] - found.bic["bow"]) < 2.0:
        said.append("A kink and an even bow fit these readings about equally; more stations would tell them apart.")
    return said
