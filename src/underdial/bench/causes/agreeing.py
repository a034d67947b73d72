"""Choices are laid before the owner; what they answer is kept line by line, in their words."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from underdial.bench.shop import Job, Shop, job
from underdial.errors import RuleBroken
from underdial.record.choice import Choice
from underdial.record.consent import Consent, ConsentLine, agreed_lines, key_of
from underdial.record.fields import require_text
from underdial.record.money import Money
from underdial.record.people import check_may


def offer_choices(
    shop: Shop, clock: str, choices: Iterable[Choice], *, by: str = "repairer", why: str | None = None
) -> tuple[Choice, ...]:
    """Keep the choices as they are laid before the owner; earlier ones that nobody answered are withdrawn."""
    with job(shop, clock, by=by, why=why) as at:
        answered = {one.choice_id for one in at.all("consent")}
        for old in at.all("choice"):
            if old.id not in answered and not old.withdrawn:
                at.change(replace(old, withdrawn=True), deed="withdrawn")
        kept = tuple(at.add(replace(one, visit_id=at.visit_id)) for one in choices)
        if kept and at.visit.stage in ("received", "as_found"):
            at.change(replace(at.visit, stage="waiting_for_owner"))
    return kept


def record_consent(shop: Shop, clock: str, consent: Consent, *, by: str = "repairer") -> Consent:
    """Keep an answer of somebody who may instruct, each line tied to a planned work of the choice and so to its
    findings. A yes to a choice ends what was agreed of another.

    RuleBroken when the person may not instruct, the choice was withdrawn, a line is not in it, or the ceiling has
    another currency.
    """
    with job(shop, clock, by=by, why=consent.words) as at:
        check_may(at.all("part"), person_id=consent.person_id, what="instruct")
        choice = at.read("choice", consent.choice_id)
        if choice.withdrawn:
            raise RuleBroken(
                "choice",
                consent.choice_id,
                "a choice that stands",
                "choice: this one was withdrawn; ask about one that stands.",
            )
        lines = _tied(choice, consent.lines)
        if (
            consent.ceiling is not None
            and choice.price is not None
            and consent.ceiling.currency != choice.price.currency
        ):
            raise RuleBroken("ceiling", consent.ceiling.currency, choice.price.currency)
        kept: Consent = at.add(replace(consent, lines=lines, noted_by=consent.noted_by or by, visit_id=at.visit_id))
        _stage_after(at)
    return kept


def answer_lines(choice: Choice, yes: Collection[str]) -> tuple[ConsentLine, ...]:
    """The answer to each line of a choice: yes to the lines named, no to the others.

    RuleBroken for a line it does not have.
    """
    known = [work.line for work in choice.works]
    for line in yes:
        if line not in known:
            raise RuleBroken(
                "line",
                line,
                ", ".join(known) or "no line: this choice has no works",
                f"line: {line} is not a work of {choice.title}.",
            )
    return tuple(
        ConsentLine(
            line=work.line,
            work=work.work,
            component=work.component,
            of=work.of,
            place=work.place,
            findings=work.findings,
            answer="yes" if work.line in yes else "no",
        )
        for work in choice.works
    )


def agree_to_all(choice: Choice) -> tuple[ConsentLine, ...]:
    """The lines of an answer that says yes to everything in a choice."""
    return answer_lines(choice, [work.line for work in choice.works])


def ceiling_of(choice: Choice) -> Money | None:
    """The sum that a choice is not to pass without asking; None where nothing is done or no price is known."""
    if choice.price is None or not choice.works:
        return None
    return Money(amount_minor=choice.price.ceiling_minor, currency=choice.price.currency)


def withdraw_consent(shop: Shop, clock: str, consent_id: str, *, words: str, by: str = "repairer") -> Consent:
    """The owner takes an answer back, in their words; nothing more may be done on its lines. RuleBroken when it was
    taken back before.

    A clock that waited for the bench waits for the owner again when nothing is left that they agreed to.
    """
    require_text("words", words)
    with job(shop, clock, by=by, why=words) as at:
        before: Consent = at.read("consent", consent_id)
        if before.withdrawn_at is not None:
            raise RuleBroken(
                "consent", consent_id, "an answer that stands", "consent: this answer was taken back already."
            )
        kept: Consent = at.change(replace(before, withdrawn_at=at.writer.at, withdrawn_words=words), deed="withdrawn")
        _stage_after(at)
    return kept


def _tied(choice: Choice, lines: Iterable[ConsentLine]) -> tuple[ConsentLine, ...]:
    planned = {work.line: work for work in choice.works}
    tied = []
    for line in lines:
        work = planned.get(line.line)
        if work is None or key_of(work) != key_of(line):
            raise RuleBroken(
                "line",
                line.line,
                ", ".join(planned) or "no line: this choice has no works",
                f"line: {line.line} is not a work of {choice.title}.",
            )
        tied.append(replace(line, findings=work.findings))
    return tuple(tied)


def _stage_after(at: Job) -> None:
    """A clock is agreed while something may be done on it; when nothing is left, it waits for the owner again."""
    visit, agreed = at.visit, agreed_lines(at.all("consent"))
    if agreed and visit.stage in ("received", "as_found", "waiting_for_owner"):
        at.change(replace(visit, stage="agreed"))
    elif not agreed and visit.stage == "agreed":
        at.change(replace(visit, stage="waiting_for_owner"))
