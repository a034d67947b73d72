"""A case as told, read without losing anything and without stumbling over what is unknown."""

from __future__ import annotations

import pytest

from underdial.diagnosis.case_file import digest_of, parse_case
from underdial.diagnosis.question import question
from underdial.errors import BadInput


def test_a_case_without_family_or_movement_is_refused_by_name() -> None:
    with pytest.raises(BadInput, match="family: missing") as refused:
        parse_case({"complaint": {"runs_for_s": 60}})

    assert refused.value.field == "family"


@pytest.mark.parametrize("lost", ["oscillator", "train", "escape", "power"])
def test_a_movement_by_hand_needs_each_of_its_four_parts(lost: str) -> None:
    movement = {"oscillator": "pendulum", "train": "96/8 64/8 60/8", "escape": 30, "power": "weight"}
    movement.pop(lost)

    with pytest.raises(BadInput, match=f"movement.{lost}"):
        parse_case({"movement": movement})


@pytest.mark.parametrize("lost", ["component", "condition", "state"])
def test_a_finding_needs_component_condition_and_state(lost: str) -> None:
    row = {"component": "pivot_hole", "condition": "worn", "state": "present"}
    row.pop(lost)

    with pytest.raises(BadInput, match=rf"findings\[0\].{lost}"):
        parse_case({"family": "english_longcase", "findings": [row]})


@pytest.mark.parametrize("lost", ["quantity", "value", "unit"])
def test_a_measurement_needs_quantity_value_and_unit(lost: str) -> None:
    row = {"quantity": "half_arc", "value": 2.0, "unit": "deg"}
    row.pop(lost)

    with pytest.raises(BadInput, match=rf"measurements\[0\].{lost}"):
        parse_case({"family": "english_longcase", "measurements": [row]})


@pytest.mark.parametrize("key", ["since_winding_h", "hours_since_winding_h", "hours_since_winding"])
def test_hours_from_winding_to_a_reading_are_read(key: str) -> None:
    case = parse_case(
        {
            "family": "english_longcase",
            "measurements": [{"quantity": "half_arc", "value": 2.0, "unit": "deg", key: 30.0}],
        }
    )

    assert [one.hours_since_winding_h for one in case.readings] == [30.0]  # Derived: the hours put in


def test_unknown_words_are_kept_as_unused_with_a_reason() -> None:
    case = parse_case(
        {
            "family": "english_longcase",
            "complaint": {"runs_for_s": 60, "smells_of": "paraffin", "stops_at": "teatime"},
            "findings": [{"component": "flux_capacitor", "condition": "worn", "state": "present"}],
            "measurements": [{"quantity": "half_arc", "value": 2, "unit": "furlong"}],
        }
    )

    assert [one.what for one in case.unused] == [
        "complaint.smells_of",
        "complaint.stops_at=teatime",
        "findings[0].component=flux_capacitor",
        "measurements[0].unit=furlong",
    ]
    assert all(one.reason for one in case.unused)


def test_null_means_not_told() -> None:
    case = parse_case({"family": "english_longcase", "complaint": {"runs_for_s": None, "stops_at": None}})

    assert case.told == {}


def test_an_unsaid_certainty_is_nine_in_ten_and_an_unsaid_extent_unknown() -> None:
    case = parse_case(
        {"family": "english_longcase", "findings": [{"component": "pallets", "condition": "worn", "state": "present"}]}
    )

    assert case.reports[0].certainty == 0.9  # Source: docs/reference/file_formats.md, case file
    assert case.reports[0].level is None


def test_readings_are_a_synonym_of_measurements() -> None:
    row = {"quantity": "amplitude", "value": 180.0, "unit": "deg", "position": "dial_up"}
    a = parse_case({"family": "pin_pallet_alarm", "measurements": [row]}).readings
    b = parse_case({"family": "pin_pallet_alarm", "readings": [row]}).readings

    assert a == b
    assert a[0].quantity == "half_arc"


@pytest.mark.parametrize(
    ("words", "level"),
    [("a touch", "slight"), ("badly", "severe"), ("bad", "severe"), ("quite", "moderate"), ("all round", None)],
)
def test_an_extent_as_spoken_becomes_a_level(words: str, level: str | None) -> None:
    row = {"component": "pivot_hole", "condition": "worn", "state": "present", "extent": words}

    assert parse_case({"family": "english_longcase", "findings": [row]}).reports[0].level == level


def test_the_order_of_keys_does_not_change_the_digest() -> None:
    assert digest_of({"family": "a", "seed": 1}) == digest_of({"seed": 1, "family": "a"})
    assert digest_of({"family": "a", "seed": 1}) != digest_of({"family": "a", "seed": 2})


