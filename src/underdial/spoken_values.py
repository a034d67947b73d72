"""Numbers as they are said, put into figures: `two thou` to `2 thou`, `half a millimetre` to `0.5 millimetre`, `loses
4 min` to `4 min` and its sign. What is in figures already is left as it is.

Limits: those of `spoken_numbers`, which reads the words. A tenth is read only where it is said of what ("a tenth of a
millimetre"): alone it is another size in every workshop. Never here: units (`units`), and speech, where a number stands
among other words (`telling`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial import spoken_numbers

# A third and a fifth are said of wheels in speech; in a field they can only be parts of one.
_PARTS = {"third": 3, "fifth": 5}
# Only where it is said of what.
_PARTS_OF = {"tenth": 10, "hundredth": 100, "thousandth": 1000}
_LOSES = re.compile(r"^(?:it )?(?:is )?(?:loses|losing|lost|lose|slow)(?: by)?\b", re.IGNORECASE)
_GAINS = re.compile(r"^(?:it )?(?:is )?(?:gains|gaining|gained|gain|fast)(?: by)?\b", re.IGNORECASE)
_SIDE = re.compile(r"\b(?:(slow|behind|late)|(fast|ahead|early))\b", re.IGNORECASE)


def in_figures(text: str) -> str:
    """The text with the number at its beginning in figures; itself where it begins with no number in words.

    Two and a half, half a, three quarters of an, two point four, an inch and a half.
    """
    words = text.split()
    plain = [word.lower() for word in words]
    if plain[:1] in (["minus"], ["plus"]):
        return {"minus": "-", "plus": "+"}[plain[0]] + in_figures(" ".join(words[1:]))
    if len(plain) > 1 and plain[0] in ("a", "an", "one") and re.search(r" and (?:an? |three )\w+$", " ".join(plain)):
        # "An inch and a half": the part stands behind the unit.
        at = len(plain) - 1 - plain[::-1].index("and")
        part, end = _part(plain, at + 1)
        if part and end == len(plain) and at > 1:
            return f"{1.0 + part!r} {' '.join(words[1:at])}"
    part, end = _part(plain, 0)
    number, at = (part, end) if end else _count(plain)
    if at and not end and plain[at : at + 1] == ["and"]:
        part, end = _part(plain, at + 1)
        number, at = number + part, end or at
    if at == 0 or (not end and plain[0].isdigit()):
        return text
    while at < len(plain) and plain[at] in ("of", "a", "an") and at + 1 < len(plain):
        at += 1
    return " ".join([f"{number:.12g}", *words[at:]])


def in_signs(text: str) -> tuple[str, float]:
    """A rate without the word that says fast or slow, and its sign: 1, -1, or 0 where no word says it."""
    for found, sign in ((_LOSES.match(text), -1.0), (_GAINS.match(text), 1.0)):
        if found:
            return in_figures(text[found.end() :].strip()), sign
    side = _SIDE.search(text)
    if side is None:
        return text, 0.0
    rest = f"{text[: side.start()]} {text[side.end() :]}"
    return " ".join(rest.split()), -1.0 if side[1] else 1.0


def _count(words: Sequence[str]) -> tuple[float, int]:
    """The number at the beginning, with or without a point, and the place behind it; place 0 for none."""
    if not words or not words[0][:1].isalpha():
        return (float(words[0]), 1) if words and re.fullmatch(r"\d+", words[0]) else (0.0, 0)
    # "Twenty-five" is two words here.
    split = [(part, place) for place, word in enumerate(words) for part in word.split("-")]
    spoken = spoken_numbers.read([part for part, _ in split], 0)
    return (spoken.value, split[spoken.end - 1][1] + 1) if spoken is not None else (0.0, 0)


def _part(words: Sequence[str], at: int) -> tuple[float, int]:
    """A part of one that is said at a place (`half`, `a quarter`, `three eighths of`), and the place behind it."""
    if at >= len(words):
        return 0.0, 0
    part = spoken_numbers.fraction(words, at)
    if part is not None:
        return part.value, part.end
    many, named = (1.0, 1) if words[at : at + 1] in (["a"], ["an"]) else _count(words[at : at + 1])
    name = words[at + named].removesuffix("s") if named and at + named < len(words) else ""
    end = at + named + 1
    size = _PARTS.get(name) or (_PARTS_OF.get(name) if words[end : end + 1] == ["of"] else None)
    return (many / size, end) if size else (0.0, 0)
