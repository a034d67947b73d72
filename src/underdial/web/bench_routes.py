"""The bench sums: their list, a form and answer for each at an address that holds what was typed, its drawing, and a
size kept with a ticket.
"""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, File, Form, Query, Request, UploadFile
from starlette.concurrency import run_in_threadpool
from starlette.responses import RedirectResponse, Response

from underdial.bench.shop import clock_page
from underdial.bench.sums.filling import MOST_READINGS_COUNT, Answered, Field, Sum, answer_sum, worded
from underdial.bench.sums.forms_of_trains import SUMS, sum_named
from underdial.bench.sums.planning import keep_computed
from underdial.bench.sums.prefilling import prefilled
from underdial.errors import BadInput, NotFound, UnderdialError
from underdial.web.numbers_typed import number_typed
from underdial.web.sheet import sheet, shop_of

router = APIRouter(
    prefix="/bench", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)}
)
MEDIA_TYPES = {".svg": "image/svg+xml", ".dxf": "image/vnd.dxf", ".pdf": "application/pdf"}
FILE_WORDS = {".pdf": "PDF for the bench, true size", ".dxf": "DXF for a machine", ".svg": "SVG"}
Ticket = Annotated[str, Query(max_length=40)]


@router.get("")
def list_sums(request: Request, ticket: Ticket = "") -> Response:
    """The bench sums in the order of the job."""
    return sheet(request, "bench.html", sums=SUMS.values(), ticket=ticket.strip())


@router.get("/{name}")
async def one_sum(
    request: Request,
    name: str,
    ticket: Ticket = "",
    kept: Annotated[str, Query(max_length=120)] = "",
    begun: Annotated[bool, Query()] = False,
) -> Response:
    """One sum: its form, and the answer once something was typed.

    `begun`: what stands in the address is not all that is wanted yet.
    """
    one = sum_named(name)
    typed = _typed(one, request)
    answered: Answered | None = None
    wrong, wrong_field = "", ""
    asked = any(field.name in request.query_params for field in one.fields)
    if asked and not begun:
        try:
            answered = await run_in_threadpool(answer_sum, one, typed)
        except UnderdialError as refused:
            wrong_field, wrong = worded(one, refused)
    lines = await run_in_threadpool(_planned_lines, request, ticket.strip()) if ticket.strip() and answered else []
    taken = await run_in_threadpool(_from_record, request, ticket.strip(), one) if ticket.strip() and not typed else {}
    labels = {field.name: field.label for field in one.fields}
    return sheet(
        request,
        "bench_sum.html",
        422 if wrong else 200,
        sum=one,
        typed=typed or taken,
        taken=[labels[name] for name in taken],
        answered=answered,
        wrong=wrong,
        wrong_field=wrong_field,
        ticket=ticket.strip(),
        kept_words=kept,
        lines=lines,
        begun=begun,
        groups=_groups(one, typed or taken, wrong_field),
        query=urlencode(typed),
        example=urlencode({**one.example, **({"ticket": ticket} if ticket else {})}),
        file_words=FILE_WORDS,
    )


@router.get("/{name}/drawing.{ending}")
async def drawing(request: Request, name: str, ending: str) -> Response:
    """The drawing of what the address holds, as a file."""
    one = sum_named(name)
    try:
        answered = await run_in_threadpool(answer_sum, one, _typed(one, request))
    except UnderdialError as refused:
        raise type(refused)(refused.field, refused.value, refused.allowed, worded(one, refused)[1]) from None
    if f".{ending}" not in answered.files:
        raise NotFound(
            "drawing",
            ending,
            ", ".join(answered.files) or "no drawing",
            "drawing: there is no such drawing of this sum.",
        )
    content = await run_in_threadpool(answered.files[f".{ending}"], shop_of(request).settings.sheet)
    return Response(
        content,
        media_type=MEDIA_TYPES[f".{ending}"],
        headers={"Content-Disposition": f'attachment; filename="underdial-{name}.{ending}"'},
    )


