"""One clock from the counter to the counter through the functions of the bench, and each rule met on the way."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from tests.bench.conftest import NOON
from underdial.bench.as_found.looking import (
    add_finding,
    add_measurement,
    attach_file,
    confirm_finding,
    correct_finding,
    reject_finding,
    reject_measurement,
    take_in_look_over,
)
from underdial.bench.causes.agreeing import agree_to_all, offer_choices, record_consent, withdraw_consent
from underdial.bench.clock.case import case_of
from underdial.bench.counter.holding import lift_hold, set_hold
from underdial.bench.counter.people import find_people, name_person, write_person
from underdial.bench.counter.receiving import (
    NEW_TAG,
    Received,
    change_clock,
    change_visit,
    receive_again,
    receive_clock,
)
from underdial.bench.keeping import check_shop
from underdial.bench.rounds.proving import begin_proof, end_proof, note_stop, plan_proof, read_on_test, release_clock
from underdial.bench.rounds.working import begin_round, change_round, enter_work, move_part, part_is_back
from underdial.bench.shop import Shop, clock_page, history_of, in_the_shop, open_shop
from underdial.errors import BadInput, MachineRefused, NotFound, RuleBroken
from underdial.record.aim import Aim
from underdial.record.choice import Choice, PlannedWork, PriceBand
from underdial.record.clock import Clock
from underdial.record.complaint import Complaint
from underdial.record.consent import Consent
from underdial.record.custody import CustodyLine
from underdial.record.finding import Evidence, Finding
from underdial.record.hold import Hold
from underdial.record.look_over import LookOver, Stretch
from underdial.record.measurement import Measurement
from underdial.record.money import Day, Money
from underdial.record.people import Person
from underdial.record.proof import PassLine, Proof
from underdial.record.visit import Prediction, Trial, Visit
from underdial.record.work import Work

BENT = Finding(component="staff", condition="bent", state="present", certainty=0.7, start_s=10.0, end_s=14.0)
ARC = Measurement(quantity="half_arc", value=180.0, u=5.0, unit="deg", of="balance")
STRAIGHTEN = PlannedWork(line="staff", work="straighten", component="staff", findings=("finding-1",), hours_h=1.5)
CHOICE = Choice(
    title="Straighten and set",
    works=(STRAIGHTEN,),
    unfixed=("the plating stays worn",),
    price=PriceBand(low_minor=9000, likely_minor=12000, high_minor=15000, ceiling_minor=16000, currency="GBP"),
)
PLAN = Proof(
    title="bare",
    planned_at=NOON,
    lines=(PassLine(quantity="half_arc", low=160.0, high=230.0, unit="deg", of="balance"),),
)


def agreed(shop: Shop, drum: Received) -> Consent:
    """The drum with one finding, one choice, and a yes to it."""
    add_finding(shop, "drum", BENT)
    choice = offer_choices(shop, "drum", [CHOICE])[0]
    return record_consent(
        shop,
        "drum",
        Consent(
            choice_id=choice.id,
            person_id=drum.person_ids[0],
            channel="telephone",
            words="yes, do that, but not above 160",
            given_at=NOON,
            lines=agree_to_all(choice),
            ceiling=Money(amount_minor=16000, currency="GBP"),
        ),
    )


def test_a_clock_goes_from_counter_to_counter(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    enter_work(
        shop,
        "drum",
        Work(work="straighten", component="staff", by="repairer", charged=Money(amount_minor=12000, currency="GBP")),
    )
    plan = plan_proof(shop, "drum", PLAN)
    begin_proof(shop, "drum", plan.id)
    read_on_test(shop, "drum", plan.id, replace(ARC, value=205.0))
    verdict = end_proof(shop, "drum", plan.id).verdict
    gone = release_clock(shop, "drum", person_id=drum.person_ids[0])
    page = clock_page(shop, "drum")

    assert (verdict, gone.stage) == ("passed", "gone")
    assert page.works[0].consent_id == page.consents[0].id
    assert page.works[0].findings == ("finding-1",)
    assert in_the_shop(shop).lines == ()
    assert [line.tag for line in in_the_shop(shop, gone=True).lines] == ["drum"]
    assert check_shop(shop)["verdict"] == "sound"


def test_every_step_is_in_the_history_with_its_who(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    events = history_of(shop, "drum")

    assert [one.record for one in events] == [
        "clock",
        "visit",
        "part",
        "part",
        "part",
        "finding",
        "choice",
        "visit",
        "consent",
        "visit",
    ]
    assert {one.by for one in events} == {"repairer"}
    assert [one.at for one in events] == sorted(one.at for one in events)


def test_a_new_tag_counts_on(shop: Shop, drum: Received) -> None:
    second = receive_clock(shop, Clock(tag=NEW_TAG, name="longcase"), Visit(received_at=NOON))

    # Derived: the second clock of the shop, in the year the time of the test lies in.
    assert second.tag == "2026-002"


def test_a_tag_that_is_taken_is_refused(shop: Shop, drum: Received) -> None:
    with pytest.raises(RuleBroken, match="another clock in the shop has the ticket drum"):
        receive_clock(shop, Clock(tag="drum", name="longcase"), Visit(received_at=NOON))


def test_what_was_said_in_private_enters_no_record(shop: Shop, drum: Received) -> None:
    private = replace(BENT, component="case", condition="cracked", start_s=20.0, end_s=23.0, words="between ourselves")
    taken = take_in_look_over(
        shop,
        "drum",
        LookOver(taken_at=NOON, by="repairer", private=(Stretch(start_s=19.0, end_s=30.0),)),
        [BENT, private],
        [replace(ARC, start_s=25.0), replace(ARC, start_s=40.0)],
    )

    assert [one.component for one in taken.findings] == ["staff"]
    assert [one.start_s for one in taken.measurements] == [40.0]  # Derived: 25 s lies between 19 s and 30 s.
    assert taken.findings[0].evidence == (Evidence(kind="look_over", source="look_over-1", start_s=10.0, end_s=14.0),)
    shop.engine.dispose()
    assert b"between ourselves" not in b"".join(one.read_bytes() for one in shop.folder.rglob("*") if one.is_file())


def test_a_recording_with_private_words_in_it_is_not_kept(shop: Shop, drum: Received) -> None:
    film = attach_file(shop, "drum", io.BytesIO(b"sound"), name="look.wav", kind="sound", media_type="audio/wav")
    look_over = LookOver(
        taken_at=NOON, by="repairer", private=(Stretch(start_s=1.0, end_s=2.0),), attachment_id=film.id
    )

    with pytest.raises(RuleBroken, match="take those stretches out"):
        take_in_look_over(shop, "drum", look_over, [])


def test_confirming_makes_nothing_surer_and_correcting_needs_new_evidence(shop: Shop, drum: Received) -> None:
    heard = take_in_look_over(shop, "drum", LookOver(taken_at=NOON, by="repairer"), [BENT]).findings[0]
    confirmed = confirm_finding(shop, "drum", heard.id)
    with pytest.raises(RuleBroken, match="a hedge is not made surer"):
        correct_finding(shop, "drum", heard.id, {"certainty": 0.97})
    picture = attach_file(
        shop, "drum", io.BytesIO(b"picture"), name="staff.png", kind="picture", media_type="image/png"
    )
    surer = correct_finding(
        shop,
        "drum",
        heard.id,
        {"certainty": 0.97, "evidence": (*heard.evidence, Evidence(kind="picture", source=picture.id))},
    )

    # Derived: the hedge that was spoken, then what the picture shows.
    assert (confirmed.certainty, surer.certainty) == (0.7, 0.97)


def test_evidence_must_lead_somewhere(shop: Shop, drum: Received) -> None:
    kept = add_finding(shop, "drum", BENT)

    with pytest.raises(RuleBroken, match="no attachment-9 at this visit"):
        correct_finding(shop, "drum", kept.id, {"evidence": (Evidence(kind="picture", source="attachment-9"),)})


def test_a_rejected_finding_enters_no_case_and_stays_in_the_record(shop: Shop, drum: Received) -> None:
    kept = add_finding(shop, "drum", BENT)
    reject_finding(shop, "drum", kept.id, why="misheard")

    assert case_of(shop, "drum")["findings"] == []
    assert clock_page(shop, "drum").findings[0].standing == "rejected"


def test_two_people_on_one_finding_do_not_overwrite_each_other(shop: Shop, drum: Received) -> None:
    kept = add_finding(shop, "drum", BENT)
    version = clock_page(shop, "drum").versions[kept.id]
    correct_finding(shop, "drum", kept.id, {"extent": "slight"}, version_count=version, by="first bench")

    with pytest.raises(RuleBroken, match="changed by somebody else"):
        correct_finding(shop, "drum", kept.id, {"extent": "bad"}, version_count=version, by="second bench")
    assert clock_page(shop, "drum").findings[0].extent == "slight"


def test_an_unknown_field_is_refused_by_name(shop: Shop, drum: Received) -> None:
    add_finding(shop, "drum", BENT)
    with pytest.raises(BadInput, match="colour: there is no such field"):
        correct_finding(shop, "drum", "finding-1", {"colour": "red"})
    with pytest.raises(BadInput, match="id: there is no such field to change"):
        change_visit(shop, "drum", {"id": "visit-7"})


def test_a_work_nobody_agreed_to_is_not_entered(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)

    with pytest.raises(RuleBroken, match="nobody has agreed to polish on the case"):
        enter_work(shop, "drum", Work(work="polish", component="case", by="repairer"))
    assert clock_page(shop, "drum").works == ()


def test_a_work_on_a_withdrawn_consent_is_not_entered(shop: Shop, drum: Received) -> None:
    consent = agreed(shop, drum)
    withdraw_consent(shop, "drum", consent.id, words="I have changed my mind")

    with pytest.raises(RuleBroken, match="nobody has agreed"):
        enter_work(shop, "drum", Work(work="straighten", component="staff", by="repairer"))


def test_a_consent_line_that_is_in_no_choice_is_refused(shop: Shop, drum: Received) -> None:
    choice = offer_choices(shop, "drum", [CHOICE])[0]
    line = replace(agree_to_all(choice)[0], line="case", component="case")

    with pytest.raises(RuleBroken, match="is not a work of Straighten and set"):
        record_consent(
            shop,
            "drum",
            Consent(
                choice_id=choice.id,
                person_id=drum.person_ids[0],
                channel="letter",
                words="yes",
                given_at=NOON,
                lines=(line,),
            ),
        )


def test_an_answer_is_tied_to_the_findings_of_the_planned_work(shop: Shop, drum: Received) -> None:
    add_finding(shop, "drum", BENT)
    choice = offer_choices(shop, "drum", [CHOICE])[0]
    line = replace(agree_to_all(choice)[0], findings=("finding-9",))
    kept = record_consent(
        shop,
        "drum",
        Consent(
            choice_id=choice.id,
            person_id=drum.person_ids[0],
            channel="letter",
            words="yes",
            given_at=NOON,
            lines=(line,),
        ),
    )

    assert kept.lines[0].findings == ("finding-1",)


def test_choices_nobody_answered_make_room_for_new_ones_and_take_no_more_answers(shop: Shop, drum: Received) -> None:
    old = offer_choices(shop, "drum", [CHOICE])[0]
    offer_choices(shop, "drum", [replace(CHOICE, title="Leave it as it is", works=())])

    assert [one.withdrawn for one in clock_page(shop, "drum").choices] == [True, False]
    with pytest.raises(RuleBroken, match="this one was withdrawn"):
        record_consent(
            shop,
            "drum",
            Consent(
                choice_id=old.id,
                person_id=drum.person_ids[0],
                channel="letter",
                words="yes",
                given_at=NOON,
                lines=agree_to_all(old),
            ),
        )


def test_a_hazard_lets_nothing_be_sent_out_or_run(shop: Shop, drum: Received) -> None:
    plan = plan_proof(shop, "drum", PLAN)
    set_hold(
        shop,
        "drum",
        Hold(reason="hazard", why="luminous paint that may be radium", forbids=("send_out", "run"), since=NOON),
    )

    with pytest.raises(RuleBroken, match="says not to send out: luminous paint"):
        move_part(shop, "drum", CustodyLine(what="dial", kind="sent_out", where="restorer", since=NOON))
    with pytest.raises(RuleBroken, match="says not to run: luminous paint"):
        begin_proof(shop, "drum", plan.id)
    assert clock_page(shop, "drum").custody == ()


def test_two_owners_who_do_not_agree_stop_the_work_and_the_release(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    sister = name_person(shop, "drum", Person(name="Ida Quill"), ("owns",))
    hold = set_hold(
        shop,
        "drum",
        Hold(reason="dispute", why="one sister wants it kept as it is", forbids=("alter", "release"), since=NOON),
    )
    with pytest.raises(RuleBroken, match="one sister wants it kept as it is"):
        enter_work(shop, "drum", Work(work="straighten", component="staff", by="repairer"))
    with pytest.raises(RuleBroken, match="says not to release"):
        release_clock(shop, "drum", person_id=sister)
    held = in_the_shop(shop).lines[0].held
    lift_hold(shop, "drum", hold.id, by="repairer", why="both have signed")

    assert held
    assert not in_the_shop(shop).lines[0].held
    assert in_the_shop(shop).lines[0].owners == ("Hester Quill", "Ida Quill")
    with pytest.raises(RuleBroken, match="lifted already"):
        lift_hold(shop, "drum", hold.id, by="repairer", why="again")


def test_with_two_owners_somebody_must_be_named_before_a_yes_counts(shop: Shop, drum: Received) -> None:
    sister = name_person(shop, "drum", Person(name="Ida Quill"), ("owns",))
    choice = offer_choices(shop, "drum", [CHOICE])[0]
    yes = Consent(
        choice_id=choice.id,
        person_id=sister,
        channel="in_person",
        words="yes",
        given_at=NOON,
        lines=agree_to_all(choice),
    )
    with pytest.raises(RuleBroken, match="nobody is named yet who may instruct"):
        record_consent(shop, "drum", yes)
    name_person(shop, "drum", clock_page(shop, "drum").people[sister], ("may_instruct",))

    assert record_consent(shop, "drum", yes).noted_by == "repairer"


def test_a_clock_does_not_leave_with_the_shops_pendulum_on(shop: Shop, drum: Received) -> None:
    lent = move_part(
        shop, "drum", CustodyLine(what="test pendulum", kind="lent_by_shop", where="on the clock", since=NOON)
    )
    with pytest.raises(RuleBroken, match="test pendulum is still on the clock"):
        release_clock(shop, "drum", person_id=drum.person_ids[0])
    part_is_back(shop, "drum", lent.id)

    assert release_clock(shop, "drum", person_id=drum.person_ids[0], why="sold").gone_at is not None


@pytest.mark.parametrize("changes", [{"stage": "gone"}, {"gone_because": "sold"}, {"collected_by": "p"}])
def test_a_clock_never_goes_by_the_side_door(shop: Shop, drum: Received, changes: dict[str, str]) -> None:
    with pytest.raises(RuleBroken, match="only by being released"):
        change_visit(shop, "drum", changes)


def test_a_clock_with_something_open_goes_only_for_a_reason_that_is_kept(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    plan = plan_proof(shop, "drum", PLAN)
    begin_proof(shop, "drum", plan.id)
    note_stop(shop, "drum", plan.id, "on day 3, hands at 3:40")
    end_proof(shop, "drum", plan.id)
    before = clock_page(shop, "drum")
    for why in (None, "  "):
        with pytest.raises(RuleBroken, match=r"hands at 3:40.*1 agreed work is not written down.*say why"):
            release_clock(shop, "drum", person_id=drum.person_ids[0], why=why)
    untouched = clock_page(shop, "drum")
    release_clock(shop, "drum", person_id=drum.person_ids[0], why=" she is moving house ")
    page = clock_page(shop, "drum")

    assert untouched == before
    assert page.visit.gone_because == "she is moving house"
    assert history_of(shop, "drum")[-1].after["gone_because"] == "she is moving house"  # type: ignore[index]
    assert page.record_sha256 != before.record_sha256
    assert check_shop(shop)["verdict"] == "sound"


def test_a_clock_with_nothing_open_needs_no_reason_and_a_note_is_none(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    enter_work(shop, "drum", Work(work="straighten", component="staff", by="repairer"))
    plan = plan_proof(shop, "drum", PLAN)
    begin_proof(shop, "drum", plan.id)
    read_on_test(shop, "drum", plan.id, replace(ARC, value=205.0))
    end_proof(shop, "drum", plan.id)

    assert release_clock(shop, "drum", person_id=drum.person_ids[0], why="shown how to wind it").gone_because is None


def test_nothing_is_done_to_a_clock_that_went_home_until_it_is_received_again(shop: Shop, drum: Received) -> None:
    consent = agreed(shop, drum)
    release_clock(shop, "drum", person_id=drum.person_ids[0], why="the owner wants it back")
    home = clock_page(shop, "drum")
    deeds: dict[str, Callable[[], object]] = {
        "finding": lambda: add_finding(shop, "drum", BENT),
        "correction": lambda: correct_finding(shop, "drum", "finding-1", {"extent": "slight"}, why="misheard"),
        "reading": lambda: add_measurement(shop, "drum", ARC),
        "work": lambda: enter_work(shop, "drum", Work(work="straighten", component="staff", by="repairer")),
        "round": lambda: begin_round(shop, "drum"),
        "test": lambda: plan_proof(shop, "drum", PLAN),
        "choice": lambda: offer_choices(shop, "drum", [CHOICE]),
        "answer": lambda: withdraw_consent(shop, "drum", consent.id, words="no"),
        "visit": lambda: change_visit(shop, "drum", {"aim": Aim(what="to_be_shown")}),
        "release": lambda: release_clock(shop, "drum", person_id=drum.person_ids[0], why="again"),
    }
    for name, deed in deeds.items():
        with pytest.raises(RuleBroken, match="went home on 2 March 2026; receive it again to go on"):
            deed()
        assert clock_page(shop, "drum") == home, name
    receive_again(shop, "drum", Visit(received_at=shop.now()))

    assert add_finding(shop, "drum", BENT).visit_id == "visit-2"


def test_where_an_owner_is_reached_can_be_written_after_the_clock_went_home(shop: Shop, drum: Received) -> None:
    release_clock(shop, "drum", person_id=drum.person_ids[0], why="the owner wants it back")
    moved = write_person(shop, "drum", drum.person_ids[0], {"address": "2 Mill Row"}, ("owns", "brings", "pays"))

    assert moved.address == "2 Mill Row"


def test_a_test_of_less_than_a_day_is_no_test(shop: Shop, drum: Received) -> None:
    with pytest.raises(RuleBroken, match=r"hours: 0\.0001 is too short; a test goes a day at the least"):
        plan_proof(shop, "drum", replace(PLAN, lasts_h=0.0001))
    assert clock_page(shop, "drum").proofs == ()
    assert plan_proof(shop, "drum", replace(PLAN, lasts_h=24.0)).lasts_h == 24.0  # Pinned: as laid down


def test_a_result_read_with_a_lent_part_does_not_count(shop: Shop, drum: Received) -> None:
    plan = plan_proof(shop, "drum", PLAN)
    begin_proof(shop, "drum", plan.id)

    with pytest.raises(RuleBroken, match="a result counts only with its own parts"):
        read_on_test(shop, "drum", plan.id, replace(ARC, value=205.0, lent_parts=("platform",)))
    assert end_proof(shop, "drum", plan.id).verdict == "not_yet"


def test_a_stop_on_test_fails_it_and_it_stays_failed(shop: Shop, drum: Received) -> None:
    plan = plan_proof(shop, "drum", PLAN)
    begin_proof(shop, "drum", plan.id)
    note_stop(shop, "drum", plan.id, "third day at 4:10")
    failed = end_proof(shop, "drum", plan.id)

    assert (failed.verdict, failed.verdict_words) == ("failed", "it stopped: third day at 4:10")
    with pytest.raises(RuleBroken, match="begin a new one"):
        end_proof(shop, "drum", plan.id)


def test_people_are_found_and_changed_with_their_history_kept(shop: Shop, drum: Received) -> None:
    found = find_people(shop, "quill")
    changed = write_person(
        shop, "drum", found[0].id, {"telephone": "01632 960777"}, ("owns", "brings", "pays"), why="moved house"
    )

    assert [one.name for one in found] == ["Hester Quill"]
    assert find_people(shop, "960777") == (changed,)
    assert find_people(shop, "%") == ()
    with pytest.raises(BadInput, match="age: there is no such field of a person"):
        write_person(shop, "drum", found[0].id, {"age": "90"}, ("owns",))


def test_a_round_keeps_what_was_predicted_beside_what_was_seen(shop: Shop, drum: Received) -> None:
    first = begin_round(shop, "drum", thought="the staff")
    change_round(
        shop,
        "drum",
        first.id,
        {"predicted": (Prediction(quantity="half_arc", low=170.0, likely=200.0, high=225.0, unit="deg"),)},
    )
    seen = change_round(
        shop, "drum", first.id, {"seen": (add_measurement(shop, "drum", ARC).id,), "learned": "lower than thought"}
    )

    assert seen.predicted_at is not None
    assert seen.seen_at is not None
    assert seen.predicted_at < seen.seen_at
    with pytest.raises(RuleBroken, match="what was predicted stays"):
        change_round(shop, "drum", first.id, {"predicted": ()})


def test_the_case_is_the_clock_as_it_was_found(shop: Shop, drum: Received) -> None:
    change_clock(shop, "drum", {"movement": {"full_torque_n_m": 0.7}})
    change_visit(
        shop,
        "drum",
        {"complaint": Complaint(runs_for_s=1200.0, since="moved", races=False), "aim": Aim(wishes=("do not polish",))},
    )
    add_finding(shop, "drum", replace(BENT, of="balance", extent="slight"))
    first = add_measurement(shop, "drum", ARC)
    round_ = begin_round(shop, "drum")
    later = add_measurement(shop, "drum", replace(ARC, value=210.0))
    change_round(
        shop, "drum", round_.id, {"seen": (later.id,), "trials": (Trial(component="platform", result="no_change"),)}
    )
    wrong = add_measurement(shop, "drum", replace(ARC, value=18.0))
    reject_measurement(shop, "drum", wrong.id, why="a figure was left out")
    case = case_of(shop, "drum")

    # Derived: what was entered above, and nothing that was not told.
    assert case == {
        "family": "open_spring_balance_30h",
        "movement": {"full_torque_n_m": 0.7},
        "complaint": {"runs_for_s": 1200.0, "since": "moved", "races": False},
        "findings": [
            {
                "id": "finding-1",
                "component": "staff",
                "of": "balance",
                "place": None,
                "condition": "bent",
                "state": "present",
                "certainty": 0.7,
                "extent": "slight",
                "significance": None,
                "who": "repairer",
            }
        ],
        "measurements": [
            {
                "id": first.id,
                "quantity": "half_arc",
                "of": "balance",
                "place": None,
                "position": None,
                "value": 180.0,
                "unit": "deg",
                "since_winding_h": None,
                "u": 5.0,
            }
        ],
        "trials": [{"component": "platform", "of": None, "result": "no_change"}],
    }


def test_a_return_under_warranty_sees_the_earlier_visit(shop: Shop, drum: Received) -> None:
    add_finding(shop, "drum", BENT)
    with pytest.raises(RuleBroken, match="has not left since it last came"):
        receive_again(shop, "drum", Visit(received_at=NOON))
    release_clock(shop, "drum", person_id=drum.person_ids[0], why="the owner wants it back")
    receive_again(
        shop,
        "drum",
        Visit(received_at=datetime(2026, 9, 1, 9, tzinfo=UTC), under_warranty=True, earlier_visit_id="visit-1"),
    )
    page = clock_page(shop, "drum")

    assert (page.visit.id, page.visit.earlier_visit_id) == ("visit-2", "visit-1")
    assert page.findings == ()
    assert [one.component for one in clock_page(shop, "drum", visit_id="visit-1").findings] == ["staff"]
    assert {one.part for one in page.parts} == {"owns", "brings", "pays"}


def test_somebody_who_no_longer_owns_may_not_collect(shop: Shop, drum: Received) -> None:
    write_person(shop, "drum", drum.person_ids[0], {}, ("brings", "pays"), why="sold to a niece")

    assert in_the_shop(shop).lines[0].owners == ()
    with pytest.raises(RuleBroken, match="may not collect"):
        release_clock(shop, "drum", person_id=drum.person_ids[0])


def test_the_list_has_the_earliest_needed_first_and_finds_by_owner(shop: Shop, drum: Received) -> None:
    for tag, day in (("late", date(2026, 8, 1)), ("soon", date(2026, 4, 1))):
        receive_clock(
            shop,
            Clock(tag=tag, name=f"{tag} clock"),
            Visit(received_at=NOON, aim=Aim(needed_by=Day(on=day, zone="UTC"))),
            ((Person(name="Ömer Field"), ("owns",)),),
        )

    assert [line.tag for line in in_the_shop(shop).lines] == ["soon", "late", "drum"]
    assert [line.tag for line in in_the_shop(shop, search="öMER").lines] == ["soon", "late"]
    assert [line.tag for line in in_the_shop(shop, search="timepiece").lines] == ["drum"]
    assert in_the_shop(shop, search="50% off_").lines == ()
    page = in_the_shop(shop, first_count=1, most_count=1)
    # Derived: three clocks, the second alone on this page.
    assert (page.all_count, [line.tag for line in page.lines]) == (3, ["late"])


def test_a_tag_that_is_not_there_names_what_comes_near(shop: Shop, drum: Received) -> None:
    with pytest.raises(NotFound, match=r"has the ticket dru\. Near it: drum\."):
        clock_page(shop, "dru")


def test_the_hash_of_a_record_changes_with_it(shop: Shop, drum: Received) -> None:
    before = clock_page(shop, "drum").record_sha256

    assert clock_page(shop, "drum").record_sha256 == before
    add_finding(shop, "drum", BENT)
    assert clock_page(shop, "drum").record_sha256 != before


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ('colour = "red"', "there is no setting colour"),
        ("currency = 3", "text in quotes"),
        ('currency = "pounds"', "three capital letters"),
        ('zone = "Mars"', "a zone by its place"),
        ("address = 3", "a list of lines"),
        ("hour_price_minor = 4.5", "a whole number"),
        ("pay_within_days = -1", "a whole number of days"),
        ('sheet = "A5"', "A4, Letter"),
        ("telephone = 44", "text in quotes"),
        ("currency", "cannot be read"),
        ('database = "mysql://there"', "no address of a PostgreSQL database"),
    ],
)
def test_settings_that_cannot_be_used_are_named(tmp_path: Path, settings: str, said: str) -> None:
    (tmp_path / "shop.toml").write_text(settings)

    with pytest.raises(BadInput, match=said):
        open_shop(tmp_path)


def test_settings_are_read_from_the_shops_folder(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(
        'name = "The Long Room"\naddress = ["1 Low Lane"]\nhour_price_minor = 5200\ncurrency = "EUR"\n'
        'telephone = "01632 960100"\npay_within_days = 14\n'
    )

    # Pinned: what was written just above.
    assert (found := open_shop(tmp_path).settings).hour_price_minor == 5200
    assert (found.name, found.address, found.currency) == ("The Long Room", ("1 Low Lane",), "EUR")
    # Pinned: what was written just above.
    assert (found.telephone, found.pay_within_days) == ("01632 960100", 14)


def test_a_shop_where_a_file_lies_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")

    with pytest.raises(MachineRefused):
        open_shop(tmp_path / "file" / "shop")
