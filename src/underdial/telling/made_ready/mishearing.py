"""Words that a recogniser wrote for other words that sound like them, put right from the words of the trade.

Two words sound alike when their keys are the same: consonants only, voiced and voiceless not told apart, silent
letters left out (`harbor` and `arbor` are both RPR, `cliques` and `clicks` KLKS). A word is replaced only

* beside its partner in a name of two words ("main string", "count well", "quick spring"), or
* where the trade's list knows the mishearing, or the key is that of a part or state, and the place in the
  sentence is that of a part or a state.

In captions with stops, written by a person or a better recogniser, only names of two words and forms that are no
common words are put right. What was replaced stays marked, and is shown as a guess.

Never here: the grammar. Limits: English spelling, by rules; names of persons are not known.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from difflib import SequenceMatcher
from functools import cache

from underdial.telling.made_ready.misheard_words import (
    AT_ONCE,
    BEFORE_PART,
    BEFORE_STATE,
    BEHIND_PART,
    EVERYDAY,
    MISHEARD_PARTS,
    MISHEARD_STATES,
    NEVER,
    PLAIN,
    SOUNDING_LIKE_MANY,
    SURE_SOUNDS,
)
from underdial.telling.names import lexicon
from underdial.telling.speech.words import Word, listed, normal, text_of
from underdial.trade import vocabulary

_COPULA = listed("is are was were 's be been has have looks look feels seems")
_ALWAYS_OURS = listed("""second third fourth fifth first escape centre strike going time chime front back entry exit
entrance wheel train side""")
# How many words from the rack its snail is spoken of.
_NEAR_COUNT = 10


@cache
def key(word: str) -> str:
    """Consonants of a word as they sound, in capitals."""
    text = word.lower().replace("'", "")
    for pattern, sound in (
        ("^kn", "n"),
        ("^wr", "r"),
        ("^h", ""),
        ("que$", "k"),
        ("ques$", "ks"),
        ("tch", "X"),
        ("[cs]h", "X"),
        ("ph", "f"),
        ("th", "t"),
        ("wh", "w"),
        ("qu", "kw"),
        ("dge?(?=$|s$)", "J"),
        ("g(?=e$|es$|ed$)", "J"),
        ("gh", ""),
        ("ck", "k"),
        ("c(?=[eiy])", "s"),
        ("c", "k"),
        ("l(?=[mkf])", ""),
        ("x", "ks"),
        ("mb$", "m"),
        ("tion", "Xn"),
        ("sion", "Xn"),
        ("ts?ch", "X"),
    ):
        text = re.sub(pattern, sound, text)
    text = re.sub(r"[aeiouyh]", "", text)
    text = text.translate(str.maketrans("bdvzgj", "ptfskJ")).upper()
    return re.sub(r"(.)\1+", r"\1", text)


def put_right(words: Sequence[Word], *, rough: bool) -> tuple[Word, ...]:
    """The words with mishearings replaced; replaced words carry `guess`. `rough` is a transcript without stops."""
    found = list(words)
    _pairs(found, rough)
    _listed(found, rough)
    if rough:
        _weights(found)
        _snails(found)
        _by_sound(found)
    return tuple(word for word in found if word.text)


def _weights(found: list[Word]) -> None:
    """ "The wait" that is or has something is a weight."""
    for at, word in enumerate(found):
        before = found[at - 1].text if at else ""
        after = found[at + 1].text if at + 1 < len(found) and not word.stop else ""
        if word.text in ("wait", "waits") and (
            (
                before in ("the", "strike", "going", "driving", "time", "lead", "brass")
                and after in (*_COPULA, "it", "on", "that", "driven", "line", "cord", "hook", "pulley")
            )
            or after in ("driven", "driving")
        ):
            found[at] = replace(word, text="weights" if word.text.endswith("s") else "weight", guess=True)


def _snails(found: list[Word]) -> None:
    """The nail that is spoken of beside the rack is the snail."""
    for at, word in enumerate(found):
        before = found[at - 1].text if at else ""
        if (
            word.text == "nail"
            and before not in ("a", "my", "your", "finger")
            and "rack" in {one.text for one in found[max(0, at - _NEAR_COUNT) : at + _NEAR_COUNT]}
        ):
            found[at] = replace(word, text="snail", guess=True)


def _pairs(found: list[Word], rough: bool) -> None:
    """A word beside its partner in a name of two words."""
    heads, tails = _partners()
    for at in range(len(found) - 1):
        one, two = found[at], found[at + 1]
        if one.stop or (one.text, two.text) in _names_of_two():
            continue
        for partner, wrong, choices in (
            (two.text, one, heads.get(two.text, ())),
            (one.text, two, tails.get(one.text, ())),
        ):
            # A back pilot is a pivot, though it sounds like a plate.
            if (
                not choices
                or wrong.text in choices
                or wrong.text in ("pilot", "pilots")
                or wrong.text in PLAIN
                or wrong.text in NEVER - {"well", "strip"}
            ):
                continue
            listed = _misheard().get(wrong.text)
            meant = listed[1] if listed is not None and listed[1] in choices else None
            if (
                meant is None
                and not _ours(wrong.text)
                and (rough or (partner in ("wheel", "spring") and wrong.text not in EVERYDAY))
            ):
                meant = _close(wrong.text, choices, near=rough)
            if meant is not None and (rough or wrong.text not in EVERYDAY):
                place = at if wrong is one else at + 1
                found[place] = replace(wrong, text=meant, guess=True)
                break


def _close(word: str, choices: Sequence[str], *, near: bool) -> str | None:
    """The choice that sounds like the word: the same key, or one sound apart in a key of three or more."""
    mine = key(word)
    if len(word) < 3 or not mine:
        return None
    same = [c for c in choices if key(c) == mine]
    if same:
        return min(same, key=len)
    if not near:
        return None
    apart = [
        c
        for c in choices
        if len(c) >= 4
        and len(mine) >= 3
        and len(mine) == len(key(c))
        and sum(a != b for a, b in zip(mine, key(c), strict=True)) == 1
        and abs(len(c) - len(word)) <= 3
    ]
    return min(apart, key=len) if apart else None


def _listed(found: list[Word], rough: bool) -> None:
    """Forms that the trade's list knows."""
    at = 0
    while at < len(found):
        for length in (3, 2, 1):
            said = text_of(found[at : at + length])
            meant = _misheard().get(said)
            if meant is None or len(found) - at < length or any(word.stop for word in found[at : at + length - 1]):
                continue
            kind, right = meant
            if said in NEVER or (length == 1 and (_ours(said) or (not rough and said in EVERYDAY))):
                continue
            if (
                not rough
                and length > 1
                and any(w.text in PLAIN or w.text in EVERYDAY or _ours(w.text) for w in found[at : at + length])
            ):
                continue
            if not (rough and said in AT_ONCE) and not _fits(found, at, at + length, kind, loosely=length > 1):
                continue
            pieces = right.split()
            found[at : at + length] = [
                replace(
                    found[min(at + n, at + length - 1)],
                    text=piece,
                    guess=True,
                    stop=found[at + length - 1].stop if n == len(pieces) - 1 else "",
                )
                for n, piece in enumerate(pieces)
            ]
            break
        at += 1


