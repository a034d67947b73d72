"""What the owner agreed to, in hours and in money: the works of the choice that was taken, and the sum not to be
passed.
"""

from __future__ import annotations

from collections.abc import Iterable

from underdial.record.choice import Choice, PlannedWork
from underdial.record.consent import Consent, agreed_choice_id, agreed_lines, ceiling, key_of
from underdial.record.money import Money
from underdial.record.price_parts import together_h


def agreed_works(choices: Iterable[Choice], consents: Iterable[Consent]) -> tuple[PlannedWork, ...]:
    """The works of the choice that was taken to which the last word is yes."""
    consents = tuple(consents)
    chosen, agreed = agreed_choice_id(consents), agreed_lines(consents)
    return tuple(
        work
        for one in choices
        if chosen is not None and one.id == chosen
        for work in one.works
        if key_of(work) in agreed or (*key_of(work)[:3], None) in agreed
    )


def foreseen_h(works: Iterable[PlannedWork]) -> tuple[float, float, float] | None:
    """Least, likely and most hours [h] that works were foreseen to take; None where none has hours."""
    bands = [
        (one.hours_h if one.hours_low_h is None else one.hours_low_h,) * 2
        if one.hours_low_h is None or one.hours_high_h is None
        else (one.hours_low_h, one.hours_high_h)
        for one in works
    ]
    known = [(low, high) for low, high in bands if low is not None and high is not None]
    return together_h(known) if any(high for _, high in known) else None


def agreed_top(choices: Iterable[Choice], consents: Iterable[Consent]) -> Money | None:
    """The sum that is not passed without a new yes: the least that an owner named, else the ceiling of the choice that
    was taken. None where neither is there.
    """
    consents = tuple(consents)
    named, chosen = ceiling(consents), agreed_choice_id(consents)
    if named is not None or chosen is None:
        return named
    price = next((one.price for one in choices if one.id == chosen and one.works), None)
    return None if price is None else Money(amount_minor=price.ceiling_minor, currency=price.currency)


def by_hours(choices: Iterable[Choice], consents: Iterable[Consent]) -> bool:
    """Whether what is paid hangs on the hours: the price that was agreed is a band, or there is none."""
    chosen = agreed_choice_id(consents)
    price = next((one.price for one in choices if chosen is not None and one.id == chosen), None)
    return price is None or price.low_minor != price.high_minor
