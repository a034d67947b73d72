"""Whether a state is said to be there or not: the scope of "no", "not", "nor", "without", "free of".

A negation reaches forward to the states of its clause, over "or" and "nor", and ends at "but", "because", "apart
from" and at a finished statement. "Not only", "not too", "not so badly" grade; they do not deny.

Never here: hedges; which part is meant.
"""

from __future__ import annotations

from collections.abc import Sequence

from underdial.telling.tags import Item
from underdial.telling.words import listed

_GRADING = listed("only just so too as very terribly badly much all exactly deep bad half entirely quite that enough especially particularly unduly")
_BARRIERS = listed("but because that which although though apart except however where unless")
_DENYING_PAIRS = (("free", "of"), ("free", "from"), ("clear", "of"), ("lack", "of"), ("instead", "of"), ("rather", "than"))
_ONLY_BETWEEN = listed("or nor and any other sign of much a the no not signs trace traces at all real obvious visible great")


def denied(items: Sequence[Item], state: Item, from_word: int, *, before_denied: bool) -> bool:
    """Whether the state is denied. `from_word` is where the last state ended, `before_denied` what it was."""
    between = [item for item in items if from_word <= item.start and item.end <= state.start]
    if before_denied and between and all(item.kind == "not" or (item.kind == "word" and item.value in _ONLY_BETWEEN) for item in between) and \
            any(item.value in ("or", "nor") for item in between):
        return True
    lead = [item.value for item in items if item.end <= state.start]
    if lead[:3] in (["it", "is", "not"], ["that", "is", "not"]) and "that" in lead[3:] and any(item.kind in ("part", "shared", "wheel") for item in items if item.end <= state.start):
        return True
    copula_passed = False
    part_passed = False
    for at in range(len(between) - 1, -1, -1):
        item = between[at]
        if item.kind == "word" and item.value in ("is", "are", "'s", "has", "was"):
            copula_passed = True
        if copula_passed and item.kind in ("part", "shared", "wheel"):
            part_passed = True
        # "Nothing about the strike, the count hook is bent": the statement has its own subject and verb.
        if item.kind == "not" and item.value == "not" and at + 1 < len(between) and (between[at + 1].kind == "number" or between[at + 1].value in ("a", "any", "many", "one")) and part_passed:
            return True
        if item.kind == "not" and part_passed and item.value in ("not", "nothing", "never") and at + 2 < len(between):
            return False
        following = between[at + 1] if at + 1 < len(between) else None
        if item.kind == "hedge" and item.value.endswith("n"):
            return True
        if item.kind == "not":
            if item.value == "no" and following is not None and following.kind == "word" and following.value in ("it", "wait", "sorry", "i", "they", "that", "the"):
                return False
            return not (following is not None and following.kind == "word" and following.value in _GRADING and item.value in ("not", "no"))
        if item.kind == "word":
            if item.value in _BARRIERS and not (item.value == "that" and at and (between[at - 1].value == "of" or (at >= 2 and between[at - 1].kind == "number" and between[at - 2].kind == "not"))) and not (item.value == "that" and at and between[at - 1].kind in ("hedge", "word") and between[at - 1].value in ("think", "say", "find")):
                return False
            if following is not None and (item.value, following.value) in _DENYING_PAIRS:
                return True
    return False


def graded(items: Sequence[Item], state: Item) -> str | None:
    """Slight, moderate or bad, from the words around a state; None when nothing was said."""
    near = {item.value for item in items if item.kind in ("word", "not", "quant") and state.start - 6 <= item.start <= state.end + 5}
    if near & {"slightly", "slight", "bit", "touch", "little", "hardly", "barely", "trace", "tiny", "hair", "shade", "lightly", "wee", "faint", "minor"}:
        return "slight"
    if near & {"badly", "heavily", "very", "right", "deep", "deeply", "terrible", "awful", "huge", "lot", "way", "far", "completely", "severely"}:
        return "bad"
    if near & {"quite", "moderate", "moderately", "fairly", "rather", "pretty"}:
        return "moderate"
    return None
