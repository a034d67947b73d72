"""Finding clocks: by tag, and the list of what is in the shop, one page at a time."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa

from underdial.errors import NotFound
from underdial.record.codec import from_text, read_as
from underdial.record.people import Person
from underdial.record.visit import Visit
from underdial.store.schema import GONE, HERE, IN_ERROR, NO_DATE, TABLES


@dataclass(frozen=True, slots=True, kw_only=True)
class InShop:
    """One line of the list: a clock at its visit, what it waits for, and whether anything is held; for one that has
    gone home when, and who collected it.
    """

    clock_id: str
    tag: str
    name: str
    family: str | None
    visit_id: str
    stage: str
    received_at: str
    needed_by: str | None
    owners: tuple[str, ...]
    held: bool
    gone_at: str | None = None
    collected_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Some lines of a list, and how many there are altogether."""

    lines: tuple[InShop, ...]
    all_count: int


def find_clock(connection: sa.Connection, named: str) -> str:
    """The id of the clock with this tag or id; NotFound naming what comes near."""
    clock = TABLES["clock"]
    found = (
        connection.execute(sa.select(clock.c.id).where((clock.c.tag == named) | (clock.c.id == named)))
        .scalars()
        .first()
    )
    if found is not None:
        return str(found)
    near = (
        connection.execute(
            sa.select(clock.c.tag)
            .where(clock.c.search.contains(named.casefold(), autoescape=True))
            .order_by(clock.c.tag)
            .limit(4)
        )
        .scalars()
        .all()
        if named
        else []
    )
    hint = f" Near it: {', '.join(near)}." if near else ""
    raise NotFound(
        "clock",
        named,
        "the ticket of a clock in the shop",
        f"clock: no clock in this shop has the ticket {named}.{hint}",
    )


def in_the_shop(
    connection: sa.Connection,
    *,
    search: str = "",
    stage: str | None = None,
    standing: int = HERE,
    first_count: int = 0,
    most_count: int = 50,
) -> Page:
    """A page of the clocks that are in the shop, the earliest needed first; with `standing` GONE of those that have
    gone home, with IN_ERROR of those received by mistake, the last received first.

    A clock has gone home when its newest visit has ended: one that came again is in the shop, and one that went twice
    stands in the list once. `search` is looked for in tag, name, family and signature of the clock and in the names of
    its owners.
    """
    clock, visit = TABLES["clock"], TABLES["visit"]
    where = visit.c.gone == standing
    if standing == GONE:
        later = visit.alias("later")
        where = where & ~sa.exists().where(
            later.c.clock_id == visit.c.clock_id, later.c.number > visit.c.number, later.c.gone != IN_ERROR
        )
    if stage is not None:
        where = where & (visit.c.stage == stage)
    if search.strip():
        where = where & visit.c.clock_id.in_(_sought(search.strip().casefold()))
    all_count = connection.execute(sa.select(sa.func.count()).select_from(visit).where(where)).scalar_one()
    few = (
        sa.select(visit)
        .where(where)
        .order_by(*_ordered(visit, standing))
        .limit(most_count)
        .offset(first_count)
        .subquery("few")
    )
    question = (
        sa.select(
            clock.c.tag,
            clock.c.name,
            clock.c.family,
            few.c.clock_id,
            few.c.id,
            few.c.stage,
            few.c.received_at,
            few.c.needed_by,
            few.c.body,
        )
        .join(few, few.c.clock_id == clock.c.id)
        .order_by(*_ordered(few, standing))
    )
    rows = connection.execute(question).all()
    owners = _owners(connection, [row.clock_id for row in rows])
    held = _held(connection, [row.clock_id for row in rows])
    went = _went(connection, [(row.clock_id, row.body) for row in rows]) if standing == GONE else {}
    return Page(
        all_count=all_count,
        lines=tuple(
            InShop(
                clock_id=row.clock_id,
                tag=row.tag,
                name=row.name,
                family=row.family,
                visit_id=row.id,
                stage=row.stage,
                received_at=row.received_at,
                needed_by=None if row.needed_by == NO_DATE else row.needed_by,
                owners=owners.get((row.clock_id, row.id), ()),
                held=row.clock_id in held,
                **went.get(row.clock_id, {}),
            )
            for row in rows
        ),
    )


def people_of(connection: sa.Connection, clock_id: str) -> dict[str, Person]:
    """Everybody who plays a part in a clock, by id."""
    part, person = TABLES["part"], TABLES["person"]
    ids = sa.select(part.c.person_id).where(part.c.clock_id == clock_id)
    found = [
        from_text(text)
        for text in connection.execute(
            sa.select(person.c.body).where(person.c.id.in_(ids)).order_by(person.c.id)
        ).scalars()
    ]
    return {one.id: one for one in found}


def find_people(connection: sa.Connection, search: str, *, most_count: int) -> tuple[Person, ...]:
    """People whose name, telephone or e-mail address has these words in it, by name; those erased never."""
    person = TABLES["person"]
    question = (
        sa.select(person.c.body)
        .where(person.c.search != "", person.c.search.contains(search.strip().casefold(), autoescape=True))
        .order_by(person.c.name, person.c.id)
    )
    return tuple(from_text(text) for text in connection.execute(question.limit(most_count)).scalars())


