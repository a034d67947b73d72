"""Where a clause ends: at a joining word, behind a finished statement, where another noun phrase begins one of its own.

Never here: what a clause says.
"""

from __future__ import annotations

from collections.abc import Sequence

from underdial.telling.names import states
from underdial.telling.sentences import noun_phrases
from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import listed

JOINING = listed("but so because though although plus only except bar while whereas okay then which alright now anyway")
_COPULA = listed("is are was were 's be been looks look feels feel seems has have had got gets s")


def cut_before(items: Sequence[Item], at: int, held: Sequence[Item], stops: dict[int, str]) -> str | None:
    """What ties the clause that begins with this item to the one before, which has the items `held`; None where none
    begins. `stops` are those behind a word, by the place of the next.
    """
    item = items[at]
    if item.start in stops:
        return stops[item.start]
    finished = any(i.kind in ("state", "decision", "weight", "not_seen") for i in held)
    if (
        item.kind == "not_seen"
        and any(i.kind == "state" for i in held)
        and not any(i.kind in ("part", "shared", "wheel") for i in held[-3:])
    ):
        return "new"
    ahead = " ".join(i.value for i in items[at : at + 4])
    if held and ahead.startswith(
        ("apart from", "other than", "with the exception of", "but for", "save for", "aside from")
    ):
        return "except"
    if (
        item.kind == "word"
        and item.value in JOINING
        and not (item.value == "so" and held and held[-1].kind == "not")
        and not (item.value == "bar" and not (at + 1 < len(items) and items[at + 1].value in ("the", "one", "for")))
    ):
        return item.value if held else None
    if item.kind == "word" and item.value in ("and", "or", "nor"):
        if not finished:
            return None
        following = items[at + 1] if at + 1 < len(items) else None
        if (
            following is not None
            and following.kind == "place"
            and held[-1].kind == "place"
            and not (at + 2 < len(items) and items[at + 2].kind in ("state", "part", "shared"))
        ):
            return None
        if following is not None and following.kind == "state" and item.value in ("or", "nor"):
            return None
        return item.value
    if (
        item.kind == "word"
        and item.value in ("somebody", "someone", "whoever")
        and any(i.kind in ("part", "shared", "wheel") for i in held)
    ):
        return "new"
    if (
        any(i.kind in ("state", "decision", "weight") for i in held)
        and not _takes_object(held)
        and _begins_subject(items, at, held)
    ):
        return "new"
    return None


def _begins_subject(items: Sequence[Item], at: int, held: Sequence[Item]) -> bool:
    """Whether a noun phrase, or the small words before it, begins a new statement here."""
    item = items[at]
    if item.kind == "word" and item.value in ("there", "it", "that", "they", "this", "i") and at + 1 < len(items):
        following = items[at + 1]
        return (
            following.kind == "word"
            and following.value
            in (
                "is",
                "'s",
                "are",
                "was",
                "has",
                "have",
                "could",
                "would",
                "can",
                "might",
                "looks",
                "will",
                "do",
                "did",
                "count",
                "does",
                "goes",
                "fits",
                "works",
                "needs",
                "comes",
                "feels",
                "turns",
                "had",
            )
            and held[-1].kind != "word"
        )
    if item.kind == "word" and item.value in ("somebody", "someone", "whoever"):
        return True
    if (item.kind == "word" and item.value in ("the", "a", "both", "one", "two", "other")) or item.kind == "quant":
        ahead = next(
            (i for i in items[at + 1 : at + 3] if i.kind in ("part", "shared", "wheel", "train", "place", "aspect")),
            None,
        )
        if (_touching(held) and not _own_predicate(items, at)) or (
            held[-1].value in ("lost", "missing", "has lost", "is missing") and item.value in ("a", "one", "two")
        ):
            return False
        if ahead is None or any(
            i.kind == "word" and i.value in ("is", "it", "and", "to") for i in items[at + 1 : items.index(ahead)]
        ):
            return False
        return not _leans(held, ahead) and not _attributive(held)
    if _touching(held) and not _own_predicate(items, at):
        return False
    if item.kind in ("part", "shared", "wheel", "train", "aspect") or (
        item.kind == "place" and _place_begins(items, at)
    ):
        return not _leans(held, item) and not _attributive(held)
    return False


