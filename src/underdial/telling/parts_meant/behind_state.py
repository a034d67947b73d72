"""Parts and places named behind a state: what it is said of, where on it, what it lacks, what it touches.

"The hand rubs the glass", "a chip out of the edge", "somebody's bent the crutch", "lost a tooth".

Never here: parts named before the state, and what is in focus at the end of it all (`whose_state`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from underdial.telling.names import places_of_parts, state_words, states
from underdial.telling.parts_meant import said_places, subjects
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook, in_focus
from underdial.telling.parts_meant.own_subject import is_pronoun, may_carry
from underdial.telling.sentences.clauses import Clause
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.noun_phrases import Phrase
from underdial.telling.speech.words import listed

_CONTACT = frozenset(("rubbing", "fouling", "rubbing_mark", "caught"))
_LOSING = frozenset(("missing", "lost", "is missing", "has lost", "lacking", "lacks", "short of"))
_DOERS = frozenset(("somebody", "someone", "they", "nobody", "man", "whoever"))
_LEADING_ON = ("on", "in", "against", "off", "to", "of", "round", "into")
_COMING_OFF = (*state_words.SURFACES, "flaking", "flaked", "peeling", "paint", "lacquer", "veneer")
_ELSEWHERE = listed("off from near past towards toward behind above below between into through than beside")
_OF_FOCUS = "said of the part in focus"


@dataclass(frozen=True)
class Predicate:
    """A state in a clause, the word its stretch begins with; whether it is a touching, and had a part before it."""

    clause: Clause
    state: Item
    from_word: int
    touching: bool
    named_before: bool


@dataclass(frozen=True)
class Found:
    """The parts found so far, the rule that found them, what they touch, and whether they are the subject."""

    targets: tuple[Target, ...]
    rule: str
    against: str | None
    has_subject: bool


def touches(state: Item) -> bool:
    """Whether a state is a part touching another."""
    return any(s.condition in _CONTACT - {"rubbing_mark"} for s in states.state_phrases().get(state.value, ()))


def with_after(book: Notebook, said: Predicate, found: Found, after: Sequence[Phrase]) -> Found:
    """What was found before a state, and what each phrase behind it makes of it."""
    for named in after:
        phrase = _led_by_state(named, said.state)
        names_part = any(item.kind in ("part", "shared", "wheel", "aspect") for item in phrase.items)
        if names_part and not _behind_where(said, phrase):
            found = _with_part(book, said, found, phrase)
        elif not names_part and not _of_direction(phrase):
            found = _at_place(book, said, found, phrase)
    return found


def _led_by_state(phrase: Phrase, state: Item) -> Phrase:
    """ "Rubs on the glass": the preposition that ends a state phrase is that of the part behind it."""
    last = state.value.split()[-1]
    if phrase.preposition is None and phrase.start - state.end <= 2 and last in _LEADING_ON:
        return replace(phrase, preposition=last)
    return phrase


def _behind_where(said: Predicate, phrase: Phrase) -> bool:
    """ "Worn where the click sits": the part only tells the place."""
    return any(
        item.kind == "word" and item.value == "where" and said.state.end <= item.start < phrase.start
        for item in said.clause.items
    )


def _of_direction(phrase: Phrase) -> bool:
    """ "Bent to the left", "past the front": which way, not where."""
    return phrase.preposition in ("towards", "toward", "past", "from") or (
        phrase.preposition == "to" and said_places.place_of(phrase) in ("left", "right", "front", "back")
    )


def _with_part(book: Notebook, said: Predicate, found: Found, phrase: Phrase) -> Found:
    """What a part named behind a state is to it."""
    adjacent = (
        phrase.start - said.state.end <= 1 and phrase.preposition is None and not (said.touching and found.has_subject)
    )
    if _touched_by_focus(book, said, found, phrase):
        found = replace(found, targets=in_focus(book), rule=_OF_FOCUS, has_subject=True)
    if _is_lost(said, found, phrase):
        return replace(
            found,
            targets=_as_part_of(book, found.targets, phrase) or found.targets,
            rule="what the part named before it lacks",
        )
    if _done_by_somebody(said, found, phrase):
        return replace(found, targets=subjects.targets(phrase, book.focus), rule="done to the part named behind it")
    if found.targets and found.has_subject and not adjacent:
        return _located(book, said, found, phrase)
    if not found.targets and not adjacent and _located_on_focus(book, said, phrase):
        found = replace(found, targets=in_focus(book), rule=_OF_FOCUS, has_subject=True)
        return _located(book, said, found, phrase)
    if not found.targets or (adjacent and _is_attribute(said.clause, said.state)):
        return _of_part_behind(book, said, found, phrase, adjacent)
    return found


def _touched_by_focus(book: Notebook, said: Predicate, found: Found, phrase: Phrase) -> bool:
    """ "It rubs the glass": what is in focus touches the part behind the state."""
    return (
        said.touching
        and not found.targets
        and not said.named_before
        and phrase.preposition is None
        and phrase.start - said.state.end <= 1
        and bool(book.focus.subjects)
        and is_pronoun(said.clause, said.state)
        and not _is_attribute(said.clause, said.state)
    )


def _is_attribute(clause: Clause, state: Item) -> bool:
    before = [item for item in clause.items if item.end <= state.start]
    return (
        not before
        or before[-1].kind in ("number", "not")
        or (
            before[-1].kind == "word"
            and before[-1].value
            in (
                "a",
                "an",
                "some",
                "the",
                "with",
                "has",
                "got",
                "have",
                "few",
                "couple",
                "of",
                "slightly",
                "badly",
                "very",
                "any",
                "two",
                "three",
            )
        )
    )


def _is_lost(said: Predicate, found: Found, phrase: Phrase) -> bool:
    """ "The minute wheel's lost a tooth": it is the tooth that is missing."""
    return (
        bool(found.targets)
        and found.has_subject
        and said.state.value in _LOSING
        and phrase.start - said.state.end <= 2
        and phrase.preposition is None
    )


def _as_part_of(book: Notebook, targets: tuple[Target, ...], phrase: Phrase) -> tuple[Target, ...]:
    """What a phrase names when these parts are spoken of; the focus stays as it was."""
    with book.focus.as_it_was():
        book.focus.settle(targets)
        return subjects.targets(phrase, book.focus)


def _done_by_somebody(said: Predicate, found: Found, phrase: Phrase) -> bool:
    """ "Somebody's bent the crutch"."""
    return (
        not found.has_subject
        and phrase.preposition is None
        and bool(_DOERS & {i.value for i in said.clause.items if i.end <= said.state.start})
    )


def _located_on_focus(book: Notebook, said: Predicate, phrase: Phrase) -> bool:
    """ "Cracked at the collet", "it's loose on the arbor": of what is in focus, the part behind it telling where."""
    return (
        not said.named_before
        and not states.is_noun(said.state.value)
        and said.state.value.split()[0] not in ("nothing", "no", "not", "signed", "punched", "punch", "ring")
        and phrase.preposition is not None
        and (said.state.start - said.clause.start <= 2 or is_pronoun(said.clause, said.state))
        and bool(book.focus.subjects)
        and may_carry(book, said.clause, said.state, said.from_word)
    )


def _located(book: Notebook, said: Predicate, found: Found, phrase: Phrase) -> Found:
    """A part named behind a statement that has its subject: what is touched, where it is, or the part of a part."""
    targets = found.targets
    behind = _as_part_of(book, targets, phrase)
    if not behind:
        return found
    part = behind[0].component
    if said.touching:
        hour = next((t.place for t in behind if t.place is not None and t.place.startswith("at_")), None)
        if hour is not None:
            targets = tuple(replace(t, place=hour) if t.place is None else t for t in targets)
        return replace(found, targets=targets, against=found.against or part)
    if targets[0].component == "oil" and part == "oil_sink":
        return replace(found, targets=(replace(behind[0], of=None),))
    if part in places_of_parts.PLACE_PARTS:
        return replace(found, targets=tuple(replace(t, place=part) for t in targets))
    if _is_part_meant(said, targets[0].component, part, phrase):
        return replace(found, targets=behind)
    if (
        part in places_of_parts.WHEELS
        and phrase.preposition in ("on", "of", "in")
        and targets[0].component in places_of_parts.HOSTS
        and targets[0].of is None
    ):
        wheel = places_of_parts.of_wheel(part, behind[0].of)
        return replace(found, targets=tuple(replace(t, of=wheel) for t in targets))
    place = behind[0].place
    if place is not None and targets[0].place is None and part == targets[0].component:
        return replace(found, targets=tuple(replace(t, place=place) for t in targets))
    return found


def _is_part_meant(said: Predicate, subject: str, part: str, phrase: Phrase) -> bool:
    """ "The third has wear in its pivots", "a crack round the hole of the plate": said of the lesser part."""
    return (
        (
            phrase.preposition in ("in", "on", "of", "to", "round", "around")
            and part in places_of_parts.HOSTS
            and subject in places_of_parts.WHEELS
            and not _stated_flatly(said.clause, said.state)
        )
        or (
            part == "pivot_hole"
            and subject in ("plates", "front_plate", "back_plate")
            and phrase.preposition in ("round", "around", "at", "in", "on", "by")
        )
        or (
            phrase.preposition in ("in", "on", "along", "to")
            and states.is_noun(said.state.value)
            and places_of_parts.part_of(part) == subject
        )
    )


def _stated_flatly(clause: Clause, state: Item) -> bool:
    before = [item for item in clause.items if item.end <= state.start]
    return (
        bool(before)
        and before[-1].kind == "word"
        and before[-1].value in ("is", "are", "'s")
        and state.value not in ("wear", "rust", "cracks", "crack")
    )


def _of_part_behind(book: Notebook, said: Predicate, found: Found, phrase: Phrase, adjacent: bool) -> Found:
    """A part named behind a state that has no subject, or right behind its adjective."""
    if said.touching and not adjacent and may_carry(book, said.clause, said.state, said.from_word):
        return Found(
            targets=in_focus(book),
            rule=_OF_FOCUS,
            against=_first_part(subjects.targets(phrase, book.focus)),
            has_subject=True,
        )
    if (
        phrase.preposition in ("by", "with", "like")
        and not adjacent
        and not said.state.value.startswith(("nothing", "no ", "happy"))
    ):
        return found
    place = _place_shown(book, said, found, phrase)
    if place is not None:
        targets = tuple(replace(t, place=place) for t in in_focus(book))
        return replace(found, targets=targets, rule="said of the part in focus, at a place")
    if found.targets:
        book.focus.settle(found.targets)
    if phrase.preposition in ("off", "from") and said.state.value.split()[0] in _COMING_OFF and not found.targets:
        targets = subjects.targets(phrase, book.focus)
        return replace(found, targets=targets, rule="said of the part it has come off", has_subject=bool(targets))
    if phrase.preposition in _ELSEWHERE:
        return found
    if adjacent and states.is_noun(said.state.value) and said.state.start != said.clause.start:
        return found
    behind = subjects.targets(phrase, book.focus)
    return replace(found, targets=behind, rule="said of the part named behind it") if behind else found


def _first_part(targets: Sequence[Target]) -> str | None:
    return targets[0].component if targets else None


def _place_shown(book: Notebook, said: Predicate, found: Found, phrase: Phrase) -> str | None:
    """ "Worn round the edge": a part that is no more than a place on what is in focus."""
    shown = [item.value for item in phrase.items if item.kind == "part" and item.value in places_of_parts.PLACE_PARTS]
    if (
        shown
        and not found.targets
        and phrase.preposition in ("round", "around", "at", "by", "near")
        and book.focus.subjects
        and may_carry(book, said.clause, said.state, said.from_word)
    ):
        return shown[0]
    return None


def _at_place(book: Notebook, said: Predicate, found: Found, phrase: Phrase) -> Found:
    """A phrase behind a state that names only a place or a train: where on its parts, or of which side, it is said."""
    targets = found.targets
    place_only = [item.value for item in phrase.items if item.kind == "place"]
    if targets and phrase.preposition is None and any(t.place is not None for t in targets):
        return found
    side = next((item.value for item in phrase.items if item.kind == "train"), None)
    if (
        side is not None
        and found.has_subject
        and targets
        and phrase.preposition in ("on", "of", "for", "in")
        and all(t.component in places_of_parts.POWER and t.of != side for t in targets)
    ):
        return replace(found, targets=tuple(replace(t, of=side) for t in targets))
    base = targets or (in_focus(book) if may_carry(book, said.clause, said.state, said.from_word) else ())
    if place_only and base:
        book.focus.subjects = base
        return replace(
            found,
            targets=subjects.targets(phrase, book.focus) or base,
            rule=found.rule or "said of the part in focus, at a place",
        )
    if not place_only and base and not targets and phrase.preposition in ("on", "of", "in"):
        book.focus.subjects = base
        return replace(found, targets=subjects.targets(phrase, book.focus))
    return found
