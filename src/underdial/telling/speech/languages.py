"""Which language words are in, from their commonest function words: English, or one of five that stand beside it.

Never here: captions.
"""

from __future__ import annotations

from collections.abc import Sequence

# The commonest function words tell a language apart within one caption or two.
_ENGLISH = frozenset(
    [
        "the",
        "a",
        "is",
        "it",
        "and",
        "of",
        "to",
        "in",
        "on",
        "i",
        "that",
        "this",
        "no",
        "not",
        "s",
        "there",
        "one",
        "at",
        "for",
        "you",
        "what",
        "its",
        "he",
        "she",
        "be",
        "are",
        "was",
        "good",
    ]
)
_OTHERS = {
    "German": frozenset(
        [
            "der",
            "die",
            "das",
            "und",
            "ist",
            "nicht",
            "ein",
            "eine",
            "ich",
            "auf",
            "mit",
            "den",
            "dem",
            "zu",
            "von",
            "es",
            "auch",
            "hier",
            "noch",
            "sehr",
            "aber",
            "wir",
            "sie",
            "im",
        ]
    ),
    "French": frozenset(
        [
            "le",
            "la",
            "les",
            "et",
            "est",
            "pas",
            "un",
            "une",
            "je",
            "il",
            "elle",
            "dans",
            "sur",
            "avec",
            "des",
            "du",
            "qui",
            "que",
            "ce",
            "cette",
            "au",
            "pour",
            "mais",
            "très",
            "nous",
        ]
    ),
    "Spanish": frozenset(
        [
            "el",
            "la",
            "los",
            "las",
            "y",
            "es",
            "no",
            "un",
            "una",
            "que",
            "en",
            "con",
            "del",
            "por",
            "para",
            "se",
            "lo",
            "pero",
            "muy",
            "aquí",
            "está",
            "este",
            "esta",
        ]
    ),
    "Italian": frozenset(
        [
            "il",
            "lo",
            "la",
            "gli",
            "e",
            "è",
            "non",
            "un",
            "una",
            "che",
            "in",
            "con",
            "del",
            "per",
            "si",
            "ma",
            "molto",
            "qui",
            "questo",
            "questa",
            "sono",
            "della",
        ]
    ),
    "Dutch": frozenset(
        [
            "de",
            "het",
            "een",
            "en",
            "is",
            "niet",
            "ik",
            "op",
            "met",
            "van",
            "te",
            "er",
            "dat",
            "deze",
            "dit",
            "ook",
            "maar",
            "zijn",
            "heeft",
            "hier",
            "naar",
            "bij",
        ]
    ),
}


def is_clearly_english(words: Sequence[str]) -> bool:
    """Whether two of these words are the commonest of English."""
    return sum(word in _ENGLISH for word in words) >= 2


def speaks(language: str, words: Sequence[str]) -> bool:
    """Whether one of these words is among the commonest of another language."""
    return any(word in _OTHERS[language] for word in words)


def language_of(words: Sequence[str]) -> str | None:
    """The other language that these words are in; None for English, and where they tell too little."""
    english = sum(word in _ENGLISH for word in words)
    best, name = max((sum(word in bag for word in words), language) for language, bag in _OTHERS.items())
    return name if best >= 4 and best > 2 * english else None
