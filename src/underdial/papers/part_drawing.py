"""The frame of a drawing of a part: true millimetres, sizes with their lines, a bar to check the print by.

A part is drawn in its own millimetres about its own centre; `framed` moves it onto a sheet, adds the bar and chooses
how large it is put on paper (1 : 1 where that can be read, else the next of 2, 3, 4, 5, 10, 20 or 1/2, 1/5, 1/10).
Lettering and lines keep their size on paper. Every way out (page, print, DXF) draws this one scene.

Layers: `outline` is to be made, `context` stands beside it for the eye, `centre` centre lines and pitch circles,
`sizes` dimension lines, `words` lettering, `check` the bar.
"""

from __future__ import annotations

import math
from dataclasses import replace

from underdial.papers.scene import Disc, Lettering, Outline, Point, Scene

SCALES = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 10.0, 20.0, 50.0)
_PAPER_MM = 165.0
_TALL_MM = 130.0
# The words beside the bar, at their longest, on paper.
_BAR_WORDS_MM = 66.0
# Sizes on paper in mm: lettering, lines, the chord's rise of a drawn arc.
LETTER_MM, LINE_MM, THIN_MM = 2.9, 0.3, 0.14
ARC_RISE_MM = 2e-4


def best_scale(across_mm: float, down_mm: float) -> float:
    """Largest usual scale at which a part of this size still goes on a page."""
    fits = [one for one in SCALES if one * across_mm <= _PAPER_MM and one * down_mm <= _TALL_MM]
    return fits[-1] if fits else SCALES[0]


def scale_words(scale: float) -> str:
    """`5 : 1`, `1 : 1`, `1 : 5`."""
    return f"{scale:g} : 1" if scale >= 1.0 else f"1 : {1.0 / scale:g}"


def part_scene(title: str, description: str, *, scale: float) -> Scene:
    """An empty scene in millimetres about the part's own origin, to be drawn in and then `framed`."""
    return Scene(0.0, 0.0, title, description, unit="mm", scale=scale)


def fine_arc(centre: Point, radius: float, start: float, end: float) -> list[Point]:
    """Part of a circle whose chords lie within 0.2 um of it; angles in radians clockwise from three o'clock."""
    step = 2.0 * math.acos(max(0.0, 1.0 - ARC_RISE_MM / max(radius, 1e-9))) if radius > ARC_RISE_MM else math.pi
    count = max(2, math.ceil(abs(end - start) / step) + 1)
    return [
        (
            centre[0] + radius * math.cos(start + (end - start) * k / (count - 1)),
            centre[1] + radius * math.sin(start + (end - start) * k / (count - 1)),
        )
        for k in range(count)
    ]


def turn(points: list[Point], angle: float, about: Point = (0.0, 0.0)) -> list[Point]:
    """Points turned clockwise, as the screen turns, about a point."""
    c, s = math.cos(angle), math.sin(angle)
    return [
        (about[0] + (x - about[0]) * c - (y - about[1]) * s, about[1] + (x - about[0]) * s + (y - about[1]) * c)
        for x, y in points
    ]


def framed(scene: Scene, *, margin_mm: float = 6.0) -> Scene:
    """Move a drawn part onto its sheet and add the bar that a print is checked by."""
    left, top, right, bottom = _bounds(scene)
    margin = margin_mm / scene.scale
    bar = _bar_mm(scene.scale)
    # Of a narrow part the words stand under its bar, so that two such drawings go side by side.
    under = right - left < bar + _BAR_WORDS_MM / scene.scale
    wide = max(right - left, max(bar, _BAR_WORDS_MM / scene.scale) if under else 0.0)
    moved = [_moved(one, margin - left, margin - top) for one in scene.shapes]
    foot = margin + (bottom - top) + 7.0 / scene.scale
    out = Scene(
        wide + 2.0 * margin,
        foot + margin + (6.0 if under else 4.0) / scene.scale,
        scene.title,
        scene.description,
        unit="mm",
        shapes=moved,
        hatchings=dict(scene.hatchings),
        scale=scene.scale,
    )
    thick = 2.0 * THIN_MM / scene.scale
    out.line((margin, foot), (margin + bar, foot), layer="check", stroke="ink", width=thick)
    for x in (margin, margin + bar):
        out.line((x, foot - 1.4 / scene.scale), (x, foot + 1.4 / scene.scale), layer="check", stroke="ink", width=thick)
    on_paper = "" if scene.scale == 1.0 else f", {bar * scene.scale:g} mm on paper"
    out.words(
        (margin, foot + 5.0 / scene.scale) if under else (margin + bar + 2.5 / scene.scale, foot + 1.0 / scene.scale),
        f"{bar:g} mm{on_paper}; drawn {scale_words(scene.scale)}",
        "bench",
        LETTER_MM / scene.scale,
    )
    return out


def _bar_mm(scale: float) -> float:
    """A round length of the part that is 40 to 100 mm on paper."""
    return next(
        one for one in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0) if one * scale >= 40.0
    )


def _bounds(scene: Scene) -> tuple[float, float, float, float]:
    xs: list[float] = []
    ys: list[float] = []
    for one in scene.shapes:
        if isinstance(one, Disc):
            xs += [one.centre[0] - one.radius, one.centre[0] + one.radius]
            ys += [one.centre[1] - one.radius, one.centre[1] + one.radius]
        elif isinstance(one, Outline):
            xs += [x for ring in one.rings for x, _ in ring]
            ys += [y for ring in one.rings for _, y in ring]
        else:
            # Half the size across for each letter is close enough to keep words on the sheet.
            long = 0.5 * one.size * len(one.words)
            start = {"start": 0.0, "middle": -long / 2.0, "end": -long}[one.anchor]
            c, s = math.cos(math.radians(one.turn)), math.sin(math.radians(one.turn))
            for along in (start, start + long):
                for up in (-0.8 * one.size, 0.25 * one.size):
                    xs.append(one.at[0] + along * c - up * s)
                    ys.append(one.at[1] + along * s + up * c)
    return min(xs), min(ys), max(xs), max(ys)


def _moved(one: Outline | Disc | Lettering, dx: float, dy: float) -> Outline | Disc | Lettering:
    if isinstance(one, Disc):
        return replace(one, centre=(one.centre[0] + dx, one.centre[1] + dy))
    if isinstance(one, Lettering):
        return replace(one, at=(one.at[0] + dx, one.at[1] + dy))
    return replace(one, rings=tuple(tuple((x + dx, y + dy) for x, y in ring) for ring in one.rings))
