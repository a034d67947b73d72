"""A bench command answers at once because it loads little: what takes long to load is not loaded for it."""

from __future__ import annotations

import subprocess
import sys

import pytest

# Each of these takes longer to load than a bench command may take in all; none is needed for one.
HEAVY = ("numba", "scipy.stats", "scipy.optimize", "sqlalchemy", "fastapi", "av", "matplotlib")
LINES = (
    ["formula", "pendulum_length", "beats_per_hour=3600"],
    ["pallets", "--escape", "30", "--radius", "15mm", "--span", "7.5", "--kind", "deadbeat"],
    ["bush", "--pivot", "1.20mm", "--plate", "1.6mm", "--lean", "2.5deg"],
    ["teeth", "64/8", "--module", "0.6mm"],
)


@pytest.mark.parametrize("line", LINES, ids=[one[0] for one in LINES])
def test_a_bench_command_loads_nothing_that_takes_long(line: list[str]) -> None:
    program = (
        f"import atexit, sys; atexit.register(lambda: print([one for one in {HEAVY!r} if one in sys.modules], "
        "file=sys.stderr)); from underdial.cli import main; main()"
    )
    done = subprocess.run([sys.executable, "-c", program, *line], capture_output=True, text=True, check=True)

    assert done.stdout.startswith("{")
    assert done.stderr.strip() == "[]"