def _by_sound(found: list[Word]) -> None:
    """A word that is none of ours but sounds like a part or a state, in the very place of one."""
    for at, word in enumerate(found):
        sound = key(word.text)
        if (
            word.guess
            or word.text in PLAIN
            or word.text in EVERYDAY
            or _ours(word.text)
            or word.text in NEVER
            or len(sound) < 3
        ):
            continue
        meant = _sounds().get(sound)
        if meant is None or (meant[0] == "state" and word.text.endswith("ing")):
            continue
        before = found[at - 1].text if at and not found[at - 1].stop else ""
        after = found[at + 1].text if at + 1 < len(found) and not word.stop else ""
        if meant[0] == "part":
            sure = (before in BEFORE_PART or _ours(before)) and (after in _COPULA or _is_state_word(after))
        else:
            sure = before in ("is", "are", "'s", "was", "got", "wheel", "both") and (
                after in ("", "on", "and", "in", "at", "all", "front", "back", "but", "too") or _ours(after)
            )
        if sure:
            found[at] = replace(word, text=meant[1], guess=True)


def _fits(found: Sequence[Word], start: int, end: int, kind: str, *, loosely: bool = False) -> bool:
    """Whether a part, or a state, can stand at this place of the sentence."""
    before = found[start - 1].text if start and not found[start - 1].stop else ""
    after = found[end].text if end < len(found) and not found[end - 1].stop else ""
    if kind == "part":
        follows = after in _COPULA or after == "" or after in BEHIND_PART or _is_state_word(after)
        if loosely:
            return after in _COPULA or _is_state_word(after) or _ours(after)
        return (follows and (before in BEFORE_PART or before == "" or _known(before) or _is_state_word(before))) or (
            _known(before) and not _is_state_word(before)
        )
    return before in BEFORE_STATE or _known(before) or (after != "" and _known(after) and before in ("the", "a", "no"))


