"""What a paper is made of before it is set: blocks in order. A paper's kind decides which; the setting how they look.

A block that would be empty is refused here, so that no section of a paper stands without words.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper: its kind (a word of COMMANDS), its title, the line under it, its header facts and blocks."""

    kind: str
    title: str
    lead: str
    ticket: str
    shop: str
    clock: str
    date: str
    record_sha256: str
    blocks: tuple[Block, ...]
    language: str = "en-GB"

    def __post_init__(self) -> None:
        assert self.blocks, f"the {self.kind} has nothing to say"


@dataclass(frozen=True, slots=True)
class Words:
    """A heading (may be empty for the first block) and paragraphs."""

    heading: str
    paragraphs: tuple[str, ...]
    type: str = field(default="words", init=False)

    def __post_init__(self) -> None:
        assert any(one.strip() for one in self.paragraphs), f"empty section {self.heading!r}"


@dataclass(frozen=True, slots=True)
class Facts:
    """Pairs of a name and what it is."""

    heading: str
    pairs: tuple[tuple[str, str], ...]
    type: str = field(default="facts", init=False)

    def __post_init__(self) -> None:
        assert self.pairs, f"empty section {self.heading!r}"


@dataclass(frozen=True, slots=True)
class Rows:
    """A table with a header row; widths are shares of the line. `right` are the columns, from 0, that stand to the
    right, as sums do.
    """

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]
    note: str = ""
    right: tuple[int, ...] = ()
    type: str = field(default="rows", init=False)

    def __post_init__(self) -> None:
        assert self.rows, f"empty table {self.heading!r}"
        assert all(len(row) == len(self.columns) == len(self.shares) for row in self.rows)


@dataclass(frozen=True, slots=True)
class Marked:
    """Lines led by a mark of importance: (kind, word, sentence, second line)."""

    heading: str
    lines: tuple[tuple[str, str, str, str], ...]
    type: str = field(default="marked", init=False)

    def __post_init__(self) -> None:
        assert self.lines, f"empty section {self.heading!r}"


@dataclass(frozen=True, slots=True)
class Letterhead:
    """Who writes, a line each, to whom, a line each, and on which day: the head of what is sent."""

    sender: tuple[str, ...]
    to: tuple[str, ...]
    day: str
    type: str = field(default="letterhead", init=False)

    def __post_init__(self) -> None:
        assert self.sender, "a letter from nobody"


@dataclass(frozen=True, slots=True)
class ChoiceSlip:
    """One choice: what it is likely to achieve, the likely price, the span it may fall in and the ceiling, when, what
    is done, what stays, what cannot be undone.
    """

    letter: str
    title: str
    work: str
    outcome: str
    price: str
    span: str
    ceiling: str
    ready: str
    stays: str
    one_way: str
    type: str = field(default="choice", init=False)


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing as SVG with the words that stand for it, and its caption; as wide as the line, or so many
    millimetres.
    """

    svg: str
    alternative: str
    caption: str
    width_mm: float | None = None
    height_mm: float | None = None
    type: str = field(default="figure", init=False)


@dataclass(frozen=True, slots=True)
class FigureRow:
    """Drawings at their own size, side by side."""

    figures: tuple[Figure, ...]
    type: str = field(default="figure_row", init=False)

    def __post_init__(self) -> None:
        assert self.figures, "a row without a drawing"


@dataclass(frozen=True, slots=True)
class Photos:
    """Photographs as SVG, two in a row: the words that stand for it, its caption, its height over its width; `heads`
    stand over the columns of pairs.
    """

    heading: str
    items: tuple[tuple[str, str, str, float], ...]
    heads: tuple[str, ...] = ()
    type: str = field(default="photos", init=False)

    def __post_init__(self) -> None:
        assert self.items, f"empty section {self.heading!r}"
        assert all(alternative.strip() for _, alternative, _, _ in self.items), "a picture without words"
        assert not self.heads or len(self.items) % len(self.heads) == 0, "a pair with one picture"


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution sentence; rank is stop, before_step or note."""

    rank: str
    sentence: str
    type: str = field(default="caution", init=False)


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines to sign on, each with who signs."""

    who: tuple[str, ...]
    type: str = field(default="signatures", init=False)


Block = Letterhead | Words | Facts | Rows | Marked | ChoiceSlip | Figure | FigureRow | Photos | Caution | Signatures


def plain_paper(paper: Paper) -> dict[str, Any]:
    """The paper as plain maps and lists, for the setting and for tests that read every word."""
    return asdict(paper)


def all_words(paper: Paper) -> str:
    """Every word that the paper prints, joined, for the tests of forbidden words."""

    def walk(value: object) -> list[str]:
        if isinstance(value, str):
            return [value]
        if isinstance(value, dict):
            return [word for key, one in value.items() if key not in ("svg", "type") for word in walk(one)]
        if isinstance(value, list | tuple):
            value = [one for one in value if not (isinstance(one, str) and one.startswith("<svg "))]
            return [word for one in value for word in walk(one)]
        return []

    return "\n".join(walk(plain_paper(paper)))
