"""Several look-overs of one clock: what each is called, and which of two findings of one part holds."""

from datetime import UTC, datetime, timedelta

from underdial.record.finding import Evidence, Finding
from underdial.record.look_over import LookOver
from underdial.record.looked_over import called, overtaken, that_hold
from underdial.record.work import Work

RECEIVED = datetime(2026, 5, 3, 10, 0, tzinfo=UTC)
FIRST = LookOver(id="look_over-1", taken_at=RECEIVED, by="the repairer")
SECOND = LookOver(
    id="look_over-2", taken_at=RECEIVED + timedelta(days=2), by="the repairer", occasion="after stripping"
)
LOOKS = (FIRST, SECOND)
# Handed in later, but its recording began before the second.
LATE = LookOver(
    id="look_over-3", taken_at=RECEIVED + timedelta(days=9), begins_at=RECEIVED + timedelta(days=1), by="the repairer"
)


def seen(look, component, condition, **more):
    given = {"state": "present", "of": None, "standing": "confirmed", **more}
    evidence = () if look is None else (Evidence(kind="look_over", source=look.id),)
    name = f"{component}-{condition}-{look.id if look else 'singly'}"
    return Finding(**{"id": name, "component": component, "condition": condition, "evidence": evidence, **given})


def unseen(look, component, why="could_not_be_reached", **more):
    return seen(look, component, "not_accessible", state="not_examined", why=why, **more)


def holds(*findings, looks=LOOKS, works=()):
    return [one.id for one in that_hold(findings, looks, works)]


def test_the_later_look_holds_where_it_says_otherwise_however_they_are_listed():
    before = seen(FIRST, "pivot_hole", "good", of="third_wheel", place="back")
    after = seen(SECOND, "pivot_hole", "worn", of="third_wheel", place="back")

    assert holds(before, after) == holds(after, before) == [after.id]
    assert overtaken((before, after), LOOKS)[before.id] == after


def test_what_was_said_of_another_part_place_or_in_the_same_look_stands():
    back = seen(FIRST, "pivot_hole", "good", of="third_wheel", place="back")
    front = seen(SECOND, "pivot_hole", "worn", of="third_wheel", place="front")
    fourth = seen(SECOND, "pivot_hole", "worn", of="fourth_wheel", place="back")
    same = seen(FIRST, "pivot_hole", "worn", of="third_wheel", place="back", id="same")

    assert holds(back, front, fourth, same) == [back.id, front.id, fourth.id, same.id]


def test_two_faults_of_one_part_stand_side_by_side_and_how_far_one_goes_is_the_later():
    worn = seen(FIRST, "pivot_hole", "worn", of="third_wheel", place="back", extent="slight")
    cracked = seen(SECOND, "pivot_hole", "cracked", of="third_wheel", place="back")
    worse = seen(SECOND, "pivot_hole", "worn", of="third_wheel", place="back", extent="bad")

    assert holds(worn, cracked) == [worn.id, cracked.id]
    assert holds(worn, cracked, worse) == [cracked.id, worse.id]


def test_when_a_recording_began_decides_and_not_when_it_was_handed_in():
    second = seen(SECOND, "mainspring", "good")
    late = seen(LATE, "mainspring", "set")

    assert holds(second, late, looks=(*LOOKS, LATE)) == [second.id]


def test_what_one_look_did_not_reach_and_another_saw_is_no_longer_unexamined():
    first = unseen(FIRST, "mainspring")
    later = seen(SECOND, "mainspring", "set", place="inner")
    again = unseen(SECOND, "crutch")
    crutch = seen(FIRST, "crutch", "loose")
    singly = seen(None, "suspension_spring", "bent")

    assert holds(first, later) == [later.id]
    assert holds(crutch, again) == [crutch.id]
    assert holds(unseen(FIRST, "suspension_spring"), singly) == [singly.id]
    assert holds(unseen(FIRST, "fly"), later) == ["fly-not_accessible-look_over-1", later.id]


def test_one_end_seen_leaves_the_other_unexamined_and_a_trial_needs_a_later_look():
    pivots = unseen(FIRST, "pivot", of="third_wheel")
    one_end = seen(SECOND, "pivot", "scored", of="third_wheel", place="front")
    untried = unseen(SECOND, "fly", why="not_tested_yet")
    looked_at = seen(FIRST, "fly", "good")

    assert holds(pivots, one_end) == [pivots.id, one_end.id]
    assert holds(looked_at, untried) == [looked_at.id, untried.id]


def test_one_of_a_set_seen_leaves_the_other_unexamined():
    back, front = unseen(FIRST, "back_plate"), seen(SECOND, "front_plate", "scored")
    exit_pallet, entry_pallet = unseen(FIRST, "exit_pallet"), seen(SECOND, "entry_pallet", "worn")
    minute, hour = unseen(FIRST, "minute_hand"), seen(SECOND, "hour_hand", "bent")
    plates, both = unseen(FIRST, "plates"), seen(SECOND, "plates", "scored")

    for one, other in ((back, front), (exit_pallet, entry_pallet), (minute, hour), (plates, front)):
        assert holds(one, other) == [one.id, other.id]
    assert holds(plates, both) == holds(back, both) == [both.id]


def test_what_holds_is_never_itself_overtaken_and_the_same_said_again_stands():
    third = LookOver(id="look_over-3", taken_at=RECEIVED + timedelta(days=4), by="the repairer")
    looks = (*LOOKS, third)
    slight, bad, gone = (
        seen(FIRST, "mainspring", "set", extent="slight"),
        seen(SECOND, "mainspring", "set", extent="bad"),
        seen(third, "mainspring", "set", state="absent"),
    )
    good, worn, again = seen(FIRST, "fly", "good"), seen(SECOND, "fly", "worn"), seen(third, "fly", "good")

    assert overtaken((slight, bad, gone), looks) == {slight.id: gone, bad.id: gone}
    assert overtaken((good, worn, again), looks) == {worn.id: again}


def test_a_later_finding_that_is_rejected_gives_way_and_one_after_work_takes_no_place():
    before, after = seen(FIRST, "mainspring", "set"), seen(SECOND, "mainspring", "good")
    rejected = seen(SECOND, "mainspring", "good", standing="rejected")
    done = Work(
        work="replace", component="mainspring", by="the repairer", done_at=RECEIVED + timedelta(days=1), id="work-1"
    )

    assert holds(before, rejected) == [before.id, rejected.id]
    assert holds(before, after) == [after.id]
    assert holds(before, after, works=(done,)) == [before.id, after.id]


def test_a_look_over_is_called_by_its_occasion_else_by_its_place_in_time():
    assert called(FIRST, (FIRST,)) == "The look-over"
    assert [called(one, (*LOOKS, LATE)) for one in (*LOOKS, LATE)] == [
        "First look-over",
        "After stripping",
        "Second look-over",
    ]
