"""Movements composed from presets and hand descriptions."""

from __future__ import annotations

import dataclasses
import math

import pytest

from underdial.errors import BadInput, OutsideModel
from underdial.mechanics.energy_balance import predict
from underdial.mechanics.parameters import spread, tabulate
from underdial.movement.composition import compose, presets_by_likeness
from underdial.movement.going_train import reckon
from underdial.trade.families import families

PRESETS = {name: dataclasses.asdict(one) for name, one in families().items()}


@pytest.mark.parametrize("name", sorted(PRESETS))
def test_every_preset_composes_and_its_turns_follow_from_its_counts(name: str) -> None:
    made = compose(PRESETS[name])

    # Derived: beats, escape count and train fix the turns a day, which the preset states by itself.
    assert made.power.main_turns_per_day == pytest.approx(families()[name].main_turns_per_day, rel=1e-4)
    assert made.assumed == ()


def test_counts_said_by_hand_replace_those_of_the_preset() -> None:
    made = compose(PRESETS["english_longcase"], {"train": "96/8 64/8 56/7", "escape": "30"})

    # Derived: the counts that were said.
    assert [(one.wheel_count, one.pinion_count) for one in made.train.meshes] == [(96, 8), (64, 8), (56, 7)]
    # Derived: 2 x 30 x 64/8 x 56/7 from the arbor that turns once an hour.
    assert made.oscillator.beats_per_hour == pytest.approx(3840.0)
    assert "beats_per_hour" in made.assumed


def test_a_pendulum_follows_the_beats_of_the_counted_train() -> None:
    made = compose(PRESETS["english_longcase"], {"train": "96/8 64/8 56/7"}).oscillator

    omega = math.pi * made.beats_per_hour / 3600.0
    # Derived: k = I omega^2, and k = W L with L = g / omega^2.
    assert made.stiffness_n_m_per_rad == pytest.approx(made.inertia_kg_m2 * omega**2, rel=1e-9)
    assert made.stiffness_n_m_per_rad / made.weight_n == pytest.approx(9.80665 / omega**2, rel=1e-9)


def test_a_train_with_one_more_arbor_takes_its_sizes_along_the_line_and_says_so() -> None:
    made = compose(PRESETS["english_longcase"], {"train": "96/8 64/8 60/8 50/10", "beats_per_hour": 3600.0})

    radii = [one.pivot_radius_m for one in made.train.arbors]
    assert len(radii) == 5
    assert radii == sorted(radii, reverse=True)
    assert "pivot_radius_m" in made.assumed
    # Derived: the fourth of the five stands a quarter of the way from the third size to the fourth, in the logarithm:
    # sizes 2.2, 1.1, 0.8, 0.55 mm at 0, 1, 2, 3 of the line, places at 0, 0.75, 1.5, 2.25, 3
    assert radii == pytest.approx([2.2e-3, 1.30813e-3, 0.93808e-3, 0.72847e-3, 0.55e-3], rel=1e-4)


def test_an_escapement_named_for_this_clock_replaces_that_of_the_family_with_its_law() -> None:
    made = compose(PRESETS["english_longcase"], {"traits": ["deadbeat"]})

    assert made.escapement.kind == "deadbeat"
    assert made.escapement.recoil_ratio == 0.0
    assert made.escapement.frictional_rest_ratio > 0.0
    assert "recoil" not in made.traits
    assert "longcase" in made.traits


@pytest.mark.parametrize(
    ("description", "word"),
    [
        ({"traits": ["floating_balance"]}, "floating balance"),
        ({"oscillator": "electric"}, "electric"),
        ({"power": "battery"}, "battery"),
        ({"escapement": "gravity"}, "gravity escapement"),
        ({"oscillator": "quartz"}, "quartz"),
        ({"escapement": "detent"}, "detent"),
    ],
)
def test_what_the_sums_do_not_know_is_refused_in_words(description: dict[str, object], word: str) -> None:
    with pytest.raises(OutsideModel, match=word):
        compose(PRESETS["pin_pallet_alarm"], description)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("full_torque_n_m", -1.0),
        ("full_torque_n_m", "much"),
        ("full_torque_n_m", math.nan),
        ("mesh_efficiency_ratio", 1.5),
        ("escape", "one"),
        ("hour_arbor", 9),
        ("side_branch", "60/30"),
        ("strike", "loud"),
        ("linear_q_ratio", 0.0),
    ],
)
def test_a_value_that_cannot_be_is_refused_by_name(key: str, value: object) -> None:
    with pytest.raises(BadInput, match=key):
        compose(PRESETS["cuckoo_thirty_hour"], {key: value})


def test_lost_counts_are_sent_to_the_search() -> None:
    with pytest.raises(BadInput, match="missing"):
        compose(PRESETS["english_longcase"], {"train": "96/8 ?/8 60/8"})


def test_a_missing_key_is_named() -> None:
    preset = {key: value for key, value in PRESETS["english_longcase"].items() if key != "drop_ratio"}

    with pytest.raises(BadInput, match="drop_ratio"):
        compose(preset)


