"""Works have hours, metals have densities and forbid treatments for a reason."""

from __future__ import annotations

from underdial.trade.cautions import triggers
from underdial.trade.faults import faults
from underdial.trade.materials import metals, treatments
from underdial.trade.works import overhaul_for, works


def test_more_trains_take_longer_to_overhaul() -> None:
    one, two, three = (overhaul_for(trains) for trains in (1, 2, 3))

    assert one.time_low_h < two.time_low_h < three.time_low_h
    assert one.time_high_h < two.time_high_h < three.time_high_h
    assert overhaul_for(4) == three


def test_overhauls_of_two_and_three_trains_begin_where_a_published_rate_puts_them() -> None:
    # Source: Greenfield Clock Shop, rates: 240 and 300 at 60 an hour. Derived: 240/60 = 4 h, 300/60 = 5 h.
    assert overhaul_for(2).time_low_h == 240 / 60
    # Source: as above. Derived: 300/60 = 5 h.
    assert overhaul_for(3).time_low_h == 300 / 60


def test_every_work_of_a_fault_names_a_fault() -> None:
    assert {work.fault for work in works().values() if work.scope == "remedy"} == set(faults())
    assert all(work.fault is None for work in works().values() if work.scope != "remedy")


def test_leaving_it_alone_is_always_among_the_works() -> None:
    work = works()["leave_as_it_is"]

    assert work.invasiveness == 0
    assert work.reversible == "yes"


def test_metals_have_the_ids_the_weighing_answers_with() -> None:
    assert list(metals()) == [
        "spelter",
        "lead_tin",
        "brass",
        "bronze",
        "copper",
        "nickel_silver",
        "iron",
        "steel",
        "aluminium",
        "other",
    ]


def test_pure_metals_lie_within_their_density_range() -> None:
    # Source: textbook densities of zinc 7140, lead 11340, copper 8960, iron 7874, aluminium 2699 kg/m3 (CRC Handbook).
    pure = {"copper": 8960.0, "aluminium": 2699.0, "steel": 7874.0, "spelter": 7140.0}
    for metal, density_kg_per_m3 in pure.items():
        low, high = metals()[metal].density_low_kg_per_m3, metals()[metal].density_high_kg_per_m3
        assert low <= density_kg_per_m3 <= high


def test_only_iron_and_steel_hold_a_magnet() -> None:
    assert {one.id for one in metals().values() if one.magnet == "yes"} == {"iron", "steel"}


def test_spelter_is_kept_from_every_flame_and_says_why() -> None:
    forbidden = {row.treatment: row.because for row in metals()["spelter"].forbids}

    assert {"torch_soldering", "silver_soldering", "heating"} <= set(forbidden)
    assert all(forbidden.values())


def test_a_metal_nobody_knows_forbids_what_harms_any_likely_one() -> None:
    assert {row.treatment for row in metals()["other"].forbids} >= {"torch_soldering", "heating", "ammonia_cleaning"}


def test_the_work_behind_a_treatment_is_one_a_caution_waits_for() -> None:
    for treatment in treatments().values():
        assert treatment.trigger is None or treatment.trigger in triggers(), treatment.id
