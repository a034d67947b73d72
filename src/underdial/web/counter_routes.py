"""What is written at the counter.

People and the parts they play, loose parts, where things are, the aim and its day, holds, who collected it.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.responses import Response

from underdial.bench.clock.naming import handed_over_named
from underdial.bench.counter import holding, people, receiving
from underdial.bench.counter.whereabouts import MOVES
from underdial.bench.rounds import proving, working
from underdial.bench.shop import Shop, clock_page
from underdial.bench.shown import issuing
from underdial.errors import BadInput, NotFound, RuleBroken
from underdial.record.aim import Aim
from underdial.record.custody import CustodyLine
from underdial.record.hold import Hold
from underdial.record.money import Day
from underdial.record.people import Person
from underdial.record.visit import HandedOver
from underdial.web.numbers_typed import number_typed, sum_typed
from underdial.web.sheet import back_to, shop_of, writer_of

router = APIRouter(
    prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)}
)
Short = Annotated[str, Form(max_length=200)]
Long = Annotated[str, Form(max_length=2000)]
Ticks = Annotated[tuple[str, ...], Form()]
# The version of the record that the page was made from: what somebody else has changed since is not written over.
Version = Annotated[int | None, Form(ge=1)]
# Where a thing is when nobody and no place is named.
_USUALLY = {"with_owner": "at home", "lent_by_shop": "on the clock"}


@router.post("/{tag}/name")
def write_name(request: Request, tag: str, name: Short, version: Version = None) -> Response:
    """Put right what the clock is called."""
    shop = shop_of(request)
    page = clock_page(shop, tag)
    receiving.change_clock(
        shop, tag, {"name": name.strip()}, version_count=version or page.versions[page.clock.id], by=writer_of(request)
    )
    return back_to(tag, "received")


@router.post("/{tag}/by-mistake")
def write_mistake(request: Request, tag: str, why: Long) -> Response:
    """It was received by mistake: it leaves the lists, and its record says why."""
    receiving.received_in_error(shop_of(request), tag, why=why, by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/by-mistake/{visit_id}/undo")
def undo_mistake(request: Request, tag: str, visit_id: str) -> Response:
    """It is here after all."""
    receiving.received_after_all(shop_of(request), tag, visit_id, by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/people")
def name_one(
    request: Request,
    tag: str,
    name: Short,
    address: Long = "",
    telephone: Short = "",
    email: Short = "",
    part: Ticks = (),
    another: Short = "",
) -> Response:
    """Name somebody, with where they are reached and the parts they play; a name or telephone that is known is asked
    about first.
    """
    if not part:
        raise BadInput(
            "part",
            "nothing",
            "owns, brings, pays, may instruct, may collect",
            f"part: say what {name.strip() or 'this person'} does: "
            "owns it, brings it, pays, may instruct or may collect.",
        )
    alike = people.people_alike(shop_of(request), name, telephone) if another != "yes" else ()
    if alike:
        told = "; ".join(f"{one.name}, {one.telephone or 'no telephone'}" for one in alike[:3])
        raise RuleBroken(
            "name",
            name,
            "somebody new",
            f"name: {told} is known here; name them by “Name somebody known here already”, or tick that it is another.",
        )
    person = Person(
        name=name.strip(),
        address=address.strip() or None,
        telephone=telephone.strip() or None,
        email=email.strip() or None,
    )
    people.name_person(shop_of(request), tag, person, tuple(dict.fromkeys(part)), by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/people/{person_id}")
def write_one(
    request: Request,
    tag: str,
    person_id: str,
    name: Short,
    address: Long = "",
    telephone: Short = "",
    email: Short = "",
    part: Ticks = (),
    version: Version = None,
) -> Response:
    """Change where somebody is reached, and the parts they play at this visit; a part that ends stays in the record."""
    shop = shop_of(request)
    if person_id not in clock_page(shop, tag).people:
        raise NotFound("person", person_id, "somebody named for this clock")
    told = {
        "name": name.strip(),
        "address": address.strip() or None,
        "telephone": telephone.strip() or None,
        "email": email.strip() or None,
    }
    people.write_person(shop, tag, person_id, told, part, version_count=version, by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/came-with")
def write_part(
    request: Request, tag: str, component: Short, status: Short = "with_clock", how_many: Short = "1", note: Short = ""
) -> Response:
    """Write down a loose part in any words: with the clock, left at home, or missing.

    The same written again takes the place of its line.
    """
    if not how_many.strip().isdigit() or int(how_many) > 1000:
        raise BadInput(
            "how_many",
            how_many,
            "a whole number from 0 to 1000",
            f"how many: {how_many} is no number of parts; 0 to 1000 is wanted.",
        )
    shop = shop_of(request)
    part, words = handed_over_named(component)
    line = HandedOver(
        component=part, status=status, how_many_count=int(how_many), note=note.strip() or None, words=words
    )
    page = clock_page(shop, tag)
    kept = tuple(one for one in page.visit.handed_over if one.called.casefold() != line.called.casefold())
    receiving.change_visit(
        shop, tag, {"handed_over": (*kept, line)}, version_count=page.versions[page.visit.id], by=writer_of(request)
    )
    return back_to(tag, "received")


@router.post("/{tag}/custody")
def send_out(
    request: Request,
    tag: str,
    what: Short,
    kind: Short = "sent_out",
    with_whom: Short = "",
    where: Short = "",
    due: Short = "",
    note: Short = "",
    condition: Short = "",
    insured: Short = "",
) -> Response:
    """Write where a part is: sent out to somebody, with the owner, on order, or one of the shop's own on the clock."""
    if kind not in dict(MOVES):
        raise BadInput(
            "it is",
            kind,
            ", ".join(dict(MOVES)),
            f"it is: {kind} will not do; a part is {', '.join(words for _, words in MOVES)}.",
        )
    if kind == "here" and not where.strip():
        raise BadInput("where", "nothing", "a tray or a drawer", "where: no place is named; say in which tray it lies.")
    if kind not in (*_USUALLY, "here") and not with_whom.strip():
        raise BadInput(
            "with whom",
            "nothing",
            "a name",
            "with whom: nobody is named; say to whom it goes, or from whom it is ordered.",
        )
    shop = shop_of(request)
    line = CustodyLine(
        what=what.strip(),
        kind=kind,
        with_whom=with_whom.strip() or None,
        where=where.strip() or _USUALLY.get(kind) or with_whom.strip(),
        since=shop.now(),
        due=_day(shop, due, "due"),
        note=note.strip() or None,
        condition_going=condition.strip() or None,
        insured=sum_typed(shop, "insured for", insured),
    )
    working.move_part(shop, tag, line, by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/custody/{custody_id}/back")
def take_back(request: Request, tag: str, custody_id: str, condition: Short = "") -> Response:
    """A part has come back, or one of the shop's is off the clock, and was checked."""
    working.part_is_back(shop_of(request), tag, custody_id, condition=condition.strip() or None, by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/invoice")
def issue_invoice(request: Request, tag: str) -> Response:
    """Issue an invoice for what is charged: it takes the next number of the shop."""
    issuing.issue_invoice(shop_of(request), tag, by=writer_of(request))
    return back_to(tag, "papers")


@router.post("/{tag}/credit")
def issue_credit(
    request: Request, tag: str, invoice: Short, why: Long, sum_back: Annotated[tuple[str, ...], Form(alias="sum")] = ()
) -> Response:
    """Issue a credit note of an invoice: the sums of its lines in their order, nothing for one that stays."""
    shop = shop_of(request)
    number = number_typed("invoice", invoice, 1, 1e9)
    if number is None or number != int(number):
        raise BadInput("invoice", invoice or "nothing", "the number of an invoice")
    sums = [sum_typed(shop, "credit", one) for one in sum_back]
    issuing.issue_credit_note(
        shop,
        tag,
        int(number),
        why=why,
        sums_minor={n: one.amount_minor for n, one in enumerate(sums, 1) if one is not None},
        by=writer_of(request),
    )
    return back_to(tag, "papers")


@router.post("/{tag}/send/{kind}")
def send_paper(request: Request, tag: str, kind: str, number: Annotated[int | None, Form(ge=1)] = None) -> Response:
    """Lay out a paper as it goes out, and keep its file; of invoices and credit notes the newest, or one by number."""
    issuing.send_paper(shop_of(request), tag, kind, number=number, by=writer_of(request))
    return back_to(tag, "papers")


@router.post("/{tag}/release")
def give_out(request: Request, tag: str, person_id: Short, why: Short = "") -> Response:
    """Give the clock to somebody who may collect it; from then on it has gone home."""
    proving.release_clock(shop_of(request), tag, person_id=person_id, by=writer_of(request), why=why.strip() or None)
    return back_to(tag, "papers")


@router.post("/{tag}/aim")
def write_aim(
    request: Request,
    tag: str,
    what: Short = "to_run",
    needed_by: Short = "",
    wishes: Long = "",
    version: Version = None,
) -> Response:
    """Write what the clock is to do afterwards, by when, and what the owner wishes outright, a line each."""
    shop = shop_of(request)
    page = clock_page(shop, tag)
    aim: Aim = page.visit.aim
    wanted = tuple(line.strip() for line in wishes.splitlines() if line.strip())
    receiving.change_visit(
        shop,
        tag,
        {"aim": replace(aim, what=what, needed_by=_day(shop, needed_by, "needed by"), wishes=wanted)},
        version_count=version or page.versions[page.visit.id],
        by=writer_of(request),
    )
    return back_to(tag, "owner")


@router.post("/{tag}/holds")
def write_hold(request: Request, tag: str, reason: Short, why: Long, forbids: Ticks = ()) -> Response:
    """Set a hold: what may not be done until somebody lifts it."""
    shop = shop_of(request)
    holding.set_hold(
        shop,
        tag,
        Hold(reason=reason, why=why.strip(), forbids=tuple(dict.fromkeys(forbids)), since=shop.now()),
        by=writer_of(request),
    )
    return back_to(tag, "received")


@router.post("/{tag}/holds/{hold_id}/lift")
def lift(request: Request, tag: str, hold_id: str, who: Short, why: Long) -> Response:
    """Lift a hold, by somebody and for a reason."""
    holding.lift_hold(shop_of(request), tag, hold_id, by=who.strip(), why=why.strip())
    return back_to(tag, "received")


def _day(shop: Shop, written: str, field: str) -> Day | None:
    if not written.strip():
        return None
    try:
        return Day(on=date.fromisoformat(written.strip()), zone=shop.settings.zone)
    except ValueError:
        raise BadInput(
            field, written, "a day such as 2026-12-20", f"{field}: {written} is no day; write it as 2026-12-20."
        ) from None
