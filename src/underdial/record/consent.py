"""Consent: what the owner agreed to, line by line, in their exact words, by which way it came, and within which
limits.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from underdial.errors import RuleBroken
from underdial.record.fields import require_moment, require_one_of, require_text, require_word
from underdial.record.money import Money

CHANNELS = ("in_person", "telephone", "letter", "email", "message", "form")
ANSWERS = ("yes", "no", "ask_again")


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsentLine:
    """The answer to one planned work, with the findings that gave rise to it."""

    line: str
    work: str
    component: str
    answer: str
    of: str | None = None
    findings: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        require_text("line", self.line)
        require_word("work", self.work)
        require_word("component", self.component)
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


def agreed_lines(consents: Iterable[Consent]) -> dict[tuple[str, str, str | None], ConsentLine]:
    """What may be done now: for each (work, component, of) the last word that was given, where it is yes."""
    return {key: line for key, line in last_words(consents).items() if line.answer == "yes"}


def last_words(consents: Iterable[Consent]) -> dict[tuple[str, str, str | None], ConsentLine]:
    """The last word on each (work, component, of), whatever it was.

    A consent that is withdrawn takes its lines back from that moment on; an older answer does not come to life again.
    """
    moments: list[tuple[datetime, int, Consent]] = []
    for consent in consents:
        moments.append((consent.given_at, 0, consent))
        if consent.withdrawn_at is not None:
            moments.append((consent.withdrawn_at, 1, consent))
    latest: dict[tuple[str, str, str | None], ConsentLine] = {}
    for _, withdrawn, consent in sorted(moments, key=lambda one: one[:2]):
        for line in consent.lines:
            key = (line.work, line.component, line.of)
            if withdrawn:
                latest.pop(key, None)
            else:
                latest[key] = line
    return latest


def ceiling(consents: Iterable[Consent]) -> Money | None:
    """The sum not to be passed: of the latest consent that stands and names one."""
    standing = [one for one in consents if one.withdrawn_at is None and one.ceiling is not None]
    # Sorted, not the largest: of two of one moment the one kept later is the last word, as with the lines.
    return sorted(standing, key=lambda one: one.given_at)[-1].ceiling if standing else None


def check_agreed(consents: Iterable[Consent], *, work: str, component: str, of: str | None) -> ConsentLine:
    """The line that allows this work; RuleBroken when the owner has not said yes to it."""
    line = agreed_lines(consents).get((work, component, of))
    if line is None:
        part = component.replace("_", " ") + (f" of {of.replace('_', ' ')}" if of else "")
        raise RuleBroken(
            "work",
            work,
            "a work the owner has said yes to",
            f"work: nobody has agreed to {work.replace('_', ' ')} on the {part}; ask the owner and record the answer "
            "first.",
        )
    return line
