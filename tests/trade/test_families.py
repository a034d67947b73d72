"""Families hang together: train, oscillator and turns of the great wheel tell the same beat."""

from __future__ import annotations

import math

import pytest

from underdial.trade.families import Family, families
from underdial.trade.faults import applies, faults
from underdial.trade.traits import described, traits

FAMILIES = list(families().values())
each_family = pytest.mark.parametrize("family", FAMILIES, ids=[one.id for one in FAMILIES])
S_PER_DAY = 86_400.0


def _turns_per_hour(family: Family) -> list[float]:
    turns = [family.main_turns_per_day / 24.0]
    for wheel, leaves in zip(family.wheel_teeth, family.pinion_leaves, strict=True):
        turns.append(turns[-1] * wheel / leaves)
    return turns


@each_family
def test_the_train_makes_the_beats_that_are_given(family: Family) -> None:
    # Derived: two beats a tooth, turns of the escape wheel from the counts by plain arithmetic; within 1 s a day.
    beats_per_hour = _turns_per_hour(family)[-1] * 2 * family.escape_teeth

    # Derived: as above; a clock whose beat is off by a share loses or gains that share of a day.
    assert abs(S_PER_DAY * (beats_per_hour / family.beats_per_hour - 1.0)) <= 1.0


@each_family
def test_the_oscillator_makes_the_beats_that_are_given(family: Family) -> None:
    # Derived: two beats in a period 2 pi sqrt(I/k), so sqrt(k/I)/pi a second.
    beats_per_hour = 3600.0 / math.pi * math.sqrt(family.stiffness_n_m_per_rad / family.inertia_kg_m2)

    # Derived: as in the test above.
    assert abs(S_PER_DAY * (beats_per_hour / family.beats_per_hour - 1.0)) <= 1.0


@each_family
def test_the_hour_arbor_turns_once_an_hour_and_no_other_does_when_there_is_none(family: Family) -> None:
    turns = _turns_per_hour(family)

    if family.hour_arbor:
        # Derived: once an hour by the meaning of the word; 1e-6 of a turn is far below a tooth.
        assert turns[family.hour_arbor - 1] == pytest.approx(1.0, abs=1e-6)
    else:
        assert not any(math.isclose(one, 1.0, abs_tol=1e-6) for one in turns)


@each_family
def test_the_ratio_great_to_escape_follows_from_the_counts(family: Family) -> None:
    ratio = math.prod(family.wheel_teeth) / math.prod(family.pinion_leaves)

    # Derived: product of wheels over product of pinions; the stored figure has four digits.
    assert family.computed.great_to_escape_ratio == pytest.approx(ratio, rel=1e-3)


@each_family
def test_every_value_says_how_it_came_about(family: Family) -> None:
    for field in Family.__slots__:
        assert family.sources_of(field), field


def test_titles_are_told_apart() -> None:
    assert len({family.title for family in FAMILIES}) == len(FAMILIES)


@each_family
def test_a_family_can_have_faults_of_its_power_train_escapement_and_oscillator(family: Family) -> None:
    possible = {fault.group for fault in faults().values() if applies(fault, family.traits, family.may_have) != "no"}

    assert {"power", "train", "escapement" if family.oscillator != "balance" else "lever"} <= possible
    assert "torsion" not in possible or family.oscillator == "torsion"


@each_family
def test_naming_what_a_family_has_already_changes_nothing_but_the_open_choice(family: Family) -> None:
    carried, open_still = frozenset(family.traits), frozenset(family.may_have)
    power = frozenset(one for one in family.traits if traits()[one].kind == "power")

    now, still = described(carried, open_still, power)
    assert now == carried
    assert still <= open_still
