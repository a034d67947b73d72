"""What was found stands among the works of the choices or is told as left, whether or not the sums use it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.diagnosis.cases import asked, finding, leading
from underdial.diagnosis.answer import assemble
from underdial.diagnosis.choices import Choice, Price, choices
from underdial.diagnosis.found_faults import FoundFault, found_faults, remedy_for, work_of
from underdial.diagnosis.work_lines import work_lines

LONGCASE: dict[str, Any] = {
    "complaint": {"stops_at": "before_hour", "strikes": "wrong_count"},
    "findings": [
        finding("gut_line", "frayed", of="strike", decision="replace", id="f-line"),
        finding("lifting_piece", "tight", significance="stops", id="f-piece"),
        finding("rack", "sticking", significance="contributes"),
        finding("pivot_hole", "oval", of="third_wheel", place="back", significance="contributes"),
        finding("base", "wormed", place="back"),
        finding("dial", "flaking", significance="cosmetic", decision="leave"),
        finding("hour_hand", "replaced"),
        finding("movement", "old_oil"),
    ],
}


@pytest.fixture(scope="module")
def longcase() -> tuple[Any, ...]:
    one = asked("english_longcase", **LONGCASE)
    _, found, causes = leading(one)
    return one, found, causes, choices(one, found, causes, Price())


def rows(family: str, *findings: dict[str, Any], **more: Any) -> tuple[FoundFault, ...]:
    """The faults found of a clock of which nothing was told."""
    return found_faults(asked(family, findings=list(findings), **more))


def of_part(choice: Choice, component: str) -> list[str]:
    """Works of a choice at a part."""
    return [line.work for line in choice.lines if line.component == component]


def test_a_frayed_line_under_a_weight_is_in_every_choice_that_does_anything(longcase: tuple[Any, ...]) -> None:
    offered = longcase[3]

    assert len(offered) >= 3  # Derived: to leave it, the smallest, the whole job
    assert [of_part(one, "gut_line") for one in offered[1:]] == [["PWR-26.new_line_fill"]] * len(offered[1:])
    assert "the gut line of the strike train is frayed" in [row.words for row in offered[0].left]


def test_what_stops_the_clock_is_named_though_an_overhaul_frees_it(longcase: tuple[Any, ...]) -> None:
    offered = [one for one in longcase[3] if one.works and one.works[0].startswith("overhaul")]

    assert offered
    for one in offered:
        line = next(row for row in one.lines if row.component == "lifting_piece")
        assert (line.work, line.low_h, line.high_h) == ("STR-09.clean_free_levers", 0.0, 0.0)  # Derived: no work more


def test_a_striking_clock_is_overhauled_in_both_its_trains(longcase: tuple[Any, ...]) -> None:
    overhauls = {work for one in longcase[3] for work in one.works if work.startswith("overhaul")}

    assert overhauls == {"overhaul_two_train"}  # Derived: its going train and the strike that was told of


def test_what_stays_is_told_from_the_record(longcase: tuple[Any, ...]) -> None:
    one, found, causes, offered = longcase
    answer = assemble(one, found, causes, np.random.default_rng(1), Price(), None)
    last = answer["choices"][-1]

    assert len(answer["choices"]) == len(offered)
    assert {"the base, back, is wormed", "the dial shows flaking paint"} <= set(last["unfixed_words"])
    assert not any("replaced" in words for words in last["unfixed_words"])  # Derived: that is history, no fault
    assert next(w for w in last["works"] if w["component"] == "gut_line")["findings"] == ["f-line"]
    by_part = {row["component"]: row for row in answer["found"]}
    assert by_part["gut_line"]["dangerous"]
    assert by_part["dial"]["work"] is None  # Derived: it was said to be left


def test_what_is_to_be_replaced_is_left_out_of_the_smallest_choice_alone() -> None:
    one = asked(
        "english_fusee_bracket",
        complaint={"stops_at": "same_dial_time"},
        findings=[
            finding("minute_hand", "rubbing", significance="stops", against="glass"),
            finding("gut_line", "frayed", decision="replace"),
            finding("pallets", "grooved"),
        ],
    )
    _, found, causes = leading(one)
    offered = choices(one, found, causes, Price())

    # Derived: to leave it, the smallest, and those above it.
    leave, smallest, *above = [bool(of_part(each, "gut_line")) for each in offered]
    assert not leave
    assert not smallest
    assert above
    assert all(above)


def test_a_missing_part_is_made_and_not_adjusted() -> None:
    missing, loose = rows(
        "english_longcase", finding("fly_spring", "missing", of="strike"), finding("fly", "loose", of="strike")
    )

    assert work_of(missing) is not None
    assert (work_of(missing).id, work_of(loose).id) == ("STR-05.new_fly_spring", "STR-05.tension_fly_spring")  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("fault", "condition", "decision", "remedy"),
    [
        ("CAS-09", "loose", None, "refit_putty_tabs"),
        ("CAS-09", "broken", None, "new_glass"),
        ("PWR-18", "worn", None, "dress_click_tip"),
        ("PWR-18", "worn", "replace", "new_click_keep"),
        ("PWR-26", "frayed", None, "new_line_fill"),
    ],
)
def test_the_remedy_follows_the_condition_and_what_was_decided(
    fault: str, condition: str, decision: str | None, remedy: str
) -> None:
    found = remedy_for(fault, condition, decision)

    assert found is not None
    assert found.id == remedy


def test_a_part_that_no_fault_names_has_a_work_once_it_is_to_be_replaced() -> None:
    decided, seen = rows(
        "english_longcase", finding("hood", "loose", decision="replace"), finding("trunk", "scratched")
    )

    assert decided.fault is not None or work_of(decided) is not None
    assert work_of(seen) is None
    assert decided.wanted
    assert not seen.to_mend


def test_two_holes_of_two_wheels_are_two_lines_and_both_ends_twice_the_work() -> None:
    one = asked(
        "english_longcase",
        findings=[
            finding("pivot_hole", "oval", of="third_wheel", place="front"),
            finding("pivot_hole", "oval", of="third_wheel", place="back"),
            finding("pivot_hole", "oval", of="centre_wheel", place="back"),
        ],
    )
    lines = [row for row in work_lines(one, ["TRN-01"], found_faults(one)) if row.fault == "TRN-01"]

    assert [(row.of, row.place) for row in lines] == [("third_wheel", "both"), ("centre_wheel", "back")]
    assert lines[0].high_h == 2 * lines[1].high_h  # Derived: two holes against one


def test_a_fault_that_nobody_found_is_worked_at_with_an_if() -> None:
    one = asked("french_round_pendulum")
    line = next(row for row in work_lines(one, ["PWR-01"], ()) if row.fault == "PWR-01")

    assert line.words.startswith("if the mainspring has lost its spread: ")
    assert not line.findings


def test_to_leave_it_is_the_clock_as_it_stands() -> None:
    one = asked("french_round_pendulum", complaint={"rate_s_per_day": 300.0})
    _, found, causes = leading(one)

    assert choices(one, found, causes, Price())[0].runs_full == causes.runs_as_found


def test_a_rub_on_the_glass_is_not_the_hands_that_catch() -> None:
    said = asked("open_spring_balance_8d", findings=[finding("minute_hand", "rubbing", against="glass")])
    unsaid = asked("open_spring_balance_8d", findings=[finding("minute_hand", "rubbing")])

    assert [s.fault for s in said.suspicion.suspects if s.reports] == ["MOT-02"]
    assert "MOT-01" in [s.fault for s in unsaid.suspicion.suspects if s.reports]


def test_what_is_said_to_be_cosmetic_is_no_cause() -> None:
    one = asked("open_spring_balance_8d", findings=[finding("bezel", "dented", significance="cosmetic")])

    assert not any(suspect.reports for suspect in one.suspicion.suspects)
    assert [row.words for row in found_faults(one)] == ["the bezel is dented"]
    assert "cosmetic" in one.unused[-1].reason


def test_several_faults_found_are_told_together_and_what_nobody_found_is_not() -> None:
    worn = asked(
        "english_fusee_bracket",
        complaint={"runs_for_s": 259_200.0},
        findings=[
            finding("pallets", "grooved"),
            finding("pivot_hole", "oval", of="third_wheel", place="back"),
            finding("back_cock", "loose"),
            finding("pinion", "dirty", of="centre_wheel"),
            finding("movement", "old_oil"),
        ],
    )
    bare = asked("english_fusee_bracket", complaint={"runs_for_s": 86_400.0})
    told = []
    for one in (worn, bare):
        _, found, causes = leading(one)
        told.append(assemble(one, found, causes, np.random.default_rng(1), Price(), None)["found_together"])

    assert "The pallets are grooved" in told[0]["words"]
    assert len(told[0]["words"]) > 2  # Pinned: no two of them carry nearly all
    assert not any(" may " in words for words in told[0]["words"])
    assert told[1] is None  # Derived: nothing was found


def test_the_work_that_begins_answers_what_goes_with_it_and_every_finding_of_a_fault_has_a_work() -> None:
    one = asked(
        "english_longcase",
        findings=[
            finding("movement", "old_oil"),
            finding("pivot_hole", "worn", of="third_wheel", place="front"),
            finding("pivot_hole", "oval", of="third_wheel", place="back"),
            finding("minute_hand", "bent"),
        ],
    )
    lines = work_lines(one, ("TRN-27", "TRN-01"), found_faults(one))

    # Derived: the places in the list above; the hand belongs to neither fault.
    assert lines[0].work.startswith("overhaul")
    assert lines[0].findings == (0,)
    assert {number for line in lines for number in line.findings} == {0, 1, 2}
