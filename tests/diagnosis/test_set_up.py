"""Turns of set-up counted on a fusee: usual ones clear the set-up, none at all accuses it."""

from __future__ import annotations

from typing import Any

import pytest

from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.question import question
from underdial.diagnosis.set_up import likelihood_ratio_of_right

_PRIOR = 0.025  # Source: fault_laws.json, PWR-27


def _probability(turns: float | None, **case: Any) -> float:
    rows = [] if turns is None else [{"quantity": "set_up_turns", "of": "set_up", "value": turns, "unit": "turns"}]
    asked = question(parse_case({"family": "english_fusee_bracket", "measurements": rows, **case}))
    return next(one.probability for one in asked.suspicion.suspects if one.fault == "PWR-27")


def test_a_usual_set_up_clears_it_and_too_little_accuses_it() -> None:
    before, usual, little, much = (_probability(turns) for turns in (None, 1.5, 0.0, 3.9))

    assert before == pytest.approx(_PRIOR)
    assert usual < 0.5 * before  # Derived: the density of a usual set-up is about four times that of any
    assert little > 10 * before  # Derived: nought lies 3.7 standard deviations below what is usual
    assert much > 10 * before  # Derived: so does nearly four turns above two and a half


def test_bayes_rule_is_kept() -> None:
    odds = _PRIOR / (1 - _PRIOR) / likelihood_ratio_of_right(0.5, 0.1)

    # Derived: odds over one plus odds
    assert _probability(0.5) == pytest.approx(odds / (1 + odds))


def test_what_was_counted_stands_among_the_reasons_and_is_not_unused() -> None:
    asked = question(
        parse_case(
            {
                "family": "english_fusee_bracket",
                "measurements": [{"quantity": "set_up_turns", "value": 0.0, "unit": "turns"}],
            }
        )
    )
    accused = next(one for one in asked.suspicion.suspects if one.fault == "PWR-27")

    assert accused.heard == "counted: a set-up of 0 turns, where 1 to 1 3/4 is usual"
    assert asked.unused == ()


def test_a_clock_without_a_fusee_has_no_set_up() -> None:
    asked = question(
        parse_case(
            {
                "family": "english_longcase",
                "measurements": [{"quantity": "set_up_turns", "value": 1.0, "unit": "turns"}],
            }
        )
    )

    assert [one.reason for one in asked.unused] == ["set-up is that of a fusee, and this clock has none"]
