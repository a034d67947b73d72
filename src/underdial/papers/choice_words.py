"""Words about what was chosen: the work in the words of the choice, and the rate the choice was reckoned to keep."""

from __future__ import annotations

from underdial.papers.dossier import Dossier
from underdial.record.choice import Choice


def work_words(dossier: Dossier, work: str) -> str:
    """A work in the words of the choice that offered it; its own word where none did."""
    said = (one.words for choice in dossier.choices for one in choice.works if one.work == work and one.words)
    return next(said, work.replace("_", " ")).replace("/", " or ")


def agreed_choice(dossier: Dossier) -> Choice | None:
    """The choice that was answered with a yes last and not taken back; None when there is none."""
    agreed = [
        one for one in dossier.consents if one.withdrawn_at is None and any(line.answer == "yes" for line in one.lines)
    ]
    last = max(agreed, key=lambda one: one.given_at, default=None)
    return next((one for one in dossier.choices if last is not None and one.id == last.choice_id), None)


def spread_words(choice: Choice) -> str | None:
    """How far from its mean the rate is reckoned to stay, never finer than 5 s a day; None when it was not reckoned."""
    if choice.rate_low_s_per_day is None or choice.rate_high_s_per_day is None:
        return None
    widest = max(abs(choice.rate_low_s_per_day), abs(choice.rate_high_s_per_day))
    return (
        f"about {widest / 60:.0f} minutes a day"
        if widest >= 90
        else f"about {max(5, round(widest / 5) * 5):.0f} seconds a day"
    )
