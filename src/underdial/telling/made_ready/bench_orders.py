"""Words to the recorder, and what is said in private.

"Private" opens a stretch that ends with "carry on"; its words reach no answer and no paper, only its times do.
What is said between "pause" and "carry on" is left out too. "Hours start" and "hours stop", "tray three" and
"hush" are handed on as orders.

Never here: what is done on an order.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from underdial.telling.heard import Order
from underdial.telling.speech.words import Word, text_of

_ORDERS = (
    (
        "private",
        re.compile(
            r"^(?:okay |now |right |and |so )*(?:(?:this|that|what follows|the next bit|next bit|this bit|this part"
            r"|it) is (?:just |strictly )?private|(?:keep |make )?(?:this|that|it) private"
            r"|(?:go |strictly )?private(?! (?:mark|owner|sale|house|collect|customer|client)))"
            r"|^off the record|^between you and me(?: and)?"
        ),
    ),
    (
        "carry_on",
        re.compile(
            r"^(?:okay |right |and |so )*carry on(?! (?:like|as|about|being|if|regardless)\b)"
            r"(?: (?:recording|now))?(?=$| )"
        ),
    ),
    (
        "pause",
        re.compile(
            r"^(?:okay |right )*pause(?: recording| there| here| now| please| for a (?:bit|minute|moment|second))*$"
            r"|^stop recording$"
        ),
    ),
    ("hours_start", re.compile(r"^hours start(?: now| please)*$|^start (?:the |my )?hours$")),
    ("hours_stop", re.compile(r"^hours stop(?: now| please)*$|^stop (?:the |my )?hours$")),
    ("hush", re.compile(r"^hush$")),
)
# A recogniser without stops runs orders into long sentences. Behind or before these words it is no order: "she can not
# carry on", "they carry on like that", "his private mark". In doubt what is private stays private.
_GOVERNS = re.compile(
    r"\b(?:to|not|i|we|he|she|they|you|who|people|and|can|could|will|would|shall|should|must|may|might|do|does|did|just"
    r"|always|never) $"
)
_GOES_ON = re.compile(r" (?:like|as|about|being|if|regardless|in|all|at|until|till|for)\b")
_QUALIFIES = re.compile(r"\b(?:a|an|the|his|her|their|my|your|no|in|for|of|is|as|very|quite|it) $")
_IS_ONE = re.compile(r" (?:mark|owner|sale|house|collect|customer|client)")
_SAID_PRIVATE = re.compile(
    r"(?:and |so )*(?:this|that|what follows|this bit|this part) is (?:just |strictly )?private\b|private\b"
    r"|off the record\b"
)
_SAID_CARRY_ON = re.compile(r"carry on\b")
_TRAY = re.compile(r"(?:^(?:put (?:it|that|those|them) in )?|\b(?:in|into) )tray (?:number )?(\w+)\b")
# "Carry on" alone is an order where nothing is hidden; a longer sentence only says so.
_SHORT_COUNT = 4
# A sentence that names a tray and says more than this is heard too.
_LONGEST_TRAY_COUNT = 8


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
    heard = _Heard()
    for sentence in _cut_before_private(sentences):
        order, length = _order(text_of(sentence))
        at = sentence[0].start_s
        if order == "carry_on" and (heard.hidden or len(sentence) <= _SHORT_COUNT):
            heard.orders.append(Order(order, at))
            heard.show(sentence[-1].end_s, sentence[length:])
        elif heard.hidden is not None:
            # A recogniser without stops may run the closing words into a long sentence.
            cut = _behind_carry_on(sentence)
            if cut is not None:
                heard.orders.append(Order("carry_on", sentence[cut - 1].start_s))
                heard.show(sentence[cut - 1].end_s, sentence[cut:])
        elif order in ("private", "pause"):
            heard.orders.append(Order(order, at))
            heard.hidden, heard.since = order, at
            cut = _behind_carry_on(sentence)
            if cut is not None:
                heard.orders.append(Order("carry_on", sentence[cut - 1].start_s))
                heard.show(sentence[cut - 1].end_s, sentence[cut:])
        elif order in ("hours_start", "hours_stop", "hush"):
            heard.orders.append(Order(order, at))
        else:
            heard.keep(sentence)
    if heard.hidden == "private":
        heard.private.append((heard.since, None))
    return heard.kept, heard.orders, heard.private


@dataclass
class _Heard:
    """What has been taken out so far; `hidden` is the order that opened a stretch still running, since when."""

    kept: list[tuple[Word, ...]] = field(default_factory=list)
    orders: list[Order] = field(default_factory=list)
    private: list[tuple[float | None, float | None]] = field(default_factory=list)
    hidden: str | None = None
    since: float | None = None

    def show(self, end_s: float | None, rest: tuple[Word, ...]) -> None:
        """End what is hidden; the rest of the sentence is heard again."""
        if self.hidden == "private":
            self.private.append((self.since, end_s))
        self.hidden = None
        if rest:
            self.kept.append(rest)

    def keep(self, sentence: tuple[Word, ...]) -> None:
        """A sentence that is heard; one that says no more than which tray is an order."""
        text = text_of(sentence)
        tray = _TRAY.search(text)
        if tray:
            put = sentence[len(text[: tray.start(1)].split())]
            self.orders.append(Order("tray", put.start_s, tray[1]))
        if not tray or tray.start() > 0 or len(sentence) > _LONGEST_TRAY_COUNT:
            self.kept.append(tuple(sentence))


def _behind_carry_on(sentence: Sequence[Word]) -> int | None:
    """The place behind "carry on" within a sentence; None where it is not said."""
    text = text_of(sentence)
    inside = _said_inside(text, _SAID_CARRY_ON, _GOVERNS, _GOES_ON)
    return len(text[: inside.end()].split()) if inside else None


def _cut_before_private(sentences: Sequence[tuple[Word, ...]]) -> Iterator[tuple[Word, ...]]:
    """The sentences, one in which "private" is said in the middle parted before it."""
    for sentence in sentences:
        text = text_of(sentence)
        inside = _said_inside(text, _SAID_PRIVATE, _QUALIFIES, _IS_ONE)
        cut = len(text[: inside.start()].split()) if inside else 0
        yield from (piece for piece in (sentence[:cut], sentence[cut:]) if piece)


def _said_inside(
    text: str, order: re.Pattern[str], never_behind: re.Pattern[str], never_before: re.Pattern[str]
) -> re.Match[str] | None:
    """An order within a sentence, where the words round it do not make it mere talk."""
    return next(
        (
            match
            for match in order.finditer(text)
            if not never_behind.search(text[: match.start()]) and not never_before.match(text[match.end() :])
        ),
        None,
    )


def _order(text: str) -> tuple[str | None, int]:
    for name, pattern in _ORDERS:
        match = pattern.match(text)
        if match:
            return name, len(match[0].split())
    return None, 0
