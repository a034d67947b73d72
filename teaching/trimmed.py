"""The words of a label without those that only lead up to it: "is a bit loose" is told by "loose".

Writers quote "is good", "all good" or "good" as it comes; where a saying begins must not hang on that. What turns the
sense round ("no", "not", "too") stays.

Never here: which words a writer quoted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from teaching.examples import Example, Saying, TaggedWord
from underdial.telling.speech.words import listed

_LEADING_UP = listed("""
    is are was were be been being 's re has have had having got gets get it its they that this these those there
    here he she which who a an the and but all both each looks look looking seems seem feels feel appears very quite
    rather pretty really slightly little bit touch of shade tiny just still also only so some somewhat fairly badly
    nicely nice kind sort
""")


def trimmed(words: Sequence[TaggedWord], first: int, last: int) -> int:
    """Where the words `first` to `last` begin to tell something; `first` when all of them only lead up."""
    at = first
    while at < last and words[at].text in _LEADING_UP:
        at += 1
    return first if words[at].text in _LEADING_UP else at


def with_trimmed(example: Example) -> Example:
    """The example, every saying begun where it tells something; sayings that are now the same words are one."""
    by_words: dict[tuple[int, int], Saying] = {}
    for one in example.sayings:
        place = (trimmed(example.words, one.first, one.last), one.last)
        before = by_words.get(place)
        by_words[place] = Saying(*place, (*(before.labels if before else ()), *one.labels))
    return replace(example, sayings=tuple(by_words.values()))
