"""A picture with what is drawn on it: arrows, rings, numerals and a scale bar, as SVG over the untouched picture.

Marks are black with a white edge, so that they stand out from a dark and a light ground alike, on a screen and on
paper.

Limits: upright JPEG; the scale bar holds in the plane in which the scale was set.
"""

from __future__ import annotations

import base64
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from xml.sax.saxutils import escape

from underdial.papers.sentences import number_words
from underdial.record.picture import PictureMark, PictureScale, picture_width_m

# A picture is this wide in units of its drawing; heights follow from it.
_WIDE = 1000.0
_LETTER, _LINE, _EDGE = 34.0, 5.0, 12.0
_FACE = "Atkinson Hyperlegible Next, Source Sans 3, Verdana, sans-serif"
# A bar longer than this part of the picture hides more than it tells.
_MOST_BAR_RATIO = 0.32


@dataclass(frozen=True, slots=True, kw_only=True)
class Photograph:
    """An upright picture with its marks and scale, ready to be shown: width and height in points of the picture that
    was kept.
    """

    id: str
    jpeg: bytes
    width_px: int
    height_px: int
    caption: str
    marks: tuple[PictureMark, ...] = ()
    scale: PictureScale | None = None
    taken_at: datetime | None = None
    after_of: str | None = None


def overlay_svg(*, width_px: int, height_px: int, marks: Sequence[PictureMark], scale: PictureScale | None) -> str:
    """What is drawn on a picture, alone and without ground, to lie over it."""
    high = _high(width_px, height_px)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE:g} {high:g}" '
        f'aria-hidden="true">{_drawn(high, marks, scale, width_px, height_px)}</svg>'
    )


def photograph_svg(one: Photograph) -> str:
    """The picture with what is drawn on it, as one SVG that holds the JPEG as it is."""
    high = _high(one.width_px, one.height_px)
    inside = base64.b64encode(one.jpeg).decode("ascii")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 {_WIDE:g} '
        f'{high:g}" width="{_WIDE:g}" height="{high:g}">'
        f'<image width="{_WIDE:g}" height="{high:g}" preserveAspectRatio="none" '
        f'xlink:href="data:image/jpeg;base64,{inside}"/>'
        f"{_drawn(high, one.marks, one.scale, one.width_px, one.height_px)}</svg>"
    )


def marks_words(marks: Sequence[PictureMark], scale: PictureScale | None) -> str:
    """What is drawn on a picture, for readers by ear: `1 arrow, 2 rings, numbers 1 and 2`; empty when nothing is."""
    words = [
        f"{count} {kind}{'s' if count > 1 else ''}"
        for kind in ("arrow", "ring")
        if (count := sum(one.kind == kind for one in marks))
    ]
    numbers = sorted(one.number_count or 0 for one in marks if one.kind == "number")
    if numbers:
        words.append(f"number{'s' if len(numbers) > 1 else ''} {', '.join(str(one) for one in numbers)}")
    if scale is not None:
        words.append("a scale bar")
    return ", ".join(words)


def bar_of(scale: PictureScale, *, width_px: int, height_px: int) -> tuple[float, float]:
    """Length of the scale bar [m], a round number, and the part of the picture's width it takes."""
    wide_m = picture_width_m(scale, width_px=width_px, height_px=height_px)
    most_m = _MOST_BAR_RATIO * wide_m
    power = 10.0 ** math.floor(math.log10(most_m))
    length_m = next(step * power for step in (5.0, 2.0, 1.0) if step * power <= most_m)
    return length_m, length_m / wide_m


def _drawn(high: float, marks: Sequence[PictureMark], scale: PictureScale | None, width_px: int, height_px: int) -> str:
    parts = [{"arrow": _arrow, "ring": _ring, "number": _number}[one.kind](one, high) for one in marks]
    if scale is not None:
        parts.append(_bar(*bar_of(scale, width_px=width_px, height_px=height_px), high))
    return "".join(parts)


def _arrow(one: PictureMark, high: float) -> str:
    assert one.from_x_ratio is not None
    assert one.from_y_ratio is not None
    x, y, x0, y0 = one.x_ratio * _WIDE, one.y_ratio * high, one.from_x_ratio * _WIDE, one.from_y_ratio * high
    long = math.hypot(x - x0, y - y0)
    ux, uy = (x - x0) / long, (y - y0) / long
    head, half = min(34.0, 0.6 * long), 13.0
    bx, by = x - head * ux, y - head * uy
    point = f"M{x:.1f} {y:.1f}L{bx - half * uy:.1f} {by + half * ux:.1f}L{bx + half * uy:.1f} {by - half * ux:.1f}Z"
    shaft = f"M{x0:.1f} {y0:.1f}L{bx:.1f} {by:.1f}"
    return (
        f'<path d="{shaft}{point}" fill="none" stroke="#FFFFFF" stroke-width="{_EDGE:g}" stroke-linejoin="round" '
        'stroke-linecap="round"/>'
        f'<path d="{shaft}" fill="none" stroke="#000000" stroke-width="{_LINE:g}"/><path d="{point}" fill="#000000"/>'
    )


def _ring(one: PictureMark, high: float) -> str:
    assert one.radius_ratio is not None
    circle = (
        f'cx="{one.x_ratio * _WIDE:.1f}" cy="{one.y_ratio * high:.1f}" r="{one.radius_ratio * _WIDE:.1f}" fill="none"'
    )
    return (
        f'<circle {circle} stroke="#FFFFFF" stroke-width="{_EDGE:g}"/><circle {circle} stroke="#000000" '
        f'stroke-width="{_LINE:g}"/>'
    )


def _number(one: PictureMark, high: float) -> str:
    x, y = one.x_ratio * _WIDE, one.y_ratio * high
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="28" fill="#FFFFFF" stroke="#000000" stroke-width="3.5"/>'
        f'<text x="{x:.1f}" y="{y + 0.35 * _LETTER:.1f}" font-family="{_FACE}" font-weight="600" '
        f'font-size="{_LETTER:g}" text-anchor="middle" fill="#000000">{one.number_count}</text>'
    )


def _bar(length_m: float, ratio: float, high: float) -> str:
    long, left, base = ratio * _WIDE, 28.0, high - 28.0
    words = escape(f"{number_words(1000.0 * length_m)} mm")
    room = max(long, 0.6 * _LETTER * len(words)) + 28.0
    return (
        f'<rect x="{left - 14:g}" y="{base - 66:.1f}" width="{room:.1f}" height="80" fill="#FFFFFF" opacity="0.86"/>'
        f'<path d="M{left:g} {base - 16:.1f}V{base:.1f}H{left + long:.1f}V{base - 16:.1f}" fill="none" '
        f'stroke="#000000" stroke-width="{_LINE:g}"/>'
        f'<text x="{left:g}" y="{base - 28:.1f}" font-family="{_FACE}" font-weight="600" font-size="{_LETTER:g}" '
        f'fill="#000000">{words}</text>'
    )


def _high(width_px: int, height_px: int) -> float:
    return round(_WIDE * height_px / width_px, 1)
