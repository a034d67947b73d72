"""Words to the recorder, and what is said in private.

"Private" opens a stretch that ends with "carry on"; its words reach no answer and no paper, only its times do.
What is said between "pause" and "carry on" is left out too. "Hours start" and "hours stop", "tray three" and
"hush" are handed on as orders.

Never here: what is done on an order.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.heard import Order
from underdial.telling.speech.words import Word, text_of

_ORDERS = (
    (
        "private",
        re.compile(
            r"^(?:okay |now |right |and )*(?:this|that|what follows|the next bit|next bit) is (?:just )?private"
            r"|^(?:okay |now |right )*(?:go )?private(?: now)?$|^off the record|^between you and me(?: and)?"
        ),
    ),
    ("carry_on", re.compile(r"^(?:okay |right |and |so )*carry on(?: (?:recording|now))?(?=$| )")),
    ("pause", re.compile(r"^(?:okay |right )*pause(?: recording| there)?$|^stop recording$")),
    ("hours_start", re.compile(r"^hours start$|^start (?:the )?hours$")),
    ("hours_stop", re.compile(r"^hours stop$|^stop (?:the )?hours$")),
    ("hush", re.compile(r"^hush$")),
)
_TRAY = re.compile(r"^(?:put (?:it|that|those|them) in )?tray (\w+)\b")


def not_ended(orders: Sequence[Order]) -> str | None:
    """A sentence on a pause or a private stretch that nothing ended; None when each was ended."""
    open_since: Order | None = None
    for order in orders:
        if order.order == "carry_on":
            open_since = None
        elif order.order in ("pause", "private") and open_since is None:
            open_since = order
    if open_since is None:
        return None
    when = (
        "" if open_since.start_s is None else f" at {int(open_since.start_s // 60)}:{int(open_since.start_s % 60):02d}"
    )
    return f"“{open_since.order.capitalize()}” was said{when} and “carry on” never after: nothing behind it was taken."


def take_out(
    sentences: Sequence[tuple[Word, ...]],
) -> tuple[list[tuple[Word, ...]], list[Order], list[tuple[float | None, float | None]]]:
    """The sentences without orders and private stretches, the orders, and the times of the private stretches."""
    kept: list[tuple[Word, ...]] = []
    orders: list[Order] = []
    private: list[tuple[float | None, float | None]] = []
    hidden: str | None = None
    since: float | None = None
    for sentence in sentences:
        text = text_of(sentence)
        at = sentence[0].start_s
        order, length = _order(text)
        if order == "carry_on" and (hidden or len(sentence) <= 4):
            if hidden == "private":
                private.append((since, sentence[-1].end_s))
            hidden = None
            orders.append(Order(order, at))
            rest = sentence[length:]
            if rest:
                kept.append(rest)
            continue
        # A recogniser without stops may run the closing words into a long sentence.
        if hidden is not None:
            inside = re.search(r"\bcarry on\b", text)
            if inside:
                cut = len(text[: inside.end()].split())
                if hidden == "private":
                    private.append((since, sentence[cut - 1].end_s))
                hidden = None
                orders.append(Order("carry_on", sentence[cut - 1].start_s))
                if sentence[cut:]:
                    kept.append(sentence[cut:])
            continue
        if order in ("private", "pause"):
            hidden, since = order, at
            orders.append(Order(order, at))
            inside = re.search(r"\bcarry on\b", text)
            if inside:
                cut = len(text[: inside.end()].split())
                if order == "private":
                    private.append((since, sentence[cut - 1].end_s))
                hidden = None
                if sentence[cut:]:
                    kept.append(sentence[cut:])
            continue
        if order in ("hours_start", "hours_stop", "hush"):
            orders.append(Order(order, at))
            continue
        tray = _TRAY.match(text)
        if tray:
            orders.append(Order("tray", at, tray[1]))
            if len(sentence) <= 8:
                continue
        kept.append(tuple(sentence))
    if hidden == "private":
        private.append((since, None))
    return kept, orders, private


def _order(text: str) -> tuple[str | None, int]:
    for name, pattern in _ORDERS:
        match = pattern.match(text)
        if match:
            return name, len(match[0].split())
    return None, 0
