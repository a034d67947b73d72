"""What is written at the counter: people and the parts they play, loose parts, the aim and its day, holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.responses import Response

from underdial.bench import holding, people, receiving
from underdial.bench.naming import part_named
from underdial.bench.shop import Shop, clock_page
from underdial.errors import BadInput, NotFound
from underdial.record.aim import Aim
from underdial.record.hold import Hold
from underdial.record.money import Day
from underdial.record.people import Person
from underdial.record.visit import HandedOver
from underdial.web.sheet import back_to, shop_of, writer_of

router = APIRouter(prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)})
Short = Annotated[str, Form(max_length=200)]
Long = Annotated[str, Form(max_length=2000)]
Ticks = Annotated[list[str], Form()]


@router.post("/{tag}/people")
def name_one(request: Request, tag: str, name: Short, address: Long = "", telephone: Short = "", email: Short = "", part: Ticks = []) -> Response:  # noqa: B006
    """Name somebody, with where they are reached and the parts they play."""
    if not part:
        raise BadInput("part", "nothing", "owns, brings, pays, may instruct, may collect", f"part: say what {name.strip() or 'this person'} does: owns it, brings it, pays, may instruct or may collect.")
    person = Person(name=name.strip(), address=address.strip() or None, telephone=telephone.strip() or None, email=email.strip() or None)
    people.name_person(shop_of(request), tag, person, tuple(dict.fromkeys(part)), by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/people/{person_id}")
def write_one(request: Request, tag: str, person_id: str, name: Short, address: Long = "", telephone: Short = "", email: Short = "", part: Ticks = []) -> Response:  # noqa: B006
    """Change where somebody is reached, and the parts they play at this visit; a part that ends stays in the record."""
    shop = shop_of(request)
    if person_id not in clock_page(shop, tag).people:
        raise NotFound("person", person_id, "somebody named for this clock")
    told = {"name": name.strip(), "address": address.strip() or None, "telephone": telephone.strip() or None, "email": email.strip() or None}
    people.write_person(shop, tag, person_id, told, tuple(part), by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/came-with")
def write_part(request: Request, tag: str, component: Short, status: Short = "with_clock", how_many: Short = "1", note: Short = "") -> Response:
    """Write down a loose part: with the clock, left at home, or missing. The same part written again takes the place of its line."""
    if not how_many.strip().isdigit() or int(how_many) > 1000:
        raise BadInput("how_many", how_many, "a whole number from 0 to 1000", f"how many: {how_many} is no number of parts; 0 to 1000 is wanted.")
    shop = shop_of(request)
    line = HandedOver(component=part_named(component), status=status, how_many_count=int(how_many), note=note.strip() or None)
    kept = tuple(one for one in clock_page(shop, tag).visit.handed_over if one.component != line.component)
    receiving.change_visit(shop, tag, {"handed_over": (*kept, line)}, by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/aim")
def write_aim(request: Request, tag: str, what: Short = "to_run", needed_by: Short = "", wishes: Long = "") -> Response:
    """Write what the clock is to do afterwards, by when, and what the owner wishes outright, a line each."""
    shop = shop_of(request)
    aim: Aim = clock_page(shop, tag).visit.aim
    wanted = tuple(line.strip() for line in wishes.splitlines() if line.strip())
    receiving.change_visit(shop, tag, {"aim": replace(aim, what=what, needed_by=_day(shop, needed_by), wishes=wanted)}, by=writer_of(request))
    return back_to(tag, "owner")


@router.post("/{tag}/holds")
def write_hold(request: Request, tag: str, reason: Short, why: Long, forbids: Ticks = []) -> Response:  # noqa: B006
    """Set a hold: what may not be done until somebody lifts it."""
    shop = shop_of(request)
    holding.set_hold(shop, tag, Hold(reason=reason, why=why.strip(), forbids=tuple(dict.fromkeys(forbids)), since=shop.now()), by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/holds/{hold_id}/lift")
def lift(request: Request, tag: str, hold_id: str, who: Short, why: Long) -> Response:
    """Lift a hold, by somebody and for a reason."""
    holding.lift_hold(shop_of(request), tag, hold_id, by=who.strip(), why=why.strip())
    return back_to(tag, "received")


def _day(shop: Shop, written: str) -> Day | None:
    if not written.strip():
        return None
    try:
        return Day(on=date.fromisoformat(written.strip()), zone=shop.settings.zone)
    except ValueError:
        raise BadInput("needed_by", written, "a day such as 2026-12-20", f"needed by: {written} is no day; write it as 2026-12-20.") from None
