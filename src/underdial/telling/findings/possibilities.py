"""What a clause names and yet does not say to be so: what may come, what is asked for or forbidden, what was mended.

"It could slip", "will be loose", "don't let it rub", "a dab of glue", "had been broken and soldered".

Never here: what is denied (`polarity`), or how surely a thing is said.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.names import states
from underdial.telling.parts_meant.notebook import Notebook
from underdial.telling.sentences.clauses import Clause
from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import listed, text_of

_FUTURE = listed("would will could can might may should to going gonna must shall cannot")
_VERBAL = listed(
    "match shine slip slips rub rubs touch touches catch catches stick sticks hit hits jam jams clip hang wobble flop "
    "rattle bend split crack tear break lean hold bind scrape drop foul stop squeak lift come leak"
)
_BREAKS = ("broken", "snapped", "cracked", "split", "torn", "snapped off", "broke")
_MENDED = re.compile(
    r"\b(?:and|then|but) (?:\w+ ){0,2}"
    r"(?:soldered|repaired|mended|glued|brazed|riveted|silver|welded|pinned|stuck|spliced|joined|filled)"
)
_ROUGH_WORK = ("scraping", "scrubbing", "buffing", "hammering", "filing")
_JOINING_STUFF = ("glue", "hide glue", "solder", "soft solder", "epoxy", "superglue", "super glue")
_WANTING = listed("will would get need needs use want wants put dab drop some")
_BEING_THERE = listed("has have is 's there been somebody someone they he")
_DONE_AT_THE_BENCH = ("replaced", "bushed", "repaired", "polished", "glued", "soldered", "filed")
_OPENING = ("and", "but", "please", "so", "just", "you", "now", "even")
_FORBIDDING = (
    ("do", "not"),
    ("never",),
    ("not",),
    ("nobody",),
    ("nobody", "else"),
    ("do", "not", "anybody"),
    ("do", "not", "anyone"),
    ("no", "one"),
)
_PERHAPS = (("might", "be"), ("may", "be"), ("could", "be"))
_TO_BE = (
    ("would", "be"),
    ("will", "be"),
    ("could", "be"),
    ("to", "be"),
    ("must", "be"),
    ("should", "be"),
    ("can", "be"),
    ("gets", "to"),
)


def only_possible(book: Notebook, clause: Clause, state: Item) -> bool:
    """ "It could slip", "will be loose": nothing is said to be so."""
    before = [item for item in clause.items if item.end <= state.start]
    words = [item.value for item in before if item.kind == "word"]
    if (
        _mended_since(book, state, before)
        or _rough_work_refused(clause, state, before)
        or _stuff_asked_for(state, words)
        or _work_to_come(state, words)
        or _done_by_the_speaker(state, words)
        or _forbidden(state, before)
        or _on_condition(words)
        or _might(state, words)
    ):
        return True
    if _may_be_sound(state, [word.text for word in book.sentence[clause.start : state.start]]):
        return True
    if _will(state, words):
        return not (len(words) >= 2 and words[-1] == "can" and "see" in words)
    return _would_be(state, words)


def _mended_since(book: Notebook, state: Item, before: Sequence[Item]) -> bool:
    """ "It's been broken and soldered": the break is no longer there."""
    return (
        state.value in _BREAKS
        and bool(before)
        and before[-1].value == "been"
        and _MENDED.search(text_of(book.sentence)) is not None
    )


def _rough_work_refused(clause: Clause, state: Item, before: Sequence[Item]) -> bool:
    """ "No filing": how the work is to be done, not what was found."""
    return (
        _first_word(state) in _ROUGH_WORK
        and bool(before)
        and before[-1].value == "no"
        and not clause.phrases
        and len(before) <= 2
    )


def _stuff_asked_for(state: Item, words: Sequence[str]) -> bool:
    """ "A dab of glue", "needs some solder": wanted for the work, not found on the clock."""
    return (
        state.value in _JOINING_STUFF
        and (bool(set(words) & _WANTING) or list(words[-2:]) == ["bit", "of"])
        and not set(words) & _BEING_THERE
    )


def _work_to_come(state: Item, words: Sequence[str]) -> bool:
    """ "Gets replaced": what will be done."""
    return bool(words[-1:]) and words[-1] in ("gets", "get", "getting") and state.value in _DONE_AT_THE_BENCH


def _done_by_the_speaker(state: Item, words: Sequence[str]) -> bool:
    """ "When I rub it", "you do stick": what a hand does to the part."""
    return (
        _is_verb(state)
        and bool(words[-1:])
        and (
            words[-1] in ("i", "we", "you")
            or (words[-1] == "do" and bool(words[-2:-1]) and words[-2] in ("i", "we", "you"))
        )
    )


def _is_verb(state: Item) -> bool:
    """Whether a state is said as something that happens."""
    return _first_word(state) in _VERBAL and not states.is_noun(state.value)


def _forbidden(state: Item, before: Sequence[Item]) -> bool:
    """ "Don't bend it", "nobody touch that"."""
    lead = tuple(item.value for item in before if item.value not in _OPENING)
    return (
        _first_word(state) in _VERBAL
        and lead in _FORBIDDING
        and not states.is_noun(state.value)
        and (lead[0] in ("do", "never") or lead[0] in ("nobody", "no"))
    )


def _on_condition(words: Sequence[str]) -> bool:
    """ "Until it slips", "if it rubs", "let it drop"."""
    return (
        bool({"until", "till", "unless", "if", "once", "before"} & set(words[-6:]))
        or list(words[-2:-1]) == ["let"]
        or list(words[-1:]) == ["let"]
    )


def _might(state: Item, words: Sequence[str]) -> bool:
    """ "It could well slip", "might just catch"."""
    return (
        _first_word(state) in _VERBAL
        and bool({"could", "would", "might", "will", "let", "lets", "may"} & set(words[-6:]))
        and not {"is", "are", "has"} & set(words[-3:])
    )


def _may_be_sound(state: Item, words: Sequence[str]) -> bool:
    """ "Might be all right": nobody has said that it is."""
    good = states.state_of(state.value, "movement")
    return tuple(words[-2:]) in _PERHAPS and good is not None and good.condition == "good"


def _will(state: Item, words: Sequence[str]) -> bool:
    """ "It's going to slip", "should not rub"."""
    return _first_word(state) in _VERBAL and (
        (bool(words) and words[-1] in _FUTURE)
        or (len(words) >= 2 and words[-2] in _FUTURE and words[-1] in ("not", "just", "let", "all", "still"))
    )


def _would_be(state: Item, words: Sequence[str]) -> bool:
    """ "Will be loose", unless it is a good thing that is trusted to be there: "should be fine"."""
    if tuple(words[-2:]) not in _TO_BE:
        return False
    good = states.state_of(state.value, "movement")
    return not (good is not None and good.condition == "good" and words[-2] in ("should", "will", "must"))


def _first_word(state: Item) -> str:
    """The first word of a state phrase."""
    return state.value.split()[0]
