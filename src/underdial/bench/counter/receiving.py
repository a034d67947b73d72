"""At the counter: a clock is received, comes again, and what is written of it and of its visit is changed."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from underdial.bench.shop import Shop, job
from underdial.errors import BadInput, RuleBroken
from underdial.record.clock import Clock
from underdial.record.people import PartToPlay, Person, check_not_erased
from underdial.record.visit import Visit, check_may_be_error
from underdial.store.clocks import free_tag, next_number
from underdial.store.database import writing
from underdial.store.records import Writer, add, change, read

NEW_TAG = "new"


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """What the counter gave out: the clock's id and tag, the visit, and the people's ids in the order they were
    named.
    """

    clock_id: str
    tag: str
    visit_id: str
    person_ids: tuple[str, ...] = ()


def receive_clock(
    shop: Shop,
    clock: Clock,
    visit: Visit,
    people: tuple[tuple[Person, tuple[str, ...]], ...] = (),
    *,
    by: str = "repairer",
    why: str | None = None,
) -> Received:
    """Take a clock in for the first time, with the people and the parts they play.

    A tag `new` is given the next free number of the shop. A person with an id is known already and only plays a part.
    """
    writer = Writer(by=by, at=shop.now(), why=why)
    with writing(shop.engine) as connection:
        tag = (
            free_tag(connection, f"{writer.at.year}-{next_number(connection):03d}")
            if clock.tag == NEW_TAG
            else clock.tag
        )
        if free_tag(connection, tag) != tag:
            raise RuleBroken(
                "tag",
                tag,
                "a ticket no other clock has",
                f"ticket: another clock in the shop has the ticket {tag}; give this one another.",
            )
        kept = add(
            connection,
            replace(clock, tag=tag, id=clock.id or uuid.uuid4().hex, known_since=clock.known_since or writer.at),
            writer,
        )
        came = add(connection, visit, writer, clock_id=kept.id)
        ids = []
        for person, parts in people:
            known = person if person.id else add(connection, replace(person, id=uuid.uuid4().hex), writer)
            check_not_erased(read(connection, "person", known.id).record)
            ids.append(known.id)
            for part in parts:
                add(connection, PartToPlay(person_id=known.id, part=part, visit_id=came.id), writer, clock_id=kept.id)
    return Received(clock_id=kept.id, tag=tag, visit_id=came.id, person_ids=tuple(ids))


def receive_again(shop: Shop, clock: str, visit: Visit, *, by: str = "repairer", why: str | None = None) -> Received:
    """Take a clock in once more; with `under_warranty` the new visit sees how the earlier one left it.

    RuleBroken while the clock is still in the shop. The people keep their parts.
    """
    with job(shop, clock, by=by, why=why, gone_too=True) as at:
        last = at.visit
        if last.stage != "gone":
            raise RuleBroken(
                "stage", last.stage, "gone", "stage: this clock has not left since it last came; go on with that visit."
            )
        came = at.add(replace(visit, earlier_visit_id=visit.earlier_visit_id or last.id))
        for part in at.all("part"):
            # Whoever was erased since owns and pays nothing that is known here.
            if not part.ended and at.read("person", part.person_id).erased_at is None:
                at.add(replace(part, id="", visit_id=came.id))
        tag = at.read_clock().tag
    return Received(clock_id=at.clock_id, tag=tag, visit_id=came.id)


def change_visit(
    shop: Shop,
    clock: str,
    changes: Mapping[str, Any],
    *,
    version_count: int | None = None,
    by: str = "repairer",
    why: str | None = None,
) -> Visit:
    """Change what is written of this visit: stage, aim, complaint, parts handed over, promised date, next step …

    A clock leaves only by `release_clock`.
    """
    if changes.get("stage") == "gone" or {"gone_at", "collected_by", "gone_because"} & changes.keys():
        raise RuleBroken("stage", "gone", "release_clock", "stage: a clock leaves the shop only by being released.")
    _check_names(Visit, changes)
    with job(shop, clock, by=by, why=why) as at:
        changed: Visit = at.change(replace(at.visit, **changes), version_count=version_count)
    return changed


def received_in_error(shop: Shop, clock: str, *, why: str, by: str = "repairer") -> Visit:
    """Say that this coming-in was written by mistake, and why: it stays in the record and leaves every list.

    RuleBroken when something was agreed or done at it, or it has gone home.
    """
    if not why.strip():
        raise BadInput(
            "why", "nothing", "a reason", "why: nothing is written there; write why it was no clock of ours."
        )
    with job(shop, clock, by=by, why=why.strip()) as at:
        visit = at.visit
        check_may_be_error(visit, agreed=bool(at.all("consent")), worked=bool(at.all("work")))
        kept: Visit = at.change(replace(visit, received_in_error=why.strip()))
    return kept


def received_after_all(shop: Shop, clock: str, visit_id: str, *, by: str = "repairer") -> Visit:
    """Say that a coming-in marked as a mistake was none. RuleBroken when the clock has come in again since."""
    with job(shop, clock, by=by, why="received after all", gone_too=True) as at:
        visit: Visit = at.read("visit", visit_id)
        if at.visit.id != visit_id and at.visit.stage != "gone":
            raise RuleBroken(
                "visit",
                visit_id,
                "a clock that is not in the shop",
                "visit: this clock is in the shop by another visit; go on with that.",
            )
        kept: Visit = at.change(replace(visit, received_in_error=None))
    return kept


def change_clock(
    shop: Shop,
    clock: str,
    changes: Mapping[str, Any],
    *,
    version_count: int | None = None,
    by: str = "repairer",
    why: str | None = None,
) -> Clock:
    """Change what is written of the object itself: name, family, movement, traits, hazards …; at home too."""
    _check_names(Clock, changes)
    with job(shop, clock, by=by, why=why, gone_too=True) as at:
        changed: Clock = change(
            at.connection, replace(at.read_clock(), **changes), at.writer, version_count=version_count
        ).record
    return changed


def _check_names(wanted: type[Any], changes: Mapping[str, Any]) -> None:
    allowed = [one.name for one in fields(wanted) if one.name != "id"]
    for name in changes:
        if name not in allowed:
            raise BadInput(
                name,
                changes[name],
                ", ".join(allowed),
                f"{name}: there is no such field to change; allowed: {', '.join(allowed)}.",
            )