def test_an_outside_hand_loads_the_hour_arbor_and_comes_and_goes() -> None:
    made = compose(PRESETS["turret_pinwheel"], {"outside_hand_torque_n_m": 0.2})
    layout, values = tabulate(made)

    assert made.loads[0].arbor == 2  # Derived: hour arbor of the preset
    assert values[layout.row("drag_torque_n_m", 1)] == pytest.approx(0.2)  # Derived: that arbor turns once an hour
    assert values[layout.row("arbor_ripple_ratio", 1)] > values[layout.row("arbor_ripple_ratio", 0)]


def test_a_hand_on_a_side_branch_loads_the_arbor_it_hangs_on_with_the_same_power() -> None:
    made = compose(PRESETS["longcase_thirty_hour"], {"side_branch": "1:48/24", "hand_torque_n_m": 1e-3})

    # Derived: the great wheel turns 12 times a day, once in two hours: twice the torque at half the speed.
    assert made.loads[0].torque_n_m == pytest.approx(2e-3, rel=1e-9)


def test_loads_cost_reserve() -> None:
    plain, loaded = (compose(PRESETS["turret_pinwheel"], one) for one in ({}, {"outside_hand_torque_n_m": 0.2}))
    reserves = []
    for made in (plain, loaded):
        layout, values = tabulate(made)
        reserves.append(predict(layout, spread(values, draws_count=1)).reserve_ratio[0, 0])

    assert reserves[1] < reserves[0]


def test_a_platform_stands_level_in_use_and_lies_on_its_side_dial_up() -> None:
    layout, _ = tabulate(compose(PRESETS["carriage_platform_lever"]))

    assert [one.axis_vertical for one in layout.positions] == [True, False]


@pytest.mark.parametrize("name", ["english_longcase", "torsion_four_hundred_day"])
def test_a_pendulum_cannot_be_tried_dial_up(name: str) -> None:
    with pytest.raises(BadInput, match="dial_up"):
        tabulate(compose(PRESETS[name]), positions=("dial_up",))


# Derived: what is said fits one family best by oscillator, then power, then escapement and counts.
@pytest.mark.parametrize(
    ("description", "name"),
    [
        ({"oscillator": "torsion", "power": "going_barrel"}, "torsion_four_hundred_day"),
        ({"oscillator": "pendulum", "power": "weight", "escapement": "pinwheel"}, "turret_pinwheel"),
        ({"oscillator": "balance", "power": "going_barrel", "escapement": "lever"}, "carriage_platform_lever"),
        (
            {"oscillator": "pendulum", "power": "weight", "train": "84/7 70/7", "beats_per_hour": 3600.0},
            "longcase_thirty_hour",
        ),
        ({"oscillator": "pendulum", "power": "fusee", "train": "96/8 84/7 70/7"}, "english_fusee_bracket"),
    ],
)
def test_a_hand_description_finds_its_nearest_family(description: dict[str, object], name: str) -> None:
    assert presets_by_likeness(description, PRESETS)[0] == name


def test_of_two_families_alike_the_one_with_as_many_arbors_is_nearer() -> None:
    four = PRESETS["english_longcase"]
    five = {**four, "pivot_radius_m": [*four["pivot_radius_m"], 4e-4]}
    presets = {"five": five, "four": four}

    # Derived: a train of three meshes has four arbors, one of four meshes five.
    assert presets_by_likeness({"train": "96/8 64/8 60/8"}, presets)[0] == "four"
    assert presets_by_likeness({"train": "96/8 64/8 60/8 50/10"}, presets)[0] == "five"


def test_a_description_outside_the_model_finds_no_family() -> None:
    with pytest.raises(OutsideModel, match="mains"):
        presets_by_likeness({"oscillator": "pendulum", "power": "mains"}, PRESETS)


def test_a_side_branch_sets_the_beats_as_the_train_reckoned_out_does() -> None:
    counts = {"train": "96/8 64/8 60/8", "escape": 30}
    composed = compose(PRESETS["open_spring_balance_30h"], {**counts, "side_branch": "2:60/30", "hour_arbor": 0})
    reckoned = reckon((96, 64, 60), (8, 8, 8), escape_count=30, hour_arbor=0, side_branch=(2, 60, 30))

    # Derived: arbor 2 turns 30/60 in an hour, times 8 x 7.5, times 60 beats a turn of the escape wheel.
    assert composed.oscillator.beats_per_hour == pytest.approx(1800.0)
    assert composed.oscillator.beats_per_hour == pytest.approx(reckoned.beats_per_hour)


@pytest.mark.parametrize("row", [{"loads": [1]}, {"wheel_teeth": ["a"], "pinion_leaves": [8]}])
def test_lists_of_the_wrong_things_are_refused_by_name(row: dict[str, object]) -> None:
    with pytest.raises(BadInput) as refused:
        compose(PRESETS["open_spring_balance_30h"], row)

    assert refused.value.field == next(iter(row))
