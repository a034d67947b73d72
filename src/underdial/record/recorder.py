"""A recorder's own clock as it was once found: how fast it runs, how sure that is, and for how long it may be used.

What was found grows less sure with age and with warmth. A crystal that was compared in another room, at a temperature
nobody wrote down, is good to about 2.5 parts in a million (0.2 s/day) however well it was compared.

Limits: one device at one sampling; after two years it is compared anew. Growth: [common practice] for sound cards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from underdial.errors import BadInput
from underdial.record.fields import require_moment, require_number, require_one_of, require_text
from underdial.uncertain import Uncertain

# By frames against the system's clock, by a reference that ticked into it, or from somebody else's paper.
METHODS = ("frames", "reference", "given")
LASTS_DAYS = 730.0
# One standard deviation: of a crystal's ageing in a year, of its change with a degree, of a room whose warmth nobody
# wrote down.
_AGEING_PPM_PER_YEAR, _WARMTH_PPM_PER_K, _ROOM_K, _THERMOMETER_K = 2.0, 0.5, 5.0, 1.0
_MOST_PPM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorder:
    """One comparison of a recorder's clock: parts in a million fast, the standard uncertainty, by whom, when and how.

    `device` is its name as the shop uses it; `words` say what it was compared with, `span_s` for how long.
    """

    device: str
    sample_hz: int
    ppm: float
    u_ppm: float
    made_at: datetime
    by: str
    method: str
    words: str | None = None
    span_s: float | None = None
    temperature_deg_c: float | None = None
    id: str = ""

    def __post_init__(self) -> None:
        require_text("device", self.device)
        require_text("by", self.by)
        require_one_of("method", self.method, METHODS)
        require_moment("made_at", self.made_at)
        require_number("sample_hz", self.sample_hz, lowest=1)
        require_number("ppm", self.ppm)
        require_number("u_ppm", self.u_ppm, lowest=0.0)
        require_number("span_s", self.span_s, lowest=0.0)
        require_number("temperature_deg_c", self.temperature_deg_c, lowest=-60.0)
        if abs(self.ppm) > _MOST_PPM or self.u_ppm > _MOST_PPM:
            raise BadInput(
                "ppm",
                f"{self.ppm:g}+-{self.u_ppm:g}",
                f"up to {_MOST_PPM:g} parts in a million",
                f"ppm: no recorder that works is {self.ppm:g}+-{self.u_ppm:g} parts in a million off; see what was "
                "compared.",
            )

    def serves(self, *, device: str, sample_hz: int) -> bool:
        """Whether it was this device, at this sampling."""
        return self.device.casefold() == device.strip().casefold() and self.sample_hz == sample_hz

    def at(self, when: datetime, *, temperature_deg_c: float | None = None) -> Uncertain | None:
        """Parts in a million fast at a time, less sure by age and warmth; None when it is too old to be used."""
        # Whole days, so that the same question has the same answer all day long.
        age_days = float(abs(when - self.made_at).days)
        if age_days > LASTS_DAYS:
            return None
        both = self.temperature_deg_c is not None and temperature_deg_c is not None
        apart_k = (
            math.hypot(abs((temperature_deg_c or 0.0) - (self.temperature_deg_c or 0.0)), _THERMOMETER_K)
            if both
            else _ROOM_K
        )
        return Uncertain(
            self.ppm, math.hypot(self.u_ppm, _AGEING_PPM_PER_YEAR * age_days / 365.25, _WARMTH_PPM_PER_K * apart_k)
        )
