"""One drawing, kept as shapes, that can leave the house as SVG for a page, for print, or as lines for DXF.

A scene knows lengths in its own unit (CSS px for figures, mm for parts drawn to scale), y downwards. Colours are
names of the look's tokens; `svg` turns them into CSS variables for a page (so that day and night follow the page)
or into the print palette for paper. Curves are kept as fine polylines, so that every way out draws the same thing.

Limits: no gradients, no images, no transforms; a scene is drawn from the back to the front.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any
from xml.sax.saxutils import escape

Point = tuple[float, float]

# Faces of the look (family, weight, slant).
FACES = {
    "plate": ("EB Garamond", 400, "normal"),
    "plate-medium": ("EB Garamond", 500, "normal"),
    "plate-italic": ("EB Garamond", 400, "italic"),
    "plate-medium-italic": ("EB Garamond", 500, "italic"),
    "bench": ("Atkinson Hyperlegible Next", 400, "normal"),
    "bench-bold": ("Atkinson Hyperlegible Next", 600, "normal"),
    "count": ("Atkinson Hyperlegible Mono", 400, "normal"),
}
FALLBACK = {
    "EB Garamond": "Garamond, Georgia, serif",
    "Atkinson Hyperlegible Next": "'Source Sans 3', Verdana, sans-serif",
    "Atkinson Hyperlegible Mono": "'DejaVu Sans Mono', monospace",
}

# Tokens in print: black on white; metal and washes are white, hatching carries the meaning.
PRINT = {
    "paper": "#FFFFFF",
    "slip": "#FFFFFF",
    "recess": "#FFFFFF",
    "ink": "#000000",
    "ink-soft": "#000000",
    "ink-faint": "#333333",
    "line-faint": "#999999",
    "line-edge": "#333333",
    "on-ink": "#FFFFFF",
    "oxide": "#000000",
    "oxide-wash": "#FFFFFF",
    "brass": "#000000",
    "brass-line": "#333333",
    "brass-wash": "#FFFFFF",
    "verdigris": "#000000",
    "verdigris-wash": "#FFFFFF",
    "steel": "#000000",
    "steel-wash": "#FFFFFF",
}


# Tokens by day, for a picture that stands alone in a file; a test holds them to the style sheet's.
DAY = {
    "paper": "#F6EFDF",
    "slip": "#FCF8EC",
    "recess": "#EBE1C9",
    "ink": "#211B14",
    "ink-soft": "#4B4134",
    "ink-faint": "#655A49",
    "line-faint": "#CFC1A1",
    "line-edge": "#857655",
    "on-ink": "#FCF8EC",
    "oxide": "#8A2A1A",
    "oxide-wash": "#F0D3C5",
    "brass": "#6F4F0C",
    "brass-line": "#94701F",
    "brass-wash": "#EBDCB0",
    "verdigris": "#1D584A",
    "verdigris-wash": "#D0E2D4",
    "steel": "#47545F",
    "steel-wash": "#DBDFDC",
}


@dataclass(frozen=True, slots=True)
class Style:
    """Fill and stroke by token name; width in the scene's unit; dash as lengths; a fill may be a hatching's name."""

    fill: str | None = None
    stroke: str | None = None
    width: float = 1.2
    dash: tuple[float, ...] = ()
    opacity: float = 1.0
    round_ends: bool = False


@dataclass(frozen=True, slots=True)
class Outline:
    """One or more rings or open lines; several closed rings leave holes open (even-odd)."""

    rings: tuple[tuple[Point, ...], ...]
    closed: bool
    style: Style
    layer: str = "outline"


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle."""

    centre: Point
    radius: float
    style: Style
    layer: str = "outline"


@dataclass(frozen=True, slots=True)
class Lettering:
    """One line of words; anchor start, middle or end; turn in degrees clockwise."""

    at: Point
    words: str
    face: str = "bench"
    size: float = 17.0
    fill: str = "ink"
    anchor: str = "start"
    turn: float = 0.0
    track: float = 0.0
    halo: str | None = None
    layer: str = "words"


