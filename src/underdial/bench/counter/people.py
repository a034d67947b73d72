"""People at a visit: who brings, owns, pays, may instruct and may collect."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

from underdial.bench.shop import Shop, job
from underdial.errors import BadInput
from underdial.record.people import PartToPlay, Person, check_not_erased
from underdial.record.visit import check_in_shop
from underdial.store import clocks
from underdial.store.database import reading
from underdial.store.records import add, change, read

_MOST_ALIKE = 200
# Fewer figures are no telephone.
_LEAST_DIGITS = 5
# So many at the end are the telephone's own, whatever country or trunk figure stands before.
_OWN_DIGITS = 9


def name_person(
    shop: Shop, clock: str, person: Person, parts: tuple[str, ...], *, by: str = "repairer", why: str | None = None
) -> str:
    """Name somebody for parts at this visit (owns, pays, may instruct …); their id. Known people come with theirs."""
    with job(shop, clock, by=by, why=why) as at:
        known = person if person.id else add(at.connection, replace(person, id=uuid.uuid4().hex), at.writer)
        if person.id:
            check_not_erased(read(at.connection, "person", person.id).record)
        plays = {one.part for one in at.all("part") if one.person_id == known.id and not one.ended}
        for part in parts:
            if part not in plays:
                at.add(PartToPlay(person_id=known.id, part=part, visit_id=at.visit_id))
    return str(known.id)


def write_person(
    shop: Shop,
    clock: str,
    person_id: str,
    changes: Mapping[str, Any],
    parts: tuple[str, ...],
    *,
    version_count: int | None = None,
    by: str = "repairer",
    why: str | None = None,
) -> Person:
    """Change where somebody is reached and set the parts they play at this visit, in one; a part that ends stays in the
    record. Where somebody is reached can be changed when the clock has gone home too; the parts they played cannot.
    """
    _check_names(changes)
    with job(shop, clock, by=by, why=why, gone_too=True) as at:
        standing = {one.part: one for one in at.all("part") if one.person_id == person_id and not one.ended}
        if set(parts) != standing.keys():
            check_in_shop(at.visit)
        before = at.read("person", person_id)
        check_not_erased(before)
        changed: Person = replace(before, **changes)
        if changed != before:
            changed = change(at.connection, changed, at.writer, version_count=version_count).record
        for part in dict.fromkeys(parts):
            if part not in standing:
                at.add(PartToPlay(person_id=person_id, part=part, visit_id=at.visit_id))
        for part in standing.keys() - set(parts):
            at.change(replace(standing[part], ended=True))
    return changed


def find_people(shop: Shop, search: str, *, most_count: int = 20) -> tuple[Person, ...]:
    """People the shop knows whose name, telephone or e-mail address has these words in it, by name."""
    with reading(shop.engine) as connection:
        return clocks.find_people(connection, search, most_count=most_count)


def people_with_clocks(shop: Shop, search: str, *, most_count: int = 20) -> list[tuple[Person, list[tuple[str, str]]]]:
    """As `find_people`, each with the tickets and names of the clocks they came with; `search` may be a telephone,
    however it is spaced.
    """
    found = find_people(shop, search, most_count=most_count)
    by_number = people_alike(shop, "", search, most_count=most_count)
    return clocks_of(shop, tuple({one.id: one for one in (*found, *by_number)}.values())[:most_count])


def clocks_of(shop: Shop, people: tuple[Person, ...]) -> list[tuple[Person, list[tuple[str, str]]]]:
    """Each of these people with the tickets and names of the clocks they came with."""
    with reading(shop.engine) as connection:
        theirs = clocks.clocks_with_people(connection, [one.id for one in people])
    return [(one, theirs.get(one.id, [])) for one in people]


def people_alike(shop: Shop, name: str, telephone: str = "", *, most_count: int = 8) -> tuple[Person, ...]:
    """People the shop knows who have this very name, or this telephone however it is spaced."""
    wanted, number = " ".join(name.split()).casefold(), _digits(telephone)
    with reading(shop.engine) as connection:
        found = clocks.find_people(connection, wanted, most_count=_MOST_ALIKE) if wanted else ()
        if len(number) >= _LEAST_DIGITS:
            found = (*found, *clocks.people_with_telephone(connection, number[-_OWN_DIGITS:], most_count=_MOST_ALIKE))
    alike = {
        one.id: one
        for one in found
        if " ".join(one.name.split()).casefold() == wanted
        or (len(number) >= _LEAST_DIGITS and _same_number(_digits(one.telephone or ""), number))
    }
    return tuple(alike.values())[:most_count]


def _same_number(one: str, other: str) -> bool:
    """The same telephone, also where one is written with the number of its country."""
    return one == other or (min(len(one), len(other)) >= _OWN_DIGITS and one[-_OWN_DIGITS:] == other[-_OWN_DIGITS:])


def _digits(telephone: str) -> str:
    return "".join(one for one in telephone if one.isdigit())


def _check_names(changes: Mapping[str, Any]) -> None:
    allowed = [one.name for one in fields(Person) if one.name != "id"]
    for name in changes:
        if name not in allowed:
            raise BadInput(
                name,
                changes[name],
                ", ".join(allowed),
                f"{name}: there is no such field of a person; allowed: {', '.join(allowed)}.",
            )
