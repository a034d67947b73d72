"""An asserted number says where it is from."""

from __future__ import annotations

import pytest

from .conftest import ROOT, Tree
from .rules.asserted_numbers import asserted_number_problems
from .rules.ratchet import beyond, listed


def test_every_asserted_number_says_where_it_is_from() -> None:
    files = sorted((ROOT / "tests").rglob("*.py"))

    assert beyond(asserted_number_problems(files, ROOT), listed("asserted_numbers")) == []


UNMARKED = [
    "def test_a():\n    # Derived: 2.1 twice\n    assert f() == 4.2\n    x = 1\n    y = 2\n    assert g() == 4.3",
    "def test_a():\n    assert f() == 4.2",
    "def test_a():\n    assert 4.2 < f()",
    "def test_a():\n    assert f() == pytest.approx(4.2)",
    "def test_a():\n    assert f() == pytest.approx(g(), rel=0.2)",
    "def test_a():\n    assert np.allclose(f(), [3.0, 4.2])",
    "def test_a():\n    assert abs(f() - 2 * math.pi) < 1e-9",
    "def test_a():\n    assert f() == {'a': 7}",
    "def test_a():\n    with x():\n        assert f() == 4.2",
    "# Source: far away\n\n\n\n\ndef test_a():\n    x = 3\n    assert f() == 4.2",
    "@pytest.mark.parametrize(('x', 'expected'), [(1, 4.2)])\ndef test_a(x, expected):\n    assert f(x) == expected",
]
MARKED = [
    "def test_a():\n    assert f() == 4.2  # Source: Derham 1696, p. 3",
    "def test_a():\n    # Derived: 2.1 twice\n    assert f() == 4.2",
    "def test_a():\n    # Pinned: our own output\n    x = f()\n\n    assert x == 4.2",
    "def test_a():\n    assert g()\n    # Derived: 2.1 twice\n    assert f() == 4.2",
    "def test_a():\n    # Derived: both by hand\n    assert f() == 4.2\n    assert g() == 8.4",
    "# Source: Derham 1696\n@pytest.mark.parametrize(('x', 'expected'), [(1, 4.2)])\ndef test_a(x, expected):\n    "
    "assert f(x) == expected",
    "@pytest.mark.parametrize(('x', 'expected'), [\n    (1, 4.2),  # Source: Derham 1696\n])\ndef test_a(x, "
    "expected):\n    assert f(x) == expected",
]
STRUCTURE = [
    "def test_a():\n    assert f() == 0",
    "def test_a():\n    assert f() == -1",
    "def test_a():\n    assert len(f()) == 12",
    "def test_a():\n    assert f().shape == (3, 4)",
    "def test_a():\n    assert f().shape[0] == 3",
    "def test_a():\n    assert result.exit_code == 2",
    "def test_a():\n    assert answer.status_code == 404",
    "def test_a():\n    assert f(length_m=0.25) > f(length_m=0.2)",
    "def test_a():\n    assert f(x[3]) == g(x[:5])",
    "def test_a():\n    assert f() == pytest.approx(g(), rel=1e-9)",
    "def test_a():\n    assert f() is True",
    "@pytest.mark.parametrize('x', [3, 4.2])\ndef test_a(x):\n    assert f(x) == g(x)",
    "@pytest.mark.parametrize(('x', 'word'), [(3, 'a')])\ndef test_a(x, word):\n    assert f(x) == g(word)",
]


@pytest.mark.parametrize("text", UNMARKED)
def test_a_number_without_a_word_on_its_origin_is_seen(tree: Tree, text: str) -> None:
    package = tree({"test_a.py": text})

    assert len(asserted_number_problems([package / "test_a.py"], package)) == 1


@pytest.mark.parametrize("text", [*MARKED, *STRUCTURE])
def test_a_number_that_says_its_origin_and_one_that_is_structure_are_let_through(tree: Tree, text: str) -> None:
    package = tree({"test_a.py": text})

    assert asserted_number_problems([package / "test_a.py"], package) == []
