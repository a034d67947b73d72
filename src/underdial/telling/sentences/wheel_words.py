"""Which words of a sentence name a wheel by its order or a train by its work: "the third", "escape", "going side".

"Second" may be a time, "centre" a middle, "going", "time" and "strike" plain words: each is a wheel or a train only
beside the words that make it so.

Never here: part names of the trade's list (`lexicon`); which train a wheel belongs to.
"""

from __future__ import annotations

from underdial.telling.names import lexicon
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.states_meant import COPULA
from underdial.telling.speech.words import listed

_ORDINALS = {
    "second": "second_wheel",
    "third": "third_wheel",
    "fourth": "fourth_wheel",
    "fifth": "fifth_wheel",
    "centre": "centre_wheel",
    "escape": "escape_wheel",
    "contrate": "contrate_wheel",
    "intermediate": "intermediate_wheel",
    "warning": "warning_wheel",
    "locking": "locking_wheel",
    "great": "great_wheel",
    "main": "great_wheel",
    "first": "great_wheel",
    "minute": "minute_wheel",
    "hour": "hour_wheel",
}
_AFTER_ORDINAL = listed("""wheel wheels arbor pinion pivot pivots hole holes back front bush bushing bushings teeth
    tooth leaves 's is has endshake end collet upper lower top in trundles""")
_WHEEL_WITH_ITS_NOUN = listed("great main first minute hour warning locking")
_COUNTED_WHEELS = listed("second third fourth fifth")
_BEFORE_TIME_OR_SHARE = listed("a one two per every about twenty thirty")
_AFTER_TIME_OR_TURN = listed("hand hands time of one longest quarter party century pull opinion")
_BEFORE_ORDINAL = listed("the on of no and than strike chime my time both not")
_NOT_MIDDLE_BEFORE_THE = listed("on of for than bar and except bushed rebushed punched")
_TRAINS_OF_PARTICIPLE = listed("going time striking chiming quarter")
_BEFORE_GOING_ON = listed("is 's are it keep get getting still was of been am be not started set")
_BEFORE_STRIKING_VERB = ("it", "will", "they", "to", "not", "and")


def wheel_at(words: list[str], at: int) -> Item | None:
    """The wheel that begins at word `at`, if one does: `third wheel`, `the third`, `great` of `great and second`."""
    word = words[at]
    if word not in _ORDINALS:
        return None
    following = words[at + 1] if at + 1 < len(words) else ""
    before = words[at - 1] if at else ""
    if following in ("wheel", "wheels"):
        return Item("wheel", _ORDINALS[word], at, at + 2)
    if word == "great" and _shares_the_noun(words, at):
        return Item("wheel", "great_wheel", at, at + 1)
    if word in _WHEEL_WITH_ITS_NOUN:
        if word == "first" and before == "the" and following in ("arbor", "pivot"):
            return Item("wheel", "great_wheel", at, at + 1)
        return None
    if word == "centre" and _is_middle(words, at):
        return None
    if word in _COUNTED_WHEELS and (before in _BEFORE_TIME_OR_SHARE or following in _AFTER_TIME_OR_TURN):
        return None
    if (word in _COUNTED_WHEELS or word == "centre") and not _stands_for_wheel(words, at):
        return None
    return Item("wheel", _ORDINALS[word], at, at + 1)


def _shares_the_noun(words: list[str], at: int) -> bool:
    """`great and second wheels`: the noun comes with the next wheel."""
    following = words[at + 1] if at + 1 < len(words) else ""
    return following in ("second", "third", "centre", "fourth", "intermediate") or words[at + 1 : at + 3] in (
        ["and", "second"],
        ["and", "third"],
        ["and", "centre"],
    )


def _is_middle(words: list[str], at: int) -> bool:
    """`centre of the dial`, `off centre`, `in the centre`: a middle, no wheel."""
    following = words[at + 1] if at + 1 < len(words) else ""
    before = words[at - 1] if at else ""
    return (
        following in ("of", "punch", "cam", "cams", "punched", "pipe", "distance")
        or before in ("off", "dial", "of")
        or (
            before == "the"
            and not (at >= 2 and words[at - 2] in _NOT_MIDDLE_BEFORE_THE)
            and not (following in ("at", "front", "back") and words[-1:] != ["dial"])
        )
    ) and following not in ("arbor", "pinion", "pivot", "hole", "wheel")


def _stands_for_wheel(words: list[str], at: int) -> bool:
    """Whether an ordinal without `wheel` has beside it what a wheel has: `the third`, `third pivot`, `third is`."""
    following = words[at + 1] if at + 1 < len(words) else ""
    before = words[at - 1] if at else ""
    return (
        following in _AFTER_ORDINAL
        or following in ("", "and", "or", "front", "have")
        or before in _BEFORE_ORDINAL
        or following in _ORDINALS
        or following in COPULA
        or at == 0
    )


def train_at(words: list[str], at: int) -> Item | None:
    """The train that begins at word `at`, if one does: `going side`, `the strike`, `time` of `time mainspring`."""
    word = words[at]
    if word not in lexicon.TRAIN_NAMES:
        return None
    following = words[at + 1] if at + 1 < len(words) else ""
    before = words[at - 1] if at else ""
    if following in ("side", "train", "end", "half", "part"):
        return Item("train", lexicon.TRAIN_NAMES[word], at, at + 2)
    if word in _TRAINS_OF_PARTICIPLE:
        if _participle_is_train(words, at):
            return Item("train", lexicon.TRAIN_NAMES[word], at, at + 1)
        return None
    if before == "no" and word in ("strike", "chime", "alarm"):
        return None
    if (word in ("strike", "chime") and before not in _BEFORE_STRIKING_VERB) or (word == "strike" and at == 0):
        if word == "strike" and before in ("will", "would", "you", "i", "does", "let"):
            return None
        return Item("train", lexicon.TRAIN_NAMES[word], at, at + 1)
    return None


def _participle_is_train(words: list[str], at: int) -> bool:
    """Whether `going`, `time`, `striking`, `chiming` or `quarter` names its train, and not what a clock does."""
    word = words[at]
    following = words[at + 1] if at + 1 < len(words) else ""
    before = words[at - 1] if at else ""
    if word == "going":
        return before not in _BEFORE_GOING_ON and (
            _leads_a_noun(words, at) or (before == "the" and following != "to") or before == "wheel"
        )
    if word == "time":
        return _leads_a_part(words, at) or (before == "on" and following in ("", "so", "and", "is", "'s"))
    return before in ("the", "", "on", "for") and _leads_a_noun(words, at) and following not in ("", "one")


def _leads_a_noun(words: list[str], at: int) -> bool:
    following = words[at + 1] if at + 1 < len(words) else ""
    return following in ("one", "") or (
        lexicon.longest(words, at + 1) is not None and following not in ("on", "in", "at", "to")
    )


def _leads_a_part(words: list[str], at: int) -> bool:
    following = words[at + 1] if at + 1 < len(words) else ""
    return (
        _leads_a_noun(words, at)
        and following not in ("", "one")
        and (named := lexicon.longest(words, at + 1)) is not None
        and named.kind != "state"
    )
