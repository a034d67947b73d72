"""Whether words that can name a state are meant as one here: "the click is good", not "a good deal" or "good morning".

A word that is a state, a thing and a common word by turns ("right", "set", "groove", "lost") is a state only beside
the words that make it so.

Never here: of which part a state is said, or whether it is denied.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from underdial.telling.names import lexicon
from underdial.telling.names.states import state_phrases
from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import listed

COPULA = listed("""is are was were 's be been being looks look feels feel seems got gets stays went gone has have had s
    re""")
_GRADE = listed("""itself themselves a bit little touch slightly quite very rather pretty really so too well badly
    all still just a shade hair fairly somewhat not only also nice nicely more or less both perfectly
    totally completely absolutely nearly almost certainly definitely most mostly it's already barely hardly""")
_ATTRIBUTES = listed("""bent worn broken cracked loose missing split torn frayed rusty damaged chipped chewed burred
    pitted scored grooved perished twisted kinked wrong snapped flattened stripped stuck seized slack odd old
    stretched stained soldered bushed punched replaced hooked blunt blown repaired tarnished hardened good nice
    sound crisp bad mismatched proud wobbly weak tired tight oval burr warped dirty filthy corroded""")
_NEEDS_COPULA = listed("""okay right flat black brown green dull old thick dry solid hard soft bright shiny even
    strong dead short deep wide later nice sharp free true round straight easy rough light sweet smooth set fine
    heavy like fast firm clean thin period present lost snug crisp decent great lively""")
_AFTER_PREDICATE = listed("""and or but on in at to of for with from so too then now both all each there here it they
    that this those i you we as if when where which though although because enough front back inside outside
    except apart than is are not no nor by over under round around through still yet already again anyway either
    mind look see the a an its like just only now down up out off or right about at everywhere anywhere somewhere
    nowhere really also plus other one two three four five six seven eight nine ten new old going time let leave can
    will would could might may what who how why pretty way near toward""")
_NOUN_NEXT = {
    "good": listed("""deal bit idea while half job morning luck many thing news old evening afternoon man stuff look
        lord clean order grief god quarter wipe three four"""),
    "split": frozenset(("pin", "pins")),
    "set": listed("up in out to back it them that this of the off about from screw screws"),
    "old": frozenset(("man", "boy", "girl", "one", "chap")),
    "round": listed("the a an it its there here to them with near that this each both"),
    "right": listed("""under over against behind above below across along next by here there now at round out in
        through up down on off by hand side where away so ye then wound"""),
    "free": frozenset(("of", "from")),
    "fine": frozenset(("pitch", "file", "adjustment")),
    "great": frozenset(("wheel",)),
    "lost": frozenset(("motion", "swing", "time")),
    "clean": listed("it that them the this those out off all"),
    "touch": frozenset(("too", "worn", "tight", "up", "in", "proud", "over", "of", "on")),
    "fast": frozenset(("slow", "clock")),
    "solder": frozenset(("it", "that")),
    "glue": frozenset(("it", "that")),
    "catch": listed("a it the you"),
    "crack": frozenset(("on",)),
    "present": frozenset(),
    "polish": frozenset(),
    "wobble": frozenset(),
    "nice": listed("clock piece job change to little movement one bit"),
    "even": listed("if when the a that without in with"),
    "mint": frozenset(),
    "pits": frozenset(),
    "hits": frozenset(),
    "short": frozenset(("of", "arm")),
    "lovely": frozenset(("old", "thing", "clock", "piece")),
    "strong": frozenset(("enough",)),
}
_SUBJECT_NOUNS = listed("""groove grooves thread slot slots mark marks rivet scratch scratches crack hook split chip
    rust dirt""")
_RUNS_ON = (
    (("belongs",), listed("to in")),
    (("in two", "in bits", "in half"), listed("parts places minds halves layers sections pieces")),
    (("running out", "runs out", "run out"), listed("of from to into towards toward across")),
)
_LOST_THINGS = listed("a its his their one two three some the her")
_LANDMARKS = listed("bend crack split mark groove wear step rut dent stain break")
_DISTANCE_WORDS = listed("at near by from past beyond above below to")
_HOLLOWS = listed("groove grooves marks pits ruts")
_AFTER_HAIR = listed("in round around on wrapped wound caught stuck")
_AFTER_GONE = listed("from so as and but altogether completely in too on off i that")
_GOOD_THINGS = listed("fit square tension order end nose thread")
_BEFORE_SET_LIGHT_SHORT = listed("is 's bit little badly very are looks not was slightly quite of")
_NOT_BY_COPULA_ALONE = listed("right set short later old thin like present")


