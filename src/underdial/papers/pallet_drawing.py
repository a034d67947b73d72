"""Pallets drawn to be made, over their escape wheel: deadbeat and recoil by their faces, pins by their circles.

The anchor stands at the middle of its swing; the wheel turns clockwise. Each corner lies on the tangent from the pallet
centre to the wheel when its tooth locks or leaves: the anchor swings lift and lock together, half to each side. The
wheel is drawn for the eye (layer `context`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.papers import part_drawing as sheet
from underdial.papers import strokes
from underdial.papers.scene import Point, Scene
from underdial.papers.wheel_shapes import escape_ring

# How far the arcs of a pallet are drawn beyond its locking corner, seen from the pallet centre.
_REACH_RAD = math.radians(16.0)


@dataclass(frozen=True, slots=True)
class PalletsDrawn:
    """What is drawn, in mm and radians: counts, wheel radius, span in spaces, centre distance, the two radii of the
    faces (outer, inner), lift, lock; slope of a recoil face from its arc; diameter of a pin.
    """

    kind: str
    escape_count: int
    radius_mm: float
    span_count: float
    centre_distance_mm: float
    outer_mm: float
    inner_mm: float
    lift_rad: float
    lock_rad: float = 0.0
    recoil_slope_rad: float = 0.0
    pin_mm: float = 0.0


def pallet_ring(one: PalletsDrawn, *, entry: bool) -> list[Point]:
    """Outline of one pallet in mm, the wheel's centre at 0, 0 and the pallet centre above it; first the locking corner,
    then, after the faces' arcs, the releasing corner last."""
    centre = (0.0, -one.centre_distance_mm)
    half = one.span_count * math.pi / one.escape_count
    # Direction from the pallet centre down the tangent to the wheel, clockwise from three o'clock.
    away = 1.0 if entry else -1.0
    tangent = math.pi / 2.0 + away * (math.pi / 2.0 - half)
    locking, releasing = (one.outer_mm, one.inner_mm) if entry else (one.inner_mm, one.outer_mm)
    # The anchor swings lift and lock together, half to each side of its middle: a tooth leaves at the end of it, and
    # the corner on which the next one locked comes to its tooth the lock before that end.
    lock_at, release_at = (
        tangent + away * (one.lift_rad - one.lock_rad) / 2.0,
        tangent - away * (one.lift_rad + one.lock_rad) / 2.0,
    )
    far = lock_at + away * _REACH_RAD
    if one.kind == "recoil":
        lock_face = _leaning(centre, locking, lock_at, away, one.recoil_slope_rad if entry else -one.recoil_slope_rad)
    else:
        lock_face = sheet.fine_arc(centre, locking, lock_at, far)
    back = sheet.fine_arc(centre, releasing, far, release_at)
    return [*lock_face, *back]


def pallets_scene(one: PalletsDrawn) -> Scene:
    """Both pallets over their wheel, with centre distance and radii."""
    centre: Point = (0.0, -one.centre_distance_mm)
    half = one.span_count * math.pi / one.escape_count
    words = {"deadbeat": "Deadbeat pallets", "recoil": "Recoil pallets", "pin": "Pin pallets"}[one.kind]
    scene = sheet.part_scene(
        f"{words} for a wheel of {one.escape_count}, radius {one.radius_mm:g} mm",
        f"The pallets span {one.span_count:g} spaces; the wheel turns clockwise; the anchor stands at the middle of "
        "its swing.",
        scale=sheet.best_scale(2.4 * one.outer_mm, one.centre_distance_mm + 0.75 * one.radius_mm),
    )
    _wheel(scene, one, half)
    if one.kind == "pin":
        for side in (-1.0, 1.0):
            at = (side * one.radius_mm * math.sin(half), -one.radius_mm * math.cos(half))
            strokes.edge(scene, sheet.fine_arc(at, one.pin_mm / 2.0, 0.0, 2.0 * math.pi)[:-1], fill="steel-wash")
            strokes.centre_cross(scene, at, 0.8 * one.pin_mm)
        pin = (-one.radius_mm * math.sin(half), -one.radius_mm * math.cos(half))
        strokes.pointer(scene, pin, (pin[0] - 0.4 * one.radius_mm, pin[1]), f"pins {one.pin_mm:.3f}")
    else:
        for entry in (True, False):
            strokes.edge(scene, pallet_ring(one, entry=entry), fill="steel-wash")
    for radius in sorted({one.outer_mm, one.inner_mm}):
        strokes.chain(scene, sheet.fine_arc(centre, radius, math.radians(25.0), math.radians(155.0)))
    for side in (-1.0, 1.0):
        strokes.chain(
            scene,
            (
                centre,
                (
                    side * 1.06 * one.radius_mm * math.sin(half),
                    -1.06 * one.radius_mm * math.cos(half) + 0.12 * one.radius_mm,
                ),
            ),
        )
    strokes.centre_cross(scene, centre, 3.0 / scene.scale)
    strokes.centre_cross(scene, (0.0, 0.0), 3.0 / scene.scale)
    strokes.chain(scene, ((0.0, 0.0), centre))
    strokes.size_line(
        scene, (0.0, 0.0), centre, f"centres {one.centre_distance_mm:.3f}", off=-(one.outer_mm * scene.scale + 10.0)
    )
    top = centre[1] - 3.0 / scene.scale
    strokes.pointer(
        scene,
        (-one.outer_mm * math.cos(math.radians(28.0)), centre[1] + one.outer_mm * math.sin(math.radians(28.0))),
        (-one.outer_mm, top),
        f"r {one.outer_mm:.3f}",
    )
    strokes.pointer(
        scene,
        (-one.inner_mm * math.cos(math.radians(33.0)), centre[1] + one.inner_mm * math.sin(math.radians(33.0))),
        (-one.outer_mm * 0.45, top),
        f"r {one.inner_mm:.3f}",
    )
    return sheet.framed(scene)


def _leaning(centre: Point, radius: float, at: float, away: float, slope: float) -> list[Point]:
    """A straight recoil face from the locking corner, leaning off its arc so that the tooth is pushed back."""
    corner = (centre[0] + radius * math.cos(at), centre[1] + radius * math.sin(at))
    along = at + away * (math.pi / 2.0 - slope)
    length = radius * math.tan(_REACH_RAD)
    return [corner, (corner[0] + length * math.cos(along), corner[1] + length * math.sin(along))]


def _wheel(scene: Scene, one: PalletsDrawn, half: float) -> None:
    """The upper part of the wheel, one tooth on the entry tangent."""
    ring = escape_ring((0.0, 0.0), one.radius_mm, one.escape_count, -math.pi / 2.0 - half)
    step = len(ring) // one.escape_count
    first = -4
    keep = [ring[(k * step + i) % len(ring)] for k in range(first, math.ceil(one.span_count) + 4) for i in range(step)]
    strokes.beside(scene, keep, closed=False)
