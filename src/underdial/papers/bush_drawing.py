"""A bush in its worn hole, seen from the dial side: hole as found, true centre, bush and bore."""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.papers import part_drawing as sheet
from underdial.papers import strokes
from underdial.papers.scene import Point, Scene


@dataclass(frozen=True, slots=True)
class BushDrawn:
    """What is drawn, in mm and radians (clockwise from the dial, 0 at twelve): pivot, bore, axes of the worn hole, its
    wear, outside of the bush; None where it was not given."""

    pivot_mm: float
    bore_mm: float
    hole_mm: float | None = None
    hole_long_mm: float | None = None
    worn_toward_rad: float | None = None
    outside_mm: float | None = None


def worn_hole(one: BushDrawn) -> list[Point]:
    """The hole as found about its true centre at 0, 0: the first hole and the same moved by the stretch, as one
    ring.
    """
    assert one.hole_mm is not None
    assert one.hole_long_mm is not None
    radius, stretch = one.hole_mm / 2.0, one.hole_long_mm - one.hole_mm
    way = (one.worn_toward_rad or 0.0) - math.pi / 2.0
    far = (stretch * math.cos(way), stretch * math.sin(way))
    return [
        *sheet.fine_arc(far, radius, way - math.pi / 2.0, way + math.pi / 2.0),
        *sheet.fine_arc((0.0, 0.0), radius, way + math.pi / 2.0, way + 1.5 * math.pi),
    ]


def bush_scene(one: BushDrawn) -> Scene:
    """Bush and hole with the true centre as the origin."""
    size = max(one.outside_mm or 0.0, 2.0 * ((one.hole_long_mm or one.bore_mm) - (one.hole_mm or one.bore_mm) / 2.0))
    scene = sheet.part_scene(
        f"Bush for a pivot of {one.pivot_mm:g} mm",
        "Seen from the dial, twelve o'clock up: bush and bore about the true centre, the worn hole in thin line.",
        scale=sheet.best_scale(1.6 * size, 1.6 * size),
    )
    if one.outside_mm is not None:
        strokes.edge(
            scene, sheet.fine_arc((0.0, 0.0), one.outside_mm / 2.0, 0.0, 2.0 * math.pi)[:-1], fill="brass-wash"
        )
    strokes.edge(scene, sheet.fine_arc((0.0, 0.0), one.bore_mm / 2.0, 0.0, 2.0 * math.pi)[:-1], fill="paper")
    if one.hole_mm is not None and one.hole_long_mm is not None:
        strokes.beside(scene, worn_hole(one))
    reach = size / 2.0 + 3.0 / scene.scale
    strokes.centre_cross(scene, (0.0, 0.0), reach)
    out = size / 2.0 + 8.0 / scene.scale
    r = one.bore_mm / 2.0
    strokes.pointer(scene, (r * math.cos(0.6), -r * math.sin(0.6)), (out, -out * 0.55), f"bore ø {one.bore_mm:.3f}")
    if one.outside_mm is not None:
        big = one.outside_mm / 2.0
        strokes.pointer(
            scene, (big * math.cos(0.9), -big * math.sin(0.9)), (out, -out * 0.85), f"bush ø {one.outside_mm:.3f}"
        )
    if one.hole_mm is not None and one.hole_long_mm is not None and one.worn_toward_rad is not None:
        stretch, way = one.hole_long_mm - one.hole_mm, one.worn_toward_rad - math.pi / 2.0
        far = one.hole_mm / 2.0 + stretch
        at = (far * math.cos(way), far * math.sin(way))
        side = 1.0 if at[0] >= 0.0 else -1.0
        strokes.pointer(
            scene,
            at,
            (side * out, out * 0.7),
            f"worn {one.hole_long_mm:.3f} × {one.hole_mm:.3f}, towards "
            f"{math.degrees(one.worn_toward_rad) % 360.0:.0f} deg",
        )
        middle = (stretch / 2.0 * math.cos(way), stretch / 2.0 * math.sin(way))
        scene.disc(middle, 0.5 / scene.scale, layer="sizes", stroke="ink", width=sheet.THIN_MM / scene.scale)
        strokes.pointer(
            scene,
            middle,
            (side * out, out * 0.95),
            f"middle of the worn hole, {stretch / 2.0:.3f} from the true centre",
        )
    strokes.note(scene, (0.0, -reach - 2.0 / scene.scale), "twelve", anchor="middle")
    return sheet.framed(scene)
