"""A room's `__init__.py` is the sign on its door and nothing else."""

from __future__ import annotations

from .conftest import PACKAGE, Tree
from .rules.doors import door_problems

SIGN = '"""Lives here: wheels.\n\nNever here: files.\n"""\n'


def test_every_room_has_a_sign_on_its_door_and_no_more() -> None:
    assert door_problems(PACKAGE) == []


def test_a_door_without_a_sign_or_with_more_than_one_is_seen(tree: Tree) -> None:
    package = tree({
        "movement/__init__.py": "",
        "mechanics/__init__.py": SIGN + "from underdial.mechanics.pendulum import period_s\n",
        "record/__init__.py": SIGN + "VERSION = 1\n",
        "trade/__init__.py": SIGN,
        "cli/__init__.py": SIGN + "from underdial.cli.frame import main\n\n__all__ = ['main']\n",
    })  # fmt: skip

    assert [one.partition("/")[0] for one in door_problems(package)] == ["mechanics", "movement", "record"]
