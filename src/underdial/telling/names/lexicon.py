"""Words to what they name: parts, wheels, trains, places, states of parts.

The trade's vocabulary with our own additions is laid out as one table of word sequences; the longest sequence
that fits is taken. A word that names several parts is left open here and settled by `subjects`. Words that a
recogniser wrote wrongly are proposed by `mishearing`.

Never here: a rule of grammar.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from underdial.telling.names import part_words
from underdial.telling.names.states import state_phrases
from underdial.telling.speech.words import normal
from underdial.trade import vocabulary

TRAIN_NAMES = {
    "going": "going",
    "time": "going",
    "strike": "strike",
    "striking": "strike",
    "chime": "chime",
    "chiming": "chime",
    "quarter": "chime",
    "alarm": "alarm",
}
_COMPOUNDS = (
    ("main spring", "mainspring"),
    ("hair spring", "hairspring"),
    ("end stone", "endstone"),
    ("over coil", "overcoil"),
    ("seat board", "seatboard"),
    ("back board", "backboard"),
    ("lock nut", "locknut"),
)


@dataclass(frozen=True)
class Named:
    """What a sequence of words names.

    `kind` is part, shared or state; `value` the id, the shared word, or the phrase.
    """

    kind: str
    value: str
    length: int
    plural: bool = False


@cache
def table() -> Mapping[str, dict[tuple[str, ...], Named]]:
    """First word to the sequences that begin with it."""
    found: dict[str, dict[tuple[str, ...], Named]] = {}
    for phrase in state_phrases():
        _enter(found, Named("state", phrase, len(phrase.split())), phrase)
    for word in shared_words():
        _enter(found, Named("shared", word, len(word.split()), word.endswith("s")), word)
        if word + "s" not in shared_words() and not word.endswith("s"):
            _enter(found, Named("shared", word, 1, True), word + "s")
    for part, names in part_names().items():
        for name in names:
            for form, plural in _numbers_of(name):
                _enter(found, Named("part", part, len(form.split()), plural), form)
    return found


def longest(words: list[str], at: int) -> Named | None:
    """The longest named sequence that begins at word `at`."""
    for length in _lengths().get(words[at], ()):
        named = table()[words[at]].get(tuple(words[at : at + length]))
        if named is not None and named.length == length:
            return named
    return None


@cache
def _lengths() -> Mapping[str, tuple[int, ...]]:
    """First word to the lengths of the sequences that begin with it, the longest first."""
    return {
        first: tuple(sorted({len(sequence) for sequence in sequences}, reverse=True))
        for first, sequences in table().items()
    }


@cache
def shared_words() -> Mapping[str, tuple[tuple[str, frozenset[str]], ...]]:
    """Words that name several parts: the readings in order with what calls for each."""
    found: dict[str, tuple[tuple[str, frozenset[str]], ...]] = {}
    for line in part_words.SHARED_WORDS.strip().splitlines():
        word, readings = line.split(":", 1)
        found[word.strip()] = tuple(
            (first, frozenset(rest)) for first, *rest in (r.split() for r in readings.split(";"))
        )
    return found


@cache
def part_names() -> Mapping[str, tuple[str, ...]]:
    """All names of every part, in normal form; names of two words also turned round ("spring on the click")."""
    found: dict[str, set[str]] = {}
    for part in vocabulary.components().values():
        names = {
            normal(re.sub(r"\(.*?\)", "", n))
            for n in (part.preferred, *part.uk, *part.us, *part.spoken)
            if "," not in n
        }
        barred = part_words.NOT_NAMES.get(part.id, ())
        found[part.id] = {
            n for n in names if n and n not in part_words.NOT_ALONE and n not in shared_words() and n not in barred
        }
    for line in part_words.MORE_NAMES.strip().splitlines():
        part_id, listed = line.split(":", 1)
        if part_id in found:
            found[part_id] |= {normal(n) for n in listed.split(",")}
    return {part_id: tuple(sorted(set(_turned(names)))) for part_id, names in found.items()}


def singular(word: str) -> str:
    """The head noun without its plural ending."""
    for many, one in (
        ("feet", "foot"),
        ("teeth", "tooth"),
        ("leaves", "leaf"),
        ("pulleys", "pulley"),
        ("ies", "y"),
        ("sses", "ss"),
        ("xes", "x"),
    ):
        if word.endswith(many):
            return word[: -len(many)] + one
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def _turned(names: Iterable[str]) -> Iterator[str]:
    for name in names:
        for apart, joined in _COMPOUNDS:
            if joined in name.split():
                yield name.replace(joined, apart)
        yield name
        pieces = name.split()
        if (
            len(pieces) == 2
            and pieces[1] not in ("wheel", "work", "plate")
            and pieces[0] not in ("the", "both")
            and len(pieces[1]) > 2
        ):
            yield f"{pieces[1]} of the {pieces[0]}"
        if len(pieces) == 2 and pieces[1] in (
            "spring",
            "hook",
            "tail",
            "tip",
            "block",
            "stand",
            "saddle",
            "head",
            "leather",
            "chain",
            "pin",
            "click",
        ):
            for link in ("on", "of", "for", "in"):
                for the in ("the ", ""):
                    yield f"{pieces[1]} {link} {the}{pieces[0]}"


def _numbers_of(name: str) -> Iterator[tuple[str, bool]]:
    """The name, and the same in the plural (or the singular of a plural name)."""
    *lead, head = name.split()
    one = singular(head)
    yield name, one != head
    if one == head:
        more = (
            head[:-1] + "ies"
            if head.endswith("y") and head[-2:-1] not in "aeiou"
            else head + ("es" if head.endswith(("s", "x", "ch", "sh")) else "s")
        )
        yield " ".join([*lead, more]), True
    for at, piece in enumerate(lead):
        # "springs on the clicks": the first noun of a turned name is its head.
        if piece in ("on", "of", "for", "in") and at > 0:
            yield " ".join([lead[0] + "s", *lead[1:], head]), True
            yield " ".join([lead[0] + "s", *lead[1:], head + "s"]), True
            break


def _enter(found: dict[str, dict[tuple[str, ...], Named]], named: Named, phrase: str) -> None:
    sequence = tuple(phrase.split())
    if sequence:
        old = found.setdefault(sequence[0], {}).get(sequence)
        if old is None or old.kind != "state" or named.kind == "part":
            found[sequence[0]].setdefault(sequence, named)
