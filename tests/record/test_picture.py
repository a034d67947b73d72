"""Marks and scales of pictures: only what can be drawn is kept, and lengths follow from two points."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput, RuleBroken
from underdial.record.clock import Attachment
from underdial.record.codec import from_plain, to_plain
from underdial.record.picture import PictureMark, PictureScale, picture_width_m

RING = PictureMark(kind="ring", x_ratio=0.5, y_ratio=0.5, radius_ratio=0.1)


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "star", "x_ratio": 0.5, "y_ratio": 0.5},
        {"kind": "ring", "x_ratio": 0.5, "y_ratio": 0.5},
        {"kind": "number", "x_ratio": 0.5, "y_ratio": 0.5, "number_count": 0},
        {"kind": "arrow", "x_ratio": 0.5, "y_ratio": 0.5, "from_x_ratio": 0.5, "from_y_ratio": 0.5},
        {"kind": "ring", "x_ratio": 1.2, "y_ratio": 0.5, "radius_ratio": 0.1},
        {"kind": "number", "x_ratio": 0.5, "y_ratio": 0.5, "number_count": 1, "radius_ratio": 0.1},
    ],
)
def test_a_mark_that_could_not_be_drawn_is_refused(wrong):
    with pytest.raises(BadInput):
        PictureMark(**wrong)


def test_a_picture_keeps_its_marks_and_scale_in_the_plain_form():
    one = Attachment(
        sha256="a" * 64,
        name="a.jpg",
        kind="picture",
        media_type="image/jpeg",
        size_bytes_count=9,
        width_px=400,
        height_px=300,
        marks=(RING,),
        scale=PictureScale(x1_ratio=0.1, y1_ratio=0.2, x2_ratio=0.9, y2_ratio=0.2, length_m=0.04),
    )

    assert from_plain(to_plain(one)) == one


def test_more_marks_than_can_be_read_are_refused():
    with pytest.raises(RuleBroken, match="up to 40"):
        Attachment(
            sha256="a" * 64,
            name="a.jpg",
            kind="picture",
            media_type="image/jpeg",
            size_bytes_count=9,
            marks=(RING,) * 41,
        )


def test_a_length_across_gives_the_width_of_the_picture():
    scale = PictureScale(x1_ratio=0.25, y1_ratio=0.5, x2_ratio=0.75, y2_ratio=0.5, length_m=0.01)

    # Derived: half the width is 10 mm
    assert picture_width_m(scale, width_px=2000, height_px=1500) == pytest.approx(0.02, abs=1e-12)


@given(st.floats(0.0, 6.28), st.floats(0.05, 0.45), st.integers(200, 4000), st.integers(200, 4000))
def test_the_scale_does_not_depend_on_how_the_length_lies(turn, part, wide, high):
    import math

    reach = part * min(wide, high)
    dx, dy = reach * math.cos(turn) / wide, reach * math.sin(turn) / high
    # Taken over the middle, both ends lie inside whatever the turn.
    scale = (
        PictureScale(x1_ratio=0.5 - dx, y1_ratio=0.5 - dy, x2_ratio=0.5 + dx, y2_ratio=0.5 + dy, length_m=0.02)
        if math.hypot(dx, dy) > 0.006
        else None
    )
    if scale is None:
        return

    # Derived: similar triangles
    assert picture_width_m(scale, width_px=wide, height_px=high) == pytest.approx(0.02 * wide / (2 * reach), rel=1e-9)
