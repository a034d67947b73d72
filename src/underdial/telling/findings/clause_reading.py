"""One clause of a look-over: what it tells, and of which parts.

A clause that only names parts sets the focus; a clause that states something is said of the parts named in it,
else of those in focus; a turn of speech that weighs or decides is put on the findings it is said of.

Never here: what holds for a sentence as a whole (`reading`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.findings.afterthoughts import adds_to_last
from underdial.telling.findings.repeats import (
    cleft,
    echoed,
    endshake,
    endshake_said,
    exception,
    is_comparison,
    is_repeat,
    listed,
    repeat_last,
)
from underdial.telling.findings.statements import state_clause
from underdial.telling.findings.unseen import listed_unseen, not_seen
from underdial.telling.findings.weighing import weigh
from underdial.telling.heard import PLAIN_CERTAINTY
from underdial.telling.names import places_of_parts
from underdial.telling.parts_meant import subjects
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.headings import heading
from underdial.telling.parts_meant.notebook import Notebook, emit_all, in_focus, note, words_of
from underdial.telling.sentences.clauses import Clause
from underdial.telling.speech import turns, words

_IF = re.compile(rf"^(?:and |so |but )?{turns.IF_CLAUSE}")
_APART_FROM = re.compile(
    r"^(?:apart from|except(?: for)?|other than|bar|but for|save for|aside from|with the exception of)\b"
)
_POOR_SWING = re.compile(
    r"(?:and |but )?(?:that is |which is |it is )?(?:very |too |rather |pretty |really )?"
    r"(?:poor|low|weak|feeble|miserable|down)(?: for \w+(?: \w+)?| for an? \w+)?"
)
# Words that make a clause behind "I couldn't see" a statement of its own.
_TALKING = words.listed("is are 's was has have so because but it how see from i what with")


def read_clause(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> None:
    """Take in one clause of the sentence at hand."""
    text = words_of(book, clause)
    _note_named(book, clause)
    if _supposed(book, clause, text):
        return
    excepted = _is_exception(book, clause, text)
    if _of_the_swing(book, text):
        swinging = "balance" if "balance" in book.focus.traits and "torsion" not in book.focus.traits else "pendulum"
        note(book, swinging, "low_amplitude", book.sentence, book.index)
        return
    if clause.joined == "which":
        _turn_to_antecedent(book, clause, pieces, at)
    if (
        re.match(r"^(?:and |but |well )?(?:it|she|he) (?:runs|goes|strikes|ticks|chimes) ", text)
        and not clause.phrases
        and not book.findings
    ):
        return
    if _nothing_on_the_named(clause, text, pieces, at) and "references" in book.layers:
        emit_all(
            book,
            in_focus(book),
            "good",
            "present",
            clause,
            PLAIN_CERTAINTY,
            "nothing was found on the part named before it",
        )
        return
    if adds_to_last(book, clause, text, pieces, at) or _opens_list(clause, pieces, at):
        return
    _told(book, clause, text, pieces, at, excepted)
    if "weight" in book.layers:
        weigh(book, clause)
    if any(item.kind == "weight" for item in clause.items) and clause.phrases and not clause.states:
        meant = subjects.targets(clause.phrases[-1], book.focus)
        if meant:
            book.focus.settle(meant)


def _note_named(book: Notebook, clause: Clause) -> None:
    """Write down the parts a clause names; the focus stays as it was."""
    with book.focus.as_it_was():
        for phrase in clause.phrases:
            book.named += [(phrase.start, target) for target in subjects.targets(phrase, book.focus)[:1]]


def _supposed(book: Notebook, clause: Clause, text: str) -> bool:
    """ "If it's cracked", "or it will be worn": nothing that was found."""
    if _IF.match(text) and book.unseen_here[0] != book.index:
        return True
    return clause.joined in ("if", "or") and bool(clause.states) and not clause.phrases and "will" in text.split()


def _is_exception(book: Notebook, clause: Clause, text: str) -> bool:
    """ "Only the front one", "apart from the third": there, what was said before holds the other way."""
    return (
        (
            re.match(r"^(?:but |and )?(?:only (?=the |on |at |one )|just (?=the ))", text) is not None
            and clause.joined in (",", "but", "except", "only")
            and not clause.states
            and bool(book.last)
            and book.last[0].state == "absent"
        )
        or _APART_FROM.match(text) is not None
        or (clause.joined in ("except", "bar") and not clause.states)
    )


def _of_the_swing(book: Notebook, text: str) -> bool:
    """ "That's poor" behind an arc that was read is said of the swing."""
    return _POOR_SWING.fullmatch(text) is not None and book.index - book.arc_at <= 1


def _turn_to_antecedent(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> None:
    """ "The click, which is loose": the part that "which" stands for comes into focus."""
    if (
        not at
        or not pieces[at - 1].phrases
        or (clause.phrases and not (pieces[at - 1].joined == "except" and clause.states))
    ):
        return
    named = subjects.targets(pieces[at - 1].phrases[-1], book.focus)
    if pieces[at - 1].joined == "except" and book.last and book.last[0].sentence == book.index:
        held_by = book.last[0].component
        if held_by in places_of_parts.HOSTS and named and named[0].component in places_of_parts.WHEELS:
            named = tuple(Target(held_by, places_of_parts.of_wheel(t.component, t.of), t.place) for t in named)
    book.focus.settle(named or book.focus.subjects)


def _nothing_on_the_named(clause: Clause, text: str, pieces: Sequence[Clause], at: int) -> bool:
    """ "Bell, nothing": the part that was only named is sound."""
    return (
        re.fullmatch(r"(?:there is |and )?nothing(?: there| either| here| at all)?", text) is not None
        and clause.joined in (",", ":", "new")
        and at > 0
        and bool(pieces[at - 1].phrases)
        and not pieces[at - 1].states
    )


def _opens_list(clause: Clause, pieces: Sequence[Clause], at: int) -> bool:
    """ "Scratched: dial and bezel": the parts of the state follow behind a colon."""
    following = pieces[at + 1] if at + 1 < len(pieces) else None
    return (
        following is not None
        and following.joined == ":"
        and bool(following.phrases)
        and not following.states
        and bool(clause.states)
        and not clause.phrases
        and len(clause.items) <= 3
    )


def _told(book: Notebook, clause: Clause, text: str, pieces: Sequence[Clause], at: int, excepted: bool) -> None:
    """What a clause tells: what was not seen, a state, the same again, an exception, or only what comes next."""
    if "status" in book.layers and any(item.kind == "not_seen" for item in clause.items):
        not_seen(book, clause, pieces, at)
    elif clause.states:
        book.status = None
        book.colon = clause.joined == ":" or (book.colon and clause.joined in (",", "and"))
        state_clause(book, clause, text, pieces, at, excepted)
    elif ("references" in book.layers and _points_back(book, clause, text, pieces, at)) or _amount_of_endshake(
        book, clause
    ):
        pass
    elif excepted and clause.phrases and book.last:
        exception(book, clause)
    elif _nor(book, clause):
        repeat_last(book, clause)
    elif _unseen_too(book, clause):
        listed_unseen(book, clause)
    elif clause.phrases and not _is_turn(clause):
        heading(book, clause)
    elif (
        any(t.aspect == "endshake" for t in book.focus.subjects)
        and endshake_said(clause) is not None
        and not clause.phrases
    ):
        _judged(book, book.focus.subjects, clause)


def _points_back(book: Notebook, clause: Clause, text: str, pieces: Sequence[Clause], at: int) -> bool:
    """Say again of the parts named now what was said before; whether the clause points back at all."""
    state = echoed(book, clause)
    if state is not None:
        repeat_last(book, clause, state=state)
    elif cleft(book, clause) or _goes_on_listing(book, clause, pieces, at):
        pass
    elif (
        is_repeat(text)
        or is_comparison(text, clause)
        or (clause.joined == "so" and re.match(r"(?:is|are|has|does) (?:the|its|that|this|both)\b", text))
    ):
        repeat_last(book, clause)
    elif (
        re.match(r"^nothing (?:at|on|in) the \w+", text)
        and clause.phrases
        and book.last
        and book.last[0].sentence >= book.index - 1
    ):
        repeat_last(book, clause, state="absent")
    else:
        return False
    return True


def _goes_on_listing(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> bool:
    """Write the next part of a list under the condition at its head; False where there is no such list."""
    return (
        at > 0
        and bool(clause.phrases)
        and not _is_turn(clause)
        and _in_list(pieces, at)
        and listed(book, clause, _head_of_list(pieces, at))
    )


def _is_turn(clause: Clause) -> bool:
    """Whether a clause weighs or decides."""
    return any(item.kind in ("decision", "weight") for item in clause.items)


def _in_list(pieces: Sequence[Clause], at: int) -> bool:
    """Whether only parts follow from the head of a list on, the last joined by "and" or behind a colon."""
    head = _head_of_list(pieces, at)
    rest = pieces[list(pieces).index(head) + 1 :]
    plain = all(
        c.phrases and not c.states and not any(i.kind in ("decision", "weight", "not_seen") for i in c.items)
        for c in rest
    )
    return (
        bool(head.states)
        and plain
        and (rest[-1].joined in ("and", "plus") or rest[0].joined == ":" or "and" in {i.value for i in rest[-1].items})
    )


def _head_of_list(pieces: Sequence[Clause], at: int) -> Clause:
    """The clause whose condition a list of parts stands under."""
    head = at - 1
    while head > 0 and not pieces[head].states:
        head -= 1
    return pieces[head]


def _amount_of_endshake(book: Notebook, clause: Clause) -> bool:
    """Write the endshake of an arbor that a clause names, judged by its amount; whether it does."""
    if not clause.phrases or endshake_said(clause) is None:
        return False
    if any(i.kind == "aspect" and i.value == "endshake" for i in clause.items):
        endshake(book, clause, endshake_said(clause) or "")
        return True
    if not any(f.condition == "endshake_ok" and f.sentence == book.index for f in book.findings[-3:]) or not any(
        i.kind == "wheel" for p in clause.phrases for i in p.items
    ):
        return False
    found = [
        Target("arbor", places_of_parts.of_wheel(t.component, t.of))
        for p in clause.phrases
        for t in subjects.targets(p, book.focus)
        if t.component in places_of_parts.WHEELS
    ]
    _judged(book, found[:1], clause)
    return True


def _judged(book: Notebook, arbors: Sequence[Target], clause: Clause) -> None:
    """Write the endshake of arbors as its amount was said."""
    emit_all(
        book, arbors, endshake_said(clause) or "", "present", clause, PLAIN_CERTAINTY, "endshake judged by its amount"
    )


def _nor(book: Notebook, clause: Clause) -> bool:
    """ "No rust on the pins or the posts": the part behind "or" is as sound as the one before it."""
    return (
        (clause.joined in ("or", "nor") or clause.items[0].value in ("or", "nor"))
        and bool(clause.phrases)
        and bool(book.last)
        and book.last[0].sentence == book.index
        and all(f.condition == "good" or f.state == "absent" for f in book.last)
    )


def _unseen_too(book: Notebook, clause: Clause) -> bool:
    """ "I couldn't see the barrel, the fusee or the click": the next part of what was not seen."""
    return (
        bool(clause.phrases)
        and book.unseen_here[0] == book.index
        and clause.joined in (",", "and", "or", "nor")
        and clause.phrases[0].preposition in (None, "nor", "in", "at", "under", "behind")
        and not any(i.kind == "word" and i.value in _TALKING for i in clause.items)
    ) or (bool(clause.phrases) and book.status is not None and clause.phrases[0].preposition in (None, "nor", "in"))
