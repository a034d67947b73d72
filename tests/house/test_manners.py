"""Tests are named as sentences, assert something, and do not look at a watch."""

from __future__ import annotations

import pytest

from .conftest import ROOT, Tree
from .rules.manners import manners_problems
from .rules.ratchet import beyond, listed


def test_every_test_is_a_sentence_that_asserts_something() -> None:
    files = sorted((ROOT / "tests").rglob("test_*.py"))

    assert beyond(manners_problems(files, ROOT), listed("manners")) == []


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("def test_period():\n    assert x", "label"),
        ("def test_a_longer_pendulum_swings():\n    f()", "asserts nothing"),
        ("def test_a_longer_pendulum_swings():\n    time.sleep(1)\n    assert x", "no place in a test"),
        ("def test_a_longer_pendulum_swings():\n    assert perf_counter() - start < limit", "no place in a test"),
        ("class TestA:\n    def test_a_longer_pendulum_swings(self):\n        f()", "asserts nothing"),
    ],
)
def test_bad_manners_are_seen(tree: Tree, text: str, says: str) -> None:
    package = tree({"test_a.py": text})

    problems = manners_problems([package / "test_a.py"], package)
    assert problems
    assert all(says in one for one in problems)


@pytest.mark.parametrize(
    "text",
    [
        "def test_a_longer_pendulum_swings():\n    assert x",
        "def test_a_longer_pendulum_swings():\n    with pytest.raises(ValueError):\n        f()",
        "def _same(a):\n    assert a\n\ndef _both(a):\n    _same(a)\n\ndef test_a_longer_pendulum_swings():\n    "
        "_both(1)",
        "def test_a_longer_pendulum_swings():\n    np.testing.assert_allclose(a, b)",
    ],
)
def test_good_manners_are_let_through(tree: Tree, text: str) -> None:
    package = tree({"test_a.py": text})

    assert manners_problems([package / "test_a.py"], package) == []
