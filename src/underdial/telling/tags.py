"""One sentence to a row of items: parts, wheels, trains, places, states, turns of speech, plain words.

Every word belongs to one item at most. A word that is only sometimes a place, a train or a state ("back",
"going", "set", "right") becomes one only beside the words that make it so.

Never here: which item is said of which.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from underdial.telling import lexicon, numbers, turns
from underdial.telling.states import state_phrases
from underdial.telling.words import listed

_ORDINALS = {"second": "second_wheel", "third": "third_wheel", "fourth": "fourth_wheel", "fifth": "fifth_wheel", "centre": "centre_wheel",
             "escape": "escape_wheel", "contrate": "contrate_wheel", "intermediate": "intermediate_wheel", "warning": "warning_wheel",
             "locking": "locking_wheel", "great": "great_wheel", "main": "great_wheel", "first": "great_wheel", "minute": "minute_wheel", "hour": "hour_wheel"}
WHEELS = frozenset({*_ORDINALS.values(), "pin_wheel", "crown_wheel", "star_wheel", "bevel_wheel", "count_wheel"})
_AFTER_ORDINAL = listed("wheel wheels arbor pinion pivot pivots hole holes back front bush bushing bushings teeth tooth leaves 's is has endshake end collet upper lower top in trundles")
_COPULA = listed("is are was were 's be been being looks look feels feel seems got gets stays went gone has have had s re")
_GRADE = listed("itself themselves a bit little touch slightly quite very rather pretty really so too well badly all still just a shade hair fairly somewhat not only also nice nicely more less "
                   "both perfectly totally completely absolutely more or less nearly almost certainly definitely most mostly it's already barely hardly")
_PLACES = {
    "front": "front", "dial side": "front", "front side": "front", "rear": "back", "back": "back", "back side": "back", "backside": "back", "upper": "upper", "lower": "lower",
    "top": "top", "bottom": "bottom", "entry": "entry", "entrance": "entry", "exit": "exit", "entry side": "entry", "exit side": "exit",
    "inside": "inside", "outside": "outside", "outer end": "outer_end", "inner end": "inner_end", "outer": "outer", "inner": "inner",
    "tip": "tip", "tips": "tip", "middle": "middle", "half way": "middle", "halfway": "middle", "both ends": "both", "either end": "both",
    "each end": "both", "both sides": "both", "either side": "both", "both faces": "both", "either face": "both", "each side": "both",
    "left": "left", "left hand": "left", "left side": "left", "right hand": "right", "right side": "right", "right": "right",
    "below right": "bottom_right", "below left": "bottom_left", "above right": "top_right", "above left": "top_left", "boss": "boss", "rim": "rim", "root": "root",
    "one underneath": "lower", "one below": "lower", "one above": "upper", "one behind": "back", "one in front": "front", "in front": "front", "at the front": "front", "at the back": "back", "behind": "back", "corner": "corner", "splice": "splice", "slots": "slots", "slot": "slots", "joints": "joints", "far end": "far_end", "outside end": "outer_end", "inside end": "inner_end",
    "outer coils": "outer", "outer coil": "outer", "inner coils": "inner", "inner coil": "inner", "edge": "edge", "entry one": "entry", "exit one": "exit",
}
_ASPECTS = {("endshake",): "endshake", ("endshakes",): "endshake", ("end", "shake"): "endshake", ("end", "play"): "endshake", ("end", "float"): "endshake", ("shake",): "endshake",
            ("swing",): "swing", ("amplitude",): "swing", ("poise",): "poise", ("locks",): "locks", ("drops",): "drops", ("beat",): "beat", ("rate",): "rate", ("lift",): "locks", ("lock",): "locks", ("depth",): "depth", ("drop",): "drops"}
_NOT_BACK_AFTER = listed("go going come coming came put bend bending bring get getting set push went call turn move hold roll straight years year ago way fight look take takes taken glued goes bent them it you him fell drop ease those two")
_NOT_BACK_BEFORE = listed("in to together into again when then off on up ago")
_PARTLIKE_NEXT = listed("hole holes pivot pivots end bush bushing side one pallet pin face cone cup jewel corner edge hand plate third half")
_ATTRIBUTES = listed("""bent worn broken cracked loose missing split torn frayed rusty damaged chipped chewed burred pitted scored grooved perished twisted kinked wrong
snapped flattened stripped stuck seized slack odd old stretched stained soldered bushed punched replaced hooked blunt blown repaired tarnished hardened good nice sound crisp bad
mismatched proud wobbly weak tired tight oval burr warped dirty filthy corroded""")
_NEEDS_COPULA = listed("""okay right flat black brown green dull old thick dry solid hard soft bright shiny even strong dead short deep wide later nice sharp free true round straight
easy rough light sweet smooth set fine heavy like fast firm clean thin period present lost snug crisp decent great lively""")
_AFTER_PREDICATE = listed("""and or but on in at to of for with from so too then now both all each there here it they that this those i you we as if when where which though although because enough front back
inside outside except apart than is are not no nor by over under round around through still yet already again anyway either mind look see the a an its like just only now down up out off or right about at
everywhere anywhere somewhere nowhere really also plus other one two three four five six seven eight nine ten new old going time let leave can will would could might may what who how why pretty way near toward""")
_STATE_NOUNS_NEXT = {"good": listed("deal bit idea while half job morning luck many thing news old evening afternoon man stuff look lord clean order lord grief god quarter wipe three four"),
                     "split": frozenset(("pin", "pins")), "set": listed("up in out to back it them that this of the off about from screw screws"),
                     "old": frozenset(("man", "boy", "girl", "one", "chap")), "round": listed("the a an it its there here to them with near that this each both"), "right": listed("under over against behind above below across along next by here there now at round out in through up down on off by hand side where away so ye then wound"),
                     "free": frozenset(("of", "from")), "fine": frozenset(("pitch", "file", "adjustment")), "great": frozenset(("wheel",)), "lost": frozenset(("motion", "swing", "time")),
                     "clean": listed("it that them the this those out off all"), "touch": frozenset(("too", "worn", "tight", "up", "in", "proud", "over", "of", "on")), "fast": frozenset(("slow", "clock")),
                     "solder": frozenset(("it", "that")), "glue": frozenset(("it", "that")), "catch": listed("a it the you"), "crack": frozenset(("on",)), "present": frozenset(),
                     "polish": frozenset(), "wobble": frozenset(), "nice": listed("clock piece job change to little movement one bit"), "even": listed("if when the a that without in with"),
                     "mint": frozenset(), "pits": frozenset(), "hits": frozenset(), "short": frozenset(("of", "arm")), "lovely": frozenset(("old", "thing", "clock", "piece")), "strong": frozenset(("enough",))}


@dataclass(frozen=True)
class Item:
    """A run of words of one sentence and what it is. `kind`: part, shared, wheel, train, place, quant, state, hedge,
    weight, decision, not_seen, not, number, word."""

    kind: str
    value: str
    start: int
    end: int
    plural: bool = False


def tag(words: Sequence[str], stops: frozenset[int] = frozenset()) -> list[Item]:
    """All items of a sentence in order; a plain word is an item of its own. `stops`: places behind a comma or colon."""
    return list(items_of(tuple(words), stops))


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
            if start is None or end is None or used & set(range(start, end)) or (kind == "decision" and not _is_order(words, start, end, stops)):
                continue
            used |= set(range(start, end))
            taken[start] = Item(kind, turn.value, start, end)
    return taken


def _is_order(words: Sequence[str], start: int, end: int, stops: frozenset[int]) -> bool:
    """`bush` or `clean` alone is an order only where a clause begins or a wish stands before it."""
    begins = start == 0 or start in stops
    if not begins and words[start] in ("lift", "lifts", "move", "raise", "lower", "close", "open", "set", "turn", "pin", "rub", "catch", "stop", "hold", "bend") and (named := lexicon.table().get(words[start - 1], {}).get((words[start - 1],))) is not None and named.kind in ("part", "shared"):
        return False
    if {"somebody", "someone", "uncle", "they"} & set(words[max(0, start - 2):start]):
        return False
    if end - start == 1:
        ends = end == len(words) or end in stops or words[end] in ("and", "it", "that")
        return words[start] != "clean" and ends and (begins or words[start - 1] in ("and", "to", "i", "then", "just"))
    before = words[start - 1] if start and not begins else ""
    if before in ("to", "the", "a", "an", "been", "it", "'s", "is", "was", "old", "no", "not", "of", "has", "have", "had", "that", "are", "were", "'s") and words[start] not in ("new", "i", "we", "wants", "needs", "gonna", "that", "it", "must", "all"):
        return end == len(words) and before in ("to",) and start >= 2
    return not (before == "and" and end - start == 1 and end < len(words) and words[end] in ("is", "'s"))


def _item(words: Sequence[str], at: int, limit: int, before: Sequence[Item], stops: frozenset[int]) -> Item:
    limit = min([limit, *(stop for stop in stops if stop > at)])
    window = list(words[:limit])
    if words[at] == "face" and ((at and words[at - 1] in ("you", "we", "i", "to")) or words[at + 1:at + 2] in (["it"], ["up"], ["on"])):
        return Item("word", "face", at, at + 1)
    if words[at] == "glass" and list(words[max(0, at - 2):at]) in (["with", "a"], ["with", "my"], ["under", "the"], ["under", "a"], ["through", "the"], ["through", "a"]):
        return Item("word", "loupe", at, at + 1)
    aspect = _aspect(window, at)
    if aspect is not None:
        return aspect
    wheel = _wheel(window, at)
    named = lexicon.longest(window, at)
    if named is not None and named.kind == "state" and not _is_state(window, at, named, before, stops):
        named = _shorter(window, at, None)
    place = _place(window, at, at == 0 or at in stops)
    if words[at] == "alarm" and named is not None and named.length == 1 and window[at + 1:at + 2] and window[at + 1] in ("spring", "mainspring", "click", "barrel", "side", "train", "springs", "ratchet", "main"):
        return Item("train", "alarm", at, at + 1 + (window[at + 1] in ("side", "train")))
    if wheel is not None and (named is None or named.length <= wheel.end - at):
        return wheel
    if place is not None and (named is None or place.end - at >= named.length) and not (named and named.kind == "part" and place.end - at == named.length):
        return place
    if named is not None:
        return Item(named.kind, named.value, at, at + named.length, named.plural)
    train = _train(window, at)
    if train is not None:
        return train
    word = words[at]
    if word == "face" and ((at and words[at - 1] in ("you", "we", "i", "to")) or words[at + 1:at + 2] in (["it"], ["up"], ["on"])):
        return Item("word", word, at, at + 1)
    if word in ("everything", "everywhere") and at and words[at - 1] in ("in", "on", "over", "all", "across", "black", "dry"):
        return Item("part", "movement", at, at + 1)
    if word == "all" and ((at and words[at - 1] == "at") or words[at + 1:at + 2] in (["right"], ["over"], ["along"], ["through"], ["round"])):
        return Item("word", word, at, at + 1)
    if word in ("both", "baith", "all", "each", "every", "either"):
        return Item("quant", "all" if word in ("all", "every", "each") else "both", at, at + 1)
    if word in ("no", "not", "never", "none", "nor", "without", "nothing", "neither", "nobody"):
        return Item("not", word, at, at + 1)
    spoken = numbers.read(words[:limit], at)
    if spoken is not None:
        return Item("number", f"{spoken.value:.12g}", at, spoken.end)
    return Item("word", word, at, at + 1)


_ASPECT_HEADS = frozenset(sequence[0] for sequence in _ASPECTS)


def _aspect(words: list[str], at: int) -> Item | None:
    if words[at] not in _ASPECT_HEADS:
        return None
    for sequence, name in _ASPECTS.items():
        if tuple(words[at:at + len(sequence)]) == sequence:
            named = lexicon.longest(words, at)
            before = words[at - 1] if at else ""
            if (named is not None and named.length > len(sequence)) or (before in ("side", "to", "will", "can", "would", "not", "they", "it", "at") and name in ("swing", "beat", "rate")):
                return None
            if sequence[0] in ("drops", "locks") and words[at + 1:at + 2] and words[at + 1] in ("right", "in", "into", "down", "off", "freely", "nicely", "clean", "at", "by", "every"):
                return None
            if sequence[0] in ("drop", "drops") and not {"entry", "exit", "lock", "equal", "unequal", "uneven", "pallet", "pallets", "degree", "degrees", "bigger", "escape", "tooth", "more", "even", "outside", "inside"} & set(words) and not (len(words) <= 3):
                return None
            if sequence[0] == "lock" and not {"drop", "lift", "entry", "exit", "deep", "shallow", "degree", "degrees", "equal", "pallets", "pallet", "unequal", "even"} & set(words):
                return None
            if sequence[0] in ("lift", "lock", "drop", "depth") and not (at == 0 and sequence[0] in ("drop", "lift", "depth")) and (before not in ("the", "or", "and", "entry", "exit", "of") or words[at + 1:at + 2] in (["it"], ["that"], ["nut"], ["lever"], ["piece"])):
                return None
            return Item("aspect", name, at, at + len(sequence))
    return None


def _shorter(words: list[str], at: int, named: lexicon.Named | None) -> lexicon.Named | None:
    """When the longest reading will not do, a part of the same first word may."""
    if named is not None:
        return named
    best = None
    for sequence, other in lexicon.table().get(words[at], {}).items():
        if other.kind != "state" and tuple(words[at:at + other.length]) == sequence and (best is None or other.length > best.length):
            best = other
    return best


def _wheel(words: list[str], at: int) -> Item | None:
    word = words[at]
    if word not in _ORDINALS:
        return None
    following = words[at + 1] if at + 1 < len(words) else ""
    before = words[at - 1] if at else ""
    if following in ("wheel", "wheels"):
        return Item("wheel", _ORDINALS[word], at, at + 2)
    if word == "great" and (following in ("second", "third", "centre", "fourth", "intermediate") or words[at + 1:at + 3] == ["and", "second"] or words[at + 1:at + 3] == ["and", "third"] or words[at + 1:at + 3] == ["and", "centre"]):
        return Item("wheel", "great_wheel", at, at + 1)
    if word in ("great", "main", "first", "minute", "hour", "warning", "locking"):
        if word == "first" and before == "the" and following in ("arbor", "pivot"):
            return Item("wheel", "great_wheel", at, at + 1)
        return None
    if word == "centre" and (following in ("of", "punch", "cam", "cams", "punched", "pipe", "distance") or before in ("off", "dial", "of") or (before == "the" and not (at >= 2 and words[at - 2] in ("on", "of", "for", "than", "bar", "and", "except", "bushed", "rebushed", "punched")) and not (following in ("at", "front", "back") and words[-1:] != ["dial"]))) and following not in ("arbor", "pinion", "pivot", "hole", "wheel"):
        return None
    if word in ("second", "third", "fourth", "fifth") and (before in ("a", "one", "two", "per", "every", "about", "twenty", "thirty") or following in ("hand", "hands", "time", "of", "one", "longest", "quarter", "party", "century", "pull", "opinion")):
        return None
    if word in ("second", "third", "fourth", "fifth", "centre") and not (
            following in _AFTER_ORDINAL or following in ("", "and", "or", "front", "have") or before in ("the", "on", "of", "no", "and", "than", "strike", "chime", "my", "time", "both", "not")
            or following in _ORDINALS or _COPULA & {following} or at == 0):
        return None
    return Item("wheel", _ORDINALS[word], at, at + 1)


def _train(words: list[str], at: int) -> Item | None:
    word = words[at]
    if word not in lexicon.TRAIN_NAMES:
        return None
    following = words[at + 1] if at + 1 < len(words) else ""
    before = words[at - 1] if at else ""
    if following in ("side", "train", "end", "half", "part"):
        return Item("train", lexicon.TRAIN_NAMES[word], at, at + 2)
    if word in ("going", "time", "striking", "chiming", "quarter"):
        nounlike = following in ("one", "") or (lexicon.longest(words, at + 1) is not None and following not in ("on", "in", "at", "to"))
        good = (before in ("the", "") or before in ("on", "for")) if not (word == "going" and before in ("is", "'s")) else False
        if word == "going" and before not in ("is", "'s", "are", "it", "keep", "get", "getting", "still", "was", "of", "been", "am", "be", "not", "started", "set") and (nounlike or (before == "the" and following != "to") or before == "wheel"):
            return Item("train", "going", at, at + 1)
        if word == "time" and ((nounlike and following not in ("", "one") and lexicon.longest(words, at + 1) is not None and lexicon.longest(words, at + 1).kind != "state")  # type: ignore[union-attr]
                               or (before == "on" and following in ("", "so", "and", "is", "'s"))):
            return Item("train", "going", at, at + 1)
        if word in ("striking", "chiming", "quarter") and good and nounlike and following not in ("", "one"):
            return Item("train", lexicon.TRAIN_NAMES[word], at, at + 1)
        return None
    if before == "no" and word in ("strike", "chime", "alarm"):
        return None
    if (word in ("strike", "chime") and before not in ("it", "will", "will not", "they", "to", "not", "and")) or (word == "strike" and at == 0):
        if word == "strike" and before in ("will", "would", "you", "i", "does", "let"):
            return None
        return Item("train", lexicon.TRAIN_NAMES[word], at, at + 1)
    return None


def _place(words: list[str], at: int, begins: bool = False) -> Item | None:
    if words[at] in ("left", "right") and begins and ((at + 1 < len(words) and (named := lexicon.longest(words, at + 1)) is not None and named.kind == "state") or (len(words) == at + 1 and at > 0)):
        return Item("place", words[at], at, at + 1)
    if words[at] in ("left", "right") and words[at + 1:at + 2] in (["one"], ["ones"]) and not (at and words[at - 1] == "the" and at > 1 and words[at - 2] in ("is", "not", "'s", "are")):
        return Item("place", words[at], at, at + 2)
    for length in (3, 2, 1):
        phrase = " ".join(words[at:at + length])
        if len(words) - at >= length and phrase in _PLACES and _is_place(words, at, length):
            item = Item("place", _PLACES[phrase], at, at + length)
            return _with_corner(words, item)
    word = words[at]
    if word == "about" and at + 2 < len(words) and words[at + 2] == "oclock" and (spoken := numbers.read(words, at + 1)) is not None and spoken.whole and 1 <= spoken.value <= 12:
        return Item("place", f"at_{spoken.value:g}", at, at + 3)
    if word in ("by", "at", "near", "round", "around", "under", "beside", "behind", "over", "of", "to", "above", "below"):
        skip = at + 1
        if skip < len(words) and words[skip] == "the":
            skip += 1
        elif word not in ("at", "near", "by"):
            return None
        spoken = numbers.read(words, skip)
        if spoken is not None and spoken.whole and 1 <= spoken.value <= 12 and spoken.end == skip + 1:
            following = words[spoken.end] if spoken.end < len(words) else ""
            if following in ("", "oclock", "and", "is", "'s", "where", "to", "it", "when", "that", "which", "but", "with", "going", "running", "so") or (lexicon.longest(words, spoken.end) is not None and following != "one"):
                if following in ("of", "in") or (word in ("of", "to", "over", "under", "round", "around") and following not in ("", "oclock", "and", "is", "'s", "where")):
                    return None
                return Item("place", f"at_{spoken.value:g}", at, spoken.end + (following == "oclock"))
    return None


def _with_corner(words: list[str], item: Item) -> Item:
    """`top left`, `bottom right hand`, `back right` are one place."""
    if item.value not in ("top", "bottom", "back", "front", "upper", "lower") or item.end >= len(words):
        return item
    if words[item.end] in ("left", "right") and not (words[item.end] == "right" and item.end + 1 < len(words) and words[item.end + 1] in ("in", "through", "out")):
        end = item.end + 1
        if end < len(words) and words[end] in ("hand", "side", "corner"):
            end += 1
        return Item("place", f"{item.value}_{words[item.end]}", item.start, end)
    return item


def _is_place(words: list[str], at: int, length: int) -> bool:
    word = words[at]
    before = words[at - 1] if at else ""
    following = words[at + length] if at + length < len(words) else ""
    if word == "behind":
        return following in ("", "also", "too") or (following not in ("the", "a", "that", "it", "his", "its", "us", "me") and at <= 1)
    if word == "in" and following in ("of",):
        return False
    if length >= 2:
        return True
    if word == "back":
        return before not in _NOT_BACK_AFTER and following not in _NOT_BACK_BEFORE and not (before == "'s" and following == "")
    if word in ("left", "right"):
        partly = lexicon.longest(list(words), at + length) if at + length < len(words) else None
        sided = before in ("on", "the", "to", "its") or (at == 0 and partly is not None and partly.kind in ("part", "shared")) or following in _PARTLIKE_NEXT or (at == 0 and following in ("good", "fine", "is", "'s"))
        if word == "right" and at == 0 and following in ("finial", "column", "foot", "door", "hinge", "bellows", "weight", "pulley", "glass", "fret", "bellow", "pallet"):
            return True
        if word == "right":
            return (before in ("the", "top", "bottom", "back", "far") and following not in ("one", "ones", "size", "way", "length", "place", "thing", "strength", "hole")) or following in ("hand", "side") or (at > 0 and before == "left")
        return sided and following not in ("of", "in", "it", "alone", "over")
    if word == "top":
        return following not in ("of", "marks") or before in ("the",)
    if word == "bottom":
        return following != "line"
    if word in ("slot", "slots"):
        return following in ("is", "are", "'s", "not", "good", "worn") and at <= 3
    if word in ("tip", "tips", "corner", "edge", "edges", "rim", "root", "boss", "splice", "joints", "middle"):
        return before in ("the", "at", "on", "its", "top", "a", "one", "front", "leading", "to", "") or word in ("tip", "tips", "corner", "joints")
    if word in ("outer", "inner"):
        return True
    return True


def _is_state(words: list[str], at: int, named: lexicon.Named, before_items: Sequence[Item], stops: frozenset[int]) -> bool:
    """Whether a state phrase is said as a state here, not as a common word."""
    phrase = named.value
    first = words[at]
    before = words[at - 1] if at else ""
    end = at + named.length
    following = words[end] if end < len(words) else ""
    if named.length == 1 and following in _STATE_NOUNS_NEXT.get(first, ()) and not (first == "set" and following in ("it", "that", "this") and before in ("is", "'s", "are")):
        return False
    if (phrase in ("the right one", "the right ones") and before not in ("is", "'s", "are", "not", "was", "be", "no")) or (phrase in ("right one", "right ones") and not (before in ("is", "'s", "are", "not", "was", "be") or (before == "the" and at >= 2 and words[at - 2] in ("is", "'s", "are", "not", "was", "be", "no")))):
        return False
    if named.length == 1 and first in ("groove", "grooves", "thread", "slot", "slots", "mark", "marks", "rivet", "scratch", "scratches", "crack", "hook", "split", "chip", "rust", "dirt") and following in ("'s", "is", "are", "was") and end + 1 < len(words) and ((more := lexicon.longest(words, end + 1)) is not None and more.kind == "state") and before not in ("there", "with", "a"):
        return False
    if named.length == 1 and first.endswith("s") and following in ("good", "fine", "sound", "okay", "clean") and first in ("grooves", "marks", "pits", "hooks", "slots", "threads"):
        return False
    if phrase == "there":
        if before_items and before_items[0].kind == "word" and before_items[0].value in ("it", "that", "they", "this") and before in ("is", "are", "'s"):
            return False
        plain = all(item.kind in ("part", "shared", "place", "quant", "number") or item.value in ("the", "a", "its", "is", "are", "'s", "still") for item in before_items)
        return at <= 4 and plain and bool(before_items) and following in ("", "but", "and", "both") and (before in ("is", "are", "all", "both", "still", "'s") or before_items[-1].kind in ("part", "shared"))
    if (following in ("one", "ones") and before == "the") or (phrase in ("okay", "right", "all right", "fine") and at == 0 and len(words) > 1 and following not in ("and", "but", "front", "back")):
        return False
    if (phrase == "belongs" and following in ("to", "in")) or (phrase in ("in two", "in bits", "in half") and following in ("parts", "places", "minds", "halves", "layers", "sections", "pieces")):
        return False
    if phrase in ("running out", "runs out", "run out") and following in ("of", "from", "to", "into", "towards", "toward", "across"):
        return False
    if first == "sticking" and following == "plaster":
        return False
    if phrase == "even" and before in ("not", "or", "nor", "but", "only"):
        return False
    if before == "too" and at and any(s.condition == "good" for s in state_phrases()[phrase]) and not any(s.condition != "good" for s in state_phrases()[phrase]):
        return False
    if phrase == "lost" and following in ("a", "its", "his", "their", "one", "two", "three", "some", "the", "her") and before in ("has", "have", "'s", "had"):
        return True
    if phrase == "later" and at == 0 and following == "":
        return False
    if (before == "a" and first in ("touch", "polish", "clean", "set", "catch") and named.length == 1) or (phrase in ("touch",) and before in ("just", "to")):
        return False
    if first in ("bend", "crack", "split", "mark", "groove", "wear", "step", "rut", "dent", "stain", "break") and before in ("the", "that") and at >= 2 and words[at - 2] in ("at", "near", "by", "from", "past", "beyond", "above", "below", "to"):
        return False
    if first in ("groove", "grooves", "marks", "pits", "ruts") and named.length == 1 and before in ("the", "those") and at >= 2 and words[at - 2] in ("in", "of", "on", "from", "along", "to"):
        return False
    if phrase == "a hair":
        return following in ("in", "round", "around", "on", "wrapped", "wound", "caught", "stuck")
    if (phrase in ("match", "matches") and before == "to") or (first == "dust" and before == "fresh") or (phrase == "right" and at == 0):
        return False
    if phrase in ("gone", "is gone", "'s gone", "all gone"):
        return following == "" or following in ("from", "so", "as", "and", "but", "altogether", "completely", "in", "too", "on", "off", "i", "that")
    if phrase == "good" and ((before == "pretty" and at >= 2 and words[at - 2] in ("worn", "wore")) or (before in ("a", "as") and following not in ("fit", "square", "tension", "order", "end", "nose", "thread"))):
        return False
    if phrase in ("wear", "fracture") and before == "to":
        return False
    if phrase in ("set", "light", "short"):
        return before in ("is", "'s", "bit", "little", "badly", "very", "are", "looks", "not", "was", "slightly", "quite", "of") or not before or bool(before_items and before_items[-1].kind in ("part", "shared"))
    if named.length == 1 and phrase in _NEEDS_COPULA:
        if before in ("is", "are", "'s", "was", "were", "looks", "feels") and phrase not in ("right", "set", "short", "later", "old", "thin", "like", "present"):
            return True
        if following and following not in _AFTER_PREDICATE and lexicon.longest(words, end) is None and not following[0].isdigit():
            return False
        if _names_part(words, end) and phrase not in _ATTRIBUTES:
            return False
        return at in stops or _predicative(words, at, before_items)
    return True


def _predicative(words: list[str], at: int, before_items: Sequence[Item]) -> bool:
    back = at - 1
    while back >= 0 and words[back] not in _COPULA and ((words[back] in _GRADE and words[back] != "a") or (words[back] == "a" and words[back + 1] in ("bit", "little", "touch", "shade", "hair", "tad", "wee", "trifle", "lot"))):
        back -= 1
    if back < 0:
        return at == 0 or words[0] in _GRADE
    if words[back] in _COPULA or words[back] in ("and", "or", "but", "nor", "them", "ones", "one"):
        return True
    return bool(before_items) and before_items[-1 - min(len(before_items) - 1, at - 1 - back)].kind in ("part", "shared", "wheel", "place", "train", "state", "quant", "hedge", "not")


def _names_part(words: list[str], at: int) -> bool:
    if at >= len(words):
        return False
    named = lexicon.longest(words, at)
    return named is not None and named.kind in ("part", "shared")