@dataclass(frozen=True)
class _Said:
    """A phrase that can name a state, where it stands, and the items before it."""

    words: list[str]
    at: int
    named: lexicon.Named
    items: Sequence[Item]

    @property
    def phrase(self) -> str:
        return self.named.value

    @property
    def first(self) -> str:
        return self.words[self.at]

    @property
    def is_one_word(self) -> bool:
        return self.named.length == 1

    @property
    def end(self) -> int:
        return self.at + self.named.length

    @property
    def before(self) -> str:
        return self.words[self.at - 1] if self.at else ""

    @property
    def second_before(self) -> str:
        return self.words[self.at - 2] if self.at >= 2 else ""

    @property
    def following(self) -> str:
        return self.words[self.end] if self.end < len(self.words) else ""


def is_state(
    words: list[str], at: int, named: lexicon.Named, before_items: Sequence[Item], stops: frozenset[int]
) -> bool:
    """Whether a state phrase is said as a state here, not as a common word."""
    said = _Said(words, at, named, before_items)
    phrase = said.phrase
    if _goes_with_next(said) or _points_at_right_one(said) or _is_subject(said):
        return False
    if phrase == "there":
        return _is_present(said)
    if _points_at_one(said) or _is_interjection(said) or _runs_on(said) or _is_turn_with_word_before(said):
        return False
    if _lost_something(said):
        return True
    if (phrase == "later" and at == 0 and said.following == "") or _is_act(said) or _tells_where(said):
        return False
    if phrase == "a hair":
        return said.following in _AFTER_HAIR
    if _is_common_word(said):
        return False
    if phrase in ("gone", "is gone", "'s gone", "all gone"):
        return said.following == "" or said.following in _AFTER_GONE
    if _is_praise(said) or (phrase in ("wear", "fracture") and said.before == "to"):
        return False
    if phrase in ("set", "light", "short"):
        return (
            said.before in _BEFORE_SET_LIGHT_SHORT
            or not said.before
            or bool(before_items and before_items[-1].kind in ("part", "shared"))
        )
    if said.is_one_word and phrase in _NEEDS_COPULA:
        return _is_predicate(said, stops)
    return True


def _goes_with_next(said: _Said) -> bool:
    """`good deal`, `set up`, `right under`; but `is set that way`."""
    return (
        said.is_one_word
        and said.following in _NOUN_NEXT.get(said.first, ())
        and not (
            said.first == "set" and said.following in ("it", "that", "this") and said.before in ("is", "'s", "are")
        )
    )


def _points_at_right_one(said: _Said) -> bool:
    """`the right one` is praise behind `is` and the like; else it is the one on the right."""
    if said.phrase in ("the right one", "the right ones"):
        return said.before not in ("is", "'s", "are", "not", "was", "be", "no")
    return said.phrase in ("right one", "right ones") and not (
        said.before in ("is", "'s", "are", "not", "was", "be")
        or (said.before == "the" and said.second_before in ("is", "'s", "are", "not", "was", "be", "no"))
    )


def _is_subject(said: _Said) -> bool:
    """`the groove is deep`, `threads good`: what a state is said of, itself none."""
    if not said.is_one_word:
        return False
    return (
        said.first in _SUBJECT_NOUNS
        and said.following in ("'s", "is", "are", "was")
        and said.end + 1 < len(said.words)
        and (more := lexicon.longest(said.words, said.end + 1)) is not None
        and more.kind == "state"
        and said.before not in ("there", "with", "a")
    ) or (
        said.first in ("grooves", "marks", "pits", "hooks", "slots", "threads")
        and said.following in ("good", "fine", "sound", "okay", "clean")
    )


def _is_present(said: _Said) -> bool:
    """`the pins are all there` says that they are; `it is there` points."""
    items = said.items
    if (
        items
        and items[0].kind == "word"
        and items[0].value in ("it", "that", "they", "this")
        and said.before in ("is", "are", "'s")
    ):
        return False
    plain = all(
        item.kind in ("part", "shared", "place", "quant", "number")
        or item.value in ("the", "a", "its", "is", "are", "'s", "still")
        for item in items
    )
    return (
        said.at <= 4
        and plain
        and bool(items)
        and said.following in ("", "but", "and", "both")
        and (said.before in ("is", "are", "all", "both", "still", "'s") or items[-1].kind in ("part", "shared"))
    )


