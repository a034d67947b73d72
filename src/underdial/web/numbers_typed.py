"""A number as it is typed into a field: with a point or a comma, as a fraction (9 3/4), with the minus of the keys or
the true one, and with its unit where the field is in one (`4 min slow` where seconds a day stand).
"""

from __future__ import annotations

import re

from underdial import units
from underdial.bench.shop import Shop
from underdial.errors import BadInput
from underdial.record.money import Money

# Beyond this no field of a page has a sense: it was a key held down.
_MOST = 1e12
_FRACTION = re.compile(r"([+-]?)(?:(\d{1,6})[ -])?(\d{1,6})/(\d{1,6})", re.ASCII)
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?", re.ASCII | re.IGNORECASE)
_SUM = re.compile(r"([0-9]{1,9})(?:[.,]([0-9]{1,2}))?", re.ASCII)


def number_typed(
    field: str, text: str, lowest: float = -_MOST, highest: float = _MOST, *, unit: str = ""
) -> float | None:
    """The number that was typed, in the `unit` of the field where that is given; None for nothing.

    BadInput for what is no number (nan and inf are none) or lies out of `lowest` to `highest`.
    """
    typed = text.strip()
    if not typed:
        return None
    allowed = (
        "a number such as 1.5 or −3"
        if (lowest, highest) == (-_MOST, _MOST)
        else f"{_shown(lowest)} to {_shown(highest)}"
    )
    plain = typed.replace("−", "-")
    fraction = _FRACTION.fullmatch(plain)
    if fraction is not None and int(fraction[4]):
        plain = repr(float(f"{fraction[1]}1") * (int(fraction[2] or 0) + int(fraction[3]) / int(fraction[4])))
    if _NUMBER.fullmatch(plain) is not None:
        number = float(plain.replace(",", "."))
    elif (kind := _kind_of(unit)) is not None:
        number = _with_unit(field, typed, allowed, unit, kind)
    else:
        raise BadInput(field, typed, allowed, f"{field}: {typed} is no number; allowed: {allowed}.")
    if not lowest <= number <= highest:
        raise BadInput(field, typed, allowed, f"{field}: {typed} will not do; {allowed} is wanted.")
    return number


def sum_typed(shop: Shop, field: str, text: str) -> Money | None:
    """The sum that was typed, such as 250 or 250.00, in the shop's currency and to the penny; None for nothing."""
    typed = text.strip()
    if not typed:
        return None
    found = _SUM.fullmatch(typed)
    if found is None:
        raise BadInput(
            field, typed, "a sum such as 250 or 250.00", f"{field}: {typed} is no sum; write it as 250 or 250.00."
        )
    pence = f"{found[2] or '':0<2}"
    return Money(amount_minor=100 * int(found[1]) + int(pence), currency=shop.settings.currency)


def _kind_of(unit: str) -> str | None:
    try:
        return units.factor(unit)[0] if unit else None
    except BadInput:
        return None


def _with_unit(field: str, typed: str, allowed: str, unit: str, kind: str) -> float:
    """What was typed as a value with a unit, in the field's own."""
    try:
        read = units.parse(typed, kind=kind, field=field, bare=unit)
    except BadInput:
        also = units.allowed_units(kind)
        said = f"{field}: {typed} is no number; allowed: {allowed}, bare or with its unit, of {also}."
        raise BadInput(field, typed, allowed, said) from None
    if read.u:
        raise BadInput(
            field,
            typed,
            "one number",
            f"{field}: {typed} has what it may be off by with it; write the number alone here.",
        )
    # Twelve figures: no rounding of ours shows in a number that was written with fewer.
    return float(f"{read.value / units.factor(unit)[1]:.12g}")


def _shown(limit: float) -> str:
    # No comma between thousands: a comma typed is a point.
    return (f"{limit:.0f}" if abs(limit) >= 100.0 else f"{limit:g}").replace("-", "−")
