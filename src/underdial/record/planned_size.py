"""A size that a part is to be made to, as a bench sum gave it: kept with the visit before the work, beside what was
left after it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_number, require_place_in_train, require_text, require_word


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedSize:
    """One size to make. `value` with its standard uncertainty `u` (None when it has none) and what it may lie off by
    are in `unit`.

    `computed_by` names the bench sum and `typed` what went into it, `given` the same as the address of the sum holds
    it, so that the part can be drawn again (empty where it is too long); `line` ties it to a work of a choice, `of` to
    a wheel or train.
    """

    quantity: str
    words: str
    value: float
    unit: str
    computed_by: str
    kept_at: datetime
    u: float | None = None
    allowed_off: float | None = None
    typed: str = ""
    line: str | None = None
    of: str | None = None
    given: str = ""

    def __post_init__(self) -> None:
        require_word("quantity", self.quantity)
        require_word("computed_by", self.computed_by)
        require_text("words", self.words)
        require_place_in_train("of", self.of)
        require_moment("kept_at", self.kept_at)
        for name in ("value", "u", "allowed_off"):
            require_number(name, getattr(self, name), lowest=None if name == "value" else 0.0)


def planned_anew(before: tuple[PlannedSize, ...], size: PlannedSize) -> tuple[PlannedSize, ...]:
    """The sizes with this one among them: it takes the place of an earlier one of the same quantity, work and wheel."""

    def key(one: PlannedSize) -> tuple[str, str, str | None, str | None]:
        return (one.computed_by, one.quantity, one.line, one.of)

    return (*(one for one in before if key(one) != key(size)), size)


def without_planned(before: tuple[PlannedSize, ...], number: int) -> tuple[PlannedSize, ...]:
    """The sizes without the one at this place, counted from 0; RuleBroken when there is none."""
    if not 0 <= number < len(before):
        raise RuleBroken(
            "size",
            number,
            f"0 to {len(before) - 1}",
            "size: this size is not in the plan any more; read the page again.",
        )
    return before[:number] + before[number + 1 :]