def _points_at_one(said: _Said) -> bool:
    """`the worn one`."""
    return said.following in ("one", "ones") and said.before == "the"


def _is_interjection(said: _Said) -> bool:
    """`right, the strike side`."""
    return (
        said.phrase in ("okay", "right", "all right", "fine")
        and said.at == 0
        and len(said.words) > 1
        and said.following not in ("and", "but", "front", "back")
    )


def _runs_on(said: _Said) -> bool:
    """`belongs to`, `in two places`, `runs out of`, `sticking plaster`: more is said than the state."""
    return any(said.phrase in phrases and said.following in following for phrases, following in _RUNS_ON) or (
        said.first == "sticking" and said.following == "plaster"
    )


def _is_turn_with_word_before(said: _Said) -> bool:
    """`not even`; `too good`, `too clean`, which is no praise."""
    if said.phrase == "even" and said.before in ("not", "or", "nor", "but", "only"):
        return True
    return said.before == "too" and all(state.condition == "good" for state in state_phrases()[said.phrase])


def _lost_something(said: _Said) -> bool:
    """`has lost its tip`."""
    return said.phrase == "lost" and said.following in _LOST_THINGS and said.before in ("has", "have", "'s", "had")


def _is_act(said: _Said) -> bool:
    """`give it a polish`, `to touch`."""
    return (said.before == "a" and said.first in ("touch", "polish", "clean", "set", "catch") and said.is_one_word) or (
        said.phrase in ("touch",) and said.before in ("just", "to")
    )


def _tells_where(said: _Said) -> bool:
    """`near the bend`, `oil in the grooves`: a spot to go by, known already."""
    return (said.first in _LANDMARKS and said.before in ("the", "that") and said.second_before in _DISTANCE_WORDS) or (
        said.first in _HOLLOWS
        and said.is_one_word
        and said.before in ("the", "those")
        and said.second_before in ("in", "of", "on", "from", "along", "to")
    )


def _is_common_word(said: _Said) -> bool:
    """`to match`, `fresh dust`, `right` that opens a sentence."""
    return (
        (said.phrase in ("match", "matches") and said.before == "to")
        or (said.first == "dust" and said.before == "fresh")
        or (said.phrase == "right" and said.at == 0)
    )


def _is_praise(said: _Said) -> bool:
    """`worn pretty good`, `a good few`, `as good as`: the word grades, it does not pass the part as good."""
    return said.phrase == "good" and (
        (said.before == "pretty" and said.second_before in ("worn", "wore"))
        or (said.before in ("a", "as") and said.following not in _GOOD_THINGS)
    )


def _is_predicate(said: _Said, stops: frozenset[int]) -> bool:
    """Whether a word such as `flat`, `free` or `fine` is said of something before it, and does not lead a noun."""
    if said.before in ("is", "are", "'s", "was", "were", "looks", "feels") and said.phrase not in _NOT_BY_COPULA_ALONE:
        return True
    following = said.following
    if (
        following
        and following not in _AFTER_PREDICATE
        and lexicon.longest(said.words, said.end) is None
        and not following[0].isdigit()
    ):
        return False
    if _names_part(said.words, said.end) and said.phrase not in _ATTRIBUTES:
        return False
    return said.at in stops or _stands_behind_its_subject(said.words, said.at, said.items)


def _names_part(words: list[str], at: int) -> bool:
    if at >= len(words):
        return False
    named = lexicon.longest(words, at)
    return named is not None and named.kind in ("part", "shared")


def _stands_behind_its_subject(words: list[str], at: int, before_items: Sequence[Item]) -> bool:
    """Whether a verb, another state or a part stands before the word, with nothing between but words of degree."""
    back = at - 1
    while back >= 0 and words[back] not in COPULA and _grades(words, back):
        back -= 1
    if back < 0:
        return at == 0 or words[0] in _GRADE
    if words[back] in COPULA or words[back] in ("and", "or", "but", "nor", "them", "ones", "one"):
        return True
    return bool(before_items) and before_items[-1 - min(len(before_items) - 1, at - 1 - back)].kind in (
        "part",
        "shared",
        "wheel",
        "place",
        "train",
        "state",
        "quant",
        "hedge",
        "not",
    )


def _grades(words: list[str], at: int) -> bool:
    """`quite`, `very`; `a` only with `bit`, `touch` and the like behind it."""
    if words[at] == "a":
        return words[at + 1] in ("bit", "little", "touch", "shade", "hair", "tad", "wee", "trifle", "lot")
    return words[at] in _GRADE
