"""Noun phrases: runs of parts, wheels, trains and places held together by small words.

"The back hole of the third on the strike side" is one. The preposition and the word of quantity before it are kept.

Never here: which parts a phrase means (`subjects`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import listed

_LINKS = listed("""of on in for the a an its his her their that this those these 's own little big small same old
brass steel iron wooden one side end other hand my your inside""")
PREPOSITIONS = listed("""of on in for at to from by with against round around under near behind through into onto over
along toward towards past off than inside up down between across like above below where beside via""")
_DETERMINERS = listed("""the a an its his her their that this those these my your some any one both all each every other
same first last whole""")
ADJECTIVES = listed("""brass steel iron wood wooden oak walnut mahogany pine slate marble zinc lead paper enamel painted
little small big old new long short outer inner silvered gilt blued white black green brown tiny main plain thin thick
heavy light loose""")
_NAMING = frozenset(("part", "shared", "wheel", "train", "place", "aspect"))


@dataclass(frozen=True)
class Phrase:
    """A noun phrase of one sentence: its items, and the preposition and the quantity word before it."""

    items: tuple[Item, ...]
    start: int
    end: int
    preposition: str | None = None
    quant: str | None = None
    plural: bool = False


@dataclass(frozen=True)
class Named:
    """What a noun phrase names: the part at its head, with its item, then the other parts, the wheels, train and place.

    `of_all` is set where the sentence speaks of all of them.
    """

    item: Item
    part: str
    others: tuple[str, ...]
    wheels: tuple[str, ...]
    train: str | None
    place: str | None
    phrase: Phrase
    of_all: bool = False
    aspect: str | None = None


def phrases(items: Sequence[Item]) -> list[Phrase]:
    """All noun phrases of a row of items."""
    found: list[Phrase] = []
    at = 0
    while at < len(items):
        if items[at].kind not in _NAMING:
            at += 1
            continue
        group, at = _grown(items, at)
        named = [item for item in group if item.kind in _NAMING]
        before, quant = _before(items, items.index(group[0]))
        quant = quant or next((item.value for item in group if item.kind == "quant"), None)
        found.append(
            Phrase(
                tuple(group),
                named[0].start,
                named[-1].end,
                before,
                quant,
                any(item.plural for item in named if item.kind in ("part", "shared")),
            )
        )
    return found


def _grown(items: Sequence[Item], at: int) -> tuple[list[Item], int]:
    """The items of the noun phrase that begins at an item, and the place behind it."""
    group = [items[at]]
    end = at + 1
    while end < len(items):
        gap = _behind_links(items, end)
        upto = _behind_pair(items, gap, group[-1])
        if upto is None:
            if not _goes_on(items, end, gap, group[-1]):
                break
            upto = gap + 1
        group += items[end:upto]
        end = upto
    return group, end


def _behind_links(items: Sequence[Item], at: int) -> int:
    while at < len(items) and (
        (items[at].kind == "word" and items[at].value in _LINKS) or items[at].kind in ("quant", "number")
    ):
        at += 1
    return at


def _behind_pair(items: Sequence[Item], gap: int, last: Item) -> int | None:
    """The place behind "and the back", "or third", "at the top", where the last item is such a place or wheel too."""
    if gap + 1 >= len(items) or items[gap].kind != "word" or items[gap].value not in ("and", "or", "nor", "at"):
        return None
    following = next(
        (i for i in items[gap + 1 : gap + 3] if not (i.kind == "word" and i.value in ("the", "on", "at", "in"))), None
    )
    if following is None:
        return None
    if items[gap].value == "at":
        joined = following.kind == "place"
    else:
        joined = following.kind in ("place", "wheel") and following.kind == last.kind
    return items.index(following) + 1 if joined else None


def _goes_on(items: Sequence[Item], end: int, gap: int, last: Item) -> bool:
    """Whether the name at `gap` belongs to the phrase whose last item stands before `end`."""
    between = items[end:gap]
    if gap >= len(items) or items[gap].kind not in _NAMING:
        return False
    if any(i.kind == "number" for i in between) and items[gap].kind != "part":
        return False
    linked = [i.value for i in between if i.kind == "word"]
    if any(word in ("of", "on", "in", "for") for word in linked):
        return True
    begins_anew = any(word in ("the", "a", "an", "its") for word in linked) and last.value not in ("inside", "outside")
    return not begins_anew and not any(i.kind == "quant" for i in between)


def _before(items: Sequence[Item], at: int) -> tuple[str | None, str | None]:
    """The preposition before a noun phrase, and its word of quantity."""
    quant = None
    back = at - 1
    while back >= 0 and (
        items[back].kind in ("quant", "number")
        or (items[back].kind == "word" and (items[back].value in _DETERMINERS or items[back].value in ADJECTIVES))
    ):
        if items[back].kind == "quant":
            quant = items[back].value
        back -= 1
    if back >= 1 and items[back].value == "of" and quant is None:
        if _is_some(items[back - 1]):
            return None, None
        if _is_none(items, back - 1):
            return None, "none"
    if back >= 0 and items[back].kind == "word" and items[back].value in PREPOSITIONS:
        return items[back].value, quant
    return None, quant


def _is_some(item: Item) -> bool:
    return item.kind == "word" and item.value in (
        "couple",
        "pair",
        "lot",
        "lots",
        "number",
        "handful",
        "few",
        "row",
        "run",
    )


def _is_none(items: Sequence[Item], at: int) -> bool:
    """ "Not one", "none", "neither" before "of"; "any", "most" and "the rest" name no quantity of their own either."""
    if items[at].kind == "number" and at >= 1 and items[at - 1].value == "not":
        return True
    return items[at].value == "none" or (
        items[at].kind == "word" and items[at].value in ("any", "most", "neither", "rest", "remainder")
    )
