"""Formulas carry their own page, and refuse what lies outside it."""

from __future__ import annotations

import math

import pytest

from underdial.bench.shown.handbook import pages
from underdial.errors import BadInput, OutOfRange
from underdial.formula import Formula, Parameter, formula, read_formula


@formula("doubled")
def doubled_m(*, length_m: float, turns: int = 2) -> float:
    """Twice a length.

    Parameters
    ----------
    length_m : float
        Length [m], 0.5 to 2.
    turns : int
        Turns, 1 to 9.

    Returns
    -------
    float
        Length [m].

    Notes
    -----
    Exact. Source: [Nobody1900]_ p. 1.
    """
    return turns * length_m


def test_a_page_is_read_from_the_docstring() -> None:
    page = read_formula(doubled_m, name="doubled")

    assert page.title == "Twice a length"
    assert page.parameters[0] == Parameter("length_m", "m", 0.5, 2.0, None, "float", "Length [m], 0.5 to 2.")
    assert page.returns == (("doubled_m", "m"),)
    assert page.source == "[Nobody1900]_ p. 1."
    assert page.parameters[1].default == 2  # Derived: the default in the signature above


@pytest.mark.parametrize("value", [0.49, 2.01, math.nan, math.inf, -1.0])
def test_a_number_outside_is_refused_with_field_value_range_and_unit(value: float) -> None:
    with pytest.raises(OutOfRange) as refused:
        doubled_m(length_m=value)

    # Derived: the range written in the docstring above.
    assert (refused.value.field, refused.value.low, refused.value.high) == ("length_m", 0.5, 2.0)
    assert "0.5 to 2 m" in refused.value.message


def test_both_ends_of_a_range_are_inside() -> None:
    assert doubled_m(length_m=0.5) == 1
    assert doubled_m(length_m=2.0, turns=1) == 2  # Derived: once two


def test_a_parameter_that_the_docstring_does_not_name_is_seen_when_the_function_is_made() -> None:
    with pytest.raises(BadInput, match="does not name wide_m"):

        @formula("wrong")
        def wrong(*, wide_m: float) -> float:
            """Wrong.

            Returns
            -------
            float
                Nothing.
            """
            return wide_m


ALL = list(pages().values())
RANGED = [(page, one) for page in ALL for one in page.parameters if one.low is not None]


@pytest.mark.parametrize(("page", "one"), RANGED, ids=lambda value: value.name)
def test_every_formula_refuses_a_number_just_outside_each_of_its_ranges(page: Formula, one: Parameter) -> None:
    assert one.low is not None
    assert one.high is not None
    span = one.high - one.low
    for outside in (one.low - 1e-6 * max(span, 1e-12) - 1e-15, one.high + 1e-6 * span, math.nan):
        given = {other.name: _inside(other) for other in page.parameters} | {
            one.name: [outside] if one.takes.startswith("list") else outside
        }
        with pytest.raises(OutOfRange) as refused:
            page.function(**given)
        assert refused.value.field == one.name


def _inside(one: Parameter) -> object:
    if one.takes.startswith("str"):
        return "adev"
    middle = 1.0 if one.low is None or one.high is None else min(max(1.0, one.low), one.high)
    return [middle] * 3 if one.takes.startswith("list") else middle


@pytest.mark.parametrize("page", ALL, ids=lambda page: page.name)
def test_every_page_has_a_title_a_source_and_says_each_parameter(page: Formula) -> None:
    assert page.title
    assert page.source, "a formula names where it is from"
    assert all(one.text for one in page.parameters)
    assert all(one.low is None or (one.high is not None and one.low <= one.high) for one in page.parameters)
