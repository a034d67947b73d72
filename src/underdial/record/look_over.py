"""A spoken first inspection as it was taken in: when, by whom, from which file, and which stretches were private.

Only the *times* of a private stretch are kept, so that what was said there can be kept out; its words never are.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_number, require_place_in_train, require_text, require_word
from underdial.record.finding import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """From here to there, in seconds of the recording."""

    start_s: float
    end_s: float

    def __post_init__(self) -> None:
        require_number("start_s", self.start_s, lowest=0.0)
        require_number("end_s", self.end_s, lowest=self.start_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tray:
    """That something was put into a tray, as it was said to the recorder: which tray, when, and the part spoken of last
    before that, where there are times.
    """

    name: str
    start_s: float | None = None
    component: str | None = None
    of: str | None = None

    def __post_init__(self) -> None:
        require_text("name", self.name)
        require_number("start_s", self.start_s, lowest=0.0)
        require_word("component", self.component)
        require_place_in_train("of", self.of)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookOver:
    """One look-over. `attachment_id` is the recording or its captions, when they are kept; `taken_at` is when it was
    handed in, `begins_at` when its recording began, where that is known. `occasion` is what it is called ("as
    received", "after stripping"), `opened` what was open or off then; `light` and `method` say in words by what light
    and how it was looked at.

    `in_doubt` is what may have been said and is too doubtful to be a finding; it enters no paper and no sum until
    somebody says that it is so, and then it is a finding of its own.

    `trays` and `hours` are what was said to the recorder: what lies in which tray, and from when to when time was
    counted. `private_removed` says that the kept file no longer has the private stretches in it.
    """

    taken_at: datetime
    by: str
    file_name: str | None = None
    attachment_id: str | None = None
    lasts_s: float | None = None
    private: tuple[Stretch, ...] = ()
    private_removed: bool = False
    begins_at: datetime | None = None
    occasion: str | None = None
    opened: str | None = None
    light: str | None = None
    method: str | None = None
    owner_requests: tuple[str, ...] = ()
    last_done: tuple[str, ...] = ()
    trays: tuple[Tray, ...] = ()
    hours: tuple[Stretch, ...] = ()
    in_doubt: tuple[Finding, ...] = ()
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_moment("taken_at", self.taken_at)
        require_moment("begins_at", self.begins_at)
        require_text("by", self.by)
        require_number("lasts_s", self.lasts_s, lowest=0.0)

    @property
    def at(self) -> datetime:
        """When it was: when its recording began, else when it was handed in."""
        return self.begins_at or self.taken_at


def check_private(look_over: LookOver) -> None:
    """RuleBroken when a recording is to be kept with its private stretches still in it."""
    if look_over.private and look_over.attachment_id is not None and not look_over.private_removed:
        raise RuleBroken(
            "private",
            f"{len(look_over.private)} stretches",
            "a file without them",
            "private: the recording still has what was said in private in it; take those stretches out before it is "
            "kept.",
        )
