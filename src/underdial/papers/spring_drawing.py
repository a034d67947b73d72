"""A mainspring in its barrel, down against the wall and wound round the arbor, side by side, to scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.papers import part_drawing as sheet
from underdial.papers import strokes
from underdial.papers.scene import Point, Scene


@dataclass(frozen=True, slots=True)
class SpringDrawn:
    """What is drawn, in mm: inside of the barrel and arbor (diameters), thickness and length of the strip, turns it
    gives.
    """

    barrel_mm: float
    arbor_mm: float
    thickness_mm: float
    length_mm: float
    turns: float


def coils(centre: Point, inner: float, outer: float, thickness: float) -> list[Point]:
    """A close spiral from one radius to another, one thickness a turn; the strip's middle line."""
    turns = (outer - inner) / thickness
    count = max(8, math.ceil(turns * 72))
    points = []
    for k in range(count + 1):
        share = k / count
        radius = inner + thickness / 2.0 + (outer - inner - thickness) * share
        angle = 2.0 * math.pi * turns * share
        points.append((centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)))
    return points


def spring_scene(one: SpringDrawn) -> Scene:
    """Two barrels: the spring down, the spring wound."""
    big, small = one.barrel_mm / 2.0, one.arbor_mm / 2.0
    area = one.length_mm * one.thickness_mm / math.pi
    wall, wound = math.sqrt(max(0.0, big**2 - area)), math.sqrt(small**2 + area)
    scene = sheet.part_scene(
        f"Mainspring {one.thickness_mm:g} mm by {one.length_mm:.0f} mm in a barrel of {one.barrel_mm:g} mm",
        f"Left: down, coils on the wall to {2 * wall:.1f} mm. Right: wound, coils round the arbor to {2 * wound:.1f} "
        f"mm. {one.turns:.2f} turns between the two.",
        scale=sheet.best_scale(2.3 * one.barrel_mm, one.barrel_mm * 1.3),
    )
    apart = one.barrel_mm * 1.18
    for centre, inner, outer, words in (((0.0, 0.0), wall, big, "down"), ((apart, 0.0), small, wound, "wound")):
        strokes.edge(scene, sheet.fine_arc(centre, big, 0.0, 2.0 * math.pi)[:-1], fill="brass-wash")
        strokes.edge(scene, sheet.fine_arc(centre, small, 0.0, 2.0 * math.pi)[:-1], fill="steel-wash")
        if outer - inner > 2.0 * one.thickness_mm:
            scene.outline(
                coils(centre, inner, outer, one.thickness_mm),
                closed=False,
                layer="context",
                stroke="ink",
                width=min(sheet.THIN_MM / scene.scale, 0.55 * one.thickness_mm),
            )
        strokes.centre_cross(scene, centre, small * 0.6)
        strokes.note(scene, (centre[0], centre[1] + big + 5.0 / scene.scale), words, anchor="middle")
    strokes.size_line(scene, (-big, 0.0), (big, 0.0), f"ø {one.barrel_mm:.2f}", off=big * scene.scale + 4.0)
    strokes.size_line(
        scene, (apart - wound, 0.0), (apart + wound, 0.0), f"ø {2.0 * wound:.2f}", off=big * scene.scale + 4.0
    )
    return sheet.framed(scene)
