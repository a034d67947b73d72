"""The words of a look-over, one by one, in one spelling, each with the moment it was said.

Captions cut speech anywhere, so words are taken out of their cues here and nothing behind this module sees a
cue again. Contractions are opened (`isn't` is `is not`), compounds split at hyphens, US spelling and dialect
brought to one form. `stop` is the strongest break that follows a word: a comma, a full stop, or none.

Never here: what a word means.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from underdial import spoken_numbers as numbers
from underdial.telling.speech.captions import Cue
from underdial.telling.speech.spellings import HESITATIONS, spelled

# A silence this long between two captions ends a sentence when the recogniser wrote no stops.
_SENTENCE_GAP_S = 0.3
_PIECE = re.compile(
    r"\d+(?:st|nd|rd|th)s?\b|\d+/\d+|\d+(?:,\d{3})+(?:\.\d+)?|\d*\.\d+|\d+|[^\W\d_]+(?:['’][^\W\d_]+)*|['’][^\W\d_]+"
    r"|[.,;:?!…]+|-{2,}|[–—°%½¼¾⅛]"
)
# Stops that are spoken when a text is dictated.
_DICTATED = re.compile(
    r"[,.]?\s*\b(full stop|new (?:paragraph|line|heading|section)|semi ?colon|next paragraph)\b[.,]?", re.IGNORECASE
)
# Behind these words a silence ends no thought.
_GOING_ON = frozenset(
    [
        "the",
        "a",
        "an",
        "no",
        "not",
        "is",
        "are",
        "was",
        "'s",
        "of",
        "on",
        "at",
        "in",
        "to",
        "by",
        "for",
        "with",
        "from",
        "and",
        "or",
        "but",
        "its",
        "his",
        "her",
        "their",
        "my",
        "your",
        "this",
        "these",
        "those",
        "very",
        "too",
        "quite",
        "i",
        "have",
        "has",
        "had",
        "got",
        "every",
        "both",
        "each",
        "all",
        "some",
        "any",
        "than",
        "into",
        "onto",
        "round",
        "under",
    ]
)


@dataclass(frozen=True)
class Word:
    """One word in its normal form, as it was written, when it was said, and the break that follows it."""

    text: str
    raw: str
    start_s: float | None
    end_s: float | None
    stop: str = ""
    speaker: str | None = None
    guess: bool = False


def listed(text: str) -> frozenset[str]:
    """The words of a table, for membership."""
    return frozenset(text.split())


def text_of(words: Sequence[Word]) -> str:
    """The words in their normal form, one blank apart."""
    return " ".join(word.text for word in words)


def raw_of(words: Sequence[Word]) -> str:
    """The words as they were written, each once where one was opened into two ("it's")."""
    out: list[str] = []
    for at, word in enumerate(words):
        if at == 0 or word.raw != words[at - 1].raw or word.start_s != words[at - 1].start_s:
            out.append(word.raw)
    return " ".join(out)


@cache
def normal(text: str) -> str:
    """The spelling that `words` gives to speech."""
    return text_of(split((Cue(text),)))


def split(cues: Sequence[Cue]) -> tuple[Word, ...]:
    """All words of the cues in order; the time within a cue is shared out by the length of the words."""
    words: list[Word] = []
    cues = [
        replace(cue, text=_DICTATED.sub(lambda m: "," if m[1][0] in "cCsS" else ".", cue.text))
        if _DICTATED.search(cue.text)
        else cue
        for cue in cues
    ]
    unpunctuated = is_unpunctuated(cues)
    for at, cue in enumerate(cues):
        words += _of_cue(cue)
        following = cues[at + 1] if at + 1 < len(cues) else None
        if words and (
            following is None
            or (_ends_here(cue, following, unpunctuated) and not (unpunctuated and words[-1].text in _GOING_ON))
        ):
            words[-1] = replace(words[-1], stop=words[-1].stop if words[-1].stop in (".", "?") else ".")
    return tuple(_as_spoken(words))


def _as_spoken(words: Sequence[Word]) -> list[Word]:
    """ "Is having" is "has": one form for what several Englishes say."""
    out: list[Word] = []
    for word in words:
        if word.text == "having" and out and out[-1].text in ("is", "'s", "are") and not out[-1].stop:
            out[-1] = replace(out[-1], text="have" if out[-1].text == "are" else "has", stop=word.stop)
            continue
        out.append(word)
    return out


def is_unpunctuated(cues: Sequence[Cue]) -> bool:
    """Whether a recogniser wrote this without stops: fewer than one in forty words."""
    text = " ".join(cue.text for cue in cues)
    return len(re.findall(r"[.?!](?:\s|$)", text)) * 40 < len(text.split())


def _ends_here(cue: Cue, following: Cue, unpunctuated: bool) -> bool:
    if cue.speaker != following.speaker:
        return True
    if cue.start_s is None or cue.end_s is None or following.start_s is None:
        return not unpunctuated and cue.start_s is None and len(cue.text) < 60 and following.text[:1].isupper()
    if unpunctuated:
        return following.start_s - cue.end_s >= _SENTENCE_GAP_S
    return following.start_s - cue.end_s >= 2.0


def _of_cue(cue: Cue) -> list[Word]:
    out: list[Word] = []
    length = max(1, len(cue.text))
    for piece in _PIECE.finditer(cue.text):
        raw = piece[0]
        if raw[0] in ".,;:?!…-–—":
            if out:
                out[-1] = replace(out[-1], stop=_stronger(out[-1].stop, raw))
            continue
        if raw.lower() in HESITATIONS or (
            raw.lower() == "mm" and not (out and (out[-1].text[-1:].isdigit() or numbers.read([out[-1].text], 0)))
        ):
            continue
        start = _moment(cue, piece.start() / length)
        end = _moment(cue, piece.end() / length)
        out += [Word(text, raw, start, end, "", cue.speaker) for text in spelled(raw)]
    return out


def _moment(cue: Cue, share: float) -> float | None:
    if cue.start_s is None:
        return None
    end = cue.end_s if cue.end_s is not None else cue.start_s
    return round(cue.start_s + share * (end - cue.start_s), 3)


def _stronger(old: str, mark: str) -> str:
    if old in (".", "?"):
        return old
    if "?" in mark:
        return "?"
    if mark in (".", "!", ";") or (mark[0] in "!." and "..." not in mark):
        return "."
    return ":" if mark == ":" else ","
