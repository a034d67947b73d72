"""Findings that cannot both be so are set side by side; what may both be so is left alone."""

from __future__ import annotations

import pytest

from underdial.record.contradiction import contradictions
from underdial.record.finding import Finding


def found(one, other):
    first, second = (Finding(id=name, **{"state": "present", **given}) for name, given in (("a", one), ("b", other)))
    return {key: [each.id for each in against] for key, against in contradictions((first, second)).items()}


BOTH = {"a": ["b"], "b": ["a"]}  # Derived: whatever does not go with another is named at both


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (
            {"component": "pallets", "place": "both", "condition": "grooved"},
            {"component": "exit_pallet", "condition": "good"},
        ),
        (
            {"component": "pallets", "condition": "grooved"},
            {"component": "pallets", "place": "exit", "condition": "good"},
        ),
        (
            {"component": "pivot", "of": "third_wheel", "place": "both", "condition": "scored"},
            {"component": "pivot", "of": "going.third_wheel", "place": "back", "condition": "good"},
        ),
        (
            {"component": "mainspring", "condition": "set"},
            {"component": "mainspring", "condition": "set", "state": "absent"},
        ),
        ({"component": "minute_hand", "condition": "rubbing"}, {"component": "hands", "condition": "good"}),
    ],
)
def test_a_fault_and_good_order_or_so_and_not_so_stand_against_each_other(one, other):
    assert found(one, other) == BOTH


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"component": "entry_pallet", "condition": "grooved"}, {"component": "exit_pallet", "condition": "good"}),
        (
            {"component": "pivot", "of": "third_wheel", "condition": "scored"},
            {"component": "pivot", "of": "escape_wheel", "condition": "good"},
        ),
        ({"component": "dial", "condition": "stained"}, {"component": "dial", "condition": "good"}),
        (
            {"component": "case", "condition": "cracked", "significance": "cosmetic"},
            {"component": "case", "condition": "good"},
        ),
        ({"component": "click", "condition": "replaced"}, {"component": "click", "condition": "good"}),
        ({"component": "click", "condition": "worn"}, {"component": "click", "condition": "bent"}),
        ({"component": "click", "condition": "worn", "who": "owner"}, {"component": "click", "condition": "good"}),
        ({"component": "click", "condition": "worn"}, {"component": "click", "condition": "good", "round_id": "later"}),
        (
            {"component": "click", "condition": "worn"},
            {"component": "click", "condition": "good", "standing": "rejected"},
        ),
        (
            {"component": "click", "condition": "worn"},
            {"component": "click", "condition": "not_tested", "state": "not_examined"},
        ),
    ],
)
def test_what_may_both_be_so_is_left_alone(one, other):
    assert found(one, other) == {}
