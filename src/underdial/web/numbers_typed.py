"""A number as it is typed into a field: with a point or a comma, and with the minus of the keys or the true one."""

from __future__ import annotations

import re

from underdial.errors import BadInput

# Beyond this no field of a page has a sense: it was a key held down.
_MOST = 1e12
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?", re.ASCII | re.IGNORECASE)


def number_typed(field: str, text: str, lowest: float = -_MOST, highest: float = _MOST) -> float | None:
    """The number that was typed; None for nothing.

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
    if _NUMBER.fullmatch(plain) is None:
        raise BadInput(field, typed, allowed, f"{field}: {typed} is no number; allowed: {allowed}.")
    number = float(plain.replace(",", "."))
    if not lowest <= number <= highest:
        raise BadInput(field, typed, allowed, f"{field}: {typed} will not do; {allowed} is wanted.")
    return number


def _shown(limit: float) -> str:
    # No comma between thousands: a comma typed is a point.
    return (f"{limit:.0f}" if abs(limit) >= 100.0 else f"{limit:g}").replace("-", "−")
