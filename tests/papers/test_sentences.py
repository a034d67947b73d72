"""A reading as a paper says it: a balance has an amplitude, a pendulum an arc."""

from __future__ import annotations

from underdial.papers.sentences import measurement_words
from underdial.record.measurement import Measurement


def test_the_swing_of_a_balance_is_its_amplitude() -> None:
    balance = Measurement(quantity="half_arc", value=186.0, unit="deg", of="balance", position="dial_up")
    pendulum = Measurement(quantity="half_arc", value=2.1, unit="deg", of="pendulum")

    assert measurement_words(balance)[0] == "amplitude of the balance, dial up"
    assert measurement_words(pendulum)[0] == "half arc of the pendulum"
