"""The aim of a visit, which comes before everything else: to run, to be shown, to be kept as it is, to prove a
cause.
"""

from __future__ import annotations

from dataclasses import dataclass

from underdial.record.fields import require_one_of
from underdial.record.money import Day

AIMS = ("to_run", "to_be_shown", "kept_as_it_is", "prove_a_cause")


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What the clock is to do afterwards, by when, and what cannot be shown by then.

    `may_be_left_out` is what the owner would give up for the date; `wishes` are said outright ("do not polish").
    """

    what: str = "to_run"
    words: str | None = None
    needed_by: Day | None = None
    cannot_be_shown_by_then: tuple[str, ...] = ()
    may_be_left_out: tuple[str, ...] = ()
    wishes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        require_one_of("aim", self.what, AIMS)
