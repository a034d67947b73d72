"""Consent: what the owner agreed to, line by line, in their exact words, by which way it came, and within which
limits.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_one_of, require_text, require_word
from underdial.record.money import Money

CHANNELS = ("in_person", "telephone", "letter", "email", "message", "form")
ANSWERS = ("yes", "no", "ask_again")
LineKey = tuple[str, str, str | None, str | None]


class _Line(Protocol):
    """A planned work, a line of an answer to it, or the work that was done."""

    @property
    def work(self) -> str: ...
    @property
    def component(self) -> str: ...
    @property
    def of(self) -> str | None: ...
    @property
    def place(self) -> str | None: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsentLine:
    """The answer to one planned work, with the findings that gave rise to it; with no place it is for every place."""

    line: str
    work: str
    component: str
    answer: str
    of: str | None = None
    place: str | None = None
    findings: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        require_text("line", self.line)
        require_word("work", self.work)
        require_word("component", self.component)
        require_word("place", self.place)
        require_one_of("answer", self.answer, ANSWERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Consent:
    """One answer of one person to one choice. A later change is a later consent, kept beside this one.

    `limits` are what was forbidden outright ("do not polish"); `ceiling` the sum not to be passed without asking.
    """

    choice_id: str
    person_id: str
    channel: str
    words: str
    given_at: datetime
    lines: tuple[ConsentLine, ...]
    ceiling: Money | None = None
    limits: tuple[str, ...] = ()
    noted_by: str | None = None
    withdrawn_at: datetime | None = None
    withdrawn_words: str | None = None
    id: str = ""
    visit_id: str = ""

    def __post_init__(self) -> None:
        require_one_of("channel", self.channel, CHANNELS)
        require_text("words", self.words)
        require_moment("given_at", self.given_at)
        require_moment("withdrawn_at", self.withdrawn_at)


def key_of(line: _Line) -> LineKey:
    """What tells a line or a work from another: the work, the part, what that belongs to, and the place on it."""
    return line.work, line.component, line.of, line.place


def agreed_lines(consents: Iterable[Consent]) -> dict[LineKey, ConsentLine]:
    """What may be done now, by `key_of`: the lines whose last word is yes, all of the choice last agreed to."""
    return {key: line for key, line in last_words(consents).items() if line.answer == "yes"}


def last_words(consents: Iterable[Consent]) -> dict[LineKey, ConsentLine]:
    """The last word on each line of the choice last agreed to, whatever it was.

    A yes to a choice ends every line of the one before: the choices are laid side by side, and one of them is taken. A
    no to a choice that was not taken says nothing of the one that was. An answer taken back takes its lines with it
    from that moment on; an older answer does not come to life again. A line without a place speaks of every place.
    """
    return {key: line for key, (_, line) in _standing(consents)[1].items()}


def agreed_choice_id(consents: Iterable[Consent]) -> str | None:
    """The id of the choice whose lines may be worked on; None while nothing is agreed."""
    chosen, standing = _standing(consents)
    return chosen if any(line.answer == "yes" for _, line in standing.values()) else None


def was_ended(consent: Consent, consents: Iterable[Consent]) -> bool:
    """Whether a yes that was not taken back ended because another choice was taken later."""
    agreed = agreed_choice_id(consents)
    stands = consent.withdrawn_at is None and any(line.answer == "yes" for line in consent.lines)
    return stands and agreed is not None and agreed != consent.choice_id


def ceiling(consents: Iterable[Consent]) -> Money | None:
    """The sum not to be passed: the one named last.

    An answer that is taken back never raises it: the lower of what it named and what stands without it stays, for
    taking back a yes is no leave to spend more.
    """
    top: Money | None = None
    standing: list[tuple[int, Money]] = []
    for place, consent, withdrawn in _in_order(consents):
        if consent.ceiling is None:
            continue
        if not withdrawn:
            standing.append((place, consent.ceiling))
            top = consent.ceiling
            continue
        standing = [one for one in standing if one[0] != place]
        rest = standing[-1][1] if standing else top
        comparable = top is not None and rest is not None and rest.currency == top.currency
        top = (
            rest if not comparable or rest is None or top is None else min(rest, top, key=lambda one: one.amount_minor)
        )
    return top


def check_agreed(
    consents: Iterable[Consent], *, work: str, component: str, of: str | None, place: str | None = None
) -> ConsentLine:
    """The line that allows this work; RuleBroken when the owner has not said yes to it.

    A work whose place is not told stands on the one line that was agreed for it, and is refused when there are more.
    """
    words = last_words(consents)
    line = words.get((work, component, of, place)) or words.get((work, component, of, None))
    if line is None and place is None:
        lines = [one for one in words.values() if key_of(one)[:3] == (work, component, of) and one.answer == "yes"]
        if len(lines) > 1:
            places = ", ".join(str(one.place).replace("_", " ") for one in lines)
            raise RuleBroken(
                "place", "nothing", places, f"place: this work was agreed to for {places}; say at which it was done."
            )
        line = lines[0] if lines else None
    if line is None or line.answer != "yes":
        where = f" ({place.replace('_', ' ')})" if place else ""
        part = component.replace("_", " ") + (f" of {of.replace('_', ' ')}" if of else "") + where
        raise RuleBroken(
            "work",
            work,
            "a work the owner has said yes to",
            f"work: nobody has agreed to {work.replace('_', ' ')} on the {part}; ask the owner and record the answer "
            "first.",
        )
    return line


def _in_order(consents: Iterable[Consent]) -> list[tuple[int, Consent, bool]]:
    """Each answer as it was given and as it was taken back, in the order of time, with its number."""
    moments = []
    for place, consent in enumerate(consents):
        moments.append((consent.given_at, False, place, consent))
        if consent.withdrawn_at is not None:
            moments.append((consent.withdrawn_at, True, place, consent))
    return [(place, consent, withdrawn) for _, withdrawn, place, consent in sorted(moments, key=lambda one: one[:3])]


def _standing(consents: Iterable[Consent]) -> tuple[str | None, dict[LineKey, tuple[int, ConsentLine]]]:
    """The choice last agreed to, and the last word on each of its lines with the number of the answer it is from."""
    chosen: str | None = None
    latest: dict[LineKey, tuple[int, ConsentLine]] = {}
    for number, consent, withdrawn in _in_order(consents):
        if withdrawn:
            latest = {key: one for key, one in latest.items() if one[0] != number}
            continue
        if consent.choice_id != chosen:
            # An answer without lines is one to the choice to leave the clock as it is.
            if consent.lines and not any(line.answer == "yes" for line in consent.lines):
                continue
            chosen, latest = consent.choice_id, {}
        for line in consent.lines:
            if line.place is None:
                latest = {key: one for key, one in latest.items() if key[:3] != key_of(line)[:3]}
            latest[key_of(line)] = (number, line)
    return chosen, latest
