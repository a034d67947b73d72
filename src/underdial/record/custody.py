"""Custody: a line for each part, tray or order: where it is, with whom, since when, due when, insured, checked back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_one_of, require_text, require_word
from underdial.record.money import Day, Money

CUSTODY_KINDS = ("here", "sent_out", "on_order", "with_owner", "lent_by_shop")


@dataclass(frozen=True, slots=True, kw_only=True)
class CustodyLine:
    """Where one thing is. Parts on order are kept the same way, with their size and what was promised.

    `lent_by_shop` is a part of the shop's on the clock (pendulum, key, weight): off before release.
    """

    what: str
    kind: str
    where: str
    since: datetime
    component: str | None = None
    with_whom: str | None = None
    sent_by: str | None = None
    due: Day | None = None
    insured: Money | None = None
    ceiling: Money | None = None
    deposit: Money | None = None
    size: str | None = None
    condition_going: str | None = None
    condition_back: str | None = None
    chased_at: datetime | None = None
    owner_told_at: datetime | None = None
    back_at: datetime | None = None
    checked_back_by: str | None = None
    note: str | None = None
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_text("what", self.what)
        require_one_of("kind", self.kind, CUSTODY_KINDS)
        require_text("where", self.where)
        require_word("component", self.component)
        for field in ("since", "chased_at", "owner_told_at", "back_at"):
            require_moment(field, getattr(self, field))
        if self.back_at is not None and not self.checked_back_by:
            raise RuleBroken(
                "checked_back_by",
                "nobody",
                "a name",
                f"checked_back_by: {self.what} is back only when somebody has checked it; say who.",
            )


def lent_to_clock(lines: Iterable[CustodyLine]) -> tuple[CustodyLine, ...]:
    """The shop's own parts that are still on the clock."""
    return tuple(line for line in lines if line.kind == "lent_by_shop" and line.back_at is None)


def check_all_together(lines: Iterable[CustodyLine]) -> None:
    """RuleBroken when the clock cannot be given back whole: a lent part on it, or a part of it still out."""
    lines = tuple(lines)
    lent = lent_to_clock(lines)
    if lent:
        names = ", ".join(line.what for line in lent)
        raise RuleBroken(
            "release",
            names,
            "the shop's parts off the clock",
            f"release: the shop's {names} is still on the clock; take it off and put the clock's own back.",
        )
    out = [line for line in lines if line.kind == "sent_out" and line.back_at is None]
    if out:
        names = ", ".join(f"{line.what} (with {line.with_whom or line.where})" for line in out)
        raise RuleBroken(
            "release", names, "every part back and checked", f"release: not all of the clock is here: {names}."
        )
