"""Modules are nouns of the trade and functions say what they do."""

from __future__ import annotations

import pytest

from .conftest import ROOT, Tree, own_modules
from .rules.plain_names import plain_name_problems
from .rules.ratchet import beyond, listed


def test_no_module_and_no_function_has_a_name_that_says_nothing() -> None:
    assert beyond(plain_name_problems(own_modules(), ROOT), listed("plain_names")) == []


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("movement/utils.py", "x = 1"),
        ("record/manager.py", "x = 1"),
        ("movement/wheel.py", "def get_teeth(): ..."),
        ("movement/wheel.py", "def _process_teeth(): ..."),
    ],
)
def test_a_name_that_says_nothing_is_seen(tree: Tree, file: str, text: str) -> None:
    package = tree({file: text})

    assert len(plain_name_problems([package / file], package)) == 1


def test_a_method_that_a_library_asks_for_is_let_through(tree: Tree) -> None:
    package = tree(
        {"cli/frame.py": "class Group:\n    def get_command(self): ...\n\ndef together(): ...\ndef doorway(): ...\n"}
    )

    assert plain_name_problems([package / "cli" / "frame.py"], package) == []
