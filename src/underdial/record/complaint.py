"""The owner's complaint: what they say it does, in their words and in the few figures that can be got from them.

None means *not told*, which is never the same as no.
"""

from __future__ import annotations

from dataclasses import dataclass

from underdial.record.fields import require_number, require_one_of

STOPS_AT = ("same_dial_time", "same_minute", "same_wind", "before_hour", "irregular")
RATE_KINDS = ("gains", "loses", "irregular", "changes_over_wind")
STRIKES = ("wrong_count", "never", "runs_on", "slow", "too_fast", "one_hour_wrong")
SWINGS = ("too_small", "too_big", "knocks")
GOES_ONLY = ("tilted", "hands_off", "dial_up", "more_weight")
SINCE = ("moved", "repair", "fall", "wound", "cleaned", "owner_work")
WINDINGS = ("slips", "will_not_wind")
CHIMES = ("out_of_order", "never", "runs_on")
ALARMS = ("wrong_time", "never")


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """Everything the owner can be asked about how the clock behaves; all of it may be untold (None)."""

    words: str | None = None
    runs_for_s: float | None = None
    never_runs: bool | None = None
    runs_dial_up_for_s: float | None = None
    rate_s_per_day: float | None = None
    hands_stand: bool | None = None
    stops_at: str | None = None
    rate_kind: str | None = None
    strikes: str | None = None
    races: bool | None = None
    swing: str | None = None
    goes_only: str | None = None
    since: str | None = None
    winding: str | None = None
    chimes: str | None = None
    alarm: str | None = None
    noise: bool | str | None = None
    stops_in_cold: bool | None = None

    def __post_init__(self) -> None:
        require_number("runs_for_s", self.runs_for_s, lowest=0.0)
        require_number("runs_dial_up_for_s", self.runs_dial_up_for_s, lowest=0.0)
        require_number("rate_s_per_day", self.rate_s_per_day)
        for field, allowed in (
            ("stops_at", STOPS_AT),
            ("rate_kind", RATE_KINDS),
            ("strikes", STRIKES),
            ("swing", SWINGS),
            ("goes_only", GOES_ONLY),
            ("since", SINCE),
            ("winding", WINDINGS),
            ("chimes", CHIMES),
            ("alarm", ALARMS),
        ):
            require_one_of(field, getattr(self, field), allowed)
