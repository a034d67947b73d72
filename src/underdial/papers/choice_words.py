"""Words about choices, one wording for every paper and page: the work, when it is ready, and what its rate does."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from underdial.papers.dossier import Dossier
from underdial.record.choice import Choice
from underdial.record.consent import Consent, agreed_choice_id
from underdial.trade.work_meanings import said_to_owner

PRICES_SENTENCE = "Prices are for hours of work, without parts: what parts cost is added."
# How far a rate may be said to change: the sums of two choices differ by less than these steps without meaning it.
_STEPS = (
    (5.0, "5 seconds"),
    (10.0, "10 seconds"),
    (20.0, "20 seconds"),
    (30.0, "half a minute"),
    (60.0, "a minute"),
    (120.0, "2 minutes"),
)
_BETWEEN = 2**0.5
_LIKELIER_THAN_NOT = 0.5


def work_words(dossier: Dossier, work: str) -> str:
    """A work in the words of the choice that offered it; its own word where none did."""
    said = (one.words for choice in dossier.choices for one in choice.works if one.work == work and one.words)
    return next(said, work.replace("_", " ")).replace("/", " or ")


def owner_work_words(dossier: Dossier, work: str) -> str:
    """A work in everyday words, on every paper that an owner reads or signs."""
    said = (one.words for choice in dossier.choices for one in choice.works if one.work == work and one.words)
    return said_to_owner(work, next(said, None)).replace("/", " or ")


def owner_title(choice: Choice) -> str:
    """What a choice is called on every paper that an owner reads or signs."""
    return choice.title_to_owner or choice.title


def agreed_choice(dossier: Dossier) -> Choice | None:
    """The choice whose lines may be worked on; None when nothing is agreed."""
    agreed = agreed_choice_id(dossier.consents)
    return next((one for one in dossier.choices if agreed is not None and one.id == agreed), None)


def rate_over_wind_words(choice: Choice) -> str | None:
    """What the rate does over one winding, as a clause; None when it was not reckoned, or the choice is not likelier
    than not to do what is wanted: of such a clock nothing is promised.
    """
    size = _change_words(choice)
    wanted = (choice.runs_full_probability, choice.complaint_gone_probability)
    if size is None or any(chance is not None and chance < _LIKELIER_THAN_NOT for chance in wanted):
        return None
    return (
        f"what it gains or loses in a day should change by no more than about {size} from freshly wound to nearly run "
        "down"
    )


def as_answered(choice: Choice, on: date) -> Choice:
    """A choice with its days for an answer on a day: they move on with each day that passed since it was laid out."""
    if choice.computed_at is None or choice.earliest is None:
        return choice
    waited = on - choice.computed_at.astimezone(ZoneInfo(choice.earliest.zone)).date()
    if waited <= timedelta(0):
        return choice
    latest = choice.latest
    return replace(
        choice,
        earliest=replace(choice.earliest, on=choice.earliest.on + waited),
        latest=None if latest is None else replace(latest, on=latest.on + waited),
    )


def answered_on(consents: Iterable[Consent], today: date, zone: str) -> date:
    """The day from which the days of choices count: that of the first answer that stands, else today."""
    given = [one.given_at.astimezone(ZoneInfo(zone)).date() for one in consents if one.withdrawn_at is None]
    return min(given, default=today)


def ready_words(choice: Choice, needed_by: date | None = None) -> str:
    """When a choice is ready, and whether that is in time: `Ready 22 December to 30 December 2026`."""
    if choice.earliest is None:
        return "Date to be agreed" if choice.works else "No waiting"
    first, last = choice.earliest.on, choice.latest.on if choice.latest else choice.earliest.on
    said = f"{first:%-d %B}" if first.year == last.year and first != last else f"{first:%-d %B %Y}"
    said = f"Ready {said}" + (f" to {last:%-d %B %Y}" if first != last else "")
    if needed_by is None or last <= needed_by:
        return said
    day = f"{needed_by:%-d %B %Y}"
    return f"{said}: {'by' if first <= needed_by else 'not by'} {day}" + (
        " only if all goes well" if first <= needed_by else ""
    )


def too_late(choice: Choice, needed_by: date | None) -> bool:
    """Whether a choice cannot be ready by the day it is needed, though all goes well."""
    return needed_by is not None and choice.earliest is not None and choice.earliest.on > needed_by


def too_late_words(choices: Sequence[tuple[str, Choice]], needed_by: date | None) -> str | None:
    """Which of the choices, by their names, cannot be ready by the day it is needed; None when all can."""
    late = [name for name, one in choices if too_late(one, needed_by)]
    if needed_by is None or not late:
        return None
    day = f"{needed_by:%-d %B %Y}"
    if len(late) == sum(bool(one.works) for _, one in choices):
        return f"No repair can be ready by {day}."
    named = late[0] if len(late) == 1 else f"{', '.join(late[:-1])} and {late[-1]}"
    return f"{named} cannot be ready by {day}."


def answer_day(choices: Sequence[Choice], needed_by: date | None, today: date) -> date | None:
    """The day by which an answer is asked for: none later than leaves time for each choice that can still be ready by
    the day it is needed; None when nothing asks for a day, or that day is over.
    """
    days = [one.answer_until.on for one in choices if one.answer_until]
    if needed_by is not None:
        for one in choices:
            laid_out = one.computed_at.date() if one.computed_at else today
            waits = one.earliest is not None and not too_late(as_answered(one, today), needed_by)
            days.append(laid_out + (needed_by - one.earliest.on) if waits and one.earliest else needed_by)
    until = min(days, default=None)
    return until if until is not None and until >= today else None


def _change_words(choice: Choice) -> str | None:
    if choice.rate_low_s_per_day is None or choice.rate_high_s_per_day is None:
        return None
    widest = max(abs(choice.rate_low_s_per_day), abs(choice.rate_high_s_per_day))
    return next((said for size, said in _STEPS if widest < size * _BETWEEN), f"{widest / 60:.0f} minutes")
