"""A wheel and its pinion in mesh, drawn to be cut: epicycloidal faces, radial flanks, round-ended leaves.

The wheel's leading flank stands on the line of centres against a leaf; the wheel drives clockwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.movement.tooth_form import addendum_ratio, leaf_thickness_ratio, wheel_face
from underdial.papers import part_drawing as sheet
from underdial.papers import strokes
from underdial.papers.scene import Point, Scene


@dataclass(frozen=True, slots=True)
class MeshDrawn:
    """What is drawn: counts, module and the two root diameters in mm, part of the pointed height that is left, depth
    error in mm.
    """

    wheel_count: int
    pinion_count: int
    module_mm: float
    wheel_root_mm: float
    pinion_root_mm: float
    shortening_ratio: float = 0.95
    depth_error_mm: float = 0.0


def wheel_outline(one: MeshDrawn, centre: Point, phase: float) -> list[Point]:
    """Ring of the wheel in mm; the middle of a tooth stands at the angle `phase`."""
    face = (
        wheel_face(one.wheel_count, one.pinion_count, shortening_ratio=one.shortening_ratio, points_count=40)
        * one.module_mm
    )
    root = one.wheel_root_mm / 2.0
    up = [(float(x), float(y)) for x, y in face]
    start = math.atan2(up[0][1], up[0][0])
    tip_angle = math.atan2(up[-1][1], up[-1][0])
    tip = math.hypot(*up[-1])
    land = sheet.fine_arc((0.0, 0.0), tip, tip_angle, -tip_angle)[1:-1] if tip_angle < -1e-9 else []
    tooth: list[Point] = [
        (root * math.cos(start), root * math.sin(start)),
        *up,
        *land,
        *[(x, -y) for x, y in reversed(up)],
        (root * math.cos(start), -root * math.sin(start)),
    ]
    pitch = 2.0 * math.pi / one.wheel_count
    floor = sheet.fine_arc((0.0, 0.0), root, -start, pitch + start)[1:-1]
    ring: list[Point] = []
    for k in range(one.wheel_count):
        ring += sheet.turn([*tooth, *floor], phase + k * pitch)
    return [(x + centre[0], y + centre[1]) for x, y in ring]


def pinion_outline(one: MeshDrawn, centre: Point, phase: float) -> list[Point]:
    """Ring of the pinion in mm; the middle of a leaf stands at the angle `phase`."""
    half = leaf_thickness_ratio(pinion_count=one.pinion_count) * one.module_mm / 2.0
    pitch_radius, root = one.pinion_count * one.module_mm / 2.0, one.pinion_root_mm / 2.0
    start = math.atan2(half, pitch_radius)
    cap = sheet.fine_arc((pitch_radius, 0.0), half, -math.pi / 2.0, math.pi / 2.0)
    leaf: list[Point] = [
        (root * math.cos(start), -root * math.sin(start)),
        *cap,
        (root * math.cos(start), root * math.sin(start)),
    ]
    pitch = 2.0 * math.pi / one.pinion_count
    floor = sheet.fine_arc((0.0, 0.0), root, start, pitch - start)[1:-1]
    ring: list[Point] = []
    for k in range(one.pinion_count):
        ring += sheet.turn([*leaf, *floor], phase + k * pitch)
    return [(x + centre[0], y + centre[1]) for x, y in ring]


def detail_scene(one: MeshDrawn) -> Scene:
    """The teeth that touch, as large as a page allows: two teeth to each side of the line of centres."""
    wheel_radius, pinion_radius = one.wheel_count * one.module_mm / 2.0, one.pinion_count * one.module_mm / 2.0
    apart = wheel_radius + pinion_radius + one.depth_error_mm
    span = 4.4 * math.pi * one.module_mm
    scene = sheet.part_scene(
        f"Where {one.wheel_count} and {one.pinion_count} meet",
        "Teeth of the wheel, at the left, against leaves of the pinion; pitch circles in chain dots; the wheel turns "
        "clockwise.",
        scale=sheet.best_scale(8.0 * one.module_mm, 1.5 * span),
    )
    teeth = _slice(
        wheel_outline(one, (0.0, 0.0), -math.pi / (2.0 * one.wheel_count)), (0.0, 0.0), 0.0, span / 2.0 / wheel_radius
    )
    half = leaf_thickness_ratio(pinion_count=one.pinion_count) * one.module_mm / 2.0
    ring = pinion_outline(one, (apart, 0.0), math.pi - half / pinion_radius)
    leaves = _slice(ring, (apart, 0.0), math.pi, min(1.25, span / 2.0 / pinion_radius))
    for lines in (teeth, leaves):
        strokes.edge(scene, *lines, closed=False)
    for centre, radius, middle, reach in (
        ((0.0, 0.0), wheel_radius, 0.0, span / 2.0 / wheel_radius),
        ((apart, 0.0), pinion_radius, math.pi, min(1.25, span / 2.0 / pinion_radius)),
    ):
        for k in (-1.0, 1.0):
            arc = sheet.fine_arc(centre, radius, middle, middle + k * reach)
            strokes.chain(scene, arc)
    strokes.chain(
        scene,
        ((wheel_radius - 3.5 * one.module_mm, 0.0), (wheel_radius + 4.5 * one.module_mm + one.depth_error_mm, 0.0)),
    )
    return sheet.framed(scene)


def _slice(ring: list[Point], centre: Point, middle: float, reach: float) -> list[list[Point]]:
    """The parts of a ring that lie within an angle to each side of a direction."""
    lines: list[list[Point]] = []
    now: list[Point] = []
    for x, y in [*ring, ring[0]]:
        angle = math.atan2(y - centre[1], x - centre[0]) - middle
        inside = abs(math.remainder(angle, 2.0 * math.pi)) <= reach
        if inside:
            now.append((x, y))
        elif now:
            lines.append(now)
            now = []
    if now:
        lines.append(now)
    if len(lines) > 1 and lines[0][0] == ring[0] and lines[-1][-1] == ring[0]:
        lines[0] = [*lines.pop(), *lines[0][1:]]
    return [one for one in lines if len(one) > 1]


def mesh_scene(one: MeshDrawn) -> Scene:
    """Wheel at the left, pinion at the right, at the depth that is asked for, with the sizes they are cut to."""
    height = (
        addendum_ratio(
            wheel_count=one.wheel_count, pinion_count=one.pinion_count, shortening_ratio=one.shortening_ratio
        )
        * one.module_mm
    )
    leaf = leaf_thickness_ratio(pinion_count=one.pinion_count) * one.module_mm
    wheel_radius, pinion_radius = one.wheel_count * one.module_mm / 2.0, one.pinion_count * one.module_mm / 2.0
    apart = wheel_radius + pinion_radius + one.depth_error_mm
    across = wheel_radius + height + apart + pinion_radius + leaf
    scene = sheet.part_scene(
        f"Wheel of {one.wheel_count} and pinion of {one.pinion_count}, module {one.module_mm:g} mm",
        f"A wheel of {one.wheel_count} teeth drives a pinion of {one.pinion_count} leaves, {apart:.3f} mm between "
        "centres.",
        scale=sheet.best_scale(across * 1.1, 2.3 * (wheel_radius + height)),
    )
    a, b = (0.0, 0.0), (apart, 0.0)
    strokes.edge(scene, wheel_outline(one, a, -math.pi / (2.0 * one.wheel_count)), fill="brass-wash")
    strokes.edge(scene, pinion_outline(one, b, math.pi - leaf / 2.0 / pinion_radius), fill="steel-wash")
    for centre, radius in ((a, wheel_radius), (b, pinion_radius)):
        strokes.pitch_circle(scene, centre, radius)
        strokes.centre_cross(scene, centre, min(radius, 4.0 / scene.scale))
    strokes.chain(scene, (a, b))
    tip, leaf_tip = wheel_radius + height, pinion_radius + leaf / 2.0
    down = tip + 5.0 / scene.scale
    strokes.size_line(scene, (-tip, 0.0), (tip, 0.0), f"ø {2.0 * tip:.3f}", off=-(tip * scene.scale + 6.0))
    at = (apart + leaf_tip * math.cos(0.9), leaf_tip * math.sin(0.9))
    strokes.pointer(
        scene,
        at,
        (apart + leaf_tip + 2.0 / scene.scale, max(at[1], 0.0) + 7.0 / scene.scale),
        f"ø {2.0 * leaf_tip:.3f}",
    )
    strokes.size_line(scene, a, b, f"centres {apart:.3f}", off=down * scene.scale)
    strokes.note(scene, (-tip / 2.0, -2.5 / scene.scale), f"{one.wheel_count} teeth", anchor="middle")
    strokes.note(scene, (apart + leaf_tip + 2.0 / scene.scale, -1.0 / scene.scale), f"{one.pinion_count} leaves")
    strokes.note(scene, (apart + leaf_tip + 2.0 / scene.scale, 3.0 / scene.scale), f"module {one.module_mm:g}")
    return sheet.framed(scene)