def _takes_object(held: Sequence[Item]) -> bool:
    """ "Somebody has filed ...": what comes next is what it was done to."""
    while (
        len(held) > 1
        and held[-1].kind == "word"
        and held[-1].value in ("the", "a", "an", "its", "his", "this", "that", "one", "old")
    ):
        held = held[:-1]
    if held[-1].kind == "state" and held[-1].value.split()[-1] in (
        "with",
        "on",
        "in",
        "against",
        "of",
        "to",
        "off",
        "round",
        "into",
    ):
        return True
    if held[-1].kind != "state" or states.is_noun(held[-1].value):
        return False
    lead = [item for item in held[:-1] if item.kind != "hedge"]
    agent = next(
        (
            at
            for at, item in enumerate(lead)
            if item.kind == "word"
            and item.value
            in (
                "somebody",
                "someone",
                "whoever",
                "they",
                "he",
                "she",
                "i",
                "who",
                "people",
                "man",
                "chap",
                "bloke",
                "fellow",
                "guy",
                "butcher",
                "idiot",
                "uncle",
            )
        ),
        None,
    )
    return (
        agent is not None
        and len(lead) - agent <= 4
        and not any(
            item.kind in ("part", "shared", "wheel") or item.value in ("is", "are", "was", "were", "been", "not")
            for item in lead[agent:]
        )
    )


_TOUCHING = listed(
    """
        catches catch hits hit touches touch touching rubs rub rubbing fouls foul fouling clips clip scrapes scrape
        clears clear misses miss grazes brushes kisses grips pinches pinch nips missing clipping hitting catching
        scraping
    """
)


def _touching(held: Sequence[Item]) -> bool:
    """ "The hand catches ...": the next noun is what it catches."""
    back = len(held) - 1
    while back > 0 and (
        held[back].kind in ("number", "quant")
        or (held[back].kind == "word" and held[back].value in ("the", "a", "its", "just"))
    ):
        back -= 1
    if (
        held[back].kind == "state"
        and held[back].value in ("lost", "missing", "has lost", "is missing", "lacking")
        and back < len(held) - 1
    ):
        return True
    return (
        held[back].kind == "state"
        and held[back].value.split()[0] in _TOUCHING
        and any(
            i.kind in ("part", "shared", "wheel") or i.value in ("it", "they", "that", "he", "she") for i in held[:back]
        )
    )


def _own_predicate(items: Sequence[Item], at: int) -> bool:
    """Whether the noun phrase that begins here has a statement of its own behind it."""
    end = at
    while end < len(items) and (
        items[end].kind in ("part", "shared", "wheel", "train", "place", "aspect", "quant")
        or (items[end].kind == "word" and items[end].value in ("the", "a", "its", "of", "other"))
    ):
        end += 1
    return end < len(items) and (
        items[end].kind == "state" or (items[end].kind == "word" and items[end].value in _COPULA)
    )


def _place_begins(items: Sequence[Item], at: int) -> bool:
    return at + 1 < len(items) and (
        items[at + 1].kind in ("part", "shared", "state")
        or (items[at + 1].kind == "word" and items[at + 1].value in ("is", "'s", "on", "of"))
    )


def _leans(held: Sequence[Item], coming: Item) -> bool:
    """The words before still wait for a noun ("worn on the ...", "a crack in the ...")."""
    for item in reversed(held):
        if item.kind == "word" and item.value in (
            "the",
            "a",
            "its",
            "that",
            "this",
            "both",
            "one",
            "of",
            "my",
            "same",
            "very",
        ):
            if item.value in ("of", "that"):
                return item.value == "of"
            continue
        if item.kind in ("quant", "number"):
            continue
        if item.kind == "place" and item.value in ("inside", "outside"):
            return True
        if item.kind in ("place", "part", "shared", "train", "wheel", "aspect"):
            return item is held[-1] and not (
                item.kind == "place"
                and (
                    coming.kind in ("wheel", "train")
                    or item.end - item.start == 2
                    or item.value
                    not in (
                        "front",
                        "back",
                        "upper",
                        "lower",
                        "top",
                        "bottom",
                        "left",
                        "right",
                        "entry",
                        "exit",
                        "inner",
                        "outer",
                        "inside",
                        "outside",
                        "both",
                    )
                )
            )
        if item.kind == "word" and item.value in noun_phrases.ADJECTIVES:
            continue
        return item.kind == "word" and item.value in noun_phrases.PREPOSITIONS | {
            "like",
            "and",
            "or",
            "than",
            "has",
            "got",
            "no",
            "any",
            "some",
        }
    return False


def _attributive(held: Sequence[Item]) -> bool:
    """The state just said is an adjective of the noun that follows ("two bent teeth"), not a finished statement."""
    back = len(held) - 1
    if held[back].kind == "state" and states.is_noun(held[back].value):
        return len(held) == 1
    if held[back].kind != "state":
        return False
    back -= 1
    while back >= 0 and (
        held[back].kind == "word"
        and held[back].value in ("very", "slightly", "badly", "little", "bit", "tiny", "rather")
    ):
        back -= 1
    if back < 0:
        return True
    if held[back].kind == "number":
        return True
    if held[back].kind == "not":
        return held[back].value in ("no", "any")
    return held[back].kind == "word" and held[back].value in (
        "a",
        "an",
        "the",
        "some",
        "any",
        "with",
        "of",
        "few",
        "couple",
        "several",
        "more",
        "that",
        "two",
        "three",
        "these",
        "those",
        "has",
        "got",
        "have",
    )
