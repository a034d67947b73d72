"""What fault_laws.json says of a fault is said of one that exists, and with chances that are chances."""

from __future__ import annotations

from underdial.trade.fault_laws import fault_laws, symptom_laws
from underdial.trade.faults import faults


def test_every_law_belongs_to_a_fault_that_is_counted() -> None:
    known = {fault.id for fault in faults().values() if fault.counted}

    assert set(fault_laws()) | set(symptom_laws()) <= known


def test_chances_in_the_laws_lie_between_nothing_and_certainty() -> None:
    for law in (*fault_laws().values(), *symptom_laws().values()):
        chances = [law.prior_probability, law.overlooked_probability, *(sign.probability for sign in law.signs)]
        assert all(0 <= chance <= 1 for chance in chances), law.fault