@router.post("/{name}/readings")
async def take_readings(request: Request, name: str, upload: Annotated[UploadFile, File()]) -> Response:
    """Put a file of readings into the form; all else that was typed stays."""
    one = sum_named(name)
    field = next((each for each in one.fields if each.kind == "readings"), None)
    if field is None:
        raise NotFound("readings", name, "a sum that takes readings", "readings: this sum takes no table of readings.")
    content = await upload.read(4 * MOST_READINGS_COUNT + 1)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(
            "file",
            upload.filename or "file",
            "a text file in UTF-8",
            "file: this is no text in UTF-8; save the table as CSV and take it in again.",
        ) from None
    if len(text) > MOST_READINGS_COUNT:
        raise BadInput(
            "file",
            upload.filename or "file",
            f"up to {MOST_READINGS_COUNT} letters",
            f"file: this table is longer than {MOST_READINGS_COUNT} letters; use the command {name} for it.",
        )
    form = await request.form()
    names = {each.name for each in one.fields} | {"ticket"}
    others = {key: value for key, value in form.items() if key in names and isinstance(value, str) and value.strip()}
    return RedirectResponse(f"/bench/{name}?{urlencode({**others, field.name: text})}", 303)


@router.post("/{name}/keep")
async def keep(
    request: Request,
    name: str,
    ticket: Annotated[str, Form(max_length=40)],
    size: Annotated[str, Form(max_length=120)],
    typed: Annotated[str, Form(max_length=4 * MOST_READINGS_COUNT)],
    line: Annotated[str, Form(max_length=80)] = "",
    of: Annotated[str, Form(max_length=80)] = "",
    allowed_off: Annotated[str, Form(max_length=40)] = "",
    how: Annotated[str, Form(max_length=20)] = "plan",
) -> Response:
    """Keep one computed figure with a clock, as a size to make or as a reading."""
    from urllib.parse import parse_qsl

    one, shop = sum_named(name), shop_of(request)
    given = dict(parse_qsl(typed))
    words = await run_in_threadpool(
        keep_computed,
        shop,
        ticket.strip(),
        one,
        given,
        size,
        line=line or None,
        of=of,
        allowed_off=number_typed("allowed off", allowed_off),
        as_reading=how == "reading",
        by=shop.settings.repairer,
    )
    return RedirectResponse(f"/bench/{name}?{urlencode({**given, 'ticket': ticket.strip(), 'kept': words})}", 303)


def _typed(one: Sum, request: Request) -> dict[str, str]:
    """What the address holds of the sum's own fields."""
    names = {field.name for field in one.fields}
    return {key: value for key, value in request.query_params.items() if key in names and value.strip()}


def _groups(one: Sum, typed: dict[str, str], wrong_field: str) -> list[tuple[str, list[Field], bool]]:
    """The fields under their headings; whether one is open, because something stands in it."""
    titles = list(dict.fromkeys(field.group for field in one.fields))
    return [
        (
            title,
            fields := [field for field in one.fields if field.group == title],
            any(field.name in typed or field.name == wrong_field for field in fields),
        )
        for title in titles
    ]


def _planned_lines(request: Request, ticket: str) -> list[tuple[str, str]]:
    """The works of a clock's standing choices, to tie a size to; none when there is no such clock."""
    try:
        page = clock_page(shop_of(request), ticket)
    except NotFound:
        return []
    found = {
        work.line: f"{work.component}{' of ' + work.of if work.of else ''}: {work.words or work.work}".replace("_", " ")
        for choice in page.choices
        if not choice.withdrawn
        for work in choice.works
    }
    return list(found.items())


def _from_record(request: Request, ticket: str, one: Sum) -> dict[str, str]:
    """What the record of a clock answers of a sum's fields; nothing when there is no such clock."""
    try:
        return prefilled(clock_page(shop_of(request), ticket), one)
    except NotFound:
        return {}
