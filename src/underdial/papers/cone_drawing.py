"""A cone pivot standing in its cup, in section: the tip that is to be made, the cup beside it, where they touch."""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.papers import part_drawing as sheet
from underdial.papers import strokes
from underdial.papers.scene import Point, Scene

_BESIDE_MM, _WIDE_MM, _TALL_MM = 34.0, 170.0, 150.0


@dataclass(frozen=True, slots=True)
class ConeDrawn:
    """What is drawn, in mm and radians: radii of tip and cup's bottom, flat across the tip (0 none), included angles,
    and how it rubs with the staff upright on it.
    """

    tip_mm: float
    cup_mm: float
    flat_mm: float
    cone_rad: float
    cup_rad: float
    contact: str
    words: str = ""


def lift_mm(one: ConeDrawn) -> float:
    """Height of the tip's lowest point over the cup's deepest."""
    half = one.cup_rad / 2.0
    apex = one.cup_mm / math.sin(half) - one.cup_mm
    if one.flat_mm > 0.0:
        corner = one.flat_mm / 2.0
        if corner <= one.cup_mm * math.cos(half):
            return one.cup_mm - math.sqrt(one.cup_mm**2 - corner**2)
        return corner / math.tan(half) - apex
    return max(0.0, one.tip_mm / math.sin(half) - one.tip_mm - apex)


def tip_ring(one: ConeDrawn, high_mm: float) -> list[Point]:
    """The cone from one side of its upper end round the tip to the other; y downwards, the lowest point of the tip at
    0.
    """
    half = one.cone_rad / 2.0
    if one.flat_mm > 0.0:
        r = one.flat_mm / 2.0
        wide = r + high_mm * math.tan(half)
        return [(-wide, -high_mm), (-r, 0.0), (r, 0.0), (wide, -high_mm)]
    r = one.tip_mm
    # The flank leaves the tip where its radius is square to it.
    arc = sheet.fine_arc((0.0, -r), r, math.pi - half, half)
    wide = r * math.cos(half) + (high_mm - r + r * math.sin(half)) * math.tan(half)
    return [(-wide, -high_mm), *arc, (wide, -high_mm)]


def cup_line(one: ConeDrawn, high_mm: float) -> list[Point]:
    """The cup's wall and bottom in section; its deepest point at 0."""
    half, r = one.cup_rad / 2.0, one.cup_mm
    x, y = r * math.cos(half), r * (1.0 - math.sin(half))
    wide = x + max(0.0, high_mm - y) * math.tan(half)
    return [(-wide, -max(high_mm, y)), *sheet.fine_arc((0.0, -r), r, math.pi - half, half), (wide, -max(high_mm, y))]


def cone_scene(*pairs: ConeDrawn) -> Scene:
    """One pair, or as found and after side by side."""
    size = max(max(2.2 * one.cup_mm, 3.0 * one.tip_mm, 1.5 * one.flat_mm) for one in pairs)
    deep, high = 0.85 * size, 1.35 * size
    across = max(2.0 * max(cup_line(one, deep)[-1][0], tip_ring(one, high)[-1][0]) for one in pairs)
    # Words beside each pair keep their size on paper, whatever the scale.
    fits = [
        one
        for one in sheet.SCALES
        if len(pairs) * (across * one + _BESIDE_MM) <= _WIDE_MM and 1.5 * (high + deep) * one <= _TALL_MM
    ]
    scale = fits[-1] if fits else sheet.SCALES[0]
    apart = across + _BESIDE_MM / scale
    scene = sheet.part_scene(
        "Cone pivot in its cup",
        "In section along the staff, the tip standing on the bottom of the cup or hanging on its wall: "
        + "; ".join(_said(one) for one in pairs)
        + ".",
        scale=scale,
    )
    for k, one in enumerate(pairs):
        _pair(scene, one, k * apart, deep, high)
    return sheet.framed(scene)


def _said(one: ConeDrawn) -> str:
    tip = f"flat of {one.flat_mm:.3g} mm" if one.flat_mm > 0.0 else f"tip of {one.tip_mm:.3g} mm radius"
    return f"{one.words + ', ' if one.words else ''}{tip} in a bottom of {one.cup_mm:.3g} mm, on a {one.contact}"


def _pair(scene: Scene, one: ConeDrawn, x: float, deep: float, high: float) -> None:
    small = 1.0 / scene.scale
    wall = cup_line(one, deep)
    body = [(x + px, py) for px, py in (*wall, (wall[-1][0], 0.45 * deep), (wall[0][0], 0.45 * deep))]
    scene.outline(body, layer="context", stroke="ink-soft", width=sheet.THIN_MM / scene.scale, fill="brass-wash")
    up = lift_mm(one)
    strokes.edge(scene, [(x + px, py - up) for px, py in tip_ring(one, high)], fill="steel-wash")
    strokes.chain(scene, ((x, -up - high - 3.0 * small), (x, 0.3 * deep)))
    half = one.cup_rad / 2.0
    side = x + max(wall[-1][0], tip_ring(one, high)[-1][0]) + 3.0 * small
    at_tip = (
        (x, -up)
        if one.flat_mm > 0.0
        else (x + one.tip_mm * math.cos(one.cone_rad / 2.0), -up - one.tip_mm * (1.0 - math.sin(one.cone_rad / 2.0)))
    )
    strokes.pointer(
        scene,
        at_tip,
        (side, -up - 0.55 * high),
        f"flat {one.flat_mm:.3f}" if one.flat_mm > 0.0 else f"tip R {one.tip_mm:.3f}",
    )
    strokes.pointer(
        scene,
        (
            x + 0.5 * one.cup_mm * math.cos(half),
            -one.cup_mm + math.sqrt(one.cup_mm**2 - (0.5 * one.cup_mm * math.cos(half)) ** 2),
        ),
        (side, 0.22 * deep),
        f"cup R {one.cup_mm:.3f}",
    )
    strokes.note(
        scene,
        (x, -up - high - 4.5 * small),
        f"{one.words + ': ' if one.words else ''}cone {math.degrees(one.cone_rad):.0f} deg, cup "
        f"{math.degrees(one.cup_rad):.0f} deg",
        anchor="middle",
    )
    strokes.note(scene, (x, 0.45 * deep + 4.5 * small), f"dial up it rubs on a {one.contact}", anchor="middle")
