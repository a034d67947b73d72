"""What an owner reads of a cause: everyday words, no figure of the bench, and nothing certain that is only possible."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.diagnosis.cases import asked, leading
from tests.diagnosis.test_wording import CASES
from underdial.diagnosis import mechanism, owner_words
from underdial.diagnosis.answer import brief
from underdial.diagnosis.owner_words import share_of_power
from underdial.trade.fault_laws import fault_laws


@pytest.fixture(scope="module", params=CASES, ids=lambda c: c[0])
def rows(request: pytest.FixtureRequest) -> list[dict[str, Any]]:
    family, case = request.param
    one = asked(family, **case)
    _, found, causes = leading(one)
    return list(brief(one, found, causes)["causes"])


def test_no_figure_and_no_unit_of_the_bench_reaches_an_owner(rows: list[dict[str, Any]]) -> None:
    for row in rows:
        said = row["to_owner"]
        assert not re.search(r"\d|_|N m|\bdeg\b|arc|amplitude|torque|escape wheel without", said), said
        assert said.endswith(".")


def test_what_was_not_found_is_said_as_possible(rows: list[dict[str, Any]]) -> None:
    for row in rows:
        if not row["reported"]:
            assert " may " in row["to_owner"] or "none of the listed faults" in row["to_owner"], row["to_owner"]
            assert ". This " not in row["to_owner"]


def test_causes_of_the_strike_and_of_the_going_are_told_apart(rows: list[dict[str, Any]]) -> None:
    for row in rows:
        if row["torque_without_n_m"] is None:
            assert row["acts_on"] in ("strikes", "chimes", "alarm")
        else:
            assert row["acts_on"] not in ("strikes", "chimes", "alarm")


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.01, ""),
        (0.04, "a little of the clock's power"),
        (9 / 95, "about a tenth of the clock's power"),
        (119 / 734, "about a sixth of the clock's power"),
        (0.5, "about half of the clock's power"),
        (0.9, "more than half of the clock's power"),
    ],
)
def test_a_share_is_told_by_its_nearest_simple_part(share: float, said: str) -> None:
    assert share_of_power(share) == said  # Derived: 9 of 95 is 0.095, 119 of 734 is 0.162


@given(st.floats(0.085, 0.6))
def test_a_simple_part_is_never_far_from_the_share(share: float) -> None:
    part = next(size for size, words in owner_words._SHARES if words in share_of_power(share))

    assert abs(part - share) <= 0.101  # Derived: the worst is 0.6 told as half


def test_every_way_to_stop_and_every_word_of_the_bench_has_its_everyday_words() -> None:
    kinds = {kind for law in fault_laws().values() for kind, _ in law.events}

    assert kinds <= set(owner_words._STOPS)
    assert set(owner_words._FOR_BENCH) <= set(mechanism._FELT.values())
