"""What a choice is called: in the words of the trade at the bench, in everyday words to its owner, and never as
another.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.record.choice import Choice, PlannedWork
from underdial.trade.phrases import part_words
from underdial.trade.work_meanings import said_to_owner

_LEAVE = "Leave it as it is"
# A work whose words say "it" needs its part beside it, and longer words make no title.
_POINTS = re.compile(r"\b(?:it|them|they|one|ones)\b")
_SHORT_COUNT = 60
_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def title(works: Sequence[PlannedWork], *, most: int = 3) -> str:
    """What a choice comes to in a few words: the overhaul when there is one, then the parts put right."""
    if not works:
        return _LEAVE
    parts = _parts(works)
    named = ", ".join(parts[:most]) + (f" and {len(parts) - most} more" if len(parts) > most else "")
    if _overhaul(works):
        return f"Overhaul; put right: {named}" if named else "Overhaul"
    alone = "Set up again and bring to time" if _to_time(works) else "Set up again"
    return f"Put right: {named}" if named else alone


def title_to_owner(works: Sequence[PlannedWork]) -> str:
    """The same for its owner: `Clean it throughout and put four parts right`."""
    if not works:
        return _LEAVE
    said = _put_right(works)
    if _overhaul(works):
        return f"Clean it throughout and {said}" if said else "Clean it throughout"
    alone = "set it up again and bring it to time" if _to_time(works) else "set it up again"
    said = said or alone
    return f"{said[0].upper()}{said[1:]}"


def told_apart(choices: Sequence[Choice]) -> list[Choice]:
    """The same choices, none called as another: a title that comes twice names every part, and then what is done that
    the others leave out; so does one in everyday words.
    """
    out: list[Choice] = []
    for one in choices:
        name, plain = one.title, one.title_to_owner
        if sum(other.title == one.title for other in choices) > 1:
            name = title(one.works, most=len(one.works))
        more = _more(one, out)
        if any(name == other.title for other in out):
            own = [work.words or work.work.replace("_", " ") for work in more]
            name = f"{name}; also {', '.join(own)}" if own else f"{name}, with fewer works"
        if plain and any(plain == other.title_to_owner for other in out):
            own = [f"the {part}" for part in _parts(more)] or [said_to_owner(work.work, work.words) for work in more]
            plain = f"{plain}; also {_listed(own)}" if own else f"{plain}, with fewer works"
        out.append(replace(one, title=name, title_to_owner=plain))
    return out


def _more(choice: Choice, others: Sequence[Choice]) -> list[PlannedWork]:
    """The works of a choice that none of the others has."""
    known = {work.words for other in others for work in other.works}
    return [one for one in choice.works if one.words not in known]


def _put_right(works: Sequence[PlannedWork]) -> str:
    """What is done beside cleaning and setting up: the one work, the parts where they are few, else how many."""
    sure, parts = _sure(works), _parts(works)
    if not parts:
        return ""
    only = said_to_owner(sure[0].work, sure[0].words).replace("/", " or ")
    if len(sure) == 1 and len(only) <= _SHORT_COUNT and not _POINTS.search(only):
        return only
    named = f"put {_listed([f'the {part}' for part in parts])} right"
    if len(parts) <= 2 and len(named) <= _SHORT_COUNT:
        return named
    count = _COUNTS[len(parts)] if len(parts) < len(_COUNTS) else len(parts)
    return f"put {count} part{'s' if len(parts) > 1 else ''} right"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _sure(works: Sequence[PlannedWork]) -> list[PlannedWork]:
    """The works on parts that are done for sure: what is looked for first is not said to be put right."""
    return [one for one in works if one.component != "movement" and not (one.words or "").startswith("if ")]


def _parts(works: Sequence[PlannedWork]) -> list[str]:
    return list(dict.fromkeys(part_words(one.component, one.of) for one in _sure(works)))


def _overhaul(works: Sequence[PlannedWork]) -> bool:
    return any(one.work.startswith("overhaul") for one in works)


def _to_time(works: Sequence[PlannedWork]) -> bool:
    return any(one.work == "test_and_regulate" for one in works)
