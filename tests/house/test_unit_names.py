"""Plain numbers that cross a boundary say their unit, and name and docstring say the same."""

from __future__ import annotations

import pytest

from .conftest import PACKAGE, Tree
from .rules.ratchet import beyond, listed
from .rules.unit_names import unit_name_problems, unit_of, unit_of_bracket


def test_every_plain_number_says_its_unit_and_its_docstring_the_same() -> None:
    assert beyond(unit_name_problems(PACKAGE), listed("unit_names")) == []


@pytest.mark.parametrize(
    ("name", "bracket"),
    [
        ("length_m", "m"),
        ("g_m_per_s2", "m/s2"),
        ("torque_n_m", "N m"),
        ("stiffness_n_m_per_rad", "N m/rad"),
        ("rate_s_per_day", "s/day"),
        ("expansion_per_k", "1/K"),
        ("beats_per_hour", "1/h"),
        ("inertia_kg_m2", "kg m2"),
        ("nut_s_per_day_per_turn", "s/d"),
        ("modulus_pa", "Pa"),
        ("torque_per_turn_n_m", "N m"),
        ("friction_ratio", "1"),
        ("wheel_count", "count"),
        ("density_kg_per_m3", "kg/m3"),
        ("half_arc_deg", "deg"),
        ("modulus1_pa", "Pa"),
        ("rate_s_per_day_per_k", "s/day/K"),
    ],
)
def test_a_name_and_its_bracket_are_read_as_one_unit(name: str, bracket: str) -> None:
    assert unit_of(name) == unit_of_bracket(bracket)


@pytest.mark.parametrize("name", ["length", "swing", "torque_nm", "rate", "value", "temperature", "mass_grams"])
def test_a_name_without_a_unit_is_known_as_such(name: str) -> None:
    assert unit_of(name) is None


GOOD = '''
def period_s(*, length_m: float, turns: float = 1.0) -> float:
    """Period.

    Parameters
    ----------
    length_m : float
        Length [m], 0 to 1.
    turns : float
        Turns, 0 to 9.

    Returns
    -------
    float
        Period [s].
    """
'''


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (GOOD.replace("length_m", "length"), "parameter length tells no unit"),
        (GOOD.replace("[m]", "[mm]"), "length_m ends in m, its docstring says mm"),
        (GOOD.replace(" [m]", ""), "length_m ends in m, its docstring says none"),
        (GOOD.replace("Period [s]", "Period [min]"), "period_s ends in s, its docstring says min"),
        (GOOD.replace("Turns, 0", "Turns [rad], 0"), "turns ends in no unit, its docstring says rad"),
        ("def swing(*, length_m: float) -> float: ...", "what it returns has no unit"),
        ("def period_s(lengths: Sequence[float]) -> int: ...", "parameter lengths tells no unit"),
        ("class Pivot:\n    radius: float\n", "Pivot: radius tells no unit"),
        ("class Pivot:\n    radius: float | None = None\n", "Pivot: radius tells no unit"),
    ],
)
def test_a_number_without_its_unit_or_with_two_is_seen(tree: Tree, text: str, says: str) -> None:
    problems = unit_name_problems(tree({"mechanics/pendulum.py": text}))

    assert len(problems) == 1
    assert says in problems[0]


def test_what_is_right_or_private_or_in_another_room_is_let_through(tree: Tree) -> None:
    package = tree(
        {
            "mechanics/pendulum.py": GOOD + "\ndef _inner(L: float) -> float: ...\n\nclass _Own:\n    x: float\n",
            "mechanics/_letters.py": "def f(L: float) -> float: ...",
            "mechanics/mean.py": GOOD.replace("length_m", "middle").replace("[m]", "[any]")
            + '\n\nclass Line:\n    """A line in [any] unit."""\n    slope: float\n',
            "record/note.py": "def f(length: float) -> float: ...",
            "units.py": "def shown(value: float, unit: str) -> str: ...",
        }
    )

    assert unit_name_problems(package) == []
