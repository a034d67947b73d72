"""The twelve pages of a clock, for reading."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import RedirectResponse, Response

from underdial.bench.causes.answering import known_answer, left_answer, work_out
from underdial.bench.clock.drawing import train_svg
from underdial.bench.clock.kept_files import kept_file
from underdial.bench.counter.warning import bench_cautions
from underdial.bench.shop import clock_page
from underdial.bench.shown import pages
from underdial.bench.shown.writing import paper
from underdial.errors import NotFound
from underdial.web.section_views import answer_view, plans_view, section_view
from underdial.web.sheet import MOST_WARNED, SECTIONS, clock_sheet, sheet, shop_of

router = APIRouter(
    prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)}
)
_STEPS = {
    "received": ("step:received at the counter", "step:clock moved", "step:case moved"),
    "as-found": ("step:case opened",),
    "movement": ("step:case opened", "step:before the plates are parted"),
    "work": ("step:before the plates are parted",),
    "test": ("step:weight on or off",),
}


@router.get("/{tag}")
def open_clock(request: Request, tag: str) -> Response:
    """The page where the job stands."""
    visit = clock_page(shop_of(request), tag).visit
    stage = visit.stage
    section = (
        "received"
        if visit.received_in_error is not None
        else {
            "received": "as-found",
            "as_found": "wrong",
            "waiting_for_owner": "choices",
            "agreed": "agreed",
            "at_the_bench": "work",
            "waiting_for_parts": "work",
            "on_test": "test",
            "ready": "papers",
            "gone": "papers",
        }[stage]
    )
    return RedirectResponse(f"/clock/{tag}/{section}", 303)


@router.get("/{tag}/wrong/answer")
async def answer_fragment(request: Request, tag: str) -> Response:
    """Causes and next tests, worked out when they are asked for; a fragment of the page What is wrong."""
    shop = shop_of(request)
    answer = await run_in_threadpool(work_out, shop, tag)
    page = await run_in_threadpool(clock_page, shop, tag)
    return sheet(request, "wrong_answer.html", clock=page.clock, **answer_view(page, answer))


@router.get("/{tag}/test/plans")
async def plans_fragment(request: Request, tag: str) -> Response:
    """The tests to lay down, once it is worked out what the sizes left make of the clock.

    A fragment of the page On test.
    """
    shop = shop_of(request)
    page = await run_in_threadpool(clock_page, shop, tag)
    answer = await run_in_threadpool(left_answer, shop, page)
    return sheet(request, "test_plans.html", clock=page.clock, **plans_view(page, answer))


@router.get("/{tag}/findings/so-far")
async def so_far(request: Request, tag: str) -> Response:
    """What the findings mean so far, roughly; a fragment of the page Findings."""
    answer = await run_in_threadpool(request.app.state.speaking.so_far, shop_of(request), tag)
    return sheet(
        request,
        "so_far.html",
        causes=pages.causes_shown(answer)[:3],
        question=pages.question_of(answer),
        runs=pages.runs_words(answer),
        tag=tag,
    )


@router.get("/{tag}/train.svg")
def train_drawing(request: Request, tag: str) -> Response:
    """The developed train alone, in print colours."""
    shop = shop_of(request)
    page = clock_page(shop, tag)
    drawn = train_svg(page, known_answer(shop, page), printed=True)
    if drawn is None:
        raise NotFound(
            "train",
            tag,
            "a clock whose kind of movement is said",
            "train: what kind of movement this clock has is not said yet, so there is no train to draw.",
        )
    return Response(drawn[0], media_type="image/svg+xml")


@router.get("/{tag}/papers/{kind}.pdf")
async def paper_file(
    request: Request,
    tag: str,
    kind: str,
    visit: Annotated[str, Query(max_length=80)] = "",
    number: Annotated[int | None, Query(ge=1)] = None,
) -> Response:
    """One paper as PDF, of this visit or of an earlier one; an invoice or credit note by its number."""
    pdf = await run_in_threadpool(paper, shop_of(request), tag, kind, visit_id=visit or None, number=number)
    return Response(
        pdf, media_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{tag}-{kind}.pdf"'}
    )


@router.get("/{tag}/file/{attachment_id}")
def attachment(request: Request, tag: str, attachment_id: str) -> Response:
    """A file kept with the clock."""
    found, content = kept_file(shop_of(request), tag, attachment_id)
    return Response(content, media_type=found.media_type)


@router.get("/{tag}/release")
def release_page(request: Request, tag: str) -> Response:
    """What is still open before a clock is given out, and the second touch; back to Papers where it cannot go."""
    shop = shop_of(request)
    page = clock_page(shop, tag)
    view = section_view("papers", shop, page, None)
    if page.visit.stage == "gone" or view["in_the_way"] or not view["may_collect"]:
        return RedirectResponse(f"/clock/{tag}/papers", 303)
    return clock_sheet(request, "release.html", page, "papers", **view)


@router.get("/{tag}/{section}")
def section_page(
    request: Request, tag: str, section: str, warned: Annotated[str, Query(max_length=MOST_WARNED)] = ""
) -> Response:
    """One of the twelve pages."""
    if section not in SECTIONS:
        raise NotFound("page", section, ", ".join(SECTIONS), "page: a clock has no such page; take one from the rail.")
    shop = shop_of(request)
    page = clock_page(shop, tag)
    answer = known_answer(shop, page)
    cautions = bench_cautions(page, steps=_STEPS[section]) if section in _STEPS else ()
    view: dict[str, Any] = {"cautions": cautions, "family_title": pages.family_title(page.clock.family)}
    view |= section_view(section, shop, page, answer)
    if section in ("findings", "as-found"):
        view["warned"] = warned
    view["onward"] = dict(zip(SECTIONS, list(SECTIONS.items())[1:], strict=False)).get(section)
    if section == "as-found":
        view["running"] = request.app.state.films.running(tag)
    return clock_sheet(request, f"{section.replace('-', '_')}.html", page, section, **{"answer": answer, **view})
