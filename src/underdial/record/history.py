"""What happened to the record: every change is an event, with who, when, before, after and why. Nothing is erased,
but a person who asks for it (docs/decisions/0118-a-person-is-erased-round-the-history.md).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from underdial.record.fields import require_moment, require_one_of, require_text

DEEDS = ("added", "changed", "confirmed", "corrected", "rejected", "withdrawn", "imported", "erased")


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One change of one record. `before` and `after` are the whole record as plain JSON; None where there was none."""

    at: datetime
    by: str
    deed: str
    record: str
    record_id: str
    clock_id: str | None = None
    before: Mapping[str, object] | None = None
    after: Mapping[str, object] | None = None
    why: str | None = None
    number_count: int = 0

    def __post_init__(self) -> None:
        require_moment("at", self.at)
        require_text("by", self.by)
        require_one_of("deed", self.deed, DEEDS)
