"""Drawings for the demo shop: three cases with their dials, drawn and called so; no photograph, no real clock."""

from __future__ import annotations

import math

from underdial.papers.scene import Scene, arc, curve, polar, svg

_FULL = 2 * math.pi


def drum_picture() -> str:
    """A brass drum case with a round dial; the minute hand touches the glass at twenty to four."""
    scene = Scene(
        520,
        420,
        "A drum case of brass, drawn",
        "Round brass case on a foot, white dial; the minute hand stands at twenty to and is bent towards the glass.",
    )
    scene.outline(
        [*curve([(150, 360), (190, 336), (330, 336), (370, 360)]), (390, 384), (130, 384)],
        fill="brass-wash",
        stroke="ink",
        width=1.2,
    )
    scene.disc((262, 196), 172, fill="ink")
    scene.disc((260, 194), 172, fill="brass-wash", stroke="ink", width=1.2)
    for k in range(8):
        scene.outline(arc((260, 194), 168 - 3 * k, -0.4, 1.7), closed=False, stroke="ink", width=0.4, opacity=0.8)
    _dial(scene, (260, 194), 138, hour=3 + 40 / 60, minute=40)
    scene.outline(arc((260, 194), 112, math.radians(140), math.radians(172)), closed=False, stroke="oxide", width=2.0)
    scene.words((30, 180), "rub on the glass", "bench", 15, fill="oxide")
    return svg(scene, alone=True, prefix="drum")


def mantel_picture() -> str:
    """A black slate case with a round dial."""
    scene = Scene(
        520,
        420,
        "A slate mantel case, drawn",
        "Heavy slate case in three steps with a round enamel dial; one lower corner is chipped.",
    )
    for x, y, across, down in ((60, 330, 400, 54), (100, 120, 320, 210), (76, 84, 368, 36), (150, 48, 220, 36)):
        scene.rectangle(x + 2, y + 2, across, down, fill="ink")
        scene.rectangle(x, y, across, down, fill="steel-wash", stroke="ink", width=1.2)
    scene.outline(((60, 384), (60, 366), (78, 384)), fill="paper", stroke="oxide", width=1.4)
    scene.disc((260, 218), 96, fill="brass-wash", stroke="ink", width=1.2)
    _dial(scene, (260, 218), 80, hour=10.2, minute=12)
    return svg(scene, alone=True, prefix="mantel")


def longcase_picture() -> str:
    """An oak longcase with its hood, trunk and plinth."""
    scene = Scene(
        520,
        700,
        "An oak longcase, drawn",
        "Hood with a square painted dial, trunk with its door, plinth; the hood glass is cracked at the lower left.",
    )
    for x, y, across, down in ((120, 560, 280, 116), (160, 250, 200, 310), (126, 62, 268, 188), (110, 40, 300, 22)):
        scene.rectangle(x + 2, y + 2, across, down, fill="ink")
        scene.rectangle(x, y, across, down, fill="brass-wash", stroke="ink", width=1.2)
    scene.rectangle(186, 280, 148, 250, fill="brass-wash", stroke="ink", width=0.8)
    for k in range(5):
        scene.outline(
            curve([(196 + 28 * k, 290), (204 + 28 * k, 370), (188 + 28 * k, 440), (198 + 28 * k, 520)]),
            closed=False,
            stroke="ink",
            width=0.35,
        )
    scene.rectangle(164, 74, 192, 164, fill="paper", stroke="ink", width=1.2)
    _dial(scene, (260, 156), 74, hour=11.9, minute=54)
    scene.outline(((164, 206), (184, 214), (178, 226), (198, 238)), closed=False, stroke="oxide", width=1.6)
    return svg(scene, alone=True, prefix="longcase")


def _dial(scene: Scene, centre: tuple[float, float], radius: float, *, hour: float, minute: float) -> None:
    scene.disc(centre, radius, fill="slip", stroke="ink", width=1.2)
    scene.disc(centre, radius * 0.94, stroke="ink", width=0.6)
    scene.disc(centre, radius * 0.87, stroke="ink", width=0.6)
    for k in range(60):
        scene.line(
            polar(centre, radius * 0.87, _FULL * k / 60),
            polar(centre, radius * 0.94, _FULL * k / 60),
            width=1.6 if k % 5 == 0 else 0.6,
        )
    for k, numeral in enumerate(("XII", "I", "II", "III", "IIII", "V", "VI", "VII", "VIII", "IX", "X", "XI")):
        x, y = polar(centre, radius * 0.71, _FULL * k / 12 - math.pi / 2)
        scene.words((x, y + radius * 0.06), numeral, "plate-medium", radius * 0.17, anchor="middle")
    for turn, length, width in ((hour / 12, 0.48, 0.055), (minute / 60, 0.8, 0.035)):
        a = _FULL * turn - math.pi / 2
        side = polar((0, 0), radius * width, a + math.pi / 2)
        tip, tail = polar(centre, radius * length, a), polar(centre, -radius * 0.16, a)
        scene.outline(
            (tail, (centre[0] + side[0], centre[1] + side[1]), tip, (centre[0] - side[0], centre[1] - side[1])),
            fill="ink",
        )
    scene.disc(centre, radius * 0.05, fill="ink")
