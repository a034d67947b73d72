"""How the bench speaks: hedges, negations, words of weight and of order, units as spoken, words of two meanings.

Phrases stand as spoken, in lower or mixed case; X and Y in a negation stand for whatever is negated. The
certainty of a hedge is a scale of ours: it is shown again as the words that were said, never upgraded.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from underdial.trade.files import DATA, Strict, broken, read_record
from underdial.trade.sources import Source, check_sources, read_texts
from underdial.trade.vocabulary import read_vocabulary

Sense = Literal[
    "absent",
    "not_observed",
    "sound",
    "both_absent",
    "absent_but",
    "trace",
    "slight",
    "too_little",
    "not_stopping",
    "contributes",
    "replaced",
    "untouched",
    "unlikely",
    "not_examined",
    "was",
    "past",
    "contrast",
    "restart",
    "original",
]
Effect = Literal["recheck", "slight", "judged_untested", "pending", "limited_access", "owner_claims"]


@dataclass(frozen=True, slots=True)
class Hedge(Strict):
    """Words that lower certainty, or that say why it is low; None leaves certainty as it was."""

    phrases: tuple[str, ...]
    certainty_probability: float | None = None
    effect: Effect | None = None


@dataclass(frozen=True, slots=True)
class Negation(Strict):
    """Words that turn a statement round, or seem to and do not (`not much end shake` is a fault)."""

    phrases: tuple[str, ...]
    sense: Sense
    meaning: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Weight(Strict):
    """Words that say what a finding matters for, or what is to be done about it."""

    phrases: tuple[str, ...]
    significance: Literal["stops", "contributes", "none", "cosmetic"] | None = None
    decision: Literal["leave", "must_fix", "ask_owner", "later"] | None = None
    target: Literal["wind", "rate", "strike"] | None = None
    flags: tuple[Literal["safety"], ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class SpokenUnits(Strict):
    """Units of one kind as they are spoken."""

    kind: str
    spoken: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Discourse(Strict):
    """Words that steer the telling: correct, refer, start, photo, measure, owner_says, end, filler, command."""

    act: str
    phrases: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Order(Strict):
    """A spoken order to the program and what it does."""

    phrase: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Ambiguity(Strict):
    """A word of more than one meaning; the first id is taken when nothing else decides."""

    word: str
    of: Literal["component", "condition"]
    ids: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Speech(Strict):
    """Everything about speech that is not the name of a part or of a state."""

    hedges: tuple[Hedge, ...]
    plain_certainty_probability: float
    negations: tuple[Negation, ...]
    significance: tuple[Weight, ...]
    extents: tuple[str, ...]
    places: tuple[str, ...]
    positions: tuple[str, ...]
    units: tuple[SpokenUnits, ...]
    number_speech: tuple[str, ...]
    discourse: tuple[Discourse, ...]
    orders: tuple[Order, ...]
    ambiguities: tuple[Ambiguity, ...]
    sources: tuple[Source, ...]


@cache
def speech() -> Speech:
    """How the bench speaks, from the package's own file."""
    return read_speech(DATA)


def read_speech(folder: Path) -> Speech:
    """The speech of a data folder; BadInput, naming file and key, when the file is broken."""
    path = folder / "speech.json"
    found = read_record(path, Speech)
    check_sources(path, "speech", found.sources, read_texts(folder))
    words = read_vocabulary(folder)
    for hedge in found.hedges:
        if hedge.certainty_probability is not None and not 0.0 < hedge.certainty_probability <= 1.0:
            raise broken(
                path,
                f"hedges[{hedge.phrases[0]}].certainty_probability",
                hedge.certainty_probability,
                "above 0, up to 1",
            )
    for doubt in found.ambiguities:
        known = words.components if doubt.of == "component" else words.conditions
        strange = next((one for one in doubt.ids if one not in known), None)
        if strange is not None:
            raise broken(path, f"ambiguities[{doubt.word}].ids", strange, f"a {doubt.of} of the vocabulary")
    return found
