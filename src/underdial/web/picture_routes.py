"""Pictures of a clock: taken in from the tablet, shown upright with their marks, marked, given a scale, set side by
side.
"""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, File, Form, Query, Request, UploadFile
from starlette.concurrency import run_in_threadpool
from starlette.responses import RedirectResponse, Response

from underdial.bench.as_found import picturing
from underdial.bench.shop import clock_page
from underdial.errors import BadInput, NotFound
from underdial.record.picture import PictureMark, PictureScale
from underdial.web.numbers_typed import number_typed
from underdial.web.sheet import clock_sheet, shop_of

router = APIRouter(
    prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)}
)
Short = Annotated[str, Form(max_length=200)]
Part = Annotated[float | None, Form(ge=0.0, le=1.0)]


@router.post("/{tag}/pictures")
async def take_in(
    request: Request, tag: str, files: Annotated[list[UploadFile], File()], after_of: Short = ""
) -> Response:
    """Keep pictures from the tablet; each is laid to the finding of its time."""
    shop = shop_of(request)
    pairs = [(one.filename or "picture", await one.read(picturing.MOST_PICTURE_BYTES + 1)) for one in files]
    kept = await run_in_threadpool(
        lambda: picturing.take_in_pictures(shop, tag, pairs, after_of=after_of or None, by=_by(request))
    )
    if len(kept.kept) == 1 and not kept.refused:
        return RedirectResponse(f"/clock/{tag}/picture/{kept.kept[0].id}", 303)
    page = await run_in_threadpool(clock_page, shop, tag)
    return clock_sheet(request, "pictures_kept.html", page, "as-found", taken=kept)


@router.post("/{tag}/pictures/began")
async def say_when_begun(
    request: Request, tag: str, began: Annotated[str, Form(max_length=40)], look_over: Short = ""
) -> Response:
    """Say when the recording of a look-over began, so that pictures find their findings."""
    shop = shop_of(request)
    try:
        moment = datetime.fromisoformat(began.strip())
    except ValueError:
        raise BadInput(
            "began",
            began.strip() or "nothing",
            "a day and a time, such as 2026-05-03 10:05",
            "began: write the day and the time, such as 2026-05-03 10:05.",
        ) from None
    if moment.utcoffset() is None:
        moment = moment.replace(tzinfo=ZoneInfo(shop.settings.zone))
    await run_in_threadpool(
        lambda: picturing.say_when_begun(shop, tag, moment, look_over_id=look_over or None, by=_by(request))
    )
    return RedirectResponse(f"/clock/{tag}/as-found#pictures", 303)


@router.post("/{tag}/pictures/how")
async def say_how(
    request: Request,
    tag: str,
    light: Short = "",
    method: Short = "",
    occasion: Short = "",
    opened: Short = "",
    look_over: Short = "",
    version: Annotated[int | None, Form(ge=1)] = None,
) -> Response:
    """Say what a look-over is called, what was open, by what light and how it was done, for the condition record."""
    await run_in_threadpool(
        lambda: picturing.say_how(
            shop_of(request),
            tag,
            light=light,
            method=method,
            occasion=occasion,
            opened=opened,
            look_over_id=look_over or None,
            version_count=version,
            by=_by(request),
        )
    )
    return RedirectResponse(f"/clock/{tag}/as-found#looks", 303)


@router.get("/{tag}/picture/{picture_id}")
async def picture_page(request: Request, tag: str, picture_id: str) -> Response:
    """One picture, with what is drawn on it and what can be drawn."""
    shop = shop_of(request)
    page = await run_in_threadpool(clock_page, shop, tag)
    shown = await run_in_threadpool(picturing.shown_picture, shop, page, picture_id)
    pair = await run_in_threadpool(picturing.shown_picture, shop, page, shown.before.id) if shown.before else None
    later = [await run_in_threadpool(picturing.shown_picture, shop, page, one.id) for one in shown.after]
    others = [one for one in picturing.pictures_of(page) if one.id != picture_id and one.after_of is None]
    return clock_sheet(
        request,
        "picture.html",
        page,
        "as-found",
        shown=shown,
        pair=pair,
        later=later,
        others=others,
        others_words={one.id: picturing.shown_words(page, one) for one in others},
        findings=picturing.findings_to_pick(page),
    )


