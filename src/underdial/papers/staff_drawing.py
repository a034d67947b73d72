"""A staff with its bend, the bend drawn much larger than it is: stations, the line of the chuck, the axis of the part."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underdial.papers import part_drawing as sheet
from underdial.papers import strokes
from underdial.papers.scene import Scene


@dataclass(frozen=True, slots=True)
class StaffDrawn:
    """What is drawn: (z mm, eccentricity um, angle rad, its error um) of each station; place, slope (um a mm) and angle of
    the bend, None for a straight part; the plane that is looked at square to [rad]."""

    stations: Sequence[tuple[float, float, float, float]]
    bend_z_mm: float | None = None
    slope_um_per_mm: float = 0.0
    plane_rad: float = 0.0


def staff_scene(one: StaffDrawn) -> Scene:
    """Along: true millimetres. Across: eccentricity in the plane of the bend, the chuck's line taken off, drawn larger."""
    z = [row[0] for row in one.stations]
    across = [row[1] * math.cos(row[2] - one.plane_rad) for row in one.stations]
    bend = [max(0.0, place - one.bend_z_mm) * one.slope_um_per_mm if one.bend_z_mm is not None else 0.0 for place in z]
    offset, tilt = _line(z, [a - b for a, b in zip(across, bend, strict=True)])
    freed = [a - offset - tilt * place for a, place in zip(across, z, strict=True)]
    span = max(z) - min(z)
    most = max(5.0, max(abs(a) + row[3] for a, row in zip(freed, one.stations, strict=True)))
    enlarged = 10.0 ** math.floor(math.log10(0.28 * span / (most * 1e-3)))
    enlarged *= max(k for k in (1.0, 2.0, 5.0) if k * enlarged * most * 1e-3 <= 0.3 * span)
    scene = sheet.part_scene("Runout of the part", f"Axis of the part against the line of the chuck, from the chuck at the left to the free end; across it is drawn {enlarged:g} times larger than along.",
                             scale=sheet.best_scale(1.4 * span, 1.1 * span))
    up = enlarged * 1e-3
    thick = 0.045 * span
    last = max(z)
    axis = [(min(z), 0.0), (last, 0.0)] if one.bend_z_mm is None else [(min(z), 0.0), (one.bend_z_mm, 0.0), (last, -(last - one.bend_z_mm) * one.slope_um_per_mm * up)]
    for side in (-thick, thick):
        strokes.edge(scene, [(x, y + side) for x, y in axis], closed=False)
    strokes.edge(scene, [(axis[-1][0], axis[-1][1] - thick), (axis[-1][0], axis[-1][1] + thick)], closed=False)
    strokes.beside(scene, [(min(z) - 0.14 * span, -2.2 * thick), (min(z) - 0.01 * span, -2.2 * thick), (min(z) - 0.01 * span, 2.2 * thick), (min(z) - 0.14 * span, 2.2 * thick)])
    strokes.note(scene, (min(z) - 0.075 * span, 2.2 * thick + 4.0 / scene.scale), "chuck", anchor="middle")
    strokes.chain(scene, ((min(z) - 0.2 * span, 0.0), (last + 0.12 * span, 0.0)))
    for (place, _, _, u), value in zip(one.stations, freed, strict=True):
        y = -value * up
        scene.line((place, y - 2.0 * u * up), (place, y + 2.0 * u * up), layer="sizes", stroke="ink", width=sheet.THIN_MM / scene.scale)
        scene.disc((place, y), 0.8 / scene.scale, layer="sizes", fill="slip", stroke="ink", width=1.6 * sheet.THIN_MM / scene.scale)
    low = max(3.2 * thick, 0.0) + 6.0 / scene.scale
    if one.bend_z_mm is not None:
        strokes.size_line(scene, (min(z), low), (one.bend_z_mm, low), f"bend at {one.bend_z_mm - min(z):.1f}")
        end = axis[-1][1]
        strokes.size_line(scene, (last, 0.0), (last, end), f"{(last - one.bend_z_mm) * one.slope_um_per_mm * 1e-3:.3f} mm", off=-10.0 if end < 0 else 10.0)
    strokes.note(scene, (min(z), low + 8.0 / scene.scale), f"across {enlarged:g} times larger than along; circles: as read, with twice their doubt")
    return sheet.framed(scene)


def _line(x: Sequence[float], y: Sequence[float]) -> tuple[float, float]:
    """Offset and tilt of the chuck: a straight line by least squares."""
    n = len(x)
    mx, my = math.fsum(x) / n, math.fsum(y) / n
    tilt = math.fsum((a - mx) * (b - my) for a, b in zip(x, y, strict=True)) / math.fsum((a - mx) ** 2 for a in x)
    return my - tilt * mx, tilt
