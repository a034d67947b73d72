"""What is done on the pages: each is one function of the bench, then back to the page."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Form, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from underdial.bench.as_found import looking
from underdial.bench.causes import answering
from underdial.bench.causes.agreeing import answer_lines, ceiling_of, record_consent, withdraw_consent
from underdial.bench.clock.composing import MAKES, told_by_hand
from underdial.bench.clock.naming import finding_named, measured_part_named, place_named, quantity_named
from underdial.bench.counter import receiving
from underdial.bench.counter.warning import name_dangers
from underdial.bench.shop import Shop, clock_page
from underdial.bench.sums.trains import reckon_train
from underdial.errors import BadInput, NotFound
from underdial.record.choice import Choice
from underdial.record.consent import Consent
from underdial.record.finding import UNSEEN, Finding
from underdial.record.measurement import Measurement
from underdial.record.money import Money
from underdial.units import unit_said
from underdial.web.complaint_form import OwnerSays, fields_sent, seconds_in, told_in_words
from underdial.web.numbers_typed import number_typed
from underdial.web.sheet import MOST_WARNED, back_to, shop_of, writer_of

router = APIRouter(
    prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)}
)
Short = Annotated[str, Form(max_length=200)]
Long = Annotated[str, Form(max_length=4000)]
Ticks = Annotated[tuple[str, ...], Form(max_length=100)]
# The version of the record that the page was made from: what somebody else has changed since is not written over.
Version = Annotated[int | None, Form(ge=1)]
# Eleven years: longer than a clock goes between two windings or two visits.
_LONGEST_S = 3.6e8


@router.post("/{tag}/owner")
def write_complaint(
    request: Request,
    tag: str,
    says: Annotated[OwnerSays, Form()],
    sent: Annotated[frozenset[str], Depends(fields_sent)],
) -> Response:
    """Keep what the owner says: what the form has takes the place of what was told, and all else stays."""
    told = told_in_words(says, sent)
    if "rate_s_per_day" in sent:
        told["rate_s_per_day"] = number_typed("gains", says.rate_s_per_day, -86400.0, 86400.0, unit="s/d")
    for name, words in (("runs_for", "it goes for"), ("runs_dial_up_for", "lying dial up it goes for")):
        if name in sent:
            unit_s = seconds_in(getattr(says, f"{name}_unit"))
            number = number_typed(
                words, getattr(says, name), 0.0, _LONGEST_S / unit_s, unit=getattr(says, f"{name}_unit")
            )
            told[f"{name}_s"] = None if number is None else number * unit_s
    shop = shop_of(request)
    page = clock_page(shop, tag)
    changes: dict[str, object] = {"complaint": replace(page.visit.complaint, **told)}
    if "last_done" in sent:
        changes["last_done"] = tuple(
            dict.fromkeys(line.strip() for line in says.last_done.splitlines() if line.strip())
        )
    receiving.change_visit(
        shop, tag, changes, version_count=says.version or page.versions[page.visit.id], by=writer_of(request)
    )
    return back_to(tag, "owner")


@router.post("/{tag}/movement")
def describe_movement(
    request: Request,
    tag: str,
    family: Short = "",
    train: Short = "",
    escape: Short = "",
    power: Short = "",
    oscillator: Short = "",
    escapement: Short = "",
    version: Version = None,
) -> Response:
    """Say what kind of movement it is, its counts where they were counted, and how it is made where no kind of the
    list fits.
    """
    counts: dict[str, object] = {}
    if train.strip():
        count = number_typed("escape", escape, 1.0, 500.0)
        if count is None or not count.is_integer():
            raise BadInput(
                "escape",
                escape,
                "the number of teeth of the escape wheel",
                "escape: with the counts of the train say the teeth of the escape wheel too.",
            )
        reckon_train(train, escape_count=int(count), hour_arbor=1)
        counts = {"train": train.strip(), "escape": int(count)}
    movement = told_by_hand(
        family or None, {"power": power, "oscillator": oscillator, "escapement": escapement}, counts
    )
    shop = shop_of(request)
    page = clock_page(shop, tag)
    kept = {key: value for key, value in page.clock.movement.items() if key not in ("train", "escape", *MAKES)}
    receiving.change_clock(
        shop,
        tag,
        {"family": family or None, "movement": {**kept, **movement}},
        version_count=version or page.versions[page.clock.id],
        by=writer_of(request),
    )
    return back_to(tag, "movement")


@router.post("/{tag}/dangers")
def write_dangers(request: Request, tag: str, danger: Ticks = (), version: Version = None) -> Response:
    """Write down what is dangerous about the clock; its cautions then stand at the top of its pages."""
    name_dangers(shop_of(request), tag, danger, version_count=version, by=writer_of(request))
    return back_to(tag, "received")


@router.post("/{tag}/findings")
def write_finding(
    request: Request,
    tag: str,
    component: Short = "",
    condition: Short = "",
    of: Short = "",
    place: Short = "",
    state: Short = "present",
    extent: Short = "",
    significance: Short = "",
    note: Long = "",
    look_over: Short = "",
) -> Response:
    """Write a finding by hand; what no list has is kept as its note, and the page says so."""
    why = state if state in UNSEEN else None
    told, said = finding_named(component, condition or (UNSEEN[why] if why else ""), of, place, note)
    finding = Finding(
        **told,
        state="not_examined" if why else state,  # type: ignore[arg-type]
        why=why,
        extent=extent or None,
        significance=significance or None,
    )
    looking.add_finding(shop_of(request), tag, finding, look_over_id=look_over or None, by=writer_of(request))
    return _back_to_findings(tag, said)


@router.post("/{tag}/findings/{finding_id}/{deed}")
def judge_finding(
    request: Request,
    tag: str,
    finding_id: str,
    deed: str,
    component: Short = "",
    condition: Short = "",
    of: Short = "",
    place: Short = "",
    state: Short = "",
    note: Annotated[str | None, Form(max_length=4000)] = None,
    version: Version = None,
) -> Response:
    """Accept, correct or reject one finding."""
    shop, by, said = shop_of(request), writer_of(request), ""
    if deed == "accept" and finding_id == "all":
        looking.confirm_all_findings(shop, tag, by=by)
    elif deed == "accept":
        looking.confirm_finding(shop, tag, finding_id, by=by)
    elif deed == "reject":
        looking.reject_finding(shop, tag, finding_id, by=by)
    elif deed == "correct":
        changes, said = _corrected(shop, tag, finding_id, component, condition, of, place, note)
        if state.strip():
            changes["state"] = state.strip()
        looking.correct_finding(
            shop, tag, finding_id, changes, version_count=version, by=by, why="corrected on reading through"
        )
    else:
        raise NotFound("deed", deed, "accept, correct, reject", "deed: a finding is accepted, corrected or rejected.")
    return _back_to_findings(tag, said)


@router.post("/{tag}/measurements")
def write_measurement(
    request: Request,
    tag: str,
    quantity: Short,
    value: Short,
    unit: Short = "",
    u: Short = "",
    of: Short = "",
    position: Short = "",
    instrument: Short = "",
) -> Response:
    """Write a reading by hand."""
    name, unit = quantity_named(quantity, unit.strip() or unit_said(value))
    number = number_typed("value", value, unit=unit)
    if number is None:
        raise BadInput("value", value, "a number", "value: what was read is missing; write a number.")
    part, place = measured_part_named(of)
    looking.add_measurement(
        shop_of(request),
        tag,
        Measurement(
            quantity=name,
            value=number,
            unit=unit,
            u=number_typed("give or take", u, 0.0, unit=unit),
            of=part,
            place=place,
            position=place_named(position),
            instrument=instrument.strip() or None,
        ),
        by=writer_of(request),
    )
    return back_to(tag, "measurements")


@router.post("/{tag}/choices")
async def lay_out(request: Request, tag: str) -> Response:
    """Make choices from what is wrong, priced and dated."""
    await run_in_threadpool(answering.lay_out_choices, shop_of(request), tag, by=writer_of(request))
    return back_to(tag, "choices")


@router.post("/{tag}/agreed")
def note_answer(
    request: Request,
    tag: str,
    choice_id: Short,
    person_id: Short,
    words: Long,
    channel: Short = "in_person",
    limit: Short = "",
    ceiling: Short = "",
    answer: Short = "yes",
    yes: Ticks = (),
) -> Response:
    """Keep the owner's answer to a choice line by line, in their words, with the sum that is not to be passed."""
    shop = shop_of(request)
    choice = next((one for one in clock_page(shop, tag).choices if one.id == choice_id), None)
    if choice is None:
        raise NotFound("choice", choice_id, "a choice of this visit")
    if answer not in ("yes", "no"):
        raise BadInput("answer", answer, "yes, no")
    if answer == "yes" and choice.works and not yes:
        raise BadInput(
            "yes",
            "nothing",
            "the works they said yes to",
            "yes: no work is ticked; tick what they said yes to, or keep it as a no.",
        )
    consent = Consent(
        choice_id=choice_id,
        person_id=person_id,
        channel=channel,
        words=words,
        given_at=shop.now(),
        lines=answer_lines(choice, yes if answer == "yes" else ()),
        ceiling=_ceiling(choice, ceiling, shop.settings.currency) if answer == "yes" else None,
        limits=(limit.strip(),) if limit.strip() else (),
    )
    record_consent(shop, tag, consent, by=writer_of(request))
    return back_to(tag, "agreed")


