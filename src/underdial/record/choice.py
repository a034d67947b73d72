"""A choice for the owner: a set of works with its price band and one ceiling, dates, chance, and what stays unfixed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import (
    require_invasiveness,
    require_moment,
    require_number,
    require_place_in_train,
    require_probability,
    require_text,
    require_word,
)
from underdial.record.money import Day, Money
from underdial.record.price_parts import PricePart


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedWork:
    """One work of a choice, with the findings it answers: this is the line an owner's consent is tied to.

    `invasiveness_count` is how deep it cuts, 0 to 5 as in `fault_scales.json`; None where nobody graded it. `hours_h`
    is the middle of `hours_low_h` and `hours_high_h`; `price` what it takes of the price of its choice.
    """

    line: str
    work: str
    component: str
    of: str | None = None
    place: str | None = None
    words: str | None = None
    findings: tuple[str, ...] = ()
    hours_h: float | None = None
    hours_low_h: float | None = None
    hours_high_h: float | None = None
    price: PricePart | None = None
    irreversible: str | None = None
    sent_out_to: str | None = None
    invasiveness_count: int | None = None

    def __post_init__(self) -> None:
        require_text("line", self.line)
        for field in ("work", "component", "place"):
            require_word(field, getattr(self, field))
        require_place_in_train("of", self.of)
        for field in ("hours_h", "hours_low_h", "hours_high_h"):
            require_number(field, getattr(self, field), lowest=0.0)
        require_invasiveness(self.invasiveness_count)


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBand:
    """Low, likely and high, and the one ceiling above which nothing is done without asking; all minor units."""

    low_minor: int
    likely_minor: int
    high_minor: int
    ceiling_minor: int
    currency: str

    def __post_init__(self) -> None:
        for field in ("low_minor", "likely_minor", "high_minor", "ceiling_minor"):
            Money(amount_minor=getattr(self, field), currency=self.currency)
        if not 0 <= self.low_minor <= self.likely_minor <= self.high_minor <= self.ceiling_minor:
            raise RuleBroken(
                "price",
                f"{self.low_minor}, {self.likely_minor}, {self.high_minor}, {self.ceiling_minor}",
                "low, likely, high and ceiling in rising order",
                "price: low, likely, high and the ceiling must rise in that order, from 0.",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What is laid before the owner, beside others of which they take one (see `consent.last_words`).

    "Do nothing" is a choice with no works. `title` is in the words of the trade, `title_to_owner` in everyday ones; an
    owner reads the first where there is no second.

    Chances and spreads are the model's at `computed_at`; None says that none was computed, never that it is certain.
    The rate's two are its drift, near the end of the wind less freshly wound; the swing's three are 10, 50 and 90 in
    100, freshly wound.
    """

    title: str
    title_to_owner: str = ""
    works: tuple[PlannedWork, ...] = ()
    price: PriceBand | None = None
    earliest: Day | None = None
    latest: Day | None = None
    runs_full_probability: float | None = None
    runs_full_u_probability: float | None = None
    complaint_gone_probability: float | None = None
    rate_low_s_per_day: float | None = None
    rate_high_s_per_day: float | None = None
    half_arc_low_deg: float | None = None
    half_arc_likely_deg: float | None = None
    half_arc_high_deg: float | None = None
    unfixed: tuple[str, ...] = ()
    irreversible: tuple[str, ...] = ()
    answer_until: Day | None = None
    computed_at: datetime | None = None
    withdrawn: bool = False
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_text("title", self.title)
        require_probability("runs_full_probability", self.runs_full_probability)
        require_probability("runs_full_u_probability", self.runs_full_u_probability)
        require_probability("complaint_gone_probability", self.complaint_gone_probability)
        require_number("rate_low_s_per_day", self.rate_low_s_per_day)
        require_number("rate_high_s_per_day", self.rate_high_s_per_day)
        for name in ("half_arc_low_deg", "half_arc_likely_deg", "half_arc_high_deg"):
            require_number(name, getattr(self, name), lowest=0.0)
        require_moment("computed_at", self.computed_at)
        lines = [work.line for work in self.works]
        if len(set(lines)) != len(lines):
            raise RuleBroken(
                "works", ", ".join(lines), "each line named once", "works: two lines of one choice have the same name."
            )
        self._check_parts()
        if self.earliest and self.latest and self.earliest.on > self.latest.on:
            raise RuleBroken(
                "latest",
                self.latest.on.isoformat(),
                f"from {self.earliest.on.isoformat()}",
                "latest: the last date lies before the first.",
            )

    def _check_parts(self) -> None:
        """RuleBroken when the parts of the works, where all have one, are not the price to the penny."""
        parts = [one.price for one in self.works if one.price is not None]
        if self.price is None or not parts or len(parts) < len(self.works):
            return
        whole = self.price
        for what, wanted in (("low", whole.low_minor), ("likely", whole.likely_minor), ("high", whole.high_minor)):
            together = sum(getattr(one, f"{what}_minor") for one in parts)
            if together != wanted or any(one.currency != whole.currency for one in parts):
                raise RuleBroken(
                    "price",
                    together,
                    f"{wanted} {whole.currency}",
                    f"price: the works come to {together} together, the choice to {wanted} ({what}, in the smallest "
                    "coin); they must be the same.",
                )
