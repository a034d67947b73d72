"""What was done to a clock before, and the faults that such work leaves behind or takes away.

An owner says `new mainspring two years ago`; a wrong spring is then likelier and a tired one less. Knowledge as data;
the room `diagnosis` weighs it.

Limits: odds are starting values of ours. Words are English; what is not known is left to the reader.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from underdial.trade.faults import read_faults
from underdial.trade.files import DATA, Strict, broken, read_record
from underdial.trade.sources import Source

_NOT_DONE = re.compile(r"\b(?:never|not|no one|nobody|nothing|without)\b")


@dataclass(frozen=True, slots=True)
class EarlierWork(Strict):
    """A kind of work with the words it goes by, and what it does to the odds of faults, by fault id."""

    work: str
    words: tuple[str, ...]
    odds: Mapping[str, float]
    sources: tuple[Source, ...]


@cache
def earlier_works() -> tuple[EarlierWork, ...]:
    """Every kind of work, those of longer names before those whose name is a part of them."""
    return read_last_done(DATA)


def read_last_done(folder: Path) -> tuple[EarlierWork, ...]:
    """The kinds of earlier work of a data folder; BadInput, naming file and key, when one is broken."""
    path = folder / "last_done.json"
    found = read_record(path, tuple[EarlierWork, ...])
    known = read_faults(folder)
    for one in found:
        for fault, odds in one.odds.items():
            if fault not in known or odds <= 0.0:
                raise broken(path, f"[{one.work}].odds.{fault}", odds, "odds above 0 of a fault that is known")
    return found


def heard_works(text: str) -> tuple[EarlierWork, ...]:
    """The kinds of work a sentence tells of; none when it says that something was not done."""
    left = text.lower()
    if _NOT_DONE.search(left):
        return ()
    heard = []
    for one in earlier_works():
        pattern = r"\b(?:" + "|".join(re.escape(word) for word in sorted(one.words, key=len, reverse=True)) + r")\b"
        left, count = re.subn(pattern, " ", left)
        if count:
            heard.append(one)
    return tuple(heard)
