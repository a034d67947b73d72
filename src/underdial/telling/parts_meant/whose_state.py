"""Of which parts a state is said, and what it touches.

In order: parts named before the state; a part it is on; the part of the state before it; a part named behind it;
else what is in focus - unless the clause has a subject that is no part of a clock.

Never here: the sense of a state, or how surely it is said.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.telling.names import places_of_parts, state_words, states
from underdial.telling.parts_meant import said_places, subjects
from underdial.telling.parts_meant.behind_state import Found, Predicate, touches, with_after
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook, in_focus, words_of
from underdial.telling.parts_meant.own_subject import may_carry, new_subject
from underdial.telling.sentences.clauses import Clause
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.noun_phrases import Phrase
from underdial.telling.sentences.tags import tag
from underdial.telling.speech.words import text_of

_ALL_OR_BOTH = re.compile(
    r"\b(both|either|each|all|every one)(?: one)? of (?:them|those|these|the)\b"
    r"|^(?:they are |are |and )?(both|all)\b(?! right)|(?<!at )\b(both|all)$"
)
_OTHER_ONE = re.compile(r"^(?:and |but |while |whereas )*the other (?:one|end|side|is|'s|has|does|looks)\b")
_TOUCHES_IT = re.compile(
    r"\b(?:catches|hits|rubs|touches|clips|fouls|rubbing|touching|catching) (?:it|on it|against it)\b"
)
_IN_THE = re.compile(r"\b(?:runs|sits|pivots|turns|works|stands) (?:in|on) the ((?:\w+ ?){1,2}?) ?(?:and )?$")
_OF_A_CLOCK = (
    "dirty",
    "dust",
    "old_oil",
    "dry",
    "over_oiled",
    "wrong_lubricant",
    "out_of_beat",
    "insect_debris",
    "trips",
)


def subjects_of(
    book: Notebook,
    clause: Clause,
    state: Item,
    from_word: int,
    to_word: int,
    carried: tuple[Target, ...] | None,
    text: str,
) -> tuple[tuple[Target, ...], str, str | None] | None:
    """The parts a state is said of, the rule that found them, and what it touches."""
    phrases = [p for p in clause.phrases if p.preposition not in ("than", "like")]
    before = [p for p in phrases if from_word <= p.start and p.end <= state.start]
    after = [p for p in phrases if state.end <= p.start < to_word]
    if (
        carried is not None
        and states.is_noun(state.value)
        and any(item.kind == "word" and item.value == "with" and item.end == state.start for item in clause.items)
    ):
        return carried, "second state of the same part", None
    named = [p for p in before if p.preposition is None]
    if _come_off_part_behind(state, before, after):
        named = before = []
    if named and before[-1] is not named[-1] and before[-1].start - named[-1].end > 5:
        named = [before[-1]]
    if named:
        targets, rule = _named_before(book, named, clause), "said of the part named before it"
    elif before:
        targets, rule = subjects.targets(before[-1], book.focus), "said of the part it is on"
        if before[-1].items[0].kind == "place" and len(before[-1].items) == 1 and not targets:
            targets = in_focus(book)
    elif carried is not None and new_subject(clause, state, from_word):
        return None
    elif carried is not None:
        targets, rule = carried, "second state of the same part"
    else:
        targets, rule = (), ""
    said = Predicate(clause, state, from_word, touches(state), bool(targets))
    return _or_carried(book, said, with_after(book, said, Found(targets, rule, None, bool(targets)), after), text)


def _come_off_part_behind(state: Item, before: Sequence[Phrase], after: Sequence[Phrase]) -> bool:
    """ "On the front the gilding is gone from the bezel": only the part behind names what it is said of."""
    return (
        bool(before)
        and bool(after)
        and all(item.kind in ("place", "word") for p in before for item in p.items)
        and any(item.kind == "part" for item in after[0].items)
        and after[0].preposition in ("from", "off", "on", "of")
        and state.value.split()[0] in state_words.SURFACES
    )


def _named_before(book: Notebook, named: Sequence[Phrase], clause: Clause) -> tuple[Target, ...]:
    """Parts named before a state: all of a list, else the last with the others as its hosts."""
    words = [word.text for word in book.sentence]
    chosen: list[Target] = []
    relative = next(
        (
            nth
            for nth in range(1, len(named))
            if {"that", "which", "where"} & set(words[named[nth - 1].end : named[nth].start])
        ),
        None,
    )
    for nth, phrase in enumerate(named[:relative]):
        joined = nth and any(
            w in ("and", "or", "nor", "plus", "with") for w in words[named[nth - 1].end : phrase.start]
        )
        found = subjects.targets(phrase, book.focus, all_of=_floating(clause, phrase))
        if not joined:
            if chosen and not (found and found[0].component in places_of_parts.HOSTS):
                book.focus.settle(chosen)
                found = subjects.targets(phrase, book.focus, all_of=_floating(clause, phrase)) or tuple(chosen)
            elif chosen:
                book.focus.settle(chosen)
                found = subjects.targets(phrase, book.focus, all_of=_floating(clause, phrase))
            chosen = list(found)
        else:
            chosen += [t for t in found if t not in chosen]
    listed = (len(named) > 1 and len(chosen) > 1) or (
        re.search(r"\b(?:all|both)\b", words_of(book, clause)) is not None and len(book.pending) > 1
    )
    if (
        listed
        and book.pending
        and clause.joined in (",", "and")
        and not any(t.component in places_of_parts.HOSTS for t in chosen)
    ):
        chosen = [*[t for t in book.pending if t not in chosen], *chosen]
    return tuple(chosen)


def _floating(clause: Clause, phrase: Phrase) -> str | None:
    """ "Pivots both scored", "teeth all good": the word stands behind the noun."""
    following = [item for item in clause.items if item.start >= phrase.end][:2]
    for item in following:
        if (
            item.kind == "quant"
            and (phrase.plural or item.value == "both")
            and not any(i.kind == "word" and i.value in ("and", "or") for i in clause.items if i.start < phrase.end)
        ):
            return item.value
        if not (item.kind == "word" and item.value in ("are", "is", "'s", "were")):
            break
    return None


def _or_carried(
    book: Notebook, said: Predicate, found: Found, text: str
) -> tuple[tuple[Target, ...], str, str | None] | None:
    """What was found, or what is in focus when the clause names no part."""
    targets, rule, against = found.targets, found.rule, found.against
    if not targets and may_carry(book, said.clause, said.state, said.from_word):
        what_it_is_in = _runs_in(book, text)
        targets = (what_it_is_in,) if what_it_is_in else _counted(in_focus(book), text)
        rule = "said of the part in focus"
    if rule == "said of the part in focus" and _OTHER_ONE.match(text) and targets:
        targets = subjects.other_one(targets)
    if said.touching and said.named_before and targets and _TOUCHES_IT.search(text) and book.focus.subjects:
        targets, against = book.focus.subjects[:1], targets[0].component
    if not targets and not book.focus.subjects and _of_the_whole(said.state):
        return (Target("movement"),), "said of the whole, nothing having been named", None
    return (targets, rule, against) if targets else None


def _runs_in(book: Notebook, text: str) -> Target | None:
    """ "It runs in the back cock, and that's loose": the part named last in the sentence, behind "in"."""
    if not text.startswith(("that is ", "and that is ")):
        return None
    before = text_of(book.sentence).split(text, 1)[0]
    inside = _IN_THE.search(before)
    items = tag(inside[1].split()) if inside is not None else []
    return Target(items[0].value) if len(items) == 1 and items[0].kind == "part" else None


def _counted(targets: tuple[Target, ...], text: str) -> tuple[Target, ...]:
    """ "Both of them are worn": the one part in focus stands for all of its kind."""
    every = _ALL_OR_BOTH.search(text)
    if not every or len(targets) != 1:
        return targets
    word = next(w for w in every.groups() if w)
    return tuple(
        replace(t, place=said_places.counted(t.component, "all" if word in ("all", "every one") else "both"))
        for t in targets
    )


def _of_the_whole(state: Item) -> bool:
    """What may be said of a clock before any part of it is named: dirt, oil, rust, the beat."""
    return any(s.condition in _OF_A_CLOCK for s in states.state_phrases().get(state.value, ()))
