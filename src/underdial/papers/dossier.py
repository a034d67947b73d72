"""All that is known of one clock at one visit, as the papers take it: records and finished answers, nothing to look
up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from underdial.papers.blocks import Figure
from underdial.papers.marked_picture import Photograph
from underdial.record.bill import Bill
from underdial.record.choice import Choice
from underdial.record.clock import Clock
from underdial.record.consent import Consent
from underdial.record.credit import Credit
from underdial.record.custody import CustodyLine
from underdial.record.finding import Finding
from underdial.record.hold import Hold
from underdial.record.hours import Hours
from underdial.record.look_over import LookOver
from underdial.record.measurement import Measurement
from underdial.record.people import PartToPlay, Person
from underdial.record.proof import Proof
from underdial.record.visit import Visit
from underdial.record.work import Work


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopName:
    """The shop as it signs: name, lines of address, telephone, the sentence of law it puts on its papers (its own
    words), within how many days it is paid (0 is when the clock is fetched), the zone of its hours, and what an hour of
    work costs (0 where that is not said).
    """

    name: str
    address: tuple[str, ...] = ()
    telephone: str = ""
    pay_within_days: int = 0
    law_words: str = ""
    currency: str = "GBP"
    zone: str = "UTC"
    hour_price_minor: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedSize:
    """A size that a work is to reach: as found with its uncertainty, the target and the span it may lie in, all in
    `unit`; what to measure it with. `line` is the line of the choice that it belongs to, `of` the wheel;
    `as_found_across` is the other axis of a hole that is not round; `places_count` are the decimals that each of its
    numbers is printed with, None for as many as it has.
    """

    line: str
    quantity: str
    unit: str
    as_found: float | None = None
    as_found_u: float | None = None
    target: float | None = None
    low: float | None = None
    high: float | None = None
    measured_with: str = ""
    of: str | None = None
    as_found_across: float | None = None
    places_count: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardOnPaper:
    """A recording of the ticking that was kept: what it is called, what it said as pairs, its drawing.

    `readings` are the ids of its readings.
    """

    title: str
    pairs: tuple[tuple[str, str], ...]
    figure: Figure
    readings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dossier:
    """One clock, one visit.

    `diagnosis` is the answer of `diagnose` or None where nothing was computed; `unseen` the parts of this kind of
    movement that nobody has looked at, grouped; `traits` how it is built, by its kind and what was said of it;
    `going_time_h` how long it goes from one wind; `owner_cautions` what the owner is told of it as it stands, and
    `counter_cautions` what is told on the receipt; `visit_number_count` counts its visits from 1;
    Every time in its records is one of the shop's own hours, as its papers print it.
    `number_count` is the invoice or credit note that is wanted, None for the newest;
    `planned_sizes` and `part_drawings` what the bench sheet makes parts to; `heard` the recordings of its ticking.
    """

    shop: ShopName
    clock: Clock
    visit: Visit
    today: date
    record_sha256: str
    people: Mapping[str, Person] = field(default_factory=dict)
    parts_played: tuple[PartToPlay, ...] = ()
    findings: tuple[Finding, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    choices: tuple[Choice, ...] = ()
    consents: tuple[Consent, ...] = ()
    works: tuple[Work, ...] = ()
    proofs: tuple[Proof, ...] = ()
    bills: tuple[Bill, ...] = ()
    credits: tuple[Credit, ...] = ()
    hours: tuple[Hours, ...] = ()
    holds: tuple[Hold, ...] = ()
    custody: tuple[CustodyLine, ...] = ()
    look_overs: tuple[LookOver, ...] = ()
    diagnosis: Mapping[str, Any] | None = None
    unseen: tuple[tuple[str, tuple[str, ...]], ...] = ()
    photographs: tuple[Photograph, ...] = ()
    owner_cautions: tuple[str, ...] = ()
    counter_cautions: tuple[str, ...] = ()
    going_time_h: float | None = None
    visit_number_count: int = 1
    traits: tuple[str, ...] = ()
    planned_sizes: tuple[PlannedSize, ...] = ()
    part_drawings: tuple[Figure, ...] = ()
    heard: tuple[HeardOnPaper, ...] = ()
    number_count: int | None = None
    finished_count: int = 0
    went_count: int = 0

    def __post_init__(self) -> None:
        zone = ZoneInfo(self.shop.zone)
        for one in fields(self):
            before = getattr(self, one.name)
            if (there := _there(before, zone)) is not before:
                object.__setattr__(self, one.name, there)


def _there(value: Any, zone: ZoneInfo) -> Any:
    """A value with each time in it told in a zone; the very same value where there is none."""
    if isinstance(value, datetime):
        return value.astimezone(zone)
    if isinstance(value, tuple):
        told = tuple(_there(one, zone) for one in value)
        return told if any(a is not b for a, b in zip(told, value, strict=True)) else value
    if is_dataclass(value) and not isinstance(value, type):
        changed = {
            one.name: there
            for one in fields(value)
            if (there := _there(before := getattr(value, one.name), zone)) is not before
        }
        return replace(value, **changed) if changed else value
    return value


def who(dossier: Dossier, part: str) -> tuple[str, ...]:
    """Names of the people who play a part at this visit."""
    return tuple(
        dossier.people[one.person_id].name for one in dossier.parts_played if one.part == part and not one.ended
    )
