"""Readings that no clock gives are refused before they are kept, and a reading can be put out of use and used again."""

from __future__ import annotations

import pytest

from underdial.bench.as_found.hearing import hear_captions
from underdial.bench.as_found.looking import add_measurement, reject_measurement, take_up_measurement
from underdial.bench.causes.answering import work_out
from underdial.bench.counter.receiving import Received, receive_clock
from underdial.bench.rounds.proving import begin_proof, end_proof, plan_proof, read_on_test
from underdial.bench.rounds.working import begin_round, see_in_round
from underdial.bench.shop import Shop, clock_page
from underdial.errors import BadInput, RuleBroken
from underdial.record.clock import Clock
from underdial.record.measurement import Measurement
from underdial.record.proof import PassLine, Proof
from underdial.record.visit import Visit

from .conftest import NOON

ROUND_AND_ROUND = Measurement(quantity="half_arc", value=400.0, unit="deg")
SWING = Measurement(quantity="half_arc", value=250.0, unit="deg")


def standing(shop: Shop, tag: str) -> list[str]:
    return [one.standing for one in clock_page(shop, tag).measurements]


def begun(shop: Shop, tag: str) -> Proof:
    line = PassLine(quantity="half_arc", unit="deg", low=180.0, high=300.0)
    return begin_proof(shop, tag, plan_proof(shop, tag, Proof(title="on the stand", planned_at=NOON, lines=(line,))).id)


def test_a_figure_no_clock_gives_is_refused_by_every_door_and_nothing_is_kept(shop: Shop, drum: Received) -> None:
    proof, at_bench = begun(shop, drum.tag), begin_round(shop, drum.tag)
    for write in (
        lambda: add_measurement(shop, drum.tag, ROUND_AND_ROUND),
        lambda: see_in_round(shop, drum.tag, at_bench.id, ROUND_AND_ROUND),
        lambda: read_on_test(shop, drum.tag, proof.id, ROUND_AND_ROUND),
    ):
        with pytest.raises(BadInput, match=r"^value: a half arc of 400 deg cannot be; allowed: above 0 to 360 deg\.$"):
            write()

    page = clock_page(shop, drum.tag)
    assert page.measurements == ()
    assert page.rounds[0].seen == ()
    assert page.proofs[0].results == ()


def test_a_swing_is_judged_by_what_swings_in_the_clock(shop: Shop, drum: Received) -> None:
    longcase = receive_clock(
        shop, Clock(tag="long", name="longcase", family="english_longcase"), Visit(received_at=NOON, reason="stops")
    )
    wide = Measurement(quantity="total_arc", value=120.0, unit="deg")
    add_measurement(shop, drum.tag, wide)

    with pytest.raises(BadInput, match="no pendulum clock swings 60 deg"):
        add_measurement(shop, longcase.tag, wide)
    assert clock_page(shop, longcase.tag).measurements == ()


def test_what_the_sums_do_not_know_is_kept_as_it_is(shop: Shop, drum: Received) -> None:
    add_measurement(shop, drum.tag, Measurement(quantity="rate_drift", value=-1e6, unit="s/d"))

    assert standing(shop, drum.tag) == ["confirmed"]


def test_a_figure_heard_that_cannot_be_is_kept_as_rejected_and_the_clock_is_worked_out(
    shop: Shop, drum: Received
) -> None:
    said = b"WEBVTT\n\n00:00:02.000 --> 00:00:06.000\nAmplitude 400 degrees. The bell is cracked.\n"
    taken = hear_captions(shop, drum.tag, said, file_name="drum.vtt")

    assert standing(shop, drum.tag) == ["rejected"]
    assert "Heard and not used: a half arc of 400 deg cannot be; allowed: above 0 to 360 deg." in taken.warnings
    assert work_out(shop, drum.tag)["causes"]


def test_a_reading_is_rejected_and_used_after_all(shop: Shop, drum: Received) -> None:
    kept = add_measurement(shop, drum.tag, SWING)
    reject_measurement(shop, drum.tag, kept.id)
    assert standing(shop, drum.tag) == ["rejected"]

    assert take_up_measurement(shop, drum.tag, kept.id) == kept
    assert clock_page(shop, drum.tag).measurements == (kept,)


def test_a_reading_that_a_test_was_judged_by_stays_in_use(shop: Shop, drum: Received) -> None:
    proof = begun(shop, drum.tag)
    kept = read_on_test(shop, drum.tag, proof.id, SWING)
    reject_measurement(shop, drum.tag, kept.id)
    take_up_measurement(shop, drum.tag, kept.id)
    end_proof(shop, drum.tag, proof.id)

    with pytest.raises(RuleBroken, match="on the stand was judged by this reading"):
        reject_measurement(shop, drum.tag, kept.id)
    assert standing(shop, drum.tag) == ["confirmed"]
