"""Words cut into the pieces that the learned reading knows: the longest known beginning, then the longest known rest.

"Wallowed" may be "wall" and "##owed"; a word with a piece that is not known is one unknown piece. The rule is that
of WordPiece. Source: Wu et al. 2016, Google's neural machine translation system, section 4.1.

Never here: what a word means.
"""

from __future__ import annotations

from collections.abc import Mapping

OPEN, CLOSE, UNKNOWN = "[CLS]", "[SEP]", "[UNK]"


def pieces_of(word: str, known: Mapping[str, int]) -> list[int]:
    """The numbers of the pieces of one word; at least one."""
    found: list[int] = []
    begin = 0
    while begin < len(word):
        end = len(word)
        while end > begin and (word[begin:end] if begin == 0 else "##" + word[begin:end]) not in known:
            end -= 1
        if end == begin:
            return [known[UNKNOWN]]
        found.append(known[word[begin:end] if begin == 0 else "##" + word[begin:end]])
        begin = end
    return found or [known[UNKNOWN]]
