"""The page Confirm: a look-over read through with one thumb, each deed written as it is done; a line spoken to the
tablet.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, Query, Request
from pydantic import AwareDatetime
from starlette.concurrency import run_in_threadpool
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response

from underdial.bench.as_found import confirming, doubting, looking
from underdial.bench.as_found.dictating import hear_line, hear_order
from underdial.bench.as_found.one_line import read_line
from underdial.bench.as_found.told_recorder import write_trays
from underdial.bench.clock.kept_files import kept_place
from underdial.bench.rounds import counting_hours
from underdial.bench.shop import Shop, clock_page
from underdial.errors import BadInput, NotFound
from underdial.web.sheet import clock_sheet, shop_of

router = APIRouter(
    prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)}
)
MOST_LINE_BYTES = 4_000_000
MOST_DEEDS_REMEMBERED = 1000
Short = Annotated[str, Form(max_length=200)]
# A word of the page's own for one deed, so that it is done once however often it is sent.
Once = Annotated[str, Form(max_length=64)]
# When it was done on a tablet that kept it until the shop could be reached.
DoneAt = Annotated[AwareDatetime | None, Form()]


@router.get("/{tag}/confirm")
async def confirm(request: Request, tag: str, finding: str | None = None) -> Response:
    """The finding in hand, or the first that waits."""
    return await _page(request, tag, finding or None)


@router.post("/{tag}/confirm/undo")
async def undo(request: Request, tag: str, once: Once = "", done_at: DoneAt = None) -> Response:
    """Take back the newest deed."""
    shop = replace(shop_of(request), done_at=done_at)
    return _to(tag, await _once(request, once, lambda: confirming.undo(shop, tag, by=_by(request))))


@router.post("/{tag}/confirm/line")
async def hear(request: Request, tag: str, only: Annotated[str, Query(pattern="^(orders|)$")] = "") -> Response:
    """Hear one line or order (a WAV as the body) and say what it was taken for; nothing is kept. With `only=orders`
    all else is passed over.
    """
    await run_in_threadpool(clock_page, shop_of(request), tag)
    body = bytearray()
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_LINE_BYTES:
            raise BadInput(
                "line",
                f"over {MOST_LINE_BYTES} bytes",
                "up to 4 MB",
                "line: this is longer than one line; say one finding at a time.",
            )
    if only:
        return JSONResponse({"order": await run_in_threadpool(hear_order, bytes(body))})
    heard = await run_in_threadpool(hear_line, bytes(body))
    return JSONResponse(
        {
            "text": heard.text,
            "reads": heard.line.reads if heard.line else "",
            "twice": heard.twice,
            "order": heard.order,
        }
    )


@router.post("/{tag}/confirm/line/keep")
async def keep_line(request: Request, tag: str, text: Short, once: Once = "", done_at: DoneAt = None) -> Response:
    """Keep a line that was read back, as the finding or measurement it is."""
    shop = replace(shop_of(request), done_at=done_at)
    return _to(tag, await _once(request, once, lambda: _keep_line(shop, tag, text, _by(request))))


@router.post("/{tag}/confirm/doubt/{key}/so")
async def so(request: Request, tag: str, key: str, once: Once = "", done_at: DoneAt = None) -> Response:
    """Write what was heard in doubt; it is then the finding in hand."""
    shop = replace(shop_of(request), done_at=done_at)
    return _to(tag, await _once(request, once, lambda: doubting.take_up(shop, tag, key, by=_by(request)).id))


@router.post("/{tag}/confirm/hours/{deed}")
async def count_hours(
    request: Request, tag: str, deed: Literal["start", "stop"], once: Once = "", done_at: DoneAt = None
) -> Response:
    """Begin or end counting the hours of the clock, as it was said to the tablet."""
    shop, by = replace(shop_of(request), done_at=done_at), _by(request)
    await _once(request, once, lambda: _count_hours(shop, tag, deed, by))
    return _to(tag, None)


@router.post("/{tag}/confirm/{finding_id}/{deed}")
async def judge(
    request: Request,
    tag: str,
    finding_id: str,
    deed: str,
    field: Short = "",
    value: Short = "",
    other: Short = "",
    once: Once = "",
    done_at: DoneAt = None,
) -> Response:
    """Accept, reject, pick, merge or split; then the next finding that waits, or the same one."""
    shop = replace(shop_of(request), done_at=done_at)
    return _to(
        tag,
        await _once(
            request,
            once,
            lambda: _judge(shop, tag, finding_id, deed, field=field, value=value, other=other, by=_by(request)),
        ),
    )


@router.get("/{tag}/recording/{attachment_id}")
def recording(request: Request, tag: str, attachment_id: str) -> Response:
    """A kept film or sound, sent by the piece that is asked for."""
    found, place = kept_place(shop_of(request), tag, attachment_id)
    return FileResponse(place, media_type=found.media_type)


async def _page(request: Request, tag: str, finding_id: str | None) -> Response:
    shop = shop_of(request)
    page = await run_in_threadpool(clock_page, shop, tag)
    shown: Any = await run_in_threadpool(confirming.confirm_page, shop, page, finding_id)
    return clock_sheet(request, "confirm.html", page, "findings", shown=shown, doubts=doubting.doubts_of(page))


class _Deeds:
    """What was done by each word of the tablets: the finding to go to next.

    One deed at a time, so that one sent twice at once is done once too.
    """

    def __init__(self) -> None:
        self._done: OrderedDict[str, str | None] = OrderedDict()
        self._lock = threading.Lock()

    def once(self, word: str, deed: Callable[[], str | None]) -> str | None:
        """Do a deed unless it was done already: a tablet that slept before it had the answer sends it again.

        One that failed is not remembered.
        """
        if not word:
            return deed()
        with self._lock:
            if word not in self._done:
                self._done[word] = deed()
                while len(self._done) > MOST_DEEDS_REMEMBERED:
                    self._done.popitem(last=False)
            return self._done[word]


async def _once(request: Request, word: str, deed: Callable[[], str | None]) -> str | None:
    if not hasattr(request.app.state, "deeds"):
        request.app.state.deeds = _Deeds()
    deeds: _Deeds = request.app.state.deeds
    return await run_in_threadpool(deeds.once, word, deed)


def _keep_line(shop: Shop, tag: str, text: str, by: str) -> str | None:
    line = read_line(text)
    if line.tray is not None:
        write_trays(shop, tag, [line.tray], by=by)
        return None
    if line.finding is not None:
        return looking.add_finding(shop, tag, line.finding, by=by).id
    assert line.measurement is not None
    looking.add_measurement(shop, tag, line.measurement, by=by)
    return None


def _count_hours(shop: Shop, tag: str, deed: str, by: str) -> None:
    if deed == "start":
        counting_hours.start_hours(shop, tag, how="said", by=by)
    else:
        counting_hours.stop_hours(shop, tag, by=by)


def _judge(shop: Shop, tag: str, finding_id: str, deed: str, *, field: str, value: str, other: str, by: str) -> str:
    """Do a deed to a finding; the finding to go to next."""
    if deed in ("accept", "reject"):
        judged = looking.confirm_finding if deed == "accept" else looking.reject_finding
        judged(shop, tag, finding_id, by=by)
        return confirming.next_waiting(clock_page(shop, tag), finding_id) or finding_id
    if deed == "pick":
        return confirming.pick(shop, tag, finding_id, field=field, value=value, by=by).id
    if deed == "merge":
        return confirming.merge_findings(shop, tag, finding_id, other, by=by).id
    if deed == "split":
        return confirming.split_finding(shop, tag, finding_id, by=by).id
    raise NotFound(
        "deed",
        deed,
        "accept, reject, pick, merge, split",
        "deed: a finding is accepted, rejected, picked, merged or split.",
    )


def _by(request: Request) -> str:
    return shop_of(request).settings.repairer


def _to(tag: str, finding_id: str | None) -> Response:
    return RedirectResponse(f"/clock/{tag}/confirm" + (f"?finding={finding_id}" if finding_id else ""), 303)
