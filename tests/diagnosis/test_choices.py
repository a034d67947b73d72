"""Choices put right what was complained of, say what they leave, and are said in words an owner can read."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest

from tests.diagnosis.cases import asked, finding, leading
from underdial.diagnosis.choices import Choice, Price, choices
from underdial.diagnosis.found_faults import remedy_for
from underdial.diagnosis.next_test import NO_TEST_PAYS, next_tests
from underdial.diagnosis.question import Question
from underdial.diagnosis.symptom_case import symptom_case
from underdial.diagnosis.work_lines import SET_UP
from underdial.trade.fault_laws import fault_laws, symptom_laws

CUCKOO, BRACKET, LONGCASE = "cuckoo_thirty_hour", "english_fusee_bracket", "english_longcase"


def offered(family: str, **case: Any) -> tuple[Question, list[Choice]]:
    """The choices of a small case, on few clocks."""
    one = asked(family, **case)
    _, found, causes = leading(one)
    return one, choices(one, found, causes, Price())


@pytest.mark.parametrize(("family", "told", "strike", "remedied"), [
    (CUCKOO, "runs_on", "count_wheel", {"STR-07", "CNT-02"}),
    (BRACKET, "one_hour_wrong", "rack", {"RAK-03", "RAK-04"}),
])  # fmt: skip
def test_a_strike_complaint_gets_remedies_of_the_strike(
    family: str, told: str, strike: str, remedied: set[str]
) -> None:
    _, found = offered(family, complaint={"strikes": told}, movement={"strike": strike})

    assert found[0].works == ()
    assert found[0].right < 0.02  # Derived: what was told is still there when nothing is done
    assert remedied & {work.split(".")[0] for one in found for work in one.works}
    assert found[-1].right > 0.6  # Pinned: the leading causes together, of all that could have brought it about
    assert [one.right for one in found] == sorted(one.right for one in found)


def test_of_a_strike_complaint_the_likely_causes_that_are_left_are_named() -> None:
    _, found = offered(CUCKOO, complaint={"strikes": "runs_on"}, movement={"strike": "count_wheel"})

    for one in found:
        assert not set(one.unfixed_symptoms) & set(one.symptoms)
    assert {"STR-07", "CNT-02"} <= set(found[0].unfixed_symptoms)


def test_setting_up_leaves_no_beat_behind() -> None:
    one, found = offered(LONGCASE, complaint={"runs_for_s": 1200, "since": "moved", "goes_only": "tilted"})
    suspects = one.suspicion.suspects
    out_of_beat = {k for k, s in enumerate(suspects) if s.fault in SET_UP}

    only = next(c for c in found if c.works == ("set_up_again",))

    assert not out_of_beat & set(only.unfixed)
    assert only.right > found[0].right + 0.3  # Pinned: after a move, and going when tilted, the beat is most of it


def test_a_complaint_of_both_is_gone_only_when_both_are_put_right() -> None:
    _, both = offered(
        LONGCASE,
        complaint={"runs_for_s": 1200, "since": "moved", "goes_only": "tilted", "strikes": "runs_on"},
        movement={"strike": "rack"},
    )

    for one in both:
        assert one.right <= one.runs_full + 1e-9  # Derived: both must be right, and the going alone is right so often
    assert any(one.symptoms for one in both)


def test_what_is_felt_is_still_there_when_nothing_is_done() -> None:
    _, found = offered(
        "carriage_platform_lever", complaint={"winding": "will_not_wind"}, findings=[finding("winding_square", "worn")]
    )

    assert found[0].right == 0.0  # Derived: it was told, and nothing is done
    assert found[-1].right > 0.85  # Pinned: the worn square was found and explains it; nothing supposed is sold with it


def test_a_broken_spring_asks_for_one_new_spring() -> None:
    one, found = offered("french_round_pendulum", complaint={"winding": "slips", "never_runs": True, "since": "wound"})
    suspects = one.suspicion.suspects

    springs = [[w for w in c.works if w in ("PWR-02.new_spring", "PWR-03.new_spring")] for c in found]

    assert max(len(s) for s in springs) == 1  # Derived: a clock has one mainspring to its going train
    for choice, fitted in zip(found, springs, strict=True):
        left = {suspects[k].fault for k in choice.unfixed}
        assert not fitted or not left & {"PWR-01", "PWR-02", "PWR-03"}


def test_the_whole_job_is_offered_and_leaves_nothing_that_was_found() -> None:
    one, found = offered(
        "french_round_pendulum",
        complaint={"rate_s_per_day": 300.0},
        findings=[
            finding("suspension_spring", "too_short"),
            finding("pivot_hole", "worn", of="escape_wheel"),
            finding("pallets", "grooved", place="entry"),
        ],
    )
    reported = {k for k, suspect in enumerate(one.suspicion.suspects) if suspect.reports}
    whole = min(found, key=lambda c: len(c.unfixed))

    assert not reported & set(whole.unfixed)
    assert all(reported & set(other.unfixed) for other in found if other is not whole)
    assert whole.right > found[0].right
    assert [c.price_minor[1] for c in found] == sorted(c.price_minor[1] for c in found)


def test_no_two_choices_are_the_same_works() -> None:
    _, found = offered(
        BRACKET,
        complaint={"runs_for_s": 7200},
        findings=[finding("movement", "old_oil"), finding("pallets", "grooved")],
    )

    assert len({frozenset(one.works) for one in found}) == len(found)


def test_a_strike_complaint_is_looked_into_at_the_strike() -> None:
    one = asked(CUCKOO, complaint={"strikes": "runs_on"}, movement={"strike": "count_wheel"})
    _, found, causes = leading(one)

    rows = next_tests(one, found, causes, Price(), np.random.default_rng(1))

    assert rows[0].test in ("look: locking_lever worn", "look: count_hook bent")
    assert rows[0].worth_it
    assert rows[0].information_bit > 0.2  # Pinned: either of two causes, of about alike chance


def test_every_remedy_a_choice_counts_on_is_said_in_plain_words() -> None:
    for fault in {*fault_laws(), *symptom_laws()}:
        remedy = remedy_for(fault)

        assert remedy is not None, fault
        assert not re.search(r"[/;=()%]|\bre-|\b[A-Z]{2}", remedy.do), remedy.do
        assert len(remedy.do.split()) >= 3, remedy.do  # Derived: a verb, an article and a part


def test_a_clock_that_stands_is_not_blamed_on_its_strike() -> None:
    one = asked("french_round_pendulum", complaint={"never_runs": True, "since": "fall", "strikes": "never"})
    _, found, causes = leading(one)

    offers = choices(one, found, causes, Price())

    assert symptom_case(one, found) is None
    assert not any(offer.symptoms or offer.unfixed_symptoms for offer in offers)


@pytest.mark.parametrize(("family", "rate_s_per_day"), [(LONGCASE, -90.0), ("french_round_pendulum", 300.0)])
def test_a_clock_that_is_only_off_its_time_is_brought_to_time(family: str, rate_s_per_day: float) -> None:
    """One turn and three quarters of a French clock's nut, or four of a longcase's, is no fault of any part."""
    kind = "gains" if rate_s_per_day > 0.0 else "loses"
    _, found = offered(family, complaint={"rate_s_per_day": rate_s_per_day, "rate_kind": kind})

    assert found[0].works == ()
    assert found[0].right == 0.0  # Derived: of a clock that is left as it is nobody has touched the nut
    assert found[1].works == ("set_up_again", "test_and_regulate")
    assert found[1].right > 0.7  # Derived: all but what rare faults of nut and suspension together take, below 0.3


def test_a_look_that_tells_the_cures_apart_pays_though_the_clock_goes() -> None:
    one = asked(LONGCASE, complaint={"hands_stand": True})
    _, found, causes = leading(one)

    rows = next_tests(one, found, causes, Price(), np.random.default_rng(1))

    # Derived: cannon pinion, hands and pipe are cured by different works, and each is seen in four minutes.
    assert rows[0].test in ("look: cannon_pinion cracked", "look: cannon_pinion slipping", "look: hands loose")
    assert rows[0].test != NO_TEST_PAYS
    assert rows[0].information_bit > 0.1  # Pinned: with the going alone in view it was worth nothing
