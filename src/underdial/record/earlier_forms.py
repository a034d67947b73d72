"""Records as earlier programs wrote them, brought to the form of now: in a shop when it is migrated, and in an exchange
file when it is read.

They are plain maps as the codec writes them, for the records themselves would refuse some of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

# The kinds that may have to be changed.
KINDS_CHANGED = ("visit",)


def as_now(records: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """All plain records of one clock in the form of now, in their order; one that has it already is the same again."""
    return [_visit(one) if one.get("record") == "visit" else dict(one) for one in records]


def _visit(plain: Mapping[str, Any]) -> dict[str, Any]:
    """A test that ended, or a change of stage, after the clock had gone home once brought it back into the shop."""
    return {**plain, "stage": "gone"} if plain.get("gone_at") is not None else dict(plain)
