"""What is known to break a rule, in tests/house/ratchet.json: a list that may only get shorter.

An entry that nothing answers to any more makes the test fail as much as a new breach does, so the list is never
longer than it has to be. Line numbers are left out, because they move.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

LIST = Path(__file__).parents[1] / "ratchet.json"
_LINE = re.compile(r"(?<=\.\w):\d+(?=:)|(?<=\.\w\w):\d+(?=:)|(?<=\.\w\w\w):\d+(?=:)|(?<=\.\w\w\w\w):\d+(?=:)")


def listed(section: str) -> Any:
    """One section of the list; a section that is not there is empty."""
    return json.loads(LIST.read_text(encoding="utf-8")).get(section, {})


def beyond(problems: Iterable[str], known: Iterable[str]) -> list[str]:
    """Problems that are not on the list, and entries of the list that are no problem any more."""
    now = {_LINE.sub("", one): one for one in problems}
    allowed = set(known)
    fresh = [one for name, one in now.items() if name not in allowed]
    return fresh + [f"{one} (no longer so; take it off the list)" for one in sorted(allowed - set(now))]