@pytest.mark.parametrize(
    "bad",
    [{"findings": {}}, {"findings": ["worn"]}, {"complaint": []}, {"seed": 1.5}, {"complaint": {"never_runs": "yes"}}],
)
def test_a_value_of_the_wrong_kind_is_one_clear_refusal(bad: dict[str, object]) -> None:
    with pytest.raises(BadInput) as refused:
        parse_case({"family": "english_longcase", **bad})

    assert "\n" not in refused.value.message


@pytest.mark.parametrize(("row", "shown"), [
    ({"quantity": "half_arc", "value": -190, "unit": "deg"}, "above 0 to 360 deg"),
    ({"quantity": "half_arc", "value": 0, "unit": "deg"}, "above 0 to 360 deg"),
    ({"quantity": "amplitude", "value": 500, "unit": "deg"}, "above 0 to 360 deg"),
    ({"quantity": "total_arc", "value": 900, "unit": "deg"}, "above 0 to 720 deg"),
    ({"quantity": "beat_error", "value": -3, "unit": "ms"}, "0 to 2000 ms"),
    ({"quantity": "rate", "value": 90000, "unit": "s/d"}, "-43200 to 43200 s/d"),
    ({"quantity": "rate", "value": 2000, "unit": "min/d"}, "-720 to 720 min/d"),
    ({"quantity": "main_torque", "value": -0.3, "unit": "Nm"}, "above 0 to 5000 Nm"),
    ({"quantity": "flat_diameter", "value": 25, "unit": "mm"}, "above 0 to 5 mm"),
    ({"quantity": "runout", "value": -0.02, "unit": "mm"}, "0 to 20 mm"),
])  # fmt: skip
def test_a_reading_that_no_clock_gives_is_sent_back_in_one_sentence(row: dict[str, object], shown: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_case({"family": "open_spring_balance_30h", "measurements": [row]})

    assert refused.value.field == "measurements[0].value"
    assert refused.value.allowed == shown  # Derived: the bounds of `believable`, in the unit of the reading
    assert f"{row['value']:g}" in refused.value.message
    # Derived: one full stop
    assert refused.value.message.count(".") - refused.value.message.count(".value") - str(row["value"]).count(".") == 1


@pytest.mark.parametrize(("field", "value"), [("rate_s_per_day", 100_000), ("runs_for_s", -5), ("runs_for_s", 1e9)])
def test_a_told_number_beyond_sense_is_sent_back(field: str, value: float) -> None:
    with pytest.raises(BadInput) as refused:
        parse_case({"family": "english_longcase", "complaint": {field: value}})

    # Derived: the field that was sent.
    assert refused.value.field == f"complaint.{field}"


def test_a_pendulum_does_not_swing_round() -> None:
    row = {"quantity": "half_arc", "value": 190, "unit": "deg"}

    with pytest.raises(BadInput, match="no pendulum clock swings 190 deg"):
        question(parse_case({"family": "english_longcase", "measurements": [row]}))


def test_the_size_of_a_fault_is_not_below_nothing() -> None:
    row = {"component": "pivot_hole", "condition": "worn", "state": "present", "value": -0.2, "unit": "mm"}

    with pytest.raises(BadInput, match=r"findings\[0\].value"):
        parse_case({"family": "english_longcase", "findings": [row]})


def test_what_was_done_before_is_kept_and_the_rest_is_unused() -> None:
    case = parse_case(
        {"family": "english_longcase", "last_done": ["new mainspring two years ago", "Grandfather loved it"]}
    )

    assert case.last_done == ("new mainspring two years ago", "Grandfather loved it")
    assert [one.what for one in case.unused] == ["last_done Grandfather loved it"]


def test_what_was_done_before_must_be_sentences() -> None:
    with pytest.raises(BadInput, match="last_done"):
        parse_case({"family": "english_longcase", "last_done": 3})


@pytest.mark.parametrize(("seen", "other"), [("suspension_spring", "PEN-06"), ("rack_tail", "CNT-01")])
def test_a_part_that_was_looked_at_rules_out_the_other_build(seen: str, other: str) -> None:
    def suspected(findings: list[dict[str, str]]) -> set[str]:
        found = question(
            parse_case(
                {
                    "family": "french_round_pendulum",
                    "complaint": {"stops": True, "strikes": "wrong_count"},
                    "findings": findings,
                }
            )
        ).suspicion
        return {one.fault for one in found.suspects} | {one.fault for one in found.symptom_suspects}

    assert other in suspected([])
    assert other not in suspected([{"component": seen, "condition": "good", "state": "present"}])


def test_a_reading_with_a_part_of_the_shop_on_it_is_none_of_the_clock() -> None:
    row = {"quantity": "half_arc", "value": 60, "unit": "deg", "of": "balance", "lent_parts": ["platform"]}

    case = parse_case({"family": "open_spring_balance_30h", "measurements": [row]})

    assert case.readings == ()
    assert [one.what for one in case.unused] == ["measurements[0].lent_parts"]