@dataclass(slots=True)
class Scene:
    """Shapes from the back to the front, with what they show said in a title and a description; `scale` is how much
    larger than in the scene's unit it is shown.
    """

    width: float
    height: float
    title: str
    description: str
    unit: str = "px"
    shapes: list[Outline | Disc | Lettering] = field(default_factory=list)
    hatchings: dict[str, str] = field(default_factory=dict)
    scale: float = 1.0

    def outline(self, *rings: Sequence[Point], closed: bool = True, layer: str = "outline", **style: Any) -> None:
        """Draw rings (closed) or lines (open)."""
        kept = tuple(tuple(ring) for ring in rings if len(ring) > 1)
        if kept:
            self.shapes.append(Outline(kept, closed, Style(**style), layer))

    def line(self, a: Point, b: Point, *, stroke: str = "ink", layer: str = "outline", **style: Any) -> None:
        """Draw one straight line."""
        self.outline((a, b), closed=False, layer=layer, stroke=stroke, **style)

    def rectangle(
        self, x: float, y: float, across: float, down: float, *, layer: str = "outline", **style: Any
    ) -> None:
        """Draw a rectangle from its upper left corner."""
        self.outline(((x, y), (x + across, y), (x + across, y + down), (x, y + down)), layer=layer, **style)

    def disc(self, centre: Point, radius: float, *, layer: str = "outline", **style: Any) -> None:
        """Draw a circle."""
        self.shapes.append(Disc(centre, radius, Style(**style), layer))

    def words(self, at: Point, words: str, face: str = "bench", size: float = 17.0, **more: Any) -> None:
        """Write one line."""
        assert face in FACES, face
        self.shapes.append(Lettering(at, words.replace("'", "’"), face, size, **more))

    def hatching(
        self, name: str, *, stroke: str, pitch: float, angle_deg: float = 0.0, width: float = 0.6, dots: bool = False
    ) -> str:
        """Define a hatching (lines at an angle, or dots) and give the fill that uses it."""
        if dots:
            body = "".join(
                f'<circle cx="{_n(pitch * k)}" cy="{_n(pitch * k)}" r="{_n(width)}" fill="%{stroke}%"/>'
                for k in (0.25, 0.75)
            )
        else:
            body = f'<path d="M0 0H{_n(pitch)}" stroke="%{stroke}%" stroke-width="{_n(width * 2)}"/>'
        self.hatchings[name] = (
            f'<pattern id="{name}" width="{_n(pitch)}" height="{_n(pitch)}" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate({_n(angle_deg)})">{body}</pattern>'
        )
        return f"#{name}"


def arc(centre: Point, radius: float, start: float, end: float, *, step: float = 0.05) -> list[Point]:
    """Points along part of a circle, angles in radians clockwise from three o'clock as the screen turns."""
    count = max(2, math.ceil(abs(end - start) / step) + 1)
    return [polar(centre, radius, start + (end - start) * k / (count - 1)) for k in range(count)]


def curve(points: Sequence[Point], *, steps: int = 12) -> list[Point]:
    """Points along Bezier cubics: a start, then three points for each piece."""
    out = [points[0]]
    for k in range(1, len(points) - 2, 3):
        a, b, c, d = points[k - 1], points[k], points[k + 1], points[k + 2]
        for i in range(1, steps + 1):
            t = i / steps
            s = 1 - t
            out.append(
                (
                    s**3 * a[0] + 3 * s * s * t * b[0] + 3 * s * t * t * c[0] + t**3 * d[0],
                    s**3 * a[1] + 3 * s * s * t * b[1] + 3 * s * t * t * c[1] + t**3 * d[1],
                )
            )
    return out


