"""What finished jobs have taught, taken up by somebody: one version of the chances and effects that clocks are reckoned
with.

Version 0 is the program as delivered and is not kept. A lesson is never changed and never taken away: the newest is in
use, and whoever goes back adds one that is the same as an earlier.

Limits: chances are of faults in a clock that is brought in, sizes are factors on what was delivered, both by fault id.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from underdial.errors import BadInput, RuleBroken
from underdial.record.fields import require_moment, require_number, require_text

# No effect was ever so far from what was delivered; a larger number is a slip. [numerical]
_MOST_FACTOR = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """One version of what finished jobs taught, by whom and when it was taken up, and what it changed in words.

    `follows_count` is the version that was in use before. `same_as_count` names the earlier version that was gone back
    to (0 as delivered). `looked_count` says how many clocks stand behind each chance, `size_chances` how likely each
    factor of the grid is, `jobs` which jobs have taught (clock id and visit id).
    """

    number_count: int
    follows_count: int
    taken_up_at: datetime
    taken_up_by: str
    same_as_count: int | None = None
    chances: Mapping[str, Any] = field(default_factory=dict)
    sizes: Mapping[str, Any] = field(default_factory=dict)
    looked_count: Mapping[str, Any] = field(default_factory=dict)
    size_chances: Mapping[str, Any] = field(default_factory=dict)
    jobs: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    why: str | None = None
    id: str = ""

    def __post_init__(self) -> None:
        require_number("number_count", self.number_count, lowest=1)
        require_number("follows_count", self.follows_count, lowest=0)
        require_number("same_as_count", self.same_as_count, lowest=0)
        require_moment("taken_up_at", self.taken_up_at)
        require_text("taken_up_by", self.taken_up_by)
        _require_all("chances", self.chances, 1.0)
        _require_all("sizes", self.sizes, _MOST_FACTOR)
        if self.follows_count >= self.number_count or (
            self.same_as_count is not None and self.same_as_count >= self.number_count
        ):
            raise RuleBroken(
                "follows_count",
                self.follows_count,
                f"below {self.number_count}",
                "follows_count: a version follows only one that was there before it.",
            )

    @property
    def reckoned_by_count(self) -> int:
        """The version whose numbers these are: its own, or the earlier one that was gone back to."""
        return self.number_count if self.same_as_count is None else self.same_as_count


def _require_all(name: str, values: Mapping[str, Any], most: float) -> None:
    for fault, value in values.items():
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value < most:
            raise BadInput(f"{name}.{fault}", value, f"above 0 and below {most:g}")
