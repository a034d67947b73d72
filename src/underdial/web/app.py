"""The app over one shop: routes, the frame of every page, one table of refusals, and who may ask.

The app answers only to names of this machine; with `lan` also to numbers and to names that only the shop's own network
gives out. So a page of elsewhere whose name is made to point here reads nothing. A change is taken only from a page of
this app: a page that hides where it is from (`Origin: null`, as a sandboxed frame sends) is a page of elsewhere.
"""

from __future__ import annotations

import ipaddress
import logging
import socket
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import Depends, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse, Response

from underdial.bench.as_found.taking_in import Films
from underdial.bench.by_ear.microphone import Listener
from underdial.bench.causes.being_taught import BeingTaught
from underdial.bench.causes.speaking import Speaking
from underdial.bench.shop import Shop
from underdial.errors import BadInput, MachineRefused, NotFound, OutOfRange, OutsideModel, RuleBroken, UnderdialError
from underdial.web import (
    bench_routes,
    clock_routes,
    confirm_routes,
    counter_routes,
    doing_routes,
    film_routes,
    handbook_routes,
    listen_routes,
    people_routes,
    picture_routes,
    reading_routes,
    recorder_routes,
    shop_routes,
    taught_routes,
    work_routes,
)
from underdial.web.once import AlreadyDone, settle, take_form, tell_already_done
from underdial.web.refusals import form_sentence, on_the_page, refused

HERE = Path(__file__).parent
# Kind of refusal -> status. The most particular kind that fits is taken.
STATUSES: dict[type[UnderdialError], int] = {
    NotFound: 404,
    RuleBroken: 409,
    OutsideModel: 422,
    OutOfRange: 422,
    BadInput: 422,
    MachineRefused: 507,
    UnderdialError: 400,
}
_ROUTERS = (
    shop_routes.router,
    bench_routes.router,
    listen_routes.router,
    recorder_routes.router,
    confirm_routes.router,
    film_routes.router,
    picture_routes.router,
    clock_routes.router,
    reading_routes.router,
    people_routes.router,
    counter_routes.router,
    doing_routes.router,
    work_routes.router,
    handbook_routes.router,
    taught_routes.router,
)
_LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]", "testserver"})
# Endings that no name of the public internet has: .local by RFC 6762, .home.arpa by RFC 8375, the others by the custom
# of routers.
_NEAR_ENDINGS = (".local", ".home.arpa", ".lan", ".home", ".internal", ".localdomain")
# Rules that somebody meets by being later than somebody else: what they typed is shown again, so that it is not lost.
_LATE = frozenset({"version", "stage"})
_POLICY = (
    "default-src 'self'; img-src 'self' data: blob:; media-src 'self' blob:; style-src 'self' 'unsafe-inline'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


def create_app(shop: Shop, *, lan: bool = False) -> FastAPI:
    """The app for an open shop."""
    app = FastAPI(
        title="Underdial",
        docs_url=None,
        redoc_url=None,
        openapi_url="/openapi.json",
        lifespan=_open_to_close,
        dependencies=[Depends(take_form)],
    )
    app.state.shop = shop
    app.state.speaking = Speaking()
    app.state.listener = Listener()
    app.state.films = Films(shop)
    app.state.being_taught = BeingTaught(shop)
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    for router in _ROUTERS:
        app.include_router(router)
    _guard(app, lan)
    _tell_refusals(app)
    return app


@asynccontextmanager
async def _open_to_close(app: FastAPI) -> AsyncIterator[None]:
    """From the first page to the last: films that a cut left are taken up beside the pages, and put by at the end."""
    films: Films = app.state.films
    films.take_up()
    yield
    films.close()


def _guard(app: FastAPI, lan: bool) -> None:
    """Who may not ask is turned away, and every answer says what a page of ours may do."""

    @app.middleware("http")
    async def guard(request: Request, call_next: Callable[[Request], Awaitable[Response]]) -> Response:
        refused = _refused_asker(request, lan)
        response = refused
        try:
            response = response or await call_next(request)
        finally:
            settle(request, response)
        response.headers["Content-Security-Policy"] = _POLICY
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers["Referrer-Policy"] = "same-origin"
        if not request.url.path.startswith("/static"):
            response.headers["Cache-Control"] = "no-store"
        return response


def _refused_asker(request: Request, lan: bool) -> Response | None:
    """None when the asker may ask: by a name of this machine or its network, and for a change from our own page."""
    asked = request.headers.get("host", "").casefold()
    name = asked if asked.endswith("]") else asked.rsplit(":", 1)[0]
    if name not in _LOOPBACK and not lan:
        return PlainTextResponse(
            "This shop answers only on its own machine. Start it with --lan to open it to the shop's network.", 403
        )
    if name not in _LOOPBACK and not _is_near(name):
        return PlainTextResponse(
            "This shop answers only to the address that was shown where it was started, "
            "or to the number of that machine.",
            403,
        )
    if request.method not in ("GET", "HEAD", "OPTIONS"):
        origin = request.headers.get("origin")
        if origin is not None and origin.casefold().partition("://")[2] != asked:
            return PlainTextResponse("A change is taken only from a page of this shop.", 403)
    return None


def _is_near(name: str) -> bool:
    """That a host is a number, this machine's own name, or a name that can only be of its own network."""
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return bool(name) and (
            "." not in name or name.endswith(_NEAR_ENDINGS) or name == socket.gethostname().casefold()
        )
    return True


def _tell_refusals(app: FastAPI) -> None:
    """Each kind of refusal as a page with its status; a fault of ours is logged, and told without its insides."""

    app.add_exception_handler(AlreadyDone, tell_already_done)

    @app.exception_handler(UnderdialError)
    async def tell_refusal(request: Request, wrong: UnderdialError) -> Response:
        status = next(code for kind, code in STATUSES.items() if isinstance(wrong, kind))
        # Somebody else has changed it meanwhile: filled in again, it would write over what they wrote.
        by_hand = isinstance(wrong, RuleBroken) and wrong.field in _LATE
        said = on_the_page(request.url.path, wrong.message)
        return await refused(request, said, status, field=wrong.field, value=wrong.value, by_hand=by_hand)

    @app.exception_handler(RequestValidationError)
    async def tell_form(request: Request, wrong: RequestValidationError) -> Response:
        first = wrong.errors()[0]
        said = on_the_page(request.url.path, form_sentence(first))
        return await refused(request, said, 422, field=str(first["loc"][-1]), value=first.get("input") or "")

    @app.exception_handler(HTTPException)
    async def tell_http(request: Request, wrong: HTTPException) -> Response:
        words = {404: "There is no such page here.", 405: "That cannot be done on this page."}.get(
            wrong.status_code, str(wrong.detail)
        )
        return await refused(request, words, wrong.status_code)

    @app.exception_handler(Exception)
    async def tell_fault(request: Request, fault: Exception) -> Response:
        logging.getLogger("underdial.web").exception("a fault of ours")
        return await refused(
            request,
            "A fault of ours. What was confirmed is safe. The window in which Underdial was started names the place.",
            500,
        )
