"""The twelve pages of a clock, for reading."""

from __future__ import annotations

from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import RedirectResponse, Response

from underdial.bench import pages, whereabouts
from underdial.bench.answering import known_answer, left_answer, work_out
from underdial.bench.composing import MAKES
from underdial.bench.dictating import free_talk_heard_here
from underdial.bench.drawing import train_headline, train_svg
from underdial.bench.figures import with_error
from underdial.bench.filming import MEDIA_TYPES
from underdial.bench.foreseeing import beside_plan, beside_prediction, lay_out_tests
from underdial.bench.forms_of_trains import SUMS
from underdial.bench.heard_again import heard_view
from underdial.bench.kept_files import kept_file
from underdial.bench.left_sizes import as_left_of
from underdial.bench.naming import readings_to_pick
from underdial.bench.picturing import album
from underdial.bench.planning import made_sizes, unit_shown
from underdial.bench.shop import ClockPage, clock_page
from underdial.bench.warning import bench_cautions, dangers_shown, dangers_to_tick
from underdial.bench.writing import paper
from underdial.errors import NotFound
from underdial.record.hold import FORBIDDEN, REASONS
from underdial.record.measurement import LENT_PARTS
from underdial.record.people import PARTS
from underdial.web.complaint_form import PICKS, SPANS, answers_shown, seldom_told
from underdial.web.sheet import MOST_WARNED, SECTIONS, clock_sheet, sheet, shop_of

router = APIRouter(prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)})
_PAPER_WORDS = {
    "receipt": "what was taken in", "record": "what was seen, and what was not looked at", "letter": "what is wrong, and the choices", "consent": "who agreed to what",
    "work": "what was done, with sizes", "bench": "the agreed works in order, with sizes", "test": "plan and result", "invoice": "agreed against charged", "care": "living with the clock",
    "service": "for whoever opens it next", "release": "what goes home", "notice": "ready, or why it waits",
}
_STEPS = {"received": ("step:received at the counter", "step:clock moved", "step:case moved"), "as-found": ("step:case opened",), "movement": ("step:case opened", "step:before the plates are parted"),
          "work": ("step:before the plates are parted",), "test": ("step:weight on or off",)}


@router.get("/{tag}")
def open_clock(request: Request, tag: str) -> Response:
    """The page where the job stands."""
    stage = clock_page(shop_of(request), tag).visit.stage
    section = {"received": "as-found", "as_found": "wrong", "waiting_for_owner": "choices", "agreed": "agreed", "at_the_bench": "work", "waiting_for_parts": "work",
               "on_test": "test", "ready": "papers", "gone": "papers"}[stage]
    return RedirectResponse(f"/clock/{tag}/{section}", 303)


@router.get("/{tag}/wrong/answer")
async def answer_fragment(request: Request, tag: str) -> Response:
    """Causes and next tests, worked out when they are asked for; a fragment of the page What is wrong."""
    shop = shop_of(request)
    answer = await run_in_threadpool(work_out, shop, tag)
    page = await run_in_threadpool(clock_page, shop, tag)
    return sheet(request, "wrong_answer.html", clock=page.clock, **_answer_view(page, answer))


@router.get("/{tag}/test/plans")
async def plans_fragment(request: Request, tag: str) -> Response:
    """The tests to lay down, once it is worked out what the sizes left make of the clock; a fragment of the page On test."""
    shop = shop_of(request)
    page = await run_in_threadpool(clock_page, shop, tag)
    answer = await run_in_threadpool(left_answer, shop, page)
    return sheet(request, "test_plans.html", clock=page.clock, **_plans_view(page, answer))


@router.get("/{tag}/findings/so-far")
async def so_far(request: Request, tag: str) -> Response:
    """What the findings mean so far, roughly; a fragment of the page Findings."""
    answer = await run_in_threadpool(request.app.state.speaking.so_far, shop_of(request), tag)
    return sheet(request, "so_far.html", causes=pages.causes_shown(answer)[:3], question=pages.question_of(answer), runs=pages.runs_words(answer), tag=tag)


@router.get("/{tag}/train.svg")
def train_drawing(request: Request, tag: str) -> Response:
    """The developed train alone, in print colours."""
    shop = shop_of(request)
    page = clock_page(shop, tag)
    drawn = train_svg(page, known_answer(shop, page), printed=True)
    if drawn is None:
        raise NotFound("train", tag, "a clock whose kind of movement is said", "train: what kind of movement this clock has is not said yet, so there is no train to draw.")
    return Response(drawn[0], media_type="image/svg+xml")


