"""How a part is drawn: edges to be made, edges beside, chain dots, sizes, notes; each keeps its weight on paper at any
scale.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from underdial.papers.part_drawing import LETTER_MM, LINE_MM, THIN_MM
from underdial.papers.scene import Point, Scene

_CHAIN = (3.2, 0.7, 0.4, 0.7)


def edge(scene: Scene, *rings: list[Point], closed: bool = True, fill: str | None = None) -> None:
    """An edge that is to be made."""
    scene.outline(*rings, closed=closed, stroke="ink", width=LINE_MM / scene.scale, fill=fill, round_ends=True)


def beside(scene: Scene, *rings: list[Point], closed: bool = True) -> None:
    """An edge of the part beside it, thin."""
    scene.outline(*rings, closed=closed, layer="context", stroke="ink-soft", width=THIN_MM / scene.scale)


def chain(scene: Scene, points: Sequence[Point]) -> None:
    """A centre line, straight or along an arc, in chain dots."""
    scene.outline(
        points,
        closed=False,
        layer="centre",
        stroke="ink-soft",
        width=THIN_MM / scene.scale,
        dash=tuple(one / scene.scale for one in _CHAIN),
    )


def centre_cross(scene: Scene, centre: Point, reach: float) -> None:
    """Two centre lines through a point."""
    chain(scene, ((centre[0] - reach, centre[1]), (centre[0] + reach, centre[1])))
    chain(scene, ((centre[0], centre[1] - reach), (centre[0], centre[1] + reach)))


def pitch_circle(scene: Scene, centre: Point, radius: float) -> None:
    """A circle in chain dots."""
    scene.disc(
        centre,
        radius,
        layer="centre",
        stroke="ink-soft",
        width=THIN_MM / scene.scale,
        dash=tuple(one / scene.scale for one in _CHAIN),
    )


def size_line(scene: Scene, a: Point, b: Point, words: str, *, off: float = 0.0) -> None:
    """A size between two points: thin line with end strokes, `off` mm on paper to the left of a to b, its words in the
    middle where there are any.
    """
    length = math.hypot(b[0] - a[0], b[1] - a[1])
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    nx, ny = uy, -ux
    d = off / scene.scale
    p, q = (a[0] + nx * d, a[1] + ny * d), (b[0] + nx * d, b[1] + ny * d)
    thin = THIN_MM / scene.scale
    scene.line(p, q, layer="sizes", stroke="ink", width=thin)
    tick = 0.9 / scene.scale
    for x, y in (p, q):
        scene.line(
            (x - (ux + nx) * tick, y - (uy + ny) * tick),
            (x + (ux + nx) * tick, y + (uy + ny) * tick),
            layer="sizes",
            stroke="ink",
            width=1.6 * thin,
        )
    if off:
        for one, end in ((a, p), (b, q)):
            scene.line(
                one,
                (end[0] + math.copysign(tick, off) * nx, end[1] + math.copysign(tick, off) * ny),
                layer="sizes",
                stroke="ink",
                width=0.7 * thin,
            )
    if not words:
        return
    lift = 1.0 / scene.scale
    middle = ((p[0] + q[0]) / 2.0 + nx * lift, (p[1] + q[1]) / 2.0 + ny * lift)
    angle = math.degrees(math.atan2(uy, ux))
    if not -90.0 < angle <= 90.0:
        angle += 180.0
        middle = (
            (p[0] + q[0]) / 2.0 + nx * (lift + 0.7 * LETTER_MM / scene.scale),
            (p[1] + q[1]) / 2.0 + ny * (lift + 0.7 * LETTER_MM / scene.scale),
        )
    note(scene, middle, words, anchor="middle", turned=angle)


def note(
    scene: Scene, at: Point, words: str, *, anchor: str = "start", turned: float = 0.0, face: str = "bench"
) -> None:
    """Lettering of the size it has on paper."""
    scene.words(at, words, face, LETTER_MM / scene.scale, anchor=anchor, turn=turned)


def pointer(scene: Scene, at: Point, to: Point, words: str) -> None:
    """A thin line from a place to words beside the part."""
    scene.line(at, to, layer="sizes", stroke="ink", width=THIN_MM / scene.scale)
    scene.disc(at, 0.35 / scene.scale, layer="sizes", fill="ink")
    right = to[0] >= at[0]
    note(
        scene,
        (to[0] + (0.8 if right else -0.8) / scene.scale, to[1] + 0.35 * LETTER_MM / scene.scale),
        words,
        anchor="start" if right else "end",
    )
