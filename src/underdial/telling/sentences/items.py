"""The pieces a sentence is laid out in: a run of words, and whether it is a part, a place, a state or a plain word.

Never here: how a word is told to be one of them (`tags`).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Item:
    """A run of words of one sentence and what it is. `kind`: part, shared, wheel, train, place, quant, aspect, state,
    hedge, weight, decision, not_seen, not, number, word."""

    kind: str
    value: str
    start: int
    end: int
    plural: bool = False
