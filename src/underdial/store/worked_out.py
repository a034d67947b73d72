"""Answers already worked out, kept by the hash of the question in the shop's folder.

They are derived from the record and may be thrown away at any time: no backup holds them, and a file that cannot be
read counts as not there.
"""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from underdial.store.files import disk_worded

_FOLDER = "worked_out"


def read_answer(folder: Path, question_sha256: str) -> dict[str, Any] | None:
    """The answer to a question, or None when it has not been worked out."""
    try:
        found = json.loads((folder / _FOLDER / f"{question_sha256}.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return found if isinstance(found, dict) else None


def keep_answer(folder: Path, question_sha256: str, answer: Mapping[str, Any]) -> None:
    """Keep an answer; whole or not at all. Raises MachineRefused when the folder cannot be written."""
    place = folder / _FOLDER / f"{question_sha256}.json"
    text = json.dumps(answer, ensure_ascii=False, allow_nan=False)
    with disk_worded(folder):
        place.parent.mkdir(exist_ok=True)
        # A name that nobody else writes to, in this program or another.
        handle, name = tempfile.mkstemp(dir=place.parent, prefix=f"{question_sha256}.", suffix=".part")
        part = Path(name)
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as target:
                target.write(text)
            part.replace(place)
        finally:
            part.unlink(missing_ok=True)
