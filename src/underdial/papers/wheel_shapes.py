"""Shapes of clockwork for drawings: wheels, pinions, escape wheels, anchors, bobs, balances, marks of importance.

For the eye, from counts and radii; a wheel that is to be cut comes from `movement.tooth_form`, never from here.
"""

from __future__ import annotations

import math

from underdial.papers.scene import Point, Scene, arc, curve, polar

SHADE = (1.1, 1.3)  # Where the shade line of a solid falls: light from the top left.


def wheel_ring(centre: Point, pitch_radius: float, teeth: int, phase: float) -> list[Point]:
    """Outline of a clock wheel with round-topped teeth; a tooth space stands at the angle `phase`."""
    module = 2 * pitch_radius / teeth
    root, tip, knee = pitch_radius - 1.5 * module, pitch_radius + 1.35 * module, pitch_radius + 0.8 * module
    half = math.pi / (2 * teeth) * 0.96
    ring: list[Point] = []
    for k in range(teeth):
        middle = phase + (k + 0.5) * 2 * math.pi / teeth
        for radius, share in (
            (root, -1.05),
            (pitch_radius, -1.0),
            (knee, -0.78),
            (tip, -0.22),
            (tip, 0.22),
            (knee, 0.78),
            (pitch_radius, 1.0),
            (root, 1.05),
        ):
            ring.append(polar(centre, radius, middle + share * half))
    return ring


def pinion_ring(centre: Point, pitch_radius: float, leaves: int, phase: float) -> list[Point]:
    """Outline of a pinion with round-ended leaves; a leaf stands at the angle `phase`."""
    module = 2 * pitch_radius / leaves
    root, knee, tip = pitch_radius - 1.55 * module, pitch_radius + 0.35 * module, pitch_radius + 0.58 * module
    half = math.pi / leaves * 0.40
    ring: list[Point] = []
    for k in range(leaves):
        middle = phase + k * 2 * math.pi / leaves
        for radius, share in (
            (root, -1.15),
            (pitch_radius, -1.0),
            (knee, -0.7),
            (tip, 0.0),
            (knee, 0.7),
            (pitch_radius, 1.0),
            (root, 1.15),
        ):
            ring.append(polar(centre, radius, middle + share * half))
    return ring


def escape_ring(centre: Point, tip_radius: float, teeth: int, phase: float, *, depth: float = 0.17) -> list[Point]:
    """Outline of an escape wheel with pointed teeth that turns clockwise; a point stands at the angle `phase`."""
    step = 2 * math.pi / teeth
    root = tip_radius * (1 - depth)
    ring: list[Point] = []
    for k in range(teeth):
        at = phase + k * step
        for radius, share in (
            (root, -0.62),
            (root + (tip_radius - root) * 0.25, -0.40),
            (root + (tip_radius - root) * 0.6, -0.19),
            (tip_radius, -0.03),
            (tip_radius, 0.03),
            (root + 0.02 * tip_radius, 0.15),
            (root, 0.26),
        ):
            ring.append(polar(centre, radius, at + share * step))
    return ring


def crossing_rings(
    centre: Point, hub: float, rim: float, arms: int, turn: float, *, arm: float = 6.5
) -> list[list[Point]]:
    """Openings between the arms of a crossed-out wheel, corners left as the file leaves them."""
    rings: list[list[Point]] = []
    for k in range(arms):
        start, end = turn + 2 * math.pi * k / arms, turn + 2 * math.pi * (k + 1) / arms
        outer = math.asin(min(0.9, arm / rim))
        inner = math.asin(min(0.9, arm * 0.85 / hub))
        if end - start > 2 * max(outer, inner) + 0.05:
            rings.append(arc(centre, rim, start + outer, end - outer) + arc(centre, hub, end - inner, start + inner))
    return rings


