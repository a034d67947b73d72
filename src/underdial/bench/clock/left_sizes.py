"""What the work left, as a case holds it: sizes after each work and sizes read in a round, beside what they were meant
to be.

Only sizes go in (`diagnosis.left_size.is_size`). Arcs and rates are what the finished clock does: they stand beside the
prediction.
"""

from __future__ import annotations

from typing import Any

from underdial.bench.clock.naming import place_named
from underdial.bench.shop import ClockPage
from underdial.diagnosis.left_size import is_size
from underdial.record.consent import agreed_lines
from underdial.record.planned_size import PlannedSize
from underdial.record.work import Size, Work


def as_left_of(page: ClockPage) -> dict[str, Any] | None:
    """Works agreed and done, and the sizes they left, with the keys of a case file; None while no size was left."""
    sizes = [
        _row(page, work, size) for work in page.works if work.alters for size in work.sizes if size.after is not None
    ]
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
