"""Whether a state is said to be there or not: the scope of "no", "not", "nor", "without", "free of".

A negation reaches forward to the states of its clause, over "or" and "nor", and ends at "but", "because", "apart
from" and at a finished statement. "Not only", "not too", "not so badly" grade; they do not deny.

Never here: hedges; which part is meant.
"""

from __future__ import annotations

from collections.abc import Sequence

from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import listed

_GRADING = listed("""only just so too as very terribly badly much all exactly deep bad half entirely quite that enough
especially particularly unduly merely simply""")
# Before a word that says sound these do deny: "not quite round", "not so flat".
_SHORT_OF = listed("quite so very all that exactly entirely")
_BARRIERS = listed("but because that which although though apart except however where unless")
_DENYING_PAIRS = (
    ("free", "of"),
    ("free", "from"),
    ("clear", "of"),
    ("lack", "of"),
    ("instead", "of"),
    ("rather", "than"),
)
_ONLY_BETWEEN = listed(
    "or nor and any other sign of much a the no not signs trace traces at all real obvious visible great"
)


# Behind "no" these begin a correction, or a statement of their own.
_CORRECTING = ("it", "wait", "sorry", "i", "they", "that", "the")
# "It's not, it's dished": so do these behind "not".
_ANSWERED = ("it", "they")
_EXTENTS = (
    ("slight", listed("slightly slight bit touch little hardly barely trace tiny hair shade lightly wee faint minor")),
    ("bad", listed("badly heavily very right deep deeply terrible awful huge lot way far completely severely")),
    ("moderate", listed("quite moderate moderately fairly rather pretty")),
)


def denied(items: Sequence[Item], state: Item, from_word: int, *, before_denied: bool, says_sound: bool) -> bool:
    """Whether the state is denied. `from_word` is where the last state ended, `before_denied` what it was, `says_sound`
    whether the state's words tell that a fault is not there ("round").
    """
    between = [item for item in items if from_word <= item.start and item.end <= state.start]
    if before_denied and _carries_denial(between):
        return True
    if _not_that(items, state):
        return True
    copula_passed = False
    part_passed = False
    for at in range(len(between) - 1, -1, -1):
        item = between[at]
        if item.kind == "word" and item.value in ("is", "are", "'s", "has", "was"):
            copula_passed = True
        if copula_passed and item.kind in ("part", "shared", "wheel"):
            part_passed = True
        verdict = _verdict(between, at, part_passed=part_passed, says_sound=says_sound)
        if verdict is not None:
            return verdict
    return False


def _carries_denial(between: Sequence[Item]) -> bool:
    """ "No cracks or chips": nothing but an "or" and small words since the state denied before."""
    return (
        len(between) > 0
        and all(item.kind == "not" or (item.kind == "word" and item.value in _ONLY_BETWEEN) for item in between)
        and any(item.value in ("or", "nor") for item in between)
    )


def _not_that(items: Sequence[Item], state: Item) -> bool:
    """ "It is not that the pivots are worn"."""
    before = [item for item in items if item.end <= state.start]
    lead = [item.value for item in before]
    return (
        lead[:3] in (["it", "is", "not"], ["that", "is", "not"])
        and "that" in lead[3:]
        and any(item.kind in ("part", "shared", "wheel") for item in before)
    )


def _verdict(between: Sequence[Item], at: int, *, part_passed: bool, says_sound: bool) -> bool | None:
    """What the item at this place settles of the state behind it; None when it settles nothing.

    `part_passed`: a part with its verb stands between the item and the state. `says_sound`: as in `denied`.
    """
    item = between[at]
    following = between[at + 1] if at + 1 < len(between) else None
    if item.kind == "hedge" and item.value.endswith("n"):
        return True
    if item.kind == "not":
        if part_passed and _denies_number(item, following):
            return True
        # "Nothing about the strike, the count hook is bent": the statement has its own subject and verb.
        if part_passed and item.value in ("not", "nothing", "never") and at + 2 < len(between):
            return False
        return _reaches(item, following, says_sound=says_sound)
    if item.kind == "word":
        if _bars(between, at):
            return False
        if following is not None and (item.value, following.value) in _DENYING_PAIRS:
            return True
    return None


def _denies_number(item: Item, following: Item | None) -> bool:
    """ "Not one of the bushes", "not a tooth"."""
    return (
        item.value == "not"
        and following is not None
        and (following.kind == "number" or following.value in ("a", "any", "many", "one"))
    )


def _reaches(item: Item, following: Item | None, *, says_sound: bool) -> bool:
    """Whether a negation holds for what comes behind it: not one that corrects ("no, wait") or grades ("not too")."""
    if following is None or following.kind != "word":
        return True
    if following.value in {"no": _CORRECTING, "not": _ANSWERED}.get(item.value, ()):
        return False
    if says_sound and following.value in _SHORT_OF:
        return True
    return not (following.value in _GRADING and item.value in ("not", "no"))


def _bars(between: Sequence[Item], at: int) -> bool:
    """Whether no negation reaches over this word: "but", "because", "that" unless it is part of a denial."""
    return between[at].value in _BARRIERS and not (
        between[at].value == "that" and at > 0 and (_that_counted(between, at) or _that_thought(between[at - 1]))
    )


def _that_counted(between: Sequence[Item], at: int) -> bool:
    """ "None of that", "not one that"."""
    return between[at - 1].value == "of" or (
        at >= 2 and between[at - 1].kind == "number" and between[at - 2].kind == "not"
    )


def _that_thought(before: Item) -> bool:
    """ "I do not think that", "can not say that"."""
    return before.kind in ("hedge", "word") and before.value in ("think", "say", "find")


def graded(items: Sequence[Item], state: Item) -> str | None:
    """Slight, moderate or bad, from the words around a state; None when nothing was said."""
    near = {
        item.value
        for item in items
        if item.kind in ("word", "not", "quant") and state.start - 6 <= item.start <= state.end + 5
    }
    return next((extent for extent, said in _EXTENTS if near & said), None)
