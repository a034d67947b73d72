"""A state put on its parts: which parts the sentence means by those that were found, and what is written of each.

"Each pallet", "all of them", "the rest", "it isn't" and "everywhere" change the parts a state was found to be said of.

Never here: how the parts were found (`whose_state`), or what is said of no part at all.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from underdial.telling.findings import polarity
from underdial.telling.heard import PLAIN_CERTAINTY, Finding
from underdial.telling.names import likely_parts, places_of_parts, states
from underdial.telling.names.states import SOUND, State
from underdial.telling.parts_meant import said_places
from underdial.telling.parts_meant.fitting import fitting, of_holes
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook, keep, stamped, words_of
from underdial.telling.sentences.clauses import Clause
from underdial.telling.sentences.items import Item
from underdial.telling.speech import turns
from underdial.telling.speech.words import listed, text_of

_HISTORY = listed(
    "punched bushed_before soldered glued altered signed got_at repaired shimmed repainted wrong_lubricant overpainted"
)
_DIRT = ("dirty", "dust", "old_oil", "dry", "over_oiled", "wrong_lubricant", "insect_debris")
_OF_EVERY_ARBOR = re.compile(
    r"\b(?:all of (?:them|those)|everywhere|throughout|on all|all round|right through|all through|all the way through"
    r"|the lot)\b|^all\b"
)
_OF_EACH_PALLET = re.compile(r"\b(?:in|on|of|at) each\b(?! (?:other|side))|\bboth (?:faces|sides|of them)\b")
_EVERY_ONE = re.compile(r"\b(all|both|each) of (?:them|these|those)\b")
_REST_IS = re.compile(r"\b(?:the )?(?:rest|others|other (?:two|three|four|five|six)) (?:is|are|'s|\w+)")
_REST = re.compile(r"\b(?:the|all) (?:rest|others|other (?:one|ones|two|three|four|five|six))\b")
_IS_NOT = re.compile(
    r"^(?:(?:no|well|oh|so|and|but|actually) )*"
    r"(?:(?:it|that|they|he|she) (?:is|are|was|has|does|do) not\b|not \w+$)"
)
_IT_ALL = re.compile(r"^(?:and |but |so |well |oh )*(?:it|everything|all) ")
_ALL_OVER = re.compile(
    r"\b(?:"
    + "|".join(
        (
            "everywhere|all over (?:it|everything|the place|the inside)|all through|throughout|right through",
            "the whole thing|the whole lot|inside and out|all round|wherever|in here",
        )
    )
    + r")\b"
)


@dataclass(frozen=True)
class Statement:
    """A state as its clause says it: in which sense, how surely, by which rule its parts were found, what it touches.

    `hedge` is None where nothing is hedged; `excepted` turns the sense of what is denied.
    """

    state: Item
    clause: Clause
    denied: bool
    hedge: float | None
    rule: str
    against: str | None
    excepted: bool

    @property
    def of_focus(self) -> bool:
        """Whether the clause names no part, so that it is said of what is in focus."""
        return self.rule.startswith("said of the part in focus")


def state_of_parts(book: Notebook, targets: Sequence[Target], said: Statement) -> None:
    """One finding for each part that a state is said of, where the part can be in that state."""
    fresh: list[Finding] = []
    for target in _parts_meant(book, targets, said):
        finding = _finding(book, target, said)
        if finding is not None:
            fresh.append(finding)
    if {f.component for f in fresh} >= {"minute_hand", "hour_hand"} and fresh[0].condition in (
        "mismatched",
        "replaced",
    ):
        fresh = [replace(fresh[0], component="hands")]
    if fresh:
        book.focus.denied = fresh[-1].condition if fresh[-1].state == "absent" else None
        keep(book, fresh)


def _parts_meant(book: Notebook, targets: Sequence[Target], said: Statement) -> Sequence[Target]:
    """The parts with what the clause says of their places and their number."""
    words = words_of(book, said.clause)
    targets = _at_place_ahead(book, targets)
    if targets and targets[0].aspect == "endshake" and _OF_EVERY_ARBOR.search(words):
        targets = [Target("arbor", None, "all", "endshake")]
    if len(targets) == 1 and _on_each_pallet(book, targets[0]):
        targets = [replace(targets[0], place="both")]
    targets = _counted(targets, said, words)
    if (
        targets
        and (targets[0].place == "both" or re.match(r"(?:and )?they\b", words))
        and not re.search(r"\b(?:strike|going|time|chime)\b", words)
    ):
        targets = [
            replace(t, of=None) if t.component in places_of_parts.POWER and t.of in ("going", "strike", "chime") else t
            for t in targets
        ]
    if _REST_IS.search(words) and said.of_focus:
        targets = [_of_the_rest(t) for t in targets]
    return targets


def _at_place_ahead(book: Notebook, targets: Sequence[Target]) -> Sequence[Target]:
    """ "Behind, third, a little oval": the place that was said first."""
    if book.place_ahead is None:
        return targets
    return [
        replace(t, place=book.place_ahead)
        if t.place in (None, "all") and t.component in places_of_parts.WITH_ENDS
        else t
        for t in targets
    ]


def _on_each_pallet(book: Notebook, target: Target) -> bool:
    """ "A groove in each": of the pallets, both are meant."""
    return (
        target.component in ("pallets", "pin_pallet", "pallet_stone")
        and target.place is None
        and _OF_EACH_PALLET.search(text_of(book.sentence)) is not None
    )


def _counted(targets: Sequence[Target], said: Statement, words: str) -> Sequence[Target]:
    """ "All of them are worn": the one part named stands for all of its kind."""
    every = _EVERY_ONE.search(words)
    if every and len(targets) == 1 and targets[0].place is None and _can_be_said(said.state, targets[0]):
        return [
            replace(targets[0], place=said_places.counted(targets[0].component, "all" if every[1] == "all" else "both"))
        ]
    return targets


def _can_be_said(state: Item, target: Target) -> bool:
    """Whether a state phrase can be said of a part at all."""
    return states.state_of(state.value, target.component) is not None


def _of_the_rest(target: Target) -> Target:
    """ "The rest are fine": of no place, and of a part of wheels of no wheel."""
    if target.component in places_of_parts.HOSTS and target.component not in ("tooth", "leaf", "screw", "trundle"):
        return replace(target, of=None, place=None)
    return replace(target, place=None)


def _finding(book: Notebook, target: Target, said: Statement) -> Finding | None:
    """What is written of one part; None where nothing is said of it."""
    reading = _reading(said.state, target)
    if reading is None:
        return None
    present = reading.present != (said.denied and not said.excepted)
    if reading.condition in SOUND and not present:
        return None
    if said.denied and said.of_focus and reading.present:
        target = _denied_of(book, target, reading.condition)
    if not present and _had_by_the_others(book, target, reading.condition, said):
        return None
    if (
        said.of_focus
        and _of_all(reading.condition, text_of(book.sentence))
        and not any(f.condition == reading.condition and book.index - f.sentence <= 1 for f in book.findings[-3:])
    ):
        target = Target("movement")
    if said.of_focus and "references" in book.layers:
        if _dirt_of_the_whole(book, target, reading.condition, said):
            target = Target("movement")
        able = _able(book, target, reading.condition)
        if able is None:
            return None
        target = able
    return _written(book, target, reading.condition, present, said)


def _reading(state: Item, target: Target) -> State | None:
    """The reading of a state phrase for a part: one of its aspect first."""
    return next(
        (s for s in states.state_phrases().get(state.value, ()) if s.parts is not None and target.aspect in s.parts),
        None,
    ) or states.state_of(state.value, target.component)


def _denied_of(book: Notebook, target: Target, condition: str) -> Target:
    """ "No, it's not cracked": said of the part of which it was said a moment ago."""
    if not _IS_NOT.match(text_of(book.sentence)):
        return target
    earlier = next(
        (
            f
            for f in reversed(book.findings)
            if f.condition == condition
            and f.state == "present"
            and book.index - f.sentence <= (6 if len(book.sentence) == 2 else 3)
        ),
        None,
    )
    if earlier is None or earlier.component == target.component:
        return target
    return Target(earlier.component, earlier.of, earlier.place)


def _had_by_the_others(book: Notebook, target: Target, condition: str, said: Statement) -> bool:
    """ "The rest aren't": the fault just found of such a part is not taken back."""
    return _REST.search(words_of(book, said.clause)) is not None and any(
        f.component == target.component
        and f.condition == condition
        and f.state == "present"
        and book.index - f.sentence <= 3
        for f in book.findings
    )


def _of_all(condition: str, text: str) -> bool:
    """ "Toffee, everywhere you look": dirt and oil that are everywhere are the movement's."""
    return condition in _DIRT and (condition == "wrong_lubricant" or _ALL_OVER.search(text) is not None)


