"""A clause that states something: which parts its states are said of, in which sense, how surely.

Never here: clauses that repeat, weigh or say what was not seen.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.findings import polarity
from underdial.telling.findings.possibilities import only_possible
from underdial.telling.findings.stating import Statement, state_of_parts
from underdial.telling.names import states
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.headings import heading
from underdial.telling.parts_meant.notebook import Notebook, words_of
from underdial.telling.parts_meant.whose_state import subjects_of
from underdial.telling.sentences.clauses import Clause
from underdial.telling.sentences.items import Item
from underdial.telling.speech import turns

_ONLY_THOUGHT = re.compile(
    r"\b(?:i thought|i had (?:it|them|that) down|i would have sworn|you would think|i was going to say"
    r"|(?<=no )not a (?:repair|crack|break|chip))\b"
)
_AS_IT_SHOULD = re.compile(
    "|".join(
        (
            r"should be (?:fine|okay|good|all right)|(?:like|as) (?:it|they) should",
            r"(?:how|where) (?:it|they) should be|that is as it|the way (?:it|they|that)",
            r"just (?:as|how|like)|where (?:it|they)",
        )
    )
)


def state_clause(book: Notebook, clause: Clause, text: str, pieces: Sequence[Clause], at: int, excepted: bool) -> None:
    """Every state of a clause, of its parts, in its sense."""
    if _states_nothing(book, text, pieces, at):
        if clause.phrases:
            heading(book, clause)
        return
    previous_end = clause.start
    was_denied = False
    carried: tuple[Target, ...] | None = None
    hedge = hedge_of(book, clause, pieces, at)
    for nth, state in enumerate(clause.states):
        following = clause.states[nth + 1].start if nth + 1 < len(clause.states) else clause.end
        found = subjects_of(book, clause, state, previous_end, following, carried, text)
        denied = "negation" in book.layers and polarity.denied(
            clause.items,
            state,
            previous_end,
            before_denied=was_denied,
            says_sound=_says_sound(state, found[0] if found else ()),
        )
        if denied and not was_denied and _only_contrasted(clause, nth, previous_end):
            previous_end = state.end
            continue
        if found is not None and not only_possible(book, clause, state):
            targets, rule, against = found
            state_of_parts(book, targets, Statement(state, clause, denied, hedge, rule, against, excepted))
            carried = (Target("movement"),) if _put_on_the_whole(book, targets) else targets
            book.focus.settle(carried, stated=True)
        previous_end, was_denied = state.end, denied


def hedge_of(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> float | None:
    """The lowest hedge of the clause, or of a neighbour that is nothing but a hedge."""
    if "hedges" not in book.layers:
        return None
    found = [float(item.value.rstrip("n")) for item in clause.items if item.kind == "hedge"]
    for near in (at - 1, at + 1):
        if (
            0 <= near < len(pieces)
            and not pieces[near].states
            and not pieces[near].phrases
            and not any(i.kind == "weight" for i in pieces[near].items)
        ):
            found += [float(item.value.rstrip("n")) for item in pieces[near].items if item.kind == "hedge"]
    if re.search(r"\b(?:can|could) not (?:really )?(?:see|find|feel)\b", words_of(book, clause)):
        found.append(0.75)
    if re.search(r"\b(?:should|ought to) be (?:fine|okay|good|all right)", words_of(book, clause)):
        found.append(0.7)
    return min(found) if found else None


def _states_nothing(book: Notebook, text: str, pieces: Sequence[Clause], at: int) -> bool:
    """A question, an aim, or what was only thought until then."""
    return (
        book.question
        or _is_target(text)
        or _ONLY_THOUGHT.search(text) is not None
        or (at > 0 and re.match(r"not an? \w+$", text) is not None and pieces[at - 1].items[-1].value == "no")
    )


def _is_target(text: str) -> bool:
    return (turns.says("target", text) and not _AS_IT_SHOULD.search(text)) or turns.says("general", text)


def _says_sound(state: Item, targets: Sequence[Target]) -> bool:
    """Whether the words tell of these parts that a fault is not there: "round", "central"."""
    readings = [states.state_of(state.value, target.component) for target in targets]
    return bool(readings) and all(one is not None and not one.present for one in readings)


def _only_contrasted(clause: Clause, nth: int, previous_end: int) -> bool:
    """ "Chipped, not cracked": a bare "not" behind another fault only tells the two apart."""
    between = [item for item in clause.items if previous_end <= item.start and item.end <= clause.states[nth].start]
    if not nth or len(between) != 1 or between[0].value != "not":
        return False
    return getattr(states.state_of(clause.states[nth - 1].value, "movement"), "condition", "") != "good"


def _put_on_the_whole(book: Notebook, targets: Sequence[Target]) -> bool:
    """Whether what was just said of a part was written of the movement."""
    return (
        targets[0].component != "movement"
        and bool(book.last)
        and (book.last[-1].sentence, book.last[-1].component, book.last[-1].clause)
        == (book.index, "movement", book.clause_count)
    )
