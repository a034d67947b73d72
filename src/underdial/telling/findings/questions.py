"""Questions and their answers: "Rack hook worn? No." "Any solder?" "None." "Do the hands match?" "They do."

A question states nothing until it is answered. A plain yes makes it a statement, a plain no denies it; a question
that was put in the negative is settled by a no only; anything else leaves it open, unless it was no more than a
statement with a question mark ("that's been replaced, I think?").

Never here: what the statement means.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.telling.sentences.tags import tag
from underdial.telling.speech.words import Word, text_of

# What asks for an amount, a reason, a wish or a plan is answered by no yes or no about the clock.
_OPEN = re.compile(
    r"\b(?:what|which|who|whose|how|why|when|where|shall|should|would|could|will|want|need|wants|needs|do you|did you"
    r"|have you|are you|can you|can i|or)\b"
)
_YES = re.compile(
    r"^(?:oh |well |and |er )*(?:(?:yes|yep|correct|indeed|exactly|agreed|definitely|absolutely|certainly|of course"
    r"|for sure|sure|sure is|afraid so|i am afraid so|sadly|sadly yes|i agree|you are right|right enough"
    r"|that is right|i think so|looks like it|i would say so|very much so|too right)\b"
    r"(?=$|(?: (?:it|they|there|he|she|that|this|sir|ma'am|i am|slightly|a|very|badly|and|but|the|just|all|both|on|at"
    r"|in|by|only|quite|to|sadly|afraid)\b))"
    r"|(?:just|only) (?:the |a )?(?:one|two|three|few|couple|bit|touch|little|trace)\b|(?:some|loads|lots|plenty"
    r"|a bit|a little|a few|a touch|slightly|badly|a trace|very)(?=$)"
    r"|(?:it|they|there|that|he|she) (?:is|are|does|do|has|have|was)(?= (?:a bit|slightly|indeed|very|rather"
    r"|all right)\b|$)(?: (?:a bit|slightly|indeed|very|rather))?)"
)
_NO = re.compile(
    r"^(?:oh |well |and |er )*(?:(?:no|nope|none|never|nothing|neither|nowhere|(?:can|could) not (?:find|see"
    r"|feel) any|have not (?:seen|found) any|not (?:a bit(?: of it)?|at all|really|one|any|that i can (?:see|find"
    r"|tell)|a trace|a sign|a mark|a scrap|here|there|yet))(?= |$)"
    r"|(?:it|they|there|that|he|she) (?:is|are|does|do|has|have|was) not(?=$| (?:i|it|that|but|and|the)\b))"
)
_UNDECIDED = re.compile(
    r"^(?:no (?:idea|way|matter|need|point|wait|sorry|doubt|question|more|longer|one|problem|worries)|nothing (?:to"
    r"|that)|none of (?:your|the above)|not yet|not generally|not quite|never mind)\b"
)
_HEDGED = re.compile(
    r"\b(?:i think|i would say|i reckon|i guess|i suppose|maybe|probably|right|yes|huh|eh|though|surely)\b"
)


def is_open(sentence: Sequence[Word]) -> bool:
    """Whether a question waits for a yes or a no about the state of something."""
    text = text_of(sentence)
    return len(sentence) <= 16 and _OPEN.search(text) is None


def answer(sentence: Sequence[Word]) -> tuple[str, int] | None:
    """`yes` or `no` and how many words of the sentence say so; None when it is no answer."""
    text = text_of(sentence)
    if _UNDECIDED.match(text):
        return None
    for said, pattern in (("no", _NO), ("yes", _YES)):
        match = pattern.match(text)
        if match:
            return said, len(match[0].split())
    return None


def stated(question: Sequence[Word], said: str | None) -> tuple[Word, ...]:
    """The question as the statement its answer makes of it; nothing when the answer leaves it open."""
    items = tag([word.text for word in question])
    negative = any(item.kind == "not" for item in items)
    text = text_of(question)
    plain = (*question[:-1], replace(question[-1], stop="."))
    if said is None:
        return plain if _HEDGED.search(text) and not re.match(r"(?:is|are|does|do|has|have|any|was|did) ", text) else ()
    if said == "yes":
        return () if negative else _without_any(plain)
    if negative:
        return plain
    starts = {item.start for item in items if item.kind == "state"}
    if not starts:
        return ()
    out: list[Word] = []
    for at, word in enumerate(plain):
        if at in starts:
            out.append(replace(word, text="not", raw="", stop=""))
        out.append(word)
    return _without_any(tuple(out))


def _without_any(words: tuple[Word, ...]) -> tuple[Word, ...]:
    return tuple(
        word for at, word in enumerate(words) if not (word.text in ("any", "anything") and at < len(words) - 1)
    )