def _dirt_of_the_whole(book: Notebook, target: Target, condition: str, said: Statement) -> bool:
    """ "It's filthy" behind a screw, "everything's dirty" behind the plates: the movement is."""
    if condition not in ("dirty", "old_oil"):
        return False
    if target.component == "plates":
        return _IT_ALL.match(words_of(book, said.clause)) is not None
    return target.component in ("taper_pin", "screw", "pillar", "case_screw", "steady_pin", "key", "label")


def _able(book: Notebook, target: Target, condition: str) -> Target | None:
    """The part in focus, or the nearest one spoken of that can be in this condition."""
    if "likely_parts" not in book.layers or likely_parts.can_be(target.component, condition):
        return target
    if condition == "scored" and target.component == "pivot_hole":
        return replace(target, component="pivot")
    for finding in [f for f in reversed(book.findings[-5:]) if book.index - f.sentence <= 3]:
        if likely_parts.can_be(finding.component, condition):
            return Target(finding.component, finding.of, finding.place)
    near = likely_parts.nearest(condition, [part for part in book.focus.recent if part != target.component])
    return Target(near) if near is not None else None


def _written(book: Notebook, target: Target, said_condition: str, present: bool, said: Statement) -> Finding | None:
    """The finding by the rules of labelling; None where they have no place for it."""
    placed = fitting(said_condition, target, book.focus)
    if placed is None:
        return None
    component, of, place, condition = of_holes(*placed, text_of(book.sentence), book.last)
    if (
        component == "chain_hook"
        and (end := re.search(r"\b(fusee|barrel) end\b", words_of(book, said.clause))) is not None
    ):
        of = end[1]
    if place == "all" and component == "tooth" and condition in ("missing", "bent", "good"):
        place = None
    state = "present" if present else "absent"
    finding = Finding(
        component,
        condition,
        state,
        of,
        place,
        PLAIN_CERTAINTY if said.hedge is None else said.hedge,
        against=said.against,
        extent=polarity.graded(said.clause.items, said.state) if present else None,
        rule=f"{said.rule}; {'denied; ' if said.denied else ''}'{said.state.value}' is {condition} {state}",
        aspect=target.aspect,
    )
    if (condition in _HISTORY and present) or (
        turns.says("earlier", text_of(book.sentence))
        and condition in (*_HISTORY, "replaced", "mismatched", "wrong_size")
    ):
        finding.who = "earlier-work"
    return stamped(book, finding, said.clause)
