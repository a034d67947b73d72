"""Modules and bodies stay small; what is over the limit is listed with its size and may only shrink."""

from __future__ import annotations

from .conftest import ROOT, Tree, own_modules
from .rules.ratchet import listed
from .rules.sizes import BODY_LINES, MODULE_LINES, size_problems, sizes


def test_nothing_grows_past_the_limits_unnoticed() -> None:
    assert size_problems(sizes(own_modules(), ROOT), listed("sizes")) == []


def _long(lines: int) -> str:
    return "def f():\n" + "    x = 1\n" * lines


def test_a_body_and_a_module_one_line_too_long_are_seen(tree: Tree) -> None:
    package = tree(
        {
            "movement/a.py": _long(BODY_LINES),
            "movement/b.py": _long(BODY_LINES + 1),
            "movement/c.py": "x = 1\n" * MODULE_LINES,
            "movement/d.py": "x = 1\n" * (MODULE_LINES + 1),
            "movement/e.py": "class A:\n    def f(self):\n"
            + '        """Says.\n'
            + "\n" * BODY_LINES
            + '        """\n        return 1\n',
        }
    )

    now = sizes(sorted(package.rglob("*.py")), package)
    assert now == {"movement/b.py::f": BODY_LINES + 1, "movement/d.py": MODULE_LINES + 1}


def test_a_listed_thing_may_shrink_only_with_its_entry() -> None:
    assert size_problems({"a.py": 700}, {"a.py": 700}) == []
    assert "make it smaller" in size_problems({"a.py": 701}, {"a.py": 700})[0]
    assert "list the smaller size" in size_problems({"a.py": 699}, {"a.py": 700})[0]
    assert "take it off" in size_problems({}, {"a.py": 700})[0]
    assert "over the limit" in size_problems({"a.py::f": 71}, {})[0]
