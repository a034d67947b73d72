"""What is done on the pages Work and On test.

Works with sizes, rounds, planned sizes, and the test from its plan to its verdict.
"""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.responses import Response

from underdial.bench.causes.answering import left_answer
from underdial.bench.clock.naming import owner_part_named, part_named, place_named, quantity_named
from underdial.bench.rounds import counting_hours, foreseeing, proving, working
from underdial.bench.rounds.complained import ON_TEST
from underdial.bench.shop import clock_page
from underdial.bench.shown.pages import agreed_works, line_key
from underdial.bench.sums import planning
from underdial.errors import BadInput, NotFound
from underdial.record.measurement import LENT_PARTS, Measurement
from underdial.record.proof import LEAST_H, PassLine, Proof
from underdial.record.visit import Trial
from underdial.record.work import Size, Work
from underdial.units import unit_said
from underdial.web.numbers_typed import number_typed, sum_typed
from underdial.web.sheet import back_to, shop_of, writer_of

router = APIRouter(
    prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)}
)
Short = Annotated[str, Form(max_length=200)]
Long = Annotated[str, Form(max_length=4000)]
Many = Annotated[tuple[str, ...], Form(max_length=20)]
_MOST_HOURS_H = 10_000.0


@router.post("/{tag}/work")
def write_work(
    request: Request,
    tag: str,
    line: Short,
    why: Long = "",
    hours_h: Short = "",
    materials: Short = "",
    old_part: Short = "",
    charged: Short = "",
    size_what: Many = (),
    size_before: Many = (),
    size_after: Many = (),
    size_u: Many = (),
    size_unit: Many = (),
) -> Response:
    """Write a work that was done on a line the owner agreed to, with its sizes before and after."""
    shop = shop_of(request)
    page = clock_page(shop, tag)
    agreed = next((one for one in agreed_works(page) if line_key(one) == line), None)
    if agreed is None:
        raise NotFound("line", line, "a line that was agreed", "line: nobody has agreed to this line; see Agreed.")
    sizes = tuple(
        size
        for row in zip(size_what, size_before, size_after, size_u, size_unit, strict=False)
        if (size := _size(*row)) is not None
    )
    if not sizes and not any(one.strip() for one in (why, hours_h, materials, old_part, charged)):
        raise BadInput(
            "why",
            "nothing",
            "what was done, or the hours it took",
            "what was done: nothing is written; write what was done, or the hours it took.",
        )
    open_round = page.rounds[-1].id if page.rounds else None
    done = Work(
        work=agreed.work,
        component=agreed.component,
        of=agreed.of,
        place=agreed.place,
        by=writer_of(request),
        why=why.strip() or None,
        hours_h=number_typed("hours", hours_h, unit="h"),
        sizes=sizes,
        round_id=open_round,
        materials=tuple(one.strip() for one in materials.split(",") if one.strip()),
        old_part_kept=old_part.strip() or None,
        charged=sum_typed(shop, "charged", charged),
    )
    working.enter_work(shop, tag, done, by=writer_of(request))
    return back_to(tag, "work")


@router.post("/{tag}/works/{work_id}/charge")
def write_charge(request: Request, tag: str, work_id: str, charged: Short = "") -> Response:
    """Put right what a work is charged with while it stands on no invoice; nothing takes the charge away."""
    shop = shop_of(request)
    counting_hours.change_charge(shop, tag, work_id, sum_typed(shop, "charged", charged), by=writer_of(request))
    return back_to(tag, "work")


@router.post("/{tag}/hours/start")
def start_hours(request: Request, tag: str) -> Response:
    """Begin to count the hours of a clock."""
    counting_hours.start_hours(shop_of(request), tag, by=writer_of(request))
    return back_to(tag, "work")


@router.post("/{tag}/hours/stop")
def stop_hours(request: Request, tag: str) -> Response:
    """End the stretch that is counted."""
    counting_hours.stop_hours(shop_of(request), tag, by=writer_of(request))
    return back_to(tag, "work")


@router.post("/{tag}/hours/charge")
def charge_hours(request: Request, tag: str) -> Response:
    """Charge the works that are done with what was worked."""
    counting_hours.charge_hours(shop_of(request), tag, by=writer_of(request))
    return back_to(tag, "work")


