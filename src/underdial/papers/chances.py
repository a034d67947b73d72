"""Chances in words: one scale for every paper and page, and the bench's own number with its error.

At the bench: "74 in 100, give or take 6". To the owner: a word of the scale, and a number only when the shop has
finished about twenty clocks of that family ("23 of our last 28"). Nothing above 98 in 100 is said anywhere until
the shop's own record supports it. The words follow the practice of stating a scale once and keeping to it; the cuts
are our own choice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

CAP = 0.98
CLOCKS_BEFORE_A_NUMBER = 20

# (least chance, word, what it means, said once on each paper that uses it)
SCALE: tuple[tuple[float, str, str], ...] = (
    (0.90, "very likely", "9 in 10 or better"),
    (0.70, "likely", "between 7 and 9 in 10"),
    (0.50, "more likely than not", "between 5 and 7 in 10"),
    (0.20, "doubtful", "between 2 and 5 in 10"),
    (0.00, "unlikely", "less than 2 in 10"),
)


def chance_word(probability: float) -> str:
    """The word of the scale for a chance from 0 to 1."""
    assert 0.0 <= probability <= 1.0, probability
    return next(word for least, word, _ in SCALE if probability >= least)


def bench_chance(probability: float, u: float) -> str:
    """The number at the bench, capped: `74 in 100, give or take 6`."""
    shown = round(100 * min(probability, CAP))
    spread = max(1, round(100 * u))
    return f"{shown} in 100, give or take {spread}"


def owner_chance(probability: float, *, went_count: int = 0, finished_count: int = 0) -> str:
    """The words to an owner: of the scale, with the shop's own count once it is long enough."""
    word = chance_word(min(probability, CAP))
    if finished_count >= CLOCKS_BEFORE_A_NUMBER:
        return f"{word} ({went_count} of our last {finished_count})"
    return word


def scale_sentence() -> str:
    """The scale in one sentence, for the foot of a paper that uses it."""
    return "How we word chances: " + "; ".join(f"{word}, {meaning}" for _, word, meaning in SCALE) + "."


# What is told of apart from the going: how it would do, and what is spoiled.
_SOUNDED = {
    "strikes": ("strike as it should", "striking"),
    "chimes": ("chime as it should", "chiming"),
    "alarm": ("sound its alarm as it should", "alarm"),
}


@dataclass(frozen=True, slots=True)
class Hope:
    """What putting one cause right is judged by, after the complaint: the question, how it would do, the mark and word
    of a cause that decides.
    """

    question: str
    would: str
    mark: str
    word: str


def hope_of(answer: Mapping[str, Any], cause: Mapping[str, Any] | None = None) -> Hope:
    """The hope that fits what the complaint of an answer was read as, or what one of its causes acts on: a fault of the
    strike does not stop the clock because another does.
    """
    read_as = (cause or {}).get("acts_on") or answer.get("complaint_read_as", "stops")
    if read_as in _SOUNDED:
        verb, noun = _SOUNDED[read_as]
        return Hope(f"Would it {verb} if only this were put right?", f"to {verb}", "contributes", f"spoils its {noun}")
    if read_as == "stops":
        return Hope("Would it go if only this were put right?", "to go its full time", "stops", "stops")
    if read_as in ("rate", "rate_kind"):
        return Hope("Would it keep time if only this were put right?", "to keep time", "contributes", "spoils its time")
    return Hope(
        "Would the complaint be gone if only this were put right?",
        "to be rid of the complaint",
        "contributes",
        "brings it about",
    )
