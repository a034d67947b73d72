"""A pendulum in elevation: point of suspension, centre of oscillation, bob and nut, to scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.papers import part_drawing as sheet
from underdial.papers import strokes
from underdial.papers.scene import Scene


@dataclass(frozen=True, slots=True)
class PendulumDrawn:
    """What is drawn, in mm: length to the centre of oscillation, the right length where it was found, turns of the
    nut.
    """

    length_mm: float
    right_length_mm: float | None = None
    turns: float | None = None


def pendulum_scene(one: PendulumDrawn) -> Scene:
    """The pendulum as it hangs; a bob is drawn for the eye, since only the length is known."""
    L = one.length_mm
    bob, nut = 0.09 * L, 0.02 * L
    scene = sheet.part_scene(
        f"Pendulum of {L:g} mm",
        f"From the point of suspension down to the centre of oscillation, {L:g} mm; the bob is drawn for the eye.",
        scale=sheet.best_scale(0.5 * L, 1.2 * L),
    )
    width = 0.5 * max(0.006 * L, 0.4 / scene.scale)
    strokes.beside(scene, [(-width, 0.05 * L), (width, 0.05 * L), (width, L + bob * 1.35), (-width, L + bob * 1.35)])
    strokes.beside(scene, [(-0.3 * width, 0.0), (0.3 * width, 0.0), (0.3 * width, 0.05 * L), (-0.3 * width, 0.05 * L)])
    strokes.beside(scene, sheet.fine_arc((0.0, L), bob, 0.0, 2.0 * math.pi)[:-1])
    strokes.beside(
        scene,
        [(-nut, L + bob * 1.05), (nut, L + bob * 1.05), (nut, L + bob * 1.05 + nut), (-nut, L + bob * 1.05 + nut)],
    )
    for y in (0.0, L):
        strokes.chain(scene, ((-bob * 1.4, y), (bob * 1.4, y)))
    strokes.size_line(
        scene, (0.0, 0.0), (0.0, L), f"{L:.2f} to the centre of oscillation", off=bob * scene.scale + 12.0
    )
    if one.right_length_mm is not None:
        strokes.size_line(
            scene,
            (0.0, 0.0),
            (0.0, one.right_length_mm),
            f"right length {one.right_length_mm:.2f}",
            off=-(bob * scene.scale + 12.0),
        )
    if one.turns is not None:
        words = f"{'raise' if one.turns >= 0 else 'lower'} by {abs(one.turns):.2f} turns"
        strokes.pointer(scene, (nut, L + bob * 1.05 + nut / 2.0), (bob + 6.0 / scene.scale, L + bob * 1.4), words)
    return sheet.framed(scene)