def people_with_telephone(connection: sa.Connection, figures: str, *, most_count: int) -> tuple[Person, ...]:
    """People in whose name or telephone these figures stand one after the other, whatever is between them."""
    person = TABLES["person"]
    close: sa.ColumnElement[str] = person.c.search
    for between in (" ", "-", "(", ")", "/", "."):
        close = sa.func.replace(close, between, "")
    question = sa.select(person.c.body).where(close.contains(figures, autoescape=True)).limit(most_count)
    return tuple(from_text(text) for text in connection.execute(question).scalars())


def clocks_with_people(connection: sa.Connection, person_ids: Iterable[str]) -> dict[str, list[tuple[str, str]]]:
    """For each of these people the tickets and names of the clocks they play or played a part for."""
    part, clock = TABLES["part"], TABLES["clock"]
    question = (
        sa.select(part.c.person_id, clock.c.tag, clock.c.name)
        .join(clock, clock.c.id == part.c.clock_id)
        .where(part.c.person_id.in_(tuple(person_ids)))
        .distinct()
        .order_by(clock.c.tag)
    )
    found: dict[str, list[tuple[str, str]]] = {}
    for row in connection.execute(question):
        found.setdefault(row.person_id, []).append((row.tag, row.name))
    return found


def free_tag(connection: sa.Connection, wanted: str) -> str:
    """The tag itself, or with the next free number behind it when another clock has it."""
    clock = TABLES["clock"]
    taken = set(
        connection.execute(sa.select(clock.c.tag).where(clock.c.tag.startswith(wanted, autoescape=True))).scalars()
    )
    if wanted not in taken:
        return wanted
    number = 2
    while f"{wanted}-{number}" in taken:
        number += 1
    return f"{wanted}-{number}"


def next_number(connection: sa.Connection) -> int:
    """One more than the number of clocks the shop has ever taken in: what the next tag is made of."""
    return int(connection.execute(sa.select(sa.func.count()).select_from(TABLES["clock"])).scalar_one()) + 1


def next_own_number(connection: sa.Connection, kind: str) -> int:
    """One above the last number of the shop's own invoices (`bill`) or credit notes (`credit`); to be kept in the
    transaction that asks for it, which has the shop's one lock of writers.
    """
    last = connection.execute(sa.select(sa.func.max(TABLES[kind].c.own_number))).scalar_one()
    return int(last or 0) + 1


def _sought(wanted: str) -> sa.CompoundSelect[tuple[str]]:
    """The ids of clocks that bear a word themselves, or whose people bear it."""
    clock, part, person = (TABLES[name] for name in ("clock", "part", "person"))
    people = sa.select(person.c.id).where(person.c.search.contains(wanted, autoescape=True))
    theirs = sa.select(part.c.clock_id).where(part.c.person_id.in_(people))
    named = sa.select(clock.c.id).where(clock.c.search.contains(wanted, autoescape=True))
    return sa.union(named, theirs)


def _ordered(visits: sa.FromClause, standing: int) -> tuple[sa.ColumnElement[str], ...]:
    """In the shop the earliest needed first; of what has gone the last received first, one line a clock."""
    if standing != HERE:
        return visits.c.received_at.desc(), visits.c.clock_id
    return visits.c.needed_by, visits.c.received_at, visits.c.clock_id, visits.c.id


def _went(connection: sa.Connection, bodies: list[tuple[str, str]]) -> dict[str, dict[str, str | None]]:
    """For each clock, from the text of its last visit: when it went, and the name of who collected it."""
    visits = {clock_id: read_as(Visit, json.loads(body)) for clock_id, body in bodies}
    person = TABLES["person"]
    question = sa.select(person.c.id, person.c.name).where(
        person.c.id.in_({one.collected_by for one in visits.values() if one.collected_by})
    )
    names = {row.id: row.name for row in connection.execute(question)}
    return {
        clock_id: {
            "gone_at": one.gone_at.isoformat() if one.gone_at else None,
            "collected_by": names.get(one.collected_by or ""),
        }
        for clock_id, one in visits.items()
    }


def _owners(connection: sa.Connection, clock_ids: list[str]) -> dict[tuple[str, str], tuple[str, ...]]:
    part, person = TABLES["part"], TABLES["person"]
    question = (
        sa.select(part.c.clock_id, part.c.visit_id, person.c.name)
        .join(person, person.c.id == part.c.person_id)
        .where(part.c.clock_id.in_(clock_ids), part.c.part == "owns", part.c.ended == 0)
        .order_by(part.c.clock_id, part.c.number)
    )
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for row in connection.execute(question):
        key = (row.clock_id, row.visit_id)
        found[key] = (*found.get(key, ()), row.name)
    return found


def _held(connection: sa.Connection, clock_ids: list[str]) -> set[str]:
    hold = TABLES["hold"]
    return set(
        connection.execute(
            sa.select(hold.c.clock_id).where(hold.c.lifted == 0, hold.c.clock_id.in_(clock_ids))
        ).scalars()
    )
