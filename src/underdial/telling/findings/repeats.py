"""What is said by pointing back: "same on the other side", "likewise", "not much better", "apart from the third".

Also endshake that is judged by its amount ("none at all", "far too much").

Never here: plain statements.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.findings.statements import hedge_of
from underdial.telling.heard import PLAIN_CERTAINTY, Finding
from underdial.telling.names import places_of_parts
from underdial.telling.names.states import SOUND, is_noun, state_of
from underdial.telling.parts_meant import subjects
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook, emit_all, keep, stamped, words_of
from underdial.telling.sentences import noun_phrases
from underdial.telling.sentences.clauses import Clause
from underdial.telling.speech.words import listed as word_list
from underdial.telling.speech.words import text_of


def repeat_last(book: Notebook, clause: Clause, *, state: str | None = None) -> None:
    """ "Same on the other side", "exit pin, the same": what was said last, of the part named now."""
    source = [f for f in book.last if f.state != "not_examined"]
    if not source:
        return
    old = tuple(Target(f.component, f.of, f.place) for f in source)
    new = _meant_now(book, clause, old)
    fresh: list[Finding] = []
    for target in new:
        for finding in source:
            copied = _copied(finding, target, old, words_of(book, clause), clause, state or finding.state)
            if copied is not None and not any(
                (c.component, c.of, c.place, c.condition)
                == (copied.component, copied.of, copied.place, copied.condition)
                for c in fresh
            ):
                fresh.append(stamped(book, copied, clause))
    if fresh:
        book.focus.settle(tuple(new))
        keep(book, fresh)


def _meant_now(book: Notebook, clause: Clause, old: tuple[Target, ...]) -> tuple[Target, ...]:
    """The parts of which the same is said now; `old` are those of which it was said."""
    of_other = "other" in words_of(book, clause).split()
    if not clause.phrases:
        return subjects.other_one(old) if of_other else book.focus.subjects
    book.focus.subjects = old
    new = tuple(t for phrase in clause.phrases for t in subjects.targets(phrase, book.focus))
    if of_other and new == old and all(i.kind != "part" for p in clause.phrases for i in p.items):
        return subjects.other_one(old)
    return new


def _copied(
    finding: Finding, target: Target, old: Sequence[Target], text: str, clause: Clause, state: str
) -> Finding | None:
    """A finding said again of another part; None where that is the part it was said of, or another of those."""
    component, of, place = _same_kind_of_part(finding, target, text)
    if (component, of, place) == (finding.component, finding.of, finding.place) or (
        component != finding.component and target in old
    ):
        return None
    condition = finding.condition
    if (component == "pivot_hole" and condition in ("worn_thin", "tapered", "scored", "grooved")) or (
        condition == "oval" and is_comparison(text, clause)
    ):
        condition = "worn"
    return Finding(
        component,
        condition,
        state,
        of,
        place,
        finding.certainty_probability,
        who=finding.who,
        extent=finding.extent,
        rule=f"the same again; {finding.rule}",
    )


def _same_kind_of_part(finding: Finding, target: Target, text: str) -> tuple[str, str | None, str | None]:
    """ "Same on the third": the pivot of the third, where the pivot of another wheel was spoken of."""
    component, of, place = target.component, target.of, target.place
    if (
        component == "pivot_hole"
        and finding.component in places_of_parts.HOSTS
        and of is not None
        and finding.of == of
        and place is not None
        and "hole" not in text.split()
    ):
        component = finding.component
    if component in ("front_plate", "back_plate", "plates") and place in ("front", "back"):
        component, place = f"{place}_plate", None
    if component in places_of_parts.WHEELS and finding.component in places_of_parts.HOSTS:
        component, of, place = finding.component, places_of_parts.of_wheel(component, of), finding.place
    return component, of, place


_AS_WELL = re.compile(
    r"^(?:and |but |though |well )*(?:(?:as|so|nor|neither) (?:is|are|has|have|does|do|did|was|were)\b|(?:a (?:bit"
    r"|little|touch|trace|lot)|some|a bit less|less|more|slightly less|a bit more|only a little"
    r"|much less)(?: of it)? (?:in|on|at) (?:the|its|both|all))"
)
_IN_A_LIST = word_list("and the a an on in of its at both also plus round too that this old little big")
_AUXILIARY = ("is", "are", "has", "have", "does", "do", "did", "was", "were", "'s")


def echoed(book: Notebook, clause: Clause) -> str | None:
    """What "as is the third", "the exit hasn't", "but the lower pivot is" says of what was said last: present,
    absent, or None.
    """
    source = [f for f in book.last if f.state != "not_examined"]
    text = words_of(book, clause)
    if (
        not source
        or not clause.phrases
        or clause.states
        or book.index - source[0].sentence > 1
        or re.match(r"(?:and |but |just |that is )*(?:where|when|what|how|which|why|who|if|because)\b", text)
    ):
        return None
    if book.sentence[clause.end : clause.end + 1] and book.sentence[clause.end].text in (
        "so",
        "as",
        "too",
        "very",
        "that",
        "quite",
        "all",
        "only",
        "nearly",
    ):
        return None
    if _AS_WELL.match(text) and (
        source[0].condition not in SOUND
        or not re.match(r"(?:and |but |though |well )*(?:a |some|less|more|slightly|only|much)", text)
    ):
        return source[0].state
    if (
        source[0].state == "absent"
        and re.search(r"(?:^| )(?:some|a bit|a little|a touch|slight|a trace|plenty|yes|a lot|lots)$", text)
        and len(text.split()) <= 7
    ):
        return "present"
    tail = [item for item in clause.items if item.start >= clause.phrases[-1].end]
    words = " ".join(item.value for item in tail)
    words = re.sub(r"(?: ?(?:either|too|as well|though|at all|yet|quite))+$", "", words)
    if words == "not" or re.fullmatch(r"(?:is|are|has|have|does|do|did|was|were|'s) not", words):
        return "absent" if source[0].condition not in SOUND else None
    if re.fullmatch(r"(?:is|are|has|have|does|do|did|was|were)", words) and (
        source[0].state == "absent" or source[0].condition not in SOUND
    ):
        return "present"
    return None


def cleft(book: Notebook, clause: Clause) -> bool:
    """ "It isn't the staff that's bent, it's the cock": the second has what the first has not."""
    source = [f for f in book.last if f.state == "absent" and f.sentence == book.index]
    if (
        not source
        or not clause.phrases
        or clause.states
        or not re.match(r"^(?:it|that) is (?:the|its|his|her) ", words_of(book, clause))
        or not re.match(r"^(?:it|that) is not (?:the|its) ", text_of(book.sentence))
    ):
        return False
    targets = [t for phrase in clause.phrases[:1] for t in subjects.targets(phrase, book.focus)]
    emit_all(
        book, targets[:1], source[-1].condition, "present", clause, PLAIN_CERTAINTY, "this one, where the other is not"
    )
    return True


def listed(book: Notebook, clause: Clause, before: Clause) -> bool:
    """ "Scratches on the bezel and the dial", "Scratched: dial and bezel": the next part of a list under one
    condition.
    """
    source = [f for f in book.last if f.sentence == book.index]
    first = before.states[0] if before.states else None
    if first is None or (
        book.listing != book.index
        and (before.phrases and (before.phrases[0].start < first.start or not is_noun(first.value)))
    ):
        return False
    if clause.phrases[0].preposition not in (None, "on", "in", "at", "round", "of") or any(
        item.kind == "word" and item.value in _AUXILIARY for item in clause.items
    ):
        return False
    if (
        any(
            item.kind == "word" and item.value not in _IN_A_LIST and item.value not in noun_phrases.ADJECTIVES
            for item in clause.items
        )
        or book.summary
    ):
        return False
    targets = [t for phrase in clause.phrases for t in subjects.targets(phrase, book.focus)]
    if source:
        rule = "listed with the one before it"
        certainty = source[0].certainty_probability
        emit_all(book, targets, source[0].condition, source[0].state, clause, certainty, rule)
    else:
        _list_under(book, clause, first.value, targets)
    book.listing = book.index
    return True


def _list_under(book: Notebook, clause: Clause, phrase: str, targets: Sequence[Target]) -> None:
    """The state at the head of a list, of each part that can be in it."""
    for target, state in [(target, state_of(phrase, target.component)) for target in targets]:
        if state is not None:
            said = "present" if state.present else "absent"
            emit_all(book, [target], state.condition, said, clause, PLAIN_CERTAINTY, f"listed under '{phrase}'")


def exception(book: Notebook, clause: Clause) -> None:
    """ "... apart from the escape hole at the back": there, what was denied is present."""
    source = [f for f in book.last if f.state == "absent" and f.sentence == book.index]
    if not source:
        return
    targets = [t for phrase in clause.phrases for t in subjects.targets(phrase, book.focus)]
    emit_all(
        book,
        targets[:1],
        source[-1].condition,
        "present",
        clause,
        PLAIN_CERTAINTY,
        "the exception from what is absent elsewhere",
    )


def endshake(book: Notebook, clause: Clause, condition: str) -> None:
    """Endshake said by its amount, of the arbor named with it."""
    targets = [t for phrase in clause.phrases for t in subjects.targets(phrase, book.focus) if t.component == "arbor"]
    emit_all(
        book,
        targets[:1],
        condition,
        "present",
        clause,
        hedge_of(book, clause, [clause], 0) or PLAIN_CERTAINTY,
        "endshake judged by its amount",
    )
    book.focus.settle(targets[:1])


def is_repeat(text: str) -> bool:
    """Whether a clause says the same again."""
    return re.search(
        r"\b(?:likewise|ditto|same again|(?:the )?same(?: story)?(?= on| at| again|$| with| for| in| but| front| back"
        r"| story| the other| both)|is the same|are the same|similar|is to match|to match|same story"
        r"|(?:and )?so (?:is|are|has|does) (?:the|its|that|this|both))\b|^(?:and )?(?:the |its "
        r"|their )?\w+(?: \w+)? (?:too|as well)$",
        text,
    ) is not None and not re.search(
        r"\bsame (?:as|wheel|one|time|thickness|spot|thing|size|hole)\b|\b(?:never|not|back) (?:\w+ ){0,6}the same$"
        r"|all the same|just the same",
        text,
    )


def is_comparison(text: str, clause: Clause) -> bool:
    """ "The exit's about half that", "back hole's not much better": the same fault, more or less of it."""
    return (
        (bool(clause.phrases) or clause.joined == ",")
        and re.search(
            r"\b(?:not much better|not so bad|not as bad|hardly anything|about half that|half that|just as bad"
            r"|no better|as bad|even worse|much worse|is worse|'s worse|are worse|a lot worse|less so|but less"
            r"|nearly as bad)\b",
            text,
        )
        is not None
        and not any(
            item.kind == "part" for p in clause.phrases for item in p.items if item.value not in places_of_parts.HOSTS
        )
    )


def endshake_said(clause: Clause) -> str | None:
    """What an amount of endshake amounts to, or None when no amount is said."""
    text = " ".join(item.value for item in clause.items if item.kind in ("word", "not", "quant", "state"))
    if re.search(r"\bnext to none\b", text):
        return "no_endshake"
    if re.search(r"\b(?:too much|lots of|lot of|plenty of|bit much|excessive|miles of|a lot|far too much)\b", text):
        return "too_much_endshake"
    if re.search(
        r"\b(?:just what|what you want|what i want|about what|as it should|how i like|the way i like|how i want)\b",
        text,
    ):
        return "endshake_ok"
    if re.search(r"\b(?:no|none|not any|without)\b", text):
        return "no_endshake"
    if re.search(r"\bnot (?:much|enough|a lot)\b|\b(?:hardly|barely|little)\b", text):
        return "tight"
    return None
