"""The import table is kept, by our own walk and by the contracts in pyproject.toml, and both say the same."""

from __future__ import annotations

import tomllib

import pytest

from .conftest import PACKAGE, ROOT, Tree
from .rules.imports import FIRST_ROW, TABLE, import_problems, may_import
from .rules.ratchet import beyond, listed


def test_no_room_imports_what_it_may_not() -> None:
    assert beyond(import_problems(PACKAGE), listed("imports")) == []


def test_the_table_is_transitive_but_for_the_doors() -> None:
    assert "movement" in may_import("gauging")
    assert "trade" in may_import("papers")
    assert "mechanics" not in may_import("listening")
    assert may_import("web").isdisjoint({"store", "mechanics", "movement"})
    assert all(may_import(room) >= FIRST_ROW for room in TABLE)


@pytest.mark.parametrize(
    ("file", "text", "says"),
    [
        ("movement/wheel.py", "from underdial.mechanics.pendulum import period_s", "movement may not import mechanics"),
        ("movement/wheel.py", "def f():\n    import underdial.store.shelf", "movement may not import store"),
        ("listening/beat.py", "from ..mechanics import pendulum", "listening may not import mechanics"),
        (
            "listening/beat.py",
            "import importlib\nimportlib.import_module('underdial.mechanics.pendulum')",
            "listening may not import mechanics",
        ),
        ("trade/law.py", "from underdial import record", "trade may not import record"),
        ("trade/law.py", "import numpy as np", "numpy is never in trade"),
        ("errors.py", "from underdial.trade.faults import faults", "errors may not import trade"),
        ("web/page.py", "from underdial.store.shelf import open_shop", "web may not import store"),
        (
            "cli/line.py",
            "import importlib\ndef f(name):\n    importlib.import_module(f'underdial.mechanics.{name}')",
            "cli may not import mechanics",
        ),
        (
            "record/note.py",
            "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from sqlalchemy import Row",
            "sqlalchemy is never in record",
        ),
        ("mechanics/spring.py", "import random", "random is never in mechanics"),
        ("mechanics/spring.py", "import numpy as np\nx = np.random.normal()", "makes no random source"),
        ("diagnosis/draw.py", "from numpy.random import default_rng\nr = default_rng(1)", "makes no random source"),
        ("gauging/read.py", "x = open('readings.csv')", "opens no file"),
        ("bench/job.py", "print('done')", "bench prints nothing"),
        ("parlour/tea.py", "x = 1", "parlour is no room"),
    ],
)
def test_a_forbidden_import_is_seen(tree: Tree, file: str, text: str, says: str) -> None:
    problems = import_problems(tree({file: text}))

    assert len(problems) == 1
    assert says in problems[0]


def test_what_the_table_allows_is_let_through(tree: Tree) -> None:
    package = tree(
        {
            "gauging/cone.py": "from underdial.movement.train import x\nfrom underdial.formula import formula\nfrom "
            ". import poise",
            "diagnosis/draw.py": "import numpy as np\ndef f(rng: np.random.Generator): return rng.normal()",
            "cli/frame.py": "import importlib\ndef f(name):\n    "
            "importlib.import_module(f'underdial.cli.{name}')\nfrom underdial.web import app",
        }
    )

    assert import_problems(package) == []


def test_the_contracts_in_pyproject_say_what_the_table_says() -> None:
    """Two ways to enforce one table would drift apart if nothing compared them."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
        "contracts"
    ]
    forbidden = {
        one["source_modules"][0].partition(".")[2]: {name.partition(".")[2] for name in one["forbidden_modules"]}
        for one in contracts
        if one["type"] == "forbidden"
    }

    for room in TABLE:
        assert forbidden[room] == set(TABLE) - may_import(room) - {room}, room
    for room in FIRST_ROW:
        assert forbidden[room] == set(TABLE), room
