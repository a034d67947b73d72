"""Going, strike and slow trains: arithmetic forward and back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.errors import BadInput, OutOfRange
from underdial.movement import calendar_train, fusee_turns, gear_sizes, going_time, motion_work, strike_train
from underdial.movement.going_train import beats_per_hour, parse_counts, reckon, train_ratio, wheel_for_beats

COUNTS = st.integers(6, 144)
MESHES = st.lists(st.tuples(COUNTS, COUNTS), min_size=1, max_size=5)


def test_an_eight_day_seconds_train_is_reckoned_out() -> None:
    found = reckon([96, 64, 60], [8, 8, 8], escape_count=30)

    # Source: Encyclopaedia Britannica 1910, art. Clock: 64/8 x 60/8 x 30 beats seconds; Derham 1696: 96/8 turns in 12
    # h.
    assert found.beats_per_hour == 3600
    assert found.arbors[0].period_s == 12 * 3600
    assert [one.name for one in found.arbors if one.hour] == ["second_wheel"]
    # Derived: 3600 s over 64 teeth of the hour wheel.
    assert found.meshes[1].period_s == 56.25


def test_a_side_branch_carries_the_hour_arbor() -> None:
    found = reckon([96, 64, 60], [8, 8, 8], escape_count=30, hour_arbor=0, side_branch=(2, 60, 30))

    hour = [one for one in found.arbors if one.hour]
    # Derived: 60 drives 30, so arbor 2 turns once in two hours and everything beats half as fast.
    assert (hour[0].name, hour[0].period_s, found.beats_per_hour) == ("centre_wheel", 3600.0, 1800.0)


@given(MESHES, st.integers(6, 60), st.data())
def test_every_arbor_keeps_its_ratio_to_the_next_whichever_carries_the_hour(
    meshes: list[tuple[int, int]], escape: int, data: st.DataObject
) -> None:
    hour = data.draw(st.integers(1, len(meshes) + 1))
    found = reckon([w for w, _ in meshes], [p for _, p in meshes], escape_count=escape, hour_arbor=hour)

    assert found.arbors[hour - 1].period_s == pytest.approx(3600.0, rel=1e-9)  # Derived: one turn an hour
    for (wheel, pinion), first, second in zip(meshes, found.arbors, found.arbors[1:], strict=False):
        assert first.period_s / second.period_s == pytest.approx(wheel / pinion, rel=1e-9)
    # Derived: a tooth lets two beats pass.
    assert found.beats_per_hour == pytest.approx(2 * escape * 3600.0 / found.arbors[-1].period_s, rel=1e-9)


@given(MESHES, st.integers(6, 60), st.integers(0, 4))
def test_a_wheel_taken_out_is_found_again(meshes: list[tuple[int, int]], escape: int, which: int) -> None:
    wheels, pinions = [w for w, _ in meshes], [p for _, p in meshes]
    which %= len(wheels)
    beats = beats_per_hour(wheels, pinions, escape)
    if not 1 <= beats <= 200000:
        return
    found = wheel_for_beats(
        beats_per_hour=beats, wheels=wheels[:which] + wheels[which + 1 :], pinions=pinions, escape_count=escape
    )

    assert found == pytest.approx(wheels[which], rel=1e-9)


@given(MESHES, st.floats(0.5, 30))
def test_going_time_and_turns_are_each_others_inverse(meshes: list[tuple[int, int]], turns: float) -> None:
    wheels, pinions = [w for w, _ in meshes], [p for _, p in meshes]
    hours = going_time.going_time_h(turns=turns, wheels=wheels, pinions=pinions)
    if hours > 100000:
        return

    assert going_time.turns_for_going_time(going_time_h=hours, wheels=wheels, pinions=pinions) == pytest.approx(
        turns, rel=1e-9
    )


@given(COUNTS, COUNTS, COUNTS, COUNTS)
def test_motion_work_gives_back_each_missing_count(cannon: int, minute: int, pinion: int, hour: int) -> None:
    ratio = motion_work.motion_ratio(
        cannon_count=cannon, minute_wheel_count=minute, minute_pinion_count=pinion, hour_wheel_count=hour
    )
    if not 1 <= ratio <= 48:
        return

    assert motion_work.minute_pinion_leaves(
        cannon_count=cannon, minute_wheel_count=minute, hour_wheel_count=hour, ratio=ratio
    ) == pytest.approx(pinion)
    assert motion_work.hour_wheel_teeth(
        cannon_count=cannon, minute_wheel_count=minute, minute_pinion_count=pinion, ratio=ratio
    ) == pytest.approx(hour)


@given(st.integers(0, 400), st.integers(1, 12))
def test_blows_add_up_hour_by_hour(hours: int, first: int) -> None:
    one_by_one = sum((first - 1 + j) % 12 + 1 for j in range(hours))

    assert strike_train.strike_blows(hours_count=hours, first_hour=first) == one_by_one


def test_a_pulley_doubles_the_turns_and_a_thick_line_takes_some_away() -> None:
    direct = going_time.line_turns(drop_m=1.5, drum_m=0.05)

    # Derived: twice the line runs off
    assert going_time.line_turns(drop_m=1.5, drum_m=0.05, falls_count=2) == pytest.approx(2 * direct)
    assert going_time.line_turns(drop_m=1.5, drum_m=0.05, line_m=0.002) < direct


def test_the_best_moon_train_of_small_wheels_is_found() -> None:
    driven, drivers = calendar_train.slow_train_counts(
        period_h=calendar_train.SYNODIC_MONTH_D * 24, first_arbor_h=12, largest_product_count=20
    )
    period = calendar_train.calendar_period_h([drivers], [driven], first_arbor_h=12)

    # Derived: 945/16 turns of 12 h are 2551500 s, the mean month 2551442.877 s.
    assert (driven, drivers) == (945, 16)
    assert calendar_train.moon_error_s(period_h=period) == pytest.approx(57.12, abs=0.01)
    # Source: Grimthorpe 1903: 6>91, 9>91, 37>171 from the hour arbor, half a second long in the month.
    assert calendar_train.moon_error_s(
        period_h=calendar_train.calendar_period_h([6, 9, 37], [91, 91, 171], first_arbor_h=1)
    ) == pytest.approx(0.36, abs=0.2)


def test_the_steps_of_a_right_snail_strike_every_hour_and_a_worn_one_is_named() -> None:
    radii = [0.020 - 2 * 0.030 * math.sin(math.radians(2.0 * h) / 2) for h in range(12)]
    good = strike_train.rack_hours(range(1, 13), radii, tail_m=0.030, tooth_angle_rad=math.radians(2.0))
    worn = strike_train.rack_hours(
        range(1, 13), [*radii[:6], radii[6] - 0.0008, *radii[7:]], tail_m=0.030, tooth_angle_rad=math.radians(2.0)
    )

    assert [one.blows_count for one in good] == list(range(1, 13))
    # Derived: 0.8 mm on a tail of 30 mm is 0.76 of a tooth of 2 deg, so that seven gathers one tooth too many.
    assert [one.blows_count for one in worn][6] == 8


def test_a_radius_that_is_no_radius_and_an_hour_given_twice_are_refused() -> None:
    with pytest.raises(BadInput, match="hour"):
        strike_train.rack_hours([1, 1], [0.02, 0.019], tail_m=0.03, tooth_angle_rad=0.035)
    with pytest.raises(BadInput, match="snail_radius_mm"):
        strike_train.rack_hours([1, 2], [0.02, -0.019], tail_m=0.03, tooth_angle_rad=0.035)


@pytest.mark.parametrize("text", ["96/8 x", "96-8", "", "0/8", "96/0", "96/8 " * 9, "9999/8"])
def test_a_train_that_cannot_be_read_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_counts(text)

    assert refused.value.field == "train"
    assert "\n" not in refused.value.message


def test_an_hour_arbor_that_is_not_there_is_refused() -> None:
    with pytest.raises(BadInput, match="hour-arbor"):
        reckon([96, 64], [8, 8], escape_count=30, hour_arbor=4)
    with pytest.raises(BadInput, match="side-branch"):
        reckon([96, 64], [8, 8], escape_count=30, hour_arbor=0)


def test_a_count_beyond_its_range_is_refused_with_field_value_and_range() -> None:
    with pytest.raises(OutOfRange) as refused:
        beats_per_hour([64, 60], [8, 8], 900)

    # Derived: the range that the docstring of beats_per_hour states.
    assert (refused.value.field, refused.value.value, refused.value.low, refused.value.high) == (
        "escape_count",
        900.0,
        1.0,
        500.0,
    )


def test_as_many_pinions_as_wheels_are_wanted() -> None:
    with pytest.raises(BadInput, match="each wheel drives one pinion"):
        train_ratio([64, 60], [8])


@given(st.floats(5, 200), st.floats(5, 200), st.floats(1e-4, 0.01))
def test_pitch_diameters_of_a_pair_add_to_twice_the_centre_distance(wheel: float, pinion: float, module: float) -> None:
    both = gear_sizes.pitch_diameter_m(teeth_count=wheel, module_m=module) + gear_sizes.pitch_diameter_m(
        teeth_count=pinion, module_m=module
    )

    # Derived: definition
    assert both == pytest.approx(
        2 * gear_sizes.centre_distance_m(wheel_count=wheel, pinion_count=pinion, module_m=module)
    )


@given(st.floats(1, 300), st.floats(100, 20000), st.floats(1, 20))
def test_beats_of_a_turn_give_the_going_time_back(hours: float, beats: float, turns: float) -> None:
    per_turn = fusee_turns.beats_per_turn(going_time_h=hours, beats_per_hour=beats, turns=turns)

    assert fusee_turns.going_time_from_beats_h(
        turns=turns, beats_per_turn=per_turn, beats_per_hour=beats
    ) == pytest.approx(hours)
