"""The exact sums over symptoms against counting everything, and against a general library of Bayes networks."""

from __future__ import annotations

import json
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from underdial.diagnosis.symptoms import LEAK, Cause, chance_of, gone_after, judge

SYMPTOMS = ("wrong", "never", "slow")


def by_counting(rows: list[Cause], told: list[str], not_so: list[str]) -> tuple[np.ndarray, np.ndarray]:
    """Present and necessary by summing over every state of causes and of their single effects."""
    total, present, necessary = 0.0, np.zeros(len(rows)), np.zeros(len(rows))
    for there in product((0, 1), repeat=len(rows)):
        weight = np.prod([c.probability if z else 1 - c.probability for c, z in zip(rows, there, strict=True)])
        for fired in product((0, 1), repeat=len(rows) * len(SYMPTOMS)):
            table = np.asarray(fired).reshape(len(rows), len(SYMPTOMS)) * np.asarray(there)[:, None]
            strength = np.asarray([[c.brings.get(v, 0.0) for v in SYMPTOMS] for c in rows])
            raw = np.asarray(fired).reshape(strength.shape)
            chance = weight * np.prod(np.where(raw == 1, strength, 1 - strength))
            if chance == 0.0:
                continue
            for leaks in product((0, 1), repeat=len(SYMPTOMS)):
                p = chance * np.prod([LEAK if x else 1 - LEAK for x in leaks])
                on = dict(zip(SYMPTOMS, (table.sum(axis=0) + np.asarray(leaks)) > 0, strict=True))
                if not all(on[v] for v in told) or any(on[v] for v in not_so):
                    continue
                total += p
                present += p * np.asarray(there)
                for i in range(len(rows)):
                    left = np.delete(table, i, axis=0).sum(axis=0) + np.asarray(leaks)
                    off = not any(left[SYMPTOMS.index(v)] > 0 for v in told)
                    necessary[i] += p * (there[i] and bool(told) and off)
    return present / total, necessary / total


def test_present_and_necessary_equal_the_count_over_every_state() -> None:
    rows = [
        Cause("a", 0.3, {"wrong": 0.8, "never": 0.1}),
        Cause("b", 0.1, {"wrong": 0.4, "slow": 0.7}),
        Cause("c", 0.5, {"never": 0.6, "slow": 0.2}),
    ]

    for told, not_so in ((["wrong"], []), (["wrong", "slow"], ["never"]), (["never"], ["wrong"])):
        present, necessary = by_counting(rows, told, not_so)
        verdicts = judge(rows, told=told, not_so=not_so)

        # Derived: every state counted
        assert [v.present_probability for v in verdicts] == pytest.approx(present, abs=1e-12)
        # Derived: every state counted
        assert [v.necessary_probability for v in verdicts] == pytest.approx(necessary, abs=1e-12)


def test_present_sufficient_and_necessary_equal_what_a_general_library_says() -> None:
    golden = json.loads(Path(__file__).with_name("golden_posteriors.json").read_text(encoding="utf-8"))
    assert golden["cases"]

    for case in golden["cases"]:
        rows = [Cause(c["key"], c["probability"], c["brings"]) for c in case["causes"]]
        verdicts = judge(rows, told=case["told"], not_so=case["not_so"], leak=golden["leak"])

        # Derived: pyAgrum 3.3.1, exact inference over the network written out link by link
        # (scripts/make_golden_posteriors.py).
        assert [v.present_probability for v in verdicts] == pytest.approx(case["present"], abs=1e-10), case["name"]
        # Derived: the same.
        assert [v.sufficient_probability for v in verdicts] == pytest.approx(case["sufficient"], abs=1e-10), case[
            "name"
        ]
        # Derived: the same.
        assert [v.necessary_probability for v in verdicts] == pytest.approx(case["necessary"], abs=1e-10), case["name"]


def gone_by_counting(rows: list[Cause], told: list[str], not_so: list[str], removed: tuple[str, ...]) -> float:
    """Chance that the told symptoms are gone without some causes, by summing over every state and every single
    effect.
    """
    total, gone = 0.0, 0.0
    symptoms = [*told, *not_so]
    kept = [i for i, c in enumerate(rows) if c.key not in removed]
    for there in product((0, 1), repeat=len(rows)):
        weight = np.prod([c.probability if z else 1 - c.probability for c, z in zip(rows, there, strict=True)])
        brings = np.asarray([[c.brings.get(v, 0.0) * z for v in symptoms] for c, z in zip(rows, there, strict=True)])
        for fired in product((0, 1), repeat=brings.size):
            table = np.asarray(fired).reshape(brings.shape)
            chance = weight * np.prod(np.where(table == 1, brings, 1 - brings))
            for leaks in product((0, 1), repeat=len(symptoms)):
                p = chance * np.prod([LEAK if x else 1 - LEAK for x in leaks])
                on = (table.sum(axis=0) + np.asarray(leaks)) > 0
                if p == 0.0 or not all(on[: len(told)]) or any(on[len(told) :]):
                    continue
                total += p
                gone += p * (not ((table[kept].sum(axis=0) + np.asarray(leaks)) > 0)[: len(told)].any())
    return gone / total


@pytest.mark.parametrize("removed", [(), ("a",), ("a", "b"), ("a", "b", "c")])
def test_what_is_gone_after_a_set_is_put_right_equals_the_count(removed: tuple[str, ...]) -> None:
    rows = [
        Cause("a", 0.3, {"wrong": 0.8, "never": 0.1}),
        Cause("b", 0.2, {"wrong": 0.4, "slow": 0.7}),
        Cause("c", 0.5, {"never": 0.6, "slow": 0.2}),
    ]

    for told, not_so in ((["wrong"], []), (["wrong"], ["never"])):
        exact = gone_by_counting(rows, told, not_so, removed)

        # Derived: every state counted
        assert gone_after(rows, told=told, not_so=not_so, removed=removed) == pytest.approx(exact, abs=1e-12)


def test_a_chance_before_anything_is_told_equals_one_minus_all_staying_off() -> None:
    rows = [Cause("a", 0.5, {"wrong": 0.5}), Cause("b", 0.2, {"wrong": 1.0})]

    # Derived: 1 - 0.99 (1 - 0.25) (1 - 0.2)
    assert chance_of(rows, "wrong") == pytest.approx(1 - 0.99 * 0.75 * 0.8)


def test_more_symptoms_that_a_cause_explains_make_it_likelier() -> None:
    rows = [Cause("a", 0.1, {"wrong": 0.9, "slow": 0.9}), Cause("b", 0.1, {"wrong": 0.9})]

    one, both = judge(rows, told=["wrong"]), judge(rows, told=["wrong", "slow"])

    assert both[0].present_probability > one[0].present_probability
    assert both[1].present_probability < one[1].present_probability
