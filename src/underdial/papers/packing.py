"""Drawings of different sizes laid out on the fewest pages: side by side where they fit, and tall rows with low ones.

First fit by falling size, in both directions; every drawing keeps its own size.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

from underdial.papers.blocks import Figure, FigureRow

# Room on a page between the margins of the house, the gap between two drawings and the caption under each [mm].
_WIDE_MM, _TALL_MM, _GAP_MM, _CAPTION_MM = 176.0, 250.0, 6.0, 14.0
T = TypeVar("T")


def packed(figures: Sequence[Figure]) -> tuple[FigureRow, ...]:
    """Rows of drawings in the order in which they fill page after page. A drawing whose size is not known takes a row
    of its own, at the end.
    """
    known = [one for one in figures if one.width_mm is not None and one.height_mm is not None]
    rows = _fitted(sorted(known, key=_height, reverse=True), _WIDE_MM, lambda one: (one.width_mm or 0.0) + _GAP_MM)
    pages = _fitted(rows, _TALL_MM, lambda row: max(_height(one) for one in row) + _CAPTION_MM)
    return (
        *(FigureRow(tuple(row)) for page in pages for row in page),
        *(FigureRow((one,)) for one in figures if one not in known),
    )


def _height(one: Figure) -> float:
    return one.height_mm or 0.0


def _fitted(things: Iterable[T], room: float, size: Callable[[T], float]) -> list[list[T]]:
    """Things put one by one into the first heap that still has room for them."""
    heaps: list[list[T]] = []
    for one in things:
        heap = next((each for each in heaps if sum(map(size, each)) + size(one) <= room), None)
        if heap is None:
            heaps.append([one])
        else:
            heap.append(one)
    return heaps
