"""What the work left, as a case holds it: sizes after each work and sizes read in a round, beside what they were meant
to be, and the pivot that a bore was worked out for.

Only sizes go in (`diagnosis.left_size.is_size`). Arcs and rates are what the finished clock does: they stand beside the
prediction.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import parse_qsl

from underdial.bench.clock.naming import place_named
from underdial.bench.shop import ClockPage
from underdial.diagnosis.left_size import is_size
from underdial.errors import UnderdialError
from underdial.record.consent import agreed_lines
from underdial.record.planned_size import PlannedSize
from underdial.record.work import Size, Work
from underdial.units import parse

# The bench sum whose bore is worked out from the pivot, the name of the pivot among what is typed into it, and what
# both are called among the sizes left.
_SUM, _PIVOT, _BORE = "bush", "pivot", "bore"


def as_left_of(page: ClockPage) -> dict[str, Any] | None:
    """Works agreed and done, and the sizes they left, with the keys of a case file; None while no size was left."""
    sizes = [
        _row(page, work, size) for work in page.works if work.alters for size in work.sizes if size.after is not None
    ]
    sizes += _pivots_of_bores(page, sizes)
    seen = {one for round_ in page.rounds for one in round_.seen}
    sizes += [
        {
            "quantity": one.quantity,
            "of": one.of,
            "component": None,
            "value": one.value,
            "u": one.u,
            "unit": one.unit,
            "before": None,
            "target": None,
        }
        for one in page.measurements
        if one.id in seen and one.standing != "rejected" and not one.lent_parts and is_size(one.quantity, one.unit)
    ]
    if not sizes:
        return None
    agreed = [line.work for line in agreed_lines(page.consents).values()]
    return {"works": list(dict.fromkeys((*agreed, *(one.work for one in page.works if one.alters)))), "sizes": sizes}


def _row(page: ClockPage, work: Work, size: Size) -> dict[str, Any]:
    meant = [one.value for one in page.visit.planned_sizes if is_made_by(one, work, size)]
    return {
        "quantity": size.quantity,
        "of": work.of,
        "component": work.component,
        "value": size.after,
        "u": size.u,
        "unit": size.unit,
        "before": size.before,
        "target": meant[-1] if meant else None,
    }


def is_made_by(planned: PlannedSize, work: Work, size: Size) -> bool:
    """Whether a size that a work left is the one planned: of the same work, wheel, quantity and unit, as far as each
    says.
    """
    return (
        planned.line in (None, work.consent_line)
        and (planned.of == work.of or None in (planned.of, work.of))
        and place_named(planned.words) == size.quantity
        and planned.unit == size.unit
    )


def _planned(page: ClockPage, work: Work, quantity: str) -> list[PlannedSize]:
    """The sizes to make that a size left by a work answers, the newest last."""
    return [
        one
        for one in page.visit.planned_sizes
        if one.line in (None, work.consent_line)
        and (one.of == work.of or None in (one.of, work.of))
        and place_named(one.words) == quantity
    ]


def _pivots_of_bores(page: ClockPage, sizes: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """For each bore left whose pivot nobody wrote beside it, the pivot that was typed into the sum of that bore."""
    written = {row["of"] for row in sizes if row["quantity"] in (_PIVOT, "pivot_diameter", "diameter")}
    found: dict[str, dict[str, Any]] = {}
    for work in page.works:
        if not work.alters or work.of is None or work.of in written:
            continue
        if not any(size.quantity == _BORE and size.after is not None for size in work.sizes):
            continue
        for one in _planned(page, work, _BORE):
            typed = dict(parse_qsl(one.given)).get(_PIVOT) if one.computed_by == _SUM else None
            if typed is not None and (row := _pivot_row(typed, work)) is not None:
                found[work.of] = row
    return list(found.values())


def _pivot_row(typed: str, work: Work) -> dict[str, Any] | None:
    try:
        pivot = parse(typed, kind="length")
    except UnderdialError:
        return None
    return {
        "quantity": _PIVOT,
        "of": work.of,
        "component": work.component,
        "value": 1e3 * pivot.value,
        "u": 1e3 * pivot.u or None,
        "unit": "mm",
        "before": None,
        "target": None,
    }
