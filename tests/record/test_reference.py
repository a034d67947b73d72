"""The page of the record says what the records are."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_the_page_of_the_record_is_what_the_program_says() -> None:
    made = subprocess.run(
        [sys.executable, ROOT / "scripts" / "make_record_reference.py", "--print"],
        capture_output=True,
        text=True,
        check=True,
    )

    same = made.stdout == (ROOT / "docs" / "reference" / "record.md").read_text(encoding="utf-8")
    assert same, (
        "docs/reference/record.md is older than the records: .venv/bin/python scripts/make_record_reference.py "
        "writes it anew"
    )
