"""Small networks of causes by summing over everything."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.diagnosis.network import Network, Node, noisy_or, posterior, probability, yes_no
from underdial.errors import BadInput, OutOfRange

CHANCE = st.floats(0.01, 0.99)


@given(CHANCE, CHANCE, CHANCE)
def test_two_nodes_obey_bayes(prior: float, if_no: float, if_yes: float) -> None:
    net = Network((yes_no("worn", prior), yes_no("stops", [if_no, if_yes], ["worn"])))

    # Derived: Bayes by hand.
    assert posterior(net, "worn", {"stops": 1})[1] == pytest.approx(
        prior * if_yes / (prior * if_yes + (1 - prior) * if_no)
    )
    assert probability(net, {"stops": 1}) + probability(net, {"stops": 0}) == pytest.approx(1.0)


@given(CHANCE, CHANCE, CHANCE)
def test_a_noisy_or_of_one_cause_is_its_strength_and_of_two_misses_both(leak: float, one: float, two: float) -> None:
    net = Network((yes_no("a", 0.5), yes_no("b", 0.5), noisy_or("stops", {"a": one, "b": two}, leak_probability=leak)))

    assert posterior(net, "stops", {"a": 0, "b": 0})[1] == pytest.approx(leak)
    # Derived: all miss
    assert posterior(net, "stops", {"a": 1, "b": 1})[1] == pytest.approx(1 - (1 - leak) * (1 - one) * (1 - two))


def test_a_cause_that_is_seen_explains_the_other_away() -> None:
    net = Network(
        (yes_no("dirt", 0.2), yes_no("bent", 0.1), noisy_or("stops", {"dirt": 0.8, "bent": 0.9}, leak_probability=0.01))
    )

    assert posterior(net, "bent", {"stops": 1, "dirt": 1})[1] < posterior(net, "bent", {"stops": 1})[1]


def test_nodes_of_more_states_and_any_order_of_parents_are_summed() -> None:
    extent = Node("extent", (), np.array([0.5, 0.3, 0.2]))
    loud = yes_no("loud", 0.4)
    heard = Node(
        "heard",
        ("loud", "extent"),
        np.stack(
            [np.array([[0.9, 0.5, 0.1], [0.8, 0.3, 0.05]]), np.array([[0.1, 0.5, 0.9], [0.2, 0.7, 0.95]])], axis=-1
        ),
    )
    net = Network((extent, loud, heard))

    by_hand = sum(e * q * heard.table[i, j, 1] for j, e in enumerate([0.5, 0.3, 0.2]) for i, q in enumerate([0.6, 0.4]))
    assert probability(net, {"heard": 1}) == pytest.approx(by_hand)
    assert posterior(net, "extent", {"heard": 1}).sum() == pytest.approx(1.0)


def test_networks_that_cannot_be_are_refused_in_words() -> None:
    with pytest.raises(BadInput, match="does not come before"):
        Network((yes_no("stops", [0.1, 0.9], ["worn"]), yes_no("worn", 0.1)))
    with pytest.raises(BadInput, match="add to 1"):
        Network((Node("worn", (), np.array([0.5, 0.6])),))
    with pytest.raises(BadInput, match="happen"):
        posterior(Network((yes_no("worn", 0.0),)), "worn", {"worn": 1})
    with pytest.raises(OutOfRange):
        noisy_or("stops", {"worn": 1.5})
    with pytest.raises(OutOfRange):
        Network(tuple(yes_no(f"n{k}", 0.5) for k in range(30)))
