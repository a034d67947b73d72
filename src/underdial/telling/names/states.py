"""Ways to say the state of a part, and the condition each stands for, part by part.

Lays out `state_words` and the spoken forms of the trade's own list. "Tight" is a fault of a pivot and sound in a
screw: which reading holds is settled with the part.

Never here: a rule of grammar.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from underdial.telling.names import everyday_words, state_words
from underdial.telling.speech.words import listed, normal
from underdial.trade import vocabulary

_NOUN_STATES = listed("""
    endshake rust wear crack cracks chip chips scratch scratches dent dents dust fluff lint solder glue groove
    grooves pitting pits pit marks mark burr burrs verdigris corrosion kink kinks stain stains dirt muck play slop
    split splits hairline hairlines worm woodworm rut ruts ridge step scoring lacquer varnish tarnish bend damage
    ding dings runout tear rip sideshake hair puncture crater craters nick nicks gouge gouges notch notches trench
    trenches channel channels bulge tramlines ring rings track tracks streak streaks hook initials signature pencil
    epoxy shim foil wax cobwebs spider gunk crud sludge grime smoke wobble backlash scuff scuffs scuffing repair
""")

# What these say is that nothing is wrong.
SOUND = ("good", "endshake_ok")


@dataclass(frozen=True)
class State:
    """One reading of a state phrase: for which parts, which condition, and whether it says present or absent."""

    parts: frozenset[str] | None
    condition: str
    present: bool


@cache
def state_phrases() -> Mapping[str, tuple[State, ...]]:
    """Every way to say a state, with its readings in order."""
    found: dict[str, list[State]] = {}
    for line in (
        *everyday_words.FIRST.strip().splitlines(),
        *state_words.STATES.strip().splitlines(),
        *everyday_words.LINES.strip().splitlines(),
    ):
        phrases, parts, condition, sense = (piece.strip() for piece in line.split("|"))
        for phrase in phrases.split(","):
            found.setdefault(normal(phrase), []).append(State(_parts(parts), condition, sense == "+"))
    for surface, worn in state_words.SURFACES.items():
        for link in (
            "",
            "'s ",
            "is ",
            "has ",
            "'s all ",
            "is all ",
            "'s more or less ",
            "is more or less ",
            "'s nearly ",
            "is nearly ",
            "mostly ",
            "'s mostly ",
            "is mostly ",
            "has mostly ",
            "'s largely ",
            "is largely ",
            "'s nearly all ",
            "is nearly all ",
            "has all ",
            "'s half ",
        ):
            for gone in state_words.SURFACE_GONE:
                found.setdefault(f"{surface} {link}{gone}", []).append(State(None, worn, True))
    for listed_one in vocabulary.conditions().values():
        if listed_one.kind in ("status", "sound"):
            continue
        for said in (listed_one.term, *listed_one.synonyms, *listed_one.spoken):
            phrase = normal(re.sub(r"\(.*?\)", "", said))
            if (
                phrase
                and said not in state_words.NOT_STATES
                and phrase not in state_words.NOT_STATES
                and "," not in said
            ):
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
    return phrase.split()[-1] in _NOUN_STATES or phrase.startswith(
        ("a number", "number", "polish", "foil", "shim", *state_words.SURFACES)
    )


def _parts(listed: str) -> frozenset[str] | None:
    if "*" in listed.split():
        return None
    return frozenset(
        p for piece in listed.split() for p in (state_words.GROUPS[piece].split() if piece.startswith("@") else [piece])
    )
