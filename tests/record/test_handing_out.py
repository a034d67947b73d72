"""What is said of the test when a clock is handed out, and what is open then."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from underdial.errors import RuleBroken
from underdial.record.choice import Choice, PlannedWork
from underdial.record.consent import Consent, ConsentLine
from underdial.record.handing_out import check_reason, still_open, verdict_sentence
from underdial.record.proof import PassLine, Proof
from underdial.record.visit import Visit
from underdial.record.work import Work

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
LINES = (PassLine(quantity="half_arc", low=1.8, high=3.0, unit="deg"),)
STAND = Proof(title="on the stand", planned_at=NOON, lines=LINES)
CASE = Proof(title="In its case", planned_at=NOON, lines=LINES, cased=True)
VISIT = Visit(received_at=NOON)


def passed(proof: Proof) -> Proof:
    return replace(proof, began_at=NOON, ended_at=NOON, verdict="passed")


def failed(proof: Proof) -> Proof:
    return replace(
        proof, began_at=NOON, ended_at=NOON, verdict="failed", verdict_words="it stopped: on day 3, hands at 3:40"
    )


@pytest.mark.parametrize(
    ("visit", "proofs", "words"),
    [
        (VISIT, (), "Not tested."),
        (VISIT, (passed(STAND),), "On the stand: passed. In its case: not tested."),
        (replace(VISIT, arrived_as="movement_only"), (passed(STAND),), "On the stand: passed."),
        (VISIT, (passed(STAND), passed(CASE)), "On the stand: passed. In its case: passed."),
        (VISIT, (failed(STAND), passed(STAND), passed(CASE)), "On the stand: passed. In its case: passed."),
        (VISIT, (passed(STAND), CASE), "On the stand: passed. In its case: laid down and never begun."),
        (
            replace(VISIT, gone_because="she is moving house"),
            (passed(STAND), failed(CASE)),
            "On the stand: passed. In its case: failed (it stopped: on day 3, hands at 3:40); handed out because “she "
            "is moving house”.",
        ),
        (
            replace(VISIT, arrived_as="movement_only"),
            (replace(STAND, began_at=NOON, stops=("at 4:10",)),),
            "On the stand: not judged (it stopped: at 4:10).",
        ),
    ],
)
def test_the_verdict_is_one_sentence(visit: Visit, proofs: tuple[Proof, ...], words: str) -> None:
    assert verdict_sentence(visit, proofs) == words


def test_what_is_open_is_named_and_closed_by_a_test_that_passes_and_works_that_are_done() -> None:
    line = ConsentLine(line="1", work="trn_01_bush", component="pivot_hole", of="third_wheel", answer="yes")
    no = ConsentLine(line="2", work="polish", component="case", answer="no")
    yes = Consent(choice_id="c", person_id="p", channel="letter", words="yes", given_at=NOON, lines=(line, no))
    planned = PlannedWork(
        line="1", work="trn_01_bush", component="pivot_hole", of="third_wheel", words="bush the back hole"
    )
    choice = Choice(title="Bush it", works=(planned,))
    done = Work(work="trn_01_bush", component="pivot_hole", of="third_wheel", by="repairer")

    assert still_open((), (yes,), (), (choice,)) == (
        "Nothing was tested.",
        "1 agreed work is not written down as done: bush the back hole: pivot hole of the third wheel.",
    )
    assert still_open((failed(STAND), CASE), (), (), ()) == (
        "On the stand: failed (it stopped: on day 3, hands at 3:40).",
        "In its case: laid down and never begun.",
    )
    assert still_open((failed(STAND), passed(STAND)), (yes,), (done,), (choice,)) == ()


def test_something_open_asks_for_a_reason() -> None:
    with pytest.raises(RuleBroken, match=r"why: something is still open \(Nothing was tested\); say why"):
        check_reason(("Nothing was tested.",), "  ")
    check_reason(("Nothing was tested.",), "the owner wants it back")
    check_reason((), None)
