"""A work as it was done: on which part, why, sizes before and after, material, hours, and where the old part is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.agreed import agreed_top
from underdial.record.choice import Choice
from underdial.record.consent import Consent, ConsentLine, agreed_lines, check_agreed, key_of
from underdial.record.fields import (
    require_invasiveness,
    require_moment,
    require_number,
    require_place_in_train,
    require_text,
    require_word,
)
from underdial.record.hold import Hold, check_allowed, forbidden
from underdial.record.money import Money, total

LOOKING = frozenset({"inspect", "photograph", "measure", "let_down", "take_apart_to_look"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A size before and after a work, with its standard uncertainty, all in `unit`."""

    quantity: str
    unit: str
    before: float | None = None
    after: float | None = None
    u: float | None = None

    def __post_init__(self) -> None:
        require_word("quantity", self.quantity)
        require_text("unit", self.unit)
        require_number("before", self.before)
        require_number("after", self.after)
        require_number("u", self.u, lowest=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One thing done. `invasiveness_count` goes from 0 (left as it is) to 5 (an original main part altered for good),
    as in `fault_scales.json`; None where nobody graded it.

    `alters` False is for looking and measuring only, which needs no line of consent.
    """

    work: str
    component: str
    by: str
    of: str | None = None
    place: str | None = None
    findings: tuple[str, ...] = ()
    why: str | None = None
    sizes: tuple[Size, ...] = ()
    materials: tuple[str, ...] = ()
    hours_h: float | None = None
    began_at: datetime | None = None
    done_at: datetime | None = None
    invasiveness_count: int | None = None
    alters: bool = True
    old_part_kept: str | None = None
    charged: Money | None = None
    consent_line: str | None = None
    consent_id: str | None = None
    note: str | None = None
    id: str = ""
    visit_id: str = ""
    round_id: str | None = None

    def __post_init__(self) -> None:
        for field in ("work", "component", "place"):
            require_word(field, getattr(self, field))
        require_place_in_train("of", self.of)
        require_text("by", self.by)
        require_number("hours_h", self.hours_h, lowest=0.0)
        require_moment("began_at", self.began_at)
        require_moment("done_at", self.done_at)
        require_invasiveness(self.invasiveness_count)


def check_work(
    work: Work,
    *,
    holds: Iterable[Hold],
    consents: Iterable[Consent],
    done: Iterable[Work],
    choices: Iterable[Choice] = (),
) -> None:
    """RuleBroken when a work may not be entered: a hold forbids it, nobody agreed to it, or it passes the ceiling.

    Looking and measuring (`alters` False) needs no consent; a hold on opening still stands in its way. While nothing
    may be discarded each work says where the old part is.
    """
    holds, consents = tuple(holds), tuple(consents)
    if not work.alters:
        if work.work in ("let_down", "take_apart_to_look"):
            check_allowed(holds, deed="open")
        if work.work not in LOOKING:
            raise RuleBroken(
                "alters",
                "no",
                f"yes, or one of {', '.join(sorted(LOOKING))}",
                f"alters: {work.work.replace('_', ' ')} changes the clock; it is not only looking.",
            )
        return
    check_allowed(holds, deed="alter")
    if work.old_part_kept is None:
        _check_discard(holds)
    check_agreed(consents, work=work.work, component=work.component, of=work.of, place=work.place)
    if work.charged is not None:
        check_top((*(one for one in done if one.id != work.id), work), agreed_top(choices, consents))


def check_top(works: Iterable[Work], top: Money | None) -> None:
    """RuleBroken when what works are charged with comes together above the sum that was agreed to, if there is one."""
    sums = tuple(one.charged for one in works if one.charged is not None)
    if top is None or not sums:
        return
    spent = total(sums, currency=top.currency)
    if spent.amount_minor > top.amount_minor:
        over = spent.amount_minor - top.amount_minor
        raise RuleBroken(
            "charged",
            spent.amount_minor,
            f"up to {top.amount_minor} {top.currency} (minor units)",
            f"charged: with this the work comes {over / 100:.2f} {top.currency} above the agreed ceiling of "
            f"{top.amount_minor / 100:.2f}; ask the owner before it is done.",
        )


def left_to_do(consents: Iterable[Consent], done: Iterable[Work]) -> tuple[ConsentLine, ...]:
    """The lines that are agreed and that no work is written down for."""
    keys = {key_of(one) for one in done}
    anywhere = {key[:3] for key in keys}
    return tuple(
        line
        for key, line in agreed_lines(consents).items()
        if key not in keys and not (line.place is None and key[:3] in anywhere)
    )


def _check_discard(holds: Iterable[Hold]) -> None:
    """RuleBroken when nothing may be thrown away and the work does not say where the old part is."""
    hold = forbidden(holds).get("discard")
    if hold is not None:
        raise RuleBroken(
            "old_part_kept",
            "nothing",
            "where the old part is kept, or that none came off",
            f"old part: a hold ({hold.reason.replace('_', ' ')}) says not to discard: {hold.why.rstrip('.')}. Write "
            "where the old part is kept, or that none came off.",
        )
