"""Where the words that labels quote stand among the words that the reader heard.

A quote is looked up in the very line of speech that its label stands under. What is said there several times ("click
good, ratchet good") is told apart: as many labels as places go to them in turn, unless two are of one part named once
("both hands are loose"); else a label goes where its part is named nearest. A part that is not named in the line is the
last one so named in the lines above.

Never here: tags, numbers, times.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from teaching import told
from underdial.telling.speech import words

# Parts are mostly named before their state: a name behind it counts as so many words farther.
BEHIND_COUNT = 3

Place = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Quoted:
    """The numbers of the words that tell a label's state, and of those that name its part; empty when they are not
    among the words.
    """

    state: Place
    part: Place


@dataclass(frozen=True, slots=True)
class _Piece:
    """A written piece of a word, and the numbers of the words that the reader made of it."""

    text: str
    numbers: tuple[int, ...]


def laid(heard: Sequence[words.Word], sayings: Sequence[told.Saying]) -> list[list[Quoted]]:
    """For each line of speech where the quotes of its labels stand."""
    lines = lines_of(heard, [saying.text for saying in sayings])
    return [_of_line(lines, number, saying.labels) for number, saying in enumerate(sayings)]


def lines_of(heard: Sequence[words.Word], texts: Sequence[str]) -> list[list[_Piece]]:
    """The written pieces of the words heard, by the line of speech that each belongs to."""
    pieces = _written(heard)
    spoken = [(text, number) for number, line in enumerate(texts) for text in told.plain_words(line)]
    lines: list[list[_Piece]] = [[] for _ in texts]
    line, reached = 0, 0
    for block in SequenceMatcher(
        None, [piece.text for piece in pieces], [text for text, _ in spoken], autojunk=False
    ).get_matching_blocks():
        # What has no like in the speech goes with the words before it.
        lines[line] += pieces[reached : block.a]
        for at in range(block.size):
            line = spoken[block.b + at][1]
            lines[line].append(pieces[block.a + at])
        reached = block.a + block.size
    return lines


def _written(heard: Sequence[words.Word]) -> list[_Piece]:
    """The pieces as they were written; a written word may have become several ("isn't": "is not")."""
    found: list[_Piece] = []
    before: tuple[str, float | None] | None = None
    for number, word in enumerate(heard):
        now = (word.raw, word.start_s)
        if now != before:
            found += [_Piece(text, (number,)) for text in told.plain_words(word.raw)]
        elif found:
            found[-1] = _Piece(found[-1].text, (*found[-1].numbers, number))
        before = now
    return found


def _of_line(lines: Sequence[Sequence[_Piece]], number: int, labels: Sequence[told.Label]) -> list[Quoted]:
    same: dict[tuple[str, ...], list[told.Label]] = {}
    for label in labels:
        same.setdefault(_wanted(label.words), []).append(label)
    found: dict[int, Quoted] = {}
    for wanted, group in same.items():
        states = _places(lines[number], wanted)
        before = states[0] if states else ()
        in_turn = len(states) == len(group) and _differ(group, lines[number])
        for at, label in enumerate(group):
            parts = _places(lines[number], _wanted(label.part)) if label.part else []
            if in_turn:
                state = states[at]
            elif parts:
                state = min(states, key=lambda place: min(_apart(part, place) for part in parts), default=())
            else:
                state = next((place for place in states if place >= before), ())
            before = state
            found[id(label)] = Quoted(state, _part(lines, number, label, parts, state))
    return [found[id(label)] for label in labels]


def _differ(labels: Sequence[told.Label], line: Sequence[_Piece]) -> bool:
    """Whether each label is of another place or of a part named elsewhere: "both hands are loose" is said of two parts
    at once.
    """
    named_once = [
        (label.part, label.place)
        for label in labels
        if label.part and len(_places(line, _wanted(label.part))) < len(labels)
    ]
    return len(set(named_once)) == len(named_once)


def _part(
    lines: Sequence[Sequence[_Piece]], number: int, label: told.Label, here: Sequence[Place], state: Place
) -> Place:
    if not label.part or (here and not state):
        return here[0] if here else ()
    if here:
        return min(here, key=lambda part: _apart(part, state))
    wanted = _wanted(label.part)
    return next((places[-1] for line in reversed(lines[:number]) if (places := _places(line, wanted))), ())


def _apart(part: Place, state: Place) -> int:
    """Words from a part to a state; 0 when they overlap."""
    return max(0, state[0] - part[-1]) if part[0] <= state[0] else BEHIND_COUNT + max(0, part[0] - state[-1])


def _wanted(quote: str) -> tuple[str, ...]:
    """The pieces of a quote; sounds of hesitation are no words of ours."""
    return tuple(piece for piece in told.plain_words(quote) if words.normal(piece))


def _places(line: Sequence[_Piece], wanted: Sequence[str]) -> list[Place]:
    """Every place of a line where these pieces stand in a row."""
    texts = tuple(piece.text for piece in line)
    return [
        tuple(sorted({number for piece in line[at : at + len(wanted)] for number in piece.numbers}))
        for at in range(len(line) - len(wanted) + 1)
        if wanted and texts[at : at + len(wanted)] == tuple(wanted)
    ]