@router.get("/{tag}/papers/{kind}.pdf")
async def paper_file(request: Request, tag: str, kind: str, visit: Annotated[str, Query(max_length=80)] = "") -> Response:
    """One paper as PDF, of this visit or of an earlier one."""
    pdf = await run_in_threadpool(paper, shop_of(request), tag, kind, visit_id=visit or None)
    return Response(pdf, media_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{tag}-{kind}.pdf"'})


@router.get("/{tag}/file/{attachment_id}")
def attachment(request: Request, tag: str, attachment_id: str) -> Response:
    """A file kept with the clock."""
    found, content = kept_file(shop_of(request), tag, attachment_id)
    return Response(content, media_type=found.media_type)


@router.get("/{tag}/{section}")
def section_page(request: Request, tag: str, section: str, warned: Annotated[str, Query(max_length=MOST_WARNED)] = "") -> Response:
    """One of the twelve pages."""
    if section not in SECTIONS:
        raise NotFound("page", section, ", ".join(SECTIONS), "page: a clock has no such page; take one from the rail.")
    shop = shop_of(request)
    page = clock_page(shop, tag)
    answer = known_answer(shop, page)
    cautions = bench_cautions(page, steps=_STEPS[section]) if section in _STEPS else ()
    view: dict[str, Any] = {"cautions": cautions, "family_title": pages.family_title(page.clock.family)}
    if section == "received":
        view |= {"people": pages.people_at(page), "parts": PARTS, "came_with": pages.pickers()["components"], "reasons": REASONS, "forbidden": FORBIDDEN, "dangers": dangers_to_tick(), "danger_words": dangers_shown(page.clock), "moves": whereabouts.MOVES,
                 "things": whereabouts.things_shown(shop, page), "things_said": whereabouts.things_said(page), "earlier": whereabouts.earlier_visits(page)}
    elif section == "owner":
        view |= {"says": answers_shown(page.visit.complaint), "picks": PICKS, "spans": SPANS, "seldom": seldom_told(page.visit.complaint)}
    elif section == "movement":
        view |= {"drawn": train_svg(page, answer), "drawn_says": train_headline(page, answer), "families": pages.kinds_of_movement(), "makes": MAKES}
    elif section in ("findings", "as-found"):
        view |= {"findings": pages.findings_shown(page), "warned": warned, **pages.pickers()}
        if section == "as-found":
            view |= {"running": request.app.state.films.running(tag), "endings": tuple(MEDIA_TYPES), "recogniser": free_talk_heard_here(), **album(shop, page)}
    elif section == "measurements":
        view |= {"measurements": pages.measurements_shown(page), "quantities": readings_to_pick(), **heard_view(shop, page)}
    elif section == "wrong" and answer is not None:
        view |= _answer_view(page, answer)
    elif section in ("choices", "agreed"):
        shown, most = pages.choices_shown(page)
        view |= {"choices": shown, "most_minor": most, "money": pages.price_words_minor, "may_answer": pages.may_answer(page)}
        if section == "agreed":
            view |= {"answers": pages.answers_kept(page), "lines": pages.lines_to_answer(page)}
    elif section == "work":
        view |= {"works": pages.works_shown(page), "agreed_works": pages.agreed_works(page), "unit_shown": unit_shown, "with_error": with_error, "made": made_sizes(page), "beside": partial(beside_prediction, page),
                 "sums": {name: one.title for name, one in SUMS.items()}, "work_words": pages.planned_words(page), "line_key": pages.line_key, "tried_words": pages.tried_words, "came_with": pages.pickers()["components"]}
    elif section == "test":
        view |= {"waiting": answer is None and as_left_of(page) is not None, **_plans_view(page, answer), "beside": partial(beside_plan, page), "lent_parts": LENT_PARTS, "quantities": readings_to_pick()}
    elif section == "papers":
        view |= {"papers": _PAPER_WORDS, "kinds": pages.paper_kinds(), "may_collect": whereabouts.may_collect(page), "in_the_way": whereabouts.in_the_way(page), "went": whereabouts.went_home(page.visit, page)}
    return clock_sheet(request, f"{section.replace('-', '_')}.html", page, section, **{"answer": answer, **view})


def _plans_view(page: ClockPage, answer: dict[str, Any] | None) -> dict[str, Any]:
    return {"plans": lay_out_tests(page, answer), "left": (answer or {}).get("as_left")}


def _answer_view(page: ClockPage, answer: dict[str, Any]) -> dict[str, Any]:
    head, under = pages.headline(answer)
    return {"answer": answer, "head": head, "under": under, "causes": pages.causes_shown(answer), "question": pages.question_of(answer), "tests": pages.tests_shown(answer), "smallest": answer["smallest_repairs"],
            "none_of_these": answer["none_of_these_probability"]}