@router.post("/{tag}/hours")
def correct_hours(request: Request, tag: str, more: Short, why: Short = "") -> Response:
    """Put hours right by hand: so many more, or less."""
    more_h = number_typed("hours", more, unit="h")
    counting_hours.correct_hours(
        shop_of(request), tag, more_h=more_h or 0.0, why=why.strip() or None, by=writer_of(request)
    )
    return back_to(tag, "work")


@router.post("/{tag}/sizes/{number}/drop")
def drop_size(request: Request, tag: str, number: int) -> Response:
    """Take a planned size away; the history keeps it."""
    planning.drop_planned(shop_of(request), tag, number, by=writer_of(request))
    return back_to(tag, "work")


@router.post("/{tag}/rounds")
def begin_round(request: Request, tag: str, thought: Long = "") -> Response:
    """Begin a round with what is thought, and with what the agreed choice expects."""
    shop = shop_of(request)
    page = clock_page(shop, tag)
    working.begin_round(
        shop,
        tag,
        thought=thought.strip() or None,
        predicted=foreseeing.predictions_of(page, left_answer(shop, page)),
        by=writer_of(request),
    )
    return back_to(tag, "work")


@router.post("/{tag}/rounds/{round_id}/seen")
def see_in_round(
    request: Request,
    tag: str,
    round_id: str,
    quantity: Short,
    value: Short,
    unit: Short = "",
    u: Short = "",
    position: Short = "",
    since_winding_h: Short = "",
    lent: Short = "",
) -> Response:
    """Write what was read after the work, beside what was predicted."""
    working.see_in_round(
        shop_of(request),
        tag,
        round_id,
        _reading(quantity, value, unit, u, position, since_winding_h, lent),
        by=writer_of(request),
    )
    return back_to(tag, "work")


@router.post("/{tag}/rounds/{round_id}/tried")
def try_in_round(
    request: Request, tag: str, round_id: str, component: Short, result: Short, of: Short = ""
) -> Response:
    """Write that a good part was tried in the place of the clock's own, and whether it cured the clock."""
    shop = shop_of(request)
    page = clock_page(shop, tag)
    found = next((one for one in page.rounds if one.id == round_id), None)
    if found is None:
        raise NotFound("round", round_id, "a round of this visit")
    tried = Trial(component=part_named(component), of=owner_part_named(of), result=result)
    working.change_round(
        shop,
        tag,
        round_id,
        {"trials": (*found.trials, tried)},
        version_count=page.versions[round_id],
        by=writer_of(request),
    )
    return back_to(tag, "work")


@router.post("/{tag}/rounds/{round_id}/learned")
def learn_in_round(request: Request, tag: str, round_id: str, learned: Long) -> Response:
    """Close a round with what was learned."""
    if not learned.strip():
        raise BadInput(
            "learned", "nothing", "a sentence", "learned: nothing is written there; write what this round has taught."
        )
    working.change_round(shop_of(request), tag, round_id, {"learned": learned.strip()}, by=writer_of(request))
    return back_to(tag, "work")


@router.post("/{tag}/test")
def lay_down(
    request: Request,
    tag: str,
    title: Short,
    lasts_h: Short,
    cased: Short = "",
    reference: Short = "",
    line_what: Many = (),
    line_low: Many = (),
    line_high: Many = (),
    line_unit: Many = (),
    line_words: Many = (),
    line_because: Many = (),
) -> Response:
    """Lay down a test: what each reading must be, and for how long."""
    shop = shop_of(request)
    rows = zip(line_what, line_low, line_high, line_unit, line_words, _as_many(line_because, line_what), strict=False)
    lines = tuple(line for row in rows if (line := _pass_line(*row)) is not None)
    hours = number_typed("hours", lasts_h, unit="h")
    if hours is None or not LEAST_H <= hours <= _MOST_HOURS_H:
        raise BadInput(
            "hours",
            lasts_h or "nothing",
            f"{LEAST_H:g} to {_MOST_HOURS_H:g}",
            f"hours: {lasts_h.strip() or 'nothing'} will not do; it has to go without a stop for a day at the least, "
            f"{LEAST_H:g} to {_MOST_HOURS_H:g} hours.",
        )
    proving.plan_proof(
        shop,
        tag,
        Proof(
            title=title.strip(),
            planned_at=shop.now(),
            lines=lines,
            lasts_h=hours,
            cased=cased == "yes",
            reference_clock=reference.strip() or None,
        ),
        by=writer_of(request),
    )
    return back_to(tag, "test")


