"""What is wrong is told as a repairer would: not one thing where it is several, and nothing in the words of a file."""

from __future__ import annotations

from typing import Any

import pytest

from underdial.bench.causes.diagnose import diagnosis_in_words
from underdial.bench.causes.not_used import said_of
from underdial.bench.shown.pages import causes_shown, found_beside, headline, together_shown

CASE = {
    "findings": [
        {"component": "door", "condition": "cracked", "state": "present"},
        {"component": "hammer", "condition": "sticking", "state": "absent"},
        {"component": "flux_capacitor", "condition": "worn", "state": "present"},
        {"component": "pallets", "condition": "grooved", "state": "present", "extent": "no end"},
    ],
    "measurements": [{"quantity": "turns", "of": "mainspring", "value": 4.5, "unit": "turns"}],
}


def cause(words: str, chance: float, **more: Any) -> dict[str, Any]:
    return {
        "sentence": f"{words}: this takes power.",
        "alone": "Would it go? 3 in 100.",
        "because": ["found"],
        "necessary_probability": chance,
        "necessary_u_probability": 0.01,
        "sufficient_probability": 0.1,
        "share_ratio": 0.4,
        "reported": True,
        **more,
    }


def found(words: str, takes: str, fault: str, *, in_sums: bool) -> dict[str, Any]:
    return {"words": words, "work_words": takes, "dangerous": False, "in_sums": in_sums, "fault": fault, "of": None}


def answered(*causes: dict[str, Any], fits: bool = True) -> dict[str, Any]:
    return {
        "causes": list(causes),
        "model_fits": fits,
        "complaint_read_as": "stops",
        "found_together": {"words": ["The pallets are grooved", "The back cock is loose"], "probability": 0.62},
        "none_of_these_probability": 0.0,
        "runs_full_probability": 0.0,
        "found": [
            found("the case door is cracked", "animal glue", "CAS-12", in_sums=False),
            found("the pallets are grooved", "shift the anchor", "ESC-01", in_sums=True),
        ],
        "choices": [],
        "next_tests": [],
        "warnings": [],
        "unused": [],
    }


def test_where_no_cause_is_enough_it_is_said_to_be_several_together() -> None:
    answer = answered(cause("The pallets are grooved", 0.03, fault="ESC-01", of=None), cause("The back cock", 0.02))
    head, under = headline(answer)

    assert head == "Not one thing: these two together."
    assert "62 in 100" in under  # Derived: the chance of both together
    assert together_shown(answer) == ["the pallets are grooved", "the back cock is loose"]
    assert causes_shown(answer)[0].takes == "shift the anchor"
    assert causes_shown(answer)[0].part == "40 in 100 of what is lost"  # Derived: share_ratio
    assert found_beside(answer) == ["The case door is cracked; to put it right: animal glue."]


def test_where_one_cause_is_enough_it_is_the_headline() -> None:
    answer = answered(cause("The pallets are grooved", 0.6))

    assert headline(answer)[0] == "The pallets are grooved: this takes power."
    assert together_shown(answer) == []


def test_a_cause_of_next_to_no_chance_is_not_claimed() -> None:
    answer = answered(cause("The pallets are grooved", 0.05))
    answer["found_together"] = None

    assert headline(answer)[0] == "No one cause stands out."


def test_all_that_was_found_is_shown_however_many_causes_stand_before_it() -> None:
    first = [cause(f"Cause {n}", 0.3, reported=False) for n in range(6)]
    answer = answered(*first, cause("Not found", 0.0, reported=False), cause("The gut line is frayed", 0.0))

    assert [one.sentence for one in causes_shown(answer)][6:] == ["The gut line is frayed: this takes power."]


def test_what_only_spoils_the_strike_is_not_marked_as_stopping() -> None:
    striking = cause("The rack is sticking", 0.6, torque_without_n_m=None)

    assert causes_shown(answered(striking))[0].mark == "contributes"


def test_on_a_terminal_sums_that_do_not_fit_claim_no_cause() -> None:
    answer = answered(cause("The pallets are grooved", 0.03), fits=False)
    answer["warnings"] = ["These sums do not explain this clock."]
    words = diagnosis_in_words(answer)

    assert words.index("These sums do not explain") < words.index("What is wrong")
    assert "Not one thing: these two together" in words
    assert "None of these" not in words
    assert "Would it go?" not in words


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("findings[0] door cracked", "The case door is cracked"),
        ("findings[1] hammer sticking", "The hammer is not sticking"),
        ("findings[2].component=flux_capacitor", "The finding “flux capacitor: worn”"),
        ("findings[3].extent=no end", "The pallets are grooved: its extent, “no end”"),
        ("measurements[0].unit=turns", "The reading turns of the mainspring, 4.5 turns"),
        ("complaint.words", "The owner’s own words"),
        ("complaint.stops_at=teatime", "What the owner says, stops at: teatime"),
        ("last_done Grandfather loved it", "What was done before: “Grandfather loved it”"),
    ],
)
def test_what_is_not_used_is_named_as_it_was_said(what: str, said: str) -> None:
    assert said_of(what, CASE) == said
