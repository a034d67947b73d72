"""People and the parts they play at a visit: brings, owns (more than one may), pays, may instruct, may collect."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_one_of, require_text

PARTS = ("brings", "owns", "pays", "may_instruct", "may_collect", "museum_officer", "insurer", "restorer", "witness")


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody the shop deals with. Their details never go into another person's paper. `erased_at` is when all else of
    them was erased because they asked for it.
    """

    name: str
    address: str | None = None
    telephone: str | None = None
    email: str | None = None
    speaks_to_us_by: str | None = None
    note: str | None = None
    erased_at: datetime | None = None
    id: str = ""

    def __post_init__(self) -> None:
        require_text("name", self.name)
        require_moment("erased_at", self.erased_at)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartToPlay:
    """That a person plays a part at a visit."""

    person_id: str
    part: str
    note: str | None = None
    ended: bool = False
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_text("person_id", self.person_id)
        require_one_of("part", self.part, PARTS)


def check_not_erased(person: Person) -> None:
    """RuleBroken for somebody who was erased: the shop knows nobody by that number any more."""
    if person.erased_at is not None:
        raise RuleBroken(
            "person",
            person.id,
            "somebody who was not erased",
            "person: they were erased because they asked for it, and stay so; name them anew.",
        )


def who_may_instruct(parts: Iterable[PartToPlay]) -> tuple[str, ...]:
    """Ids of the people whose yes counts: those named for it, else the owner when there is exactly one."""
    standing = [part for part in parts if not part.ended]
    named = dict.fromkeys(part.person_id for part in standing if part.part == "may_instruct")
    if named:
        return tuple(named)
    owners = tuple(dict.fromkeys(part.person_id for part in standing if part.part == "owns"))
    return owners if len(owners) == 1 else ()


def who_may_collect(parts: Iterable[PartToPlay]) -> tuple[str, ...]:
    """Ids of the people the clock may be given to: those named for it and its owners."""
    return tuple(
        dict.fromkeys(part.person_id for part in parts if not part.ended and part.part in ("may_collect", "owns"))
    )


def check_may(parts: Iterable[PartToPlay], *, person_id: str, what: str) -> None:
    """RuleBroken unless the person may `instruct` or may `collect` at this visit."""
    require_one_of("what", what, ("instruct", "collect"))
    allowed = who_may_instruct(parts) if what == "instruct" else who_may_collect(parts)
    if person_id not in allowed:
        raise RuleBroken(
            "person",
            person_id,
            f"somebody who may {what}",
            f"person: this person may not {what} for the clock; "
            + ("name who may, or ask one of those who can." if allowed else f"nobody is named yet who may {what}."),
        )
