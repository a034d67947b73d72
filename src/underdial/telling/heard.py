"""What was heard, as the reader of a look-over hands it on: findings, measurements, facts, private stretches.

A finding keeps the words it was made from, when they were said, and the rule that made it. Values are in the
unit that was spoken; the room `record` turns them into its own records.

Never here: how it was read.
"""

from __future__ import annotations

from dataclasses import dataclass, field

# Of what is said without a hedge.
PLAIN_CERTAINTY = 0.9


@dataclass
class Finding:
    """One fact on the state of a part. Times in seconds from the start of the look-over, None when not known.

    `state` is present, absent or not_examined; `certainty_probability` 0 to 1 is the hedge that was spoken;
    `guess` says which words were taken for others that sound like them.
    """

    component: str
    condition: str
    state: str
    of: str | None = None
    place: str | None = None
    certainty_probability: float = PLAIN_CERTAINTY
    significance: str | None = None
    decision: str | None = None
    who: str = "repairer"
    extent: str | None = None
    value: float | None = None
    unit: str | None = None
    against: str | None = None
    start_s: float | None = None
    end_s: float | None = None
    words: str = ""
    rule: str = ""
    guess: str | None = None
    flags: list[str] = field(default_factory=list)
    also_s: list[float] = field(default_factory=list)
    sentence: int = 0
    clause: int = 0
    aspect: str | None = None


@dataclass
class Measurement:
    """A number read, counted or estimated, in the unit that was spoken."""

    quantity: str
    of: str | None
    value: float
    unit: str
    start_s: float | None = None
    words: str = ""
    position: str | None = None
    sentence: int = 0


@dataclass
class Facts:
    """What the owner says and wishes, and when the clock was last worked on."""

    runs_for_s: float | None = None
    rate_s_per_day: float | None = None
    words: list[str] = field(default_factory=list)
    owner_requests: list[str] = field(default_factory=list)
    last_done: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class NotExamined:
    """A part that was not looked at, and why: not_looked_at, not_reached or not_tested; not_mentioned when nothing
    was said.
    """

    component: str
    of: str | None
    why: str
    place: str | None = None


@dataclass(frozen=True)
class Order:
    """A word to the recorder: pause, carry_on, tray (with its name), hours_start, hours_stop, hush, private."""

    order: str
    start_s: float | None
    value: str | None = None


@dataclass
class Account:
    """Everything that was read from one look-over. What is `in_doubt` may have been meant: it is no finding until
    somebody says that it is so.
    """

    findings: list[Finding] = field(default_factory=list)
    in_doubt: list[Finding] = field(default_factory=list)
    measurements: list[Measurement] = field(default_factory=list)
    facts: Facts = field(default_factory=Facts)
    not_examined: list[NotExamined] = field(default_factory=list)
    private: list[tuple[float | None, float | None]] = field(default_factory=list)
    orders: list[Order] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
