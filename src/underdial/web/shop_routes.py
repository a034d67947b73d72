"""The list of all clocks, In the shop, that of the clocks gone home, and the counter where one is received, for the
first time or again.
"""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from underdial.bench.counter.erasing import known_of
from underdial.bench.counter.people import clocks_of, people_alike
from underdial.bench.counter.receiving import receive_again, receive_clock
from underdial.bench.counter.warning import dangers_named, dangers_to_tick
from underdial.bench.counter.whereabouts import went_home
from underdial.bench.shop import clock_page, in_the_shop
from underdial.bench.shown.pages import kinds_of_movement
from underdial.record.clock import Clock
from underdial.record.complaint import Complaint
from underdial.record.people import Person
from underdial.record.visit import Visit
from underdial.web.once import nothing_done
from underdial.web.sheet import HERE, back_to, sheet, shop_of, writer_of

router = APIRouter(responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422)})
LINES_A_PAGE = 50
# Picked where people of the same name are known, and it is none of them.
NEW_PERSON = "new"
STAGE_WORDS = {
    "received": "received, not looked over",
    "as_found": "looked over",
    "waiting_for_owner": "waits for the owner",
    "agreed": "agreed, waits for the bench",
    "at_the_bench": "at the bench",
    "waiting_for_parts": "waits for parts",
    "on_test": "on test",
    "ready": "ready to go home",
    "gone": "gone",
}


@router.get("/")
def list_clocks(
    request: Request,
    search: Annotated[str, Query(max_length=80)] = "",
    first: Annotated[int, Query(ge=0, le=1_000_000)] = 0,
) -> Response:
    """Every clock in the shop, the earliest needed first."""
    found = in_the_shop(shop_of(request), search=search, first_count=first, most_count=LINES_A_PAGE)
    return sheet(
        request,
        "in_the_shop.html",
        lines=found.lines,
        all_count=found.all_count,
        search=search,
        first=first,
        step=LINES_A_PAGE,
        stages=STAGE_WORDS,
    )


@router.get("/gone")
def list_gone(
    request: Request,
    search: Annotated[str, Query(max_length=80)] = "",
    first: Annotated[int, Query(ge=0, le=1_000_000)] = 0,
) -> Response:
    """The clocks that have gone home, the last received first."""
    found = in_the_shop(shop_of(request), search=search, gone=True, first_count=first, most_count=LINES_A_PAGE)
    return sheet(
        request,
        "gone.html",
        lines=found.lines,
        all_count=found.all_count,
        search=search,
        first=first,
        step=LINES_A_PAGE,
    )


@router.get("/by-mistake")
def list_mistakes(request: Request, first: Annotated[int, Query(ge=0, le=1_000_000)] = 0) -> Response:
    """What was received by mistake, the last first."""
    found = in_the_shop(shop_of(request), in_error=True, first_count=first, most_count=LINES_A_PAGE)
    return sheet(
        request, "by_mistake.html", lines=found.lines, all_count=found.all_count, first=first, step=LINES_A_PAGE
    )


@router.get("/clock/{tag}/again")
def counter_again(request: Request, tag: str) -> Response:
    """The form at the counter for a clock that comes back; its own page while it has not gone."""
    page = clock_page(shop_of(request), tag)
    if page.visit.stage != "gone":
        return RedirectResponse(f"/clock/{tag}/received", 303)
    return sheet(request, "again.html", clock=page.clock, went=went_home(page.visit, page))


@router.post("/clock/{tag}/again")
def receive_once_more(
    request: Request,
    tag: str,
    words: Annotated[str, Form(max_length=2000)] = "",
    came_as: Annotated[str, Form(max_length=20)] = "whole",
    under_warranty: Annotated[str, Form(max_length=3)] = "",
) -> Response:
    """Take a clock in once more: a new visit, which names the one before."""
    shop = shop_of(request)
    last = clock_page(shop, tag).visit.id
    visit = Visit(
        received_at=shop.now(),
        arrived_as=came_as,
        complaint=Complaint(words=words.strip() or None),
        earlier_visit_id=last,
        under_warranty=under_warranty == "yes",
    )
    receive_again(shop, tag, visit, by=writer_of(request))
    return back_to(tag, "received")


@router.get("/receive")
def counter(request: Request, person: Annotated[str, Query(max_length=80)] = "") -> Response:
    """The form at the counter; for somebody the shop knows, where one is named."""
    known = known_of(shop_of(request), person) if person else None
    return _counter_sheet(request, known=known)


@router.post("/receive")
def receive(
    request: Request,
    name: Annotated[str, Form(max_length=200)],
    family: Annotated[str, Form(max_length=80)] = "",
    owner: Annotated[str, Form(max_length=200)] = "",
    telephone: Annotated[str, Form(max_length=200)] = "",
    words: Annotated[str, Form(max_length=2000)] = "",
    came_as: Annotated[str, Form(max_length=20)] = "whole",
    danger: Annotated[tuple[str, ...], Form(max_length=20)] = (),
    person: Annotated[str, Form(max_length=80)] = "",
) -> Response:
    """Take a clock in and open its first page; where its owner may be somebody known, ask which first."""
    shop, new = shop_of(request), Person(name=owner.strip() or "nobody", telephone=telephone.strip() or None)
    typed = {
        "name": name,
        "family": family,
        "owner": owner,
        "telephone": telephone,
        "words": words,
        "came_as": came_as,
        "danger": danger,
    }
    alike = people_alike(shop, owner, telephone) if not person and owner.strip() else ()
    if alike:
        nothing_done(request)
        return _counter_sheet(request, typed=typed, alike=clocks_of(shop, alike))
    if person and person != NEW_PERSON:
        new = known_of(shop, person).person
    people = ((new, ("owns", "brings")),) if owner.strip() or new.id else ()
    visit = Visit(received_at=shop.now(), arrived_as=came_as, complaint=Complaint(words=words.strip() or None))
    received = receive_clock(
        shop,
        Clock(tag="new", name=name, family=family or None, hazards=dangers_named(danger)),
        visit,
        people,
        by=shop.settings.repairer,
    )
    return RedirectResponse(f"/clock/{received.tag}/received", 303)


def _counter_sheet(request: Request, **more: Any) -> Response:
    given = {"typed": {}, "known": None, "alike": (), **more}
    # What was typed is not taken while it is asked whose it is.
    status = 409 if given["alike"] else 200
    return sheet(request, "receive.html", status, families=kinds_of_movement(), dangers=dangers_to_tick(), **given)


@router.get("/away_worker.js")
def away_worker() -> Response:
    """What reads for the tablet while the shop is not reached; it has to lie at the top to see every page."""
    return FileResponse(HERE / "static" / "away_worker.js", media_type="text/javascript")


@router.post("/lamp")
def set_lamp(request: Request, lamp: Annotated[str, Form(pattern="^(day|night|machine)$")]) -> Response:
    """Day, night, or as the machine prefers."""
    return _remember(request, "lamp", lamp)


@router.post("/hand")
def set_hand(request: Request, hand: Annotated[str, Form(pattern="^(left|right)$")]) -> Response:
    """The hand that holds the tablet."""
    return _remember(request, "hand", hand)


def _remember(request: Request, name: str, value: str) -> Response:
    answer = RedirectResponse(request.headers.get("referer") or "/", 303)
    answer.set_cookie(name, value, max_age=31_536_000, samesite="strict", httponly=True)
    return answer
