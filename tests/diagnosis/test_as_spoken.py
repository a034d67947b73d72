"""One more finding at once: from the kept clocks, in agreement with the answer that begins anew."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.diagnosis.cases import finding, leading
from underdial.diagnosis.answer import Answered
from underdial.diagnosis.as_spoken import Kept, keep, refined, with_finding
from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.question import question, weigh
from underdial.diagnosis.sampler import posterior

CASE: dict[str, Any] = {
    "family": "french_round_pendulum",
    "complaint": {"runs_for_s": 1800},
    "findings": [finding("movement", "old_oil", extent="slight")],
}
MORE = {**CASE, "findings": [*CASE["findings"], finding("suspension_spring", "twisted", extent="severe")]}


@pytest.fixture(scope="module")
def kept() -> Kept:
    asked = question(parse_case(CASE))
    _, found, causes = leading(asked, most_draws=40_000)
    return keep(Answered(asked, found, causes, {}))


def test_one_more_finding_agrees_with_beginning_anew(kept: Kept) -> None:
    rough, _ = with_finding(kept, parse_case(MORE), np.random.default_rng(1))
    anew = question(parse_case(MORE))
    found = posterior(anew, np.random.default_rng(2), most_draws=40_000)
    there = found.draws.severity > 0
    exact = {s.fault: float(there[k].mean()) for k, s in enumerate(anew.suspicion.suspects)}
    shown = {row["fault"]: row["present_probability"] for row in rough["causes"] if row["of"] is None}

    assert rough["rough"] is True
    for fault in ("PEN-02", "TRN-27", "PEN-01"):
        # Derived: four standard errors of some 300 effective clocks
        assert shown[fault] == pytest.approx(min(exact[fault], 0.98), abs=0.11)


def test_a_finding_that_is_already_in_changes_nothing(kept: Kept) -> None:
    same, after = with_finding(kept, parse_case(CASE), np.random.default_rng(3))

    # Derived: all weights equal
    assert after.found.effective_count == pytest.approx(min(1200.0, kept.found.effective_count), rel=0.2)
    assert same["causes"]


def test_another_complaint_begins_anew(kept: Kept) -> None:
    other = {**CASE, "complaint": {"hands_stand": True}}

    rough, _ = with_finding(kept, parse_case(other), np.random.default_rng(4))

    assert rough["causes"][0]["fault"] in {"MOT-05", "MOT-11"}


def test_refining_ends_when_the_error_is_as_wished() -> None:
    answers = list(refined(parse_case(CASE), np.random.default_rng(5), wanted_u_probability=0.05))

    assert answers[-1]["rough"] is False
    # Derived: the wish itself
    assert max(row["necessary_u_probability"] for row in answers[-1]["causes"][:4]) <= 0.05


def test_kept_likelihoods_are_those_of_the_kept_clocks(kept: Kept) -> None:
    assert np.allclose(kept.like, weigh(kept.asked, kept.found.theta, kept.found.draws)[1])
