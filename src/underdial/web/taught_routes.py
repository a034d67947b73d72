"""What finished jobs taught: whether what was said has held, what the jobs would change, taking it up and going
back.
"""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import RedirectResponse, Response

from underdial.bench.causes.being_taught import BeingTaught
from underdial.bench.causes.said_and_seen import counted, how_it_held
from underdial.bench.causes.teaching import go_back, take_up, what_is_taught
from underdial.web.sheet import sheet, shop_of

router = APIRouter(
    prefix="/taught",
    responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)},
)
Name = Annotated[str, Form(max_length=120)]
Why = Annotated[str, Form(max_length=1000)]
# The name that stands in the settings while a shop has written none: nobody is called so.
_NOBODY = "repairer"


@router.get("")
def taught(request: Request) -> Response:
    """The page, its counts still to come."""
    return sheet(request, "taught.html", **_view(request))


@router.get("/held")
async def held(request: Request) -> Response:
    """Whether what was said has held; a fragment of the page, and a page of its own without scripts."""
    found = await run_in_threadpool(how_it_held, shop_of(request))
    if "hx-request" in request.headers:
        return sheet(request, "taught_held.html", held=found)
    return sheet(request, "taught.html", held=found, **_view(request))


@router.get("/change")
def work_so_far(request: Request) -> Response:
    """How far it is worked out what the jobs would change, or what came of it; a fragment of the page."""
    return sheet(request, "taught_work.html", **_view(request))


@router.post("/change")
def begin_work(request: Request) -> Response:
    """Begin to work out what the jobs would change."""
    _being_taught(request).begin()
    return RedirectResponse("/taught#change", 303)


@router.post("/change/stop")
def stop_work(request: Request) -> Response:
    """Stop; nothing is kept."""
    _being_taught(request).stop()
    return RedirectResponse("/taught#change", 303)


@router.post("/take-up")
def take_it_up(
    request: Request, key: Annotated[str, Form(pattern="^[0-9a-f]{64}$")], by: Name = "", why: Why = ""
) -> Response:
    """Take up what was told, by somebody with a name."""
    take_up(shop_of(request), key, by=by, why=why.strip() or None)
    return RedirectResponse("/taught#versions", 303)


@router.post("/back")
def back(request: Request, version: Annotated[int, Form(ge=0, le=1_000_000)], by: Name = "", why: Why = "") -> Response:
    """Go back to an earlier version."""
    go_back(shop_of(request), version, by=by, why=why.strip() or None)
    return RedirectResponse("/taught#versions", 303)


def _being_taught(request: Request) -> BeingTaught:
    found = request.app.state.being_taught
    assert isinstance(found, BeingTaught)
    return found


def _view(request: Request) -> dict[str, Any]:
    shop = shop_of(request)
    name = shop.settings.repairer
    return {
        "taught": what_is_taught(shop),
        "being": _being_taught(request),
        "counted": counted,
        "named": "" if name == _NOBODY else name,
    }
