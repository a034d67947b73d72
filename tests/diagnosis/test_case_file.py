"""A case as told, read without losing anything and without stumbling over what is unknown."""

from __future__ import annotations

import pytest

from underdial.diagnosis.case_file import digest_of, parse_case
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
        "complaint.smells_of", "complaint.stops_at=teatime", "findings[0].component=flux_capacitor", "measurements[0].unit=furlong",
    ]  # fmt: skip
    assert all(one.reason for one in case.unused)


def test_null_means_not_told() -> None:
    case = parse_case({"family": "english_longcase", "complaint": {"runs_for_s": None, "stops_at": None}})

    assert case.told == {}


def test_an_unsaid_certainty_is_nine_in_ten_and_an_unsaid_extent_unknown() -> None:
    case = parse_case({"family": "english_longcase", "findings": [{"component": "pallets", "condition": "worn", "state": "present"}]})

    assert case.reports[0].certainty == 0.9  # Source: docs/reference/file_formats.md, case file
    assert case.reports[0].level is None


def test_readings_are_a_synonym_of_measurements() -> None:
    row = {"quantity": "amplitude", "value": 180.0, "unit": "deg", "position": "dial_up"}
    a = parse_case({"family": "pin_pallet_alarm", "measurements": [row]}).readings
    b = parse_case({"family": "pin_pallet_alarm", "readings": [row]}).readings

    assert a == b
    assert a[0].quantity == "half_arc"


@pytest.mark.parametrize(("words", "level"), [("a touch", "slight"), ("badly", "severe"), ("bad", "severe"), ("quite", "moderate"), ("all round", None)])
def test_an_extent_as_spoken_becomes_a_level(words: str, level: str | None) -> None:
    row = {"component": "pivot_hole", "condition": "worn", "state": "present", "extent": words}

    assert parse_case({"family": "english_longcase", "findings": [row]}).reports[0].level == level


def test_the_order_of_keys_does_not_change_the_digest() -> None:
    assert digest_of({"family": "a", "seed": 1}) == digest_of({"seed": 1, "family": "a"})
    assert digest_of({"family": "a", "seed": 1}) != digest_of({"family": "a", "seed": 2})


@pytest.mark.parametrize("bad", [{"findings": {}}, {"findings": ["worn"]}, {"complaint": []}, {"seed": 1.5}, {"complaint": {"never_runs": "yes"}}])
def test_a_value_of_the_wrong_kind_is_one_clear_refusal(bad: dict[str, object]) -> None:
    with pytest.raises(BadInput) as refused:
        parse_case({"family": "english_longcase", **bad})

    assert "\n" not in refused.value.message
