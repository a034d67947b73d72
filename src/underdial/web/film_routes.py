"""A look-over handed in: captions at once; sound and film laid down as they come and heard beside the pages, with
progress and *Stop*.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, File, Form, Query, Request, UploadFile
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect
from starlette.responses import JSONResponse, RedirectResponse, Response

from underdial.bench.as_found.filming import MEDIA_TYPES
from underdial.bench.as_found.hearing import hear_captions, hear_words
from underdial.bench.as_found.taking_in import Films, Taking
from underdial.bench.as_found.told_recorder import write_trays
from underdial.bench.shop import clock_page
from underdial.errors import BadInput
from underdial.web.sheet import MOST_WARNED, clock_sheet, shop_of

router = APIRouter(
    prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)}
)
MOST_CAPTIONS_BYTES = 8_000_000
# Some thirty thousand words: four hours of talk.
MOST_LETTERS = 200_000
_PIECE_BYTES = 1 << 20


@router.post("/{tag}/as-found")
async def hand_in(
    request: Request,
    tag: str,
    file: Annotated[UploadFile, File()],
    captions: Annotated[UploadFile | None, File()] = None,
) -> Response:
    """Take in a look-over: captions, or sound or film, with captions that another recogniser made when there are
    some.
    """
    name, films = file.filename or "captions", _films(request)
    if Path(name).suffix.lower() not in MEDIA_TYPES:
        content = await _captions(file)
        taken = await run_in_threadpool(
            hear_captions, shop_of(request), tag, content, file_name=name, by=shop_of(request).settings.repairer
        )
        return _to_findings(tag, taken.warnings)
    text = await _captions(captions) if captions is not None and captions.filename else None
    path = await run_in_threadpool(lambda: films.place(tag, name, has_captions=text is not None, size_bytes=file.size))
    with path.open("wb") as out:
        while piece := await file.read(_PIECE_BYTES):
            out.write(piece)
    word = await run_in_threadpool(lambda: films.begin(tag, path, name=name, captions_text=text))
    return RedirectResponse(f"/clock/{tag}/film/{word}", 303)


@router.post("/{tag}/as-found/words")
async def take_words(request: Request, tag: str, words: Annotated[str, Form()] = "") -> Response:
    """Take in a look-over that was typed or pasted, and go on to reading it through."""
    shop = shop_of(request)
    if len(words) > MOST_LETTERS:
        raise BadInput(
            "words",
            f"{len(words)} letters",
            f"up to {MOST_LETTERS} letters",
            f"words: these are {len(words)} letters; hand in up to {MOST_LETTERS} at a time.",
        )
    taken = await run_in_threadpool(hear_words, shop, tag, words, by=shop.settings.repairer)
    if taken.warnings or not taken.findings:
        return _to_findings(tag, taken.warnings)
    return RedirectResponse(f"/clock/{tag}/confirm", 303)


@router.post("/{tag}/as-found/trays")
def take_trays(
    request: Request,
    tag: str,
    tray: Annotated[list[str], Form(max_length=100)],
    what: Annotated[list[str], Form(max_length=100)],
) -> Response:
    """Write what lies in which tray, as it was said and put right."""
    shop = shop_of(request)
    write_trays(shop, tag, zip(tray, what, strict=False), by=shop.settings.repairer)
    return RedirectResponse(f"/clock/{tag}/as-found#trays", 303)


@router.post("/{tag}/film")
async def lay_down(request: Request, tag: str, name: Annotated[str, Query(max_length=200)]) -> Response:
    """Take in sound or film as the body, laid down as it comes; where its page is."""
    films = _films(request)
    told = request.headers.get("content-length", "")
    path = await run_in_threadpool(
        lambda: films.place(tag, name, has_captions=False, size_bytes=int(told) if told.isdigit() else None)
    )
    try:
        with path.open("wb") as out:
            async for piece in request.stream():
                out.write(piece)
    except ClientDisconnect:
        films.drop(path)
        raise BadInput("file", name, "a whole file", f"file: {name} came only in part; hand it in again.") from None
    word = await run_in_threadpool(lambda: films.begin(tag, path, name=name))
    return JSONResponse({"to": f"/clock/{tag}/film/{word}"})


@router.get("/{tag}/film/{word}")
async def film_page(request: Request, tag: str, word: str) -> Response:
    """How far a recording is, or what came of it."""
    taking = await run_in_threadpool(_films(request).find, tag, word)
    page = await run_in_threadpool(clock_page, shop_of(request), tag)
    return clock_sheet(request, "film.html", page, "as-found", taking=taking, word=word, said=_said(taking))


@router.post("/{tag}/film/{word}/stop")
def stop(request: Request, tag: str, word: str) -> Response:
    """Stop taking a recording in."""
    _films(request).stop(tag, word)
    return RedirectResponse(f"/clock/{tag}/film/{word}", 303)


def _to_findings(tag: str, warnings: tuple[str, ...]) -> Response:
    warned = f"?{urlencode({'warned': ' '.join(warnings)[:MOST_WARNED]})}" if warnings else ""
    return RedirectResponse(f"/clock/{tag}/findings{warned}", 303)


def _films(request: Request) -> Films:
    found = request.app.state.films
    assert isinstance(found, Films)
    return found


def _said(taking: Taking) -> dict[str, Any]:
    """What is done and left, in words."""
    heard = (
        f"Heard {taking.at_words} of {taking.lasts_words}."
        if taking.lasts_s
        else "Hearing it; how long it lasts it does not say."
    )
    words = {
        "waits": "Another recording is being heard; this one waits.",
        "heard": heard,
        "stills": f"All is heard. Stills: {round(100 * taking.done_ratio)} of 100 parts are done.",
    }
    return {"now": words[taking.doing], "ratio": taking.done_ratio}


async def _captions(file: UploadFile) -> bytes:
    content = await file.read(MOST_CAPTIONS_BYTES + 1)
    if len(content) > MOST_CAPTIONS_BYTES:
        raise BadInput(
            "file",
            file.filename or "file",
            "captions of up to 8 MB",
            f"file: {file.filename or 'this'} is larger than captions can be, and its ending is none of sound or film.",
        )
    return content
