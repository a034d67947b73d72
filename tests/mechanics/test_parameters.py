"""The table of parameters: every name reachable at its place, and only there."""

from __future__ import annotations

import numpy as np
import pytest

from tests.mechanics.cases import table
from underdial.errors import BadInput, NotFound
from underdial.mechanics.parameters import PARAMETERS, position, spread


def test_rows_follow_one_another_without_gap_or_overlap() -> None:
    layout, values = table("carriage_platform_lever")

    taken = [row for name in PARAMETERS for row in range(layout.rows(name).start, layout.rows(name).stop)]
    assert taken == list(range(layout.rows_count)) == list(range(values.shape[0]))


def test_a_parameter_of_an_arbor_stands_at_every_arbor_and_of_a_mesh_at_every_mesh() -> None:
    layout, _ = table("carriage_platform_lever")

    assert layout.row("drag_torque_n_m", 5) - layout.row("drag_torque_n_m", 0) == 5  # Derived: six arbors
    with pytest.raises(BadInput, match="0 to 4"):
        layout.row("mesh_efficiency_ratio", 5)
    with pytest.raises(BadInput, match="place"):
        layout.row("drag_torque_n_m")
    with pytest.raises(BadInput, match="belongs to the movement"):
        layout.row("drop_ratio", 1)


def test_unknown_names_are_named() -> None:
    layout, _ = table("english_longcase")

    with pytest.raises(NotFound, match="magnetism"):
        layout.row("magnetism")
    with pytest.raises(NotFound, match="12_up"):
        position("dial_up", layout)


def test_spread_draws_can_be_changed_one_by_one() -> None:
    layout, values = table("english_longcase")
    many = spread(values[:, 0], draws_count=4)
    many[layout.row("drop_ratio"), 2] = 0.5

    assert many.flags["C_CONTIGUOUS"]
    assert np.unique(many[layout.row("drop_ratio")]).size == 2


def test_every_parameter_name_ends_in_its_unit_and_says_what_it_does() -> None:
    units = ("_n_m", "_ratio", "_m", "_n", "_rad", "_per_m", "_per_rad", "_s_per_day")

    assert all(name.endswith(units) and len(text) > 10 for name, (_, text) in PARAMETERS.items())
