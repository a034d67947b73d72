"""Readings on their way into the record and out of use: a figure that no clock gives is refused before it is kept.

Kept, it would stand in the way of every answer: the sums refuse the whole case of a clock that holds one.
"""

from __future__ import annotations

from collections.abc import Iterable

from underdial.bench.clock.case import measurement_as_case
from underdial.bench.clock.drawing import composed
from underdial.diagnosis.readings import check_measured
from underdial.errors import BadInput, RuleBroken
from underdial.record.clock import Clock
from underdial.record.measurement import Measurement
from underdial.record.proof import Proof


def check_believable(clock: Clock, measurement: Measurement) -> None:
    """Refuse a figure that no clock gives, or none of this clock's oscillator.

    Raises BadInput with the field, the value and what would do.
    """
    movement = composed(clock)
    check_measured(measurement_as_case(measurement), oscillator=movement.oscillator.kind if movement else None)


def why_unbelievable(clock: Clock, measurement: Measurement) -> str | None:
    """Why a figure cannot be, in the words of its refusal; None where it can."""
    try:
        check_believable(clock, measurement)
    except BadInput as refused:
        return refused.message.removeprefix(f"{refused.field}: ")
    return None


def check_not_judged(proofs: Iterable[Proof], measurement_id: str) -> None:
    """RuleBroken when a reading is a result of a test that was passed or failed: its verdict rests on it."""
    judged = next((one for one in proofs if measurement_id in one.results and one.verdict != "not_yet"), None)
    if judged is not None:
        raise RuleBroken(
            "measurement",
            measurement_id,
            "a reading of no test that was judged",
            f"measurement: the test {judged.title} was judged by this reading, so it stays; begin a new test.",
        )
