"""Jobs brought to their end through the functions of the bench: received, found, agreed, done, tested, gone home."""

from __future__ import annotations

from tests.bench.conftest import NOON
from underdial.bench.as_found.looking import add_finding, add_measurement
from underdial.bench.causes.agreeing import agree_to_all, offer_choices, record_consent
from underdial.bench.counter.receiving import Received, receive_clock
from underdial.bench.rounds.proving import begin_proof, end_proof, note_stop, plan_proof, read_on_test, release_clock
from underdial.bench.rounds.working import begin_round, enter_work
from underdial.bench.shop import Shop
from underdial.record.choice import Choice, PlannedWork
from underdial.record.clock import Clock
from underdial.record.complaint import Complaint
from underdial.record.consent import Consent
from underdial.record.finding import Finding
from underdial.record.measurement import Measurement
from underdial.record.people import Person
from underdial.record.proof import PassLine, Proof
from underdial.record.visit import Prediction, Visit
from underdial.record.work import Work

OIL = Finding(component="movement", condition="old_oil", state="present", extent="moderate")
BLUNT = Finding(component="cone_pivot", condition="blunt", state="present", extent="moderate")
ARC = Measurement(quantity="half_arc", value=150.0, u=8.0, unit="deg", of="balance", position="12_up")
OVERHAUL = ("overhaul_one_train", "movement")
POLISH = ("bal_04_re_point_lathe", "cone_pivot")


def take_in(
    shop: Shop,
    tag: str,
    *,
    findings: tuple[Finding, ...] = (BLUNT, OIL),
    arc_deg: float | None = 150.0,
    family: str | None = "pin_pallet_alarm",
) -> Received:
    """A clock at the counter, looked over."""
    received = receive_clock(
        shop,
        Clock(tag=tag, name="alarm clock", family=family),
        Visit(received_at=NOON, complaint=Complaint(runs_for_s=600.0)),
        ((Person(name="Hester Quill"), ("owns", "brings", "pays")),),
    )
    for one in findings:
        add_finding(shop, tag, one)
    if arc_deg is not None:
        add_measurement(
            shop,
            tag,
            Measurement(quantity="half_arc", value=arc_deg, u=8.0, unit="deg", of="balance", position="12_up"),
        )
    return received


def agree(shop: Shop, tag: str, received: Received, works: tuple[tuple[str, str], ...], chance: float | None) -> None:
    """One choice laid out with its chance, and a yes to all of it."""
    planned = tuple(
        PlannedWork(line=str(k), work=work, component=component) for k, (work, component) in enumerate(works)
    )
    choice = offer_choices(shop, tag, [Choice(title="Put it right", works=planned, runs_full_probability=chance)])[0]
    record_consent(
        shop,
        tag,
        Consent(
            choice_id=choice.id,
            person_id=received.person_ids[0],
            channel="in_person",
            words="yes",
            given_at=shop.now(),
            lines=agree_to_all(choice),
        ),
    )


def put_on_test(shop: Shop, tag: str, *, arc_deg: float = 240.0, stop: str | None = None) -> Proof:
    """A test with one reading, and a stop when one is told."""
    plan = plan_proof(
        shop,
        tag,
        Proof(
            title="On the stand",
            planned_at=NOON,
            lines=(PassLine(quantity="half_arc", low=200.0, high=300.0, unit="deg"),),
        ),
    )
    begin_proof(shop, tag, plan.id)
    read_on_test(
        shop,
        tag,
        plan.id,
        Measurement(quantity="half_arc", value=arc_deg, u=8.0, unit="deg", of="balance", position="12_up"),
    )
    if stop:
        note_stop(shop, tag, plan.id, stop)
    return end_proof(shop, tag, plan.id)


def finish(
    shop: Shop,
    tag: str,
    *,
    works: tuple[tuple[str, str], ...] = (OVERHAUL, POLISH),
    findings: tuple[Finding, ...] = (BLUNT, OIL),
    chance: float | None = 0.9,
    predicted: float | None = None,
    stop: str | None = None,
    arc_deg: float | None = 150.0,
    family: str | None = "pin_pallet_alarm",
) -> Received:
    """A job from the counter to the counter; `chance` was laid before the owner, `predicted` stood in the round before
    the test.
    """
    received = take_in(shop, tag, findings=findings, arc_deg=arc_deg, family=family)
    agree(shop, tag, received, works, chance)
    for work, component in works:
        enter_work(shop, tag, Work(work=work, component=component, by="repairer"))
    if predicted is not None:
        begin_round(
            shop,
            tag,
            predicted=(
                Prediction(
                    quantity="half_arc",
                    unit="deg",
                    low=200.0,
                    likely=240.0,
                    high=280.0,
                    runs_full_probability=predicted,
                ),
            ),
        )
    put_on_test(shop, tag, stop=stop)
    release_clock(shop, tag, person_id=received.person_ids[0], why="the owner wants it back")
    return received
