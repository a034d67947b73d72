"""A measurement: a quantity of a part, its value with uncertainty, and everything it depends on.

A reading without its position, state of wind and instrument cannot be compared with another, and one taken with
the shop's own pendulum or weight on says nothing of the clock's. Values stay in the unit they were read in.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_number, require_one_of, require_place_in_train, require_word
from underdial.record.finding import SPEAKERS, Evidence

LENT_PARTS = ("key", "pendulum", "weight", "platform", "crank", "bob", "line", "suspension", "other")


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """One reading. `value` and its standard uncertainty `u` (k = 1; None when not known) are in `unit`.

    `lent_parts` are parts of the shop that were on the clock when it was read: see `LENT_PARTS`.
    """

    quantity: str
    value: float
    unit: str = ""
    u: float | None = None
    of: str | None = None
    place: str | None = None
    position: str | None = None
    since_winding_h: float | None = None
    instrument: str | None = None
    taken_at: datetime | None = None
    lent_parts: tuple[str, ...] = ()
    who: str = "repairer"
    start_s: float | None = None
    words: str | None = None
    evidence: tuple[Evidence, ...] = ()
    standing: str = "heard"
    id: str = ""
    visit_id: str = ""
    round_id: str | None = None

    def __post_init__(self) -> None:
        for field in ("quantity", "place", "position"):
            require_word(field, getattr(self, field))
        for part in self.of.split(":", 1) if self.of is not None else ():
            require_place_in_train("of", part)
        require_number("value", self.value)
        require_number("u", self.u, lowest=0.0)
        require_number("since_winding_h", self.since_winding_h, lowest=0.0)
        require_number("start_s", self.start_s, lowest=0.0)
        require_moment("taken_at", self.taken_at)
        require_one_of("who", self.who, SPEAKERS)
        require_one_of("standing", self.standing, ("heard", "confirmed", "rejected"))
        for part in self.lent_parts:
            require_one_of("lent_parts", part, LENT_PARTS)


def check_own_parts(measurement: Measurement) -> None:
    """RuleBroken unless the clock stood on its own parts when this was read: only then does a result count."""
    if measurement.lent_parts:
        lent = ", ".join(measurement.lent_parts)
        raise RuleBroken(
            "lent_parts",
            lent,
            "a reading with the clock's own parts on",
            f"lent_parts: {measurement.quantity} was read with the shop's {lent} on the clock; "
            f"a result counts only with its own parts. Put them back and read it again.",
        )