def draw_wheel(
    scene: Scene,
    centre: Point,
    radius: float,
    teeth: int,
    *,
    phase: float,
    turn: float,
    escape: bool = False,
    solid: bool = False,
    fusee: bool = False,
) -> None:
    """A brass wheel with teeth, arms, hub and shaded rim; `solid` is that of a barrel, `fusee` that of a fusee."""
    root = radius * 0.83 if escape else radius * (1 - 3.0 / teeth)
    ring = escape_ring(centre, radius, teeth, phase) if escape else wheel_ring(centre, radius, teeth, phase)
    rim = root - max(7.0, radius * (0.13 if escape else 0.17))
    hub = max(9.0, radius * 0.16)
    openings = (
        []
        if solid or rim < hub * 1.7
        else crossing_rings(centre, hub * 1.35, rim, 4, turn, arm=max(3.2, radius * 0.055))
    )
    _shaded(scene, [ring, *openings], "brass-wash")
    for k, inner in enumerate(range(int(hub * 1.5), int(root - 8), 5) if solid and not fusee else ()):
        scene.outline(
            arc(centre, inner, math.radians(-28 + k * 0.8), math.radians(128 - k * 0.8)),
            closed=False,
            stroke="ink",
            width=0.38,
            opacity=0.8,
        )
    if fusee:
        _fusee(scene, centre, root * 0.78, hub)
    elif solid:
        scene.disc(centre, root - max(6.0, radius * 0.13), stroke="ink", width=0.8)
        scene.disc(centre, radius * 0.74, stroke="ink", width=0.8, dash=(5.0, 3.5))
        for inner in range(int(hub * 1.5), int(root - 30), 5):
            scene.outline(
                arc(centre, inner, math.radians(196), math.radians(250)),
                closed=False,
                stroke="ink",
                width=0.25,
                opacity=0.5,
            )
    if not solid and rim > 8:
        for k in range(0, 124, 3):
            a = math.radians(-12 + k)
            scene.line(polar(centre, rim + 1.5, a), polar(centre, root - 2, a), width=0.35, opacity=0.75)
        scene.disc(centre, rim + 1, stroke="ink", width=0.5)
    scene.disc(centre, root - 1.5, stroke="ink", width=0.45)
    scene.disc(centre, hub, fill="brass-wash", stroke="ink", width=0.8)


def _fusee(scene: Scene, centre: Point, largest: float, hub: float) -> None:
    """A fusee from its small end: the groove of the chain winds from the largest turn down to the hub."""
    smallest, turns_count = max(hub * 1.5, largest * 0.42), 7
    steps = 72 * turns_count

    def groove(k: int) -> Point:
        return polar(centre, largest + (smallest - largest) * k / steps, 2.0 * math.pi * k / 72.0)

    scene.disc(centre, largest + 3.0, fill="brass-wash", stroke="ink", width=1.2)
    scene.outline([groove(k) for k in range(steps + 1)], closed=False, stroke="ink", width=0.9)
    # The chain leaves the largest turn for the barrel, over the edge of the wheel.
    top = (centre[0], centre[1] - largest)
    away = (centre[0] - 1.3 * largest, centre[1] - largest)
    scene.line(top, away, width=2.4)
    scene.line(top, away, stroke="steel-wash", width=1.0, dash=(5.0, 2.0))


def draw_pinion(scene: Scene, centre: Point, radius: float, leaves: int) -> None:
    """A steel pinion on its arbor with the end of the pivot."""
    _shaded(scene, [pinion_ring(centre, radius, leaves, math.pi)], "steel-wash")
    scene.disc(centre, max(2.6, radius * 0.42), fill="steel-wash", stroke="ink", width=0.8)
    scene.disc(centre, 1.5, fill="ink")


def draw_anchor(scene: Scene, pivot: Point, wheel: Point, wheel_radius: float, *, unseen: bool) -> None:
    """Pallets over the escape wheel; stippled with a broken outline where nobody has looked at them."""
    x, y = pivot
    nib = wheel_radius * math.sin(math.pi / 4)
    drop = (wheel[1] - y) / (wheel_radius * math.sqrt(2)) * nib
    s = wheel_radius / 96
    left = curve(
        [
            (x - nib - 7 * s, y + drop + 7 * s),
            (x - nib - 12 * s, y + 44 * s),
            (x - nib + 18 * s, y + 2 * s),
            (x - 13 * s, y - 9 * s),
        ]
    )
    over = arc((x, y), 15.8 * s, math.radians(215), math.radians(325))
    right = curve(
        [
            (x + 13 * s, y - 9 * s),
            (x + nib - 18 * s, y + 2 * s),
            (x + nib + 12 * s, y + 44 * s),
            (x + nib - 3 * s, y + drop + 8 * s),
        ]
    )
    inside = curve(
        [
            (x + nib - 10 * s, y + drop - 3 * s),
            (x + nib - 10 * s, y + 46 * s),
            (x + 30 * s, y + 24 * s),
            (x, y + 16 * s),
            (x - 30 * s, y + 24 * s),
            (x - nib + 4 * s, y + 46 * s),
            (x - nib + 3 * s, y + drop - 2 * s),
        ]
    )
    ring = [*left, *over, *right, *inside]
    if unseen:
        scene.outline(
            ring,
            fill=scene.hatching("unseen", stroke="ink-faint", pitch=7, width=0.8, dots=True),
            stroke="ink",
            width=1.1,
            dash=(4, 3),
        )
    else:
        _shaded(scene, [ring], "steel-wash")
    scene.disc(pivot, max(4.0, 7 * s), fill="paper", stroke="ink", width=1.0)
    scene.disc(pivot, 1.8, fill="ink")


