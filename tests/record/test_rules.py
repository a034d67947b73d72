"""The rules on the records, each shown broken and kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput, RuleBroken
from underdial.record.choice import Choice, PlannedWork, PriceBand
from underdial.record.consent import Consent, ConsentLine, agreed_choice_id, agreed_lines, ceiling, check_agreed
from underdial.record.custody import CustodyLine, check_all_together
from underdial.record.finding import Evidence, Finding, check_change, is_fault, outside_private
from underdial.record.hold import Hold, check_allowed, forbidden
from underdial.record.measurement import Measurement, check_own_parts
from underdial.record.money import Day, Money, total
from underdial.record.people import PartToPlay, check_may, who_may_instruct
from underdial.record.proof import PassLine, Proof, check_results, judge, span_words
from underdial.record.visit import HandedOver, Prediction, Round, Visit, check_round_change
from underdial.record.work import Work, check_work, left_to_do

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
LATER = NOON + timedelta(hours=1)
BENT = Finding(component="staff", condition="bent", state="present", certainty=0.7)
BUSH = ConsentLine(line="a", work="bush", component="pivot_hole", of="third_wheel", answer="yes")
YES = Consent(
    choice_id="choice-1",
    person_id="p1",
    channel="telephone",
    words="go ahead",
    given_at=NOON,
    lines=(BUSH,),
    ceiling=Money(amount_minor=30000, currency="GBP"),
)
OIL = {"line": "a", "work": "oil", "component": "movement"}
BUSHED = Work(work="bush", component="pivot_hole", of="third_wheel", by="repairer")
DISPUTE = Hold(reason="dispute", why="two owners do not agree", forbids=("alter", "release"), since=NOON)
ARC = Measurement(quantity="half_arc", value=2.1, unit="deg", id="m1")
TEST = Proof(
    title="bare",
    planned_at=NOON,
    began_at=NOON,
    ended_at=NOON + timedelta(hours=192),
    lasts_h=192.0,
    lines=(PassLine(quantity="half_arc", low=1.8, high=3.0, unit="deg"),),
    results=("m1",),
)


def test_a_hedge_is_not_made_surer_by_writing() -> None:
    with pytest.raises(RuleBroken, match="a hedge is not made surer"):
        check_change(BENT, replace(BENT, certainty=0.97))


def test_a_hedge_may_be_made_surer_by_new_evidence_and_less_sure_by_anybody() -> None:
    check_change(BENT, replace(BENT, certainty=0.97, evidence=(Evidence(kind="picture", source="attachment-1"),)))
    check_change(BENT, replace(BENT, certainty=0.4))


@given(st.floats(0, 1), st.floats(0, 1))
def test_certainty_rises_only_with_evidence_whatever_it_was(before: float, after: float) -> None:
    first, second = replace(BENT, certainty=before), replace(BENT, certainty=after)
    if after > before:
        with pytest.raises(RuleBroken):
            check_change(first, second)
    else:
        check_change(first, second)


def test_what_was_not_examined_cannot_become_sound_at_a_desk() -> None:
    unseen = Finding(component="mainspring", condition="unexamined", state="not_examined", why="could_not_be_reached")

    with pytest.raises(RuleBroken, match="mainspring was not examined"):
        check_change(unseen, replace(unseen, condition="good", state="present", why=None))


def test_only_a_part_not_examined_has_a_reason_why() -> None:
    with pytest.raises(RuleBroken, match="the state of staff is present"):
        replace(BENT, why="not_looked_at")


def test_not_with_the_clock_is_no_fault_and_missing_is() -> None:
    assert not is_fault(Finding(component="pendulum", condition="not_with_clock", state="present"))
    assert is_fault(Finding(component="pendulum", condition="missing", state="present"))


def test_an_absent_or_rejected_fault_is_no_fault() -> None:
    assert not is_fault(replace(BENT, state="absent"))
    assert not is_fault(replace(BENT, standing="rejected"))


def test_a_certainty_above_one_is_refused_with_the_range() -> None:
    with pytest.raises(BadInput, match=r"certainty: 1\.2 will not do; allowed: 0 to 1"):
        replace(BENT, certainty=1.2)


def test_what_was_said_in_private_is_left_out() -> None:
    heard = tuple(replace(BENT, start_s=float(start), end_s=start + 2.0) for start in (0, 10, 20, 30))

    kept = outside_private(heard, [(11.0, 21.0)])

    # Derived: 10 to 12 and 20 to 22 touch 11 to 21; 0 to 2 and 30 to 32 do not.
    assert [one.start_s for one in kept] == [0.0, 30.0]


def test_a_hold_forbids_what_it_names_and_says_why() -> None:
    with pytest.raises(RuleBroken, match="says not to release: two owners do not agree"):
        check_allowed([DISPUTE], deed="release")
    check_allowed([DISPUTE], deed="open")


def test_a_lifted_hold_forbids_nothing() -> None:
    lifted = replace(DISPUTE, lifted_at=LATER, lifted_by="repairer", lifted_why="both owners signed")

    assert forbidden([lifted]) == {}


def test_a_hold_is_lifted_by_somebody_for_a_reason() -> None:
    with pytest.raises(RuleBroken, match="lifted by somebody and for a reason"):
        replace(DISPUTE, lifted_at=LATER)


def test_a_hold_that_forbids_nothing_is_refused() -> None:
    with pytest.raises(RuleBroken, match="say what may not be done"):
        replace(DISPUTE, forbids=())


def test_no_work_is_entered_that_nobody_agreed_to() -> None:
    with pytest.raises(RuleBroken, match="nobody has agreed to bush on the pivot hole of third wheel"):
        check_work(BUSHED, holds=(), consents=(), done=())
    check_work(BUSHED, holds=(), consents=(YES,), done=())


def test_consent_for_one_wheel_is_none_for_another() -> None:
    with pytest.raises(RuleBroken, match="second wheel"):
        check_work(replace(BUSHED, of="second_wheel"), holds=(), consents=(YES,), done=())


def test_a_dispute_stops_even_agreed_work() -> None:
    with pytest.raises(RuleBroken, match="two owners do not agree"):
        check_work(BUSHED, holds=(DISPUTE,), consents=(YES,), done=())


def test_looking_needs_no_consent_but_must_be_looking() -> None:
    check_work(
        Work(work="inspect", component="movement", by="repairer", alters=False), holds=(DISPUTE,), consents=(), done=()
    )
    with pytest.raises(RuleBroken, match="not only looking"):
        check_work(replace(BUSHED, alters=False), holds=(), consents=(), done=())


def test_the_agreed_ceiling_is_not_passed_without_asking() -> None:
    before = replace(BUSHED, id="work-1", charged=Money(amount_minor=25000, currency="GBP"))
    over = replace(BUSHED, charged=Money(amount_minor=5001, currency="GBP"))

    # Derived: 250.00 + 50.01 is 0.01 above 300.00.
    with pytest.raises(RuleBroken, match=r"0\.01 GBP above the agreed ceiling of 300\.00"):
        check_work(over, holds=(), consents=(YES,), done=(before,))
    check_work(
        replace(over, charged=Money(amount_minor=5000, currency="GBP")), holds=(), consents=(YES,), done=(before,)
    )


def test_a_later_no_takes_back_an_earlier_yes() -> None:
    no = replace(YES, given_at=LATER, lines=(replace(BUSH, answer="no"),), ceiling=None)

    assert agreed_lines([no, YES]) == {}
    assert list(agreed_lines([YES])) == [("bush", "pivot_hole", "third_wheel", None)]


def test_a_withdrawn_consent_does_not_wake_an_older_one() -> None:
    second = replace(YES, given_at=LATER, withdrawn_at=LATER + timedelta(hours=1))

    assert agreed_lines([YES, second]) == {}


def test_an_answer_taken_back_takes_only_its_own_lines() -> None:
    first = replace(YES, withdrawn_at=LATER + timedelta(hours=1))
    again = replace(YES, given_at=LATER)

    assert list(agreed_lines([first, again]).values()) == [BUSH]


SMALL = replace(YES, choice_id="choice-2", given_at=LATER, lines=(ConsentLine(**OIL, answer="yes"),))
OILED = Work(work="oil", component="movement", by="repairer")


def test_a_yes_to_another_choice_ends_what_was_agreed_of_the_first() -> None:
    with pytest.raises(RuleBroken, match="nobody has agreed to bush"):
        check_work(BUSHED, holds=(), consents=(YES, SMALL), done=())
    check_work(OILED, holds=(), consents=(YES, SMALL), done=())

    assert agreed_choice_id([SMALL, YES]) == "choice-2"
    assert agreed_choice_id([YES]) == "choice-1"


def test_the_first_choice_does_not_come_to_life_when_the_second_is_taken_back() -> None:
    back = replace(SMALL, withdrawn_at=LATER + timedelta(hours=1))

    assert agreed_lines([YES, back]) == {}
    assert agreed_choice_id([YES, back]) is None


def test_a_no_to_the_other_choice_leaves_the_one_agreed_to() -> None:
    no = replace(SMALL, lines=(replace(BUSH, answer="no"), ConsentLine(**OIL, answer="no")))

    assert list(agreed_lines([YES, no]).values()) == [BUSH]


def test_a_yes_to_leaving_it_as_it_is_ends_what_was_agreed() -> None:
    assert agreed_lines([YES, replace(YES, choice_id="choice-3", given_at=LATER, lines=(), ceiling=None)]) == {}


def test_a_plain_no_leaves_no_agreed_choice() -> None:
    assert agreed_choice_id([YES, replace(YES, given_at=LATER, lines=(replace(BUSH, answer="no"),))]) is None


FRONT, BACK = replace(BUSH, place="front_plate"), replace(BUSH, line="b", place="back_plate")


def test_a_yes_to_one_place_is_none_to_another() -> None:
    only_back = replace(YES, lines=(replace(FRONT, answer="no"), BACK))

    with pytest.raises(RuleBroken, match=r"nobody has agreed to bush on the pivot hole of third wheel \(front plate\)"):
        check_work(replace(BUSHED, place="front_plate"), holds=(), consents=(only_back,), done=())
    check_work(replace(BUSHED, place="back_plate"), holds=(), consents=(only_back,), done=())


def test_a_yes_without_a_place_is_one_to_each_place_until_one_is_refused() -> None:
    check_work(replace(BUSHED, place="front_plate"), holds=(), consents=(YES,), done=())
    no = replace(YES, given_at=LATER, lines=(replace(FRONT, answer="no"),), ceiling=None)

    with pytest.raises(RuleBroken, match="nobody has agreed"):
        check_work(replace(BUSHED, place="front_plate"), holds=(), consents=(YES, no), done=())
    check_work(replace(BUSHED, place="back_plate"), holds=(), consents=(YES, no), done=())


def test_a_place_that_is_not_told_is_that_of_the_only_line_agreed() -> None:
    both = replace(YES, lines=(FRONT, BACK))

    assert check_agreed([replace(YES, lines=(BACK,))], work="bush", component="pivot_hole", of="third_wheel") == BACK
    with pytest.raises(RuleBroken, match="agreed to for front plate, back plate; say at which"):
        check_work(BUSHED, holds=(), consents=(both,), done=())


def test_what_is_left_to_do_is_told_by_place_too() -> None:
    both = replace(YES, lines=(FRONT, BACK))

    assert left_to_do([both], [replace(BUSHED, place="front_plate")]) == (BACK,)
    assert left_to_do([YES], [replace(BUSHED, place="front_plate")]) == ()


def pounds(amount: int) -> Money:
    return Money(amount_minor=100 * amount, currency="GBP")


@pytest.mark.parametrize(
    ("first", "second", "taken_back", "stays"),
    [(400, 100, 1, 100), (100, 400, 1, 100), (400, 100, 0, 100), (100, 400, 0, 400), (400, None, 0, 400)],
)
def test_an_answer_taken_back_never_raises_the_ceiling(
    first: int, second: int | None, taken_back: int, stays: int
) -> None:
    given = [
        replace(YES, ceiling=pounds(first)),
        replace(YES, given_at=LATER, ceiling=None if second is None else pounds(second)),
    ]
    given[taken_back] = replace(given[taken_back], withdrawn_at=LATER + timedelta(hours=1))

    # Derived: the lower of what was named last before, and what stands after.
    assert ceiling(given) == pounds(stays)


def test_a_later_answer_may_raise_the_ceiling_again() -> None:
    back = replace(YES, given_at=LATER, ceiling=pounds(100), withdrawn_at=LATER + timedelta(hours=1))
    more = replace(YES, given_at=LATER + timedelta(hours=2), ceiling=pounds(500))

    # Derived: the sum named last by an answer that stands.
    assert ceiling([YES, back, more]) == pounds(500)


def test_the_ceiling_is_that_of_the_latest_consent_that_names_one() -> None:
    raised = replace(YES, given_at=LATER, ceiling=Money(amount_minor=40000, currency="GBP"))

    # Derived: the later of 300.00 and 400.00.
    assert ceiling([raised, YES]) == Money(amount_minor=40000, currency="GBP")


def test_the_only_owner_may_instruct_and_two_owners_may_not_until_one_is_named() -> None:
    one, two = PartToPlay(person_id="p1", part="owns"), PartToPlay(person_id="p2", part="owns")

    assert who_may_instruct([one]) == ("p1",)
    assert who_may_instruct([one, two]) == ()
    assert who_may_instruct([one, two, PartToPlay(person_id="p2", part="may_instruct")]) == ("p2",)


def test_somebody_who_only_brings_may_neither_instruct_nor_collect() -> None:
    parts = [PartToPlay(person_id="p1", part="owns"), PartToPlay(person_id="p3", part="brings")]

    for what in ("instruct", "collect"):
        with pytest.raises(RuleBroken, match=f"may not {what}"):
            check_may(parts, person_id="p3", what=what)


def test_a_clock_leaves_only_without_the_shops_parts_and_with_all_its_own() -> None:
    lent = CustodyLine(what="test pendulum", kind="lent_by_shop", where="on the clock", since=NOON)
    out = CustodyLine(what="dial", kind="sent_out", where="restorer", with_whom="a dial restorer", since=NOON)

    with pytest.raises(RuleBroken, match="test pendulum is still on the clock"):
        check_all_together([lent])
    with pytest.raises(RuleBroken, match=r"dial \(with a dial restorer\)"):
        check_all_together([out])
    check_all_together(
        [
            replace(out, back_at=LATER, checked_back_by="repairer"),
            replace(lent, back_at=LATER, checked_back_by="repairer"),
        ]
    )


def test_a_part_is_back_only_when_somebody_has_checked_it() -> None:
    with pytest.raises(RuleBroken, match="say who"):
        CustodyLine(what="dial", kind="sent_out", where="restorer", since=NOON, back_at=LATER)


def test_a_result_counts_only_with_the_clocks_own_parts() -> None:
    with pytest.raises(RuleBroken, match="shop's pendulum on the clock"):
        check_own_parts(replace(ARC, lent_parts=("pendulum",)))


def test_a_test_is_passed_by_readings_that_count_over_its_whole_time() -> None:
    assert judge(TEST, {"m1": ARC})[0] == "passed"
    assert judge(TEST, {"m1": replace(ARC, lent_parts=("weight",))})[0] == "not_yet"
    assert judge(replace(TEST, ended_at=NOON + timedelta(hours=191)), {"m1": ARC})[0] == "not_yet"
    assert judge(TEST, {"m1": replace(ARC, value=1.7)}) == ("failed", ("half arc: 1.7 deg lies outside 1.8 to 3",))
    assert judge(replace(TEST, stops=("on the third day at 4:10",)), {"m1": ARC})[0] == "failed"


def test_a_count_without_an_end_is_passed_once_it_is_reached_and_fails_nothing_before() -> None:
    line = PassLine(quantity="times_past_the_stop", low=2.0, words="times it went past")
    counted = replace(TEST, lines=(line,), results=("m1", "m2"))
    once, thrice = (Measurement(quantity="times_past_the_stop", value=value) for value in (1.0, 3.0))

    assert line.must_be == "2 or more"
    assert judge(counted, {}) == ("not_yet", ("times it went past: no reading yet with the clock's own parts",))
    assert judge(counted, {"m1": once}) == ("not_yet", ("times it went past: 1 of 2 so far",))
    assert judge(counted, {"m1": once, "m2": thrice}) == ("passed", ())


def test_a_line_of_one_number_is_that_number() -> None:
    line = PassLine(quantity="hours_struck_by_hand", low=12.0, high=12.0, words="hours struck right")
    eleven = Measurement(quantity="hours_struck_by_hand", value=11.0)

    assert line.must_be == "12"
    assert judge(replace(TEST, lines=(line,)), {"m1": eleven}) == (
        "failed",
        ("hours struck right: 11, and must be 12",),
    )


@pytest.mark.parametrize(
    ("span_h", "words"),
    [
        # Derived: hours to full minutes, 0.00500054 h is 18 s and 23.99 h is 23 h 59.4 min
        (0.0, "under a minute"),
        (0.00500054, "under a minute"),
        (1 / 60, "1 minute"),
        (0.5, "30 minutes"),
        (1.0, "1 hour"),
        (23.99, "23 hours 59 minutes"),
        (216.0, "216 hours"),
    ],
)
def test_a_span_is_said_in_full_minutes(span_h: float, words: str) -> None:
    assert span_words(span_h) == words


def test_a_plan_made_after_the_test_began_proves_nothing() -> None:
    with pytest.raises(RuleBroken, match="proves nothing"):
        replace(TEST, planned_at=LATER)


def test_results_wait_until_the_test_has_begun() -> None:
    with pytest.raises(RuleBroken, match="say when the test began"):
        check_results(replace(TEST, began_at=None, results=()), [ARC])


def test_what_was_predicted_stays_once_it_was_seen() -> None:
    first = Round(
        number_count=1,
        began_at=NOON,
        predicted=(Prediction(quantity="half_arc", low=1.8, likely=2.2, high=2.6, unit="deg"),),
    )
    seen = replace(first, seen=("m1",), seen_at=LATER)

    with pytest.raises(RuleBroken, match="what was predicted stays"):
        check_round_change(seen, replace(seen, predicted=()))
    check_round_change(first, seen)


def test_a_return_under_warranty_names_the_visit_it_returns_from() -> None:
    with pytest.raises(RuleBroken, match="needs the earlier visit"):
        Visit(received_at=NOON, under_warranty=True)


def test_a_clock_cannot_leave_before_it_came() -> None:
    with pytest.raises(RuleBroken, match="before it was received"):
        Visit(received_at=LATER, stage="gone", gone_at=NOON)


@pytest.mark.parametrize("told", [{"stage": "gone"}, {"stage": "on_test", "gone_at": LATER}])
def test_a_clock_has_gone_exactly_when_it_is_written_when_it_went(told: dict[str, Any]) -> None:
    with pytest.raises(RuleBroken, match="stage and time do not agree"):
        Visit(received_at=NOON, **told)


def test_a_loose_part_at_the_counter_has_one_of_three_states() -> None:
    with pytest.raises(BadInput, match="with_clock, not_with_clock, missing"):
        HandedOver(component="pendulum", status="somewhere")


def test_two_currencies_are_never_added() -> None:
    with pytest.raises(RuleBroken, match="EUR cannot be added to GBP"):
        total((Money(amount_minor=1, currency="EUR"),), currency="GBP")


def test_money_is_whole_pence() -> None:
    with pytest.raises(BadInput, match="a whole number of pence"):
        Money(amount_minor=1.5, currency="GBP")  # type: ignore[arg-type]


def test_a_day_needs_a_zone_that_exists() -> None:
    with pytest.raises(BadInput, match="a zone by its place"):
        Day(on=date(2026, 5, 1), zone="Mars/Olympus")


def test_a_price_rises_from_low_to_its_one_ceiling() -> None:
    with pytest.raises(RuleBroken, match="must rise in that order"):
        PriceBand(low_minor=100, likely_minor=90, high_minor=120, ceiling_minor=130, currency="GBP")


def test_the_lines_of_a_choice_are_named_apart() -> None:
    line = PlannedWork(line="a", work="clean", component="movement")

    with pytest.raises(RuleBroken, match="same name"):
        Choice(title="clean twice", works=(line, line))