def polar(centre: Point, radius: float, angle: float) -> Point:
    """A point at an angle in radians, clockwise from three o'clock as the screen turns."""
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def svg(scene: Scene, *, printed: bool = False, alone: bool = False, prefix: str = "s") -> str:
    """The scene as one SVG element: for a page with CSS variables, `printed` in black on white, or `alone` in day
    colours.

    `prefix` keeps the ids of several drawings on one page apart.
    """
    palette = PRINT if printed else DAY
    paint: Callable[[str], str] = (
        (lambda name: palette.get(name, name)) if printed or alone else (lambda name: f"var(--{name})")
    )
    size = (
        f'width="{_n(scene.width * scene.scale)}{scene.unit if scene.unit != "px" else ""}" '
        f'height="{_n(scene.height * scene.scale)}{scene.unit if scene.unit != "px" else ""}"'
    )
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {_n(scene.width)} {_n(scene.height)}" role="img" '
        f'aria-labelledby="{prefix}-t {prefix}-d"><title id="{prefix}-t">{escape(scene.title)}</title>'
        f'<desc id="{prefix}-d">{escape(scene.description)}</desc>'
    )
    defs = "".join(_painted(text, paint).replace('id="', f'id="{prefix}-', 1) for text in scene.hatchings.values())
    body = "".join(_shape(shape, paint, prefix) for shape in scene.shapes)
    return f"{head}<defs>{defs}</defs>{body}</svg>"


def _shape(shape: Outline | Disc | Lettering, paint: Callable[[str], str], prefix: str) -> str:
    if isinstance(shape, Lettering):
        return _lettering(shape, paint)
    style = _style(shape.style, paint, prefix)
    if isinstance(shape, Disc):
        return f'<circle cx="{_n(shape.centre[0])}" cy="{_n(shape.centre[1])}" r="{_n(shape.radius)}"{style}/>'
    end = "Z" if shape.closed else ""
    d = "".join("M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in ring) + end for ring in shape.rings)
    rule = ' fill-rule="evenodd"' if shape.closed and len(shape.rings) > 1 else ""
    return f'<path d="{d}"{rule}{style}/>'


def _style(style: Style, paint: Callable[[str], str], prefix: str) -> str:
    if style.fill is None:
        out = ' fill="none"'
    elif style.fill.startswith("#"):
        out = f' fill="url(#{prefix}-{style.fill[1:]})"'
    else:
        out = f' fill="{paint(style.fill)}"'
    if style.stroke:
        out += f' stroke="{paint(style.stroke)}" stroke-width="{_n(style.width)}"'
    if style.dash:
        out += f' stroke-dasharray="{" ".join(_n(one) for one in style.dash)}"'
    if style.round_ends:
        out += ' stroke-linecap="round" stroke-linejoin="round"'
    return out + (f' opacity="{_n(style.opacity)}"' if style.opacity != 1 else "")


def _lettering(one: Lettering, paint: Callable[[str], str]) -> str:
    family, weight, slant = FACES[one.face]
    extra = f' font-style="{slant}"' if slant != "normal" else ""
    extra += f' letter-spacing="{_n(one.track * one.size)}"' if one.track else ""
    extra += f' transform="rotate({_n(one.turn)} {_n(one.at[0])} {_n(one.at[1])})"' if one.turn else ""
    if one.halo:
        extra += f' paint-order="stroke" stroke="{paint(one.halo)}" stroke-width="5" stroke-linejoin="round"'
    return (
        f'<text x="{_n(one.at[0])}" y="{_n(one.at[1])}" font-family="\'{family}\', {FALLBACK[family]}" '
        f'font-size="{_n(one.size)}" '
        f'font-weight="{weight}" text-anchor="{one.anchor}" fill="{paint(one.fill)}"{extra}>{escape(one.words)}</text>'
    )


def _painted(text: str, paint: Callable[[str], str]) -> str:
    pieces = text.split("%")
    return "".join(paint(piece) if k % 2 else piece for k, piece in enumerate(pieces))


def _n(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