@router.post("/{tag}/test/{proof_id}/begin")
def begin_test(request: Request, tag: str, proof_id: str) -> Response:
    """The test begins now."""
    proving.begin_proof(shop_of(request), tag, proof_id, by=writer_of(request))
    return back_to(tag, "test")


@router.post("/{tag}/test/{proof_id}/reading")
def read_on_test(
    request: Request,
    tag: str,
    proof_id: str,
    quantity: Short,
    value: Short,
    unit: Short = "",
    u: Short = "",
    position: Short = "",
    since_winding_h: Short = "",
    lent: Short = "",
) -> Response:
    """Write a reading as a result of the test."""
    proving.read_on_test(
        shop_of(request),
        tag,
        proof_id,
        _reading(quantity, value, unit, u, position, since_winding_h, lent),
        by=writer_of(request),
    )
    return back_to(tag, "test")


@router.post("/{tag}/test/{proof_id}/stop")
def note_stop(request: Request, tag: str, proof_id: str, stop: Short) -> Response:
    """It stopped on test: when, and where the hands stood."""
    if not stop.strip():
        raise BadInput(
            "stop",
            "nothing",
            "when it stopped and where the hands stood",
            "stop: write when it stopped and where the hands stood.",
        )
    proving.note_stop(shop_of(request), tag, proof_id, stop.strip(), by=writer_of(request))
    return back_to(tag, "test")


@router.post("/{tag}/test/{proof_id}/end")
def end_test(request: Request, tag: str, proof_id: str) -> Response:
    """End the test and judge it by its plan."""
    proving.end_proof(shop_of(request), tag, proof_id, by=writer_of(request))
    return back_to(tag, "test")


def _reading(
    quantity: str, value: str, unit: str, u: str, position: str, since_winding_h: str, lent: str
) -> Measurement:
    # A list of the page gives what and unit in one: `half_arc deg`.
    what, _, joined = quantity.strip().partition("|")
    said = joined or unit.strip() or unit_said(value)
    name, kept_unit = (what, said) if what in ON_TEST else quantity_named(what, said)
    number = number_typed("value", value, unit=kept_unit)
    if number is None:
        raise BadInput("value", "nothing", "a number", "value: what was read is missing; write a number.")
    if lent and lent not in LENT_PARTS:
        raise BadInput("lent", lent, ", ".join(LENT_PARTS))
    return Measurement(
        quantity=name,
        value=number,
        unit=kept_unit,
        u=number_typed("give or take", u, unit=kept_unit),
        position=place_named(position),
        since_winding_h=number_typed("hours since winding", since_winding_h, unit="h"),
        lent_parts=(lent,) if lent else (),
    )


def _size(what: str, before: str, after: str, u: str, unit: str) -> Size | None:
    """One row of sizes; None when neither before nor after is written."""
    unit = unit.strip()
    old, new = number_typed("before", before, unit=unit), number_typed("after", after, unit=unit)
    if old is None and new is None:
        return None
    name = place_named(what)
    if name is None or not unit:
        raise BadInput(
            "size",
            what or "nothing",
            "a name and a unit beside its numbers",
            "size: numbers are written without saying of what, or in which unit.",
        )
    return Size(quantity=name, unit=unit, before=old, after=new, u=number_typed("give or take", u, unit=unit))


def _as_many(few: tuple[str, ...], many: tuple[str, ...]) -> tuple[str, ...]:
    """The first list made as long as the second."""
    return (*few, *("" for _ in many[len(few) :]))


def _pass_line(what: str, low: str, high: str, unit: str, words: str, because: str) -> PassLine | None:
    """One row of a plan, without an end where only from is written; None when it is empty."""
    if not what.strip() or not (low.strip() or high.strip()):
        return None
    least, most = number_typed("from", low, unit=unit.strip()), number_typed("to", high, unit=unit.strip())
    if least is None or (most is not None and least > most):
        raise BadInput(
            "from" if least is None else "to",
            low if least is None else high,
            "from, or from and to with the smaller first",
            f"{words or what}: write from, or from and to with the smaller first.",
        )
    name, kept_unit = (what, unit.strip()) if what in ON_TEST else quantity_named(what, unit)
    return PassLine(
        quantity=name,
        unit=kept_unit,
        low=least,
        high=most,
        words=words.strip() or None,
        because=because.strip() or None,
    )
