"""A copy of the package's data that a test may break."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from underdial.trade.files import DATA

Break = Callable[[str, Callable[[Any], None]], Path]


@pytest.fixture
def break_file(tmp_path: Path) -> Break:
    """Copy the data, let the caller change what one file holds, and give the folder."""

    def change(name: str, spoil: Callable[[Any], None]) -> Path:
        folder = tmp_path / "data"
        shutil.copytree(DATA, folder)
        held = json.loads((folder / name).read_text(encoding="utf-8"))
        spoil(held)
        (folder / name).write_text(json.dumps(held), encoding="utf-8")
        return folder

    return change
