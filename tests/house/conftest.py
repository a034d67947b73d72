"""The project as it stands, and small packages that break one rule each."""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "underdial"
Tree = Callable[..., Path]


@pytest.fixture
def tree(tmp_path: Path) -> Tree:
    """Write files, given as name and text, under a folder `underdial` and give that folder."""

    def write(files: dict[str, str]) -> Path:
        package = tmp_path / "underdial"
        for name, text in files.items():
            path = package / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(textwrap.dedent(text).lstrip("\n"), encoding="utf-8")
        package.mkdir(exist_ok=True)
        return package

    return write


def own_modules() -> list[Path]:
    """Every Python file of ours that is not a test."""
    beside = [path for folder in ("scripts", "benchmarks", "teaching") for path in sorted((ROOT / folder).glob("*.py"))]
    return [*sorted(PACKAGE.rglob("*.py")), *beside, ROOT / "dev.py"]
