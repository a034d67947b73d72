"""Listening to a clock: a file or the browser's microphone, the answer with its errors, and its readings kept."""

from __future__ import annotations

from dataclasses import asdict
from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, File, Form, Query, Request, UploadFile
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, RedirectResponse, Response

from underdial.bench.by_ear.heard_words import heard_shown, lost_words, loud_shown, meanwhile
from underdial.bench.by_ear.keeping_heard import keep_heard
from underdial.bench.by_ear.listening import expect
from underdial.bench.by_ear.microphone import LOUD_SPAN_S, Listener, Told, expected_of
from underdial.bench.by_ear.recorders import recorders
from underdial.bench.clock.drawing import movement_of
from underdial.bench.clock.naming import place_named
from underdial.bench.shop import ClockPage, clock_page
from underdial.errors import BadInput
from underdial.web.numbers_typed import number_typed
from underdial.web.sheet import clock_sheet, shop_of

router = APIRouter(
    prefix="/clock/{tag}/listen",
    responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)},
)
MOST_BLOCK_BYTES = 8_000_000
Short = Annotated[str, Form(max_length=80)]


@router.get("")
async def listen_page(request: Request, tag: str) -> Response:
    """The page that listens."""
    page = await run_in_threadpool(clock_page, shop_of(request), tag)
    known = await run_in_threadpool(recorders, shop_of(request))
    return clock_sheet(
        request,
        "listen.html",
        page,
        "measurements",
        devices=list(dict.fromkeys(one.device for one in known)),
        **_known(page),
    )


@router.post("")
async def hear_upload(
    request: Request,
    tag: str,
    file: Annotated[UploadFile, File()],
    beats: Short = "",
    lift: Short = "",
    lift_u: Short = "",
    position: Short = "",
    since: Short = "",
    recorder: Short = "",
    warmth: Short = "",
) -> Response:
    """Listen to a recording from a file."""
    told = _told(beats, lift, lift_u, position, since, recorder, warmth)
    word = await run_in_threadpool(
        _listener(request).hear_file, shop_of(request), tag, told, file.file, name=file.filename or "recording"
    )
    return RedirectResponse(f"/clock/{tag}/listen/heard/{word}", 303)


@router.get("/heard/{word}")
async def heard_page(request: Request, tag: str, word: str) -> Response:
    """One answer, with its recording held until it is kept."""
    page = await run_in_threadpool(clock_page, shop_of(request), tag)
    held = _listener(request).find(page.clock.tag, word)
    shown = await run_in_threadpool(partial(heard_shown, held.listened, live=held.live))
    tests = [one for one in page.proofs if one.began_at is not None and one.ended_at is None]
    return clock_sheet(request, "heard.html", page, "measurements", shown=shown, held=held, word=word, tests=tests)


@router.post("/heard/{word}/keep")
async def keep(request: Request, tag: str, word: str, test: Short = "") -> Response:
    """Put the readings and the recording into the record, as results of a test where one is named."""
    await run_in_threadpool(
        partial(
            keep_heard,
            shop_of(request),
            _listener(request),
            tag,
            word,
            proof_id=test or None,
            by=shop_of(request).settings.repairer,
        )
    )
    return RedirectResponse(f"/clock/{tag}/{'test' if test else 'measurements'}", 303)


@router.post("/live")
async def begin(
    request: Request,
    tag: str,
    sample_hz: Annotated[int, Form(ge=1, le=1_000_000)],
    beats: Short = "",
    lift: Short = "",
    lift_u: Short = "",
    position: Short = "",
    since: Short = "",
    recorder: Short = "",
    device: Annotated[str, Form(max_length=200)] = "",
    warmth: Short = "",
) -> Response:
    """Begin to hear a clock by the browser's microphone, which goes by the name that is written or by its own."""
    told = _told(beats, lift, lift_u, position, since, recorder.strip() or device[:80], warmth)
    word = await run_in_threadpool(_listener(request).begin, shop_of(request), tag, told, sample_hz=sample_hz)
    return JSONResponse({"live": word})


@router.post("/live/{word}")
async def take(request: Request, tag: str, word: str, first: Annotated[int, Query(ge=0)]) -> Response:
    """Take the next samples (16 bits, least byte first, one channel); `first` counts the frames before them."""
    block = bytearray()
    async for part in request.stream():
        block += part
        if len(block) > MOST_BLOCK_BYTES:
            raise BadInput(
                "block",
                f"over {MOST_BLOCK_BYTES} bytes",
                f"up to {MOST_BLOCK_BYTES} bytes",
                "block: too much sound at once.",
            )
    told = await run_in_threadpool(
        _listener(request).take, shop_of(request), tag, word, bytes(block), first_frame=first
    )
    loud = await run_in_threadpool(loud_shown, told["loud"], min(LOUD_SPAN_S, told["heard_s"]))
    answer: dict[str, Any] = {
        "heard_s": told["heard_s"],
        "loud": loud,
        "lost": lost_words(told["lost_s"]),
        "shown": None,
    }
    if told["listened"] is not None:
        answer["shown"] = asdict(await run_in_threadpool(meanwhile, told["listened"]))
    return JSONResponse(answer)


@router.post("/live/{word}/stop")
async def stop(
    request: Request, tag: str, word: str, wanted: Annotated[str, Form(pattern="^(keep|drop)$")] = "keep"
) -> Response:
    """End the recording: keep its readings when it was accepted, or keep nothing."""
    listener, shop = _listener(request), shop_of(request)
    if wanted == "drop":
        await run_in_threadpool(listener.drop, tag, word)
        return JSONResponse({"to": f"/clock/{tag}/listen"})
    held = await run_in_threadpool(listener.stop, tag, word)
    if listener.find(tag, held).listened.heard.refusal is None:
        await run_in_threadpool(keep_heard, shop, listener, tag, held, by=shop.settings.repairer)
    return JSONResponse({"to": f"/clock/{tag}/listen/heard/{held}"})


def _listener(request: Request) -> Listener:
    found = request.app.state.listener
    assert isinstance(found, Listener)
    return found


def _known(page: ClockPage) -> dict[str, Any]:
    """What the page may say of this clock before it listens."""
    expected, _, _ = expect(**expected_of(page, Told()))
    movement = movement_of(page)
    return {
        "count": expected.beats_per_hour.value if expected.beats_per_hour else None,
        "kind_count": movement.oscillator.beats_per_hour if movement else None,
        "from_train": expected.nominal_from == "train",
        "oscillator": movement.oscillator.kind if movement else None,
    }


def _told(beats: str, lift: str, lift_u: str, position: str, since: str, recorder: str, warmth: str) -> Told:
    return Told(
        beats_per_hour=number_typed("beats an hour", beats, 1.0, 72000.0),
        lift_deg=number_typed("lift", lift, 5.0, 120.0, unit="deg"),
        lift_u_deg=number_typed("give or take", lift_u, 0.0, 60.0, unit="deg"),
        position=place_named(position),
        since_winding_h=number_typed("hours since winding", since, 0.0, 20000.0, unit="h"),
        recorder=recorder.strip() or None,
        temperature_deg_c=number_typed("warmth of the room", warmth, -20.0, 50.0, unit="degC"),
    )
