"""A pattern heard at an arbor points to what makes the torque pulse there."""

from __future__ import annotations

from typing import Any

import pytest

from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.heard_patterns import FAULT_PROBABILITY
from underdial.diagnosis.question import question
from underdial.diagnosis.wording import because

HEARD = {"quantity": "periodic_error", "of": "third_wheel", "value": 0.4, "u": 0.02, "unit": "ms"}


def case(*measurements: dict[str, Any], findings: list[dict[str, Any]] | None = None) -> dict[str, Any]:
    return {
        "family": "english_longcase",
        "complaint": {"runs_for_s": 7200},
        "findings": findings or [],
        "measurements": list(measurements),
        "seed": 1,
    }


def test_every_fault_that_pulses_at_that_arbor_is_suspected_there_and_nowhere_else_by_it() -> None:
    before, after = question(parse_case(case())), question(parse_case(case(HEARD)))
    arbor = after.bench.places.named("third_wheel")
    (pick,) = after.suspicion.picks
    members = [after.suspicion.suspects[number] for number in pick.members]

    assert before.suspicion.picks == ()
    assert pick.probability == FAULT_PROBABILITY
    assert sum(pick.shares) == pytest.approx(1.0)  # Derived: shares of one pick
    assert {one.arbors for one in members} == {(arbor,)}
    assert all(any(term == "ripple" for term, _ in one.law.laws) for one in members)
    assert "TRN-18" in {one.fault for one in members}
    assert all("each turn of the third wheel" in because(after, one)[0] for one in members)
    assert not [one for one in after.unused if "periodic" in one.what]


def test_a_fault_that_was_found_there_explains_the_pattern_alone() -> None:
    bent = {"component": "arbor", "condition": "bent", "state": "present", "of": "third_wheel"}
    found, both = question(parse_case(case(findings=[bent]))), question(parse_case(case(HEARD, findings=[bent])))

    assert [one.members for one in both.suspicion.picks] == [one.members for one in found.suspicion.picks]
    assert [one.probability for one in both.suspicion.suspects] == [one.probability for one in found.suspicion.suspects]
    assert any(
        "each turn of the third wheel" in line
        for one in both.suspicion.suspects
        if one.reports
        for line in because(both, one)
    )


def test_chances_elsewhere_are_not_raised() -> None:
    before, after = question(parse_case(case())), question(parse_case(case(HEARD)))

    def chance(asked: Any, fault: str, skip: int) -> float:
        return sum(
            one.probability
            for one in asked.suspicion.suspects
            if one.fault == fault and not (one.arbors == (skip,) and one.heard)
        )

    arbor = after.bench.places.named("third_wheel")
    assert arbor is not None
    for fault in {one.fault for one in before.suspicion.suspects}:
        # Derived: evidence of one place says nothing of another
        assert chance(after, fault, arbor) <= chance(before, fault, arbor) + 1e-12


@pytest.mark.parametrize("of", [None, "movement", "strike.third_wheel"])
def test_a_pattern_of_no_arbor_of_the_going_train_is_said_to_be_unused(of: str | None) -> None:
    asked = question(parse_case(case({**HEARD, "of": of})))

    assert any("names no arbor of the going train" in one.reason for one in asked.unused)
    assert asked.suspicion.picks == ()