@router.post("/{tag}/agreed/{consent_id}/taken-back")
def take_back(request: Request, tag: str, consent_id: str, words: Long) -> Response:
    """The owner takes an answer back, in their words."""
    withdraw_consent(shop_of(request), tag, consent_id, words=words.strip(), by=writer_of(request))
    return back_to(tag, "agreed")


def _corrected(
    shop: Shop, tag: str, finding_id: str, component: str, condition: str, of: str, place: str, note: str | None
) -> tuple[dict[str, Any], str]:
    """What a finding is corrected to, and what no list has of it; an empty part or state, and a note that was not sent,
    stay as they are.
    """
    before = next((one for one in clock_page(shop, tag).findings if one.id == finding_id), None)
    if before is None:
        raise NotFound("finding", finding_id, "a finding of this visit")
    kept = before.note or "" if note is None else note
    changes, said = finding_named(
        component.strip() or before.component, condition.strip() or before.condition, of, place, kept
    )
    return changes, said


def _back_to_findings(tag: str, said: str) -> Response:
    return back_to(tag, f"findings?{urlencode({'warned': said[:MOST_WARNED]})}" if said else "findings")


def _ceiling(choice: Choice, written: str, currency: str) -> Money | None:
    """The sum the owner named, in the currency of the choice or else of the shop; the choice's own where they named
    none.
    """
    named = number_typed("not above", written, 0.0, 10_000_000.0)
    if named is None or not choice.works:
        return ceiling_of(choice)
    return Money(amount_minor=round(100 * named), currency=choice.price.currency if choice.price else currency)
