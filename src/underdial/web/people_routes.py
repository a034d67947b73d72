"""People the shop knows: looked for, seen with their clocks, named for a clock, and erased when they ask for it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from starlette.responses import Response

from underdial.bench.counter import erasing, people
from underdial.bench.shop import clock_page
from underdial.errors import BadInput
from underdial.record.people import PARTS, Person
from underdial.web.once import nothing_done
from underdial.web.sheet import back_to, sheet, shop_of, writer_of

router = APIRouter(responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)})
MOST_SHOWN = 30
Short = Annotated[str, Form(max_length=200)]
Long = Annotated[str, Form(max_length=2000)]
Ticks = Annotated[tuple[str, ...], Form()]


@router.get("/people")
def look_up(
    request: Request,
    search: Annotated[str, Query(max_length=80)] = "",
    clock: Annotated[str, Query(max_length=80)] = "",
) -> Response:
    """People by name, telephone or e-mail address; with a ticket each can be named for that clock."""
    shop = shop_of(request)
    named_for = clock_page(shop, clock).clock if clock else None
    found = people.people_with_clocks(shop, search, most_count=MOST_SHOWN + 1) if search.strip() else []
    return sheet(
        request,
        "people.html",
        search=search,
        found=found[:MOST_SHOWN],
        more=len(found) > MOST_SHOWN,
        named_for=named_for,
        parts=PARTS,
    )


@router.get("/people/{person_id}")
def one_person(request: Request, person_id: str) -> Response:
    """Somebody, with where they are reached and their clocks."""
    return sheet(request, "person.html", known=erasing.known_of(shop_of(request), person_id))


@router.post("/clock/{tag}/people/known/{person_id}")
def name_known(request: Request, tag: str, person_id: str, part: Ticks = ()) -> Response:
    """Name somebody for a clock whom the shop knows already."""
    shop = shop_of(request)
    known = erasing.known_of(shop, person_id).person
    if not part:
        raise BadInput("part", "nothing", ", ".join(PARTS), f"part: say what {known.name} does for this clock.")
    people.name_person(
        shop, tag, Person(name=known.name, id=known.id), tuple(dict.fromkeys(part)), by=writer_of(request)
    )
    return back_to(tag, "received")


@router.get("/people/{person_id}/erase")
def ask_once(request: Request, person_id: str) -> Response:
    """What would go if somebody were erased, and what is asked before: the first of two times."""
    return sheet(request, "erase.html", goes=erasing.what_goes(shop_of(request), person_id), person_id=person_id)


@router.get("/people/{person_id}/erase/sure")
def ask_anew(request: Request, person_id: str) -> Response:
    """The second asking is come to by the first only."""
    return ask_once(request, person_id)


@router.post("/people/{person_id}/erase/sure")
def ask_twice(request: Request, person_id: str, why: Long = "", also: Long = "", file: Ticks = ()) -> Response:
    """All that would go, once more, and the whole name to be typed: the second time. Nothing is changed yet."""
    if not why.strip():
        raise BadInput("why", "nothing", "who asked for it, how and when", "why: nothing is written there.")
    goes = erasing.what_goes(shop_of(request), person_id, _lines(also))
    nothing_done(request)
    return sheet(
        request,
        "erase_sure.html",
        goes=goes,
        person_id=person_id,
        why=why.strip(),
        also=also,
        files=[one for one in goes.files if one.named in file],
    )


@router.post("/people/{person_id}/erase")
def erase(
    request: Request, person_id: str, name: Short = "", why: Long = "", also: Long = "", file: Ticks = ()
) -> Response:
    """Erase somebody for good, and say what was done and what remains."""
    said = erasing.erase_person(
        shop_of(request), person_id, name=name, why=why, also=_lines(also), files=file, by=writer_of(request)
    )
    return sheet(request, "erased.html", said=said)


def _lines(written: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in written.splitlines() if line.strip())
