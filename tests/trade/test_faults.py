"""Faults: whom they apply to, what points to them, what their remedies cost."""

from __future__ import annotations

import re
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput
from underdial.trade.families import families
from underdial.trade.fault_scales import fault_scales
from underdial.trade.faults import applies, faults, matching
from underdial.trade.traits import described, traits
from underdial.trade.vocabulary import components
from underdial.trade.works import works

FAULTS = list(faults().values())
some_fault = st.sampled_from(FAULTS)
some_traits = st.frozensets(st.sampled_from(sorted(traits())), max_size=12)


@given(some_fault, some_traits, some_traits)
def test_a_fault_applies_to_a_clock_that_carries_one_of_every_choice(fault, carried, may_have) -> None:
    every_choice = all(any(one in carried for one in choice) for choice in fault.traits)

    assert (applies(fault, carried, may_have) == "yes") == every_choice


@given(some_fault, some_traits, some_traits, some_traits)
def test_telling_more_of_a_clock_never_makes_a_fault_less_likely_to_apply(fault, carried, may_have, more) -> None:
    order = ["no", "possible", "yes"]

    before = order.index(applies(fault, carried, may_have))
    assert order.index(applies(fault, carried | more, may_have)) >= before
    assert order.index(applies(fault, carried, may_have | more)) >= before


def test_a_choice_and_a_must_are_not_the_same() -> None:
    stop_work = faults()["PWR-23"]

    assert applies(stop_work, ["going_barrel"]) == "no"
    assert applies(stop_work, ["going_barrel"], ["stop_work"]) == "possible"
    assert applies(stop_work, ["going_barrel", "stop_work"]) == "yes"


def test_an_escapement_named_for_a_clock_takes_the_place_of_its_familys() -> None:
    family = families()["french_round_pendulum"]

    carried, may_have = described(
        frozenset(family.traits), frozenset(family.may_have), frozenset({"brocot", "calendar"})
    )
    assert "recoil" not in carried
    assert "deadbeat" not in may_have
    assert {"brocot", "calendar", "going_barrel", "pendulum"} <= carried
    assert "calendar" not in may_have


@given(some_fault, st.data())
def test_every_pair_of_a_fault_points_to_it(fault, data) -> None:
    component, condition = data.draw(st.sampled_from(fault.matches))

    assert fault.replaced_by or fault in matching(component, condition)


@given(some_fault)
def test_a_fault_is_reported_under_its_first_pair(fault) -> None:
    assert (fault.component, fault.condition) == fault.matches[0]


def test_a_part_counts_as_what_it_is_a_kind_of_and_the_exact_pair_goes_first() -> None:
    exact = matching("exit_pallet", "worn")
    wide = matching("pallets", "worn")

    assert set(wide) <= set(exact)
    steps = [
        next(n for n, part in enumerate(("exit_pallet", "pallets")) if (part, "worn") in fault.matches)
        for fault in exact
    ]
    fits = [bool(fault.match_of) for fault in exact]
    assert not any(fits)
    assert steps == sorted(steps)


def test_the_finding_of_another_wheel_rules_a_fault_out_and_one_of_its_own_puts_it_first() -> None:
    barrel = matching("tooth", "bent", "great_wheel")
    third = matching("tooth", "bent", "third_wheel")

    assert barrel[0].id == "PWR-15"
    assert "PWR-15" not in [fault.id for fault in third]
    assert matching("tooth", "bent", "strike.great_wheel")[0].id == "PWR-15"


def test_a_train_alone_does_not_rule_a_part_out() -> None:
    assert "PWR-15" in [fault.id for fault in matching("tooth", "bent", "strike")]


def test_a_finding_in_one_train_rules_out_what_belongs_to_another() -> None:
    chime_only = [fault for fault in FAULTS if fault.match_of == ("chime",)]

    assert chime_only
    for fault in chime_only:
        component, condition = fault.matches[0]
        assert fault not in matching(component, condition, "going")
        assert fault in matching(component, condition, "chime.third_wheel")
        assert fault in matching(component, condition)


def test_a_fault_kept_for_older_records_is_never_offered() -> None:
    old = [fault for fault in FAULTS if fault.replaced_by]

    assert old
    for fault in old:
        assert not fault.counted
        assert all(fault not in matching(component, condition) for component, condition in fault.matches)


@pytest.mark.parametrize(("component", "of"), [("gubbins", None), ("tooth", "gubbins"), ("tooth", "left.great_wheel")])
def test_an_unknown_part_is_refused(component: str, of: str | None) -> None:
    with pytest.raises(BadInput):
        matching(component, "worn", of)


def test_every_fault_can_happen_to_some_family_or_to_a_clock_outside_them() -> None:
    """A fault that no combination of traits reaches would be dead data."""
    for fault in FAULTS:
        for choice in product(*fault.traits):
            oscillators = {one for one in choice if traits()[one].kind == "oscillator"}
            assert applies(fault, choice) == "yes"
            if len(oscillators) <= 1:
                break
        else:
            pytest.fail(f"{fault.id} asks for two oscillators at once")


def test_leaving_a_thing_takes_hardly_any_time() -> None:
    for fault in FAULTS:
        for remedy in fault.remedies:
            if re.fullmatch(r"leave(,.*)?|leave and record", remedy.do):
                # Source: our own rule for the hours, data/fault_scales.json: to leave and record takes up to 0.1 h.
                assert remedy.time_high_h <= 0.1, fault.id


def test_chances_follow_the_words_of_the_scale() -> None:
    order = ["never", "rare", "some", "often", "always"]
    chance = {step.id: step.probability for step in fault_scales().stops_alone}

    assert sorted(chance, key=lambda one: chance[one]) == order
    assert all(fault.stops_alone_probability == chance[fault.stops_alone] for fault in FAULTS)


@given(some_fault)
def test_every_remedy_is_a_work_with_the_same_hours(fault) -> None:
    found = [work for work in works().values() if work.fault == fault.id]

    assert [work.id for work in found] == [f"{fault.id}.{remedy.id}" for remedy in fault.remedies]
    assert [(work.time_low_h, work.time_high_h) for work in found] == [
        (one.time_low_h, one.time_high_h) for one in fault.remedies
    ]


@given(some_fault)
def test_a_safety_fault_that_stops_nothing_is_still_found(fault) -> None:
    assert fault.effects
    assert fault.component in components()


def test_every_model_term_uses_a_symbol_of_the_help() -> None:
    """Words beside the symbols are allowed; a term that looks like a symbol has to be explained."""
    known = {re.split(r"[\[ ]", term.term)[0] for term in fault_scales().model_terms} | {"c_visc", "I", "A"}
    looks = re.compile(r"^(T_\w+|eta_\w+|mu\w*|k_hs|I_bal|amp_\w+)")
    for fault in FAULTS:
        for term in fault.model_terms:
            symbol = looks.match(term)
            assert symbol is None or symbol[1] in known, f"{fault.id}: {term}"
