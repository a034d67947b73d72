"""From a clock's record to a job that teaches: what was said, what was there, what was done, how it went."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.bench.conftest import NOON
from tests.bench.finished import ARC, BLUNT, OIL, OVERHAUL, POLISH, agree, finish, put_on_test, take_in
from underdial.bench.as_found.looking import add_finding, reject_finding
from underdial.bench.causes.finished_jobs import Finished, job_from
from underdial.bench.counter.holding import set_hold
from underdial.bench.counter.receiving import receive_again
from underdial.bench.rounds.working import begin_round, enter_work, see_in_round
from underdial.bench.shop import Shop, clock_page
from underdial.record.finding import Finding
from underdial.record.hold import Hold
from underdial.record.visit import Prediction, Visit
from underdial.record.work import Work


def job_of(shop: Shop, tag: str = "a") -> Finished:
    return job_from(clock_page(shop, tag))


def test_a_job_holds_what_was_said_found_done_and_read(shop: Shop) -> None:
    received = finish(shop, "a", chance=0.9)
    told = job_of(shop)

    assert told.reason is None
    assert told.job.job_id == f"{received.clock_id}/{received.visit_id}"
    assert told.job.there == {"BAL-04", "TRN-27"}
    assert {"BAL-04", "TRN-27"} <= told.job.put_right
    # Derived: as laid before the owner, passed
    assert (told.job.stated_probability, told.job.ran_full, told.job.stripped) == (0.9, True, True)
    # Derived: as read on the test
    assert [(one["value"], one["position"]) for one in told.job.after] == [(240.0, "12_up")]
    assert [one["value"] for one in told.job.case["measurements"]] == [150.0]  # Derived: as read before the work


def test_what_was_looked_for_in_a_clock_taken_apart_and_not_found_was_not_there(shop: Shop) -> None:
    finish(shop, "a")
    job = job_of(shop).job

    assert "PWR-01" in job.not_there
    assert not job.there & job.not_there


def test_a_clock_that_was_not_taken_apart_says_nothing_of_what_was_not_found(shop: Shop) -> None:
    finish(shop, "a", works=(POLISH,))
    job = job_of(shop).job

    assert (job.stripped, job.not_there) == (False, frozenset())
    assert "BAL-04" in job.there


def test_a_part_that_was_not_examined_is_not_taken_for_sound(shop: Shop) -> None:
    finish(
        shop,
        "a",
        findings=(
            BLUNT,
            Finding(component="mainspring", condition="unexamined", state="not_examined", why="could_not_be_reached"),
        ),
    )

    assert "PWR-01" not in job_of(shop).job.not_there


@pytest.mark.parametrize(
    "weak", [replace(BLUNT, certainty=0.5), replace(BLUNT, who="owner")], ids=["a hedge", "the owner's word"]
)
def test_what_was_not_seen_for_sure_is_neither_there_nor_not(shop: Shop, weak: Finding) -> None:
    finish(shop, "a", findings=(weak, OIL), works=(OVERHAUL,))
    job = job_of(shop).job

    assert "BAL-04" not in job.there | job.not_there


def test_a_hedge_that_a_work_bore_out_was_there(shop: Shop) -> None:
    finish(shop, "a", findings=(replace(BLUNT, certainty=0.5), OIL))

    assert "BAL-04" in job_of(shop).job.there


def test_a_finding_that_could_mean_two_faults_counts_for_the_one_that_was_put_right(shop: Shop) -> None:
    worn = Finding(component="pivot_hole", condition="worn", state="present", extent="moderate")
    finish(shop, "a", findings=(worn,), works=(OVERHAUL,))
    finish(shop, "b", findings=(worn,), works=(OVERHAUL, ("trn_01_bush", "pivot_hole")))

    open_still, known = job_of(shop, "a").job, job_of(shop, "b").job
    assert not {"TRN-01", "TRN-02"} & (open_still.there | open_still.not_there)
    assert "TRN-01" in known.there


def test_a_work_that_answers_no_finding_proves_no_fault(shop: Shop) -> None:
    finish(shop, "a", findings=(OIL,), works=(OVERHAUL, POLISH))
    job = job_of(shop).job

    assert "BAL-04" not in job.there | job.not_there


def test_a_rejected_finding_is_as_if_it_had_not_been_written(shop: Shop) -> None:
    received = take_in(shop, "a")
    reject_finding(shop, "a", clock_page(shop, "a").findings[0].id, why="misheard")
    agree(shop, "a", received, (OVERHAUL,), 0.9)
    enter_work(shop, "a", Work(work="overhaul_one_train", component="movement", by="repairer"))

    assert "BAL-04" in job_of(shop).job.not_there


def test_the_prediction_of_the_round_before_the_test_counts_before_that_of_the_choice(shop: Shop) -> None:
    finish(shop, "a", chance=0.6, predicted=0.8)

    assert job_of(shop).job.stated_probability == 0.8  # Derived: as predicted in the round


def test_a_prediction_made_after_the_test_began_does_not_count(shop: Shop) -> None:
    received = take_in(shop, "a")
    agree(shop, "a", received, (OVERHAUL,), 0.6)
    put_on_test(shop, "a")
    begin_round(
        shop,
        "a",
        predicted=(
            Prediction(quantity="half_arc", unit="deg", low=1.0, likely=2.0, high=3.0, runs_full_probability=0.99),
        ),
    )

    assert job_of(shop).job.stated_probability == 0.6  # Derived: as laid before the owner


def test_a_yes_given_after_the_test_began_states_nothing(shop: Shop) -> None:
    received = take_in(shop, "a")
    put_on_test(shop, "a")
    agree(shop, "a", received, (OVERHAUL,), 0.6)

    assert (job_of(shop).job.stated_probability, job_of(shop).job.ran_full) == (None, True)


def test_the_first_test_decides_and_not_the_one_after_more_work(shop: Shop) -> None:
    received = take_in(shop, "a")
    agree(shop, "a", received, (OVERHAUL, POLISH), 0.9)
    put_on_test(shop, "a", stop="after five hours, at ten past two", arc_deg=170.0)
    enter_work(shop, "a", Work(work="bal_04_re_point_lathe", component="cone_pivot", by="repairer"))
    put_on_test(shop, "a")
    job = job_of(shop).job

    assert job.ran_full is False
    # Derived: the last test is that of the clock with all works done
    assert [one["value"] for one in job.after] == [240.0]


def test_a_test_that_was_failed_by_its_swing_alone_went_its_time(shop: Shop) -> None:
    received = take_in(shop, "a")
    agree(shop, "a", received, (OVERHAUL,), 0.9)
    put_on_test(shop, "a", arc_deg=120.0)

    assert job_of(shop).job.ran_full is None  # no hours were laid down, so it is not known


def test_a_reading_with_the_shop_s_parts_on_says_nothing_of_the_finished_clock(shop: Shop) -> None:
    received = take_in(shop, "a")
    agree(shop, "a", received, (OVERHAUL,), 0.9)
    one = begin_round(shop, "a")
    see_in_round(shop, "a", one.id, replace(ARC, value=250.0, lent_parts=("key",)))
    see_in_round(shop, "a", one.id, replace(ARC, value=230.0))

    assert [row["value"] for row in job_of(shop).job.after] == [230.0]  # Derived: the one with its own parts


def test_a_clock_outside_the_sums_says_why_it_cannot_teach(shop: Shop) -> None:
    finish(shop, "a", family=None)
    told = job_of(shop)

    assert told.reason is not None
    # Derived: what was said still counts
    assert (told.job.there, told.job.not_there, told.job.stated_probability) == (frozenset(), frozenset(), 0.9)


def test_a_second_visit_is_a_job_of_its_own(shop: Shop) -> None:
    first = finish(shop, "a")
    second = receive_again(shop, "a", Visit(received_at=NOON))
    add_finding(shop, "a", OIL)
    set_hold(shop, "a", Hold(reason="other", why="waits", forbids=("alter",), since=NOON))

    assert job_from(clock_page(shop, "a", visit_id=first.visit_id)).job.there == {"BAL-04", "TRN-27"}
    assert job_of(shop).job.job_id == f"{first.clock_id}/{second.visit_id}"
