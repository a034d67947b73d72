"""What may stand in a field of any record: ids, choices from a list, chances, moments with their zone.

A record checks itself when it is made, so that nothing unsound can be carried into another room. Each check
raises BadInput naming the field, the value and what is allowed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from datetime import datetime

from underdial.errors import BadInput, RuleBroken

_ID = re.compile(r"[a-z0-9]+(?:_[a-z0-9]+)*")


def require_word(field: str, value: str | None) -> None:
    """An id of the vocabulary, such as `pivot_hole`; None is let through."""
    if value is not None and not _ID.fullmatch(value):
        raise BadInput(field, value, "a word of small letters, figures and single underscores, such as pivot_hole")


def require_place_in_train(field: str, value: str | None) -> None:
    """What a part belongs to: a vocabulary id, or two joined by a full stop, such as `strike.great_wheel`."""
    for part in value.split(".", 1) if value is not None else ():
        if not _ID.fullmatch(part):
            raise BadInput(field, value, "a word such as third_wheel, or train and wheel such as strike.great_wheel")


def require_one_of(field: str, value: str | None, allowed: Collection[str]) -> None:
    """A word from a closed list; None is let through."""
    if value is not None and value not in allowed:
        raise BadInput(field, value, ", ".join(allowed))


def require_text(field: str, value: str) -> None:
    """Some words, not only spaces."""
    if not value.strip():
        raise BadInput(
            field, repr(value), "at least one word", f"{field}: nothing is written there; at least one word is wanted."
        )


def require_probability(field: str, value: float | None) -> None:
    """A number from 0 to 1; None is let through."""
    if value is not None and not 0.0 <= value <= 1.0:
        raise BadInput(field, value, "0 to 1")


def require_number(field: str, value: float | None, *, lowest: float | None = None) -> None:
    """A finite number, not under `lowest` when that is given; None is let through."""
    if value is None:
        return
    if not math.isfinite(value) or (lowest is not None and value < lowest):
        raise BadInput(field, value, "a number" if lowest is None else f"a number of {lowest:g} or more")


def require_invasiveness(value: int | None) -> None:
    """How deep a work cuts, from 0 (left as it is) to 5 (an original main part altered for good); None is let
    through.
    """
    if value is not None and not 0 <= value <= 5:
        raise RuleBroken("invasiveness_count", value, "0 to 5")


def require_moment(field: str, value: datetime | None) -> None:
    """A time with its zone, because a shop's noon is nobody else's; None is let through."""
    if value is not None and value.utcoffset() is None:
        raise BadInput(field, value.isoformat(), "a time with its zone, such as 2026-03-02T14:05:00+00:00")
