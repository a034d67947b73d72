"""A wheel or balance seen along its staff, with places marked round its rim: where it is heavy, askew or off its
centre.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underdial.papers import part_drawing as sheet
from underdial.papers import strokes
from underdial.papers.scene import Scene

_WIDE_MM, _TALL_MM = 170.0, 140.0


@dataclass(frozen=True, slots=True)
class RimMark:
    """A place on the rim: angle clockwise from the top [rad], its error [rad], what is there, and whether metal is
    taken there.
    """

    angle_rad: float
    u_rad: float
    words: str
    works: bool = False


@dataclass(frozen=True, slots=True)
class RimDrawn:
    """What is drawn, in mm: title, where it is seen from, radius, the marks, and how far its middle lies off the staff
    (drawn `enlarged` times larger).
    """

    title: str
    seen: str
    radius_mm: float
    marks: Sequence[RimMark]
    off_mm: float = 0.0
    off_rad: float = 0.0


def enlarged(one: RimDrawn) -> float:
    """How much larger than it is the way off the centre is drawn: 1, 2, 5 times a power of ten."""
    if one.off_mm <= 0.0:
        return 1.0
    most = 0.12 * one.radius_mm / one.off_mm
    power = 10.0 ** math.floor(math.log10(most))
    return max(1.0, max(k * power for k in (1.0, 2.0, 5.0) if k * power <= most * 1.0001))


def rim_scene(one: RimDrawn) -> Scene:
    """The rim at its own size, the marks with their doubt as an arc along it."""
    larger = enlarged(one)
    scene = sheet.part_scene(
        one.title,
        f"{one.seen}: "
        + "; ".join(f"{mark.words} at {math.degrees(mark.angle_rad) % 360.0:.0f} deg" for mark in one.marks)
        + ".",
        scale=_scale(one),
    )
    r, small = one.radius_mm, 1.0 / scene.scale
    way = one.off_rad - math.pi / 2.0
    middle = (one.off_mm * larger * math.cos(way), one.off_mm * larger * math.sin(way))
    if one.off_mm > 0.0:
        strokes.pitch_circle(scene, (0.0, 0.0), r)
    strokes.edge(scene, sheet.fine_arc(middle, r, 0.0, 2.0 * math.pi)[:-1])
    scene.disc(
        (0.0, 0.0),
        max(0.03 * r, 0.6 * small),
        layer="context",
        stroke="ink-soft",
        width=sheet.THIN_MM / scene.scale,
        fill="steel-wash",
    )
    strokes.centre_cross(scene, (0.0, 0.0), r + 3.0 * small)
    for mark in one.marks:
        _marked(scene, mark, middle, r, small)
    if one.off_mm > 0.0 and larger > 1.0:
        strokes.note(
            scene,
            (0.0, r * 1.25 + 6.0 * small),
            f"off its centre, drawn {larger:g} times larger than it is",
            anchor="middle",
        )
    return sheet.framed(scene)


def _scale(one: RimDrawn) -> float:
    """Largest usual scale at which the rim and the words on both sides go on a page."""

    def beside(right: bool) -> float:
        return max(
            (
                0.52 * sheet.LETTER_MM * len(_says(mark))
                for mark in one.marks
                if (math.sin(mark.angle_rad) >= -1e-9) == right
            ),
            default=0.0,
        )

    room = _WIDE_MM - beside(True) - beside(False) - 10.0
    fits = [scale for scale in sheet.SCALES if 2.4 * one.radius_mm * scale <= min(room, _TALL_MM)]
    return fits[-1] if fits else sheet.SCALES[0]


def _says(mark: RimMark) -> str:
    return f"{mark.words}, {math.degrees(mark.angle_rad) % 360.0:.0f} deg"


def _marked(scene: Scene, mark: RimMark, middle: tuple[float, float], r: float, small: float) -> None:
    way = mark.angle_rad - math.pi / 2.0
    at = (middle[0] + r * math.cos(way), middle[1] + r * math.sin(way))
    doubt = min(2.0 * mark.u_rad, math.pi)
    if doubt > 0.0:
        scene.outline(
            sheet.fine_arc(middle, r, way - doubt, way + doubt),
            closed=False,
            layer="sizes",
            stroke="ink",
            width=1.0 * small,
        )
    if mark.works:
        scene.disc(at, 1.1 * small, layer="sizes", fill="ink")
    side = 1.0 if math.sin(mark.angle_rad) >= -1e-9 else -1.0
    to = (side * (r * 1.18 + 2.0 * small), (r * 1.12 + 2.0 * small) * math.sin(way))
    strokes.pointer(scene, at, to, _says(mark))
