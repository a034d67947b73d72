"""What is drawn on a picture, kept beside it as numbers: arrows, rings, numerals, and a length of known size.

The picture itself is never changed. Places are parts of the upright picture's width and height, 0 to 1 from its upper
left corner, so that they hold at any size it is shown at.

Limits: a scale holds in the plane in which its two points lie, seen square on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.errors import BadInput, RuleBroken
from underdial.record.fields import require_number, require_one_of, require_text

MARK_KINDS = ("arrow", "ring", "number")
MOST_MARKS_COUNT = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureMark:
    """One mark. An arrow points at (`x_ratio`, `y_ratio`) and begins at (`from_x_ratio`, `from_y_ratio`); a ring has
    its `radius_ratio` as a part of the picture's width; a numeral its `number_count`.
    """

    kind: str
    x_ratio: float
    y_ratio: float
    from_x_ratio: float | None = None
    from_y_ratio: float | None = None
    radius_ratio: float | None = None
    number_count: int | None = None

    def __post_init__(self) -> None:
        require_one_of("mark", self.kind, MARK_KINDS)
        for name in ("x_ratio", "y_ratio", "from_x_ratio", "from_y_ratio"):
            _require_inside(name, getattr(self, name))
        needs = {"arrow": ("from_x_ratio", "from_y_ratio"), "ring": ("radius_ratio",), "number": ("number_count",)}[
            self.kind
        ]
        for name in ("from_x_ratio", "from_y_ratio", "radius_ratio", "number_count"):
            if (getattr(self, name) is None) == (name in needs):
                raise BadInput(name, getattr(self, name), f"{', '.join(needs)} for the mark {self.kind}, and no other")
        if self.radius_ratio is not None and not 0.005 <= self.radius_ratio <= 0.6:
            raise BadInput("radius_ratio", self.radius_ratio, "0.005 to 0.6")
        if self.number_count is not None and not 1 <= self.number_count <= 99:
            raise BadInput("number_count", self.number_count, "1 to 99")
        if self.kind == "arrow" and (self.x_ratio, self.y_ratio) == (self.from_x_ratio, self.from_y_ratio):
            raise BadInput("from_x_ratio", self.from_x_ratio, "a beginning away from where the arrow points")


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureScale:
    """Two points of a picture and how far they are apart on the clock; `what` says of what, such as `the 10 mm of the
    rule`.
    """

    x1_ratio: float
    y1_ratio: float
    x2_ratio: float
    y2_ratio: float
    length_m: float
    what: str = "a length in the picture"

    def __post_init__(self) -> None:
        for name in ("x1_ratio", "y1_ratio", "x2_ratio", "y2_ratio"):
            _require_inside(name, getattr(self, name))
        if math.hypot(self.x2_ratio - self.x1_ratio, self.y2_ratio - self.y1_ratio) < 0.01:
            raise BadInput(
                "x2_ratio",
                self.x2_ratio,
                "two points that lie apart",
                "scale: the two points lie too near to one another; take them as far apart as the picture allows.",
            )
        if not 0.0 < self.length_m <= 5.0:
            raise BadInput(
                "length_m", self.length_m, "above 0 to 5", "scale: a length above 0 and up to 5 m is wanted."
            )
        require_text("what", self.what)


def picture_width_m(scale: PictureScale, *, width_px: int, height_px: int) -> float:
    """How wide the whole picture is in the plane of its scale.

    Parameters
    ----------
    scale : PictureScale
        Two points and the length between them [m].
    width_px, height_px : int
        Size of the upright picture [points].

    Returns
    -------
    float
        Width of the picture [m].

    Notes
    ----- Similar triangles; a picture taken off square by an angle a is wrong by 1 - cos a along one axis (1.5 parts in
    100 at 10 degrees).
    """
    apart_px = math.hypot((scale.x2_ratio - scale.x1_ratio) * width_px, (scale.y2_ratio - scale.y1_ratio) * height_px)
    return scale.length_m * width_px / apart_px


def check_marks(marks: tuple[PictureMark, ...]) -> None:
    """RuleBroken when a picture would carry more marks than anybody can read."""
    if len(marks) > MOST_MARKS_COUNT:
        raise RuleBroken(
            "marks",
            len(marks),
            f"up to {MOST_MARKS_COUNT}",
            f"marks: a picture carries up to {MOST_MARKS_COUNT} marks; take some away first.",
        )


def _require_inside(name: str, value: float | None) -> None:
    require_number(name, value, lowest=0.0)
    if value is not None and value > 1.0:
        raise BadInput(name, value, "0 to 1")
