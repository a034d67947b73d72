"""Lost counts: everything that fits is found, and weighed honestly."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from underdial.errors import BadInput, OutOfRange
from underdial.movement.gear_sizes import centre_distance_m, outside_diameter_m
from underdial.movement.missing_wheels import Lost, Ranges, search
from underdial.movement.tooth_form import addendum_ratio
from underdial.uncertain import Uncertain

SECONDS = Uncertain(3600.0, 7.2)


def _two_lost(**more: object) -> Lost:
    return Lost((96, 64, None), (8, None, 8), 30, SECONDS, **more)  # type: ignore[arg-type]


def test_the_search_finds_what_counting_one_by_one_finds() -> None:
    found = search(_two_lost(), limit=200)
    by_hand = [
        (z, p)
        for z, p in itertools.product(range(20, 145), range(5, 21))
        if abs(2 * 30 * 64 / p * z / 8 - 3600.0) <= 3 * 7.2 + 1e-6
    ]

    assert found.fitting_count == len(by_hand)
    assert {(one.wheels[2], one.pinions[1]) for one in found.candidates} == set(by_hand)
    # Derived: 125 wheels times 16 pinions.
    assert found.searched_count == 2000


def test_probabilities_of_all_that_fit_sum_to_one() -> None:
    assert sum(one.probability for one in search(_two_lost(), limit=200).candidates) == pytest.approx(1.0, abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(
    st.integers(40, 110),
    st.sampled_from([6, 7, 8, 10, 12]),
    st.integers(40, 90),
    st.sampled_from([6, 7, 8]),
    st.sampled_from([0, 1, 2, 3]),
)
def test_a_count_taken_out_of_a_train_is_among_the_candidates(w2: int, p2: int, w3: int, p3: int, out: int) -> None:
    counts: list[int | None] = [w2, p2, w3, p3]
    beats = 2 * 30 * w2 / p2 * w3 / p3
    counts[out] = None
    found = search(
        Lost((96, counts[0], counts[2]), (8, counts[1], counts[3]), 30, Uncertain(beats, beats * 1e-4)), limit=200
    )

    assert (96, w2, w3) in {one.wheels for one in found.candidates}  # Derived: the counts put in
    assert found.settled or found.advice.startswith("These figures do not settle it")


def test_one_lost_wheel_is_settled_by_the_beats_alone() -> None:
    found = search(Lost((96, 64, None), (8, 8, 8), 30, SECONDS))

    assert found.settled
    # Source: Britannica 1910, art. Clock: 64/8, 60/8, 30 beats seconds
    assert found.candidates[0].wheels == (96, 64, 60)


def test_wheel_and_pinion_of_one_arbor_are_not_settled_by_the_beats_and_the_advice_says_what_would() -> None:
    found = search(_two_lost())

    assert not found.settled
    assert "do not settle it" in found.advice
    assert "centre distance" in found.advice


def _sizes(wheel: int, pinion: int, module: float) -> tuple[Uncertain, Uncertain]:
    height = addendum_ratio(wheel_count=wheel, pinion_count=pinion)
    return (Uncertain(centre_distance_m(wheel_count=wheel, pinion_count=pinion, module_m=module), 2e-5),
            Uncertain(outside_diameter_m(teeth_count=wheel, module_m=module, addendum_ratio=height), 3e-5))  # fmt: skip


@pytest.mark.parametrize(("wheel", "pinion"), [(45, 6), (60, 8), (75, 10), (90, 12)])
def test_centre_distance_and_diameter_raise_the_true_pair_above_what_practice_alone_says(
    wheel: int, pinion: int
) -> None:
    distance, diameter = _sizes(wheel, pinion, 0.5e-3)
    lost = Lost((96, 64, None), (8, 8, None), 30, SECONDS)

    def of_true(found: object) -> float:
        return sum(one.probability for one in found.candidates if one.wheels[2] == wheel)  # type: ignore[attr-defined]

    measured = search(
        Lost(lost.wheels, lost.pinions, 30, SECONDS, centre_distance_m={3: distance}, wheel_diameter_m={3: diameter}),
        limit=200,
    )

    # Size readings of the same ratio say little of the pair, so practice still speaks; they never speak against the
    # truth. Derived: four fifths allows for what sizes cannot tell
    assert of_true(measured) > 0.8 * of_true(search(lost, limit=200))


def test_the_diameter_of_the_wheel_that_stands_settles_the_lost_pinion() -> None:
    distance, diameter = _sizes(64, 10, 0.5e-3)
    found = search(
        Lost((96, 64, None), (8, None, 8), 30, SECONDS, centre_distance_m={2: distance}, wheel_diameter_m={2: diameter})
    )

    assert found.candidates[0].pinions[1] == 10  # Derived: the sizes were made from ten leaves
    assert found.candidates[0].wheels[2] == 75  # Derived: 60 escape turns an hour from 64/10


def test_sizes_that_agree_with_no_counts_are_refused_in_words() -> None:
    found = search(
        _two_lost(centre_distance_m={3: Uncertain(0.0241, 1e-4)}, wheel_diameter_m={3: Uncertain(0.0332, 1e-4)})
    )

    assert found.candidates == ()
    assert "3-4" in found.advice


def test_beats_that_nothing_gives_are_refused_in_words() -> None:
    found = search(Lost((96, 64, None), (8, None, 8), 30, Uncertain(3601.0, 0.0)))

    assert (found.candidates, found.fitting_count) == ((), 0)
    assert "widen" in found.advice


def test_leaves_that_are_to_be_had_are_kept_to() -> None:
    found = search(_two_lost(), ranges=Ranges(leaves=(6, 7, 8)), limit=200)

    assert {one.pinions[1] for one in found.candidates} <= {6, 7, 8}  # Derived: the leaves asked for


def test_counts_before_the_hour_arbor_come_from_the_going_time() -> None:
    found = search(Lost((None, 64, 60), (8, 8, 8), 30, None, hours_per_great_turn=Uncertain(12.0, 0.05)), limit=5)

    # Source: Derham 1696: 96/8, sixteen turns, eight days.
    assert found.candidates[0].wheels[0] == 96
    assert found.candidates[0].error_ratio is None


def test_a_wider_uncertainty_never_loses_a_candidate() -> None:
    narrow = {(one.wheels, one.pinions) for one in search(_two_lost(), limit=200).candidates}
    wide = {
        (one.wheels, one.pinions)
        for one in search(Lost((96, 64, None), (8, None, 8), 30, Uncertain(3600.0, 20.0)), limit=200).candidates
    }

    assert narrow <= wide


def test_five_lost_counts_in_the_usual_ranges_are_all_tried() -> None:
    found = search(Lost((96, None, None), (8, None, None), None, SECONDS))

    # Derived: 125^2 wheels, 16^2 pinions, 49 escape wheels.
    assert found.searched_count == 125**2 * 16**2 * 49
    assert found.fitting_count > 100000  # Pinned: 873641 with 7.2 an hour of uncertainty
    # Pinned: twenty of so many hold little
    assert math.isclose(sum(one.probability for one in found.candidates), 0.1, abs_tol=0.1)


def test_a_search_that_would_not_end_is_refused() -> None:
    with pytest.raises(OutOfRange, match="combinations"):
        search(Lost((None,) * 6, (None,) * 6, None, SECONDS, hour_arbor=1))


def test_nothing_lost_and_nothing_measured_are_refused() -> None:
    with pytest.raises(BadInput, match="no count is lost"):
        search(Lost((96, 64), (8, 8), 30, SECONDS))
    with pytest.raises(BadInput, match="nothing measured"):
        search(Lost((96, None), (8, 8), 30, None))
