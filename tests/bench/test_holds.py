"""A hold stands until somebody lifts it, over every visit, and each deed that can be forbidden is refused somewhere."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.bench.conftest import NOON
from tests.bench.test_job import PLAN, agreed
from underdial.bench.counter.holding import lift_hold, set_hold
from underdial.bench.counter.receiving import Received, receive_again
from underdial.bench.counter.whereabouts import in_the_way
from underdial.bench.rounds.proving import begin_proof, plan_proof, release_clock
from underdial.bench.rounds.working import enter_work, move_part
from underdial.bench.shop import Shop, clock_page, in_the_shop
from underdial.errors import BadInput, RuleBroken
from underdial.record.custody import CustodyLine
from underdial.record.hold import FORBIDDEN, Hold
from underdial.record.visit import Visit
from underdial.record.work import Work

DISPUTE = Hold(reason="dispute", why="two heirs", forbids=("alter", "send_out", "run"), since=NOON)
STRAIGHTENED = Work(work="straighten", component="staff", by="repairer")


def came_again(shop: Shop, drum: Received) -> None:
    release_clock(shop, "drum", person_id=drum.person_ids[0], why="it moves house")
    receive_again(shop, "drum", Visit(received_at=shop.now()))


def test_a_hold_stands_when_the_clock_comes_again(shop: Shop, drum: Received) -> None:
    hold = set_hold(shop, "drum", DISPUTE)
    came_again(shop, drum)
    agreed(shop, drum)
    plan = plan_proof(shop, "drum", PLAN)

    assert clock_page(shop, "drum").holds == (hold,)
    assert in_the_shop(shop).lines[0].held
    with pytest.raises(RuleBroken, match="says not to alter: two heirs"):
        enter_work(shop, "drum", STRAIGHTENED)
    with pytest.raises(RuleBroken, match="says not to send out: two heirs"):
        move_part(shop, "drum", CustodyLine(what="dial", kind="sent_out", where="restorer", since=NOON))
    with pytest.raises(RuleBroken, match="says not to run: two heirs"):
        begin_proof(shop, "drum", plan.id)
    lift_hold(shop, "drum", hold.id, by="repairer", why="they agree")
    assert enter_work(shop, "drum", STRAIGHTENED).consent_line == "staff"


def test_a_hold_on_release_set_at_home_stands_in_the_way_at_the_next_visit(shop: Shop, drum: Received) -> None:
    release_clock(shop, "drum", person_id=drum.person_ids[0], why="it moves house")
    set_hold(shop, "drum", Hold(reason="money_due", why="the bill is open", forbids=("release",), since=NOON))
    receive_again(shop, "drum", Visit(received_at=shop.now()))

    assert len(in_the_way(clock_page(shop, "drum"))) == 1  # Derived: one hold, nothing lent, nothing away.
    with pytest.raises(RuleBroken, match="the bill is open"):
        release_clock(shop, "drum", person_id=drum.person_ids[0], why="it moves house")


def test_the_page_of_a_visit_has_the_holds_of_its_own_time(shop: Shop, drum: Received) -> None:
    lifted = set_hold(shop, "drum", DISPUTE)
    lift_hold(shop, "drum", lifted.id, by="repairer", why="they agree")
    came_again(shop, drum)
    later = set_hold(shop, "drum", replace(DISPUTE, why="a third heir"))

    assert [one.id for one in clock_page(shop, "drum", visit_id="visit-1").holds] == [lifted.id]
    assert clock_page(shop, "drum").holds == (later,)


def test_what_may_not_be_wound_goes_on_no_test(shop: Shop, drum: Received) -> None:
    plan = plan_proof(shop, "drum", PLAN)
    set_hold(shop, "drum", Hold(reason="hazard", why="the click slips", forbids=("wind",), since=NOON))

    with pytest.raises(RuleBroken, match="says not to wind: the click slips"):
        begin_proof(shop, "drum", plan.id)


def test_while_nothing_may_be_discarded_a_work_says_where_the_old_part_is(shop: Shop, drum: Received) -> None:
    agreed(shop, drum)
    set_hold(shop, "drum", Hold(reason="insurer", why="they want to see it", forbids=("discard",), since=NOON))

    with pytest.raises(RuleBroken, match="says not to discard: they want to see it"):
        enter_work(shop, "drum", STRAIGHTENED)
    assert enter_work(shop, "drum", replace(STRAIGHTENED, old_part_kept="bag 4")).old_part_kept == "bag 4"


def test_a_hold_of_before_on_filming_from_near_is_read_and_no_longer_offered() -> None:
    assert Hold(reason="hazard", why="radium", forbids=("film_from_near",), since=NOON).forbids == ("film_from_near",)
    assert "film_from_near" not in FORBIDDEN
    with pytest.raises(BadInput, match="forbids"):
        Hold(reason="hazard", why="radium", forbids=("look_at",), since=NOON)


def test_every_deed_that_can_be_forbidden_is_asked_for_somewhere() -> None:
    import underdial

    source = "".join(one.read_text() for one in Path(str(underdial.__file__)).parent.rglob("*.py"))

    # `wind` is asked for with `run`, as the test above shows.
    assert [one for one in FORBIDDEN if f'deed="{one}"' not in source and f'.get("{one}")' not in source] == ["wind"]