@cache
def _our_words() -> frozenset[str]:
    """Words that stand in a name of a part, and states of one word."""
    ours = {
        word
        for sequences in lexicon.table().values()
        for sequence, named in sequences.items()
        if named.kind != "state" or len(sequence) == 1
        for word in sequence
    }
    return frozenset(ours) | _ALWAYS_OURS


def _ours(word: str) -> bool:
    return word in _our_words()


@cache
def _names_of_two() -> frozenset[tuple[str, str]]:
    return frozenset(
        (sequence[0], sequence[1]) for heads in lexicon.table().values() for sequence in heads if len(sequence) == 2
    ) | {("time", "side"), ("strike", "side"), ("time", "train"), ("strike", "train")}


@cache
def _partners() -> tuple[Mapping[str, tuple[str, ...]], Mapping[str, tuple[str, ...]]]:
    """Second word to the first words it goes with, and first word to its second words; names of parts only."""
    heads: dict[str, set[str]] = {}
    tails: dict[str, set[str]] = {}
    for sequences in lexicon.table().values():
        for sequence, named in sequences.items():
            if len(sequence) == 2 and named.kind == "part" and sequence[0] not in ("the", "both", "in", "on"):
                heads.setdefault(sequence[1], set()).add(sequence[0])
                tails.setdefault(sequence[0], set()).add(sequence[1])
    for tail in ("side", "train"):
        heads[tail] = {"time", "strike", "chime", "going"}
    for ordinal in ("second", "third", "fourth", "escape", "centre", "great", "warning"):
        tails.setdefault(ordinal, set()).update(("wheel", "pinion", "arbor"))
    return {k: tuple(sorted(v)) for k, v in heads.items()}, {k: tuple(sorted(v)) for k, v in tails.items()}


@cache
def _misheard() -> Mapping[str, tuple[str, str]]:
    found: dict[str, tuple[str, str]] = {}
    for part in vocabulary.components().values():
        for said in part.misheard_as:
            wrong = said.split("->")[0]
            right = _said_like(normal(wrong), part)
            found.setdefault(normal(wrong), ("part", right))
            if not wrong.endswith("s") and not right.endswith("s"):
                found.setdefault(normal(wrong) + "s", ("part", right + "s"))
    for condition in vocabulary.conditions().values():
        for wrong in condition.misheard_as:
            found.setdefault(normal(wrong), ("state", normal(re.sub(r",.*", "", condition.term))))
    for said in list(found):
        if _is_state_word(said):
            del found[said]
    found.update({wrong: ("part", right) for wrong, right in MISHEARD_PARTS.items()})
    found.update({wrong: ("state", right) for wrong, right in MISHEARD_STATES.items()})
    return found


def _said_like(wrong: str, part: vocabulary.Component) -> str:
    """The spoken name of a part that sounds most like the wrong word."""
    names = [normal(n) for n in (*part.spoken, re.sub(r"\(.*?\)|,.*", "", part.preferred), *part.uk, *part.us)]
    return max(names, key=lambda n: (SequenceMatcher(None, n, wrong).ratio(), -len(n)))


@cache
def _sounds() -> Mapping[str, tuple[str, str]]:
    """Keys of all names and states of one word."""
    found: dict[str, tuple[str, str]] = {}
    for sequences in lexicon.table().values():
        for sequence, named in sequences.items():
            if (
                len(sequence) == 1
                and len(sequence[0]) >= 3
                and sequence[0].isalpha()
                and sequence[0] not in SOUNDING_LIKE_MANY
            ):
                found.setdefault(key(sequence[0]), ("state" if named.kind == "state" else "part", sequence[0]))
    found.update({key(word): (kind, word) for word, kind in SURE_SOUNDS.items()})
    return found


def _known(word: str) -> bool:
    heads = lexicon.table().get(word)
    return heads is not None and (word,) in heads and heads[(word,)].kind in ("part", "shared")


def _is_state_word(word: str) -> bool:
    heads = lexicon.table().get(word)
    return heads is not None and any(named.kind == "state" for sequence, named in heads.items() if len(sequence) == 1)
