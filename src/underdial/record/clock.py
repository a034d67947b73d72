"""The clock as an object: what it is, what its movement is made of, and the files kept about it.

It outlives every visit. What is tied to one coming-in (parts handed over, complaint, aim) stands in the visit.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from underdial.errors import BadInput
from underdial.record.fields import require_moment, require_number, require_one_of, require_text, require_word
from underdial.record.picture import PictureMark, PictureScale, check_marks

ATTACHMENT_KINDS = ("picture", "drawing", "film", "sound", "captions", "readings", "paper", "other")


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """An object with the number on its ticket, which is its `tag` here.

    `family` is a preset of movements, never a limit; `movement` overrides it key by key, as a case file does.
    `traits` are what it is built with (`fusee`, `zinc_case`); `hazards` what must be known before it is touched.
    """

    tag: str
    name: str
    family: str | None = None
    movement: Mapping[str, object] = field(default_factory=dict)
    traits: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    signed: str | None = None
    description: str | None = None
    case_metal: str | None = None
    height_m: float | None = None
    width_m: float | None = None
    mass_kg: float | None = None
    identifying_marks: str | None = None
    known_since: datetime | None = None
    id: str = ""

    def __post_init__(self) -> None:
        require_text("tag", self.tag)
        require_text("name", self.name)
        for name in ("family", "case_metal"):
            require_word(name, getattr(self, name))
        for word in (*self.traits, *self.hazards):
            require_word("traits", word)
        for name in ("height_m", "width_m", "mass_kg"):
            require_number(name, getattr(self, name), lowest=0.0)
        require_moment("known_since", self.known_since)


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """A file kept with the clock, known by the SHA-256 of its bytes.

    `drawn` says that a picture is a drawing.

    A picture has its upright size in points, the marks drawn on it, its scale, and in `after_of` the id of the picture
    that shows the same before the work. `set_aside`: it is out of use, in no paper and under no finding, and stays.
    """

    sha256: str
    name: str
    kind: str
    media_type: str
    size_bytes_count: int
    caption: str | None = None
    component: str | None = None
    taken_at: datetime | None = None
    drawn: bool = False
    width_px: int | None = None
    height_px: int | None = None
    marks: tuple[PictureMark, ...] = ()
    scale: PictureScale | None = None
    after_of: str | None = None
    set_aside: bool = False
    id: str = ""
    visit_id: str | None = None

    def __post_init__(self) -> None:
        if not re.fullmatch("[0-9a-f]{64}", self.sha256):
            raise BadInput("sha256", self.sha256, "64 hexadecimal figures")
        require_text("name", self.name)
        require_one_of("kind", self.kind, ATTACHMENT_KINDS)
        require_number("size_bytes_count", self.size_bytes_count, lowest=0.0)
        require_word("component", self.component)
        require_moment("taken_at", self.taken_at)
        for name in ("width_px", "height_px"):
            require_number(name, getattr(self, name), lowest=1.0)
        check_marks(self.marks)
