"""Every published row of kind `test` comes out of a public function of ours, and every range is kept."""

from __future__ import annotations

from typing import Any

import pytest

from .plausible import CHECKS
from .rows import CALLS, _flat, outcome, rows


def _name(row: dict[str, Any]) -> str:
    return str(row["id"])


@pytest.mark.parametrize("row", rows("test"), ids=_name)
def test_a_published_value_comes_out(row: dict[str, Any]) -> None:
    found = outcome(row)

    # Source: the row itself names author, place and tolerance.
    assert found.passed, f"{row['quantity']}: ours {found.ours}, expected {found.expected} ({row['source']})"


@pytest.mark.parametrize("row", rows("plausibility"), ids=_name)
def test_a_published_range_is_kept(row: dict[str, Any]) -> None:
    assert CHECKS[row["id"]](row), f"{row['quantity']}: {row['expected']} ({row['source']})"


def test_no_row_is_left_out_and_none_is_asked_for_that_is_not_there() -> None:
    assert set(CALLS) == {row["id"] for row in rows("test")}
    assert set(CHECKS) == {row["id"] for row in rows("plausibility")}


@pytest.mark.parametrize("row", rows("test")[::17], ids=_name)
def test_a_row_with_another_expected_value_does_not_pass(row: dict[str, Any]) -> None:
    """The comparison itself can fail."""
    shifted = {**row, "expected": _moved(row["expected"], row["tolerance"])}

    assert not outcome(shifted).passed


def _moved(expected: Any, tolerance: dict[str, float]) -> Any:
    if isinstance(expected, list):
        return [_moved(expected[0], tolerance), *expected[1:]]
    return (
        expected
        + 2 * tolerance.get("abs", 0.0)
        + 2 * tolerance.get("rel", 0.0) * abs(expected)
        + 1e-6 * abs(expected)
        + 1e-15
    )


@pytest.mark.parametrize("row", rows("test"), ids=_name)
def test_a_row_with_the_other_sign_does_not_pass(row: dict[str, Any]) -> None:
    """A loss is not a gain: an answer of the right size and the wrong sign is caught."""
    turned = {**row, "expected": _negative(row["expected"])}

    assert not outcome(turned).passed or not any(_flat(row["expected"]))


def _negative(expected: Any) -> Any:
    return [_negative(one) for one in expected] if isinstance(expected, list) else -expected
