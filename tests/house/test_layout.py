"""Layout and lint are ruff's: lines of at most 120, laid out by the formatter."""

from __future__ import annotations

import subprocess
import sys

import pytest

from .conftest import ROOT


@pytest.mark.parametrize("verb", [["format", "--check"], ["check"]])
def test_ruff_has_nothing_to_say(verb: list[str]) -> None:
    said = subprocess.run(
        [sys.executable, "-m", "ruff", *verb, "--quiet", "."], cwd=ROOT, capture_output=True, text=True
    )

    assert said.returncode == 0, said.stdout + said.stderr
