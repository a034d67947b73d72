"""Drawings on the fewest pages: each once, at its own size, side by side where there is room."""

from __future__ import annotations

from underdial.papers.blocks import Figure
from underdial.papers.packing import packed


def drawing(name: str, wide_mm: float | None, tall_mm: float | None) -> Figure:
    return Figure("<svg/>", name, name, wide_mm, tall_mm)


def test_narrow_drawings_stand_side_by_side_and_low_rows_fill_the_page_of_a_tall_one() -> None:
    given = [
        drawing("wide", 150.0, 55.0),
        drawing("tall", 70.0, 160.0),
        drawing("narrow", 80.0, 90.0),
        drawing("middle", 170.0, 120.0),
    ]
    rows = [[one.alternative for one in row.figures] for row in packed(given)]

    # Derived: 70 + 80 and two gaps of 6 go into 176 mm; under 160 + 14 mm there is room for 55 + 14 in 250, and for
    # 120 + 14 there is not.
    assert rows == [["tall", "narrow"], ["wide"], ["middle"]]


def test_a_drawing_of_unknown_size_is_kept_in_a_row_of_its_own() -> None:
    rows = packed([drawing("free", None, None), drawing("known", 60.0, 60.0)])

    assert [[one.alternative for one in row.figures] for row in rows] == [["known"], ["free"]]