@router.get("/{tag}/picture/{picture_id}/upright.jpg")
async def upright(
    request: Request, tag: str, picture_id: str, px: Annotated[int, Query(ge=64, le=4000)] = picturing.SHOWN_PX
) -> Response:
    """The picture upright, as JPEG; what was kept stays as it is."""
    content = await run_in_threadpool(lambda: picturing.upright(shop_of(request), tag, picture_id, most_px=px))
    return Response(content, media_type="image/jpeg")


@router.post("/{tag}/picture/{picture_id}/mark")
async def mark(
    request: Request,
    tag: str,
    picture_id: str,
    kind: Annotated[str, Form(max_length=20)],
    x: Annotated[float, Form(ge=0.0, le=1.0)],
    y: Annotated[float, Form(ge=0.0, le=1.0)],
    from_x: Part = None,
    from_y: Part = None,
    radius: Part = None,
    number: Annotated[int | None, Form(ge=1, le=99)] = None,
) -> Response:
    """Draw an arrow, a ring or a numeral."""
    one = PictureMark(
        kind=kind,
        x_ratio=x,
        y_ratio=y,
        from_x_ratio=from_x,
        from_y_ratio=from_y,
        radius_ratio=radius,
        number_count=number,
    )
    await run_in_threadpool(lambda: picturing.draw_mark(shop_of(request), tag, picture_id, one, by=_by(request)))
    return _to(tag, picture_id)


@router.post("/{tag}/picture/{picture_id}/scale")
async def scale(
    request: Request,
    tag: str,
    picture_id: str,
    x1: Annotated[float, Form(ge=0.0, le=1.0)],
    y1: Annotated[float, Form(ge=0.0, le=1.0)],
    x2: Annotated[float, Form(ge=0.0, le=1.0)],
    y2: Annotated[float, Form(ge=0.0, le=1.0)],
    length_mm: Short,
    what: Short = "",
) -> Response:
    """Say how far two points of a picture are apart on the clock."""
    length_mm_typed = number_typed("length", length_mm, unit="mm")
    if length_mm_typed is None:
        raise BadInput(
            "length",
            "nothing",
            "millimetres",
            "length: nothing is written there; write how many millimetres it is on the clock.",
        )
    one = PictureScale(
        x1_ratio=x1,
        y1_ratio=y1,
        x2_ratio=x2,
        y2_ratio=y2,
        length_m=length_mm_typed / 1000.0,
        what=what.strip() or "a length in the picture",
    )
    await run_in_threadpool(lambda: picturing.set_scale(shop_of(request), tag, picture_id, one, by=_by(request)))
    return _to(tag, picture_id)


@router.post("/{tag}/picture/{picture_id}/{deed}")
async def change(request: Request, tag: str, picture_id: str, deed: str, other: Short = "") -> Response:
    """Take the newest mark or the scale away, lay the picture to a finding or take it off, set it beside another or
    part them.
    """
    shop, by = shop_of(request), _by(request)
    deeds: dict[str, Any] = {
        "unmark": lambda: picturing.take_mark_away(shop, tag, picture_id, by=by),
        "unscale": lambda: picturing.set_scale(shop, tag, picture_id, None, by=by),
        "lay": lambda: picturing.lay_to_finding(shop, tag, picture_id, other, by=by),
        "off": lambda: picturing.take_from_finding(shop, tag, picture_id, other, by=by),
        "call": lambda: picturing.call_it(shop, tag, picture_id, other, by=by),
        "beside": lambda: picturing.set_beside(shop, tag, picture_id, other or None, by=by),
        "set-aside": lambda: picturing.set_aside(shop, tag, picture_id, by=by),
        "use": lambda: picturing.use_after_all(shop, tag, picture_id, by=by),
    }
    if deed not in deeds:
        raise NotFound(
            "deed",
            deed,
            ", ".join(deeds),
            "deed: a picture is marked, given a scale, laid to a finding, set beside another or taken out of use.",
        )
    await run_in_threadpool(deeds[deed])
    return _to(tag, picture_id)


def _by(request: Request) -> str:
    return shop_of(request).settings.repairer


def _to(tag: str, picture_id: str) -> Response:
    return RedirectResponse(f"/clock/{tag}/picture/{picture_id}", 303)
