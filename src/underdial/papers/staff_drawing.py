"""A staff with its bend, the bend drawn much larger than it is: stations, the line of the chuck, the axis of the
part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underdial.papers import part_drawing as sheet
from underdial.papers import strokes
from underdial.papers.scene import Scene


@dataclass(frozen=True, slots=True)
class StaffDrawn:
    """What is drawn: (z mm, eccentricity um, angle rad, its error um) of each station; place, slope (um a mm) and angle
    of the bend, None for a straight part; the plane that is looked at square to [rad].
    """

    stations: Sequence[tuple[float, float, float, float]]
    bend_z_mm: float | None = None
    slope_um_per_mm: float = 0.0
    plane_rad: float = 0.0


def staff_scene(one: StaffDrawn) -> Scene:
    """Along: true millimetres.

    Across: eccentricity in the plane of the bend, the chuck's line taken off, drawn larger.
    """
    first, last = min(row[0] for row in one.stations), max(row[0] for row in one.stations)
    span = last - first
    freed = _freed_of_the_chuck(one)
    enlarged = _enlarged(one, freed, span)
    scene = sheet.part_scene(
        "Runout of the part",
        "Axis of the part against the line of the chuck, from the chuck at the left to the free end; across it is "
        f"drawn {enlarged:g} times larger than along.",
        scale=sheet.best_scale(1.4 * span, 1.1 * span),
    )
    up = enlarged * 1e-3
    thick = 0.045 * span
    end = 0.0 if one.bend_z_mm is None else -(last - one.bend_z_mm) * one.slope_um_per_mm * up
    axis = [(first, 0.0), *([] if one.bend_z_mm is None else [(one.bend_z_mm, 0.0)]), (last, end)]
    for side in (-thick, thick):
        strokes.edge(scene, [(x, y + side) for x, y in axis], closed=False)
    strokes.edge(scene, [(last, end - thick), (last, end + thick)], closed=False)
    _draw_chuck(scene, first, span, thick)
    strokes.chain(scene, ((first - 0.2 * span, 0.0), (last + 0.12 * span, 0.0)))
    for (place, _, _, u), value in zip(one.stations, freed, strict=True):
        _draw_station(scene, (place, -value * up), 2.0 * u * up)
    low = max(3.2 * thick, end + 2.0 * thick) + 6.0 / scene.scale
    if one.bend_z_mm is not None:
        strokes.size_line(scene, (first, low), (one.bend_z_mm, low), f"bend at {one.bend_z_mm - first:.1f}")
        # The words stand outside: between its own lines there is seldom room for them.
        strokes.size_line(scene, (last, 0.0), (last, end), "", off=-10.0 if end < 0 else 10.0)
        strokes.note(
            scene,
            (last + 12.0 / scene.scale, end / 2.0 + 0.35 * sheet.LETTER_MM / scene.scale),
            f"{(last - one.bend_z_mm) * one.slope_um_per_mm * 1e-3:.3f} mm",
        )
    strokes.note(
        scene,
        (first, low + 8.0 / scene.scale),
        f"across {enlarged:g} times larger than along; circles: as read, with twice their doubt",
    )
    return sheet.framed(scene)


def _freed_of_the_chuck(one: StaffDrawn) -> list[float]:
    """Eccentricity of each station in the plane of the bend [um], the chuck's line taken off."""
    z = [row[0] for row in one.stations]
    across = [row[1] * math.cos(row[2] - one.plane_rad) for row in one.stations]
    bend = [max(0.0, place - one.bend_z_mm) * one.slope_um_per_mm if one.bend_z_mm is not None else 0.0 for place in z]
    offset, tilt = _line(z, [a - b for a, b in zip(across, bend, strict=True)])
    return [a - offset - tilt * place for a, place in zip(across, z, strict=True)]


def _line(x: Sequence[float], y: Sequence[float]) -> tuple[float, float]:
    """Offset and tilt of the chuck: a straight line by least squares."""
    n = len(x)
    mx, my = math.fsum(x) / n, math.fsum(y) / n
    tilt = math.fsum((a - mx) * (b - my) for a, b in zip(x, y, strict=True)) / math.fsum((a - mx) ** 2 for a in x)
    return my - tilt * mx, tilt


def _enlarged(one: StaffDrawn, freed: Sequence[float], span: float) -> float:
    """How many times larger it is drawn across than along: 1, 2 or 5 times a power of ten."""
    most = max(5.0, max(abs(a) + row[3] for a, row in zip(freed, one.stations, strict=True)))
    enlarged = 10.0 ** math.floor(math.log10(0.28 * span / (most * 1e-3)))
    return enlarged * max(k for k in (1.0, 2.0, 5.0) if k * enlarged * most * 1e-3 <= 0.3 * span)


def _draw_chuck(scene: Scene, first: float, span: float, thick: float) -> None:
    left, right = first - 0.14 * span, first - 0.01 * span
    strokes.beside(scene, [(left, -2.2 * thick), (right, -2.2 * thick), (right, 2.2 * thick), (left, 2.2 * thick)])
    strokes.note(scene, (first - 0.075 * span, 2.2 * thick + 4.0 / scene.scale), "chuck", anchor="middle")


def _draw_station(scene: Scene, at: tuple[float, float], doubt: float) -> None:
    """A circle where the axis was read, and a line over twice its doubt."""
    place, y = at
    scene.line((place, y - doubt), (place, y + doubt), layer="sizes", stroke="ink", width=sheet.THIN_MM / scene.scale)
    scene.disc(at, 0.8 / scene.scale, layer="sizes", fill="slip", stroke="ink", width=1.6 * sheet.THIN_MM / scene.scale)
