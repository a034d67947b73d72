"""Words to what they name: parts, wheels, trains, places, states of parts.

The trade's vocabulary with our own additions is laid out as one table of word sequences; the longest sequence
that fits is taken. A word that names several parts is left open here and settled by `context`. Words that a
recogniser wrote wrongly are proposed by `mishearing`.

Never here: a rule of grammar.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from underdial.telling import part_words, state_words
from underdial.telling.captions import Cue
from underdial.telling.words import listed, split
from underdial.trade import vocabulary

TRAIN_NAMES = {"going": "going", "time": "going", "strike": "strike", "striking": "strike", "chime": "chime", "chiming": "chime",
               "quarter": "chime", "alarm": "alarm"}
_COMPOUNDS = (("main spring", "mainspring"), ("hair spring", "hairspring"), ("end stone", "endstone"), ("over coil", "overcoil"),
              ("seat board", "seatboard"), ("back board", "backboard"), ("lock nut", "locknut"))


_NOUN_STATES = listed("""rust wear crack cracks chip chips scratch scratches dent dents dust fluff lint solder glue groove grooves pitting pits pit marks mark burr burrs verdigris corrosion
kink kinks stain stains dirt muck play slop split splits hairline hairlines worm woodworm rut ruts ridge step scoring lacquer varnish tarnish bend damage ding dings runout tear rip sideshake hair
puncture initials signature pencil epoxy shim foil wax cobwebs spider gunk crud sludge grime smoke wobble backlash scuff scuffs scuffing repair""")


@dataclass(frozen=True)
class State:
    """One reading of a state phrase: for which parts, which condition, and whether it says present or absent."""

    parts: frozenset[str] | None
    condition: str
    present: bool


@dataclass(frozen=True)
class Named:
    """What a sequence of words names. `kind` is part, shared or state; `value` the id, the shared word, or the phrase."""

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
        _enter(found, Named("shared", word, 1, word.endswith("s")), word)
        if word + "s" not in shared_words() and not word.endswith("s"):
            _enter(found, Named("shared", word, 1, True), word + "s")
    for part, names in part_names().items():
        for name in names:
            for form, plural in _numbers_of(name):
                _enter(found, Named("part", part, len(form.split()), plural), form)
    return found


def longest(words: list[str], at: int) -> Named | None:
    """The longest named sequence that begins at word `at`."""
    heads = table().get(words[at])
    if not heads:
        return None
    best = None
    for sequence, named in heads.items():
        if (best is None or named.length > best.length) and tuple(words[at:at + named.length]) == sequence:
            best = named
    return best


@cache
def state_phrases() -> Mapping[str, tuple[State, ...]]:
    """Every way to say a state, with its readings in order."""
    found: dict[str, list[State]] = {}
    for line in state_words.STATES.strip().splitlines():
        phrases, parts, condition, sense = (piece.strip() for piece in line.split("|"))
        for phrase in phrases.split(","):
            found.setdefault(normal(phrase), []).append(State(_parts(parts), condition, sense == "+"))
    for surface, worn in state_words.SURFACES.items():
        for link in ("", "'s ", "is ", "has ", "is all ", "'s all ", "is more or less ", "'s more or less ", "is nearly ", "mostly ", "is mostly "):
            for gone in state_words.SURFACE_GONE:
                found.setdefault(f"{surface} {link}{gone}", []).append(State(None, worn, True))
    for listed_one in vocabulary.conditions().values():
        if listed_one.kind in ("status", "sound"):
            continue
        for said in (listed_one.term, *listed_one.synonyms, *listed_one.spoken):
            phrase = normal(re.sub(r"\(.*?\)", "", said))
            if phrase and said not in state_words.NOT_STATES and phrase not in state_words.NOT_STATES and "," not in said:
                found.setdefault(phrase, []).append(State(None, listed_one.id, True))
    return {phrase: tuple(states) for phrase, states in found.items()}


def state_of(phrase: str, part: str) -> State | None:
    """The reading of a state phrase for one part."""
    kinds = {part, *(vocabulary.components()[part].kinds if part in vocabulary.components() else ())}
    for state in state_phrases().get(phrase, ()):
        if state.parts is None or state.parts & kinds:
            return state
    return None


def is_noun(phrase: str) -> bool:
    """Whether a state is said as a thing ("rust", "a crack"), which never stands before a noun as its adjective."""
    return phrase.split()[-1] in _NOUN_STATES


@cache
def shared_words() -> Mapping[str, tuple[tuple[str, frozenset[str]], ...]]:
    """Words that name several parts: the readings in order with what calls for each."""
    found: dict[str, tuple[tuple[str, frozenset[str]], ...]] = {}
    for line in part_words.SHARED_WORDS.strip().splitlines():
        word, readings = line.split(":", 1)
        found[word.strip()] = tuple((first, frozenset(rest)) for first, *rest in (r.split() for r in readings.split(";")))
    return found


@cache
def part_names() -> Mapping[str, tuple[str, ...]]:
    """All names of every part, in normal form; names of two words also turned round ("spring on the click")."""
    found: dict[str, set[str]] = {}
    for part in vocabulary.components().values():
        names = {normal(re.sub(r"\(.*?\)", "", n)) for n in (part.preferred, *part.uk, *part.us, *part.spoken) if "," not in n}
        barred = part_words.NOT_NAMES.get(part.id, ())
        found[part.id] = {n for n in names if n and n not in part_words.NOT_ALONE and n not in shared_words() and n not in barred}
    for line in part_words.MORE_NAMES.strip().splitlines():
        part_id, listed = line.split(":", 1)
        if part_id in found:
            found[part_id] |= {normal(n) for n in listed.split(",")}
    return {part_id: tuple(sorted(set(_turned(names)))) for part_id, names in found.items()}


@cache
def normal(text: str) -> str:
    """The spelling that `words` gives to speech."""
    return " ".join(word.text for word in split((Cue(text),)))


def singular(word: str) -> str:
    """The head noun without its plural ending."""
    for many, one in (("feet", "foot"), ("teeth", "tooth"), ("leaves", "leaf"), ("pulleys", "pulley"), ("ies", "y"), ("sses", "ss"), ("xes", "x")):
        if word.endswith(many):
            return word[: -len(many)] + one
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def _parts(listed: str) -> frozenset[str] | None:
    if "*" in listed.split():
        return None
    return frozenset(p for piece in listed.split() for p in (state_words.GROUPS[piece].split() if piece.startswith("@") else [piece]))


def _turned(names: Iterable[str]) -> Iterator[str]:
    for name in names:
        for apart, joined in _COMPOUNDS:
            if joined in name.split():
                yield name.replace(joined, apart)
        yield name
        pieces = name.split()
        if len(pieces) == 2 and pieces[1] in ("spring", "hook", "tail", "tip", "block", "stand", "saddle", "head", "leather", "chain", "pin", "click"):
            for link in ("on", "of", "for", "in"):
                for the in ("the ", ""):
                    yield f"{pieces[1]} {link} {the}{pieces[0]}"


def _numbers_of(name: str) -> Iterator[tuple[str, bool]]:
    """The name, and the same in the plural (or the singular of a plural name)."""
    *lead, head = name.split()
    one = singular(head)
    yield name, one != head
    if one == head:
        more = head[:-1] + "ies" if head.endswith("y") and head[-2:-1] not in "aeiou" else head + ("es" if head.endswith(("s", "x", "ch", "sh")) else "s")
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
