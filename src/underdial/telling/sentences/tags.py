"""One sentence to a row of items: parts, wheels, trains, places, states, turns of speech, plain words.

Every word belongs to one item at most. A word that is only sometimes a place, a train or a state ("back",
"going", "set", "right") becomes one only beside the words that make it so.

Never here: which item is said of which.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from underdial import spoken_numbers as numbers
from underdial.telling.names import lexicon
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.place_words import place_at
from underdial.telling.sentences.states_meant import is_state
from underdial.telling.sentences.wheel_words import train_at, wheel_at
from underdial.telling.speech import turns
from underdial.telling.speech.words import Word, listed

_ASPECTS = {
    ("endshake",): "endshake",
    ("endshakes",): "endshake",
    ("end", "shake"): "endshake",
    ("end", "play"): "endshake",
    ("end", "float"): "endshake",
    ("shake",): "endshake",
    ("swing",): "swing",
    ("amplitude",): "swing",
    ("poise",): "poise",
    ("locks",): "locks",
    ("drops",): "drops",
    ("beat",): "beat",
    ("rate",): "rate",
    ("lift",): "locks",
    ("lock",): "locks",
    ("depth",): "depth",
    ("drop",): "drops",
}
_ASPECT_HEADS = frozenset(sequence[0] for sequence in _ASPECTS)
_BEFORE_VERB = listed("side to will can would not they it at")
_MOVES = listed("right in into down off freely nicely clean at by every")
_BESIDE_DROP = listed("""entry exit lock equal unequal uneven pallet pallets degree degrees bigger escape tooth more
    even outside inside""")
_BESIDE_LOCK = listed("drop lift entry exit deep shallow degree degrees equal pallets pallet unequal even")
_DONE_BY_PARTS = listed("lift lifts move raise lower close open set turn pin rub catch stop hold bend")
_BEFORE_NO_ORDER = listed("to the a an been it 's is was old no not of has have had that are were")
_OPENS_ORDER = listed("new i we wants needs gonna that it must all")


def tag(words: Sequence[str], stops: frozenset[int] = frozenset()) -> list[Item]:
    """All items of a sentence in order; a plain word is an item of its own. `stops`: places behind a comma or colon."""
    return list(items_of(tuple(words), stops))


def tag_sentence(sentence: Sequence[Word]) -> list[Item]:
    """All items of a sentence whose words have their stops."""
    return tag(
        [word.text for word in sentence],
        frozenset(at + 1 for at, word in enumerate(sentence) if word.stop in (",", ":")),
    )


@lru_cache(maxsize=4096)
def items_of(words: tuple[str, ...], stops: frozenset[int]) -> tuple[Item, ...]:
    """The same, kept for when the sentence is looked at again."""
    masked = _turns(words, stops)
    items: list[Item] = []
    at = 0
    while at < len(words):
        if at in masked:
            items.append(masked[at])
            at = masked[at].end
            continue
        limit = min([start for start in masked if start > at], default=len(words))
        item = _item(words, at, limit, items, stops)
        items.append(item)
        at = item.end
    return tuple(items)


def _turns(words: Sequence[str], stops: frozenset[int]) -> dict[int, Item]:
    """Turns of speech by the word where they begin; hedges give way to weights, weights to what was not seen."""
    text = " ".join(words)
    starts = {}
    place = 0
    for at, word in enumerate(words):
        starts[place] = at
        place += len(word) + 1
    ends = {place - 1: at for place, at in list(starts.items())[1:]}
    ends[len(text)] = len(words)
    taken: dict[int, Item] = {}
    used: set[int] = set()
    for kind in ("weight", "not_seen", "decision", "hedge"):
        for turn in turns.found(kind, text):
            start, end = starts.get(turn.start), ends.get(turn.end)
            if (
                start is None
                or end is None
                or used & set(range(start, end))
                or (kind == "decision" and not _is_order(words, start, end, stops))
            ):
                continue
            used |= set(range(start, end))
            taken[start] = Item(kind, turn.value, start, end)
    return taken


def _is_order(words: Sequence[str], start: int, end: int, stops: frozenset[int]) -> bool:
    """`bush` or `clean` alone is an order only where a clause begins or a wish stands before it."""
    begins = start == 0 or start in stops
    if not begins and _is_done_by_part(words, start):
        return False
    if {"somebody", "someone", "uncle", "they"} & set(words[max(0, start - 2) : start]):
        return False
    if end - start == 1:
        ends = end == len(words) or end in stops or words[end] in ("and", "it", "that")
        return words[start] != "clean" and ends and (begins or words[start - 1] in ("and", "to", "i", "then", "just"))
    before = words[start - 1] if start and not begins else ""
    if before in _BEFORE_NO_ORDER and words[start] not in _OPENS_ORDER:
        return end == len(words) and before in ("to",) and start >= 2
    return not (before == "and" and end - start == 1 and end < len(words) and words[end] in ("is", "'s"))


def _is_done_by_part(words: Sequence[str], start: int) -> bool:
    """`hammers lift`: what a part does, no order."""
    return (
        words[start] in _DONE_BY_PARTS
        and (named := lexicon.table().get(words[start - 1], {}).get((words[start - 1],))) is not None
        and named.kind in ("part", "shared")
    )


def _item(words: Sequence[str], at: int, limit: int, before: Sequence[Item], stops: frozenset[int]) -> Item:
    """The item that begins at word `at`: of its readings the one that goes first."""
    limit = min([limit, *(stop for stop in stops if stop > at)])
    window = list(words[:limit])
    if _is_facing(words, at):
        return Item("word", "face", at, at + 1)
    if _is_loupe(words, at):
        return Item("word", "loupe", at, at + 1)
    aspect = _aspect(window, at)
    if aspect is not None:
        return aspect
    wheel = wheel_at(window, at)
    named = lexicon.longest(window, at)
    if named is not None and named.kind == "state" and not is_state(window, at, named, before, stops):
        named = _named_but_no_state(window, at)
    place = place_at(window, at, begins=at == 0 or at in stops)
    if named is not None and named.length == 1 and _is_alarm_train(window, at):
        return Item("train", "alarm", at, at + 1 + (window[at + 1] in ("side", "train")))
    if wheel is not None and (named is None or named.length <= wheel.end - at):
        return wheel
    if (
        place is not None
        and (named is None or place.end - at >= named.length)
        and not (named and named.kind == "part" and place.end - at == named.length)
    ):
        return place
    if named is not None:
        return Item(named.kind, named.value, at, at + named.length, named.plural)
    train = train_at(window, at)
    if train is not None:
        return train
    return _small_word(words, at, limit)


def _is_facing(words: Sequence[str], at: int) -> bool:
    """`when you face it`."""
    following = words[at + 1] if at + 1 < len(words) else ""
    return words[at] == "face" and (
        (at > 0 and words[at - 1] in ("you", "we", "i", "to")) or following in ("it", "up", "on")
    )


def _is_loupe(words: Sequence[str], at: int) -> bool:
    """`under the glass`."""
    return words[at] == "glass" and list(words[max(0, at - 2) : at]) in (
        ["with", "a"],
        ["with", "my"],
        ["under", "the"],
        ["under", "a"],
        ["through", "the"],
        ["through", "a"],
    )


def _aspect(words: list[str], at: int) -> Item | None:
    """What is judged or measured of a part or a clock, and is no part: its endshake, swing, drops, rate."""
    if words[at] not in _ASPECT_HEADS:
        return None
    for sequence, name in _ASPECTS.items():
        if tuple(words[at : at + len(sequence)]) == sequence:
            return Item("aspect", name, at, at + len(sequence)) if _is_aspect(words, at, sequence) else None
    return None


def _is_aspect(words: list[str], at: int, sequence: tuple[str, ...]) -> bool:
    """Whether `drop`, `lock`, `swing`, `beat` and the like are nouns here, and no part of a longer name."""
    named = lexicon.longest(words, at)
    if named is not None and named.length > len(sequence):
        return False
    first = sequence[0]
    before = words[at - 1] if at else ""
    if _ASPECTS[sequence] in ("swing", "beat", "rate") and before in _BEFORE_VERB:
        return False
    if first in ("drops", "locks") and words[at + 1 : at + 2] and words[at + 1] in _MOVES:
        return False
    if first in ("drop", "drops") and not _BESIDE_DROP & set(words) and not (len(words) <= 3):
        return False
    if first == "lock" and not _BESIDE_LOCK & set(words):
        return False
    return first not in ("lift", "lock", "drop", "depth") or _is_escapement_noun(words, at)


def _is_escapement_noun(words: list[str], at: int) -> bool:
    """`the drop`, `entry lock`, `lift` at the head of a sentence; not `the lift lever`, `to lift it`."""
    before = words[at - 1] if at else ""
    return (at == 0 and words[at] in ("drop", "lift", "depth")) or (
        before in ("the", "or", "and", "entry", "exit", "of")
        and words[at + 1 : at + 2] not in (["it"], ["that"], ["nut"], ["lever"], ["piece"])
    )


def _named_but_no_state(words: list[str], at: int) -> lexicon.Named | None:
    """When the longest reading will not do, a part of the same first word may."""
    best = None
    for sequence, other in lexicon.table().get(words[at], {}).items():
        if (
            other.kind != "state"
            and tuple(words[at : at + other.length]) == sequence
            and (best is None or other.length > best.length)
        ):
            best = other
    return best


def _is_alarm_train(words: list[str], at: int) -> bool:
    """`alarm mainspring`, `alarm side`: the train, not the whole alarm."""
    return (
        words[at] == "alarm"
        and at + 1 < len(words)
        and words[at + 1] in ("spring", "mainspring", "click", "barrel", "side", "train", "springs", "ratchet", "main")
    )


def _small_word(words: Sequence[str], at: int, limit: int) -> Item:
    """A word for all or both, a negation, a number, else a plain word."""
    word = words[at]
    if (
        word in ("everything", "everywhere")
        and at
        and words[at - 1] in ("in", "on", "over", "all", "across", "black", "dry")
    ):
        return Item("part", "movement", at, at + 1)
    following = words[at + 1] if at + 1 < len(words) else ""
    if word == "all" and (
        (at and words[at - 1] == "at") or following in ("right", "over", "along", "through", "round")
    ):
        return Item("word", word, at, at + 1)
    if word in ("both", "baith", "all", "each", "every", "either"):
        return Item("quant", "all" if word in ("all", "every", "each") else "both", at, at + 1)
    if word in ("no", "not", "never", "none", "nor", "without", "nothing", "neither", "nobody"):
        return Item("not", word, at, at + 1)
    spoken = numbers.read(words[:limit], at)
    if spoken is not None:
        return Item("number", f"{spoken.value:.12g}", at, spoken.end)
    return Item("word", word, at, at + 1)
