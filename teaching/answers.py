"""The lists of answers that the network chooses from, and the numbers of the tags it is shown.

Rows of a list are rows of a table of the network: an answer may be added at the end of a list only, and then the
network is taught anew.

Never here: a word of speech, the network.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from underdial.telling.names import lexicon, states
from underdial.telling.speech.words import listed
from underdial.trade import vocabulary

_TRAINS = ("going", "strike", "chime", "alarm")
# Wheels and arbors that a label may give to one train: of=strike.great_wheel.
_OF_A_TRAIN = """
    great_wheel second_wheel centre_wheel third_wheel fourth_wheel fifth_wheel escape_wheel contrate_wheel pin_wheel
    locking_wheel warning_wheel count_wheel intermediate_wheel hour_wheel minute_wheel crown_wheel star_wheel
    cannon_pinion balance fly pallets pallet_arbor barrel barrel_arbor fusee anchor wheel
"""
_PLACES = """
    front back both all upper lower left right entry exit inside outer inner tip top bottom middle side outside centre
    winding_hole outer_end inner_end thread numerals joints edge rim slots top_left top_right bottom_left bottom_right
    front_left front_right back_left back_right hook boss base root
"""

COMPONENTS: tuple[str, ...] = tuple(sorted(vocabulary.components()))
CONDITIONS: tuple[str, ...] = tuple(sorted(vocabulary.conditions()))
STATES = ("present", "absent", "not_examined")
OFS: tuple[str | None, ...] = (
    None,
    *_TRAINS,
    *COMPONENTS,
    *(f"{train}.{wheel}" for train in _TRAINS for wheel in _OF_A_TRAIN.split()),
)
PLACES: tuple[str | None, ...] = (None, *sorted(listed(_PLACES)), *(f"at_{hour}" for hour in range(1, 13)))
SIGNIFICANCE = (None, "stops", "contributes", "none", "cosmetic")
DECISIONS = (
    None,
    "leave",
    "clean",
    "oil",
    "adjust",
    "straighten",
    "tighten",
    "polish",
    "bush",
    "repair",
    "replace",
    "glue",
    "ask_owner",
    "recheck",
    "later",
    "must_fix",
)
WHO = ("repairer", "owner", "earlier-work")
# What a number may measure, and in what unit; none is the unit of a number that measures nothing.
QUANTITIES: tuple[str, ...] = tuple(sorted(vocabulary.quantities()))
UNITS: tuple[str | None, ...] = (
    None,
    "mm",
    "thou",
    "in",
    "um",
    "cm",
    "m",
    "ft",
    "deg",
    "ms",
    "s",
    "min",
    "h",
    "d",
    "s/d",
    "min/d",
    "/h",
    "/min",
    "g",
    "kg",
    "lb",
    "oz",
    "cwt",
    "turns",
    "teeth",
    "leaves",
    "strands",
    "swings",
    "count",
    "uSv/h",
    "MOhm",
    "degC",
)
# A saying is said of one part, two, three, or more.
COUNTS = 4
# The break behind a word; 0 is kept for what is no word.
STOPS: Mapping[str, int] = {"": 1, ",": 2, ".": 3, "?": 4, ":": 5}
# Kinds of tags whose value the network is shown beside the kind.
VALUED = frozenset(
    ("part", "shared", "wheel", "state", "place", "train", "aspect", "decision", "weight", "quant", "not_seen", "not")
)


def numbered(rows: Sequence[str | None]) -> dict[str | None, int]:
    """The row of each answer."""
    return {row: number for number, row in enumerate(rows)}


COMPONENT_ROWS, CONDITION_ROWS, STATE_ROWS, OF_ROWS, PLACE_ROWS, QUANTITY_ROWS, UNIT_ROWS = (
    numbered(rows) for rows in (COMPONENTS, CONDITIONS, STATES, OFS, PLACES, QUANTITIES, UNITS)
)


def may_name(kind: str, value: str) -> tuple[int, ...]:
    """Rows of the parts that a tagged word may name."""
    if kind in ("part", "wheel"):
        return (COMPONENT_ROWS[value],) if value in COMPONENT_ROWS else ()
    if kind == "shared":
        return tuple(
            COMPONENT_ROWS[part] for part, _ in lexicon.shared_words().get(value, ()) if part in COMPONENT_ROWS
        )
    return ()


def may_say(kind: str, value: str) -> tuple[int, ...]:
    """Rows of the conditions that a tagged phrase may stand for, in order."""
    if kind != "state":
        return ()
    return tuple(sorted({CONDITION_ROWS[state.condition] for state in states.state_phrases().get(value, ())}))


@dataclass(frozen=True)
class TagNumbers:
    """Rows of the kinds and values of tags met in the teaching; 0 stands for what was not met, and for no tag."""

    kinds: Mapping[str, int]
    values: Mapping[str, int]

    def of(self, kind: str, value: str) -> tuple[int, int]:
        """The rows of one tag."""
        return self.kinds.get(kind, 0), self.values.get(f"{kind}:{value}", 0) if kind in VALUED and value else 0

    @staticmethod
    def met(tags: Iterable[tuple[str, str]]) -> TagNumbers:
        """Numbers for these tags in the order in which they are met."""
        return TagNumbers({}, {}).with_met(tags)

    def with_met(self, tags: Iterable[tuple[str, str]]) -> TagNumbers:
        """These numbers as they are, and behind them those of the tags met now for the first time."""
        kinds, values = dict(self.kinds), dict(self.values)
        for kind, value in tags:
            kinds.setdefault(kind, len(kinds) + 1)
            if kind in VALUED and value:
                values.setdefault(f"{kind}:{value}", len(values) + 1)
        return TagNumbers(kinds, values)
