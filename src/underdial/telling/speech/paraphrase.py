"""A sentence said in a roundabout way, put plainly before it is read.

"I can't get the nut to move" is "the nut will not move", "the screw that holds the crutch" is "the screw of the
crutch", and "the third's gone" behind three screws is "the one's gone".

Never here: corrections by the speaker (`corrections`), or what a sentence means.
"""

from __future__ import annotations

import re
from dataclasses import replace

from underdial.telling.speech.words import Word, listed

_NTH_OF_SEVERAL = re.compile(
    r"^(?:[\w' ]* )?(?:one|two|three|four|five) (?:of (?:the|them)|are|were|is)\b.*"
    r" the (second|third|fourth|fifth|sixth)(?= (?:'s|is|one|has|was)\b)"
)
_TRAIN_NOUNS = listed("wheel wheels arbor pinion hole holes pivot pivots")
_NOT_TO_BE_MOVED = re.compile(
    r"\b(?:i |you |we )?(?:can|could|will|would) not get ((?:the|its|that|this|his|it|them|either)(?: \w+){0,4}?)"
    r" to (?:move|turn|shift|budge|go|slide|undo|rotate)\b"
)
_HOLDING = listed(
    "holds hold carries carry drives secures retains keeps fixes lifts locks takes works covers supports turns pushes "
    "fits guides holding carrying securing retaining"
)


def put_plainly(sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "The screw that holds the crutch is loose" is said of the screw of the crutch."""
    words = [word.text for word in sentence]
    nth = _NTH_OF_SEVERAL.search(" ".join(words))
    if nth is not None and not _TRAIN_NOUNS & set(words):
        at = len(" ".join(words)[: nth.start(1)].split())
        return (*sentence[:at], replace(sentence[at], text="one"), *sentence[at + 1 :])
    stuck = _NOT_TO_BE_MOVED.search(" ".join(words))
    if stuck is not None:
        return _will_not_move(sentence, words, stuck)
    return _held_as_owned(sentence, words)


def _will_not_move(sentence: tuple[Word, ...], words: list[str], stuck: re.Match[str]) -> tuple[Word, ...]:
    """ "I can't get the nut to move": the nut will not move."""
    first = len(" ".join(words)[: stuck.start()].split())
    named = first + stuck[0].split().index("get") + 1
    end = named + len(stuck[1].split())
    moved = [
        replace(sentence[end], text=text, stop=sentence[end + 1].stop if text == "move" else "")
        for text in ("will", "not", "move")
    ]
    return (*sentence[:first], *sentence[named:end], *moved, *sentence[end + 2 :])


def _held_as_owned(sentence: tuple[Word, ...], words: list[str]) -> tuple[Word, ...]:
    """ "The screw holding the crutch is loose": the screw of the crutch."""
    for at in range(1, len(words) - 3):
        held = words[at + 1] if words[at] in ("that", "which") else words[at] if words[at].endswith("ing") else ""
        step = 2 if words[at] in ("that", "which") else 1
        if held not in _HOLDING or words[at + step : at + step + 1] not in (["the"], ["its"], ["it"]):
            continue
        if words[at + step] == "it" or not {"is", "are", "'s", "has", "was", "looks"} & set(
            words[at + step + 1 : at + step + 5]
        ):
            continue
        return (*sentence[:at], replace(sentence[at], text="of"), *sentence[at + step :])
    return sentence
