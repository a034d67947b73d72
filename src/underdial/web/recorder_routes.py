"""The shop's recorders and their clocks: what is kept, a comparison from a recording, a value that is known already."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, File, Request, UploadFile
from starlette.concurrency import run_in_threadpool
from starlette.responses import RedirectResponse, Response

from underdial.bench.by_ear.recorders import (
    QUARTZ_PPM,
    compare_with_upload,
    recorder_as_told,
    recorders,
    recorders_answer,
)
from underdial.errors import BadInput
from underdial.web.listen_routes import Short
from underdial.web.numbers_typed import number_typed
from underdial.web.sheet import sheet, shop_of

router = APIRouter(
    prefix="/recorders",
    responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)},
)


@router.get("")
async def recorders_page(request: Request) -> Response:
    """Every comparison that is kept, and the two ways to add one."""
    return sheet(
        request,
        "recorders.html",
        rows=(await run_in_threadpool(_answer, request))["recorders"],
        quartz_ppm=QUARTZ_PPM[1],
    )


@router.post("/reference")
async def compare(
    request: Request,
    file: Annotated[UploadFile, File()],
    device: Short = "",
    beats: Short = "3600",
    fast: Short = "",
    fast_u: Short = "",
    warmth: Short = "",
    words: Short = "",
) -> Response:
    """Compare a recorder with a reference that ticks in a recording."""
    reference = (number_typed("fast", fast, -1000.0, 1000.0) or 0.0, number_typed("give or take", fast_u, 0.0, 1000.0))
    shop = shop_of(request)
    await run_in_threadpool(
        lambda: compare_with_upload(
            shop,
            file.file,
            name=file.filename or "recording",
            device=_device(device),
            beats_per_hour=number_typed("ticks an hour", beats, 1200.0, 72000.0) or 3600.0,
            reference_ppm=(reference[0], QUARTZ_PPM[1] if reference[1] is None else reference[1]),
            words=words.strip() or None,
            temperature_deg_c=number_typed("warmth of the room", warmth, -20.0, 50.0, unit="degC"),
            by=shop.settings.repairer,
        )
    )
    return RedirectResponse("/recorders", 303)


@router.post("/told")
async def write_down(
    request: Request,
    device: Short = "",
    ppm: Short = "",
    ppm_u: Short = "",
    sampling: Short = "",
    warmth: Short = "",
    words: Short = "",
) -> Response:
    """Write down how fast a recorder runs, where it is known already."""
    fast, u = number_typed("parts in a million", ppm, -1000.0, 1000.0), number_typed("give or take", ppm_u, 0.0, 1000.0)
    hz = number_typed("sampling", sampling, 8000.0, 192000.0)
    if fast is None or hz is None:
        raise BadInput(
            "ppm",
            ppm or "nothing",
            "parts in a million and samples a second",
            "parts in a million: write how fast it runs, and at which sampling.",
        )
    shop = shop_of(request)
    await run_in_threadpool(
        lambda: recorder_as_told(
            shop,
            device=_device(device),
            sample_hz=round(hz),
            ppm=(fast, u or 0.0),
            words=words.strip() or None,
            temperature_deg_c=number_typed("warmth of the room", warmth, -20.0, 50.0, unit="degC"),
            by=shop.settings.repairer,
        )
    )
    return RedirectResponse("/recorders", 303)


def _answer(request: Request) -> dict[str, Any]:
    shop = shop_of(request)
    return recorders_answer(shop, recorders(shop))


def _device(typed: str) -> str:
    if not typed.strip():
        raise BadInput(
            "recorder", "nothing", "the recorder's name", "recorder: name it, as you will when you listen with it."
        )
    return typed.strip()