def draw_pendulum(scene: Scene, x: float, top: float, middle: float, radius: float) -> None:
    """Suspension, rod with a break, bob and nut; never to scale, and the words beside it say so."""
    scene.rectangle(x - 17, top - 34, 34, 15, fill="brass-wash", stroke="ink", width=1.0)
    scene.rectangle(x - 11, top - 19, 22, 10, fill="steel-wash", stroke="ink", width=0.8)
    scene.rectangle(x - 1.1, top - 9, 2.2, 47, fill="ink")
    scene.rectangle(x - 7, top + 38, 14, 18, fill="brass-wash", stroke="ink", width=0.9)
    gap = (top + 56 + middle - radius) / 2
    for a, b in ((top + 56, gap - 6), (gap + 6, middle - radius)):
        for dx in (-2.6, 2.6):
            scene.line((x + dx, a), (x + dx, b), width=0.9)
    for y in (gap - 6, gap + 6):
        scene.outline(
            curve([(x - 11, y + 3), (x - 5, y - 6), (x + 4, y + 7), (x + 11, y - 3)]),
            closed=False,
            stroke="ink",
            width=0.9,
        )
    scene.disc((x + SHADE[0], middle + SHADE[1]), radius, fill="ink")
    scene.disc((x, middle), radius, fill="brass-wash", stroke="ink", width=0.9)
    for k in range(int(radius / 6)):
        scene.outline(
            arc((x, middle), radius - 4 - k * 4.6, math.radians(-30 + 3 * k), math.radians(130 - 3 * k)),
            closed=False,
            stroke="ink",
            width=0.38,
            opacity=0.8,
        )
    scene.rectangle(x - 8, middle + radius + 5, 16, 6, fill="brass-wash", stroke="ink", width=0.9)


def draw_balance(scene: Scene, centre: Point, radius: float) -> None:
    """Rim, arm, screws and the coils of the hairspring."""
    rim = [
        arc(centre, radius, 0, 2 * math.pi, step=0.04)[:-1],
        arc(centre, radius * 0.86, 2 * math.pi, 0, step=0.04)[:-1],
    ]
    _shaded(scene, rim, "brass-wash")
    for side in (-1, 1):
        scene.rectangle(
            centre[0] - radius * 0.87, centre[1] - 3, radius * 1.74, 6, fill="brass-wash", stroke="ink", width=0.8
        )
        for k in range(5):
            at = polar(centre, radius + 3.2, math.radians(90 + side * 90 + (k - 2) * 24))
            scene.disc(at, 3.0, fill="steel-wash", stroke="ink", width=0.7)
    turns = 7
    coil = [
        polar(centre, radius * (0.12 + 0.55 * k / (turns * 40)), 2 * math.pi * k / 40) for k in range(turns * 40 + 1)
    ]
    scene.outline(coil, closed=False, stroke="steel", width=0.7)
    scene.disc(centre, 4.5, fill="steel-wash", stroke="ink", width=0.9)
    scene.disc(centre, 1.5, fill="ink")


def draw_mark(scene: Scene, at: Point, kind: str, size: float = 16.0) -> None:
    """Shape of an importance: stops, contributes, cosmetic, none, unseen or sound. The word stands beside it."""
    x, y = at
    r = size / 2
    if kind == "stops":
        scene.rectangle(x - r, y - r, size, size, fill="oxide")
    elif kind == "contributes":
        h = r * 0.95
        scene.outline(
            [(x - r * 0.54, y), (x + r * 0.54, y), (x + r * 1.08, y + h), (x - r * 1.08, y + h)], fill="brass-line"
        )
        scene.outline(
            [(x, y - h), (x + r * 1.08, y + h), (x - r * 1.08, y + h)], stroke="brass", width=1.6, round_ends=True
        )
    elif kind == "cosmetic":
        scene.disc(at, r - 1.2, stroke="ink-soft", width=1.8)
    elif kind == "none":
        scene.line((x - r, y), (x + r, y), stroke="ink-faint", width=2.4)
    elif kind == "unseen":
        step = math.pi * 2 * (r - 1) / 10
        scene.disc(at, r - 1, stroke="ink-soft", width=1.8, dash=(step * 0.55, step * 0.45))
    else:
        assert kind == "sound", kind
        scene.outline(
            [(x - r * 0.8, y), (x - r * 0.2, y + r * 0.65), (x + r * 0.9, y - r * 0.7)],
            closed=False,
            stroke="verdigris",
            width=2.4,
        )


def _shaded(scene: Scene, rings: list[list[Point]], wash: str) -> None:
    """A solid of metal: its shade below and to the right, then the metal, then its edge."""
    scene.outline(*[[(x + SHADE[0], y + SHADE[1]) for x, y in ring] for ring in rings], fill="ink")
    scene.outline(*rings, fill=wash, stroke="ink", width=0.8)
