"""The page Confirm: a look-over read through with one thumb, each deed written as it is done; a line spoken to the tablet."""

from __future__ import annotations

from collections import OrderedDict
from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response

from underdial.bench import confirming, looking
from underdial.bench.dictating import hear_line, hear_order
from underdial.bench.kept_files import kept_place
from underdial.bench.one_line import read_line
from underdial.bench.shop import clock_page
from underdial.errors import BadInput, NotFound
from underdial.web.sheet import clock_sheet, shop_of

router = APIRouter(prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)})
MOST_LINE_BYTES = 4_000_000
MOST_DEEDS_REMEMBERED = 1000
Short = Annotated[str, Form(max_length=200)]
# A word of the page's own for one deed, so that it is done once however often it is sent.
Once = Annotated[str, Form(max_length=64)]


@router.get("/{tag}/confirm")
async def confirm(request: Request, tag: str, finding: str | None = None) -> Response:
    """The finding in hand, or the first that waits."""
    return await _page(request, tag, finding or None)


@router.post("/{tag}/confirm/undo")
async def undo(request: Request, tag: str, once: Once = "") -> Response:
    """Take back the newest deed."""
    if _done_before(request, once):
        return _to(tag, None)
    back = await run_in_threadpool(confirming.undo, shop_of(request), tag, by=_by(request))
    return _to(tag, back)


@router.post("/{tag}/confirm/line")
async def hear(request: Request, tag: str, only: Annotated[str, Query(pattern="^(orders|)$")] = "") -> Response:
    """Hear one line or order (a WAV as the body) and say what it was taken for; nothing is kept. With `only=orders` all else is passed over."""
    await run_in_threadpool(clock_page, shop_of(request), tag)
    body = bytearray()
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_LINE_BYTES:
            raise BadInput("line", f"over {MOST_LINE_BYTES} bytes", "up to 4 MB", "line: this is longer than one line; say one finding at a time.")
    if only:
        return JSONResponse({"order": await run_in_threadpool(hear_order, bytes(body))})
    heard = await run_in_threadpool(hear_line, bytes(body))
    return JSONResponse({"text": heard.text, "reads": heard.line.reads if heard.line else "", "twice": heard.twice, "order": heard.order})


@router.post("/{tag}/confirm/line/keep")
async def keep_line(request: Request, tag: str, text: Short, once: Once = "") -> Response:
    """Keep a line that was read back, as the finding or measurement it is."""
    if _done_before(request, once):
        return _to(tag, None)
    line = read_line(text)
    if line.finding is not None:
        kept = await run_in_threadpool(looking.add_finding, shop_of(request), tag, line.finding, by=_by(request))
        return _to(tag, kept.id)
    assert line.measurement is not None
    await run_in_threadpool(looking.add_measurement, shop_of(request), tag, line.measurement, by=_by(request))
    return _to(tag, None)


@router.post("/{tag}/confirm/{finding_id}/{deed}")
async def judge(request: Request, tag: str, finding_id: str, deed: str, field: Short = "", value: Short = "", other: Short = "", once: Once = "") -> Response:
    """Accept, reject, pick, merge or split; then the next finding that waits, or the same one."""
    if _done_before(request, once):
        return _to(tag, None)
    shop, by = shop_of(request), _by(request)
    goes_on = False
    if deed == "accept":
        await run_in_threadpool(looking.confirm_finding, shop, tag, finding_id, by=by)
        goes_on = True
    elif deed == "reject":
        await run_in_threadpool(looking.reject_finding, shop, tag, finding_id, by=by)
        goes_on = True
    elif deed == "pick":
        await run_in_threadpool(lambda: confirming.pick(shop, tag, finding_id, field=field, value=value, by=by))
    elif deed == "merge":
        await run_in_threadpool(confirming.merge_findings, shop, tag, finding_id, other, by=by)
    elif deed == "split":
        finding_id = (await run_in_threadpool(confirming.split_finding, shop, tag, finding_id, by=by)).id
    else:
        raise NotFound("deed", deed, "accept, reject, pick, merge, split", "deed: a finding is accepted, rejected, picked, merged or split.")
    if goes_on:
        page = await run_in_threadpool(clock_page, shop, tag)
        finding_id = confirming.next_waiting(page, finding_id) or finding_id
    return _to(tag, finding_id)


@router.get("/{tag}/recording/{attachment_id}")
def recording(request: Request, tag: str, attachment_id: str) -> Response:
    """A kept film or sound, sent by the piece that is asked for."""
    found, place = kept_place(shop_of(request), tag, attachment_id)
    return FileResponse(place, media_type=found.media_type)


async def _page(request: Request, tag: str, finding_id: str | None) -> Response:
    shop = shop_of(request)
    page = await run_in_threadpool(clock_page, shop, tag)
    shown: Any = await run_in_threadpool(confirming.confirm_page, shop, page, finding_id)
    return clock_sheet(request, "confirm.html", page, "findings", shown=shown)


def _done_before(request: Request, once: str) -> bool:
    """Whether a deed with this word was done already: a tablet that slept before it had the answer sends it again."""
    if not hasattr(request.app.state, "deeds_done"):
        request.app.state.deeds_done = OrderedDict()
    done: OrderedDict[str, None] = request.app.state.deeds_done
    if not once:
        return False
    if once in done:
        return True
    done[once] = None
    while len(done) > MOST_DEEDS_REMEMBERED:
        done.popitem(last=False)
    return False


def _by(request: Request) -> str:
    return shop_of(request).settings.repairer


def _to(tag: str, finding_id: str | None) -> Response:
    return RedirectResponse(f"/clock/{tag}/confirm" + (f"?finding={finding_id}" if finding_id else ""), 303)
